//! The workroom station: what is shown.
//!
//! The page asks again four times a second while a lane runs, so everything here is read afresh from the lane's
//! marks and the moment.

use super::hand::{Hand, active, in_hand};
use super::{Ask, deeds, words};
use crate::book::page::STRIP_DENSITY;
use crate::book::{Book, Change, TicketKind};
use crate::entry;
use crate::fields;
use crate::lanes::{self, Phase, UNDO_MS};
use crate::light;
use crate::note::Note;
use crate::show::clock;
use crate::station::{Act, Answer, Deed, Scene, Station};

/// A step of the lane in hand.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct StepRow {
    /// Shape of its state.
    pub shape: String,
    /// Its name.
    pub name: String,
    /// Planned.
    pub planned: String,
    /// What it really took.
    pub real: String,
}

fields!(out StepRow: shape, name, planned, real);

/// Another lane.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct OtherRow {
    /// Its title.
    pub title: String,
    /// Its step.
    pub step: String,
    /// Its digits and state.
    pub state: String,
}

fields!(out OtherRow: title, step, state);

/// What is shown.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct View {
    /// The record of the ticket on the desk, for its work card; empty before there is one.
    pub card_record: String,
    /// There is a lane.
    pub any: bool,
    /// The ticket on the desk can be started now.
    pub can_begin: bool,
    /// What would be started.
    pub begin_what: String,
    /// The ticket on the desk cannot be started yet.
    pub not_ready: bool,
    /// What it lacks.
    pub missing: String,
    /// Title of the lane in hand.
    pub title: String,
    /// Name of the step.
    pub step: String,
    /// What is left of it, or how far it is over.
    pub digits: String,
    /// The state in a word.
    pub state: String,
    /// The state as a shape.
    pub shape: String,
    /// When it ends by the clock on the wall.
    pub ends: String,
    /// What to remember at this step.
    pub remark: String,
    /// The next move of the card, for a time strip.
    pub cue: String,
    /// The step ends at a dose, and its light is on.
    pub metering: bool,
    /// What it has had of it.
    pub dose: String,
    /// The step that comes after.
    pub next: String,
    /// The time of the step is up and the signal sounds.
    pub alarm: bool,
    /// Less than half a minute is left.
    pub soon: bool,
    /// A step waits to be started.
    pub can_start: bool,
    /// The rest of a stopped step can be given.
    pub can_resume: bool,
    /// How long the rest is.
    pub resume_what: String,
    /// The next step follows on this tap.
    pub can_next: bool,
    /// The last step ends on this tap.
    pub can_close: bool,
    /// The lamp was switched off.
    pub can_end: bool,
    /// The step can be stopped.
    pub can_stop: bool,
    /// The last tap can be taken back.
    pub can_undo: bool,
    /// For how many seconds yet.
    pub undo_left: String,
    /// The lane can be thrown away.
    pub can_discard: bool,
    /// What really happened is asked.
    pub question: bool,
    /// What is asked.
    pub asked: String,
    /// What more or less light means.
    pub effect: String,
    /// The print could end here.
    pub can_early: bool,
    /// The outcome can be written down.
    pub outcome: bool,
    /// Changes cannot be stored.
    pub not_stored: bool,
    /// Steps of the lane in hand.
    pub steps: Vec<StepRow>,
    /// Other lanes.
    pub others: Vec<OtherRow>,
    /// There are other lanes.
    pub more: bool,
}

fields!(
    out View:
    card_record, any, can_begin, begin_what, not_ready, missing, title, step, digits, state, shape, ends, remark,
    cue, metering, dose, next, alarm, soon, can_start, can_resume, resume_what, can_next, can_close, can_end,
    can_stop, can_undo, undo_left, can_discard, question, asked, effect, can_early, outcome,
    not_stored, steps, others, more,
);

/// The workroom.
#[derive(Clone, Copy, Debug)]
pub struct Workroom;

impl Station for Workroom {
    const ID: &'static str = "workroom";
    type Ask = Ask;
    type View = View;

    fn load(book: &Book) -> Ask {
        book.desk().workroom.clone()
    }

    fn keep(book: &Book, ask: Ask) -> Change {
        book.on_desk(|desk| desk.workroom = ask)
    }

    fn answer(ask: &Ask, scene: &Scene<'_>) -> Answer<View> {
        answer(ask, scene)
    }

    fn act(ask: &Ask, deed: Deed<'_>, scene: &Scene<'_>) -> Act {
        deeds::act(ask, deed, scene)
    }

