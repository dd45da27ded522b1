//! The response: print lightness against ink code, fitted to readings, with its 95 % band.
//!
//! Method: readings as L*, merged by code; monotone penalised B-spline with the smoothness of restricted maximum
//! likelihood and bisquare weights (Eilers and Marx 1996; Eilers 2005; Tukey), band after Wahba 1983 and Nychka
//! 1988 with Student's factor. Below [`SMOOTHED_FROM`] distinct codes isotonic means joined by a monotone cubic.

use super::doubt;
pub use super::doubt::{Doubt, Flag, Point};
use super::fit::{self, Fitted};
use super::inverse::{FLAT, Inverse};
use super::reading::{self, Quantity, Reading};
use super::refusal::{FEWEST_CODES, MOST_READINGS, ResponseError};
use super::samples::{self, Sample};
use crate::constant::Basis;
use crate::estimate::Estimate;
use crate::math;
use crate::note::Note;

/// Distinct codes from which on the readings are smoothed: below, interpolation does better in simulations with
/// known truth.
pub const SMOOTHED_FROM: usize = 13;
/// Nodes of the fitted curve over ink codes 0…1.
pub const NODES: usize = 2049;
/// Rank correlation below which readings neither rise nor fall.
const RISES: f64 = 0.6;
/// Least difference between black and white, in L*, that is a print.
const LEAST_RANGE: f64 = 5.0;
/// L* up to which a whole column of "L*" can only be densities.
const DENSITY_LIKE: f64 = 4.5;

/// How the curve was made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Method {
    /// Smoothed by a monotone penalised spline.
    Smoothed,
    /// Isotonic means joined by a monotone cubic.
    Interpolated,
    /// Film curve and step print of another day put together.
    Composed,
}

impl Method {
    /// As the page names it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Smoothed => "smoothed",
            Self::Interpolated => "interpolated, not smoothed",
            Self::Composed => "put together from a film curve and a step print",
        }
    }
}

/// How well the curve meets the readings, in L*.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Statistics {
    /// Number of readings given.
    pub readings: usize,
    /// Number of distinct codes.
    pub codes: usize,
    /// Root mean square of the residuals of the readings that counted.
    pub rms: f64,
    /// Largest residual of all.
    pub worst: f64,
    /// Standard deviation of a single reading, free of outliers.
    pub sigma: f64,
    /// Effective number of parameters of a smoothed curve.
    pub edf: Option<f64>,
    /// Decimal logarithm of the smoothing over its scale, of a smoothed curve.
    pub log_lambda: Option<f64>,
}

/// An end of the print's scale.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct End {
    /// The ink code nearest the mid tones that still gives it.
    pub code: f64,
    /// Its L* with a 95 % interval.
    pub lightness: Estimate,
}

/// How readings are treated.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Options {
    /// Let readings far off the curve count less.
    pub with_doubt: bool,
}

impl Default for Options {
    fn default() -> Self {
        Self { with_doubt: true }
    }
}

/// Print lightness against ink code, rising, with its band.
#[derive(Clone, Debug, PartialEq)]
pub struct Response {
    inverse: Inverse,
    half: Vec<f64>,
    measured: (f64, f64),
    method: Method,
    turned: bool,
    dip: Option<f64>,
    points: Vec<Point>,
    flagged: Vec<Flag>,
    statistics: Statistics,
    notes: Vec<Note>,
}

impl Response {
    /// Fits readings, in any order.
    ///
    /// # Errors
    /// Names the reading, or what the readings lack.
    pub fn fit(readings: &[Reading]) -> Result<Self, ResponseError> {
        Self::fit_with(readings, Options::default())
    }

    /// Fits readings with options.
    ///
    /// # Errors
    /// As [`Self::fit`].
    pub fn fit_with(readings: &[Reading], options: Options) -> Result<Self, ResponseError> {
        check(readings)?;
        let mut order: Vec<usize> = (0..readings.len()).collect();
        let mut sorted = ordered(readings, &mut order, false);
        let mut codes = samples::group(&mut sorted);
        if codes < FEWEST_CODES {
            return Err(ResponseError::TooFewCodes(codes));
        }
        let rise = rank_correlation(&samples::merge(&sorted, &vec![1.0; sorted.len()]).mean);
        let turned = rise < 0.0;
        if rise.abs() < RISES {
            return Err(ResponseError::NoDirection);
        }
        if turned {
            sorted = ordered(readings, &mut order, true);
            codes = samples::group(&mut sorted);
        }

        let smoothed = if codes < SMOOTHED_FROM { None } else { fit::smoothed(&sorted, options.with_doubt) };
        let fitted = smoothed
            .or_else(|| fit::interpolated(&sorted, options.with_doubt))
            .ok_or(ResponseError::Unsolved)?;
        Self::drawn(readings, &sorted, &order, codes, turned, &fitted)
    }

