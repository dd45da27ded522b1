//! What each message does.

use sorrel_core::book::Change;
use sorrel_core::station::{Act, Deed, Effect};
use sorrel_core::tree::{ToTree, from_tree};
use wasm_bindgen_futures::spawn_local;

use super::screen::{fragment, section};
use super::{App, Msg, dispatch, lanes};
use crate::dom;
use crate::platform::{clock, look, rest, sound, update, wake};
use crate::stations::{self, ROOMS};

/// Milliseconds a press waits for the store before it goes on without.
const PATIENCE: i32 = 250;
/// Times a due step is signalled.
const SIGNALS: u32 = 3;

impl App {
    /// Does what a message asks for; what needs the rest of the module waits for it.
    pub(super) fn handle(&mut self, msg: Msg) {
        match msg {
            Msg::Input(station) if station == self.shown => self.input(station),
            Msg::Stored => self.stored(),
            Msg::Apart => self.apart(),
            Msg::Kept(kept) => {
                self.device.kept = kept;
                self.refresh();
            }
            Msg::Offline(fault) => self.offline(&fault),
            Msg::Refresh => self.refresh(),
            Msg::Say(text) => self.say(&text),
            Msg::NotWhole(why) => self.say_with(
                &format!("The rest of the page could not be loaded: {why}. Connect to the network."),
                "Load it again",
                load_rest,
            ),
            msg if rest::here() => self.handle_all(msg),
            // Nothing runs yet, and nothing on the first screen tells the time.
            Msg::Tick => {}
            msg => self.hold(msg),
        }
    }

    /// Keeps a message until the rest of the module is here.
    pub(super) fn hold(&mut self, msg: Msg) {
        self.held.push(msg);
        load_rest();
    }

    /// The rest of the module is here: what waited for it is done.
    fn whole(&mut self) {
        let held = std::mem::take(&mut self.held);
        self.say("");
        self.refresh();
        for msg in held {
            self.handle_all(msg);
        }
    }

    /// What each message does, once everything can be done.
    #[inline(never)] // a gate
    fn handle_all(&mut self, msg: Msg) {
        match msg {
            Msg::Input(station) => self.input(station),
            Msg::Press { station, verb, place } => self.press(station, verb, place),
            Msg::Tick => self.tick(),
            // Done already, in `handle`.
            Msg::Stored
            | Msg::Apart
            | Msg::Kept(_)
            | Msg::Offline(_)
            | Msg::Refresh
            | Msg::Say(_)
            | Msg::NotWhole(_) => {}
            Msg::Whole => self.whole(),
            Msg::Unstored(trouble) => self.unstored(trouble),
            Msg::Late(number) => self.late(number),
            Msg::OtherTab(keys) => self.other_tab(&keys),
            Msg::Again { objects, clash } => self.again(objects, clash),
            Msg::Rest(all) => self.rest(all),
            Msg::Hash => self.hash(),
            Msg::Look(word) => {
                look::take(&word);
                self.show_look();
            }
            Msg::Units(family, word) => self.units(&family, &word),
            Msg::Undo => {
                self.undo();
                self.refresh();
            }
            Msg::UndoOver(number) => {
                if number == self.undo_number {
                    self.show_undo(false);
                }
            }
            Msg::Picked(file) => self.picked(file),
            Msg::BlankPicked(file, wish) => self.blank_picked(&file, *wish),
            Msg::ScanPicked(file, wish) => self.scan_picked(file, *wish),
            Msg::TextRead(station, verb, text) => match text {
                Ok(text) => self.press(station, verb.into(), text),
                Err(why) => self.say(&format!("The file could not be read: {why}. Choose it again.")),
            },
            Msg::BookRead(text) => self.book_read(text),
            Msg::Worker(said) => self.worker(said),
            Msg::WorkerIdle => self.imaging.end(),
            Msg::Saved(job, outcome) => self.saved(job, outcome),
            Msg::Handover(id, blob, name) => {
                if self.has_job(id) {
                    self.hand_over(Some(id), blob, name);
                }
            }
            Msg::Events(events) => self.export(events),
            Msg::CancelJob => self.cancel_job(),
            Msg::Visible(visible) => self.visible(visible),
            Msg::Update => {
                self.update = true;
                self.refresh();
            }
            Msg::UseUpdate => {
                if self.running() {
                    self.say("A lane is running. The newer build can be used when it is finished.");
                } else {
                    update::take();
                }
            }
            Msg::Do(effect) => self.effect(self.shown, effect),
            #[cfg(feature = "test-clock")]
            Msg::TestFile(bytes) => self.test_file(bytes),
        }
    }

    fn input(&mut self, station: usize) {
        let (Some(room), Some(section)) = (ROOMS.get(station), section(station)) else { return };
        match room.typed(&section, &self.book) {
            Ok(change) => {
                self.change(change, &format!("{}/type", room.id()), true);
                // What a button said is about what stood there before.
                self.said = None;
            }
            Err(why) => self.say(&format!("Something on this page could not be understood: {why}.")),
        }
        self.refresh();
    }

