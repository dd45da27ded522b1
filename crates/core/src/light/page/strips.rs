//! Strips of times: the plan, the moves of the card, and what was found on the dry print.

use super::super::strip::{self, Plan, Way};
use super::super::{
    Ask, Change, MoveRow, StripRow, View,
    exposure::{COUNT, strip_plan},
};
use super::signed;
use crate::constant::Basis;
use crate::entry::{self, Range};
use crate::estimate::Estimate;
use crate::math;
use crate::note::Note;
use crate::show::Units;
use crate::working::Working;

/// The strip that was found black, and whether it is the last of the plan.
pub(super) fn found(ask: &Ask, plan: &Plan, notes: &mut Vec<Note>) -> Option<(strip::Strip, bool)> {
    of("strip_found", &ask.strip_found, plan, notes)
}

/// The strip of a number typed in a field, and whether it is the last of the plan.
fn of(name: &str, text: &str, plan: &Plan, notes: &mut Vec<Note>) -> Option<(strip::Strip, bool)> {
    let count = plan.strips.len();
    #[expect(clippy::cast_precision_loss, reason = "twelve at most")]
    let range = Range { low: 1.0, high: count as f64 };
    let typed = entry::optional_count(name, "The strip", text, range, notes)?;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "between 1 and 12")]
    let number = typed.round() as u32;
    let strip = *plan.strips.iter().find(|s| s.number == number)?;
    Some((strip, usize::try_from(number) == Ok(count)))
}

/// What clear film holds back, in log exposure, from the first black strip behind it and the first bare one: each is known
/// to a step.
pub(super) fn hold_back(film: strip::Strip, bare: strip::Strip, step: f64) -> Estimate {
    let value = math::log10(f64::from(film.seconds) / f64::from(bare.seconds));
    // Two equal distributions of a step's width make a triangle; 95 % of it lies within 0.776 of a step.
    Estimate::plus_minus(value, 0.776 * step * core::f64::consts::LOG10_2, Basis::Measured { n: 1 })
}

/// The time of the first strip that is as black as the next, a step either way.
pub(super) fn time(ask: &Ask, notes: &mut Vec<Note>) -> Option<Estimate> {
    let plan = strip_plan(ask, notes)?;
    let step = plan.strips.get(1).map_or(1.0, |s| s.stops);
    let (strip, _) = found(ask, &plan, notes)?;
    let seconds = f64::from(strip.seconds);
    let factor = math::exp10(step * core::f64::consts::LOG10_2);
    Some(Estimate {
        value: seconds,
        low: seconds / factor,
        high: seconds * factor,
        basis: Basis::Measured { n: 1 },
    })
}

/// What clear film holds back as typed; with notes for what is missing.
pub(super) fn film(ask: &Ask, notes: &mut Vec<Note>) -> Option<Estimate> {
    let plan = strip_plan(ask, notes)?;
    let step = plan.strips.get(1).map_or(1.0, |s| s.stops);
    let (behind, _) = found(ask, &plan, notes)?;
    let (bare, _) = of("strip_bare", &ask.strip_bare, &plan, notes)?;
    Some(hold_back(behind, bare, step)).filter(|e| e.value >= 0.0)
}

/// What is shown of them.
pub(super) fn answer(
    ask: &Ask,
    units: Units,
    view: &mut View,
    notes: &mut Vec<Note>,
    workings: &mut Vec<Working>,
) {
    let plan = strip_plan(ask, notes);
    let most = plan.as_ref().map_or(COUNT.high, |plan| plan.strips.len() as f64);
    let range = Range { low: 1.0, high: most };
    entry::unused(notes, |more| {
        for (name, text) in [("strip_found", &ask.strip_found), ("strip_bare", &ask.strip_bare)] {
            entry::optional_count(name, "The strip", text, range, more);
        }
    });
    let Some(plan) = plan else { return };
    let clock = |s: u32| crate::show::clock(f64::from(s));
    view.has_plan = true;
    view.strip_total = clock(plan.total());
    view.strip_plan = plan.drawing();
    view.strips = plan
        .strips
        .iter()
        .map(|s| StripRow {
            number: s.number.to_string(),
            time: clock(s.seconds),
            seconds: s.seconds.to_string(),
            stops: signed(units, s.stops, 2),
        })
        .collect();
    let words = |m: &strip::Move| match (plan.way, m.at) {
        (Way::Cover, 0) => "Lamp on, all strips open".to_owned(),
        (Way::Cover, _) => format!("Cover strip {}", m.strip),
        (Way::Uncover, 0) => format!("Lamp on, only strip {} open", m.strip),
        (Way::Uncover, _) => format!("Uncover strip {}", m.strip),
    };
    let row = |m: &strip::Move| MoveRow { at: clock(m.at), doing: words(m), hold: format!("{} s", m.hold) };
    view.moves = plan.moves().iter().map(row).collect();
    view.moves.push(MoveRow { at: clock(plan.total()), doing: "Lamp off".into(), hold: String::new() });
    if let Some((strip, last)) = found(ask, &plan, &mut Vec::new()) {
        view.can_found = true;
        let step = plan.strips.get(1).map_or(1.0, |s| s.stops);
        let least = f64::from(strip.seconds) / Change::from_stops(step).to_factor();
        view.found = format!(
            "{} gives black behind clear film; black lies between {} and {}.",
            clock(strip.seconds),
            crate::show::clock(least),
            crate::show::clock(f64::from(strip.seconds) * Change::from_stops(step).to_factor())
        );
        if let Some((bare, _)) = of("strip_bare", &ask.strip_bare, &plan, &mut Vec::new()) {
            let film = hold_back(strip, bare, step);
            view.hold_back = format!(
                "Clear film holds back {} ± {} log exposure.",
                units.number(film.value, 2),
                units.number(film.high - film.value, 2)
            );
            view.can_hold_back = film.value >= 0.0;
            let mut working = Working::new("hold-back");
            working.step(
                "What clear film holds back",
                "log₁₀(time behind film ÷ time bare)",
                format!("{}; {}", clock(strip.seconds), clock(bare.seconds)),
                format!("{} log", units.number(film.value, 2)),
            );
            workings.push(working);
            if film.value < 0.0 {
                notes.push(Note::warning(
                    "strip_bare",
                    "Bare paper cannot need more light than paper behind film.",
                    "Look again, dry: count from the strip with the least light.",
                ));
            }
        }
        if last {
            notes.push(Note::warning(
                "strip_found",
                "The longest strip cannot show that black was reached.",
                "Make a strip that goes on longer, until two strips are equally black.",
            ));
        } else if strip.number == 1 {
            notes.push(Note::warning(
                "strip_found",
                "The first strip is black already; a shorter time may do.",
                "Make a strip that begins shorter.",
            ));
        } else if plan.strips.get(1).is_some_and(|s| s.stops > 0.75) {
            notes.push(Note::hint(
                "strip_found",
                "Steps this wide leave half a stop open. A second strip around this time in half stops or thirds narrows it.",
            ));
        }
    }
}
