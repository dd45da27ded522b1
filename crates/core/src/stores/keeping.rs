//! How long what stands in a bottle keeps.

use crate::book::{Bottle, typed_day};
use crate::coat::Content;
use crate::constant::Constant;
use crate::entry;

/// Months an iron solution keeps, until the printer knows better.
pub const IRON: Constant =
    Constant::practice(6.0, "months", 1, "3 to 12 months are common for a dark, cool solution; no source");
/// Months a citrate solution keeps.
pub const CITRATE: Constant =
    Constant::practice(1.0, "months", 1, "weeks, until it grows mould; common practice, no source");
/// Days of a month, on average.
pub const MONTH: Constant =
    Constant::exact(30.436_875, "days", "Gregorian calendar: 146097 days in 4800 months");

/// Months a bottle keeps: as typed, else the starting value of its content. `None`: for ever, as the metal solutions
/// do in the dark.
#[must_use]
pub fn months(content: Content, bottle: &Bottle) -> Option<f64> {
    let typed = entry::parse(&bottle.keeps).ok().map(|t| t.value).filter(|m| (0.0..=1200.0).contains(m));
    typed.or(match content {
        Content::IronCitrate => Some(CITRATE.value),
        content if content.is_iron() => Some(IRON.value),
        _ => None,
    })
}

/// Days since the bottle should have been used up; negative while it keeps. `None` if nobody knows when it was opened,
/// or it keeps for ever.
#[must_use]
pub fn over(content: Content, bottle: &Bottle, today: i64) -> Option<i64> {
    let months = months(content, bottle)?;
    #[expect(clippy::cast_possible_truncation, reason = "at most 1200 months")]
    let days = (months * MONTH.value).round() as i64;
    Some(today - typed_day(&bottle.opened)? - days)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn six_months_for_iron_and_for_ever_for_metal() {
        let bottle = Bottle { opened: "2025-10-19".into(), ..Bottle::default() };
        let day = |text| typed_day(text).unwrap();
        assert_eq!(over(Content::Iron, &bottle, day("2025-10-19")), Some(-183));
        assert_eq!(over(Content::Iron, &bottle, day("2026-04-21")), Some(1));
        assert_eq!(over(Content::Palladium, &bottle, day("2035-01-01")), None);
        let typed = Bottle { keeps: "1".into(), ..bottle };
        assert_eq!(over(Content::Palladium, &typed, day("2025-11-18")), Some(0));
        assert_eq!(over(Content::Iron, &Bottle::default(), 20_000), None);
    }
}
