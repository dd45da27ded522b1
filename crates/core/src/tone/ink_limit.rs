//! The smallest ink that prints white: more ink than that buys nothing but dots that smear and a longer drying.

use super::lightness;
use super::response::Response;
use super::spots::AS_WHITE;
use crate::constant::Basis;
use crate::estimate::Estimate;

/// Steps of ink code that are tried.
const STEPS: u32 = 1000;

/// What there is to offer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum InkLimit {
    /// This ink code prints white; its interval by the band of the response.
    From(Estimate),
    /// Full ink is still darker than white, by this density.
    Short(f64),
    /// White is reached only at full ink, or within the doubt of it: leave the limit alone.
    AtFull,
}

/// Ink code above which there is nothing worth saving.
const NEAR_FULL: f64 = 0.97;

/// The smallest ink code whose print lies within `limit` density of white: of the masked spot's L*, or, without one,
/// of the response's own white. The offer lies at the safe end: the upper end of its interval is within white too.
pub fn offer(response: &Response, masked: Option<f64>, limit: f64) -> InkLimit {
    let limit = if limit.is_finite() { limit.clamp(0.005, 0.1) } else { AS_WHITE.value };
    let white = masked.unwrap_or_else(|| response.at(1.0));
    let density = |l: f64| lightness::to_density(l).unwrap_or(f64::INFINITY);
    let threshold = density(white) + limit;
    let bar = lightness::from_density(threshold);
    if bar.is_nan() || response.at(1.0) < bar {
        return InkLimit::Short(density(response.at(1.0)) - density(white));
    }
    let first = |reached: &dyn Fn(f64) -> bool| {
        (0..=STEPS).map(|i| f64::from(i) / f64::from(STEPS)).find(|&c| reached(c)).unwrap_or(1.0)
    };
    // The band holds the curve's place as a whole, the distance from white only its difference to it; within the same
    // few patches these go together, so the half width is taken once.
    let value = first(&|c| response.at(c) >= bar);
    let low = first(&|c| response.at(c) + response.half_width(c) >= bar);
    let high = first(&|c| response.at(c) - response.half_width(c) >= bar);
    if high >= NEAR_FULL {
        return InkLimit::AtFull;
    }
    let basis = Basis::Measured { n: u32::try_from(response.statistics().readings).unwrap_or(u32::MAX) };
    InkLimit::From(Estimate { value, low: low.min(value), high: high.max(value), basis })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;
    use crate::tone::Reading;

    /// Density falls straight from 1.45 to 0.08 at 70 % ink and stays there.
    fn response(white: f64) -> Response {
        let readings: Vec<Reading> = (0..=60)
            .map(|i| {
                let c = f64::from(i) / 60.0;
                Reading::density(c, (1.45 - (1.45 - white) * c / 0.7).max(white))
            })
            .collect();
        Response::fit(&readings).unwrap()
    }

    #[test]
    fn the_limit_is_where_white_begins() {
        let InkLimit::From(e) = offer(&response(0.08), Some(lightness::from_density(0.08)), 0.02) else {
            panic!("no limit")
        };
        // 0.02 density before white is 1 % of ink before 70 %.
        assert!((e.value - 0.69).abs() < 0.02, "{e:?}");
        assert!(e.low <= e.value && e.value <= e.high && e.high < 0.8, "{e:?}");
    }

    #[test]
    fn ink_that_never_prints_white_is_short_of_it() {
        let InkLimit::Short(by) = offer(&response(0.14), Some(lightness::from_density(0.08)), 0.02) else {
            panic!("white after all")
        };
        assert!((by - 0.06).abs() < 0.01, "{by}");
    }

    #[test]
    fn a_curve_that_rises_to_the_end_leaves_the_limit_alone() {
        let readings: Vec<Reading> =
            (0..=40).map(|i| Reading::lightness(f64::from(i) / 40.0, 24.0 + 1.75 * f64::from(i))).collect();
        assert_eq!(offer(&Response::fit(&readings).unwrap(), None, 0.02), InkLimit::AtFull);
    }
}
