//! Every change of the book goes through here: applied in memory, sent to the store, told to the other tabs.

use sorrel_core::book::{Change, Commit, Key, Kind, Object, Put, Stored};
use wasm_bindgen_futures::spawn_local;

use super::{App, Msg, Step, dispatch};
use crate::dom;
use crate::platform::clock;
use crate::store::{Store, Trouble, witness};

/// Steps back that are kept.
const STEPS: usize = 100;
/// Milliseconds the undo button stands.
const UNDO: i32 = 10_000;

impl App {
    /// Changes the book and has it stored. Says whether anything changed.
    pub(super) fn change(&mut self, change: Change, verb: &str, typed: bool) -> bool {
        let commit = self.book.apply(change, clock::now(), verb);
        if commit.is_empty() {
            return false;
        }
        self.remember(&commit, verb, typed);
        self.after_change(commit);
        true
    }

    fn after_change(&mut self, commit: Commit) {
        let lanes = commit.events.iter().flat_map(|e| &e.keys).any(|k| k.starts_with(Kind::Lane.word()));
        if lanes && !self.device.demo {
            witness::write(&self.book, clock::now());
        }
        self.fit();
        self.send(commit);
    }

    /// Keeps the way back. Typing on at one place is one step.
    fn remember(&mut self, commit: &Commit, verb: &str, typed: bool) {
        if verb == "book/export" {
            // When the book was last saved is no step of anybody's: undo goes to what was done before.
            return;
        }
        if verb.starts_with("workroom/") && !typed {
            // A lane has its own undo, which is a mark; nothing before a running print is taken back past it.
            self.undo.clear();
            self.show_undo(false);
            return;
        }
        let keys: Vec<String> = commit.events.iter().flat_map(|e| e.keys.clone()).collect();
        let goes_on = self.undo.last().is_some_and(|s| typed && s.typed && s.verb == verb && s.keys == keys);
        if !goes_on {
            let inverse = commit.inverse.clone();
            self.undo.push(Step { inverse, keys, verb: verb.into(), typed });
            if self.undo.len() > STEPS {
                self.undo.remove(0);
            }
        }
        self.undo_number += 1;
        self.show_undo(!typed && verb.contains('/'));
        if !typed {
            let number = self.undo_number;
            dom::after(UNDO, move || dispatch(Msg::UndoOver(number)));
        }
    }

    /// What is typed from now on is a step of its own.
    pub(super) fn apart(&mut self) {
        if let Some(last) = self.undo.last_mut() {
            last.typed = false;
        }
    }

    /// Takes the last change back.
    pub(super) fn undo(&mut self) {
        let Some(step) = self.undo.pop() else { return };
        let commit = self.book.apply(step.inverse, clock::now(), "page/undo");
        self.undo_number += 1;
        self.show_undo(false);
        self.said = None;
        self.after_change(commit);
    }

    /// Puts a commit in line for the store.
    pub(super) fn send(&mut self, commit: Commit) {
        if self.read_only || (commit.is_empty() && commit.events.is_empty()) {
            return;
        }
        if !self.whole {
            self.gone.extend(commit.deletes.iter().map(|gone| gone.key.clone()));
        }
        if self.queue.held() {
            // Trying again is cheap, and the disk may have room by now.
            self.queue.push(commit);
            let again = self.queue.again();
            self.fly(again);
        } else {
            let next = self.queue.push(commit);
            self.fly(next);
        }
    }

    fn fly(&mut self, commit: Option<Commit>) {
        let Some(commit) = commit else { return };
        let store = self.store.clone();
        spawn_local(async move {
            match store.commit(&commit).await {
                Ok(()) => dispatch(Msg::Stored),
                Err(trouble) => dispatch(Msg::Unstored(trouble)),
            }
        });
    }

    /// The commit on its way lies in the store.
    pub(super) fn stored(&mut self) {
        let keys = self.queue.flying();
        if matches!(self.store, Store::Idb { .. }) {
            self.tabs.tell(&keys);
        }
        let told = u32::try_from(self.queue.events()).unwrap_or(u32::MAX);
        self.device.events = self.device.events.saturating_add(told);
        let next = self.queue.written();
        let done = next.is_none();
        self.fly(next);
        if !self.device.storing {
            self.device.storing = true;
            self.notice("storing", None);
            self.refresh();
        }
        if done {
            self.press_done();
        }
    }

