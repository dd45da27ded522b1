//! The one test that would sharpen the next print most, and by how much.
//!
//! Every part of the error is a variance, so what a test would leave is known before it is made.

use super::next_print::{NextPrint, Parts, WIDE};
use super::response::Response;
use super::scatter::ENOUGH;
use crate::math;
use crate::show::Units;

/// Readings on our largest chart.
const LARGE_CHART: f64 = 114.0;
/// Readings of black and of white on a chart of ours, at least.
const END_REPEATS: f64 = 6.0;
/// Part of the error by which a test must lower it to be worth a sheet.
const WORTH: f64 = 0.04;

/// A test there is to make.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Test {
    /// The same chart on another sheet, pooled with what there is.
    AnotherSheet,
    /// The same chart again, in place of what there is: the process is another now.
    ChartAgain,
    /// A larger chart in place of this one.
    LargerChart,
    /// Black and white read, or printed, more often.
    Ends,
    /// Margin strips of the next three prints, which say where the process lies today.
    MarginStrips,
}

/// What a test would bring.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Advice {
    /// The test.
    pub test: Test,
    /// ± L* of the next print now, root mean square over all tones, 95 %.
    pub now: f64,
    /// The same once it is made.
    pub then: f64,
}

impl Advice {
    /// As a sentence.
    pub fn words(&self, units: Units) -> String {
        let what = match self.test {
            Test::AnotherSheet => "print the same chart on another sheet and pool the readings",
            Test::ChartAgain => "print the chart again and take its readings in place of these",
            Test::LargerChart => "print the large chart",
            Test::Ends => "read black and white six times each, from different places",
            Test::MarginStrips => "read the margin strips of the next three prints",
        };
        format!(
            "Most would be gained if you {what}: from ± {} to ± {} L* over all tones.",
            units.number(self.now, 1),
            units.number(self.then, 1)
        )
    }
}

/// All tests with what they would bring, the best first.
pub fn ranked(next: &NextPrint, response: &Response) -> Vec<Advice> {
    let parts = next.mean_parts();
    let now = WIDE * math::sqrt(parts.total());
    let sheets = next.sheets();
    let readings = response.statistics().readings as f64;
    let then = |fit: f64, sheets: f64| WIDE * math::sqrt(Parts { fit, sheets, ..parts }.total());
    // A new sheet knows the process of today, but for its own chance exposure and coat.
    let again = Parts { sheets: parts.exposure + parts.coat, drift: 0.0, ..parts };
    let mut all = vec![
        (Test::ChartAgain, WIDE * math::sqrt(again.total())),
        (Test::AnotherSheet, then(0.5 * parts.fit, parts.sheets * sheets / (sheets + 1.0))),
        (Test::Ends, then(parts.fit - from_ends(response).min(0.9 * parts.fit), parts.sheets)),
    ];
    if readings < LARGE_CHART {
        all.push((Test::LargerChart, then(parts.fit * readings / LARGE_CHART, parts.sheets)));
    }
    // Strips are read on prints that are made anyway; what they say of the process is worth as many sheets, but for
    // their own readings.
    if next.scatter().strips < ENOUGH {
        let strips = ENOUGH as f64;
        all.push((Test::MarginStrips, then(parts.fit, parts.sheets * sheets / (sheets + strips))));
    }
    all.retain(|(test, then)| *test != Test::ChartAgain || *then < now);
    let mut ranked: Vec<Advice> = all.iter().map(|&(test, then)| Advice { test, now, then }).collect();
    ranked.sort_by(|a, b| a.then.total_cmp(&b.then));
    ranked
}

/// The best test, if there is one worth its sheet.
pub fn best(next: &NextPrint, response: &Response) -> Option<Advice> {
    ranked(next, response).first().copied().filter(|a| a.then < (1.0 - WORTH) * a.now)
}

/// Mean variance over all tones that more readings of black and white would take away: an error of an end runs out
/// evenly to the other.
fn from_ends(response: &Response) -> f64 {
    let sigma = response.statistics().sigma;
    let floor = sigma * sigma / END_REPEATS;
    [0.0, 1.0]
        .iter()
        .map(|&c| {
            let se = response.half_width(c) / WIDE;
            (se * se - floor).max(0.0) / 3.0
        })
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;
    use crate::tone::scatter::Scatter;
    use crate::tone::{Aim, Correction, Reading};

    fn made(levels: u32, sigma: f64, scatter: Scatter, sheets: usize) -> (NextPrint, Response) {
        let one = |i: u32| {
            let c = f64::from(i % levels) / f64::from(levels - 1);
            let off = (f64::from(i * 37 % 19) - 9.0) / 5.5 * sigma;
            Reading::lightness(c, 24.0 + 70.0 * c * c * (3.0 - 2.0 * c) + off)
        };
        let r = Response::fit(&(0..2 * levels).map(one).collect::<Vec<_>>()).unwrap();
        let c = Correction::from_response(&r, Aim::LinearLightness);
        (NextPrint::new(&r, &c, scatter, sheets), r)
    }

    #[test]
    fn one_sheet_under_a_loose_process_wants_strips() {
        let (next, response) = made(51, 0.4, Scatter::STARTING, 1);
        let advice = best(&next, &response).unwrap();
        assert_eq!(advice.test, Test::MarginStrips);
        // Variance 1 of the print and 1 of the sheet become 1 and a quarter.
        assert!((advice.then / advice.now - math::sqrt(1.25 / 2.0)).abs() < 0.03, "{advice:?}");
        assert!(advice.words(Units::default()).contains("margin strips"));
    }

    #[test]
    fn few_scattered_readings_under_a_steady_process_want_a_chart() {
        let steady = Scatter { exposure: 0.004, coat: 0.1, strips: 20 };
        let (next, response) = made(13, 1.5, steady, 1);
        assert_eq!(best(&next, &response).unwrap().test, Test::LargerChart);
    }

    #[test]
    fn a_process_that_has_drifted_wants_its_chart_again() {
        let (next, response) = made(51, 0.3, Scatter { exposure: 0.01, coat: 0.3, strips: 6 }, 2);
        let next = next.drifted(Some((0.06, 0.005)));
        let advice = best(&next, &response).unwrap();
        assert_eq!(advice.test, Test::ChartAgain);
        assert!(advice.then < 0.5 * advice.now, "{advice:?}");
    }

    #[test]
    fn where_nothing_helps_nothing_is_advised() {
        let (next, response) = made(101, 0.2, Scatter { strips: 9, ..Scatter::STARTING }, 12);
        assert_eq!(best(&next, &response), None);
        assert!(ranked(&next, &response).iter().all(|a| a.then <= a.now && a.then > 0.0));
    }
}
