//! What a paper does with light: its own curve where a step print was read, a starting one until then.

use super::Learnt;
use super::paper_curve::{PaperCurve, Shift};
use super::steps::Print;
use crate::constant::Basis;
use crate::estimate::Estimate;
use crate::tone::lightness;

/// Of the two hundred repeats, every so many-th is asked about a shift of a tone: forty show its band.
const EVERY: usize = 5;

/// A curve of density against log exposure, counted from that for black behind clear film.
pub trait Paper {
    /// Density at x; never falls.
    fn density(&self, x: f64) -> f64;
    /// Its slope.
    fn slope(&self, x: f64) -> f64;
    /// The x of a density; `None` at and beyond white and black.
    fn log_exposure(&self, density: f64) -> Option<f64>;
    /// Where it comes from.
    fn basis(&self) -> Basis;
    /// How a tone moves when log exposure changes by `delta`; `None` as in [`Paper::log_exposure`].
    fn shift(&self, density: f64, delta: f64) -> Option<Shift>;
    /// Density of white paper.
    fn white(&self) -> f64;
}

impl Paper for PaperCurve {
    fn density(&self, x: f64) -> f64 {
        Self::density(self, x)
    }

    fn slope(&self, x: f64) -> f64 {
        Self::slope(self, x)
    }

    fn log_exposure(&self, density: f64) -> Option<f64> {
        Self::log_exposure(self, density)
    }

    fn basis(&self) -> Basis {
        Self::basis(self)
    }

    fn shift(&self, density: f64, delta: f64) -> Option<Shift> {
        Self::shift(self, density, delta)
    }

    fn white(&self) -> f64 {
        super::paper_curve::PAPER.value
    }
}

/// The curve of a step print, from its own black.
#[derive(Clone, Copy, Debug)]
pub struct Own<'a> {
    print: &'a Print,
    black: f64,
}

impl<'a> Own<'a> {
    /// With black counted within a closeness of the densest; `None` if the print did not reach it.
    #[must_use]
    pub fn new(print: &'a Print, closeness: f64) -> Option<Self> {
        let black = print.fitted.curve.log_exposure(print.dmax - closeness)?;
        Some(Self { print, black })
    }

    /// The print.
    #[must_use]
    pub fn print(&self) -> &Print {
        self.print
    }
}

impl Paper for Own<'_> {
    fn density(&self, x: f64) -> f64 {
        self.print.fitted.curve.density(self.black + x)
    }

    fn slope(&self, x: f64) -> f64 {
        self.print.fitted.curve.slope(self.black + x)
    }

    fn log_exposure(&self, density: f64) -> Option<f64> {
        self.print.fitted.curve.log_exposure(density).map(|x| x - self.black)
    }

    fn basis(&self) -> Basis {
        Basis::Measured { n: self.print.steps() }
    }

    fn shift(&self, density: f64, delta: f64) -> Option<Shift> {
        let curve = &self.print.fitted.curve;
        let before = lightness::from_density(density);
        let after = curve.density(curve.log_exposure(density)? + delta);
        let value = lightness::from_density(after) - before;
        let (mut low, mut high) = (value, value);
        for draw in self.print.draws.iter().step_by(EVERY) {
            if let Some(x) = draw.curve.log_exposure(density) {
                let l = lightness::from_density(draw.curve.density(x + delta)) - before;
                (low, high) = (low.min(l), high.max(l));
            }
        }
        Some(Shift { before: density, after, lightness: Estimate { value, low, high, basis: self.basis() } })
    }

    fn white(&self) -> f64 {
        self.print.dmin
    }
}

/// The curve in use: the step print's, or else the starting one.
#[derive(Clone, Copy, Debug)]
pub enum InUse<'a> {
    /// The printer's own.
    Own(Own<'a>),
    /// Ours.
    Starting(PaperCurve),
}

impl<'a> InUse<'a> {
    /// Of what a setup's step print gave, with black counted within a closeness of the densest.
    #[must_use]
    pub fn of(learnt: &'a Learnt, closeness: f64) -> Self {
        match learnt.print().and_then(|print| Own::new(print, closeness)) {
            Some(own) => Self::Own(own),
            None => Self::Starting(PaperCurve::starting(closeness)),
        }
    }
}

impl InUse<'_> {
    /// As a curve.
    #[must_use]
    pub fn paper(&self) -> &dyn Paper {
        match self {
            Self::Own(own) => own,
            Self::Starting(curve) => curve,
        }
    }
}
