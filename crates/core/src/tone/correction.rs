//! The correction: the ink code that makes each picture tone come out as aimed.
//!
//! Polarity, once and for all: picture tone u runs from 0 black to 1 white, ink code c from 0 clear film (black of
//! the print) to 1 full ink (paper white), and the film file holds [`film_code16`] of c.

use super::aim::{Aim, Toe};
use super::inverse::Inverse;
use super::response::{NODES, Response};
use super::starting::{END_DOUBT, MID_TONE_DOUBT, TypicalPrint};
use crate::constant::Basis;
use crate::estimate::Estimate;
#[cfg(test)]
use crate::math;
use crate::note::Note;
use crate::show::decimals;

/// Entries of the table, at equal steps of u.
pub const TABLE: usize = 4096;
/// Slope of the correction above which tones may break apart.
pub const SLOPE_LIMIT: f64 = 6.0;
/// Steps of u over which slopes are taken: those of an 8-bit picture.
const SLOPE_STEPS: usize = 256;
/// Picture tones, in percent, between which a kept toe leaves the aim.
const TOE: (usize, usize) = (95, 99);
/// Field of the tone station the notes are about.
const FIELD: &str = "readings";

/// Value in a 16-bit film file of ink code `c` (clamped to 0…1): 65535 clear film, 0 full ink.
pub fn film_code16(c: f64) -> u16 {
    let clear = 1.0 - if c > 0.0 { c.min(1.0) } else { 0.0 };
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between 0 and 65535 by the clamp"
    )]
    let value = (65535.0 * clear + 0.5) as u16;
    value
}

/// Whether a correction rests on readings.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measured {
    /// On so many readings of the printer's own; 0 where a step tablet took their place.
    Yes {
        /// How many.
        readings: usize,
    },
    /// On a typical paper curve only.
    No,
}

impl Measured {
    /// As the page marks it.
    pub fn words(self) -> String {
        match self {
            Self::Yes { readings: 0 } => "measured by you, beside a step tablet".to_owned(),
            Self::Yes { readings } => format!("measured by you ({readings} readings)"),
            Self::No => format!("not measured, mid tones ± {} L*", decimals(MID_TONE_DOUBT.value, 0)),
        }
    }
}

/// A slope of the correction and where it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slope {
    /// Ink code per picture tone.
    pub value: f64,
    /// Picture tone 0…1 around which it lies.
    pub tone: f64,
}

/// Picture tone to ink code, with what the print is expected to show.
#[derive(Clone, Debug, PartialEq)]
pub struct Correction {
    code: Vec<f64>,
    table: Vec<f32>,
    expected: Vec<f64>,
    half: Vec<f64>,
    measured: Measured,
    basis: Basis,
    aim: Aim,
    steepest: Slope,
    flattest: Slope,
    notes: Vec<Note>,
}

impl Correction {
    /// For a measured response, held to the aim up to the last tone.
    pub fn from_response(response: &Response, aim: Aim) -> Self {
        Self::with_toe(response, aim, Toe::AsAimed)
    }

    /// For a measured response.
    pub fn with_toe(response: &Response, aim: Aim, toe: Toe) -> Self {
        let (black, white) = (response.black().lightness.value, response.white().lightness.value);
        let mut code = nodes(|u| response.code_for(aim.lightness(u, black, white)));
        if toe == Toe::Kept {
            keep_toe(&mut code);
        }
        let expected = code.iter().map(|&c| response.at(c)).collect();
        let half = code.iter().map(|&c| response.half_width(c)).collect();
        let measured = Measured::Yes { readings: response.points().len() };
        Self::made(code, expected, half, measured, response.basis(), aim)
    }

