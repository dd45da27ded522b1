//! What the buttons of the workroom do.

use super::Ask;
use super::hand::{Hand, active, in_hand};
use crate::book::{Book, Change, Key, Kind, Object, record_number};
use crate::entry::{self, Range};
use crate::lanes::{self, Lane, MarkKind, Phase, UNDO_MS};
use crate::note::Note;
use crate::station::{Act, Deed, Effect, Scene, Station, TicketCell};
use crate::{coat, light, negative};

/// Two taps closer than this are one: wet fingers.
const DEBOUNCE_MS: i64 = 250;
/// Jumps of the clock below this are its ordinary setting.
const LEAST_JUMP_MS: i64 = 2_000;
/// Minutes told.
const MINUTES: Range = Range { low: 0.0, high: 10_000.0 };
/// Seconds told.
const SECONDS: Range = Range { low: 0.0, high: 59.0 };

pub(super) fn act(ask: &Ask, deed: Deed<'_>, scene: &Scene<'_>) -> Act {
    match deed.verb {
        "begin" => return begin(scene),
        "sound" => return Act::effect(Effect::SoundCheck),
        "card" => return Act::effect(Effect::PrintCard),
        "clock" => return clock(deed.place, scene),
        "hand" => return take_in_hand(deed.place, ask, scene),
        "go-light" => return Act::effect(Effect::Go("light")),
        _ => {}
    }
    let Some(hand) = in_hand(ask, scene) else { return Act::default() };
    let (now, state) = (scene.now, &hand.state);
    let since = state.last.map(|(at, _)| now.saturating_sub(at));
    let bounced = since.is_some_and(|s| (0..DEBOUNCE_MS).contains(&s));
    if bounced && matches!(deed.verb, "start" | "next" | "end" | "resume") {
        return Act::default();
    }
    let running = matches!(state.phase, Phase::Running | Phase::Over);
    let mark = |kind, step, text: &str| put(&hand, hand.lane.marked(now, kind, step, text));
    match deed.verb {
        "start" => match (state.phase, state.next(hand.lane)) {
            (Phase::Ready | Phase::Waiting | Phase::Stopped, Some(step)) => mark(MarkKind::Start, step, ""),
            _ => Act::default(),
        },
        "resume" if state.phase == Phase::Stopped => mark(MarkKind::Start, state.step, ""),
        "next" if running && !state.question => match state.next(hand.lane) {
            // An exposure that burns is ended, never left by going on.
            _ if hand.step().is_some_and(|s| s.exposure && !s.self_ending) => Act::default(),
            Some(step) => mark(MarkKind::Start, step, ""),
            None => mark(MarkKind::End, state.step, ""),
        },
        "end" if state.phase == Phase::Over && !state.question => mark(MarkKind::End, state.step, ""),
        "stop" if running => mark(MarkKind::Stop, state.step, ""),
        "meter" if running => meter(ask, &hand, scene),
        "told-planned" if state.question => mark(MarkKind::Told, state.step, "planned"),
        "told-now" if state.question => mark(MarkKind::Told, state.step, "now"),
        "told-time" if state.question => told_time(ask, &hand, scene),
        "undo" if since.is_some_and(|s| (0..=UNDO_MS).contains(&s)) => mark(MarkKind::Undo, state.step, ""),
        "discard" if state.active() => mark(MarkKind::Discard, state.step, ""),
        "finish" if matches!(state.phase, Phase::Done | Phase::Waiting | Phase::Stopped) => {
            finish(ask, &hand, scene)
        }
        _ => Act::default(),
    }
}

fn put(hand: &Hand<'_>, lane: Lane) -> Act {
    Act::change(Change::put(Key::new(Kind::Lane, hand.id), Object::Lane(Box::new(lane))))
}

