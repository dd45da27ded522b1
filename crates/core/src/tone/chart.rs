//! The charts of the tone station: response and correction.

use super::Solved;
use super::{Correction, Response};
use crate::chart::{Axis, Chart};

/// Points along a curve: finer than the eye sees on any screen.
const STEPS: usize = 128;
/// Ink code as an axis, in percent.
const INK: Axis<'static> = Axis { name: "ink, %", from: 0.0, to: 100.0, step: 20.0 };
/// Picture tone as an axis, in percent.
const TONE: Axis<'static> = Axis { name: "picture tone, %", from: 0.0, to: 100.0, step: 20.0 };
/// Print lightness as an axis.
const LIGHTNESS: Axis<'static> = Axis { name: "print, L*", from: 0.0, to: 100.0, step: 20.0 };

fn steps() -> impl Iterator<Item = f64> {
    (0..=STEPS).map(|i| i as f64 / STEPS as f64)
}

/// Print lightness against ink code: readings, curve and 95 % band; without readings what is expected of a typical
/// paper.
pub(super) fn response(solved: &Solved) -> String {
    match &solved.response {
        Some(response) => measured(response),
        None => expected(&solved.correction),
    }
}

fn measured(response: &Response) -> String {
    let (black, white) = (response.at(0.0), response.at(1.0));
    let words = format!(
        "{} readings, print L* from {black:.0} at clear film to {white:.0} at full ink, with the fitted curve and its band.",
        response.points().len()
    );
    let mut chart = Chart::new("tone-response", "Print lightness against ink", &words, INK, LIGHTNESS);
    let band: Vec<_> = steps()
        .map(|c| {
            let e = response.estimate(c);
            (100.0 * c, e.low, e.high)
        })
        .collect();
    chart.band(&band);
    chart.curve(&steps().map(|c| (100.0 * c, response.at(c))).collect::<Vec<_>>(), "curve");
    let doubtful: Vec<usize> = response.flagged().iter().map(|f| f.point.index).collect();
    for p in response.points() {
        let place = (100.0 * p.code, p.lightness);
        if doubtful.contains(&p.index) { chart.cross(place, "doubt") } else { chart.dot(place, "mark") }
    }
    chart.finish()
}

fn expected(correction: &Correction) -> String {
    let words = "Not measured: what a typical palladium print shows, with a wide band.";
    let mut chart =
        Chart::new("tone-response", "Print lightness expected against ink", words, INK, LIGHTNESS);
    let band: Vec<_> = steps()
        .map(|u| {
            let e = correction.expected(u);
            (100.0 * correction.at(u), e.low, e.high)
        })
        .collect();
    chart.band(&band);
    let curve: Vec<_> =
        steps().map(|u| (100.0 * correction.at(u), correction.expected_lightness(u))).collect();
    chart.curve(&curve, "curve");
    chart.finish()
}

/// Ink code against picture tone.
pub(super) fn correction(correction: &Correction) -> String {
    let words = format!(
        "From {:.0} % ink for black to {:.0} % for white; the middle tone takes {:.0} %.",
        100.0 * correction.at(0.0),
        100.0 * correction.at(1.0),
        100.0 * correction.at(0.5)
    );
    let mut chart = Chart::new("tone-correction", "Ink against picture tone", &words, TONE, INK);
    chart.curve(&[(0.0, 0.0), (100.0, 100.0)], "hair");
    chart.curve(&steps().map(|u| (100.0 * u, 100.0 * correction.at(u))).collect::<Vec<_>>(), "curve");
    chart.finish()
}
