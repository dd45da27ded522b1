//! The film curve: how much each ink code holds back in the light that prints, without a densitometer for it.
//!
//! Ink patches and a step tablet of known density lie side by side in one exposure. The effective printing density of
//! an ink code is the density of the step that prints to the same lightness. It belongs to film, ink and lamp; another
//! paper or mix then needs only its own step print, and [`FilmCurve::through`] puts the two together.

use super::doubt::Point;
use super::fit;
use super::reading::Reading;
use super::refusal::{FEWEST_CODES, ResponseError};
use super::response::{NODES, Response, SMOOTHED_FROM, Statistics};
use super::samples::{self, Sample};
use super::sighted::Sighted;
use super::step_curve::StepCurve;
use crate::constant::{Basis, Constant};
use crate::estimate::Estimate;
use crate::math;
use crate::note::Note;
use crate::show::decimals;

/// Standard deviation of a tablet's steps about what is written on it.
pub const TABLET_SPREAD: Constant =
    Constant::practice(0.02, "density", 1, "a tablet without a certificate; no source");
/// L* per unit of density at which one reading of L* tells density as well as the fit takes for granted.
const UNIT_SLOPE: f64 = 45.0;
/// Slope of the step curve, in L* per density, below which a patch does not tell its density.
const FLATTEST: f64 = 6.0;
/// Two-sided 95 % point of the normal distribution.
const WIDE: f64 = 1.96;
/// Field of the tone station the notes are about.
const FIELD: &str = "film";

/// Effective printing density against ink code, rising.
#[derive(Clone, Debug)]
pub struct FilmCurve {
    density: Vec<f64>,
    half: Vec<f64>,
    measured: (f64, f64),
    patches: usize,
    sigma: f64,
    points: Vec<Point>,
    notes: Vec<Note>,
}

impl FilmCurve {
    /// From ink patches printed beside the steps of `steps`. Patches as black as clear film or as white as paper say
    /// only "not less" and are left out.
    ///
    /// # Errors
    /// Names the reading, or what the patches lack.
    pub fn fit(steps: &StepCurve, patches: &[Reading]) -> Result<Self, ResponseError> {
        let mut kept: Vec<(usize, Sample)> = Vec::new();
        for (index, r) in patches.iter().enumerate() {
            if let Some(fault) = r.fault() {
                let name = super::reading::name(index, &r.id, r.code);
                return Err(ResponseError::Faulty { index, name, fault });
            }
            let Some(d) = steps.density_for(r.to_lightness()) else { continue };
            let slope = steps.slope(d);
            if slope >= FLATTEST {
                let weight = r.weight * (slope / UNIT_SLOPE) * (slope / UNIT_SLOPE);
                kept.push((index, Sample { code: r.code, lightness: UNIT_SLOPE * d, weight, group: 0 }));
            }
        }
        kept.sort_by(|a, b| a.1.code.total_cmp(&b.1.code).then(a.1.lightness.total_cmp(&b.1.lightness)));
        let mut sorted: Vec<Sample> = kept.iter().map(|k| k.1).collect();
        let codes = samples::group(&mut sorted);
        if codes < FEWEST_CODES {
            return Err(ResponseError::TooFewCodes(codes));
        }
        let smoothed = if codes < SMOOTHED_FROM { None } else { fit::smoothed(&sorted, true) };
        let fitted = smoothed.or_else(|| fit::interpolated(&sorted, true)).ok_or(ResponseError::Unsolved)?;
        let measured = (sorted[0].code, sorted[sorted.len() - 1].code);
        let points = kept
            .iter()
            .zip(&fitted.counts)
            .map(|((index, s), &counts)| Point {
                index: *index,
                id: patches[*index].id.clone(),
                code: s.code,
                lightness: steps.at(s.lightness / UNIT_SLOPE),
                weight: s.weight,
                counts,
                residual: (s.lightness - fitted.compared(s.code)) / UNIT_SLOPE,
            })
            .collect();
        let density: Vec<f64> = places().map(|c| fitted.at(c) / UNIT_SLOPE).collect();
        // The fit's own doubt; that of the step curve where it is matched; that of the tablet.
        let half = places()
            .zip(&density)
            .map(|(c, &d)| {
                let own = fitted.half(c) / UNIT_SLOPE;
                let matched = steps.half_width(d) / steps.slope(d).max(FLATTEST);
                let tablet = WIDE * TABLET_SPREAD.value;
                math::sqrt(own * own + matched * matched + tablet * tablet)
            })
            .collect();
        let mut notes = Vec::new();
        let silent = patches.len() - kept.len();
        if silent > 0 {
            notes.push(Note::hint(
                FIELD,
                format!(
                    "{silent} of {} patches print black or white and do not tell their density.",
                    patches.len()
                ),
            ));
        }
        let curve = Self { density, half, measured, patches: kept.len(), sigma: fitted.sigma, points, notes };
        curve.checked()
    }

