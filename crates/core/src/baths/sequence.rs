//! The sequence of baths: rows as typed, the rows a new setup starts with, and the steps they make.

use crate::constant::Constant;
use crate::entry::Range;
use crate::fields;
use crate::light::{Bare, Duration, entered_duration, optional_duration};
use crate::note::Note;
use crate::show::decimals;

/// One bath as typed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Row {
    /// What it is called in the workroom.
    pub name: String,
    /// What is dissolved in it; several with `+` between.
    pub contents: String,
    /// Strength in % w/v, or a range of it; several with `+` between, in the order of the contents.
    pub strength: String,
    /// Temperature.
    pub temperature: String,
    /// Minutes.
    pub minutes: String,
    /// Volume in the tray, in mL.
    pub tray: String,
    /// Anything to be remembered.
    pub remark: String,
}

fields!(Row: name, contents, strength, temperature, minutes, tray, remark);

/// A bath of the starting sequence: what is in it and how long.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Starting {
    /// Name in the workroom.
    pub name: &'static str,
    /// Contents as they are typed.
    pub contents: &'static str,
    /// Least and greatest strength of each content, in % w/v.
    pub strength: &'static [(Constant, Constant)],
    /// Temperature in °C, if it matters.
    pub celsius: Option<Constant>,
    /// Minutes.
    pub minutes: Constant,
    /// What to remember.
    pub remark: &'static str,
}

const TRADE: &str = "common practice, no source; change it to your own";

const fn percent(value: f64) -> Constant {
    Constant::practice(value, "% w/v", 2, TRADE)
}

const fn minutes(value: f64) -> Constant {
    Constant::practice(value, "min", 1, TRADE)
}

/// What a new setup starts with.
pub const STARTING: [Starting; 5] = [
    Starting {
        name: "Developer",
        contents: "potassium oxalate",
        strength: &[(percent(25.0), percent(30.0))],
        celsius: Some(Constant::practice(20.0, "°C", 2, TRADE)),
        minutes: minutes(2.0),
        remark: "Pour in one motion: a pause prints a line",
    },
    Starting {
        name: "Acid clearing",
        contents: "citric acid",
        strength: &[(percent(1.0), percent(2.0))],
        celsius: None,
        minutes: minutes(5.0),
        remark: "",
    },
    Starting {
        name: "Clearing, first",
        contents: "tetrasodium EDTA + sodium sulfite",
        strength: &[(percent(3.0), percent(3.0)), (percent(1.5), percent(3.0))],
        celsius: None,
        minutes: minutes(5.0),
        remark: "",
    },
    Starting {
        name: "Clearing, second",
        contents: "tetrasodium EDTA + sodium sulfite",
        strength: &[(percent(3.0), percent(3.0)), (percent(1.5), percent(3.0))],
        celsius: None,
        minutes: minutes(5.0),
        remark: "",
    },
    Starting {
        name: "Wash",
        contents: "running water",
        strength: &[],
        celsius: None,
        minutes: minutes(30.0),
        remark: "",
    },
];

/// The starting sequence as rows.
#[must_use]
pub fn starting() -> Vec<Row> {
    rows(&STARTING)
}

/// A ready sequence as rows that can be changed.
#[must_use]
pub fn rows(sequence: &[Starting]) -> Vec<Row> {
    let figure = |x: f64| crate::show::significant(x, 3);
    let range = |(low, high): &(Constant, Constant)| {
        if low.value < high.value {
            format!("{}–{}", figure(low.value), figure(high.value))
        } else {
            figure(low.value)
        }
    };
    sequence
        .iter()
        .map(|s| Row {
            name: s.name.into(),
            contents: s.contents.into(),
            strength: s.strength.iter().map(range).collect::<Vec<_>>().join(" + "),
            temperature: s.celsius.map_or_else(String::new, |c| decimals(c.value, 0)),
            minutes: decimals(s.minutes.value, 0),
            tray: String::new(),
            remark: s.remark.into(),
        })
        .collect()
}

/// A step of the day that is neither exposure nor typed wrongly.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// Its name.
    pub name: String,
    /// How long; zero if no time could be read.
    pub time: Duration,
    /// Its remark.
    pub remark: String,
}

/// Bath times, in seconds.
const TIME: Range = Range { low: 1.0, high: 172_800.0 };

/// The steps of the rows, in order, with a note for each time that cannot be read. `None` for a row without a
/// readable time is never given: its step has time zero, so that the lane still leads through it.
pub fn steps(rows: &[Row], notes: &mut Vec<Note>) -> Vec<Step> {
    let mut all = Vec::new();
    for (i, row) in rows.iter().enumerate() {
        let name = row_name(row, i);
        let field = format!("setup.rows.{i}.minutes");
        let label = format!("The time of {name}");
        let time = entered_duration(&field, &label, &row.minutes, Bare::Minutes, TIME, notes);
        all.push(Step { name, time: time.unwrap_or_default(), remark: row.remark.trim().into() });
    }
    all
}

/// A rest before the light; empty is none.
pub(super) fn rest(field: &str, name: &str, text: &str, notes: &mut Vec<Note>) -> Option<Step> {
    let time = optional_duration(field, &format!("The time of {name}"), text, Bare::Minutes, TIME, notes)?;
    Some(Step { name: name.into(), time, remark: String::new() })
}

/// What a row is called: its name, else its contents, else its number.
pub(super) fn row_name(row: &Row, i: usize) -> String {
    let first = [&row.name, &row.contents].into_iter().map(|t| t.trim()).find(|t| !t.is_empty());
    first.map_or_else(|| format!("Bath {}", i + 1), str::to_owned)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn the_starting_sequence_is_what_the_trade_does() {
        let rows = starting();
        let short: Vec<(&str, &str, &str)> =
            rows.iter().map(|r| (r.contents.as_str(), r.strength.as_str(), r.minutes.as_str())).collect();
        assert_eq!(
            short,
            [
                ("potassium oxalate", "25–30", "2"),
                ("citric acid", "1–2", "5"),
                ("tetrasodium EDTA + sodium sulfite", "3 + 1.5–3", "5"),
                ("tetrasodium EDTA + sodium sulfite", "3 + 1.5–3", "5"),
                ("running water", "", "30"),
            ]
        );
        let mut notes = Vec::new();
        let total: f64 = steps(&rows, &mut notes).iter().map(|s| s.time.to_minutes()).sum();
        assert!(notes.is_empty() && (total - 47.0).abs() < 1e-9);
    }

    #[test]
    fn a_row_without_a_time_is_still_a_step() {
        let mut notes = Vec::new();
        let rows = [Row::default(), Row { minutes: "soon".into(), name: "Wash".into(), ..Row::default() }];
        let all = steps(&rows, &mut notes);
        assert_eq!(all.len(), 2);
        assert_eq!((all[0].name.as_str(), all[1].name.as_str()), ("Bath 1", "Wash"));
        assert_eq!(notes[1].field, "setup.rows.1.minutes");
    }
}
