//! The light station: what was typed, what is shown.

pub mod air;
mod change_shown;
mod drawing;
pub mod even;
mod evened;
mod judged;
pub mod lamp;
pub mod law;
pub mod scan;
mod show;
pub mod steps;
mod strips;
pub mod ticket;
pub mod tools;

use super::exposure::{change, exposure, strip_plan};
use super::learned::Settled;
use super::paper::InUse;
use super::{
    Ask, Bare, Change, Duration, Effects, Exposure, Judgement, MoveRow, Preset, StripRow, ToneRow, View,
    duration, paper_curve,
};
use crate::book::{self, Book, TicketKind};
use crate::entry::{self, Range};
use crate::negative::{convert_length, print_size};
use crate::note::Note;
use crate::show::Units;
use crate::station::{Act, Answer, Deed, Effect, Scene, Station, TicketCell};
use show::Shown;

/// How far below the densest black still counts as black.
const CLOSE: Range = Range { low: 0.005, high: 0.2 };
/// Densities of a patch.
const DENSITY: Range = Range { low: 0.0, high: 4.0 };

/// The light station.
#[derive(Clone, Copy, Debug)]
pub struct Light;

impl Station for Light {
    const ID: &'static str = "light";
    type Ask = Ask;
    type View = View;

    fn load(book: &Book) -> Ask {
        Ask::load(book)
    }

    fn keep(book: &Book, ask: Ask) -> book::Change {
        ask.keep(book)
    }

    fn answer(ask: &Ask, scene: &Scene<'_>) -> Answer<View> {
        answer(ask, scene)
    }

    fn act(ask: &Ask, deed: Deed<'_>, scene: &Scene<'_>) -> Act {
        act(ask, deed, scene)
    }

    fn convert(ask: &mut Ask, from: Units, to: Units) {
        for text in [&mut ask.setup.distance, &mut ask.setup.size, &mut ask.distance_to] {
            convert_length(text, from, to);
        }
        let even = &mut ask.known.even;
        for text in [&mut even.width, &mut even.height, &mut even.pitch, &mut even.left, &mut even.down] {
            convert_length(text, from, to);
        }
    }

    fn sample() -> (Ask, View) {
        let view = View {
            tones: vec![ToneRow::default()],
            strips: vec![StripRow::default()],
            moves: vec![MoveRow::default()],
            effects: vec![ticket::EffectRow::default()],
            steps: steps::View { choices: vec![steps::ChoiceRow::default()], ..steps::View::default() },
            scan: scan::View { odd: vec![scan::OddRow::default()], ..scan::View::default() },
            lamp: lamp::View { sheets: vec![lamp::SheetRow::default()], ..lamp::View::default() },
            air: air::View { salts: vec![air::SaltRow::default()], ..air::View::default() },
            tools: tools::View { rows: vec![tools::TryRow::default()], ..tools::View::default() },
            ..View::default()
        };
        (Ask::default(), view)
    }
}

