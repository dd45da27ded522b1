//! Reading what a person typed: numbers with comma or point, fractions, a unit behind.

mod decimal;

use crate::note::{Note, Severity};
use crate::quantity::Temperature;
use crate::show::Units;

/// A typed number and the unit typed behind it (lower case, empty if none).
#[derive(Clone, Debug, PartialEq)]
pub struct Typed {
    /// The number; always finite.
    pub value: f64,
    /// The unit as typed, lower case, without blanks; empty if none.
    pub unit: String,
}

/// Why a text is no number.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum EntryError {
    /// Nothing was typed.
    Empty,
    /// Letters or signs where a number should be.
    NotANumber,
    /// Both comma and point, so that the thousands cannot be told from the decimals.
    TwoMarks,
    /// A division by zero, or a number too large to hold.
    OutOfRange,
}

impl EntryError {
    /// The note for the field `name`, whose label is `label`.
    #[must_use]
    pub fn note(&self, name: &str, label: &str) -> Note {
        match self {
            Self::Empty => {
                Note::error(name, format!("{label} is empty."), "Type a number, with comma or point.")
            }
            Self::NotANumber => Note::error(
                name,
                format!("{label} is not a number."),
                "Type digits with comma or point, or a fraction such as 8 1/2.",
            ),
            Self::TwoMarks => Note::error(
                name,
                format!("{label} has both a comma and a point."),
                "Leave out the sign that parts the thousands.",
            ),
            Self::OutOfRange => Note::error(
                name,
                format!("{label} is too large, or divides by zero."),
                "Check the digits and the fraction.",
            ),
        }
    }
}

/// Reads a number as typed: `2.4`, `2,4`, `.5`, `1/2`, `8 1/2`, `-0,3`, with an optional unit behind
/// (`8 in`, `20 °C`, `25 %`). Blanks around are ignored.
///
/// # Errors
/// Says what is the matter with the text; never panics.
pub fn parse(text: &str) -> Result<Typed, EntryError> {
    let text = text.trim();
    if text.is_empty() {
        return Err(EntryError::Empty);
    }
    let digits_end = text
        .char_indices()
        .find(|(_, c)| {
            !(c.is_ascii_digit() || matches!(c, '.' | ',' | '/' | '+' | '-' | '−' | ' ' | '\u{a0}'))
        })
        .map_or(text.len(), |(i, _)| i);
    let (number, unit) = text.split_at(digits_end);
    let unit: String = unit.chars().filter(|c| !c.is_whitespace()).map(|c| c.to_ascii_lowercase()).collect();
    // An exponent would be swallowed as a unit; "1e5" is a slip here, not a measurement.
    if unit.chars().any(|c| c.is_ascii_digit()) {
        return Err(EntryError::NotANumber);
    }
    let number = number.replace('−', "-");
    let number = number.trim();
    if number.is_empty() {
        return Err(EntryError::NotANumber);
    }
    if number.contains(',') && number.contains('.') {
        return Err(EntryError::TwoMarks);
    }
    let (sign, number) = match number.strip_prefix('-') {
        Some(rest) => (-1.0, rest.trim_start()),
        None => (1.0, number.strip_prefix('+').unwrap_or(number)),
    };
    let parts: Vec<&str> = number.split_whitespace().collect();
    let magnitude = match parts.as_slice() {
        [one] => part(one)?,
        [whole, fraction] if fraction.contains('/') && !whole.contains('/') => {
            decimal(whole)? + part(fraction)?
        }
        _ => return Err(EntryError::NotANumber),
    };
    let value = sign * magnitude;
    if value.is_finite() { Ok(Typed { value, unit }) } else { Err(EntryError::OutOfRange) }
}

fn part(text: &str) -> Result<f64, EntryError> {
    match text.split_once('/') {
        None => decimal(text),
        Some((above, below)) => {
            let below = decimal(below)?;
            if below == 0.0 { Err(EntryError::OutOfRange) } else { Ok(decimal(above)? / below) }
        }
    }
}

fn decimal(text: &str) -> Result<f64, EntryError> {
    let mut marks = text.split([',', '.']);
    let (whole, places) = (marks.next().unwrap_or_default(), marks.next().unwrap_or_default());
    let digits = || whole.bytes().chain(places.bytes());
    if marks.next().is_some() || digits().next().is_none() || !digits().all(|c| c.is_ascii_digit()) {
        return Err(EntryError::NotANumber);
    }
    decimal::of(whole, places).ok_or(EntryError::OutOfRange)
}

