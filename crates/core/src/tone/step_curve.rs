//! The step curve: print lightness against the density of a step tablet, printed in one exposure.
//!
//! Fitted to readings as the response is, only along tablet density; or, with eyes alone, the typical paper curve laid
//! between the step that is no longer black and the step that is white.

use super::fit::{self, Fitted};
use super::inverse::{FLAT, Inverse};
use super::lightness;
use super::response::{SMOOTHED_FROM, rank_correlation};
use super::samples::{self, Sample};
use super::starting::{END_DOUBT, TypicalPrint};
use crate::constant::Constant;
use crate::math;
use crate::note::Note;
use crate::show::decimals;

/// Densest step taken.
pub const DENSEST: f64 = 6.0;
/// Fewest different steps that make a curve.
pub const FEWEST_STEPS: usize = 7;
/// Half interval, in L*, of the middle of a step curve that was found by eye: how papers differ in shape.
pub const SHAPE_DOUBT: Constant =
    Constant::choice(5.0, "L*", 1, "papers between the same black and white, steepness 0.86 to 1.41");
/// Factor either way by which eyes differ in the least density they see beside white, and beside black.
pub const SIGHT_DOUBT: Constant =
    Constant::choice(2.0, "1", 1, "touching patches are told apart from 0.01 to 0.04 density on");
/// Nodes along the tablet.
const NODES: usize = 1025;
/// Step over which slopes are taken, in density.
const SLOPE_STEP: f64 = 0.05;
/// Field of the tone station the notes are about.
const FIELD: &str = "steps";

/// A step of the tablet and what it printed.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// Transmission density of the step.
    pub density: f64,
    /// L* of its print.
    pub lightness: f64,
}

/// Why there is no step curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum StepError {
    /// A step has no possible density or L* (its place, from 0).
    Faulty(usize),
    /// Fewer different steps than are needed (the number found).
    TooFew(usize),
    /// The print does not get lighter behind denser steps.
    NoDirection,
    /// Black and white are not both there, or exchanged.
    NoRange,
}

impl StepError {
    /// The note for the page.
    pub fn note(&self) -> Note {
        match self {
            Self::Faulty(i) => Note::error(
                FIELD,
                format!("Step {} has no density from 0 to 6, or no L* from 0 to 105.", i + 1),
                "Check its digits.",
            ),
            Self::TooFew(n) => Note::error(
                FIELD,
                format!("There are {n} different steps; {FEWEST_STEPS} make a curve."),
                "Read more steps, from black to white.",
            ),
            Self::NoDirection => Note::error(
                FIELD,
                "The print does not get lighter from step to denser step.",
                "Check the order of the steps: the clear end of the tablet prints black.",
            ),
            Self::NoRange => Note::error(
                FIELD,
                "The step print does not reach from a black to a white.",
                "Expose so that the clearest steps are black, and use a tablet long enough to reach white.",
            ),
        }
    }
}

/// Print lightness against tablet density.
#[derive(Clone, Debug)]
pub struct StepCurve {
    places: Vec<f64>,
    half: Vec<f64>,
    inverse: Inverse,
    sigma: f64,
    steps: usize,
    notes: Vec<Note>,
}

impl StepCurve {
    /// From the readings of a step print, in any order.
    ///
    /// # Errors
    /// Says which step, or what the steps lack.
    pub fn fit(steps: &[Step]) -> Result<Self, StepError> {
        let sound = |s: &Step| (0.0..=DENSEST).contains(&s.density) && (0.0..=105.0).contains(&s.lightness);
        if let Some(i) = steps.iter().position(|s| !sound(s)) {
            return Err(StepError::Faulty(i));
        }
        let mut sorted: Vec<Sample> = steps
            .iter()
            .map(|s| Sample { code: s.density, lightness: s.lightness, weight: 1.0, group: 0 })
            .collect();
        sorted.sort_by(|a, b| a.code.total_cmp(&b.code).then(a.lightness.total_cmp(&b.lightness)));
        let different = samples::group(&mut sorted);
        if different < FEWEST_STEPS {
            return Err(StepError::TooFew(different));
        }
        if rank_correlation(&sorted.iter().map(|s| s.lightness).collect::<Vec<_>>()) < 0.6 {
            return Err(StepError::NoDirection);
        }
        let smoothed = if different < SMOOTHED_FROM { None } else { fit::smoothed(&sorted, true) };
        let fitted: Fitted =
            smoothed.or_else(|| fit::interpolated(&sorted, true)).ok_or(StepError::NoRange)?;
        let (low, high) = (sorted[0].code, sorted[sorted.len() - 1].code);
        let mut curve = Self::drawn(low, high, &|d| fitted.at(d), &|d| fitted.half(d))?;
        curve.sigma = fitted.sigma;
        curve.steps = steps.len();
        curve.remark();
        Ok(curve)
    }

