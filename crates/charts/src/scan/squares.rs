//! Reading the row of squares that names the chart.

use sorrel_core::math;
use sorrel_core::scan::ordered::ascending;
use sorrel_core::scan::{Homography, Point};
use sorrel_core::tone::chart_plan::Identity;
use sorrel_core::tone::chart_plan::identity::SQUARES;
use sorrel_core::tone::chart_plan::layout::SQUARES_SPAN;
use sorrel_imaging::reduced::Reduced;

/// Least difference between light and dark squares, as a part of the scale.
const CONTRAST: f64 = 0.08;

/// What the squares say when the marks are these (upper left, upper right, lower right, lower left); `None` when that
/// is no row of squares.
pub fn read(picture: &Reduced, corners: &[Point; 4]) -> Option<Identity> {
    let unit = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)];
    let map = Homography::new(&unit, corners)?;
    let length = |a: Point, b: Point| math::sqrt((a.0 - b.0) * (a.0 - b.0) + (a.1 - b.1) * (a.1 - b.1));
    let step = (SQUARES_SPAN.1 - SQUARES_SPAN.0) / SQUARES as f64;
    // The row is higher than a square is wide: half a width up and down stays inside.
    let down = 0.4 * step * length(corners[3], corners[2]) / length(corners[0], corners[3]).max(1.0);
    let mut values = [0.0; SQUARES];
    for (i, value) in values.iter_mut().enumerate() {
        let u = SQUARES_SPAN.0 + (i as f64 + 0.5) * step;
        let mut nine = [0.0; 9];
        for (k, v) in nine.iter_mut().enumerate() {
            let (a, b) = (k % 3, k / 3);
            let place = map.map((u + (a as f64 - 1.0) * 0.25 * step, 1.0 + (b as f64 - 1.0) * down));
            if !picture.holds(place) {
                return None;
            }
            *v = picture.between(place);
        }
        ascending(&mut nine);
        *value = nine[4];
    }
    let (light, dark) = (values[0], values[SQUARES - 1]);
    if light - dark < CONTRAST {
        return None;
    }
    let threshold = f64::midpoint(light, dark);
    Identity::from_squares(&values.map(|v| v > threshold))
}
