//! What the curve leaves over, to be looked at: each reading's distance from it, what an even scatter would allow, and
//! whether neighbours on the sheet are off together.

use super::response::Response;
use crate::chart::{Axis, Chart};
use crate::math;
use crate::show::decimals;

/// Fewest readings in which a pattern is looked for.
const FEWEST: usize = 20;
/// Multiple of its standard error from which on a correlation of neighbours is believed.
const BELIEVED: f64 = 3.0;
/// Multiples of the spread that hold 95 % of an even scatter.
const WIDE: f64 = 1.96;

/// Readings that were given one after another are off together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pattern {
    /// Correlation of neighbouring residuals, −1 to 1.
    pub correlation: f64,
    /// How much of the scatter it makes, as a standard deviation in L*.
    pub size: f64,
}

impl Pattern {
    /// As a sentence.
    pub fn words(&self) -> String {
        format!(
            "Patches given one after another are off together by about {} L*: an uneven coat or light, or a step of the reading.",
            decimals(self.size, 1)
        )
    }
}

/// Whether readings next to each other in the order given are off together, where that order is not that of the codes
/// (there, what is left over may be the curve's own bend). Bartlett's standard error 1/√n (1946).
pub fn pattern(response: &Response) -> Option<Pattern> {
    let counted: Vec<(f64, f64)> = response
        .points()
        .iter()
        .filter(|p| p.counts > 0.0)
        .map(|p| (p.code, p.residual * math::sqrt(p.weight)))
        .collect();
    let n = counted.len();
    if n < FEWEST {
        return None;
    }
    let rising = counted.windows(2).filter(|w| w[1].0 >= w[0].0).count();
    // A shuffled chart rises at half its steps; an ordered one, or one turned round, at all or none.
    if !(n / 5..=n - n / 5).contains(&rising) {
        return None;
    }
    let mean = counted.iter().map(|c| c.1).sum::<f64>() / n as f64;
    let square: f64 = counted.iter().map(|c| (c.1 - mean) * (c.1 - mean)).sum();
    let lagged: f64 = counted.windows(2).map(|w| (w[0].1 - mean) * (w[1].1 - mean)).sum();
    if square <= 0.0 {
        return None;
    }
    let correlation = lagged / square;
    let size = math::sqrt((correlation * square / n as f64).max(0.0));
    (correlation > BELIEVED / math::sqrt(n as f64)).then_some(Pattern { correlation, size })
}

/// The residuals over the ink as a chart: dots, crosses for what is doubted, and the band of an even scatter.
pub fn chart(response: &Response) -> String {
    let sigma = response.statistics().sigma;
    let far = response.points().iter().map(|p| p.residual.abs()).fold(WIDE * sigma, f64::max);
    let (reach, step) = [(1.0, 1.0), (2.0, 1.0), (6.0, 2.0), (10.0, 5.0), (20.0, 10.0)]
        .into_iter()
        .find(|(reach, _)| *reach >= far)
        .unwrap_or((50.0, 25.0));
    let ink = Axis { name: "ink, %", from: 0.0, to: 100.0, step: 20.0 };
    let off = Axis { name: "above the curve, L*", from: -reach, to: reach, step };
    let words = format!(
        "{} readings about the curve; an even scatter of {} L* would leave 95 of 100 in the band.",
        response.points().len(),
        decimals(sigma, 2)
    );
    let mut chart = Chart::new("tone-residuals", "Readings about the curve", &words, ink, off);
    chart.band(&[(0.0, -WIDE * sigma, WIDE * sigma), (100.0, -WIDE * sigma, WIDE * sigma)]);
    chart.curve(&[(0.0, 0.0), (100.0, 0.0)], "curve");
    for p in response.points() {
        let place = (100.0 * p.code, p.residual);
        if response.flagged().iter().any(|f| f.point.index == p.index) {
            chart.cross(place, "doubt");
        } else {
            chart.dot(place, "mark");
        }
    }
    chart.finish()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;
    use crate::tone::Reading;

    /// 61 codes in an order that jumps about, with scatter, and `field` L* of a slow wave over the sheet.
    fn response(field: f64, ordered: bool) -> Response {
        let readings: Vec<Reading> = (0..61)
            .map(|i| {
                let k = if ordered { i } else { i * 23 % 61 };
                let c = f64::from(k) / 60.0;
                let scatter = (f64::from((5 * i * i + 3 * i) % 17) - 8.0) / 12.0;
                let wave = field * math::sin(f64::from(i) / 5.0);
                Reading::lightness(c, 24.0 + 70.0 * c * c * (3.0 - 2.0 * c) + scatter + wave)
            })
            .collect();
        Response::fit(&readings).unwrap()
    }

    #[test]
    fn a_wave_over_the_sheet_is_seen_and_scatter_is_none() {
        assert_eq!(pattern(&response(0.0, false)), None);
        let p = pattern(&response(1.5, false)).unwrap();
        assert!(p.correlation > 0.5 && (p.size - 1.0).abs() < 0.4, "{p:?}");
        // 1.5 L* of a sine are 1.06 as a standard deviation.
        assert!(p.words().contains("1.1 L*"), "{}", p.words());
        // In the order of the codes a wave is the curve's.
        assert_eq!(pattern(&response(1.5, true)), None);
    }

    #[test]
    fn the_chart_has_every_reading() {
        let r = response(0.0, false);
        let svg = chart(&r);
        assert_eq!(svg.matches("<circle").count(), r.points().len() - r.flagged().len());
        assert!(svg.contains("61 readings about the curve"));
    }
}
