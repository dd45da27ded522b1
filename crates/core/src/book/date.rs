//! Calendar dates from milliseconds.

/// The date in the room, as `2026-02-14`, of a moment in ms since 1970 UTC, `zone_minutes` east of UTC.
///
/// Proleptic Gregorian calendar; days to civil date by the era method (H. Hinnant, "chrono-Compatible Low-Level
/// Date Algorithms", 2014; from memory, checked against known dates).
#[must_use]
pub fn date(ms: i64, zone_minutes: i32) -> String {
    let days = (ms.saturating_add(i64::from(zone_minutes) * 60_000)).div_euclid(86_400_000);
    let shifted = days + 719_468;
    let era = shifted.div_euclid(146_097);
    let of_era = shifted.rem_euclid(146_097);
    let year_of_era = (of_era - of_era / 1_460 + of_era / 36_524 - of_era / 146_096) / 365;
    let day_of_year = of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let shifted_month = (5 * day_of_year + 2) / 153;
    let day = day_of_year - (153 * shifted_month + 2) / 5 + 1;
    let month = if shifted_month < 10 { shifted_month + 3 } else { shifted_month - 9 };
    let year = year_of_era + era * 400 + i64::from(month <= 2);
    format!("{year:04}-{month:02}-{day:02}")
}

#[cfg(test)]
mod tests {
    use super::date;

    #[test]
    fn known_dates() {
        assert_eq!(date(0, 0), "1970-01-01");
        assert_eq!(date(951_782_400_000, 0), "2000-02-29");
        assert_eq!(date(1_795_595_000_000, 0), "2026-11-25");
        assert_eq!(date(-1, 0), "1969-12-31");
        assert_eq!(date(23 * 3_600_000, 120), "1970-01-02");
    }
}
