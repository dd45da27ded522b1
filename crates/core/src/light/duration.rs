//! A span of time, and how people type it.

use crate::entry::{EntryError, Range, parse as parse_number};
use crate::note::Note;
use crate::quantity::amount;
use crate::show;

/// A span of time, kept in seconds.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Duration(f64);

impl Duration {
    /// From seconds.
    #[must_use]
    pub const fn from_seconds(s: f64) -> Self {
        Self(s)
    }

    /// From minutes.
    #[must_use]
    pub const fn from_minutes(m: f64) -> Self {
        Self(m * 60.0)
    }

    /// In seconds.
    #[must_use]
    pub const fn to_seconds(self) -> f64 {
        self.0
    }

    /// In minutes.
    #[must_use]
    pub const fn to_minutes(self) -> f64 {
        self.0 / 60.0
    }

    /// As `m:ss`, rounded to the second; `12.5 s` below a minute when the second is broken.
    #[must_use]
    pub fn shown(self) -> String {
        let broken = (self.0 - self.0.round()).abs() > 0.05;
        if self.0 < 60.0 && broken { format!("{} s", show::decimals(self.0, 1)) } else { show::clock(self.0) }
    }
}

amount!(Duration);

/// What a bare number means.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bare {
    /// Seconds: exposures.
    Seconds,
    /// Minutes: baths.
    Minutes,
}

/// Reads a span of time: `360`, `6:00`, `1:02:30`, `6 min`, `6 min 30 s`, `6.5 min`, `1/2 h`, `5' 30"`.
/// A number without a unit is in `bare`; `6:00` is always minutes and seconds.
///
/// # Errors
/// Says what is the matter with the text. Negative spans, and seconds or minutes of 60 and more behind a colon,
/// are no numbers here.
pub fn parse(text: &str, bare: Bare) -> Result<Duration, EntryError> {
    let text = text.trim();
    if text.is_empty() {
        return Err(EntryError::Empty);
    }
    let seconds = if text.contains(':') { colons(text)? } else { words(text, bare)? };
    if !seconds.is_finite() || seconds > 1e9 {
        return Err(EntryError::OutOfRange);
    }
    if seconds.is_sign_negative() && seconds != 0.0 {
        return Err(EntryError::NotANumber);
    }
    Ok(Duration(seconds))
}

/// `m:ss` or `h:mm:ss`; the last part may carry decimals.
fn colons(text: &str) -> Result<f64, EntryError> {
    let parts: Vec<&str> = text.split(':').collect();
    if parts.len() > 3 {
        return Err(EntryError::NotANumber);
    }
    let mut all = 0.0;
    for (i, part) in parts.iter().enumerate() {
        let part = part.trim();
        let last = i + 1 == parts.len();
        let plain = part.chars().all(|c| c.is_ascii_digit() || (last && matches!(c, '.' | ',')));
        if !plain {
            return Err(EntryError::NotANumber);
        }
        let value = parse_number(part)
            .map_err(|e| if e == EntryError::Empty { EntryError::NotANumber } else { e })?;
        if i > 0 && value.value >= 60.0 {
            return Err(EntryError::NotANumber);
        }
        all = all * 60.0 + value.value;
    }
    Ok(all)
}

/// Numbers with units behind them, in any falling order; one bare number.
fn words(text: &str, bare: Bare) -> Result<f64, EntryError> {
    let mut rest = text;
    let mut all = 0.0;
    let mut last_unit = f64::INFINITY;
    while !rest.is_empty() {
        let unit_at = rest.char_indices().find(|&(_, c)| is_unit(c)).map_or(rest.len(), |(i, _)| i);
        let (number, tail) = rest.split_at(unit_at);
        let unit_end = tail.char_indices().find(|&(_, c)| !is_unit(c)).map_or(tail.len(), |(i, _)| i);
        let (unit, tail) = tail.split_at(unit_end);
        let number = parse_number(number)
            .map_err(|e| if e == EntryError::Empty { EntryError::NotANumber } else { e })?;
        if !number.unit.is_empty() {
            return Err(EntryError::NotANumber);
        }
        let seconds = match unit.to_lowercase().as_str() {
            "h" | "hr" | "hrs" | "hour" | "hours" => 3600.0,
            "m" | "min" | "mins" | "minute" | "minutes" | "'" | "′" | "’" => 60.0,
            "s" | "sec" | "secs" | "second" | "seconds" | "\"" | "″" | "”" => 1.0,
            // "6 min 30": the bare number behind a unit is in the next smaller one.
            "" if last_unit == 3600.0 => 60.0,
            "" if last_unit == 60.0 => 1.0,
            "" if all == 0.0 && last_unit.is_infinite() => match bare {
                Bare::Seconds => 1.0,
                Bare::Minutes => 60.0,
            },
            _ => return Err(EntryError::NotANumber),
        };
        if seconds >= last_unit {
            return Err(EntryError::NotANumber);
        }
        last_unit = seconds;
        all += number.value * seconds;
        rest = tail.trim_start_matches(|c: char| c.is_whitespace() || c == '.' || c == ',');
    }
    Ok(all)
}