    fn drawn(
        readings: &[Reading],
        sorted: &[Sample],
        order: &[usize],
        codes: usize,
        turned: bool,
        fitted: &Fitted,
    ) -> Result<Self, ResponseError> {
        let places: Vec<f64> = (0..NODES).map(|i| i as f64 / (NODES - 1) as f64).collect();
        let curve: Vec<f64> = places.iter().map(|&c| fitted.at(c)).collect();
        let half: Vec<f64> = places.iter().map(|&c| fitted.half(c)).collect();
        let inverse = Inverse::new(&places, &curve, FLAT).ok_or(ResponseError::Unsolved)?;
        if half.iter().any(|h| !h.is_finite()) {
            return Err(ResponseError::Unsolved);
        }
        let range = inverse.forward(1.0) - inverse.forward(0.0);
        if range < LEAST_RANGE {
            return Err(ResponseError::NoRange(range));
        }

        let mut points: Vec<Point> = sorted
            .iter()
            .zip(order)
            .zip(&fitted.counts)
            .map(|((s, &index), &counts)| Point {
                index,
                id: readings[index].id.clone(),
                code: s.code,
                lightness: s.lightness,
                weight: s.weight,
                counts,
                residual: s.lightness - fitted.compared(s.code),
            })
            .collect();
        points.sort_by_key(|p| p.index);
        let method = if fitted.is_smoothed() { Method::Smoothed } else { Method::Interpolated };
        let flagged: Vec<Flag> = points
            .iter()
            .filter_map(|p| doubt::flag(p, &points, !fitted.is_smoothed(), fitted.sigma))
            .collect();
        let mut response = Self {
            inverse,
            half,
            measured: (sorted[0].code, sorted[sorted.len() - 1].code),
            method,
            turned,
            dip: fitted.dip,
            statistics: statistics(&points, codes, fitted),
            points,
            flagged,
            notes: Vec::new(),
        };
        response.notes = response.remarks(readings);
        Ok(response)
    }

    /// L* printed by ink code `code` (clamped to 0…1): straight between 2,049 nodes, flat beyond the measured codes.
    pub fn at(&self, code: f64) -> f64 {
        self.inverse.forward(code)
    }

    /// The same with its 95 % interval, pointwise.
    pub fn estimate(&self, code: f64) -> Estimate {
        let half = self.half_width(code);
        let value = self.at(code);
        Estimate { value, low: (value - half).max(0.0), high: value + half, basis: self.basis() }
    }

    /// Half the 95 % interval at a code, in L*.
    pub fn half_width(&self, code: f64) -> f64 {
        let place = code.clamp(0.0, 1.0) * (NODES - 1) as f64;
        let place = if place >= 0.0 { place } else { 0.0 };
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "between 0 and the last node"
        )]
        let i = (place as usize).min(NODES - 2);
        let t = place - i as f64;
        self.half[i] * (1.0 - t) + self.half[i + 1] * t
    }

    /// Ink code that prints L* `lightness`: always inside the live range, at its edges for what cannot be reached.
    pub fn code_for(&self, lightness: f64) -> f64 {
        self.inverse.at(lightness)
    }

    /// The print's black: the right-hand end of its plateau.
    pub fn black(&self) -> End {
        let code = self.inverse.live_low();
        End { code, lightness: Estimate { value: self.at(0.0), ..self.estimate(code) } }
    }

    /// The print's white: the left-hand end of its plateau.
    pub fn white(&self) -> End {
        let code = self.inverse.live_high();
        End { code, lightness: Estimate { value: self.at(1.0), ..self.estimate(code) } }
    }

    /// Lowest and highest code measured.
    pub fn measured(&self) -> (f64, f64) {
        self.measured
    }

    /// How the curve was made.
    pub fn method(&self) -> Method {
        self.method
    }

    /// Whether the column of codes was turned round.
    pub fn turned(&self) -> bool {
        self.turned
    }

    /// Depth in L* of a reversal at the black end, if there is one: black with a little ink is darker than with none.
    pub fn reversal(&self) -> Option<f64> {
        self.dip
    }

    /// The readings beside the curve, in the order given.
    pub fn points(&self) -> &[Point] {
        &self.points
    }

    /// The readings to look at, in the order given.
    pub fn flagged(&self) -> &[Flag] {
        &self.flagged
    }

    /// How well curve and readings agree.
    pub fn statistics(&self) -> Statistics {
        self.statistics
    }

    /// What there is to say about the readings and the fit.
    pub fn notes(&self) -> &[Note] {
        &self.notes
    }

    /// Measured by the printer, from so many readings.
    pub fn basis(&self) -> Basis {
        Basis::Measured { n: u32::try_from(self.statistics.readings).unwrap_or(u32::MAX) }
    }

    /// A response that was not fitted to print readings of ink, but put together: L* and half its 95 % interval at
    /// [`NODES`] equal steps of ink code; `measured` codes; statistics of what it was made from.
    pub(super) fn composed(
        curve: &[f64],
        half: Vec<f64>,
        measured: (f64, f64),
        statistics: Statistics,
        notes: Vec<Note>,
    ) -> Result<Self, ResponseError> {
        let places: Vec<f64> = (0..NODES).map(|i| i as f64 / (NODES - 1) as f64).collect();
        let inverse = Inverse::new(&places, curve, FLAT).ok_or(ResponseError::Unsolved)?;
        if half.len() != NODES || half.iter().any(|h| !h.is_finite()) {
            return Err(ResponseError::Unsolved);
        }
        let range = inverse.forward(1.0) - inverse.forward(0.0);
        if range < LEAST_RANGE {
            return Err(ResponseError::NoRange(range));
        }
        let method = Method::Composed;
        let (points, flagged) = (Vec::new(), Vec::new());
        Ok(Self {
            inverse,
            half,
            measured,
            method,
            turned: false,
            dip: None,
            points,
            flagged,
            statistics,
            notes,
        })
    }

    /// The same response with more to say.
    pub(super) fn noting(mut self, notes: Vec<Note>) -> Self {
        self.notes.extend(notes);
        self
    }
}

