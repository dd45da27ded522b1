//! Irradiance under sources of simple shape.
//!
//! A Lambertian disc on its axis, one tube seen from beside its middle, a bank of tubes: all closed forms of radiometry
//! (CIE ILV 17-21-053, irradiance; textbook integrals of E = ∫ L cos θ dΩ). Lengths in any one unit.

use crate::math;

/// Irradiance on the axis of a Lambertian disc of the given radius and radiance, at a distance: π·L·R²/(R² + d²).
#[must_use]
pub fn disc(radiance: f64, radius: f64, distance: f64) -> f64 {
    core::f64::consts::PI * radiance * radius * radius / (radius * radius + distance * distance)
}

/// How much the inverse square, reckoned from afar, overstates such a disc: (R/d)². 1 % at five diameters.
#[must_use]
pub fn overstated(diameter: f64, distance: f64) -> f64 {
    let part = diameter / (2.0 * distance);
    part * part
}

/// Irradiance below a tube of a given length (`f64::INFINITY` for a long one) whose radiant intensity per length across
/// its axis is 1: at `height` below its plane and `aside` from its axis, at the middle of its length.
#[must_use]
pub fn tube(length: f64, height: f64, aside: f64) -> f64 {
    let r = math::sqrt(height * height + aside * aside);
    let a = math::atan(length / (2.0 * r));
    height / r * (a + math::sin(a) * math::cos(a)) / r
}

/// Irradiance under a bank of `tubes`, `pitch` apart, at `aside` from the middle of the bank.
#[must_use]
pub fn bank(tubes: u32, pitch: f64, length: f64, height: f64, aside: f64) -> f64 {
    let middle = f64::from(tubes.saturating_sub(1)) / 2.0;
    (0..tubes).map(|i| tube(length, height, aside - (f64::from(i) - middle) * pitch)).sum()
}

/// What a flat sheet gets at an angle from the foot of a small source, as part of what its foot gets: cos⁴.
#[must_use]
pub fn off_foot(aside: f64, distance: f64) -> f64 {
    let square = distance * distance / (distance * distance + aside * aside);
    square * square
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;
    use serde_json::Value;

    const VECTORS: &str = include_str!("../../../../../tests/reference/radiometry/radiometry.json");

    fn of(row: &Value, key: &str) -> f64 {
        row[key].as_f64().unwrap()
    }

    fn close(a: f64, b: f64, by: f64) {
        assert!((a / b - 1.0).abs() < by, "{a} {b}");
    }

    #[test]
    fn disc_tube_and_bank() {
        let all: Value = serde_json::from_str(VECTORS).unwrap();
        let discs = all["lambertian_disc_on_axis"]["vectors"].as_array().unwrap();
        assert_eq!(discs.len(), 7);
        for row in discs {
            let d = of(row, "distance_over_diameter");
            close(disc(1.0, 0.5, d), of(row, "E_exact_over_L"), 1e-6); // nine decimals are given
            assert!((overstated(1.0, d) - of(row, "inverse_square_error")).abs() < 1e-6);
        }
        let tubes = all["lambertian_line_source"]["vectors"].as_array().unwrap();
        assert_eq!(tubes.len(), 7);
        for row in tubes {
            close(tube(of(row, "length_m"), of(row, "height_m"), 0.0), of(row, "E_over_Iprime"), 1e-6);
        }
        let banks = all["tube_bank"]["vectors"].as_array().unwrap();
        assert_eq!(banks.len(), 5);
        for row in banks {
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a count")]
            let n = of(row, "tubes") as u32;
            let (pitch, height) = (of(row, "spacing_m"), of(row, "height_m"));
            let at = |x: f64| bank(n, pitch, f64::INFINITY, height, x);
            for (x, e) in row["x_m"]
                .as_array()
                .unwrap()
                .iter()
                .zip(row["E_over_Iprime_infinite_tubes"].as_array().unwrap())
            {
                close(at(x.as_f64().unwrap()), e.as_f64().unwrap(), 1e-6);
            }
            let edge = row["x_m"].as_array().unwrap().last().unwrap().as_f64().unwrap();
            assert!((at(edge) / at(0.0) - of(row, "edge_over_centre")).abs() < 1e-5);
        }
        let row = &all["tube_bank"]["finite_example"];
        let at = |x: f64| bank(8, 0.05, of(row, "length_m"), of(row, "height_m"), x);
        close(at(0.0), of(row, "centre"), 1e-6);
        close(at(0.175), of(row, "edge"), 1e-6);
    }

    #[test]
    fn away_from_the_foot() {
        let all: Value = serde_json::from_str(VECTORS).unwrap();
        for row in all["cosine"].as_array().unwrap() {
            let cos = of(row, "cos");
            let aside = math::sqrt(1.0 / (cos * cos) - 1.0);
            assert!((off_foot(aside, 1.0) - of(row, "cos4_small_source_plane")).abs() < 1e-6);
        }
    }
}
