//! What only the page can do.

use js_sys::JSON;
use sorrel_core::book::exchange::{self, ImportError};
use sorrel_core::book::{Book, Change, Commit, Event};
use sorrel_core::link;
use sorrel_core::station::Effect;
use sorrel_imaging::job::BUILD;
use wasm_bindgen_futures::spawn_local;
use web_sys::Blob;

use super::screen::fragment;
use super::{App, BookText, Msg, card, dispatch};
use crate::binder::{to_js, tree};
use crate::dom;
use crate::platform::reason;
use crate::platform::save::{self, Handed};
use crate::platform::{clipboard, clock, pick, quota, random, sound};
use crate::stations;
use crate::store::{Store, Trouble};

/// Pictures that can be opened.
const PICTURES: &str = "image/jpeg,image/png,image/tiff,.jpg,.jpeg,.png,.tif,.tiff";

impl App {
    /// Carries an effect out for a station.
    pub(super) fn effect(&mut self, station: usize, effect: Effect) {
        match effect {
            Effect::Go(id) => {
                if let Some(station) = stations::place(id) {
                    self.go(station, true);
                }
            }
            Effect::OpenPicture => pick::file(PICTURES, |file| dispatch(Msg::Picked(file))),
            Effect::MakeFilm(plan) => self.make_film(*plan),
            Effect::OpenScan(wish) => {
                pick::file(PICTURES, move |file| dispatch(Msg::ScanPicked(file, wish.clone())));
            }
            Effect::OpenBlank(wish) => {
                pick::file(PICTURES, move |file| dispatch(Msg::BlankPicked(file, wish.clone())));
            }
            Effect::MakeProof(file) => self.make_proof(*file),
            Effect::ReadScan(wish) => self.read_scan(*wish),
            Effect::CloseScan => self.close_scan(),
            Effect::CancelJob => self.cancel_job(),
            Effect::SaveBytes(file) => {
                let blob = save::bytes(&file.bytes, file.media);
                self.hand_over(None, blob, file.name);
            }
            Effect::MakeChart(film) => self.make_chart(*film),
            Effect::OpenText { verb, accept } => pick::file(accept, move |file| {
                spawn_local(async move {
                    dispatch(Msg::TextRead(station, verb, pick::foreign_text(&file).await));
                });
            }),
            Effect::Export => {
                let store = self.store.clone();
                spawn_local(async move { dispatch(Msg::Events(store.events().await)) });
            }
            Effect::Import => pick::file(".json,application/json", |file| {
                spawn_local(async move { dispatch(Msg::BookRead(read_book(&file).await)) });
            }),
            Effect::CloseIncoming { taken } => {
                if let (Some(Ok(incoming)), true) = (self.device.incoming.take(), taken) {
                    self.send(events_only(incoming.events));
                }
            }
            Effect::CloseLinked => self.device.linked = None,
            Effect::Copy(text) => spawn_local(async move {
                dispatch(Msg::Say(match clipboard::copy(text).await {
                    Ok(()) => "Copied.".into(),
                    Err(why) => {
                        format!("It could not be copied: {why}. Select the text and copy it by hand.")
                    }
                }));
            }),
            Effect::Print => {
                card::away();
                // Fails only where a page may not print at all.
                let _ = dom::window().print();
            }
            Effect::PrintCard => self.print_card(),
            Effect::AskToKeep => {
                spawn_local(async { dispatch(Msg::Kept(quota::ask_to_keep().await)) });
            }
            Effect::OpenDemo => self.open_demo(),
            Effect::CloseDemo => self.close_demo(),
            Effect::Undo => self.undo(),
            Effect::SoundCheck => {
                sound::unlock();
                sound::signal(0, 1);
            }
        }
    }