fn is_unit(c: char) -> bool {
    c.is_alphabetic() || matches!(c, '\'' | '"' | '′' | '″' | '’' | '”')
}

/// Reads a span for a field that must lie in a range of seconds; on trouble a note is pushed.
pub fn entered(
    name: &str,
    label: &str,
    text: &str,
    bare: Bare,
    range: Range,
    notes: &mut Vec<Note>,
) -> Option<Duration> {
    match parse(text, bare) {
        Ok(d) if d.0 >= range.low && d.0 <= range.high => Some(d),
        Ok(d) => {
            let span = |s| Duration(s).shown();
            notes.push(Note::error(
                name,
                format!("{label} is {}, outside {} to {}.", d.shown(), span(range.low), span(range.high)),
                "Check it: 6:00 is six minutes.",
            ));
            None
        }
        Err(EntryError::NotANumber) => {
            let example = match bare {
                Bare::Seconds => "Type 6:00, 6 min, or a plain number of seconds such as 360.",
                Bare::Minutes => "Type a plain number of minutes such as 5, or 5:30.",
            };
            notes.push(Note::error(name, format!("{label} is not a time."), example));
            None
        }
        Err(EntryError::OutOfRange) => {
            let [low, high] = [range.low, range.high].map(|s| Duration(s).shown());
            notes.push(Note::error(
                name,
                format!("{label} is not a time between {low} and {high}."),
                "Check it: 6:00 is six minutes.",
            ));
            None
        }
        Err(e) => {
            notes.push(e.note(name, label));
            None
        }
    }
}

/// As [`entered`], but an empty text is `None` without a note.
pub fn optional(
    name: &str,
    label: &str,
    text: &str,
    bare: Bare,
    range: Range,
    notes: &mut Vec<Note>,
) -> Option<Duration> {
    if text.trim().is_empty() { None } else { entered(name, label, text, bare, range, notes) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn a_time_too_large_to_hold_is_told_the_limits() {
        let (mut notes, range) = (Vec::new(), Range { low: 1.0, high: 172_800.0 });
        assert_eq!(entered("t", "The time", "99999999", Bare::Minutes, range, &mut notes), None);
        assert_eq!(notes[0].text, "The time is not a time between 0:01 and 48:00:00.");
    }

    fn seconds(text: &str) -> Result<f64, EntryError> {
        parse(text, Bare::Seconds).map(Duration::to_seconds)
    }

    #[test]
    fn six_minutes_in_every_spelling() {
        for text in
            ["360", "6:00", "6:0", "6 min", "6min", "6m", "6 Minutes", "6'", "0:06:00", "1/10 h", " 6 min "]
        {
            assert_eq!(seconds(text), Ok(360.0), "{text}");
        }
        for text in
            ["390", "6:30", "6 min 30 s", "6m30s", "6 min 30", "6,5 min", "6.5 min", "6 1/2 min", "6' 30\""]
        {
            assert_eq!(seconds(text), Ok(390.0), "{text}");
        }
        assert_eq!(seconds("1:02:30"), Ok(3750.0));
        assert_eq!(seconds("2:30.5"), Ok(150.5));
        assert_eq!(parse("5", Bare::Minutes), Ok(Duration::from_minutes(5.0)));
        assert_eq!(parse("5:30", Bare::Minutes), Ok(Duration::from_seconds(330.0)));
        assert_eq!(parse("30 s", Bare::Minutes), Ok(Duration::from_seconds(30.0)));
    }

    #[test]
    fn what_is_no_time() {
        for text in [
            "six",
            ":",
            "6:",
            ":30",
            "6:75",
            "1:2:3:4",
            "-6",
            "6:-1",
            "6 s 5 min",
            "6 x",
            "NaN",
            "min",
            "6 min 6 min",
        ] {
            assert_eq!(seconds(text), Err(EntryError::NotANumber), "{text}");
        }
        assert_eq!(seconds(""), Err(EntryError::Empty));
        assert_eq!(seconds("99999999999"), Err(EntryError::OutOfRange));
        assert_eq!(seconds("1/0 min"), Err(EntryError::OutOfRange));
    }

    #[test]
    fn shown_times() {
        assert_eq!(Duration::from_seconds(12.54).shown(), "12.5 s");
        assert_eq!(Duration::from_seconds(12.0).shown(), "0:12");
        assert_eq!(Duration::from_minutes(6.5).shown(), "6:30");
    }
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod laws {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn what_is_shown_reads_back(s in 0_u32..200_000) {
            let span = Duration::from_seconds(f64::from(s));
            prop_assert_eq!(parse(&span.shown(), Bare::Seconds), Ok(span));
            prop_assert_eq!(parse(&span.shown(), Bare::Minutes), Ok(span));
        }

        #[test]
        fn any_text_is_a_finite_span_or_an_error(text in "\\PC{0,24}") {
            if let Ok(d) = parse(&text, Bare::Minutes) {
                prop_assert!(d.to_seconds().is_finite() && d.to_seconds() >= 0.0);
            }
        }

        #[test]
        fn near_spellings_never_panic(text in "[0-9:.,/ ms'hin\"-]{0,12}") {
            let _ = parse(&text, Bare::Seconds);
        }
    }
}