/// What the ticket strip says of the ticket on the desk, for its record.
fn figures(scene: &Scene<'_>) -> Vec<(String, String)> {
    let asks = &scene.book.ticket().asks;
    let cells = [
        negative::Negative::answer(&negative::Negative::load(scene.book), scene).ticket,
        coat::Coat::answer(&asks.coat, scene).ticket,
        light::Light::answer(&asks.light, scene).ticket,
    ];
    let named = |c: TicketCell| {
        let mut name = c.slot;
        if let Some(first) = name.get_mut(..1) {
            first.make_ascii_uppercase();
        }
        (name, c.text)
    };
    cells.into_iter().flatten().filter(|c| c.done).map(named).collect()
}

/// A lane for the ticket on the desk, started at the moment of the tap.
fn begin(scene: &Scene<'_>) -> Act {
    let book = scene.book;
    let id = &book.desk().ticket;
    if active(scene).iter().any(|h| h.lane.ticket == *id && h.state.active()) {
        return Act::default();
    }
    let mut notes = Vec::new();
    let Some(steps) = lanes::steps(book.ticket(), &light::Effects::of(book.ticket(), scene), &mut notes)
    else {
        return Act { notes, ..Act::default() };
    };
    let lane =
        Lane { ticket: id.clone(), title: title(book), figures: figures(scene), steps, ..Lane::default() };
    let lane = lane.marked(scene.now, MarkKind::Start, 0, "");
    let key = Key::fresh(Kind::Lane, scene.now, scene.luck);
    let hand = key.id.clone();
    let change = Change::put(key, Object::Lane(Box::new(lane)));
    Act::change(change.and(book.on_desk(|desk| desk.workroom.hand = hand)))
}

/// What a lane of the ticket on the desk is called.
pub(super) fn title(book: &Book) -> String {
    let ticket = book.ticket();
    let mut parts = vec![format!("Ticket {}", ticket.number)];
    if !ticket.title.trim().is_empty() {
        parts.push(ticket.title.trim().into());
    }
    if let Some(film) = book.film(&ticket.film) {
        parts.push(format!("film {}", film.number));
    }
    parts.join(", ")
}

fn take_in_hand(place: &str, ask: &Ask, scene: &Scene<'_>) -> Act {
    let current = in_hand(ask, scene).map(|h| h.id);
    let others: Vec<Hand<'_>> = active(scene).into_iter().filter(|h| Some(h.id) != current).collect();
    match place.parse::<usize>().ok().and_then(|i| others.get(i)) {
        Some(other) => Act::change(scene.book.on_desk(|desk| desk.workroom.hand = other.id.into())),
        None => Act::default(),
    }
}

/// The wall clock jumped by so many milliseconds: a mark in every lane that runs.
fn clock(place: &str, scene: &Scene<'_>) -> Act {
    let jump: i64 = match place.trim().parse() {
        Ok(ms) => ms,
        Err(_) => return Act::default(),
    };
    if jump.unsigned_abs() < LEAST_JUMP_MS.unsigned_abs() {
        return Act::default();
    }
    let mut change = Change::None;
    for hand in active(scene).iter().filter(|h| h.state.active()) {
        let lane = hand.lane.marked(scene.now, MarkKind::Clock, 0, jump.to_string());
        change = change.and(Change::put(Key::new(Kind::Lane, hand.id), Object::Lane(Box::new(lane))));
    }
    Act::change(change)
}

/// The meter was read: a mark of its own, from which the time left is foretold again.
fn meter(ask: &Ask, hand: &Hand<'_>, scene: &Scene<'_>) -> Act {
    let mut notes = Vec::new();
    let Some(level) = light::level("meter", "The meter", &ask.meter, &mut notes) else {
        if notes.is_empty() {
            notes.push(Note::error(
                "meter",
                "The meter's reading is empty.",
                "Type mW/cm² as the meter shows it.",
            ));
        }
        return Act { notes, ..Act::default() };
    };
    let mut act = put(hand, hand.lane.marked(scene.now, MarkKind::Meter, hand.state.step, level.to_string()));
    let cleared = scene.book.on_desk(|desk| desk.workroom.meter.clear());
    act.change = act.change.map(|c| c.and(cleared));
    act
}