fn act(ask: &Ask, deed: Deed<'_>, scene: &Scene<'_>) -> Act {
    let book = scene.book;
    let mut notes = Vec::new();
    let effects = || Effects::of(book.ticket(), scene);
    let alter = |f: &dyn Fn(&mut Ask)| {
        let mut ask = ask.clone();
        f(&mut ask);
        Act::change(ask.keep(book))
    };
    let timed = |seconds: f64| {
        let text = Duration::from_seconds(seconds).shown();
        alter(&|a| {
            a.setup.time.clone_from(&text);
            a.change.clear();
        })
    };
    match deed.verb {
        "keep-setup" => Act::change(book.on_setup(|s| s.presets.light = ask.setup.clone())),
        "take-setup" => {
            let preset = book.setup().presets.light.clone();
            alter(&|a| a.setup = preset.clone())
        }
        "no-change" => alter(&|a| a.change.clear()),
        "settle" => match exposure(ask, &effects(), &mut notes) {
            Some(e) => alter(&|a| settle(a, &e, effects().learned.and_then(|l| l.base))),
            None => Act { notes, ..Act::default() },
        },
        "strip-doubling" => alter(&|a| {
            let fresh = Ask::default();
            a.strip_count = fresh.strip_count;
            a.strip_first = fresh.strip_first;
            a.strip_step = fresh.strip_step;
        }),
        // The setup's time is looked for, without what an evened film adds.
        "strip-around" => {
            match exposure(ask, &Effects { evened: Change::default(), ..effects() }, &mut notes) {
                // Five strips in half stops: the time in hand lies on the middle one.
                Some(e) => alter(&|a| {
                    a.strip_count = "5".into();
                    a.strip_first =
                        Duration::from_seconds((e.time.to_seconds() / 2.0).max(1.0).round()).shown();
                    a.strip_step = "0.5".into();
                }),
                None => Act::note(Note::error(
                    "setup.time",
                    "There is no time yet to lay strips around.",
                    "Make the doubling strip first, or type a time.",
                )),
            }
        }
        "take-strip" => {
            match strip_plan(ask, &mut notes).and_then(|plan| strips::found(ask, &plan, &mut notes)) {
                Some((strip, _)) => timed(f64::from(strip.seconds)),
                None => Act { notes, ..Act::default() },
            }
        }
        "try-distance" => match lamp::at_other_distance(ask, scene.units()) {
            Some(stops) => {
                // As the slider itself writes it, whatever the printer's decimal mark.
                let text = crate::show::decimals(stops.clamp(-3.0, 3.0), 2);
                alter(&|a| a.what.clone_from(&text))
            }
            None => Act::default(),
        },
        "take-hold-back" => match strips::film(ask, &mut notes) {
            Some(film) => {
                let text = scene.units().number(film.value, 2);
                alter(&|a| a.known.steps.film.clone_from(&text))
            }
            None => Act { notes, ..Act::default() },
        },
        "take-suggestion" => {
            let curve = in_use(ask, scene);
            match (judged::judgement(ask, curve.paper(), &mut notes), change(ask, &mut notes)) {
                (Some(Judgement::Time(e)), Some(now)) => {
                    let sum = now.then(Change::from_stops(e.value)).to_stops();
                    let text = scene.units().number(sum, 2);
                    alter(&|a| {
                        a.change.clone_from(&text);
                        a.change_unit = "stops".into();
                        a.looks.clear();
                        a.black.clear();
                        a.patch_now.clear();
                        a.patch_then.clear();
                    })
                }
                _ => Act { notes, ..Act::default() },
            }
        }
        "take-learned" => {
            match (effects().learned.and_then(|l| l.time()), exposure(ask, &effects(), &mut notes)) {
                (Some(time), Some(e)) => {
                    let stops = crate::math::log2(time / e.base.to_seconds());
                    let text = scene.units().number(stops, 2);
                    alter(&|a| {
                        a.change.clone_from(&text);
                        a.change_unit = "stops".into();
                        a.leave_own = true;
                    })
                }
                _ => Act { notes, ..Act::default() },
            }
        }
        "take-black" => match steps::time_for_black(&scene.tone.paper().found, near(ask, &mut notes)) {
            Some(time) => timed(show::rounded(time)),
            None => Act { notes, ..Act::default() },
        },
        "open-steps" => Act::effect(Effect::OpenText {
            verb: "steps",
            accept: ".csv,.txt,.tsv,.cgats,text/csv,text/plain",
        }),
        "steps" => match scan::from_text(deed.place, scene.units()) {
            Ok(text) => alter(&|a| {
                a.tablet.steps.clone_from(&text);
                a.known.steps.from = "readings".into();
            }),
            Err(note) => Act::note(note),
        },
        "use-map" => match even::map(ask, &in_use(ask, scene), scene) {
            Ok(map) => Act::change(book.on_setup(|s| s.map = map)),
            Err(notes) => Act { notes, ..Act::default() },
        },
        "law-steps" | "law-strip" => {
            let time = if deed.verb == "law-steps" {
                steps::time_for_black(&scene.tone.paper().found, near(ask, &mut notes))
            } else {
                strips::time(ask, &mut notes)
            };
            match time.map(|time| law::line(ask, time, scene.units())) {
                Some(Ok(text)) => alter(&|a| a.known.law.pairs.clone_from(&text)),
                Some(Err(note)) => Act::note(note),
                None => Act::note(Note::error(
                    "known.law.pairs",
                    "There is no time for black to note yet.",
                    "Read a step print, or say which strip is black.",
                )),
            }
        }
        "even-file" => {
            even::file(ask, &in_use(ask, scene)).map(|file| Act::effect(Effect::SaveBytes(file))).into()
        }
        "print" => Act::effect(Effect::Print),
        "go-tone" => Act::effect(Effect::Go("tone")),
        "go-workroom" => Act::effect(Effect::Go("workroom")),
        verb => scan::act(verb, ask, scene).unwrap_or_default(),
    }
}