    fn sample() -> (Ask, View) {
        let view =
            View { steps: vec![StepRow::default()], others: vec![OtherRow::default()], ..View::default() };
        (Ask::default(), view)
    }
}

fn answer(ask: &Ask, scene: &Scene<'_>) -> Answer<View> {
    let mut out = Answer::<View>::default();
    let all = active(scene);
    let book = scene.book;
    out.view.not_stored = !scene.device.storing && !scene.device.demo;
    let record = book.record(&book.ticket().record);
    out.view.card_record = record.map_or_else(String::new, |r| r.number.to_string());
    let here = all.iter().any(|h| h.lane.ticket == book.desk().ticket && h.state.active());
    if !here {
        ready(scene, &mut out);
    }
    let Some(hand) = in_hand(ask, scene) else { return out };
    out.view.any = true;
    others(&all, hand.id, &mut out.view);
    show(&hand, scene, &mut out);
    buttons(&hand, ask, scene.now, &mut out.view);
    typed(ask, &mut out.notes);
    out
}

/// Checks what was typed, before a button takes it.
fn typed(ask: &Ask, notes: &mut Vec<Note>) {
    let inks = [0, 10, 20, 35, 50, 70, 100];
    for (ink, text) in inks.into_iter().zip(ask.strip.all()) {
        entry::optional(&format!("strip.ink_{ink}"), "The reading", text, STRIP_DENSITY, &["d"], notes);
    }
    light::level("meter", "The meter", &ask.meter, notes);
    deeds::ran(ask, notes);
}

fn ready(scene: &Scene<'_>, out: &mut Answer<View>) {
    let mut notes = Vec::new();
    match lanes::steps(scene.book.ticket(), &light::Effects::of(scene.book.ticket(), scene), &mut notes) {
        Some(steps) => {
            let first = steps.first().map_or_else(String::new, |s| {
                format!("{} {}", s.name, light::Duration::from_seconds(s.seconds).shown())
            });
            out.view.can_begin = true;
            out.view.begin_what = format!(
                "{}: {first}, then {} more steps",
                deeds::title(scene.book),
                steps.len().saturating_sub(1)
            );
        }
        None => {
            out.view.not_ready = true;
            out.view.missing = notes.first().map_or_else(String::new, |n| format!("{} {}", n.text, n.mend));
        }
    }
}

