//! Days of the calendar from milliseconds since 1970.
//!
//! Method: days counted in eras of 400 years from 1 March of year 0, proleptic Gregorian calendar (the leap rule of
//! ISO 8601). The clock and the room's offset from UTC are arguments.

/// Milliseconds of a day.
const DAY_MS: i64 = 86_400_000;

/// The date of the room's wall clock, as `2026-02-14`. `now` is in milliseconds since 1970, UTC; the offset in
/// minutes. Moments beyond the years 0001 to 9999 are held at these ends.
#[must_use]
pub fn date(now: i64, zone_minutes: i32) -> String {
    let days = day_number(now, zone_minutes).clamp(-719_162, 2_932_896);
    let shifted = days + 719_468;
    let era = shifted.div_euclid(146_097);
    let day_of_era = shifted.rem_euclid(146_097);
    let year_of_era = (day_of_era - day_of_era / 1460 + day_of_era / 36_524 - day_of_era / 146_096) / 365;
    let day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let month_from_march = (5 * day_of_year + 2) / 153;
    let day = day_of_year - (153 * month_from_march + 2) / 5 + 1;
    let month = if month_from_march < 10 { month_from_march + 3 } else { month_from_march - 9 };
    let year = year_of_era + era * 400 + i64::from(month <= 2);
    format!("{year:04}-{month:02}-{day:02}")
}

/// Date and time of the room's wall clock, as `2026-02-14 09:05`.
#[must_use]
pub fn date_time(now: i64, zone_minutes: i32) -> String {
    let minutes = local(now, zone_minutes).rem_euclid(DAY_MS) / 60_000;
    format!("{} {:02}:{:02}", date(now, zone_minutes), minutes / 60, minutes % 60)
}

/// Whole days of the room's wall clock from one moment to a later one; 0 if it is not later.
#[must_use]
pub fn days_since(then: i64, now: i64, zone_minutes: i32) -> i64 {
    (day_number(now, zone_minutes) - day_number(then, zone_minutes)).max(0)
}

/// The day number (days since 1970-01-01) of a date as typed: `2026-02-14`, or day, month and year as `14.2.2026`.
/// Slashes are not read, because nobody can tell day from month in them. `None` for anything else.
#[must_use]
pub fn typed_day(text: &str) -> Option<i64> {
    let parts = |mark: char| -> Option<[i64; 3]> {
        let all: Vec<&str> = text.trim().split(mark).map(str::trim).collect();
        let [a, b, c] = all[..] else { return None };
        let plain = |s: &str| !s.is_empty() && s.len() <= 4 && s.bytes().all(|b| b.is_ascii_digit());
        if ![a, b, c].into_iter().all(plain) {
            return None;
        }
        Some([a.parse().ok()?, b.parse().ok()?, c.parse().ok()?])
    };
    let [year, month, day] = parts('-').or_else(|| parts('.').map(|[d, m, y]| [y, m, d]))?;
    if year < 1000 || !(1..=12).contains(&month) || !(1..=31).contains(&day) {
        return None;
    }
    let from_march = (month + 9) % 12;
    let year_of_march = year - i64::from(month <= 2);
    let era = year_of_march.div_euclid(400);
    let year_of_era = year_of_march.rem_euclid(400);
    let day_of_era =
        year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + (153 * from_march + 2) / 5 + day - 1;
    let number = era * 146_097 + day_of_era - 719_468;
    // 31 June is 1 July, and so not what was typed.
    date(number * DAY_MS, 0).ends_with(&format!("-{month:02}-{day:02}")).then_some(number)
}

/// The day number of the room's wall clock.
#[must_use]
pub fn today(now: i64, zone_minutes: i32) -> i64 {
    day_number(now, zone_minutes)
}

fn day_number(now: i64, zone_minutes: i32) -> i64 {
    local(now, zone_minutes).div_euclid(DAY_MS)
}

fn local(now: i64, zone_minutes: i32) -> i64 {
    now.saturating_add(i64::from(zone_minutes) * 60_000)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    // Values: GNU coreutils `date -u -d @…`.
    #[test]
    fn known_days() {
        for (ms, day) in [
            (0, "1970-01-01"),
            (951_782_400_000, "2000-02-29"),
            (951_868_800_000, "2000-03-01"),
            (1_762_560_000_000, "2025-11-08"),
            (4_107_542_400_000, "2100-03-01"),
            (-1, "1969-12-31"),
            (-2_203_891_200_000, "1900-03-01"),
        ] {
            assert_eq!(date(ms, 0), day, "{ms}");
        }
        assert_eq!(date(i64::MAX, 0), "9999-12-31");
        assert_eq!(date(i64::MIN, 0), "0001-01-01");
    }

    #[test]
    fn dates_as_typed() {
        for ms in [0, 951_782_400_000, 951_868_800_000, 1_762_560_000_000, 4_107_542_400_000] {
            assert_eq!(typed_day(&date(ms, 0)), Some(today(ms, 0)));
        }
        assert_eq!(typed_day(" 8.11.2025 "), typed_day("2025-11-08"));
        for text in
            ["", "2025", "2025-02-30", "31.6.2025", "11/08/2025", "2025-13-01", "25-1-1", "a-b-c", "1-2-3-4"]
        {
            assert_eq!(typed_day(text), None, "{text}");
        }
    }

    #[test]
    fn the_room_has_its_own_day() {
        assert_eq!(date_time(1_762_560_000_000, -60), "2025-11-07 23:00");
        assert_eq!(date_time(1_762_560_000_000, 330), "2025-11-08 05:30");
        assert_eq!(days_since(1_762_560_000_000 - 1, 1_762_560_000_000, 0), 1);
        assert_eq!(days_since(5, 4, 0), 0);
    }
}
