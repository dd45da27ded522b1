//! On which coat a chart lies, by the size of its corner marks: a mark is 8 mm on every coat, so the distance of the marks
//! in millimetres can be told from the picture alone, and a coat of another size than was typed is noticed.

use sorrel_core::scan::Homography;
use sorrel_core::scan::ordered::ascending;
use sorrel_core::tone::chart_plan::ChartPlan;
use sorrel_imaging::reduced::Reduced;

/// Beside the line between two squares of a mark along which the light one is walked, mm.
const BESIDE: f64 = 1.0;
/// The walk begins so far from the middle of the mark, and ends there, in sides of a square.
const WALK: (f64, f64) = (0.3, 3.0);
/// Length of one step of it, in sides of a square.
const STEP: f64 = 0.01;
/// The light square has ended where this part of the way to black is gone: half way to the ground.
const ENDED: f64 = 0.25;
/// Least difference between light and dark squares, as a part of the scale.
const CONTRAST: f64 = 0.08;
/// Light squares that must agree, of eight.
const FEWEST: usize = 3;

/// Width and height of the coat in mm when `map` leads from the plan to the picture; `None` when too few marks are clear.
pub fn coat(picture: &Reduced, plan: &ChartPlan, map: &Homography) -> Option<(f64, f64)> {
    let half = plan.mark / 2.0;
    let mut seen = [0.0; 2];
    for (axis, seen) in seen.iter_mut().enumerate() {
        let mut sides = Vec::new();
        for mark in plan.marks {
            // Light lies towards the upper right and the lower left.
            for way in [1.0, -1.0] {
                let at = |t: f64| {
                    let (a, b) = (way * t * half, way * BESIDE);
                    let (x, y) = if axis == 0 { (a, -b) } else { (b, -a) };
                    picture.between(map.map((mark.0 + x, mark.1 + y)))
                };
                let (light, dark) = (at(WALK.0), at(-WALK.0));
                let mut t = WALK.0;
                while t < WALK.1 && at(t) >= light - ENDED * (light - dark) {
                    t += STEP;
                }
                if light - dark > CONTRAST && t < WALK.1 {
                    sides.push(t);
                }
            }
        }
        if sides.len() < FEWEST {
            return None;
        }
        ascending(&mut sides);
        *seen = sides[sides.len() / 2];
    }
    let [a, b, c, _] = plan.marks;
    let real = |coat: f64, marks: f64, seen: f64| marks / seen + coat - marks;
    Some((real(plan.spec.coat.0, b.0 - a.0, seen[0]), real(plan.spec.coat.1, c.1 - b.1, seen[1])))
}
