//! The exposure and the strip plan of a ticket, read from what was typed.

use super::lamp::dose;
use super::strip::{self, Plan, StripError, Way};
use super::{Ask, Bare, Change, Duration, duration};
use crate::entry::{self, EntryError, Range};
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

/// Levels of a meter, in mW/cm².
const LEVEL: Range = Range { low: 0.001, high: 1000.0 };
/// Doses, in mJ/cm².
const DOSE: Range = Range { low: 1.0, high: 1e7 };

/// The exposure of a ticket.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Exposure {
    /// The setup's time.
    pub base: Duration,
    /// The ticket's change.
    pub change: Change,
    /// What the meter moves: its reading with the setup against its reading now.
    pub meter: Change,
    /// The time on the ticket, to the second (to the tenth below twenty seconds).
    pub time: Duration,
    /// The dose at which it ends instead, in mJ/cm², if the ticket goes by the meter.
    pub dose: Option<f64>,
}

/// The exposure typed; `None` if the time is not known or a field cannot be read (then with a note).
pub fn exposure(ask: &Ask, notes: &mut Vec<Note>) -> Option<Exposure> {
    let name = "setup.time";
    let base = duration::optional(name, "The exposure time", &ask.setup.time, Bare::Seconds, TIME, notes);
    let change = change(ask, notes);
    let then = level("setup.meter", "The meter with the setup", &ask.setup.meter, notes);
    let now = level("meter", "The meter now", &ask.meter, notes);
    let text = &ask.setup.dose;
    let wanted = entry::optional("setup.dose", "The dose", text, DOSE, &["mj/cm²", "mj/cm2"], notes);
    // A dose and a reading make a time where none is known yet.
    let by_dose = wanted.zip(now).map(|(dose, now)| Duration::from_seconds(dose / now));
    let (base, meter) = match (base, then.zip(now)) {
        (Some(base), Some((then, now))) => (base, Change::from_factor(then / now)?),
        (Some(base), None) => (base, Change::default()),
        (None, _) => (by_dose.filter(|_| ask.setup.time.trim().is_empty())?, Change::default()),
    };
    let change = change?;
    let exact = base.to_seconds() * change.then(meter).to_factor();
    let time = if exact >= 20.0 { exact.round() } else { (exact * 10.0).round() / 10.0 };
    if change != Change::default() {
        entry::within("change", "The changed time in seconds", time, TIME, notes)?;
    } else if meter != Change::default() {
        entry::within("meter", "The time by the meter in seconds", time, TIME, notes)?;
    }
    let as_typed =
        change == Change::default() && meter == Change::default() && !ask.setup.time.trim().is_empty();
    let dose = wanted.or_else(|| Some(base.to_seconds() * then?)).map(|d| d * change.to_factor());
    if ask.by_dose && dose.is_none() {
        notes.push(Note::warning(
            "by_dose",
            "There is no dose to reach yet.",
            "Type it, or the time of the setup and what the meter read then.",
        ));
    }
    Some(Exposure {
        base,
        change,
        meter,
        time: if as_typed { base } else { Duration::from_seconds(time) },
        dose: dose.filter(|_| ask.by_dose),
    })
}

/// A reading of a meter in mW/cm², from any of its units; empty is none.
pub fn level(name: &str, label: &str, text: &str, notes: &mut Vec<Note>) -> Option<f64> {
    let typed = match entry::parse(text) {
        Ok(typed) => typed,
        Err(EntryError::Empty) => return None,
        Err(e) => {
            notes.push(e.note(name, label));
            return None;
        }
    };
    let Some(unit) = dose::unit(&typed.unit) else {
        notes.push(Note::error(
            name,
            format!("{label} has a unit that is not known here: {}.", typed.unit),
            "Type mW/cm², µW/cm² or W/m² behind the number, or nothing for mW/cm².",
        ));
        return None;
    };
    let value = typed.value * unit;
    if !(LEVEL.low..=LEVEL.high).contains(&value) {
        notes.push(Note::error(
            name,
            format!(
                "{label} comes to {} mW/cm², which no lamp or sun gives.",
                crate::show::significant(value, 3)
            ),
            "Check the meter's unit: 1 mW/cm² is 10 W/m² and 1000 µW/cm².",
        ));
        return None;
    }
    Some(value)
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
