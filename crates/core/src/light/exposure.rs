//! The exposure and the strip plan of a ticket, read from what was typed.

use super::lamp::dose;
use super::lamp::warm_up::WarmUp;
use super::strip::{self, Plan, StripError, Way};
use super::{Ask, Bare, Change, Duration, Effects, duration};
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
pub(super) const COUNT: Range = Range { low: 2.0, high: 12.0 };
/// Step of a strip.
const STEP: Range = Range { low: 0.05, high: 3.0 };

/// Levels of a meter, in mW/cm².
const LEVEL: Range = Range { low: 0.001, high: 1000.0 };
/// Doses, in mJ/cm².
const DOSE: Range = Range { low: 1.0, high: 1e7 };

/// Seconds in which a lamp warms up.
const WARMING: Range = Range { low: 1.0, high: 3600.0 };

/// The exposure of a ticket.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Exposure {
    /// The setup's time.
    pub base: Duration,
    /// The ticket's change.
    pub change: Change,
    /// What own prints move; `None`: nothing.
    pub own: Option<Change>,
    /// What the meter moves: its reading with the setup against its reading now.
    pub meter: Change,
    /// What a film that evens out the light moves.
    pub evened: Change,
    /// What faint light asks beyond that, where half of it takes more than twice the time; `None`: nothing.
    pub law: Option<Change>,
    /// What a lamp that starts cold adds; `None`: it is warm, or nobody measured how it warms up.
    pub cold: Option<Change>,
    /// The time on the ticket, to the second (to the tenth below twenty seconds).
    pub time: Duration,
    /// The dose at which it ends instead, in mJ/cm², if the ticket goes by the meter.
    pub dose: Option<f64>,
}

impl Exposure {
    /// The time in seconds of a warm lamp.
    #[must_use]
    pub fn warm(&self) -> f64 {
        self.time.to_seconds() / self.cold.map_or(1.0, Change::to_factor)
    }

    /// Change of the clock's time against the setup's.
    #[must_use]
    pub fn moved(&self) -> Change {
        let none = Change::default();
        let more = [self.own, Some(self.evened), Some(self.meter), self.law, self.cold];
        more.into_iter().fold(self.change, |sum, one| sum.then(one.unwrap_or(none)))
    }
}

/// The exposure typed, with what else is known to move it; `None` if the time is not known or a field cannot be read (then
/// with a note).
pub fn exposure(ask: &Ask, effects: &Effects, notes: &mut Vec<Note>) -> Option<Exposure> {
    let name = "setup.time";
    let base = duration::optional(name, "The exposure time", &ask.setup.time, Bare::Seconds, TIME, notes);
    let change = change(ask, notes);
    let then = level("setup.meter", "The meter with the setup", &ask.setup.meter, notes);
    let now = level("meter", "The meter now", &ask.meter, notes);
    let text = &ask.setup.dose;
    let wanted = entry::optional("setup.dose", "The dose", text, DOSE, &["mj/cm²", "mj/cm2"], notes);
    let lamp = warm_up(ask, notes).filter(|_| ask.setup.starts_cold);
    // A dose and a reading make a time where none is known yet.
    let by_dose = wanted.zip(now).map(|(dose, now)| Duration::from_seconds(dose / now));
    let (base, meter) = match (base, then.zip(now).filter(|_| !ask.leave_meter)) {
        (Some(base), Some((then, now))) => (base, Change::from_factor(then / now)?),
        (Some(base), None) => (base, Change::default()),
        (None, _) => (by_dose.filter(|_| ask.setup.time.trim().is_empty())?, Change::default()),
    };
    let change = change?;
    let own = effects.own_change(ask);
    let evened = effects.evened;
    let law =
        effects.law_adds(ask, meter.to_log()).filter(|e| e.value != 0.0).map(|e| Change::from_log(e.value));
    let paper = change.then(own.unwrap_or_default()).then(evened).then(law.unwrap_or_default());
    let warm = base.to_seconds() * paper.then(meter).to_factor();
    let cold = lamp.and_then(|lamp| Change::from_factor(lamp.time(warm) / warm));
    let exact = warm * cold.map_or(1.0, Change::to_factor);
    let time = if exact >= 20.0 { exact.round() } else { (exact * 10.0).round() / 10.0 };
    let moved = change != Change::default() || own.is_some();
    if moved {
        entry::within("change", "The changed time in seconds", time, TIME, notes)?;
    } else if meter != Change::default() {
        entry::within("meter", "The time by the meter in seconds", time, TIME, notes)?;
    } else if evened != Change::default() {
        entry::within("setup.time", "The time with the evened film in seconds", time, TIME, notes)?;
    }
    let as_typed = !moved
        && [meter, evened] == [Change::default(); 2]
        && cold.is_none()
        && !ask.setup.time.trim().is_empty();
    let dose = wanted.or_else(|| Some(base.to_seconds() * then?)).map(|d| d * paper.to_factor());
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
        own,
        meter,
        evened,
        law,
        cold,
        time: if as_typed { base } else { Duration::from_seconds(time) },
        dose: dose.filter(|_| ask.by_dose),
    })
}

/// How a cold lamp comes up, from the readings typed.
pub(super) fn warm_up(ask: &Ask, notes: &mut Vec<Note>) -> Option<WarmUp> {
    let s = &ask.setup;
    let cold = level("setup.cold", "The meter on a cold lamp", &s.cold, notes);
    let later = level("setup.warmer", "The second reading", &s.warmer, notes);
    let full = level("setup.meter", "The meter with the setup", &s.meter, &mut Vec::new());
    if s.starts_cold && [&s.cold, &s.warmer, &s.meter].iter().any(|t| t.trim().is_empty()) {
        notes.push(Note::warning(
            "setup.starts_cold",
            "How this lamp warms up was not measured, so nothing is added for its cold start.",
            "Read the meter as it is switched on, half a minute later and when it is warm.",
        ));
    }
    let used = cold.is_some() && later.is_some() && full.is_some();
    let read = if used { entry::number } else { entry::optional };
    let seconds = read("setup.warming", "The time between", &s.warming, WARMING, &["s"], notes);
    let (cold, later, full, seconds) = (cold?, later?, full?, seconds?);
    let found = WarmUp::measured(cold, (seconds, later), full);
    if found.is_none() {
        notes.push(Note::error(
            "setup.warmer",
            "The readings of the cold lamp do not rise to that of the warm one.",
            "The first is the least, the last the reading with the setup; check their units.",
        ));
    }
    found
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
                crate::show::true_minus(&crate::show::significant(value, 3))
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
    let count = entry::count("strip_count", "The number of strips", &ask.strip_count, COUNT, notes);
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
