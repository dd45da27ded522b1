//! How even the coat is, from the ground between the patches.
//!
//! Only where patches are shuffled: on a wedge in order the coat's slope and the curve's slope are the same thing.

use super::refusal::Refusal;
use super::surface::Surface;
use crate::tone::chart_plan::order::worst_correlation;

/// Correlation of tone and place above which nothing may be said.
const GUARD: f64 = 0.3;

/// The lightness of the ground as a surface over the chart, in L* and mm. `ground` and `patches` are (x, y, L*) and
/// (ink code, x, y).
///
/// # Errors
/// [`Refusal::Sequential`] when the patches stand in order of tone, [`Refusal::Counts`] when the ground was read at too
/// few places.
pub fn evenness(ground: &[(f64, f64, f64)], patches: &[(f64, f64, f64)]) -> Result<Surface, Refusal> {
    if worst_correlation(patches) > GUARD {
        return Err(Refusal::Sequential);
    }
    Surface::fit(ground).ok_or(Refusal::Counts)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;
    use crate::tone::chart_plan::{ChartPlan, ChartSpec, Patches};

    #[test]
    fn a_sloping_coat_is_seen_on_a_shuffled_chart_and_refused_on_a_wedge() {
        let plan = ChartPlan::new(ChartSpec::usual(Patches::P41, 5)).unwrap();
        let truth = |x: f64, y: f64| 55.0 + 0.02 * x - 0.01 * y;
        let ground: Vec<_> = plan
            .gaps()
            .iter()
            .map(|g| {
                let (x, y) = g.middle();
                (x, y, truth(x, y))
            })
            .collect();
        let spots: Vec<_> = plan
            .patches
            .iter()
            .map(|p| {
                let (x, y) = p.area.middle();
                (p.code, x, y)
            })
            .collect();
        let surface = evenness(&ground, &spots).unwrap();
        assert!((surface.at((40.0, 30.0)) - truth(40.0, 30.0)).abs() < 1e-9);
        let wedge: Vec<_> =
            (0..40).map(|i| (f64::from(i) / 39.0, f64::from(i % 8), f64::from(i / 8))).collect();
        assert_eq!(evenness(&ground, &wedge), Err(Refusal::Sequential));
        assert_eq!(evenness(&ground[..4], &spots), Err(Refusal::Counts));
    }
}