/// Reads a temperature in the printer's unit, or with `°C` or `°F` behind it; `range` is in °C. Empty is `None` without a
/// note; anything else that is no such temperature is `None` with one.
pub(crate) fn temperature(
    name: &str,
    label: &str,
    text: &str,
    units: Units,
    range: Range,
    notes: &mut Vec<Note>,
) -> Option<Temperature> {
    if text.trim().is_empty() {
        return None;
    }
    let typed = match parse(text) {
        Ok(typed) => typed,
        Err(e) => {
            notes.push(e.note(name, label));
            return None;
        }
    };
    let Some(t) = units.temperature.typed(typed.value, &typed.unit) else {
        notes.push(Note::error(
            name,
            format!("{label} has a unit that is not known here: {}.", typed.unit),
            "Type °C, °F or the number alone.",
        ));
        return None;
    };
    let celsius = t.to_celsius();
    if (range.low..=range.high).contains(&celsius) {
        return Some(t);
    }
    let ends = [range.low, range.high].map(|c| units.temperature(Temperature::from_celsius(c)));
    notes.push(Note::error(
        name,
        format!("{label} is {}, outside {} to {}.", units.temperature(t), ends[0], ends[1]),
        "Check the digits and the unit.",
    ));
    None
}

/// Rewrites a typed temperature from one unit to another. What is no plain number, or has its own unit, stays as typed.
pub(crate) fn convert_temperature(text: &mut String, from: Units, to: Units) {
    if from.temperature == to.temperature {
        return;
    }
    if let Ok(typed) = parse(text)
        && typed.unit.is_empty()
        && let Some(t) = from.temperature.typed(typed.value, "")
    {
        *text = to.temperature_field(t);
    }
}

/// What a field must hold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    /// Least value allowed.
    pub low: f64,
    /// Greatest value allowed.
    pub high: f64,
}

/// Reads a plain number that must lie in a range; a unit behind it must be one of `units` (or absent).
///
/// On any trouble a note for the field is pushed and `None` returned, so that a station can go on with the rest.
pub fn number(
    name: &str,
    label: &str,
    text: &str,
    range: Range,
    units: &[&str],
    notes: &mut Vec<Note>,
) -> Option<f64> {
    match parse(text) {
        Err(e) => {
            notes.push(e.note(name, label));
            None
        }
        Ok(t) if !t.unit.is_empty() && !units.contains(&t.unit.as_str()) => {
            notes.push(Note::error(
                name,
                format!("{label} has a unit that is not known here: {}.", t.unit),
                "Type the number alone; its unit stands beside the field.",
            ));
            None
        }
        Ok(t) => within(name, label, t.value, range, notes),
    }
}

/// As [`number`], but an empty text is `None` without a note.
pub fn optional(
    name: &str,
    label: &str,
    text: &str,
    range: Range,
    units: &[&str],
    notes: &mut Vec<Note>,
) -> Option<f64> {
    if text.trim().is_empty() { None } else { number(name, label, text, range, units, notes) }
}

/// As [`number`] without a unit, for what is counted: nobody is told to type a fraction.
pub fn count(name: &str, label: &str, text: &str, range: Range, notes: &mut Vec<Note>) -> Option<f64> {
    let found = number(name, label, text, range, &[], notes);
    if parse(text) == Err(EntryError::NotANumber)
        && let Some(note) = notes.last_mut()
    {
        note.mend = "Type a whole number, in digits.".into();
    }
    found
}

/// As [`count`], but an empty text is `None` without a note.
pub fn optional_count(
    name: &str,
    label: &str,
    text: &str,
    range: Range,
    notes: &mut Vec<Note>,
) -> Option<f64> {
    if text.trim().is_empty() { None } else { count(name, label, text, range, notes) }
}

/// Reads fields whose value nothing rests on at the moment, so that what is no number does not stand there unremarked. A
/// field that has its error already gets no second one.
pub(crate) fn unused(notes: &mut Vec<Note>, read: impl FnOnce(&mut Vec<Note>)) {
    let mut more = Vec::new();
    read(&mut more);
    for note in more.into_iter().filter(|note| note.severity == Severity::Error) {
        if !notes.iter().any(|n| n.field == note.field && n.severity == Severity::Error) {
            notes.push(note);
        }
    }
}