    /// For a setup without readings: a typical paper curve, ink density even in the code.
    pub fn starting(aim: Aim) -> Self {
        let print = TypicalPrint::new();
        let places: Vec<f64> = (0..NODES).map(|i| i as f64 / (NODES - 1) as f64).collect();
        let curve: Vec<f64> = places.iter().map(|&c| print.lightness(c)).collect();
        let (black, white) = (curve[0], curve[NODES - 1]);
        // No plateaus: clear film is black and full ink white by the model's making. The curve rises everywhere, so this
        // never falls back; a straight line would still be a correction.
        let inverse = Inverse::new(&places, &curve, 0.0);
        let code = nodes(|u| inverse.as_ref().map_or(u, |i| i.at(aim.lightness(u, black, white))));
        let expected: Vec<f64> = code.iter().map(|&c| print.lightness(c)).collect();
        let half = expected
            .iter()
            .map(|l| {
                let u = ((l - black) / (white - black)).clamp(0.0, 1.0);
                END_DOUBT.value + (MID_TONE_DOUBT.value - END_DOUBT.value) * 4.0 * u * (1.0 - u)
            })
            .collect();
        Self::made(code, expected, half, Measured::No, Basis::CommonPractice, aim)
    }

    fn made(
        mut code: Vec<f64>,
        expected: Vec<f64>,
        half: Vec<f64>,
        measured: Measured,
        basis: Basis,
        aim: Aim,
    ) -> Self {
        // Rounding in the inverse may turn a step by a last bit.
        let mut highest = 0.0;
        for c in &mut code {
            highest = f64::max(highest, c.clamp(0.0, 1.0));
            *c = highest;
        }
        #[expect(clippy::cast_possible_truncation, reason = "f32 is what the pixels are in")]
        let table = code.iter().map(|&c| c as f32).collect();
        let none = Slope { value: 0.0, tone: 0.0 };
        let mut made = Self {
            code,
            table,
            expected,
            half,
            measured,
            basis,
            aim,
            steepest: none,
            flattest: none,
            notes: Vec::new(),
        };
        (made.flattest, made.steepest) = made.slopes();
        made.notes = made.remarks();
        made
    }

    /// Ink code of picture tone `u` (0 black … 1 white; clamped): straight between 4,096 nodes. Never falls with u.
    pub fn at(&self, u: f64) -> f64 {
        interpolated(&self.code, u)
    }

    /// The same at equal steps of u from 0 to 1, [`TABLE`] entries, for pixels: go straight between them.
    pub fn table(&self) -> &[f32] {
        &self.table
    }

    /// `n` (at least 2) points (u, c) at equal steps of u.
    pub fn points(&self, n: usize) -> Vec<(f64, f64)> {
        let n = n.max(2);
        (0..n)
            .map(|i| {
                let u = i as f64 / (n - 1) as f64;
                (u, self.at(u))
            })
            .collect()
    }

    /// Print L* expected for picture tone `u`.
    pub fn expected_lightness(&self, u: f64) -> f64 {
        interpolated(&self.expected, u)
    }

    /// The same with its 95 % interval.
    pub fn expected(&self, u: f64) -> Estimate {
        let (value, half) = (self.expected_lightness(u), interpolated(&self.half, u));
        Estimate { value, low: (value - half).max(0.0), high: value + half, basis: self.basis }
    }

    /// Whether it rests on readings.
    pub fn measured(&self) -> Measured {
        self.measured
    }

    /// The aim it was made for.
    pub fn aim(&self) -> &Aim {
        &self.aim
    }

    /// Where the ink changes fastest with the picture tone.
    pub fn steepest(&self) -> Slope {
        self.steepest
    }

    /// Where it changes slowest.
    pub fn flattest(&self) -> Slope {
        self.flattest
    }

    /// What there is to say about it.
    pub fn notes(&self) -> &[Note] {
        &self.notes
    }

    fn slopes(&self) -> (Slope, Slope) {
        let step = 1.0 / SLOPE_STEPS as f64;
        let mut flattest = Slope { value: f64::MAX, tone: 0.0 };
        let mut steepest = Slope { value: 0.0, tone: 0.0 };
        for i in 0..SLOPE_STEPS {
            let u = i as f64 * step;
            let slope = Slope { value: (self.at(u + step) - self.at(u)) / step, tone: u + 0.5 * step };
            if slope.value < flattest.value {
                flattest = slope;
            }
            if slope.value > steepest.value {
                steepest = slope;
            }
        }
        (flattest, steepest)
    }

