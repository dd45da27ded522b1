//! A step print as it was read: its curve, its ends, and what they mean for times.

use std::cell::RefCell;
use std::rc::Rc;

use super::Points;
use super::curve::{FEWEST, Fitted};
use super::repeats::{Draw, White, interval, repeats};
use crate::constant::Basis;
use crate::estimate::Estimate;
use crate::math;

/// Multiple of the scatter from which on a step is doubted.
const DOUBTED: f64 = 4.0;
/// Least distance of a doubted step from the curve, in density.
const DOUBTED_LEAST: f64 = 0.03;
/// Least difference between black and white that is taken for a print.
const LEAST_RANGE: f64 = 0.3;

/// What the step print of a setup gave.
#[derive(Clone, Debug, Default)]
pub enum Found {
    /// Nothing yet.
    #[default]
    Nothing,
    /// A curve.
    Print(Box<Print>),
    /// What eyes saw: densities of the pair of steps that look alike, clearer first; seconds of the print; what clear
    /// film holds back beyond what lay under the tablet.
    Eyes {
        /// Darker and lighter step.
        pair: (f64, f64),
        /// Seconds.
        seconds: f64,
        /// Log exposure.
        film: f64,
    },
}

/// Why readings make no curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PrintError {
    /// Fewer readings than are needed.
    TooFew(usize),
    /// Darker behind denser steps: the order is reversed.
    Reversed,
    /// Hardly any difference between the steps.
    NoRange,
}

/// A print with a curve.
#[derive(Clone, Debug)]
pub struct Print {
    /// Its curve; log exposure 0 is the print's time behind what lay under the tablet.
    pub fitted: Fitted,
    /// Prints as they could have come out.
    pub draws: Vec<Draw>,
    /// White as it was read; `None`: taken from the lightest steps.
    pub white: Option<White>,
    /// Density of white.
    pub dmin: f64,
    /// Densest black.
    pub dmax: f64,
    /// Time of the print, in seconds.
    pub seconds: f64,
    /// What clear film holds back beyond what lay under the tablet, in log exposure; 0 with film under it.
    pub film: Estimate,
    /// The step farthest off, from 1, and by how much, if it is to be doubted.
    pub doubted: Option<(usize, f64)>,
    /// Log exposure of black at the usual closenesses, [`CLOSENESSES`]: asked for at every keystroke.
    blacks: Vec<Option<Estimate>>,
    /// The points of the draws as they were asked for last: a slider asks for the same at every move.
    asked: RefCell<Option<AskedPoints>>,
}

/// Closenesses to white and to black, and every draw's points for them.
type AskedPoints = ((f64, f64), Rc<[Points]>);

/// Closenesses to the densest black that are mostly asked for, in density.
pub const CLOSENESSES: [f64; 5] = [0.01, 0.02, 0.03, 0.05, 0.10];