    /// From what eyes saw: between which two steps each ink step lies.
    ///
    /// # Errors
    /// Says what the sightings lack.
    pub fn by_eye(seen: &Sighted) -> Result<Self, ResponseError> {
        let density = places().map(|c| seen.density(c)).collect();
        let half = places()
            .map(|c| {
                let (own, tablet) = (seen.half_width(c), WIDE * TABLET_SPREAD.value);
                math::sqrt(own * own + tablet * tablet)
            })
            .collect();
        let (patches, measured) = (seen.count(), seen.codes());
        let (points, notes) = (Vec::new(), Vec::new());
        Self { density, half, measured, patches, sigma: 0.0, points, notes }.checked()
    }

    fn checked(mut self) -> Result<Self, ResponseError> {
        if self.density.iter().chain(&self.half).any(|v| !v.is_finite()) {
            return Err(ResponseError::Unsolved);
        }
        for i in 1..self.density.len() {
            self.density[i] = self.density[i].max(self.density[i - 1]);
        }
        Ok(self)
    }

    /// Effective printing density of an ink code, on the tablet's scale, with its 95 % interval.
    pub fn density(&self, code: f64) -> Estimate {
        let (value, half) = (straight(&self.density, code), straight(&self.half, code));
        Estimate::plus_minus(
            value,
            half,
            Basis::Measured { n: u32::try_from(self.patches).unwrap_or(u32::MAX) },
        )
    }

    /// The same above clear film.
    pub fn net(&self, code: f64) -> f64 {
        straight(&self.density, code) - self.density[0]
    }

    /// Lowest and highest ink code that told its density.
    pub fn measured(&self) -> (f64, f64) {
        self.measured
    }

    /// The patches beside the curve; their residuals are in density.
    pub fn points(&self) -> &[Point] {
        &self.points
    }

    /// What there is to say about it.
    pub fn notes(&self) -> &[Note] {
        &self.notes
    }

    /// The response of a paper, mix or lamp of which only a step print is known: L* of ink code c is that of the step
    /// as dense as c. `log_time`: log₁₀ of the time the response is for over that of the step print.
    ///
    /// # Errors
    /// When the two reach no black and white together.
    pub fn through(&self, steps: &StepCurve, log_time: f64) -> Result<Response, ResponseError> {
        let moved = if log_time.is_finite() { log_time } else { 0.0 };
        let place: Vec<f64> = self.density.iter().map(|d| d - moved).collect();
        let curve: Vec<f64> = place.iter().map(|&d| steps.at(d)).collect();
        let half: Vec<f64> = place
            .iter()
            .zip(&self.half)
            .map(|(&d, h)| {
                let (print, film) = (steps.half_width(d), steps.slope(d) * h);
                math::sqrt(print * print + film * film)
            })
            .collect();
        let mut notes = self.notes.clone();
        notes.extend_from_slice(steps.notes());
        let (low, high) = steps.steps_read();
        let (first, last) = (place[0], place[NODES - 1]);
        for (beyond, by, name) in
            [(first < low, low - first, "Clear film"), (last > high, last - high, "Full ink")]
        {
            if beyond && by > 0.05 {
                notes.push(Note::warning(
                    FIELD,
                    format!("{name} lies {} density beyond the steps that were read; the curve is held flat there.", decimals(by, 2)),
                    "Print the tablet with another time, or more of it.",
                ));
            }
        }
        let readings = self.patches + steps.steps();
        let sigma = steps.sigma().max(self.sigma);
        let statistics = Statistics {
            readings,
            codes: self.patches,
            rms: 0.0,
            worst: 0.0,
            sigma,
            edf: None,
            log_lambda: None,
        };
        Response::composed(&curve, half, (0.0, 1.0), statistics, notes)
    }
}

fn places() -> impl Iterator<Item = f64> {
    (0..NODES).map(|i| i as f64 / (NODES - 1) as f64)
}

fn straight(values: &[f64], code: f64) -> f64 {
    let place = if code > 0.0 { code.min(1.0) } else { 0.0 } * (values.len() - 1) as f64;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between 0 and the last node"
    )]
    let i = (place as usize).min(values.len() - 2);
    values[i] + (values[i + 1] - values[i]) * (place - i as f64)
}