/// Puts change and own prints into the setup's time; what the meter and a cold lamp add stays with the ticket. `base`: the
/// setup's time that own prints speak of.
fn settle(ask: &mut Ask, e: &Exposure, base: Option<f64>) {
    let paper = e.change.then(e.own.unwrap_or_default());
    let time = Duration::from_seconds(e.base.to_seconds() * paper.to_factor());
    let text = time.shown();
    // Of what is kept, the time as it will be read again.
    let seconds = duration::parse(&text, Bare::Seconds).map_or(time, |d| d).to_seconds();
    let before =
        Settled::read(&ask.setup.settled).filter(|s| s.time == e.base.to_seconds() && base == Some(s.base));
    let moved = before.map_or(0.0, |s| s.moved) + e.own.map_or(0.0, Change::to_log);
    ask.setup.settled = base
        .filter(|_| e.own.is_some() || before.is_some())
        .map_or_else(String::new, |base| Settled { base, moved, time: seconds }.write());
    ask.setup.time = text;
    ask.change.clear();
}

/// The curve in use for an ask.
pub(super) fn in_use<'a>(ask: &Ask, scene: &Scene<'a>) -> InUse<'a> {
    curve(near(ask, &mut Vec::new()), scene)
}

/// The closeness to black typed, or its usual value.
fn near(ask: &Ask, notes: &mut Vec<Note>) -> f64 {
    let text = &ask.setup.closeness;
    entry::optional("setup.closeness", "The closeness to black", text, CLOSE, &["d"], notes)
        .unwrap_or(paper_curve::CLOSENESS.value)
}

/// The curve in use: the setup's own, or a starting one until a step print was read.
fn curve<'a>(near: f64, scene: &Scene<'a>) -> InUse<'a> {
    InUse::of(scene.tone.paper(), near)
}