fn check(readings: &[Reading]) -> Result<(), ResponseError> {
    if readings.len() > MOST_READINGS {
        return Err(ResponseError::TooMany(readings.len()));
    }
    for (index, r) in readings.iter().enumerate() {
        if let Some(fault) = r.fault() {
            return Err(ResponseError::Faulty { index, name: reading::name(index, &r.id, r.code), fault });
        }
    }
    let highest = readings.iter().map(|r| r.value).fold(f64::NEG_INFINITY, f64::max);
    if readings.len() >= FEWEST_CODES
        && readings.iter().all(|r| r.quantity == Quantity::Lightness)
        && highest <= DENSITY_LIKE
    {
        return Err(ResponseError::LooksLikeDensity(highest));
    }
    Ok(())
}

/// The readings by code, with `order` put the same way. Ties are ordered by value, so that the order given is of no
/// account, to the last bit.
fn ordered(readings: &[Reading], order: &mut [usize], turned: bool) -> Vec<Sample> {
    let sample = |i: usize| {
        let r = &readings[i];
        let code = if turned { 1.0 - r.code } else { r.code };
        Sample { code, lightness: r.to_lightness(), weight: r.weight, group: 0 }
    };
    order.sort_by(|&a, &b| {
        let (x, y) = (sample(a), sample(b));
        x.code
            .total_cmp(&y.code)
            .then(x.lightness.total_cmp(&y.lightness))
            .then(x.weight.total_cmp(&y.weight))
            .then(a.cmp(&b))
    });
    order.iter().map(|&i| sample(i)).collect()
}

/// Spearman's correlation of values with their order; 0 for values that are all the same.
pub(super) fn rank_correlation(values: &[f64]) -> f64 {
    let n = values.len();
    let mut order: Vec<usize> = (0..n).collect();
    order.sort_by(|&a, &b| values[a].total_cmp(&values[b]));
    let mut rank = vec![0.0; n];
    let mut from = 0;
    while from < n {
        let same = order[from..].iter().take_while(|&&i| values[i] == values[order[from]]).count();
        // Not a number is not even itself.
        let end = from + same.max(1);
        for &i in &order[from..end] {
            rank[i] = 0.5 * (from + end - 1) as f64;
        }
        from = end;
    }
    let middle = 0.5 * (n as f64 - 1.0);
    let (mut xy, mut xx, mut yy) = (0.0, 0.0, 0.0);
    for (i, r) in rank.iter().enumerate() {
        let (x, y) = (i as f64 - middle, r - middle);
        xy += x * y;
        xx += x * x;
        yy += y * y;
    }
    if xx > 0.0 && yy > 0.0 { xy / math::sqrt(xx * yy) } else { 0.0 }
}

fn statistics(points: &[Point], codes: usize, fitted: &Fitted) -> Statistics {
    let counted: Vec<f64> = points.iter().filter(|p| p.counts > 0.0).map(|p| p.residual).collect();
    let sum: f64 = counted.iter().map(|r| r * r).sum();
    Statistics {
        readings: points.len(),
        codes,
        rms: math::sqrt(sum / counted.len().max(1) as f64),
        worst: points.iter().map(|p| p.residual.abs()).fold(0.0, f64::max),
        sigma: fitted.sigma,
        edf: fitted.edf,
        log_lambda: fitted.log_lambda,
    }
}