impl Print {
    /// A print of `seconds` of a tablet with these densities, from the clearest on, and the densities read behind them.
    ///
    /// # Errors
    /// What the readings lack.
    pub fn new(
        seconds: f64,
        tablet: &[f64],
        read: &[f64],
        white: Option<White>,
        film: Estimate,
    ) -> Result<Self, PrintError> {
        let points: Vec<(f64, f64)> = tablet.iter().zip(read).map(|(d, v)| (-d, *v)).collect();
        if points.len() < FEWEST {
            return Err(PrintError::TooFew(points.len()));
        }
        let n = points.len() as f64;
        let mean = |of: fn(&(f64, f64)) -> f64| points.iter().map(of).sum::<f64>() / n;
        let (mx, my) = (mean(|p| p.0), mean(|p| p.1));
        let together: f64 = points.iter().map(|(x, y)| (x - mx) * (y - my)).sum();
        let least = read.iter().copied().fold(f64::INFINITY, f64::min);
        let most = read.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        if most - least < LEAST_RANGE || !(most - least).is_finite() {
            return Err(PrintError::NoRange);
        }
        if together < 0.0 {
            return Err(PrintError::Reversed);
        }
        let fitted =
            Fitted::new(&points, white.map(|w| (w.mean, f64::from(w.n)))).ok_or(PrintError::NoRange)?;
        let off = points.iter().map(|(x, y)| y - fitted.curve.density(*x)).enumerate();
        let worst = off.max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
        // The scatter without the worst: one far step would hide in the scatter it makes itself.
        let rest: f64 = points
            .iter()
            .enumerate()
            .filter(|(i, _)| worst.is_none_or(|w| w.0 != *i))
            .map(|(_, (x, y))| (y - fitted.curve.density(*x)) * (y - fitted.curve.density(*x)))
            .sum();
        let scatter = math::sqrt(rest / (n - 1.0).max(1.0));
        let doubted =
            worst.filter(|w| w.1.abs() > (DOUBTED * scatter).max(DOUBTED_LEAST)).map(|(i, off)| (i + 1, off));
        let dmin = white.map_or_else(|| fitted.curve.density(fitted.curve.ends().0), |w| w.mean);
        let dmax = fitted.curve.densest();
        let draws = repeats(&fitted, white);
        let (blacks, asked) = (Vec::new(), RefCell::default());
        let mut print = Self { fitted, draws, white, dmin, dmax, seconds, film, doubted, blacks, asked };
        print.blacks = CLOSENESSES.iter().map(|closeness| print.black(*closeness)).collect();
        Ok(print)
    }

    /// The points, with white and black counted within these closenesses.
    #[must_use]
    pub fn points(&self, white: f64, black: f64) -> Points {
        Points::of(&self.fitted.curve, (self.dmin, self.dmax), (white, black))
    }

    /// How many steps were read.
    #[must_use]
    pub fn steps(&self) -> u32 {
        u32::try_from(self.fitted.places().len()).unwrap_or(u32::MAX)
    }

    /// Whatever is asked of the curve and its ends, with its interval.
    pub fn estimate(&self, best: Option<f64>, of: impl Fn(&Draw) -> Option<f64>) -> Option<Estimate> {
        let value = best?;
        let (low, high) = interval(&self.draws, value, of)?;
        Some(Estimate { value, low, high, basis: Basis::Measured { n: self.steps() } })
    }

    /// The points of every draw, in their order.
    #[must_use]
    pub fn all_points(&self, white: f64, black: f64) -> Rc<[Points]> {
        let mut asked = self.asked.borrow_mut();
        if let Some((before, points)) = &*asked
            && *before == (white, black)
        {
            return points.clone();
        }
        let of = |draw: &Draw| Points::of(&draw.curve, (draw.dmin, draw.dmax), (white, black));
        let points: Rc<[Points]> = self.draws.iter().map(of).collect();
        *asked = Some(((white, black), points.clone()));
        points
    }

    /// A figure of the points, with its interval.
    pub fn of_points(&self, white: f64, black: f64, of: impl Fn(&Points) -> Option<f64>) -> Option<Estimate> {
        let value = of(&self.points(white, black))?;
        let (low, high) = interval(&self.all_points(white, black), value, of)?;
        Some(Estimate { value, low, high, basis: Basis::Measured { n: self.steps() } })
    }

    /// Log exposure of black within a closeness of the densest.
    #[must_use]
    pub fn black(&self, closeness: f64) -> Option<Estimate> {
        let usual = CLOSENESSES.iter().position(|usual| usual.to_bits() == closeness.to_bits());
        if let Some(known) = usual.and_then(|i| self.blacks.get(i)) {
            return *known;
        }
        let at = self.fitted.curve.log_exposure(self.dmax - closeness);
        self.estimate(at, |draw| draw.curve.log_exposure(draw.dmax - closeness))
    }

