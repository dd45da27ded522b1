//! The exposure and the strip plan of a ticket, read from what was typed.

use super::strip::{self, Plan, StripError, Way};
use super::{Ask, Bare, Change, Duration, duration};
use crate::entry::{self, Range};
use crate::note::Note;

/// Exposures, in seconds.
const TIME: Range = Range { low: 1.0, high: 86_400.0 };
/// Changes.
const STOPS: Range = Range { low: -5.0, high: 5.0 };
/// The same as log exposure.
const LOGS: Range = Range { low: -1.5, high: 1.5 };
/// The same in percent.
const PERCENTS: Range = Range { low: -95.0, high: 3000.0 };
/// Strips.
const COUNT: Range = Range { low: 2.0, high: 12.0 };
/// Step of a strip.
const STEP: Range = Range { low: 0.05, high: 3.0 };

/// The exposure of a ticket.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Exposure {
    /// The setup's time.
    pub base: Duration,
    /// The ticket's change.
    pub change: Change,
    /// The time on the ticket, to the second (to the tenth below twenty seconds).
    pub time: Duration,
}

/// The exposure typed; `None` if the time is not known or a field cannot be read (then with a note).
pub fn exposure(ask: &Ask, notes: &mut Vec<Note>) -> Option<Exposure> {
    let name = "setup.time";
    let base = duration::optional(name, "The exposure time", &ask.setup.time, Bare::Seconds, TIME, notes);
    let change = change(ask, notes);
    let (base, change) = (base?, change?);
    let exact = base.to_seconds() * change.to_factor();
    let time = if exact >= 20.0 { exact.round() } else { (exact * 10.0).round() / 10.0 };
    if change != Change::default() {
        entry::within("change", "The changed time in seconds", time, TIME, notes)?;
    }
    Some(Exposure {
        base,
        change,
        time: Duration::from_seconds(if change == Change::default() { base.to_seconds() } else { time }),
    })
}

/// The ticket's change; nothing typed is no change.
pub(super) fn change(ask: &Ask, notes: &mut Vec<Note>) -> Option<Change> {
    if ask.change.trim().is_empty() {
        return Some(Change::default());
    }
    let text = &ask.change;
    match ask.change_unit.as_str() {
        "log" => entry::number("change", "The change", text, LOGS, &["log"], notes).map(Change::from_log),
        "percent" => entry::number("change", "The change", text, PERCENTS, &["%"], notes)
            .and_then(Change::from_percent),
        _ => entry::number("change", "The change", text, STOPS, &["stop", "stops"], notes)
            .map(Change::from_stops),
    }
}

/// The plan of the strip typed; with notes for what cannot be.
pub fn strip_plan(ask: &Ask, notes: &mut Vec<Note>) -> Option<Plan> {
    let count = entry::number("strip_count", "The number of strips", &ask.strip_count, COUNT, &[], notes);
    let first =
        duration::entered("strip_first", "The first strip", &ask.strip_first, Bare::Seconds, TIME, notes);
    let step = entry::number("strip_step", "The step", &ask.strip_step, STEP, &["stop", "stops"], notes);
    let way = if ask.strip_way == "uncover" { Way::Uncover } else { Way::Cover };
    let (count, first, step) = (count?, first?, step?);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "between 2 and 12")]
    let count = count.round() as u32;
    match Plan::new(count, first.to_seconds(), step, way) {
        Ok(plan) => Some(plan),
        Err(e) => {
            notes.push(refusal(e));
            None
        }
    }
}

pub(super) fn refusal(e: StripError) -> Note {
    match e {
        StripError::Count => Note::error(
            "strip_count",
            format!("A strip plan has 2 to {} strips.", strip::MOST),
            "Choose a number between.",
        ),
        StripError::First => {
            Note::error("strip_first", "The first strip has less than a second.", "Give it a second or more.")
        }
        StripError::Step => Note::error("strip_step", "The step is not above zero.", "Half a stop is usual."),
        StripError::TooClose => Note::error(
            "strip_step",
            "Two strips fall on the same second.",
            "Take a larger step or a longer first time.",
        ),
        StripError::TooLong => Note::error(
            "strip_count",
            "The longest strip would take more than a day.",
            "Take fewer strips or a smaller step.",
        ),
    }
}
