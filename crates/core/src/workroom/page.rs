//! The workroom station: what was typed, what is shown.
//!
//! The page asks again four times a second while a lane runs, so everything here is read afresh from the lane's
//! marks and the moment.

use super::deeds::{self, state_of};
use super::words;
use crate::book::{Book, Change, TicketKind};
use crate::fields;
use crate::lanes::{self, Lane, LaneState, LaneStep, Phase, UNDO_MS};
use crate::light;
use crate::note::Note;
use crate::show::clock;
use crate::station::{Act, Answer, Deed, Scene, Station};

/// What was typed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Ask {
    /// Identity of the lane in hand; the newest if it is none that runs.
    pub hand: String,
    /// How long a step really ran: minutes.
    pub ran_minutes: String,
    /// How long a step really ran: seconds.
    pub ran_seconds: String,
    /// The print ends here, before its last step.
    pub early: bool,
    /// One to five.
    pub rating: String,
    /// What failed, ticked.
    pub faults: Faults,
    /// What else failed.
    pub failed: String,
    /// Remarks.
    pub remarks: String,
    /// Readings of the margin strip.
    pub strip: Strip,
}

fields!(Ask: hand, ran_minutes, ran_seconds, early, rating, faults, failed, remarks, strip);

/// What can fail.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Faults {
    /// Streaks of the coating.
    pub streaks: bool,
    /// Weak black.
    pub weak_black: bool,
    /// Veiled whites.
    pub veiled: bool,
    /// Spots.
    pub spots: bool,
    /// Uneven light.
    pub uneven: bool,
    /// Not sharp.
    pub soft: bool,
    /// Yellow stain.
    pub stain: bool,
}

fields!(Faults: streaks, weak_black, veiled, spots, uneven, soft, stain);

/// Readings of the margin strip, by ink.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Strip {
    /// Clear film.
    pub ink_0: String,
    /// 10 %.
    pub ink_10: String,
    /// 20 %.
    pub ink_20: String,
    /// 35 %.
    pub ink_35: String,
    /// 50 %.
    pub ink_50: String,
    /// 70 %.
    pub ink_70: String,
    /// Full ink.
    pub ink_100: String,
}

fields!(Strip: ink_0, ink_10, ink_20, ink_35, ink_50, ink_70, ink_100);

impl Strip {
    /// All seven, clear film first.
    #[must_use]
    pub fn all(&self) -> [&str; 7] {
        [&self.ink_0, &self.ink_10, &self.ink_20, &self.ink_35, &self.ink_50, &self.ink_70, &self.ink_100]
            .map(String::as_str)
    }
}

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
    any, can_begin, begin_what, not_ready, missing, title, step, digits, state, shape, ends, remark,
    cue, next, alarm, soon, can_start, can_resume, resume_what, can_next, can_close, can_end,
    can_stop, can_undo, undo_left, can_discard, question, asked, effect, can_early, outcome,
    not_stored, steps, others, more,
);

/// A lane with its state.
pub(super) struct Hand<'a> {
    pub(super) id: &'a str,
    pub(super) lane: &'a Lane,
    pub(super) state: LaneState,
}

impl Hand<'_> {
    /// The step it is about.
    pub(super) fn step(&self) -> Option<&LaneStep> {
        self.lane.steps.get(self.state.step)
    }
}

/// The lanes on the screen: those that run, and one that was thrown away while that can be taken back.
pub(super) fn active<'a>(scene: &Scene<'a>) -> Vec<Hand<'a>> {
    let now = scene.now;
    let fresh = |s: &LaneState| {
        s.phase == Phase::Discarded
            && s.last.is_some_and(|(at, _)| (0..=UNDO_MS).contains(&now.saturating_sub(at)))
    };
    scene
        .book
        .lanes()
        .map(|(id, lane)| state_of(id, lane, now))
        .filter(|h| h.state.active() || fresh(&h.state))
        .collect()
}

/// The lane in hand: the one chosen, else the newest.
pub(super) fn in_hand<'a>(ask: &Ask, scene: &Scene<'a>) -> Option<Hand<'a>> {
    let mut all = active(scene);
    let chosen = all.iter().position(|h| h.id == ask.hand);
    match chosen {
        Some(i) => Some(all.swap_remove(i)),
        None => all.pop(),
    }
}

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
    let here = all.iter().any(|h| h.lane.ticket == book.desk().ticket && h.state.active());
    if !here {
        ready(scene, &mut out);
    }
    let Some(hand) = in_hand(ask, scene) else { return out };
    out.view.any = true;
    others(&all, hand.id, &mut out.view);
    show(&hand, scene, &mut out);
    buttons(&hand, ask, scene.now, &mut out.view);
    out
}