fn answer(ask: &Ask, scene: &Scene<'_>) -> Answer<View> {
    let units = scene.units();
    let mut view = View::default();
    let mut shown = Shown::default();
    let effects = Effects::of(scene.book.ticket(), scene);
    let exposure = exposure(ask, &effects, &mut shown.notes);
    let near = near(ask, &mut shown.notes);
    let curve = curve(near, scene);
    let preset = &scene.book.setup().presets.light;
    view.differs = ask.setup != *preset;
    view.for_strip = scene.book.ticket().kind == TicketKind::Strip;
    view.curve = match &curve {
        InUse::Own(own) => format!("from your step print, {} steps", own.print().steps()),
        InUse::Starting(_) => "from a starting curve of ours, not measured on your paper".into(),
    };
    moved(ask, preset, &mut shown.notes);
    change_shown::rule(&curve, units, &mut view);
    match &exposure {
        Some(e) => {
            change_shown::known(e, &curve, units, &mut view, &mut shown);
            ticket::sum(ask, e, near, &effects, scene, &mut view, &mut shown);
        }
        None => {
            ticket::conditions(ask, &mut shown.notes);
            view.unknown = ask.setup.time.trim().is_empty();
            view.stuck = !view.unknown;
            if view.unknown {
                view.from = "not known yet: make a step print or a time strip".into();
            }
        }
    }
    evened::answer(ask, exposure.as_ref(), scene, &mut view, &mut shown);
    judged::answer(ask, curve.paper(), units, &mut view, &mut shown.notes);
    strips::answer(ask, units, &mut view, &mut shown.notes, &mut shown.workings);
    view.steps = steps::answer(ask, near, &curve, scene, &mut shown);
    view.scan = scan::answer(ask, scene, &mut shown.notes);
    let print = print_size(scene.book.ticket());
    let sides = (print.map(|p| p.width), print.map(|p| p.height));
    view.lamp = lamp::answer(ask, exposure.as_ref(), sides, units, &mut shown);
    view.law = law::answer(ask, units, &mut shown);
    view.even = even::answer(ask, &curve, sides, scene, &mut shown);
    view.air = air::answer(&ask.air, units, &mut shown);
    view.tools = tools::answer(ask, exposure.as_ref(), scene.tone.paper(), &curve, scene, &mut shown);
    let cell = cell(scene.book.ticket().kind, exposure.as_ref(), ask, units);
    Answer { view, notes: shown.notes, workings: shown.workings, ticket: vec![cell] }
}

fn cell(kind: TicketKind, exposure: Option<&Exposure>, ask: &Ask, units: Units) -> TicketCell {
    if kind == TicketKind::Strip {
        return match strip_plan(ask, &mut Vec::new()) {
            Some(plan) => TicketCell::done(
                "time",
                format!("{} strips, {}", plan.strips.len(), crate::show::clock(f64::from(plan.total()))),
            ),
            None => TicketCell::missing("time", "the strip plan"),
        };
    }
    match exposure {
        Some(Exposure { dose: Some(dose), time, .. }) => TicketCell::done(
            "time",
            format!("{} mJ/cm², about {}", units.figures(super::lamp::dose::shown(*dose), 3), time.shown()),
        ),
        Some(e) if e.moved() == Change::default() => TicketCell::done("time", e.time.shown()),
        Some(e) => TicketCell::done(
            "time",
            format!("{} ({} stop)", e.time.shown(), signed(units, e.moved().to_stops(), 2)),
        ),
        None if ask.setup.time.trim().is_empty() => {
            TicketCell::missing("time", "exposure time: make a time strip")
        }
        None => TicketCell::missing("time", "exposure time"),
    }
}

/// The lamp is not the setup's, its time still is.
fn moved(ask: &Ask, preset: &Preset, notes: &mut Vec<Note>) {
    let lamp = |p: &Preset| (p.lamp.clone(), p.distance.clone(), p.kind.clone(), p.sheet.clone());
    let kept = !ask.setup.time.trim().is_empty() && ask.setup.time == preset.time;
    let known = !preset.time.trim().is_empty();
    if kept && known && lamp(&ask.setup) != lamp(preset) {
        notes.push(Note::warning(
            "setup.lamp",
            "Lamp, distance or cover sheet differ from the setup, the time does not.",
            "Find the new time with a strip or a meter, never by watts: near tubes and panels no rule of distance holds.",
        ));
    }
}

/// A number with its sign; none before zero.
pub(crate) fn signed(units: Units, x: f64, places: usize) -> String {
    let text = units.number(x.abs(), places);
    if text.chars().all(|c| matches!(c, '0' | '.' | ',')) {
        text
    } else if x < 0.0 {
        format!("−{text}")
    } else {
        format!("+{text}")
    }
}

#[cfg(test)]
mod tests;

#[cfg(test)]
mod notes;

#[cfg(test)]
mod settled_tests;