    fn press(&mut self, station: usize, verb: String, place: String) {
        let Some(room) = ROOMS.get(station) else { return };
        // A running lane cannot wait for the rest of the book; its record, which is numbered, can.
        let lane = room.id() == "workroom" && verb != "finish";
        if !self.whole && !lane {
            self.early.push(Msg::Press { station, verb, place });
            return;
        }
        if self.read_only {
            self.say("This book was written by a newer build; it can be read here but not changed.");
            return;
        }
        let Act { change, effects, notes } = room.act(Deed { verb: &verb, place: &place }, &self.scene());
        self.said = (!notes.is_empty()).then_some((station, notes));
        self.say("");
        self.presses += 1;
        let number = self.presses;
        let changed =
            change.is_some_and(|change| self.change(change, &format!("{}/{verb}", room.id()), false));
        if !changed || self.queue.idle() || self.queue.held() {
            self.run(station, effects);
            self.refresh();
            return;
        }
        // What needs the tap itself, a file dialog or sound, cannot wait for the disk.
        let (now, later): (Vec<_>, Vec<_>) = effects.into_iter().partition(|effect| {
            matches!(
                effect,
                Effect::OpenPicture
                    | Effect::OpenText { .. }
                    | Effect::Import
                    | Effect::Copy(_)
                    | Effect::SoundCheck
            )
        });
        self.run(station, now);
        self.finish_press();
        self.waiting = Some((number, later));
        self.busy(true);
        dom::after(PATIENCE, move || dispatch(Msg::Late(number)));
    }

    /// All that waited is stored, or never will be.
    pub(super) fn press_done(&mut self) {
        if self.waiting.is_some() {
            self.finish_press();
            self.refresh();
        }
    }

    #[inline(never)] // a gate: a press waits for the rest
    fn finish_press(&mut self) {
        if let Some((_, effects)) = self.waiting.take() {
            self.busy(false);
            self.run(self.shown, effects);
        }
    }

    fn late(&mut self, number: u32) {
        if self.waiting.as_ref().is_some_and(|(n, _)| *n == number) {
            self.device.storing = false;
            self.notice("storing", Some("Writing to the disk takes unusually long; this is not stored yet."));
            self.press_done();
        }
    }

    fn run(&mut self, station: usize, effects: Vec<Effect>) {
        for effect in effects {
            self.effect(station, effect);
        }
    }

    fn tick(&mut self) {
        let now = clock::now();
        self.try_again();
        let mut running = false;
        let mut due = Vec::new();
        for (i, (id, lane)) in self.book.lanes().enumerate() {
            let Some(timing) = lanes::timing(lane, now) else { continue };
            running = true;
            let mark = (id.to_owned(), timing.end);
            // An end long past was missed while the page was closed; core asks about it in words.
            let fresh = (0..60_000).contains(&(now - timing.end));
            if timing.runs && fresh && !self.signalled.contains(&mark) {
                due.push((i, mark));
            }
        }
        for (lane, mark) in due {
            sound::signal(lane, SIGNALS);
            self.signalled.push(mark);
        }
        wake::keep_on(running);
        let (second, before) = (now.div_euclid(1000), self.second);
        if second == before || self.waiting.is_some() {
            return;
        }
        self.second = second;
        let shown = ROOMS.get(self.shown).map(|room| room.id());
        let quick = shown == Some("workroom");
        if quick || (shown == Some("negative") && second.div_euclid(10) != before.div_euclid(10)) {
            self.refresh();
        }
    }

    fn hash(&mut self) {
        let linked = self.read_address().then(|| stations::place("book")).flatten();
        if let Some(station) = linked.or_else(|| stations::place(&fragment())) {
            self.say("");
            self.go(station, true);
        }
    }

    fn units(&mut self, family: &str, word: &str) {
        let mut units = self.book.desk().units.to_tree();
        units.put(family, word.to_tree());
        // A word that is none changes nothing.
        if let Ok(units) = from_tree(units) {
            let change: Change = self.book.in_units(units);
            self.change(change, "page/units", false);
        }
        self.show_units();
        self.refresh();
    }

    fn visible(&mut self, visible: bool) {
        if visible {
            wake::keep_on(self.running());
            self.refresh();
        } else {
            // The queue is already on its way to the disk; what failed gets one more try before the page may go.
            self.try_again();
        }
    }

    fn offline(&self, fault: &str) {
        for place in dom::everywhere("[data-offline]") {
            let text = if fault.is_empty() {
                "Sorrel lies complete on this device and opens without a network.".to_owned()
            } else {
                format!("Sorrel is not kept on this device: {fault}.")
            };
            dom::set_text(&place, &text);
        }
    }
}

/// Asks for the rest of the module.
fn load_rest() {
    spawn_local(async {
        match rest::come().await {
            Ok(()) => dispatch(Msg::Whole),
            Err(why) => dispatch(Msg::NotWhole(why)),
        }
    });
}
