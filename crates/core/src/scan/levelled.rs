//! The print's own unevenness taken out of its patches, by the ground between them.
//!
//! What the ground shows is taken for exposure: a patch is off by as much of it as its tone answers to exposure, against
//! the ground's own answer. A coat that is uneven in black is not told from it; the black patches' repeats show that.

use super::evenness::evenness;
use super::refusal::Refusal;
use crate::tone::exposure::Sensitivity;

/// One patch: ink code, place in mm, L*.
pub type Spot = (f64, f64, f64, f64);

/// L* of the patches as an even print would show them. `ground` is (x, y, L*) in mm and L*.
///
/// # Errors
/// As [`evenness`]: the layout is in order of tone, or the ground was read at too few places.
pub fn levelled(patches: &[Spot], ground: &[(f64, f64, f64)]) -> Result<Vec<f64>, Refusal> {
    let spots: Vec<(f64, f64, f64)> = patches.iter().map(|&(code, x, y, _)| (code, x, y)).collect();
    let surface = evenness(ground, &spots)?;
    let level = ground.iter().map(|g| surface.at((g.0, g.1))).sum::<f64>() / ground.len() as f64;
    let ends = patches.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |a, p| (a.0.min(p.3), a.1.max(p.3)));
    let sensitivity = Sensitivity::between(ends.0, ends.1);
    let own = sensitivity.to_exposure(level).max(1.0);
    let even = |&(_, x, y, l): &Spot| l - (surface.at((x, y)) - level) * sensitivity.to_exposure(l) / own;
    Ok(patches.iter().map(even).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;
    use crate::tone::chart_plan::{ChartPlan, ChartSpec, Patches};

    #[test]
    fn an_uneven_lamp_is_taken_out() {
        let plan = ChartPlan::new(ChartSpec::usual(Patches::P65, 9)).unwrap();
        let sensitivity = Sensitivity::between(24.0, 94.0);
        // The lamp falls off by 0.06 log H over the sheet.
        let fall = |x: f64| 0.06 * (x / plan.spec.coat.0 - 0.5);
        let seen = |l: f64, x: f64| l + fall(x) * sensitivity.to_exposure(l);
        let truth = |code: f64| 24.0 + 70.0 * code * code * (3.0 - 2.0 * code);
        let patches: Vec<Spot> = plan
            .patches
            .iter()
            .map(|p| {
                let (x, y) = p.area.middle();
                (p.code, x, y, seen(truth(p.code), x))
            })
            .collect();
        let ground: Vec<(f64, f64, f64)> = plan
            .gaps()
            .iter()
            .map(|gap| {
                let (x, y) = gap.middle();
                (x, y, seen(55.0, x))
            })
            .collect();
        let even = levelled(&patches, &ground).unwrap();
        let off = |l: &dyn Fn(usize) -> f64| {
            let worst = |a: f64, i: usize| a.max((l(i) - truth(patches[i].0)).abs());
            (0..patches.len()).fold(0.0, worst)
        };
        let (before, after) = (off(&|i| patches[i].3), off(&|i| even[i]));
        assert!(before > 1.0 && after < 0.25 * before, "{before} {after}");
        assert_eq!(levelled(&patches, &ground[..4]), Err(Refusal::Counts));
    }
}
