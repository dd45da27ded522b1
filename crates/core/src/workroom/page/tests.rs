//! What the station shows and does.

use super::*;
use crate::station::{Device, Effect};
use crate::testing::test;
use crate::tone::Solved;

const T: i64 = 1_764_000_000_000;

/// A room to press buttons in.
struct Room {
    book: Book,
    now: i64,
    luck: u64,
}

impl Room {
    fn new() -> Self {
        let mut book = Book::fresh(T, 7);
        let change = book.on_ticket(|t| {
            t.asks.light.setup.time = "6:00".into();
            t.title = "Slipway".into();
        });
        book.apply(change, T, "test");
        Self { book, now: T, luck: 1 }
    }

    fn with<R>(&self, f: impl FnOnce(&Scene<'_>) -> R) -> R {
        let (tone, device) = (Solved::default(), Device { storing: true, ..Device::default() });
        let (now, luck) = (self.now, self.luck);
        f(&Scene { book: &self.book, now, zone_minutes: 0, luck, tone: &tone, device: &device })
    }

    /// Waits so many seconds, then presses.
    fn press(&mut self, wait: i64, verb: &str, place: &str) -> Act {
        self.now += wait * 1000;
        self.luck += 1;
        let ask = Workroom::load(&self.book);
        let act = self.with(|scene| Workroom::act(&ask, Deed { verb, place }, scene));
        if let Some(change) = act.change.clone() {
            self.book.apply(change, self.now, verb);
        }
        act
    }

    fn view(&self) -> View {
        self.with(|scene| answer(&Workroom::load(&self.book), scene).view)
    }

    fn typed(&mut self, alter: impl FnOnce(&mut Ask)) {
        let mut ask = Workroom::load(&self.book);
        alter(&mut ask);
        let change = Workroom::keep(&self.book, ask);
        self.book.apply(change, self.now, "type");
    }
}

#[test]
fn a_whole_print_becomes_a_record() {
    let mut room = Room::new();
    assert!(room.view().can_begin && !room.view().any);
    assert_eq!(room.view().begin_what, "Ticket 1, Slipway: Exposure 6:00, then 5 more steps");
    room.press(0, "begin", "");
    let view = room.view();
    assert_eq!((view.digits.as_str(), view.state.as_str()), ("6:00", "Light is on"));
    assert!(view.can_stop && !view.can_next && !view.can_begin && view.can_undo);
    room.now += 355_000;
    assert_eq!(room.view().digits, "0:05");
    assert!(room.view().soon);
    room.now += 8_000;
    assert_eq!(room.view().digits, "+0:03");
    assert!(room.view().alarm && room.view().can_end);
    room.press(0, "end", "");
    assert_eq!(room.view().next, "Developer, 2:00");
    room.press(40, "start", "");
    for wait in [120, 300, 300, 305] {
        room.press(wait, "next", "");
    }
    let view = room.view();
    assert_eq!((view.step.as_str(), view.digits.as_str()), ("Wash", "30:00"));
    assert!(view.can_close && !view.can_next);
    room.press(1801, "next", "");
    assert!(room.view().outcome);
    room.typed(|ask| {
        ask.rating = "4".into();
        ask.faults.spots = true;
        ask.failed = "a hair".into();
        ask.strip.ink_0 = "1.45".into();
        ask.remarks = "good black".into();
    });
    let act = room.press(60, "finish", "");
    assert!(act.notes[0].text.starts_with("P-001 is written"), "{:?}", act.notes);
    assert!(!room.view().any);
    assert_eq!(Workroom::load(&room.book), Ask::default());
    assert_eq!(room.book.lanes().count(), 0);
    let (id, record) = room.book.records().next().unwrap();
    assert_eq!(room.book.ticket().record, id);
    assert_eq!((record.number, record.rating.as_str(), record.failed.as_str()), (1, "4", "spots; a hair"));
    let planned: Vec<&str> = record.planned.iter().map(|(name, _)| name.as_str()).collect();
    assert_eq!(planned[..4], ["Size", "Mix", "Time", "Exposure"]);
    assert_eq!(record.planned[3].1, "6:00");
    assert_eq!(record.strip.len(), 7);
    let real: Vec<f64> = lanes::really(&record.lane, T).iter().map(|r| r.2).collect();
    assert_eq!(real, [363.0, 120.0, 300.0, 300.0, 305.0, 1801.0]);
}

#[test]
fn a_page_that_was_closed_asks_what_really_happened() {
    let mut room = Room::new();
    room.press(0, "begin", "");
    room.now += 490_000;
    let view = room.view();
    assert_eq!(view.asked, "Exposure ended 2 min 10 s ago. What really happened?");
    assert!(view.question && !view.can_end && !view.can_next);
    room.typed(|ask| ask.ran_minutes = "9".into());
    assert_eq!(room.press(0, "told-time", "").notes.len(), 1, "longer than has passed");
    room.typed(|ask| {
        ask.ran_minutes = "6".into();
        ask.ran_seconds = "30".into();
    });
    room.press(5, "told-time", "");
    let view = room.view();
    assert!(!view.question && view.can_start);
    assert!(view.effect.starts_with("The exposure got 6 min 30 s of 6 min: +0.12 stop"), "{}", view.effect);
    assert_eq!(Workroom::load(&room.book).ran_minutes, "");
}

#[test]
fn stopping_resuming_and_undoing() {
    let mut room = Room::new();
    room.press(0, "begin", "");
    room.press(180, "stop", "");
    let view = room.view();
    assert!(view.can_resume && view.resume_what == "3 min" && view.can_early && !view.outcome);
    assert!(view.effect.contains("−1.00 stop"), "{}", view.effect);
    room.press(5, "undo", "");
    assert_eq!(room.view().digits, "2:55");
    assert_eq!(room.press(20, "undo", ""), Act::default(), "too late");
    room.press(0, "stop", "");
    room.press(60, "resume", "");
    assert_eq!(room.view().digits, "2:35");
    room.press(1, "discard", "");
    assert!(room.view().any && !room.view().can_discard && room.view().can_begin);
    room.press(9, "undo", "");
    assert_eq!(room.view().digits, "2:25");
    room.press(1, "discard", "");
    room.now += 11_000;
    assert!(!room.view().any && room.book.lanes().count() == 1, "kept, but not shown");
}

#[test]
fn a_double_tap_of_wet_fingers_is_one() {
    let mut room = Room::new();
    room.press(0, "begin", "");
    room.press(362, "end", "");
    room.press(30, "start", "");
    room.now += 100;
    assert_eq!(room.press(0, "next", ""), Act::default());
    assert_eq!(room.view().step, "Developer");
}

#[test]
fn a_jump_of_the_clock_is_taken_out() {
    let mut room = Room::new();
    room.press(0, "begin", "");
    room.now += 3_600_000;
    room.press(60, "clock", "3600000");
    assert_eq!(room.view().digits, "5:00");
    assert_eq!(room.press(0, "clock", "900"), Act::default());
    assert_eq!(room.press(0, "clock", "x"), Act::default());
}

#[test]
fn without_a_time_nothing_can_begin() {
    let mut room = Room::new();
    let change = room.book.on_ticket(|t| t.asks.light.setup.time.clear());
    room.book.apply(change, T, "test");
    assert!(room.view().not_ready);
    let missing = "This ticket has no exposure time yet. Type one at the light, or make a time strip first.";
    assert_eq!(room.view().missing, missing);
    assert_eq!(room.press(0, "begin", "").change, None);
    assert_eq!(room.press(0, "sound", "").effects, [Effect::SoundCheck]);
}

#[test]
fn a_time_strip_says_when_to_move_the_card() {
    let mut room = Room::new();
    let change = room.book.on_ticket(|t| t.kind = TicketKind::Strip);
    room.book.apply(change, T, "test");
    room.press(0, "begin", "");
    room.now += 85_000;
    assert_eq!(room.view().cue, "Cover strip 2 in 0:35");
}

#[test]
fn two_lanes_can_be_changed_over() {
    let mut room = Room::new();
    room.press(0, "begin", "");
    let first = room.book.desk().ticket.clone();
    let mut ticket = room.book.ticket().clone();
    ticket.number = 2;
    let key = crate::book::Key::new(crate::book::Kind::Ticket, "second");
    let change = Change::put(key, crate::book::Object::Ticket(Box::new(ticket)))
        .and(room.book.on_desk(|d| d.ticket = "second".into()));
    room.book.apply(change, T, "test");
    room.press(10, "begin", "");
    let view = room.view();
    assert_eq!((view.title.as_str(), view.others.len()), ("Ticket 2, Slipway", 1));
    room.press(1, "hand", "0");
    assert_eq!(room.view().title, "Ticket 1, Slipway");
    assert_ne!(first, "second");
}