    /// The commit on its way does not lie in the store.
    pub(super) fn unstored(&mut self, trouble: Trouble) {
        self.queue.failed();
        if trouble == Trouble::Stale {
            self.read_again_after_clash();
            return;
        }
        self.device.storing = false;
        self.tell_trouble(&trouble);
        self.press_done();
        self.refresh();
    }

    /// Says why nothing is stored, and goes on.
    pub(super) fn tell_trouble(&mut self, trouble: &Trouble) {
        let text = match trouble {
            Trouble::Full => "The browser has no room left. Free some, or save the book as a file.".into(),
            Trouble::Newer => "The book was written by a newer build of this page.".into(),
            Trouble::Stale => String::new(),
            Trouble::Refused(why) => {
                format!("The browser says: {why}. What you enter lasts until the page is closed.")
            }
        };
        self.notice("storing", Some(&text));
    }

    /// Another try for what could not be stored; called now and then.
    pub(super) fn try_again(&mut self) {
        if self.queue.held() {
            let again = self.queue.again();
            self.fly(again);
        }
    }

    /// Reads objects again that another tab has written.
    pub(super) fn other_tab(&mut self, keys: &[String]) {
        // What is on its way here meets the newer revision by itself, and is then laid over it.
        let keys: Vec<Key> =
            keys.iter().filter(|k| !self.queue.touches(k)).filter_map(|k| Key::parse(k)).collect();
        if self.device.demo || keys.is_empty() {
            return;
        }
        self.read_again(keys, None);
    }

    fn read_again_after_clash(&mut self) {
        let Some(commit) = self.queue.take() else { return };
        let puts = commit.puts.iter().map(|p| &p.key);
        let keys = puts.chain(commit.deletes.iter().map(|d| &d.key)).filter_map(|k| Key::parse(k)).collect();
        self.read_again(keys, Some(commit.puts));
    }

    fn read_again(&mut self, keys: Vec<Key>, clash: Option<Vec<Put>>) {
        let store = self.store.clone();
        spawn_local(async move {
            match store.again(&keys).await {
                Ok(objects) => dispatch(Msg::Again { objects, clash }),
                // The next commit that touches them will meet them again.
                Err(trouble) if clash.is_some() => dispatch(Msg::Unstored(trouble)),
                Err(_) => {}
            }
        });
    }

    /// Takes over what was read again. After a clash what was entered here is laid over it, field by field; where both
    /// tabs changed the same, ours stands: it is what the printer looks at, and undo brings the other's back.
    pub(super) fn again(&mut self, objects: Vec<(Key, Option<Stored>)>, clash: Option<Vec<Put>>) {
        let mut mine = Change::None;
        let mut whole = true;
        for (key, stored) in objects {
            if let Some(puts) = &clash {
                let from =
                    puts.iter().find(|put| put.key == key.to_string()).and_then(|put| put.from.as_ref());
                let laid = match (self.book.object(&key), from, &stored) {
                    (Some(ours), Some(from), Some(theirs)) => {
                        Some(Object::laid_together(from, ours, &theirs.object))
                    }
                    (Some(ours), ..) => Some((ours.clone(), false)),
                    (None, ..) => None,
                };
                whole &= laid.as_ref().is_some_and(|(_, both)| *both);
                mine = mine.and(match laid {
                    Some((object, _)) => Change::put(key.clone(), object),
                    None => Change::Delete(key.clone()),
                });
            } else if self.queue.touches(&key.to_string()) {
                continue;
            }
            self.book.adopt(key, stored);
        }
        if clash.is_some() && self.change(mine, "page/clash", false) && !whole {
            self.say("Another tab has changed the same thing. What stands here was kept; undo brings the other back.");
        }
        self.fit();
        self.refresh();
    }

    /// Takes over the rest of a large book, as it stood when the page opened: what was thrown away since stays away.
    pub(super) fn rest(&mut self, all: Vec<(Key, Stored)>) {
        let gone = std::mem::take(&mut self.gone);
        for (key, stored) in all {
            let name = key.to_string();
            let known = self.book.object(&key).is_some() || gone.contains(&name);
            if !known && !self.queue.touches(&name) {
                self.book.adopt(key, Some(stored));
            }
        }
        self.whole = true;
        self.refresh();
        for msg in std::mem::take(&mut self.early) {
            dispatch(msg);
        }
    }

    /// Whether any lane is running.
    pub(super) fn running(&self) -> bool {
        let now = clock::now();
        self.book.stored().any(|(_, s)| match &s.object {
            Object::Lane(lane) => super::lanes::timing(lane, now).is_some(),
            _ => false,
        })
    }
}
