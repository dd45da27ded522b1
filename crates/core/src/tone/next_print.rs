//! The verdict: how far the next print may be off its aim.
//!
//! Independent parts, in variance: the doubt of the fitted curve; the chance exposure and coat of the sheets it was
//! measured on, which went into the curve; and the exposure and coat of the print to come. A perfect curve leaves the
//! last two. Once margin strips say how prints lie to the curve, that drift, squared, stands in place of the sheets'
//! chance exposure: it is what came of it, and of all that has changed since.

use super::correction::Correction;
use super::exposure::Sensitivity;
use super::response::Response;
use super::scatter::Scatter;
use crate::constant::Basis;
use crate::estimate::Estimate;
use crate::math;
use crate::show::Units;

/// Steps of picture tone the verdict is taken over.
const STEPS: u32 = 100;
/// Two-sided 95 % point of the normal distribution.
pub(super) const WIDE: f64 = 1.96;
/// Half a stop is given as fractions down to this one.
const FINEST: f64 = 20.0;

/// Variances of a tone of the next print, in L* squared.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Parts {
    /// Of the fitted curve.
    pub fit: f64,
    /// Of the sheets' own exposure and coat, which the curve holds for the process.
    pub sheets: f64,
    /// Of the next print's exposure.
    pub exposure: f64,
    /// Of its coat.
    pub coat: f64,
    /// Of the mean change of exposure since the curve was measured, as margin strips tell it.
    pub drift: f64,
}

/// The largest part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Limit {
    /// Too few readings, or readings that scatter.
    Fit,
    /// Too few sheets.
    Sheets,
    /// Exposure does not repeat better.
    Exposure,
    /// Coats do not repeat better.
    Coat,
    /// Prints lie elsewhere than when the curve was measured.
    Drift,
}

/// How far the next print may be off.
#[derive(Clone, Debug, PartialEq)]
pub struct NextPrint {
    sensitivity: Sensitivity,
    scatter: Scatter,
    sheets: f64,
    drift: Option<(f64, f64)>,
    rows: Vec<Row>,
}

/// One step of picture tone.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Row {
    lightness: f64,
    half: f64,
}

impl Parts {
    /// All of them.
    pub fn total(&self) -> f64 {
        self.fit + self.sheets + self.exposure + self.coat + self.drift
    }

    /// The largest.
    pub fn limit(&self) -> Limit {
        let parts = [
            (self.exposure, Limit::Exposure),
            (self.coat, Limit::Coat),
            (self.sheets, Limit::Sheets),
            (self.fit, Limit::Fit),
            (self.drift, Limit::Drift),
        ];
        parts.iter().fold(parts[0], |a, b| if b.0 > a.0 { *b } else { a }).1
    }
}

impl Limit {
    /// What limits the next print, as a sentence.
    pub fn words(self) -> &'static str {
        match self {
            Self::Fit => "What limits it is the curve: too few readings, or readings that scatter.",
            Self::Sheets => {
                "What limits it is that the curve rests on so few sheets, each with its own chance exposure and coat."
            }
            Self::Exposure => "What limits it is how well the exposure repeats: lamp, moisture and timing.",
            Self::Coat => "What limits it is how well the coat repeats.",
            Self::Drift => "What limits it is that the latest prints do not lie on the curve.",
        }
    }
}

impl NextPrint {
    /// For a print through `correction`, made from `response`, which was measured on `sheets` (at least 1) sheets.
    pub fn new(response: &Response, correction: &Correction, scatter: Scatter, sheets: usize) -> Self {
        let row = |i: u32| {
            let e = correction.expected(f64::from(i) / f64::from(STEPS));
            Row { lightness: e.value, half: e.high - e.value }
        };
        Self {
            sensitivity: Sensitivity::between(response.at(0.0), response.at(1.0)),
            scatter,
            sheets: sheets.max(1) as f64,
            drift: None,
            rows: (0..=STEPS).map(row).collect(),
        }
    }

    /// The same, knowing from margin strips by how much log₁₀ exposure lies beside the one the curve stands for, and the
    /// standard error of that; see [`super::scatter::Learnt::drift`].
    #[must_use]
    pub fn drifted(self, drift: Option<(f64, f64)>) -> Self {
        let drift = drift.filter(|(mean, error)| mean.is_finite() && error.is_finite());
        Self { drift, ..self }
    }

    /// What the strips say of drift, with what to do, where it is more than chance and than the doubt of the curve.
    pub fn drift_words(&self, units: Units) -> Option<String> {
        let (mean, error) = self.drift?;
        let row = self.row(self.middle());
        let slope = self.sensitivity.to_exposure(row.lightness);
        let doubt = error * error * slope * slope + self.of(row).fit;
        if mean.abs() * slope <= WIDE * math::sqrt(doubt) {
            return None;
        }
        let (more, less) = if mean > 0.0 { ("more", "less") } else { ("less", "more") };
        Some(format!(
            "By their margin strips the latest prints got {} {more} light than the curve was measured with. Expose so much {less}, or print the chart again.",
            stops(mean.abs() / super::density::STOP, units)
        ))
    }