/// How long it ran as typed: minutes and seconds.
pub(super) fn ran(ask: &Ask, notes: &mut Vec<Note>) -> (Option<f64>, Option<f64>) {
    let label = "The number of minutes it ran";
    let minutes = entry::optional("ran_minutes", label, &ask.ran_minutes, MINUTES, &["min"], notes);
    let label = "The number of seconds it ran";
    let seconds = entry::optional("ran_seconds", label, &ask.ran_seconds, SECONDS, &["s"], notes);
    (minutes, seconds)
}

/// "It ran until …": the whole time of the step, as typed in minutes and seconds.
fn told_time(ask: &Ask, hand: &Hand<'_>, scene: &Scene<'_>) -> Act {
    let mut notes = Vec::new();
    let (minutes, seconds) = ran(ask, &mut notes);
    if minutes.is_none() && seconds.is_none() && notes.is_empty() {
        notes.push(Note::error("ran_minutes", "How long it ran is empty.", "Type minutes, seconds or both."));
    }
    if !notes.is_empty() {
        return Act { notes, ..Act::default() };
    }
    let ran = minutes.unwrap_or(0.0) * 60_000.0 + seconds.unwrap_or(0.0) * 1000.0;
    #[expect(clippy::cast_possible_truncation, reason = "below a thousand million, checked above")]
    let ran = ran.round() as i64;
    // A second of grace: the screen shows whole seconds.
    if ran > hand.state.given.saturating_add(1000) {
        return Act::note(Note::error(
            "ran_minutes",
            "That is longer than has passed since it was started.",
            "Type how long it ran in all, or say that it ran until now.",
        ));
    }
    let lane = hand.lane.marked(scene.now, MarkKind::Told, hand.state.step, ran.to_string());
    let mut act = put(hand, lane);
    let cleared = scene.book.on_desk(|desk| {
        desk.workroom.ran_minutes.clear();
        desk.workroom.ran_seconds.clear();
    });
    act.change = act.change.map(|c| c.and(cleared));
    act
}

/// The lane becomes a record; the form is emptied for the next.
fn finish(ask: &Ask, hand: &Hand<'_>, scene: &Scene<'_>) -> Act {
    let book = scene.book;
    let lane = hand.lane.marked(scene.now, MarkKind::Finish, hand.state.step, "");
    let mut record = lanes::record(book, &lane, scene.now);
    record.remarks = ask.remarks.trim().into();
    record.rating.clone_from(&ask.rating);
    record.failed = failed(ask);
    let strip = ask.strip.all();
    if strip.iter().any(|t| !t.trim().is_empty()) {
        record.strip = strip.map(|t| t.trim().to_owned()).to_vec();
    }
    let number = record.number;
    let key = Key::fresh(Kind::Record, scene.now, scene.luck);
    let id = key.id.clone();
    let mut change = Change::put(key, Object::Record(Box::new(record)));
    if let Some(ticket) = book.ticket_of(&lane.ticket) {
        let mut ticket = ticket.clone();
        ticket.record = id;
        change = change
            .and(Change::put(Key::new(Kind::Ticket, lane.ticket.clone()), Object::Ticket(Box::new(ticket))));
    }
    change = change.and(Change::Delete(Key::new(Kind::Lane, hand.id)));
    change = change.and(book.on_desk(|desk| desk.workroom = Ask::default()));
    let note = Note::hint("", format!("{} is written; it stands in the book.", record_number(number)));
    Act { change: Some(change), notes: vec![note], ..Act::default() }
}

/// What failed, as one text.
pub(super) fn failed(ask: &Ask) -> String {
    let f = &ask.faults;
    let ticks = [
        (f.streaks, "streaks of the coating"),
        (f.weak_black, "weak black"),
        (f.veiled, "veiled whites"),
        (f.spots, "spots"),
        (f.uneven, "uneven light"),
        (f.soft, "not sharp: poor contact"),
        (f.stain, "yellow stain"),
    ];
    let mut all: Vec<&str> = ticks.iter().filter(|(on, _)| *on).map(|(_, words)| *words).collect();
    all.extend(Some(ask.failed.trim()).filter(|t| !t.is_empty()));
    all.join("; ")
}
