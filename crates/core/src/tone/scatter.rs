//! How much one print differs from the next: in exposure (lamp, moisture, age of the iron) and in coat.
//!
//! It begins with what careful printers reach, and learns from the margin strips of finished prints: each strip gives
//! that day's exposure and black by weighted least squares, and their variance, less the readings' own, is blended
//! with the starting one, which counts as [`STARTING_FREEDOM`] degrees of freedom (an inverse-gamma prior).

use super::exposure::Sensitivity;
use super::reading::Reading;
use super::response::Response;
use super::samples::ASSUMED_SPREAD;
use crate::constant::Constant;
use crate::math;

/// Standard deviation of log₁₀ exposure from print to print, to begin with.
pub const EXPOSURE: Constant =
    Constant::choice(0.03, "log H", 1, "about 7 %: moisture, lamp and timer held as well as is usual");
/// Standard deviation of the black from print to print, to begin with.
pub const COAT: Constant = Constant::choice(0.5, "L*", 1, "coats poured by measure and spread with care");
/// Strips from which on they count.
pub const ENOUGH: usize = 3;
/// Degrees of freedom the starting values count for.
pub const STARTING_FREEDOM: f64 = 3.0;
/// Least scatter of exposure that is believed; timers and lamps are no better.
const LEAST_EXPOSURE: f64 = 0.004;
/// Least scatter of black that is believed.
const LEAST_COAT: f64 = 0.1;

/// Scatter from print to print, standard deviations.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scatter {
    /// Of log₁₀ exposure.
    pub exposure: f64,
    /// Of black, in L*.
    pub coat: f64,
    /// Margin strips it was learnt from; 0 for the starting values.
    pub strips: usize,
}

/// What one margin strip says about its print.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Day {
    /// log₁₀ of its exposure over the one the response stands for: more is darker.
    pub exposure: f64,
    /// Variance of that from the readings alone.
    pub exposure_variance: f64,
    /// L* by which its black is lighter.
    pub coat: f64,
    /// Variance of that from the readings alone.
    pub coat_variance: f64,
}

/// Scatter and drift, from the strips of finished prints.
#[derive(Clone, Debug, PartialEq)]
pub struct Learnt {
    /// The scatter to reckon with.
    pub scatter: Scatter,
    /// One for every strip that could be used, in the order given.
    pub days: Vec<Day>,
    /// Mean change of log₁₀ exposure against the one the response stands for, with its standard error; `None` below
    /// [`ENOUGH`] strips. The next print's band reckons with it.
    pub drift: Option<(f64, f64)>,
}

impl Scatter {
    /// Before anything was learnt.
    pub const STARTING: Self = Self { exposure: EXPOSURE.value, coat: COAT.value, strips: 0 };

    /// From margin strips: for each its readings by raw ink code, printed at the time the response stands for.
    pub fn learnt(strips: &[Vec<Reading>], response: &Response) -> Learnt {
        let (mut sum, mut freedom) = (0.0, 0.0);
        let mut days = Vec::new();
        for (day, rss, free) in strips.iter().filter_map(|s| Day::solved(s, response)) {
            days.push(day);
            sum += rss;
            freedom += free;
        }
        // The strips' own readings tell how well they were read, the more of them the better.
        let prior = reading_variance(response);
        let variance = (STARTING_FREEDOM * prior + sum) / (STARTING_FREEDOM + freedom);
        for day in &mut days {
            day.exposure_variance *= variance / prior;
            day.coat_variance *= variance / prior;
        }
        let n = days.len();
        if n < ENOUGH {
            return Learnt { scatter: Self::STARTING, days, drift: None };
        }
        let exposure = blend(&days, |d| (d.exposure, d.exposure_variance), EXPOSURE.value, LEAST_EXPOSURE);
        let coat = blend(&days, |d| (d.coat, d.coat_variance), COAT.value, LEAST_COAT);
        let mean = days.iter().map(|d| d.exposure).sum::<f64>() / n as f64;
        let noise = days.iter().map(|d| d.exposure_variance).sum::<f64>() / n as f64;
        let error = math::sqrt((exposure * exposure + noise) / n as f64);
        Learnt { scatter: Self { exposure, coat, strips: n }, days, drift: Some((mean, error)) }
    }
}

fn blend(days: &[Day], of: fn(&Day) -> (f64, f64), start: f64, least: f64) -> f64 {
    let n = days.len() as f64;
    let mean = days.iter().map(|d| of(d).0).sum::<f64>() / n;
    let mut sum = STARTING_FREEDOM * start * start;
    for (value, noise) in days.iter().map(of) {
        sum += (value - mean) * (value - mean) - noise * (n - 1.0) / n;
    }
    math::sqrt((sum / (STARTING_FREEDOM + n - 1.0)).max(least * least))
}

impl Day {
    /// Reads a strip: the exposure and the black under which its readings lie nearest the response. `None` if they say
    /// nothing about one of them: no dark patch, or no middle tone.
    pub fn read(strip: &[Reading], response: &Response) -> Option<Self> {
        Self::solved(strip, response).map(|(day, _, _)| day)
    }

    /// The same with the weighted sum of squares left over and its degrees of freedom.
    fn solved(strip: &[Reading], response: &Response) -> Option<(Self, f64, f64)> {
        let strip: Vec<&Reading> = strip.iter().filter(|r| r.fault().is_none()).collect();
        let (black, white) = (response.at(0.0), response.at(1.0));
        let sensitivity = Sensitivity::between(black, white);
        let mut m = [0.0; 3];
        let mut right = [0.0; 2];
        let mut rss = 0.0;
        for r in &strip {
            let l = response.at(r.code);
            // Slopes half way between response and strip, so that a large change is not taken for a larger one.
            let seen = l.midpoint(r.to_lightness()).clamp(black, white);
            let (a, b) = (-sensitivity.to_exposure(seen), sensitivity.to_coat(l));
            let off = r.to_lightness() - l;
            m[0] += r.weight * a * a;
            m[1] += r.weight * a * b;
            m[2] += r.weight * b * b;
            right[0] += r.weight * a * off;
            right[1] += r.weight * b * off;
            rss += r.weight * off * off;
        }
        let determinant = m[0] * m[2] - m[1] * m[1];
        if determinant <= 1e-6 * m[0] * m[2] || determinant.is_nan() {
            return None;
        }
        let exposure = (m[2] * right[0] - m[1] * right[1]) / determinant;
        let coat = (m[0] * right[1] - m[1] * right[0]) / determinant;
        let inverse = [m[2] / determinant, m[0] / determinant];
        let variance = reading_variance(response);
        let day = Self {
            exposure,
            exposure_variance: variance * inverse[0],
            coat,
            coat_variance: variance * inverse[1],
        };
        let left = (rss - exposure * right[0] - coat * right[1]).max(0.0);
        let free = (strip.len() as f64 - 2.0).max(0.0);
        (exposure.is_finite() && coat.is_finite() && left.is_finite()).then_some((day, left, free))
    }
}

/// Variance of one reading on a strip, before strips say otherwise.
fn reading_variance(response: &Response) -> f64 {
    let sigma = response.statistics().sigma.max(ASSUMED_SPREAD.value);
    sigma * sigma
}