    /// Where the error of picture tone `u` (0…1, clamped) comes from.
    pub fn parts(&self, u: f64) -> Parts {
        self.of(self.row(u))
    }

    /// The same as a mean over all tones.
    pub fn mean_parts(&self) -> Parts {
        let mut sum = Parts::default();
        let n = self.rows.len() as f64;
        for p in self.rows.iter().map(|r| self.of(*r)) {
            sum.fit += p.fit / n;
            sum.sheets += p.sheets / n;
            sum.exposure += p.exposure / n;
            sum.coat += p.coat / n;
            sum.drift += p.drift / n;
        }
        sum
    }

    /// L* the next print is expected to show at picture tone `u`, with the 95 % interval of a single print.
    pub fn at(&self, u: f64) -> Estimate {
        let value = self.row(u).lightness;
        let half = self.half(u);
        Estimate { value, low: (value - half).max(0.0), high: value + half, basis: Basis::Choice }
    }

    /// Half that interval.
    pub fn half(&self, u: f64) -> f64 {
        WIDE * math::sqrt(self.parts(u).total())
    }

    /// Expected print of a ramp of `steps` (at least 2) even greys, from black to white.
    pub fn ramp(&self, steps: usize) -> Vec<(f64, Estimate)> {
        let last = steps.max(2) - 1;
        (0..=last)
            .map(|i| {
                let u = i as f64 / last as f64;
                (u, self.at(u))
            })
            .collect()
    }

    /// Picture tone that prints middle grey: half way between the print's black and white, in L*.
    pub fn middle(&self) -> f64 {
        let (first, last) = (self.rows[0].lightness, self.rows[self.rows.len() - 1].lightness);
        let i = self.rows.partition_point(|r| r.lightness < first.midpoint(last));
        i as f64 / f64::from(STEPS)
    }

    /// Half the 95 % interval at middle grey as stops of exposure.
    pub fn middle_stops(&self) -> f64 {
        let u = self.middle();
        let slope = self.sensitivity.to_exposure(self.row(u).lightness);
        if slope > 0.0 { self.half(u) / slope / super::density::STOP } else { 0.0 }
    }

    /// Standard error of the fit alone, as root mean square over all tones and at the worst of them, in L*.
    pub fn fit_alone(&self) -> (f64, f64) {
        let fits = self.rows.iter().map(|r| self.of(*r).fit);
        let worst = fits.clone().fold(0.0, f64::max);
        (math::sqrt(fits.sum::<f64>() / self.rows.len() as f64), math::sqrt(worst))
    }

    /// Error of the next print, as root mean square over all tones, in L* (one standard deviation).
    pub fn rms(&self) -> f64 {
        math::sqrt(self.mean_parts().total())
    }

    /// Within what middle grey lies, in figures.
    pub fn figure(&self, units: Units) -> String {
        let half = self.half(self.middle());
        format!("± {} L*", units.number(half, usize::from(half < 1.0)))
    }

    /// The same as an exposure, in plain words.
    pub fn in_stops(&self, units: Units) -> String {
        stops(self.middle_stops(), units)
    }

    /// Whose scatter it was reckoned with.
    pub fn scatter(&self) -> Scatter {
        self.scatter
    }

    /// The drift it was reckoned with, and its standard error.
    pub fn drift(&self) -> Option<(f64, f64)> {
        self.drift
    }

    /// How many sheets the response was measured on.
    pub fn sheets(&self) -> f64 {
        self.sheets
    }

    fn of(&self, row: Row) -> Parts {
        let square = |x: f64| x * x;
        let slope = self.sensitivity.to_exposure(row.lightness);
        let exposure = square(self.scatter.exposure * slope);
        let coat = square(self.scatter.coat * self.sensitivity.to_coat(row.lightness));
        let fit = square(row.half / WIDE);
        match self.drift {
            None => Parts { fit, sheets: (exposure + coat) / self.sheets, exposure, coat, drift: 0.0 },
            Some((mean, error)) => {
                let drift = (square(mean) + square(error)) * square(slope);
                Parts { fit, sheets: coat / self.sheets, exposure, coat, drift }
            }
        }
    }

    fn row(&self, u: f64) -> Row {
        let place = if u > 0.0 { u.min(1.0) } else { 0.0 } * f64::from(STEPS);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "between 0 and the last row"
        )]
        let i = (place as usize).min(self.rows.len() - 2);
        let t = place - i as f64;
        let (a, b) = (self.rows[i], self.rows[i + 1]);
        Row { lightness: a.lightness + (b.lightness - a.lightness) * t, half: a.half + (b.half - a.half) * t }
    }
}

