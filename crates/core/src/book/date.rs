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
    fn the_room_has_its_own_day() {
        assert_eq!(date_time(1_762_560_000_000, -60), "2025-11-07 23:00");
        assert_eq!(date_time(1_762_560_000_000, 330), "2025-11-08 05:30");
        assert_eq!(days_since(1_762_560_000_000 - 1, 1_762_560_000_000, 0), 1);
        assert_eq!(days_since(5, 4, 0), 0);
    }
}