    /// The shortest time behind clear film that gives black within a closeness of the densest, in seconds.
    #[must_use]
    pub fn time_for_black(&self, closeness: f64) -> Option<Estimate> {
        let x = self.black(closeness)?;
        let film = (self.film.high - self.film.low) / 2.0;
        let side = |half: f64| math::sqrt(half * half + film * film);
        let value = x.value + self.film.value;
        let seconds = |log: f64| self.seconds * math::exp10(log);
        Some(Estimate {
            value: seconds(value),
            low: seconds(value - side(x.value - x.low)),
            high: seconds(value + side(x.high - x.value)),
            basis: x.basis,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::paper_curve::PaperCurve;
    use crate::testing::test;

    fn exact(value: f64) -> Estimate {
        Estimate::plus_minus(value, 0.0, Basis::Choice)
    }

    /// The demonstration model behind a tablet of 21 steps of 0.15 from 0.05 on, printed for so long.
    fn demo(seconds: f64) -> (Vec<f64>, Vec<f64>) {
        let curve = PaperCurve::starting(0.03);
        let tablet: Vec<f64> = (0..21).map(|i| 0.05 + 0.15 * f64::from(i)).collect();
        let read = tablet.iter().map(|d| curve.density(math::log10(seconds / 360.0) - d)).collect();
        (tablet, read)
    }

    #[test]
    fn the_demonstration_model() {
        // Of tests/reference/demo_curve: working range 2.25, black at 360 s within 0.03, S at 224 s.
        let (tablet, read) = demo(900.0);
        let white = White { mean: 0.07, spread: 0.004, n: 4 };
        let print = Print::new(900.0, &tablet, &read, Some(white), exact(0.0)).unwrap();
        let time = print.time_for_black(0.03).unwrap();
        assert!((time.value / 360.0 - 1.0).abs() < 0.03, "{time:?}");
        assert!(time.low < 360.0 && 360.0 < time.high, "{time:?}");
        let p = print.points(0.02, 0.03);
        let s = 900.0 * math::exp10(p.s.unwrap());
        assert!((s / 224.0 - 1.0).abs() < 0.03, "{s}");
        let range = print.of_points(0.02, 0.03, Points::working).unwrap();
        assert!((range.value - 2.25).abs() < 0.05 && range.low < 2.25 && range.high > 2.25, "{range:?}");
        let scale = print.of_points(0.02, 0.03, Points::scale).unwrap();
        assert!((scale.value - 1.76).abs() < 0.04, "{scale:?}");
        // Closer to the densest costs time; every choice holds its own.
        let choices = [0.01, 0.02, 0.03, 0.05, 0.10].map(|c| print.time_for_black(c).unwrap());
        assert!(choices.windows(2).all(|w| w[0].value > w[1].value));
        for (closeness, seconds) in [(0.05, 316.0), (0.10, 254.0), (0.01, 454.0)] {
            let t = print.time_for_black(closeness).unwrap();
            assert!((t.value / seconds - 1.0).abs() < 0.06, "{closeness}: {t:?}");
        }
    }

    #[test]
    fn a_bare_tablet_wants_the_films_own_hold_back() {
        let (tablet, read) = demo(900.0);
        let white = White { mean: 0.07, spread: 0.004, n: 4 };
        let film = Estimate::plus_minus(0.12, 0.02, Basis::Measured { n: 1 });
        let over =
            Print::new(900.0, &tablet, &read, Some(white), exact(0.0)).unwrap().time_for_black(0.03).unwrap();
        let bare =
            Print::new(900.0, &tablet, &read, Some(white), film).unwrap().time_for_black(0.03).unwrap();
        assert!((bare.value / over.value - math::exp10(0.12)).abs() < 1e-9);
        assert!(bare.high / bare.low > over.high / over.low);
    }

    #[test]
    fn what_is_wrong_is_named() {
        let (tablet, mut read) = demo(900.0);
        let none = exact(0.0);
        assert_eq!(Print::new(9.0, &tablet, &read[..5], None, none).unwrap_err(), PrintError::TooFew(5));
        assert_eq!(Print::new(9.0, &tablet, &[0.5; 21], None, none).unwrap_err(), PrintError::NoRange);
        read[7] += 0.12;
        let print = Print::new(900.0, &tablet, &read, None, none).unwrap();
        assert_eq!(print.doubted.map(|d| d.0), Some(8));
        read.reverse();
        assert_eq!(Print::new(9.0, &tablet, &read, None, none).unwrap_err(), PrintError::Reversed);
    }
}
