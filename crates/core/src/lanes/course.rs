//! From a ticket to a lane's steps, and from a finished lane to its record.

use super::{Lane, LaneStep, read};
use crate::baths;
use crate::book::{Book, Record, Ticket, TicketKind};
use crate::light::{self, Effects};
use crate::note::Note;
use crate::show::clock;

/// The steps of a ticket: rests that are counted, the exposure, the baths. `None` while no exposure time is known;
/// the notes say what is missing. A bath without a readable time becomes a step without a time. `effects`: what is known to
/// move its time, so that what is counted is what the light shows.
pub fn steps(ticket: &Ticket, effects: &Effects, notes: &mut Vec<Note>) -> Option<Vec<LaneStep>> {
    let exposure = exposure(ticket, effects, notes);
    let plain = |s: baths::Step| LaneStep {
        name: s.name,
        seconds: s.time.to_seconds(),
        remark: s.remark,
        ..LaneStep::default()
    };
    let mut all: Vec<LaneStep> =
        baths::page::before(&ticket.asks.baths, notes).into_iter().map(plain).collect();
    all.push(exposure?);
    all.extend(baths::page::after(&ticket.asks.baths, notes).into_iter().map(plain));
    Some(all)
}

fn exposure(ticket: &Ticket, effects: &Effects, notes: &mut Vec<Note>) -> Option<LaneStep> {
    let ask = &ticket.asks.light;
    let (name, seconds, remark, dose) = if ticket.kind == TicketKind::Strip {
        let plan = light::strip_plan(ask, notes)?;
        let remark = format!("{} strips, moves as planned at the light", plan.strips.len());
        ("Time strip", f64::from(plan.total()), remark, 0.0)
    } else {
        let before = notes.len();
        let Some(e) = light::exposure(ask, effects, notes) else {
            if notes.len() == before {
                notes.push(Note::error(
                    "",
                    "This ticket has no exposure time yet.",
                    "Type one at the light, or make a time strip first.",
                ));
            }
            return None;
        };
        match e.dose {
            Some(dose) => {
                ("Exposure", e.time.to_seconds(), "Read the meter when the light changes.".into(), dose)
            }
            None => ("Exposure", e.time.to_seconds(), String::new(), 0.0),
        }
    };
    // A timer on the lamp knows nothing of a dose.
    let self_ending = ask.setup.own_switch && dose == 0.0;
    Some(LaneStep { name: name.into(), seconds, exposure: true, self_ending, remark, dose })
}

/// The planned figures of a lane as they were shown, the ticket's first, then its steps: label and value.
#[must_use]
pub fn planned(lane: &Lane) -> Vec<(String, String)> {
    let step = |s: &LaneStep| {
        (s.name.clone(), if s.seconds > 0.0 { clock(s.seconds) } else { "no time set".into() })
    };
    lane.figures.iter().cloned().chain(lane.steps.iter().map(step)).collect()
}

/// The record of a lane, for its ticket as it stands in the book. What came out is to be filled in.
#[must_use]
pub fn record(book: &Book, lane: &Lane, now: i64) -> Record {
    let ticket = book.ticket_of(&lane.ticket).cloned().unwrap_or_default();
    let setup = book.setup_of(&ticket.setup);
    Record {
        number: book.next_record_number(),
        made: now,
        setup_name: setup.map_or_else(String::new, |s| s.name.clone()),
        film: book.film(&ticket.film).map_or(0, |f| f.number),
        planned: planned(lane),
        lane: lane.clone(),
        ticket,
        ..Record::default()
    }
}

/// Seconds that the steps really took: name, planned and real, in the order of the plan.
#[must_use]
pub fn really(lane: &Lane, now: i64) -> Vec<(String, f64, f64)> {
    #[expect(
        clippy::cast_precision_loss,
        reason = "a week of milliseconds at most, or shown as no more than that"
    )]
    let seconds = |ms: i64| ms as f64 / 1000.0;
    read(lane, now)
        .done
        .iter()
        .filter_map(|d| Some((lane.steps.get(d.step)?.name.clone(), seconds(d.planned), seconds(d.real))))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn a_ticket_becomes_steps() {
        let mut ticket = Ticket::default();
        let mut notes = Vec::new();
        assert_eq!(steps(&ticket, &Effects::default(), &mut notes), None);
        assert_eq!(notes.len(), 1, "{notes:?}");
        ticket.asks.light.setup.time = "6:00".into();
        ticket.asks.light.change = "0.5".into();
        ticket.asks.baths.setup.dry = "12".into();
        let all = steps(&ticket, &Effects::default(), &mut Vec::new()).unwrap();
        let names: Vec<&str> = all.iter().map(|s| s.name.as_str()).collect();
        assert_eq!(
            names,
            [
                "Drying",
                "Exposure",
                "Developer",
                "Acid clearing",
                "Clearing, first",
                "Clearing, second",
                "Wash"
            ]
        );
        assert!((all[1].seconds - 509.0).abs() < 1e-9 && all[1].exposure);
        assert!((all[2].seconds - 120.0).abs() < 1e-9);
    }

    #[test]
    fn a_time_strip_is_exposed_as_long_as_its_plan() {
        let ticket = Ticket { kind: TicketKind::Strip, ..Ticket::default() };
        let all = steps(&ticket, &Effects::default(), &mut Vec::new()).unwrap();
        assert!((all[0].seconds - 960.0).abs() < 1e-9);
    }
}
