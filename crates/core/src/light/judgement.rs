//! "Too light", "too dark": whether that is the exposure's doing.
//!
//! The clear-film patch tells. Behind clear film a right exposure gives all the black the coating has, so if the
//! patch is as black as on the reference print, the exposure is right and the picture's tone is what displeases.

use super::Change;
use super::paper::Paper;
use crate::constant::{Basis, Constant};
use crate::estimate::Estimate;

/// The change that is suggested when only eyes have judged.
pub const BY_EYE: Constant = Constant::choice(
    1.0 / 3.0,
    "stop",
    1,
    "about the least change that eyes see for certain in the middle tones",
);
/// Standard uncertainty of one density reading of a patch.
pub const READING: Constant =
    Constant::practice(0.02, "D", 1, "instrument and unevenness of the patch together; no source");

/// How the print looks beside the reference print, or beside what was wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Looks {
    /// Lighter.
    Light,
    /// Darker.
    Dark,
}

/// The clear-film patch beside that of the reference print.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Black {
    /// As black.
    Same,
    /// Not as black.
    Weaker,
    /// Blacker.
    Stronger,
}

/// What the look of print and patch together mean.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Judgement {
    /// The exposure is right; the picture's tone is to be changed.
    Tone,
    /// The exposure on this ticket was lengthened; take that back first.
    TakeBack,
    /// The exposure is to be changed by so much, in stops.
    Time(Estimate),
    /// Black and picture contradict each other: coat, fog or moisture, not the exposure.
    Coat,
}

/// Judges. `added` is what this ticket adds to the setup's time. `readings` are the densities of one same middle
/// patch on this print and on the reference; with both, the change is measured instead of guessed.
#[must_use]
pub fn judge(
    looks: Looks,
    black: Black,
    added: Change,
    readings: Option<(f64, f64)>,
    curve: &dyn Paper,
) -> Judgement {
    let measured = readings.and_then(|(now, then)| from_readings(now, then, curve));
    let by_eye = |stops: f64| {
        // Nothing to a whole two thirds: eyes give the direction, not the size.
        Estimate::plus_minus(stops, BY_EYE.value, Basis::Choice)
    };
    match (looks, black) {
        (Looks::Dark, Black::Same) if added.to_log() > 0.005 => Judgement::TakeBack,
        (_, Black::Same) => Judgement::Tone,
        (Looks::Light, Black::Weaker) => Judgement::Time(measured.unwrap_or_else(|| by_eye(BY_EYE.value))),
        (Looks::Dark, Black::Stronger) => Judgement::Time(measured.unwrap_or_else(|| by_eye(-BY_EYE.value))),
        (Looks::Dark, Black::Weaker) | (Looks::Light, Black::Stronger) => Judgement::Coat,
    }
}

/// The change that brings a patch of density `now` to `then`, in stops.
fn from_readings(now: f64, then: f64, curve: &dyn Paper) -> Option<Estimate> {
    let (x_now, x_then) = (curve.log_exposure(now)?, curve.log_exposure(then)?);
    let (slope_now, slope_then) = (curve.slope(x_now), curve.slope(x_then));
    // Near paper white and near black the curve is flat and a reading says nothing of the exposure.
    if slope_now < 0.3 || slope_then < 0.3 {
        return None;
    }
    let (a, b) = (READING.value / slope_now, READING.value / slope_then);
    let half = 1.96 * crate::math::sqrt(a * a + b * b);
    let stops = Change::from_log(x_then - x_now).to_stops();
    Some(Estimate::plus_minus(stops, Change::from_log(half).to_stops(), Basis::Measured { n: 2 }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::PaperCurve;
    use crate::testing::test;

    fn curve() -> PaperCurve {
        PaperCurve::starting(0.03)
    }

    #[test]
    fn an_equal_black_never_changes_the_time() {
        for looks in [Looks::Light, Looks::Dark] {
            let none = Change::default();
            assert_eq!(judge(looks, Black::Same, none, Some((0.8, 1.0)), &curve()), Judgement::Tone);
        }
        let added = Change::from_stops(0.5);
        assert_eq!(judge(Looks::Dark, Black::Same, added, None, &curve()), Judgement::TakeBack);
        assert_eq!(judge(Looks::Light, Black::Same, added, None, &curve()), Judgement::Tone);
    }

    #[test]
    fn a_weak_black_asks_for_more_light() {
        let Judgement::Time(e) = judge(Looks::Light, Black::Weaker, Change::default(), None, &curve()) else {
            panic!("a time was expected");
        };
        assert!(e.low >= -1e-12 && e.value > 0.3 && e.high < 0.7);
        let Judgement::Time(e) = judge(Looks::Dark, Black::Stronger, Change::default(), None, &curve())
        else {
            panic!("a time was expected");
        };
        assert!(e.value < -0.3);
        assert_eq!(judge(Looks::Dark, Black::Weaker, Change::default(), None, &curve()), Judgement::Coat);
    }

    #[test]
    fn readings_find_a_known_change() {
        // A middle patch printed with half a stop less light than the reference.
        let then = 0.9;
        let x = curve().log_exposure(then).unwrap();
        let now = curve().density(x - 0.5 * core::f64::consts::LOG10_2);
        let found = judge(Looks::Light, Black::Weaker, Change::default(), Some((now, then)), &curve());
        let Judgement::Time(e) = found else { panic!("a time was expected") };
        assert!((e.value - 0.5).abs() < 1e-9 && e.low > 0.2 && e.high < 0.8);
        assert_eq!(e.basis, Basis::Measured { n: 2 });
        // A patch near paper white says nothing; the eye's step stands in.
        let flat = judge(Looks::Light, Black::Weaker, Change::default(), Some((0.08, 0.09)), &curve());
        assert!(matches!(flat, Judgement::Time(e) if e.basis == Basis::Choice));
    }
}
