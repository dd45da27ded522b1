//! Whether a step print reached black and white, and at which time to repeat it if not.

use super::PrintCurve;
use super::found::Print;
use crate::constant::Constant;
use crate::light::paper_curve::{PaperCurve, STEEPNESS};
use crate::math;

/// Rise of density over the last 0.3 of log exposure from which on black was not reached.
pub const BLACK: Constant =
    Constant::choice(0.1, "D", 1, "a third of the rise in the middle tones; no source");
/// Log exposure by which a repeated print should pass black, so that its plateau is seen.
const BEYOND: f64 = 0.3;
/// Least and greatest change that is advised at once, in log exposure.
const ADVISED: (f64, f64) = (0.15, 1.2);

/// What a print did not reach.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Short {
    /// Black: by how much density still rises over the last 0.3, and the time to repeat it at, in seconds.
    Black {
        /// Rise.
        rise: f64,
        /// Seconds.
        seconds: f64,
    },
    /// White: how far the lightest step lies above it, and the time to repeat it at; `None` where a shorter time would
    /// lose black, so that only a longer tablet helps.
    White {
        /// Density above white.
        above: f64,
        /// Seconds.
        seconds: Option<f64>,
        /// Density the tablet lacks.
        lacks: f64,
    },
}

/// By how much log exposure a curve that rises so much over its last 0.3 is short of 0.3 beyond black, by the starting
/// curve.
fn lacking(rise: f64, closeness: f64) -> f64 {
    let curve = PaperCurve::starting(closeness);
    let (mut low, mut high) = (-0.6, 1.0);
    for _ in 0..40 {
        let middle = f64::midpoint(low, high);
        if curve.density(middle) - curve.density(middle - super::curve::END) > rise {
            low = middle;
        } else {
            high = middle;
        }
    }
    (BEYOND - low).clamp(ADVISED.0, ADVISED.1)
}

/// Whether the upper end of a curve lies still.
pub fn black_reached(curve: &PrintCurve) -> bool {
    curve.rise_at_top() <= BLACK.value
}

/// What a print did not reach, with white and black counted within these closenesses.
#[must_use]
pub fn short(print: &Print, white: f64, black: f64) -> Vec<Short> {
    let mut all = Vec::new();
    let curve = &print.fitted.curve;
    let reached = black_reached(curve);
    let rise = curve.rise_at_top();
    if !reached {
        all.push(Short::Black { rise, seconds: print.seconds * math::exp10(lacking(rise, black)) });
    }
    let above = curve.density(curve.ends().0) - print.dmin;
    // Without masked spots the foot is its own white; there only its slope tells.
    let (off, allowed) =
        if print.white.is_some() { (above, white) } else { (curve.rise_at_foot(), 2.0 * white) };
    if off > allowed && reached {
        let lacks = math::log10(off / allowed) / STEEPNESS.value;
        let spare = print.points(white, black).black.map_or(0.0, |x| curve.ends().1 - x - 0.1);
        let seconds = (spare > lacks).then(|| print.seconds * math::exp10(-lacks));
        all.push(Short::White { above: off, seconds, lacks });
    }
    all
}