    fn remarks(&self) -> Vec<Note> {
        let mut notes = Vec::new();
        if self.measured == Measured::No {
            notes.push(Note::warning(
                FIELD,
                format!("This correction is {}: it follows a typical paper.", self.measured.words()),
                "Print a tone chart, read it and enter the readings.",
            ));
        }
        // A typical curve's slopes are not the printer's.
        if self.measured != Measured::No && self.steepest.value > SLOPE_LIMIT {
            notes.push(Note::warning(
                FIELD,
                format!(
                    "Around picture tone {} % one step of the picture takes {} times as large a step of ink; tones may break apart there.",
                    decimals(100.0 * self.steepest.tone, 0),
                    decimals(self.steepest.value, 1)
                ),
                "Use 16-bit pictures; a shorter ink range, or less exposure, evens it out.",
            ));
        }
        notes
    }
}

/// Lays the flattest chord there is, among the lightest tones, from a tone to white. Where ink changes ever faster
/// towards white it touches the curve it leaves; where it does not, nothing changes.
fn keep_toe(code: &mut [f64]) {
    let last = code.len() - 1;
    let white = code[last];
    // Left of white itself by more than its plateau takes, where no chord says anything.
    let (from, to) = (last * TOE.0 / 100, last * TOE.1 / 100);
    let slope = |i: usize| (white - code[i]) / (last - i) as f64;
    let Some(left) = (from..to).min_by(|&a, &b| slope(a).total_cmp(&slope(b))) else { return };
    let step = slope(left);
    for (i, c) in code.iter_mut().enumerate().skip(left) {
        *c = c.max(white - step * (last - i) as f64);
    }
}

fn nodes(f: impl Fn(f64) -> f64) -> Vec<f64> {
    (0..TABLE).map(|i| f(i as f64 / (TABLE - 1) as f64)).collect()
}

/// Straight between equal steps of 0…1; `values` has [`TABLE`] entries.
fn interpolated(values: &[f64], u: f64) -> f64 {
    let place = if u > 0.0 { u.min(1.0) } else { 0.0 } * (TABLE - 1) as f64;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between 0 and the last node"
    )]
    let i = (place as usize).min(TABLE - 2);
    let t = place - i as f64;
    values[i] + (values[i + 1] - values[i]) * t
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;
    use crate::tone::Reading;

    /// A print with a long toe towards white: from 24 to 94, within 0.7 L* of white over the last fifth of the ink.
    fn long_toe() -> Response {
        let readings: Vec<Reading> = (0..=40)
            .map(|i| {
                let c = f64::from(i) / 40.0;
                Reading::lightness(c, 94.0 - 70.0 * math::pow(1.0 - c, 3.0))
            })
            .collect();
        Response::fit(&readings).unwrap()
    }

    #[test]
    fn a_kept_toe_takes_even_steps_of_ink_and_leaves_the_rest_alone() {
        let response = long_toe();
        for aim in [Aim::LinearLightness, Aim::AsOnScreen] {
            let aimed = Correction::from_response(&response, aim.clone());
            let kept = Correction::with_toe(&response, aim, Toe::Kept);
            for i in 0..=94 {
                let u = f64::from(i) / 100.0;
                assert!((aimed.at(u) - kept.at(u)).abs() < 1e-9, "{u}");
            }
            let step = |c: &Correction, u: f64| c.at(u + 1.0 / 256.0) - c.at(u);
            let last = 255.0 / 256.0;
            let (kept_step, aimed_step) = (step(&kept, last), step(&aimed, last));
            assert!(kept_step < 0.5 * aimed_step, "{kept_step} {aimed_step} {}", kept.at(1.0));
            assert!(kept.table().windows(2).all(|w| w[0] <= w[1]));
            // The price: the lightest tones come out lighter than aimed, by less than is seen at a glance.
            let off = (95..=100)
                .map(|i| f64::from(i) / 100.0)
                .map(|u| kept.expected_lightness(u) - aimed.expected_lightness(u))
                .fold(0.0, f64::max);
            assert!(off > 0.0 && off < 1.5, "{off}");
        }
    }
}