fn others(all: &[Hand<'_>], hand: &str, view: &mut View) {
    for h in all.iter().filter(|h| h.id != hand) {
        let (word, shape) = words::state(&h.state, h.step().is_some_and(|s| s.exposure));
        view.others.push(OtherRow {
            title: h.lane.title.clone(),
            step: h.step().map_or_else(String::new, |s| s.name.clone()),
            state: format!("{shape} {word} {}", words::digits(&h.state)).trim_end().into(),
        });
    }
    view.more = !view.others.is_empty();
}

fn show(hand: &Hand<'_>, scene: &Scene<'_>, out: &mut Answer<View>) {
    let (state, lane, view) = (&hand.state, hand.lane, &mut out.view);
    let units = scene.units();
    let exposure = hand.step().is_some_and(|s| s.exposure);
    let (word, shape) = words::state(state, exposure);
    view.title.clone_from(&lane.title);
    view.state = word.into();
    view.shape = shape.into();
    view.digits = words::digits(state);
    if let Some(step) = hand.step() {
        view.step.clone_from(&step.name);
        view.remark.clone_from(&step.remark);
    }
    let running = matches!(state.phase, Phase::Running | Phase::Over);
    if running {
        let word = if state.phase == Phase::Over { "ended" } else { "ends" };
        view.ends = format!("{word} at {}", words::wall(state.ends, scene.zone_minutes));
    }
    view.soon = state.phase == Phase::Running && state.left <= 30_000;
    view.alarm = state.phase == Phase::Over;
    view.next = if running { words::next(lane, state.next(lane)) } else { String::new() };
    view.cue = cue(hand, scene);
    if let (Some(given), Some(step)) = (lanes::dose_given(lane, state.step, scene.now), hand.step()) {
        view.metering = running;
        let figure = |x: f64| units.figures(light::lamp::dose::shown(x), 3);
        view.dose = format!("{} of {} mJ/cm² given", figure(given), figure(step.dose));
    }
    for (i, step) in lane.steps.iter().enumerate() {
        let done = state.done.iter().find(|d| d.step == i);
        let here = state.step == i && state.active();
        view.steps.push(StepRow {
            shape: match (done, here) {
                (Some(_), _) => "●".into(),
                (None, true) => shape.into(),
                (None, false) => "○".into(),
            },
            name: step.name.clone(),
            planned: if step.seconds > 0.0 { clock(step.seconds) } else { String::new() },
            real: done.map_or_else(String::new, |d| {
                format!("took {}{}", clock(words::seconds(d.real)), if d.told { ", told" } else { "" })
            }),
        });
    }
    let short = |planned: i64, real: i64| words::effect(planned, real, units);
    let exposed = state.done.iter().find(|d| lane.steps.get(d.step).is_some_and(|s| s.exposure));
    if let Some(d) = exposed {
        view.effect = short(d.planned, d.real);
    } else if exposure && state.phase == Phase::Stopped {
        let planned = state.given.saturating_add(state.left);
        view.effect = format!(
            "{} The rest is {}. Light in two parts is counted as one, which is usual, but not tested for your paper.",
            short(planned, state.given),
            words::span(state.left)
        );
    } else if exposure && state.question {
        let planned = state.given.saturating_sub(state.over);
        view.effect = format!("If the light was on until now: {}", short(planned, state.given));
    }
    view.question = state.question;
    if state.question {
        let name = &view.step;
        view.asked = format!("{name} ended {} ago. What really happened?", words::span(state.over));
    }
    if state.went_back > 2_000 {
        out.notes.push(Note::warning(
            "",
            format!(
                "The clock of this device went back by {} while a lane ran.",
                words::span(state.went_back)
            ),
            "Check the time left against another clock, and note what really happened in the remarks.",
        ));
    }
    if state.jumped != 0 {
        let way = if state.jumped > 0 { "forward" } else { "back" };
        let by = words::span(state.jumped.saturating_abs());
        out.notes.push(Note::hint(
            "",
            format!(
                "The clock of this device was put {way} by {by}; the times of this lane are corrected for it."
            ),
        ));
    }
}

/// The next move of the card, while a time strip is exposed.
fn cue(hand: &Hand<'_>, scene: &Scene<'_>) -> String {
    let strip = scene.book.ticket_of(&hand.lane.ticket).filter(|t| t.kind == TicketKind::Strip);
    let exposing = hand.state.phase == Phase::Running && hand.step().is_some_and(|s| s.exposure);
    let Some(ticket) = strip.filter(|_| exposing) else { return String::new() };
    let Some(plan) = light::strip_plan(&ticket.asks.light, &mut Vec::new()) else {
        return String::new();
    };
    let elapsed = words::seconds(hand.state.given);
    match plan.next_move(elapsed) {
        Some(m) => {
            let verb = if plan.way == light::strip::Way::Cover { "Cover" } else { "Uncover" };
            format!("{verb} strip {} in {}", m.strip, clock((f64::from(m.at) - elapsed).ceil()))
        }
        None => "No more moves; the lamp goes off at the end".into(),
    }
}

fn buttons(hand: &Hand<'_>, ask: &Ask, now: i64, view: &mut View) {
    let (state, lane) = (&hand.state, hand.lane);
    let burning = hand.step().is_some_and(|s| s.exposure && !s.self_ending);
    let running = matches!(state.phase, Phase::Running | Phase::Over);
    let more = state.next(lane);
    view.can_start = matches!(state.phase, Phase::Ready | Phase::Waiting | Phase::Stopped) && more.is_some();
    if view.can_start {
        view.next = words::next(lane, more);
    }
    view.can_resume = state.phase == Phase::Stopped;
    if view.can_resume {
        view.resume_what = words::span(state.left);
    }
    let free = running && !state.question && !burning;
    view.can_next = free && more.is_some();
    view.can_close = free && more.is_none();
    view.can_end = burning && state.phase == Phase::Over && !state.question;
    view.can_stop = running;
    view.can_discard = state.active();
    view.can_early = matches!(state.phase, Phase::Waiting | Phase::Stopped);
    view.outcome = state.phase == Phase::Done || view.can_early && ask.early;
    if let Some((at, _)) = state.last {
        let since = now.saturating_sub(at);
        if (0..=UNDO_MS).contains(&since) {
            view.can_undo = true;
            view.undo_left = format!("{} s", (UNDO_MS - since + 999) / 1000);
        }
    }
}

#[cfg(test)]
mod tests;

#[cfg(test)]
mod notes;
