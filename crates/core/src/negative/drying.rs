//! Whether a film is dry enough to be laid on a coating.

use crate::constant::Constant;

/// Hours until an inkjet film may be touched.
pub const TOUCH_DRY: Constant =
    Constant::practice(1.0, "h", 1, "an hour for the ink to set; depends on film, ink and air");
/// Hours until an inkjet film may lie under pressure on a coating.
pub const FULLY_DRY: Constant = Constant::practice(12.0, "h", 1, "overnight; depends on film, ink and air");

/// How dry a film is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Drying {
    /// The printer has not said when it was printed.
    Unknown,
    /// Still wet; hours until touch-dry and until fully dry.
    Wet {
        /// Hours until it may be touched.
        touch_in: f64,
        /// Hours until it may be used.
        full_in: f64,
    },
    /// May be touched, not yet used; hours until fully dry.
    TouchDry {
        /// Hours until it may be used.
        full_in: f64,
    },
    /// May be used.
    Dry,
}

/// The state of a film that left the printer at `printed` (ms; 0 if not told), at `now` (ms), for a stock that is
/// touch-dry and fully dry after so many hours.
#[must_use]
pub fn drying(printed: i64, now: i64, touch_hours: f64, full_hours: f64) -> Drying {
    if printed <= 0 {
        return Drying::Unknown;
    }
    #[expect(clippy::cast_precision_loss, reason = "a span of milliseconds far below 2^53")]
    let passed = (now - printed).max(0) as f64 / 3.6e6;
    let full_in = full_hours - passed;
    let touch_in = touch_hours - passed;
    if touch_in > 0.0 {
        Drying::Wet { touch_in, full_in: full_in.max(touch_in) }
    } else if full_in > 0.0 {
        Drying::TouchDry { full_in }
    } else {
        Drying::Dry
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn a_film_dries_in_order() {
        let hour = 3_600_000;
        assert_eq!(drying(0, hour, 1.0, 12.0), Drying::Unknown);
        assert_eq!(drying(hour, hour, 1.0, 12.0), Drying::Wet { touch_in: 1.0, full_in: 12.0 });
        assert_eq!(drying(hour, 3 * hour, 1.0, 12.0), Drying::TouchDry { full_in: 10.0 });
        assert_eq!(drying(hour, 13 * hour, 1.0, 12.0), Drying::Dry);
        // A clock that was set back must not make a film wetter than fresh.
        assert_eq!(drying(5 * hour, hour, 1.0, 12.0), Drying::Wet { touch_in: 1.0, full_in: 12.0 });
    }
}