    /// By eye: the densities between which steps stop looking black, and between which they begin to look white
    /// (each lower density first).
    ///
    /// # Errors
    /// When they are not in order, or no densities.
    pub fn by_eye(black: (f64, f64), white: (f64, f64)) -> Result<Self, StepError> {
        let all = [black.0, black.1, white.0, white.1];
        if all.iter().any(|d| !(0.0..=DENSEST).contains(d)) || all.windows(2).any(|w| w[0] > w[1]) {
            return Err(StepError::NoRange);
        }
        let (from, to) = (black.0.midpoint(black.1), white.0.midpoint(white.1));
        if to - from < 0.3 {
            return Err(StepError::NoRange);
        }
        let print = TypicalPrint::new();
        let at = |d: f64| print.lightness((d - from) / (to - from));
        // A step's half width either way, as the eye found it, moves the curve along the tablet.
        let sharp = ((black.1 - black.0) + (white.1 - white.0)) / 4.0;
        // A keener eye finds white that much further on, and black that much sooner.
        let keen = print.sight(SIGHT_DOUBT.value);
        let half = |d: f64| {
            let slope = (at(d + SLOPE_STEP) - at(d - SLOPE_STEP)) / (2.0 * SLOPE_STEP);
            let v = ((d - from) / (to - from)).clamp(0.0, 1.0);
            let shape = END_DOUBT.value + (SHAPE_DOUBT.value - END_DOUBT.value) * 4.0 * v * (1.0 - v);
            let (sharp, keen) = (slope * sharp, slope * (keen.0 * (1.0 - v) + keen.1 * v));
            math::sqrt(shape * shape + sharp * sharp + keen * keen)
        };
        // One step more either way, so that the ends lie inside.
        let margin = 0.05 * (to - from);
        let mut curve = Self::drawn((from - margin).max(0.0), to + margin, &at, &half)?;
        curve.sigma = END_DOUBT.value / 2.0;
        curve.steps = 2;
        Ok(curve)
    }

    fn drawn(
        low: f64,
        high: f64,
        at: &dyn Fn(f64) -> f64,
        half: &dyn Fn(f64) -> f64,
    ) -> Result<Self, StepError> {
        let places: Vec<f64> =
            (0..NODES).map(|i| low + (high - low) * i as f64 / (NODES - 1) as f64).collect();
        let curve: Vec<f64> = places.iter().map(|&d| at(d)).collect();
        let half: Vec<f64> = places.iter().map(|&d| half(d)).collect();
        let inverse = Inverse::new(&places, &curve, FLAT).ok_or(StepError::NoRange)?;
        if inverse.forward(high) - inverse.forward(low) < 20.0 || half.iter().any(|h| !h.is_finite()) {
            return Err(StepError::NoRange);
        }
        Ok(Self { places, half, inverse, sigma: 0.0, steps: 0, notes: Vec::new() })
    }

    /// L* printed behind a density; flat beyond the steps.
    pub fn at(&self, density: f64) -> f64 {
        self.inverse.forward(density)
    }

    /// Half its 95 % interval.
    pub fn half_width(&self, density: f64) -> f64 {
        let i = self.places.partition_point(|p| *p < density).min(self.half.len() - 1);
        self.half[i]
    }

    /// L* per unit of density there; not below 0.
    pub fn slope(&self, density: f64) -> f64 {
        (self.at(density + SLOPE_STEP) - self.at(density - SLOPE_STEP)) / (2.0 * SLOPE_STEP)
    }

    /// The density that prints an L*; `None` for L* at or beyond black and white, which many densities print.
    pub fn density_for(&self, l: f64) -> Option<f64> {
        let d = self.inverse.at(l);
        (d > self.inverse.live_low() && d < self.inverse.live_high()).then_some(d)
    }

    /// L* of black and white.
    pub fn ends(&self) -> (f64, f64) {
        let (low, high) = self.steps_read();
        (self.at(low), self.at(high))
    }

    /// Lowest and highest density of the steps.
    pub fn steps_read(&self) -> (f64, f64) {
        (self.places[0], self.places[NODES - 1])
    }

    /// Working range: densities from the last that prints black to the first that prints white, `black` and `white` in
    /// print density from those (0.03 and 0.02 are usual; clamped to 0.005…0.2).
    pub fn working_range(&self, black: f64, white: f64) -> (f64, f64) {
        let near = |x: f64| if x.is_finite() { x.clamp(0.005, 0.2) } else { 0.03 };
        let density = |l: f64| lightness::to_density(l).unwrap_or(lightness::to_density(1.0).unwrap_or(3.0));
        let (dark, light) = self.ends();
        let from = self.inverse.at(lightness::from_density(density(dark) - near(black)));
        let to = self.inverse.at(lightness::from_density(density(light) + near(white)));
        (from, to.max(from))
    }

    /// Standard deviation of one reading, in L*.
    pub fn sigma(&self) -> f64 {
        self.sigma
    }

    /// How many steps were read.
    pub fn steps(&self) -> usize {
        self.steps
    }

    /// What there is to say about it.
    pub fn notes(&self) -> &[Note] {
        &self.notes
    }

    /// Whether the ends of the step print are ends: black and white must lie still over the last 0.3 of density.
    fn remark(&mut self) {
        /// L* over 0.3 of density up to which an end lies still: 0.1 of print density in black, 0.02 in white.
        const STILL: (f64, f64) = (3.0, 1.7);
        let (low, high) = self.steps_read();
        let (dark, light) = (self.at(low + 0.3) - self.at(low), self.at(high) - self.at(high - 0.3));
        if dark > STILL.0 {
            self.notes.push(Note::warning(
                FIELD,
                format!(
                    "Black was not reached: it still moves {} L* over the clearest steps.",
                    decimals(dark, 1)
                ),
                "Print the tablet again with twice the time.",
            ));
        }
        if light > STILL.1 {
            self.notes.push(Note::warning(
                FIELD,
                format!(
                    "White was not reached: it still moves {} L* over the densest steps.",
                    decimals(light, 1)
                ),
                "Print the tablet again with half the time, or use a longer one.",
            ));
        }
    }
}