/// A number of stops as a printer says it.
pub fn stops(stops: f64, units: Units) -> String {
    let parts = 1.0 / stops.max(1.0 / FINEST);
    if stops <= 1.0 / FINEST {
        return "less than a twentieth of a stop".into();
    }
    if stops >= 1.0 {
        return format!("about {} stops", units.number(stops, 1));
    }
    let named = [
        (1.0, "one stop"),
        (4.0 / 3.0, "three quarters of a stop"),
        (1.5, "two thirds of a stop"),
        (2.0, "half a stop"),
        (3.0, "a third of a stop"),
        (4.0, "a quarter of a stop"),
        (5.0, "a fifth of a stop"),
        (6.0, "a sixth of a stop"),
        (8.0, "an eighth of a stop"),
        (10.0, "a tenth of a stop"),
        (15.0, "a fifteenth of a stop"),
        (20.0, "a twentieth of a stop"),
    ];
    let near = |n: f64| (n / parts).max(parts / n);
    let best = named.iter().fold(named[0], |a, b| if near(b.0) < near(a.0) { *b } else { a });
    format!("about {}", best.1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;
    use crate::tone::{Aim, Reading};

    fn response(levels: u32, sigma: f64) -> Response {
        let one = |i: u32| {
            let c = f64::from(i % levels) / f64::from(levels - 1);
            let scatter = (f64::from(i * 37 % 19) - 9.0) / 5.5 * sigma;
            Reading::lightness(c, 24.0 + 70.0 * c * c * (3.0 - 2.0 * c) + scatter)
        };
        Response::fit(&(0..2 * levels).map(one).collect::<Vec<_>>()).unwrap()
    }

    fn next(levels: u32, sigma: f64, scatter: Scatter, sheets: usize) -> NextPrint {
        let r = response(levels, sigma);
        NextPrint::new(&r, &Correction::from_response(&r, Aim::LinearLightness), scatter, sheets)
    }

    #[test]
    fn it_is_said_as_a_printer_says_it() {
        for (x, said) in [
            (0.01, "less than a twentieth of a stop"),
            (0.166, "about a sixth of a stop"),
            (0.33, "about a third of a stop"),
            (0.5, "about half a stop"),
            (1.3, "about 1.3 stops"),
        ] {
            assert_eq!(stops(x, Units::default()), said);
        }
        let n = next(51, 0.5, Scatter { exposure: 0.015, coat: 0.3, strips: 9 }, 1);
        // 0.015 log for the sheet and as much for the print, at some 55 L* a unit of log exposure, times 1.96.
        assert!((n.half(n.middle()) - 1.96 * 0.015 * 1.414 * 58.0).abs() < 0.4, "{}", n.half(n.middle()));
        assert_eq!(
            (n.figure(Units::default()).as_str(), n.in_stops(Units::default()).as_str()),
            ("± 3 L*", "about an eighth of a stop")
        );
    }

    #[test]
    fn what_limits_it_depends_on_what_there_is() {
        assert_eq!(next(51, 0.3, Scatter::STARTING, 4).mean_parts().limit(), Limit::Exposure);
        let steady = Scatter { exposure: 0.004, coat: 0.1, strips: 20 };
        assert_eq!(next(13, 2.0, steady, 1).mean_parts().limit(), Limit::Fit);
        let thin = Scatter { exposure: 0.004, coat: 1.5, strips: 20 };
        assert_eq!(next(51, 0.3, thin, 4).mean_parts().limit(), Limit::Coat);
        assert_eq!(next(51, 0.3, thin, 1).mean_parts().limit(), Limit::Sheets);
    }

    #[test]
    fn drift_is_said_with_what_to_do_and_only_where_it_is_more_than_chance() {
        let base = next(51, 0.3, Scatter { exposure: 0.01, coat: 0.3, strips: 5 }, 1);
        let far = base.clone().drifted(Some((0.05, 0.005)));
        assert_eq!(far.mean_parts().limit(), Limit::Drift);
        let words = far.drift_words(Units::default()).unwrap();
        assert!(
            words.contains("about a sixth of a stop more light") && words.contains("Expose so much less")
        );
        let other = base.clone().drifted(Some((-0.05, 0.005))).drift_words(Units::default()).unwrap();
        assert!(other.contains("a sixth of a stop less light") && other.contains("so much more"));
        assert_eq!(base.clone().drifted(Some((0.005, 0.005))).drift_words(Units::default()), None);
        // Strips that say that nothing has changed take the sheet's own chance out.
        assert!(base.clone().drifted(Some((0.0, 0.001))).rms() < base.rms());
        assert_eq!(base.clone().drifted(Some((f64::NAN, 0.0))), base);
    }

    #[test]
    fn more_sheets_and_steadier_prints_are_never_worse() {
        let base = next(41, 0.6, Scatter::STARTING, 1);
        assert!(next(41, 0.6, Scatter::STARTING, 2).rms() < base.rms());
        assert!(next(41, 0.6, Scatter { exposure: 0.01, ..Scatter::STARTING }, 1).rms() < base.rms());
        assert_eq!(base.ramp(11).len(), 11);
        let (rms, worst) = base.fit_alone();
        assert!(rms > 0.0 && rms <= worst && worst < base.rms());
        assert!(base.half(f64::NAN).is_finite() && base.at(9.0) == base.at(1.0));
    }
}
