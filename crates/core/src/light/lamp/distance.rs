//! Whether a change of distance may be reckoned, and how.
//!
//! The inverse square holds for a source that is small against its distance: within 1 % from five times its greatest size
//! on (five-times rule, IES definition 9.1.1; the law itself CIE ILV 17-25-104). Under tubes and panels it never holds where
//! prints are made.

use super::geometry;
use crate::constant::Constant;
use crate::light::Change;
use crate::math;

/// Distances, in sizes of the source, from which on the inverse square holds within 1 %.
pub const FAR: Constant =
    Constant::published(5.0, "sizes of the source", 1, "five-times rule, IES definition 9.1.1");

/// Kinds of lamps.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LampKind {
    /// A bank of tubes.
    Tubes,
    /// A panel of light-emitting diodes.
    Panel,
    /// A single small lamp.
    Small,
    /// The sun.
    Sun,
}

impl LampKind {
    /// From its word in a form.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Some(match word {
            "tubes" => Self::Tubes,
            "panel" => Self::Panel,
            "small" => Self::Small,
            "sun" => Self::Sun,
            _ => return None,
        })
    }
}

/// Why no rule of distance is offered.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NoRule {
    /// Tubes side by side: between 1/d close up and 1/d² far off, with edges of its own.
    Tubes,
    /// A panel is as wide as the print is far.
    Panel,
    /// The sun is equally far from both places.
    Sun,
    /// Too near for its size: the nearest distance at which the rule holds.
    TooNear(f64),
}

/// The change of exposure from one distance to another by the inverse square.
///
/// # Errors
/// Why the rule does not hold there. Distances and size in one unit, above zero.
pub fn inverse_square(kind: LampKind, size: f64, from: f64, to: f64) -> Result<Change, NoRule> {
    match kind {
        LampKind::Tubes => return Err(NoRule::Tubes),
        LampKind::Panel => return Err(NoRule::Panel),
        LampKind::Sun => return Err(NoRule::Sun),
        LampKind::Small => {}
    }
    let near = FAR.value * size;
    if from.min(to) < near {
        return Err(NoRule::TooNear(near));
    }
    Ok(Change::from_log(2.0 * math::log10(to / from)))
}

/// How far the corners of a sheet stay behind its middle under a small lamp, in stops (below 0).
#[must_use]
pub fn corners(width: f64, height: f64, distance: f64) -> f64 {
    let aside = math::sqrt(width * width + height * height) / 2.0;
    math::log2(geometry::off_foot(aside, distance))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;
    use serde_json::Value;

    const VECTORS: &str = include_str!("../../../../../tests/reference/radiometry/radiometry.json");

    #[test]
    fn a_small_lamp_follows_the_square() {
        let all: Value = serde_json::from_str(VECTORS).unwrap();
        let rows = all["inverse_square"].as_array().unwrap();
        assert_eq!(rows.len(), 5);
        for row in rows {
            let of = |key: &str| row[key].as_f64().unwrap();
            let change = inverse_square(LampKind::Small, 0.02, of("d1_m"), of("d2_m")).unwrap();
            assert!((change.to_factor() / of("time_factor") - 1.0).abs() < 1e-9);
            assert!((change.to_stops() + of("stops")).abs() < 1e-5);
        }
    }

    #[test]
    fn it_is_refused_where_it_does_not_hold() {
        for (kind, why) in
            [(LampKind::Tubes, NoRule::Tubes), (LampKind::Panel, NoRule::Panel), (LampKind::Sun, NoRule::Sun)]
        {
            assert_eq!(inverse_square(kind, 1.0, 100.0, 200.0), Err(why));
        }
        assert_eq!(inverse_square(LampKind::Small, 30.0, 100.0, 400.0), Err(NoRule::TooNear(150.0)));
    }
}