fn ready(scene: &Scene<'_>, out: &mut Answer<View>) {
    let mut notes = Vec::new();
    match lanes::steps(scene.book.ticket(), &mut notes) {
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
mod tests {
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
        room.press(60, "finish", "");
        assert!(!room.view().any);
        assert_eq!(Workroom::load(&room.book), Ask::default());
        assert_eq!(room.book.lanes().count(), 0);
        let (id, record) = room.book.records().next().unwrap();
        assert_eq!(room.book.ticket().record, id);
        assert_eq!(
            (record.number, record.rating.as_str(), record.failed.as_str()),
            (1, "4", "spots; a hair")
        );
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
        assert!(
            view.effect.starts_with("The exposure got 6 min 30 s of 6 min: +0.12 stop"),
            "{}",
            view.effect
        );
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
        let missing =
            "This ticket has no exposure time yet. Type one at the light, or make a time strip first.";
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
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod notes {
    use super::*;
    use crate::book::{Key, Kind, Object};
    use crate::lanes::{Mark, MarkKind};
    use crate::station::Device;
    use crate::tone::Solved;
    use expect_test::expect;
    use proptest::prelude::*;

    fn with<R>(book: &Book, now: i64, f: impl FnOnce(&Scene<'_>) -> R) -> R {
        let (tone, device) = (Solved::default(), Device::default());
        f(&Scene { book, now, zone_minutes: 60, luck: 3, tone: &tone, device: &device })
    }

    fn book(marks: Vec<Mark>) -> Book {
        let mut book = Book::fresh(1_000, 7);
        let change = book.on_ticket(|t| t.asks.light.setup.time = "6:00".into());
        book.apply(change, 1, "test");
        let steps = lanes::steps(book.ticket(), &mut Vec::new()).unwrap_or_default();
        let lane =
            Lane { ticket: book.desk().ticket.clone(), title: "x".into(), steps, marks, ..Lane::default() };
        book.apply(Change::put(Key::new(Kind::Lane, "a"), Object::Lane(Box::new(lane))), 1, "test");
        book
    }

    fn start() -> Mark {
        Mark { at: 1_000_000, ..Mark::default() }
    }

    #[test]
    fn every_note() {
        let mut all = Vec::new();
        let started = book(vec![start()]);
        with(&started, 900_000, |s| all.extend(answer(&Ask::default(), s).notes));
        let jump = |text: &str| Mark {
            at: 1_000_000 + text.parse::<i64>().unwrap_or(0),
            kind: MarkKind::Clock,
            step: 0,
            text: text.into(),
        };
        for text in ["60000", "-60000"] {
            let jumped = book(vec![start(), jump(text)]);
            with(&jumped, 1_100_000, |s| all.extend(answer(&Ask::default(), s).notes));
        }
        for (minutes, seconds) in [("", ""), ("x", "99"), ("90", "")] {
            let ask = Ask { ran_minutes: minutes.into(), ran_seconds: seconds.into(), ..Ask::default() };
            let deed = Deed { verb: "told-time", place: "" };
            with(&started, 2_000_000, |s| all.extend(Workroom::act(&ask, deed, s).notes));
        }
        let stopped = book(vec![start(), Mark { at: 1_100_000, kind: MarkKind::Stop, ..Mark::default() }]);
        let deed = Deed { verb: "finish", place: "" };
        with(&stopped, 2_000_000, |s| all.extend(Workroom::act(&Ask::default(), deed, s).notes));
        let text: String =
            all.iter().map(|n| format!("{} {:?}: {} {}\n", n.field, n.severity, n.text, n.mend)).collect();
        expect![[r#"
             Warning: The clock of this device went back by 1 min 40 s while a lane ran. Check the time left against another clock, and note what really happened in the remarks.
             Hint: The clock of this device was put forward by 1 min; the times of this lane are corrected for it. 
             Hint: The clock of this device was put back by 1 min; the times of this lane are corrected for it. 
            ran_minutes Error: How long it ran is empty. Type minutes, seconds or both.
            ran_minutes Error: How long it ran, minutes is not a number. Type digits with comma or point, or a fraction such as 8 1/2.
            ran_seconds Error: How long it ran, seconds is 99, outside 0 to 59. Check the digits and the unit beside the field.
            ran_minutes Error: That is longer than has passed since it was started. Type how long it ran in all, or say that it ran until now.
             Hint: Record 1 is written; it stands in the book. 
        "#]].assert_eq(&text);
    }

    proptest! {
        #[test]
        fn any_typing_marks_and_moment_are_answered(
            texts in prop::array::uniform6("(\\PC{0,8}|[0-9.,]{0,4})"), early in any::<bool>(),
            kinds in prop::collection::vec((0_usize..9, any::<i64>(), 0_u32..9), 0..8), now in any::<i64>(),
            verb in 0_usize..16, place in "(\\PC{0,3}|-?[0-9]{0,20})",
        ) {
            let all = [
                MarkKind::Start, MarkKind::End, MarkKind::Stop, MarkKind::Finish, MarkKind::Discard,
                MarkKind::Told, MarkKind::Undo, MarkKind::Clock, MarkKind::Start,
            ];
            let marks = kinds.into_iter().map(|(k, at, step)| Mark { at, kind: all[k], step, text: place.clone() });
            let book = book(marks.collect());
            let [hand, ran_minutes, ran_seconds, rating, failed, remarks] = texts;
            let ask = Ask { hand, ran_minutes, ran_seconds, rating, failed, remarks, early, ..Ask::default() };
            let verbs = [
                "begin", "start", "resume", "next", "end", "stop", "told-planned", "told-now", "told-time", "undo",
                "discard", "finish", "clock", "hand", "sound", "x",
            ];
            with(&book, now, |scene| {
                let _ = answer(&ask, scene);
                let act = Workroom::act(&ask, Deed { verb: verbs[verb], place: &place }, scene);
                if let Some(change) = act.change {
                    let mut book = book.clone();
                    book.apply(change, now, "test");
                    with(&book, now, |after| answer(&ask, after));
                }
            });
        }
    }
}
