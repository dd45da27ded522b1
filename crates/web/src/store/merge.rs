//! One commit at a time: what comes while one is on its way is laid together into the next.

use sorrel_core::book::{Commit, Event};

/// Milliseconds within which typing at the same place is one event: the events tell what happened, not every key.
const TYPING: i64 = 60_000;

/// Commits on their way to the store.
#[derive(Default)]
pub(crate) struct Queue {
    flying: Option<Commit>,
    waiting: Option<Commit>,
    last_typed: Option<Event>,
    held: bool,
}

impl Queue {
    /// Takes a commit in; gives the one to write now, if none is on its way.
    pub(crate) fn push(&mut self, mut commit: Commit) -> Option<Commit> {
        commit.events.retain(|event| self.tells_something(event));
        self.waiting = Some(match self.waiting.take() {
            Some(earlier) => merged(earlier, commit),
            None => commit,
        });
        self.next()
    }

    /// Events of the commit on its way.
    pub(crate) fn events(&self) -> usize {
        self.flying.as_ref().map_or(0, |commit| commit.events.len())
    }

    /// The one on its way was written; gives the next.
    pub(crate) fn written(&mut self) -> Option<Commit> {
        self.flying = None;
        self.next()
    }

    /// The one on its way was not written: it waits again, before all that waited behind it, and nothing is given
    /// out until [`Queue::again`] or [`Queue::take`].
    pub(crate) fn failed(&mut self) {
        self.waiting = match (self.flying.take(), self.waiting.take()) {
            (Some(flying), Some(waiting)) => Some(merged(flying, waiting)),
            (flying, waiting) => flying.or(waiting),
        };
        self.held = true;
    }

    /// Tries once more what could not be written.
    pub(crate) fn again(&mut self) -> Option<Commit> {
        self.held = false;
        self.next()
    }

    /// Takes back all that waits, to be made anew.
    pub(crate) fn take(&mut self) -> Option<Commit> {
        self.held = false;
        self.waiting.take()
    }

    /// Keys of the commit on its way.
    pub(crate) fn flying(&self) -> Vec<String> {
        self.flying.iter().flat_map(keys).collect()
    }

    /// Whether a key is about to be written.
    pub(crate) fn touches(&self, key: &str) -> bool {
        self.flying.iter().chain(&self.waiting).flat_map(keys).any(|k| k == key)
    }

    /// Something could not be written and waits to be tried again.
    pub(crate) fn held(&self) -> bool {
        self.held
    }

    /// Nothing is on its way or waiting.
    pub(crate) fn idle(&self) -> bool {
        self.flying.is_none() && self.waiting.is_none()
    }

    fn next(&mut self) -> Option<Commit> {
        if self.flying.is_some() || self.held {
            return None;
        }
        self.flying = self.waiting.take();
        self.flying.clone()
    }

    fn tells_something(&mut self, event: &Event) -> bool {
        if !event.verb.ends_with("/type") {
            self.last_typed = None;
            return true;
        }
        let same =
            |last: &Event| last.verb == event.verb && last.keys == event.keys && event.at - last.at < TYPING;
        if self.last_typed.as_ref().is_some_and(same) {
            return false;
        }
        self.last_typed = Some(event.clone());
        true
    }
}

/// Keys a commit writes.
pub(crate) fn keys(commit: &Commit) -> Vec<String> {
    commit.puts.iter().map(|p| p.key.clone()).chain(commit.deletes.iter().map(|d| d.key.clone())).collect()
}

/// Two commits as one: for an object in both, the first's expectation and the second's content.
fn merged(mut first: Commit, second: Commit) -> Commit {
    for mut put in second.puts {
        if let Some(old) = first.puts.iter_mut().find(|p| p.key == put.key) {
            old.stored = put.stored;
            continue;
        }
        if let Some(i) = first.deletes.iter().position(|d| d.key == put.key) {
            put.expect = first.deletes.remove(i).expect;
        }
        first.puts.push(put);
    }
    for mut delete in second.deletes {
        if let Some(i) = first.puts.iter().position(|p| p.key == delete.key) {
            delete.expect = first.puts.remove(i).expect;
            if delete.expect == 0 {
                // Made and removed again before it was ever written.
                continue;
            }
        }
        first.deletes.push(delete);
    }
    first.events.extend(second.events);
    first
}

#[cfg(test)]
mod tests {
    use super::*;
    use sorrel_core::book::{Book, Bottle, Change, Key, Kind, Object};
    #[cfg(target_arch = "wasm32")]
    use wasm_bindgen_test::wasm_bindgen_test as test;

    fn named(name: &str) -> Change {
        let bottle = Bottle { name: name.into(), ..Bottle::default() };
        Change::put(Key::new(Kind::Bottle, "a"), Object::Bottle(Box::new(bottle)))
    }

    #[test]
    fn typing_behind_a_commit_on_its_way_becomes_one_commit() {
        let mut book = Book::fresh(1, 2);
        let mut queue = Queue::default();
        let first = queue.push(book.apply(named("p"), 10, "stores/type")).map(|c| c.puts[0].stored.rev);
        assert_eq!(first, Some(1));
        assert_eq!(queue.push(book.apply(named("pa"), 20, "stores/type")), None);
        assert_eq!(queue.push(book.apply(named("pal"), 30, "stores/type")), None);
        let next = queue.written().expect("two keystrokes wait");
        assert_eq!((next.puts.len(), next.puts[0].expect, next.puts[0].stored.rev), (1, 1, 3));
        assert!(next.events.is_empty(), "typing on at the same place is one event");
        assert_eq!(queue.written(), None);
        assert!(queue.idle());
    }

    #[test]
    fn what_could_not_be_written_comes_back_whole() {
        let mut book = Book::fresh(1, 2);
        let mut queue = Queue::default();
        queue.push(book.apply(named("p"), 10, "stores/type"));
        queue.push(book.apply(Change::Delete(Key::new(Kind::Bottle, "a")), 20, "stores/remove"));
        queue.failed();
        assert_eq!(queue.push(book.apply(Change::None, 30, "x")), None, "held until it is tried again");
        let back = queue.again().expect("both come back");
        assert!(back.puts.is_empty() && back.deletes.is_empty(), "made and removed: nothing to write");
        assert_eq!(back.events.len(), 2);
    }
}