/// Passes a value that lies in the range; else pushes the note for the field.
pub fn within(name: &str, label: &str, value: f64, range: Range, notes: &mut Vec<Note>) -> Option<f64> {
    if value >= range.low && value <= range.high {
        return Some(value);
    }
    let show = |x| crate::show::true_minus(&crate::show::significant(x, 6));
    notes.push(Note::error(
        name,
        format!("{label} is {}, outside {} to {}.", show(value), show(range.low), show(range.high)),
        "Check the digits and the unit beside the field.",
    ));
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn value(text: &str) -> Result<f64, EntryError> {
        parse(text).map(|t| t.value)
    }

    #[test]
    fn comma_and_point_are_the_same() {
        assert_eq!(value("2.4"), Ok(2.4));
        assert_eq!(value(" 2,4 "), Ok(2.4));
        assert_eq!(value(".5"), Ok(0.5));
        assert_eq!(value("-0,25"), Ok(-0.25));
        assert_eq!(value("−3"), Ok(-3.0));
    }

    #[test]
    fn fractions() {
        assert_eq!(value("1/2"), Ok(0.5));
        assert_eq!(value("8 1/2"), Ok(8.5));
        assert_eq!(value("-1 1/4"), Ok(-1.25));
        assert_eq!(value("1/0"), Err(EntryError::OutOfRange));
    }

    #[test]
    fn units_are_split_off() {
        assert_eq!(parse("8 in"), Ok(Typed { value: 8.0, unit: "in".into() }));
        assert_eq!(parse("20 °C").map(|t| t.unit), Ok("°c".into()));
        assert_eq!(parse("25%").map(|t| t.unit), Ok("%".into()));
    }

    #[test]
    fn what_is_no_number() {
        assert_eq!(value(""), Err(EntryError::Empty));
        assert_eq!(value("abc"), Err(EntryError::NotANumber));
        assert_eq!(value("NaN"), Err(EntryError::NotANumber));
        assert_eq!(value("inf"), Err(EntryError::NotANumber));
        assert_eq!(value("1e5"), Err(EntryError::NotANumber));
        assert_eq!(value("1.2.3"), Err(EntryError::NotANumber));
        assert_eq!(value("1.234,5"), Err(EntryError::TwoMarks));
        assert_eq!(value("."), Err(EntryError::NotANumber));
        assert_eq!(value("-"), Err(EntryError::NotANumber));
        assert_eq!(value(&"9".repeat(400)), Err(EntryError::OutOfRange));
    }

    #[test]
    fn what_is_out_of_range_is_shown_with_a_true_minus() {
        let mut notes = Vec::new();
        assert_eq!(number("a", "The change", "-7", Range { low: -5.0, high: 5.0 }, &[], &mut notes), None);
        assert_eq!(notes[0].text, "The change is −7, outside −5 to 5.");
    }

    #[test]
    fn what_is_counted_is_no_fraction() {
        let range = Range { low: 1.0, high: 9.0 };
        let mut notes = Vec::new();
        assert_eq!(count("a", "The number", "abc", range, &mut notes), None);
        assert_eq!(notes[0].mend, "Type a whole number, in digits.");
        assert_eq!(optional_count("a", "The number", " ", range, &mut notes), None);
        assert_eq!(count("a", "The number", "3", range, &mut notes), Some(3.0));
        assert_eq!(notes.len(), 1);
    }

    #[test]
    fn a_field_that_is_not_in_use_is_noted_once() {
        let range = Range { low: 1.0, high: 9.0 };
        let mut notes = vec![Note::error("a", "x", "y"), Note::hint("b", "z")];
        unused(&mut notes, |more| {
            for name in ["a", "b", "c"] {
                optional(name, "The number", "abc", range, &[], more);
            }
        });
        let fields: Vec<&str> = notes.iter().map(|n| n.field.as_str()).collect();
        assert_eq!(fields, ["a", "b", "b", "c"]);
    }

    #[cfg(not(target_arch = "wasm32"))]
    mod laws {
        use super::super::*;
        use proptest::prelude::*;

        proptest! {
            #[test]
            fn never_panics_and_never_yields_nan(text in ".{0,40}") {
                if let Ok(t) = parse(&text) {
                    prop_assert!(t.value.is_finite());
                }
            }

            #[test]
            fn reads_back_what_is_shown(x in -1.0e6..1.0e6f64) {
                let shown = format!("{x:.6}");
                let back = parse(&shown).map(|t| t.value);
                prop_assert_eq!(back.clone(), Ok(shown.parse().unwrap()));
                prop_assert_eq!(parse(&shown.replace('.', ",")).map(|t| t.value), back);
            }
        }
    }
}