    /// Hands a file over and says how that went.
    pub(super) fn hand_over(&mut self, job: Option<u32>, blob: Result<Blob, String>, name: String) {
        match blob.and_then(|blob| save::hand_over(&blob, &name)) {
            Ok(Handed::Download) => dispatch(Msg::Saved(job, Ok(()))),
            Ok(Handed::Waits(file)) => {
                self.say_with(&format!("{name} is ready."), "Hand it over", move || {
                    save::share(&file, |why| dispatch(Msg::Say(format!("It was not handed over: {why}."))));
                });
                dispatch(Msg::Saved(job, Ok(())));
            }
            Err(why) => dispatch(Msg::Saved(job, Err(why))),
        }
    }

    /// Opens the demo book: the same door over memory.
    fn open_demo(&mut self) {
        if self.device.demo {
            return;
        }
        if !self.queue.idle() && !self.queue.held() {
            dom::after(50, || dispatch(Msg::Do(Effect::OpenDemo)));
            return;
        }
        if self.running() {
            self.say("A lane is running. The demo can be opened when it is finished.");
            return;
        }
        let own = std::mem::replace(&mut self.book, demo_book());
        self.own = Some(Box::new((own, std::mem::take(&mut self.queue))));
        self.store = Store::Memory;
        self.device.demo = true;
        self.fresh_start();
    }

    /// Closes it: nothing of it was ever written.
    fn close_demo(&mut self) {
        let Some(own) = self.own.take() else { return };
        self.cancel_job();
        // What a full disk refused before still waits to be tried again.
        (self.book, self.queue) = *own;
        self.store = Store::own();
        self.device.demo = false;
        self.fresh_start();
    }

    fn fresh_start(&mut self) {
        self.undo.clear();
        self.show_undo(false);
        self.said = None;
        self.picture = None;
        self.drawn = None;
        self.demo_drawn = false;
        self.device.picture = None;
        self.fit();
        self.show_units();
        self.go(0, true);
    }

    /// The book as a file.
    pub(super) fn export(&mut self, events: Result<Vec<Event>, Trouble>) {
        // Without its events a book is still a whole book.
        let events = events.unwrap_or_default();
        let now = clock::now();
        let file = exchange::export(&self.book, events, now, BUILD);
        let text = JSON::stringify(&to_js(&file)).map(String::from);
        let blob = text.map_err(|e| reason(&e)).and_then(|text| save::text(&text, "application/json"));
        self.hand_over(None, blob, exchange::file_name(now, clock::zone_minutes()));
    }

    /// A chosen book file was read; core says what it would change.
    pub(super) fn book_read(&mut self, text: BookText) {
        self.device.incoming = Some(match text {
            BookText::Unread(why) => {
                self.say(&format!("The file could not be read: {why}. Choose it again."));
                return;
            }
            BookText::TooLarge(error) => Err(error),
            BookText::Text(text) => match JSON::parse(text.trim_start_matches('\u{feff}')) {
                Ok(document) => exchange::read(tree(document)),
                Err(_) => Err(ImportError::not_json(&text)),
            },
        });
        self.refresh();
    }

    /// Takes what the address brings: a share link is read once and then leaves the address. Says whether it was one.
    pub(super) fn read_address(&mut self) -> bool {
        let fragment = fragment();
        if !link::is_link(&fragment) {
            return false;
        }
        self.device.linked = Some(link::decode(&fragment));
        true
    }
}

/// A commit that only says what happened.
fn events_only(events: Vec<Event>) -> Commit {
    Commit { puts: vec![], deletes: vec![], events, inverse: Change::None }
}

fn demo_book() -> Book {
    sorrel_core::book::demo::demo(clock::now(), random::luck())
}

async fn read_book(file: &web_sys::File) -> BookText {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a size is whole and not negative"
    )]
    if let Err(error) = exchange::check_size(file.size() as u64) {
        return BookText::TooLarge(error);
    }
    match pick::text(file).await {
        Ok(text) => BookText::Text(text),
        Err(why) => BookText::Unread(why),
    }
}
