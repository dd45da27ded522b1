//! Single values as they stand in a link: lengths in mm, temperatures in °C, numbers with a point, printable texts.

use crate::entry::{self, Typed};
use crate::quantity::Length;
use crate::show::{LengthUnit, Units, significant};

/// A text without what is not printed; `None` if it is too long.
pub(super) fn fit_text(text: &str, most: usize) -> Option<String> {
    (text.chars().count() <= most && !text.chars().any(unprintable)).then(|| text.to_owned())
}

/// Control characters, and those that turn the direction of writing round.
pub(super) fn unprintable(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{2069}' | '\u{feff}')
}

/// The shortest text of a number in its range; a millionth is kept.
pub(super) fn in_range(value: f64, low: f64, high: f64) -> Option<String> {
    (value >= low && value <= high).then(|| significant(value, 6))
}

/// A length as typed, in mm.
pub(super) fn length_mm(text: &str, units: Units) -> Option<f64> {
    let Typed { value, unit } = entry::parse(text).ok()?;
    match (unit.as_str(), units.length) {
        ("mm", _) | ("", LengthUnit::Mm) => Some(value),
        ("cm", _) => Some(value * 10.0),
        ("in" | "inch" | "\"" | "″", _) => Some(Length::from_inches(value).to_mm()),
        // What was rewritten when the units changed travels as it was: 8.268 in as 210 mm.
        ("", LengthUnit::Inch) => {
            let mm = LengthUnit::Inch.carried(value, LengthUnit::Mm);
            let whole = (mm * 10.0 - (mm * 10.0).round()).abs() < 1e-9;
            Some(if whole { mm } else { Length::from_inches(value).to_mm() })
        }
        _ => None,
    }
}

/// A temperature as typed, in °C.
pub(super) fn celsius(text: &str, units: Units) -> Option<f64> {
    let Typed { value, unit } = entry::parse(text).ok()?;
    units.temperature.typed(value, &unit).map(|t| t.to_celsius())
}
