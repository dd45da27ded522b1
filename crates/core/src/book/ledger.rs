//! The book in memory and its one door.

use std::collections::BTreeMap;

use super::{
    Bottle, Change, Commit, Day, Delete, Desk, Event, Film, FilmStock, Ink, Key, Kind, Lamp, Object, Paper,
    Powder, Put, Record, Setup, Ticket,
};
use crate::coat::Recipe;
use crate::fields;
use crate::lanes::Lane;
use crate::tree::{FromTree, Mismatch, Tree};

/// An object as it is kept: with its revision, which rises by one at every change.
#[derive(Clone, Debug, PartialEq)]
pub struct Stored {
    /// Revision, from 1.
    pub rev: u32,
    /// The object.
    pub object: Object,
}

/// Everything the printer owns here. Always holds a desk, and the desk's ticket and that ticket's setup.
#[derive(Clone, Debug, PartialEq)]
pub struct Book {
    objects: BTreeMap<Key, Stored>,
    /// Stands in where the invariant could not be kept, so that reading can never fail.
    blank: Blank,
}

#[derive(Clone, Debug, Default, PartialEq)]
struct Blank {
    desk: Desk,
    ticket: Ticket,
    setup: Setup,
}

/// Typed access to all objects of one kind.
macro_rules! kind_access {
    ($($one:ident $all:ident $variant:ident $type:ty, $what:literal;)*) => {
        $(
            #[doc = concat!("The ", $what, " of that identity.")]
            #[must_use]
            pub fn $one(&self, id: &str) -> Option<&$type> {
                match self.object(&Key::new(Kind::$variant, id)) {
                    Some(Object::$variant(x)) => Some(x),
                    _ => None,
                }
            }

            #[doc = concat!("Every ", $what, " with its identity, oldest identity first.")]
            pub fn $all(&self) -> impl DoubleEndedIterator<Item = (&str, &$type)> {
                self.of_kind(Kind::$variant).filter_map(|(key, object)| match object {
                    Object::$variant(x) => Some((key.id.as_str(), &**x)),
                    _ => None,
                })
            }
        )*
    };
}

impl Stored {
    /// Reads what is kept.
    ///
    /// # Errors
    /// Something has another shape, or is of a kind that this build does not know.
    pub fn from_tree(mut tree: Tree) -> Result<Self, Mismatch> {
        let mut rev = 0u32;
        rev.take_tree(tree.take("rev").unwrap_or(Tree::Null))?;
        Ok(Self { rev, object: Object::from_tree(tree.take("object").unwrap_or(Tree::Null))? })
    }
}

fields!(out Stored: rev, object);

impl Book {
    /// An empty book with a desk, one setup and one ticket, as a new printer finds it.
    #[must_use]
    pub fn fresh(now: i64, luck: u64) -> Self {
        Self::open([], now, luck).0
    }

    /// A book from its objects. What the invariant needs and is missing is added; the second value is the
    /// change that was needed (to be stored), or `Change::None`.
    #[must_use]
    pub fn open(objects: impl IntoIterator<Item = (Key, Stored)>, now: i64, luck: u64) -> (Self, Change) {
        let mut book = Self { objects: BTreeMap::new(), blank: Blank::default() };
        for (key, stored) in objects {
            book.objects.insert(key, stored);
        }
        let mended = book.mend(now, luck);
        book.apply(mended.clone(), now, "open");
        (book, mended)
    }

    /// The change that restores the invariant, or `Change::None`.
    fn mend(&self, now: i64, luck: u64) -> Change {
        let mut change = Change::None;
        let setup_id = match self.setups().next_back() {
            Some((id, _)) => id.to_owned(),
            None => {
                let key = Key::fresh(Kind::Setup, now, luck);
                let id = key.id.clone();
                change = change.and(Change::put(key, Object::Setup(Box::new(Setup::first()))));
                id
            }
        };
        let mut desk = self.desk().clone();
        let ticket = self.ticket_of(&desk.ticket);
        let lost = ticket.is_none_or(|t| self.setup_of(&t.setup).is_none());
        if lost {
            let known = self.tickets().rfind(|(_, t)| self.setup_of(&t.setup).is_some());
            desk.ticket = match known {
                Some((id, _)) => id.to_owned(),
                None => {
                    let key = Key::fresh(Kind::Ticket, now, luck);
                    let id = key.id.clone();
                    let setup = self.setup_of(&setup_id).cloned().unwrap_or_else(Setup::first);
                    let ticket = Ticket::new(self.next_ticket_number(), &setup_id, &setup, now);
                    change = change.and(Change::put(key, Object::Ticket(Box::new(ticket))));
                    id
                }
            };
        }
        if lost || self.object(&Key::desk()).is_none() {
            change = change.and(Change::put(Key::desk(), Object::Desk(Box::new(desk))));
        }
        change
    }

    /// The desk.
    #[must_use]
    pub fn desk(&self) -> &Desk {
        match self.object(&Key::desk()) {
            Some(Object::Desk(desk)) => desk,
            _ => &self.blank.desk,
        }
    }

    /// The ticket on the desk.
    #[must_use]
    pub fn ticket(&self) -> &Ticket {
        self.ticket_of(&self.desk().ticket).unwrap_or(&self.blank.ticket)
    }

    /// The key of the ticket on the desk.
    #[must_use]
    pub fn ticket_key(&self) -> Key {
        Key::new(Kind::Ticket, self.desk().ticket.clone())
    }

    /// The setup of the ticket on the desk.
    #[must_use]
    pub fn setup(&self) -> &Setup {
        self.setup_of(&self.ticket().setup).unwrap_or(&self.blank.setup)
    }

    /// The key of the setup of the ticket on the desk.
    #[must_use]
    pub fn setup_key(&self) -> Key {
        Key::new(Kind::Setup, self.ticket().setup.clone())
    }

    /// The object of that key.
    #[must_use]
    pub fn object(&self, key: &Key) -> Option<&Object> {
        self.objects.get(key).map(|s| &s.object)
    }

    /// Every object with its revision, by key.
    #[must_use]
    pub fn objects(&self) -> &BTreeMap<Key, Stored> {
        &self.objects
    }

    /// Every object with its key and revision, in the order of keys.
    pub fn stored(&self) -> impl Iterator<Item = (&Key, &Stored)> {
        self.objects.iter()
    }

    fn of_kind(&self, kind: Kind) -> impl DoubleEndedIterator<Item = (&Key, &Object)> {
        // '{' sorts behind every character an identity may hold.
        self.objects.range(Key::new(kind, "")..Key::new(kind, "{")).map(|(k, s)| (k, &s.object))
    }

    kind_access! {
        setup_of setups Setup Setup, "setup";
        ticket_of tickets Ticket Ticket, "ticket";
        film films Film Film, "film";
        day days Day Day, "day";
        record records Record Record, "record";
        lane lanes Lane Lane, "lane";
        paper papers Paper Paper, "paper";
        stock stocks Stock FilmStock, "film stock";
        ink inks Ink Ink, "ink";
        lamp lamps Lamp Lamp, "lamp";
        bottle bottles Bottle Bottle, "bottle";
        recipe recipes Recipe Recipe, "recipe";
        powder powders Powder Powder, "powder";
    }

    /// The change that alters the ticket on the desk.
    #[must_use]
    pub fn on_ticket(&self, alter: impl FnOnce(&mut Ticket)) -> Change {
        let mut ticket = self.ticket().clone();
        alter(&mut ticket);
        Change::put(self.ticket_key(), Object::Ticket(Box::new(ticket)))
    }

    /// The change that alters the setup of the ticket on the desk.
    #[must_use]
    pub fn on_setup(&self, alter: impl FnOnce(&mut Setup)) -> Change {
        let mut setup = self.setup().clone();
        alter(&mut setup);
        Change::put(self.setup_key(), Object::Setup(Box::new(setup)))
    }

    /// The change that alters the desk.
    #[must_use]
    pub fn on_desk(&self, alter: impl FnOnce(&mut Desk)) -> Change {
        let mut desk = self.desk().clone();
        alter(&mut desk);
        Change::put(Key::desk(), Object::Desk(Box::new(desk)))
    }

    /// The number the next ticket gets.
    #[must_use]
    pub fn next_ticket_number(&self) -> u32 {
        1 + self.tickets().map(|(_, t)| t.number).max().unwrap_or(0)
    }

    /// The number the next film gets.
    #[must_use]
    pub fn next_film_number(&self) -> u32 {
        1 + self.films().map(|(_, f)| f.number).max().unwrap_or(0)
    }

    /// The number the next record gets.
    #[must_use]
    pub fn next_record_number(&self) -> u32 {
        1 + self.records().map(|(_, r)| r.number).max().unwrap_or(0)
    }

    /// Changes the book and says what to write. Objects that are put as they already stand are left out, so
    /// that typing the same text twice writes nothing.
    pub fn apply(&mut self, change: Change, at: i64, verb: &str) -> Commit {
        // What stood before, first touch only; None where nothing stood.
        let mut before: BTreeMap<Key, Option<Stored>> = BTreeMap::new();
        self.change(change, &mut before);
        let mut commit = Commit { puts: vec![], deletes: vec![], events: vec![], inverse: Change::None };
        let mut touched = Vec::new();
        for (key, old) in before {
            let expect = old.as_ref().map_or(0, |s| s.rev);
            let now = self.objects.get_mut(&key);
            let inverse = match (now, old) {
                (Some(now), old) => {
                    if old.as_ref().is_some_and(|o| o.object == now.object) {
                        now.rev = expect;
                        continue;
                    }
                    now.rev = expect + 1;
                    let from = old.as_ref().map(|old| old.object.clone());
                    commit.puts.push(Put { key: key.to_string(), expect, from, stored: now.clone() });
                    match old {
                        Some(o) => Change::put(key.clone(), o.object),
                        None => Change::Delete(key.clone()),
                    }
                }
                (None, Some(old)) => {
                    commit.deletes.push(Delete { key: key.to_string(), expect });
                    Change::put(key.clone(), old.object)
                }
                (None, None) => continue,
            };
            touched.push(key.to_string());
            commit.inverse = core::mem::replace(&mut commit.inverse, Change::None).and(inverse);
        }
        if !touched.is_empty() {
            commit.events.push(Event { at, verb: verb.into(), keys: touched });
        }
        commit
    }

    fn change(&mut self, change: Change, before: &mut BTreeMap<Key, Option<Stored>>) {
        match change {
            Change::None => {}
            Change::Put(key, object) => {
                let old = self.objects.insert(key.clone(), Stored { rev: 0, object: *object });
                before.entry(key).or_insert(old);
            }
            Change::Delete(key) => {
                let old = self.objects.remove(&key);
                before.entry(key).or_insert(old);
            }
            Change::All(all) => {
                for one in all {
                    self.change(one, before);
                }
            }
        }
    }

    /// Takes over objects another tab has written.
    pub fn adopt(&mut self, key: Key, stored: Option<Stored>) {
        match stored {
            Some(stored) => {
                self.objects.insert(key, stored);
            }
            None => {
                self.objects.remove(&key);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    fn bottle(name: &str) -> Object {
        Object::Bottle(Box::new(Bottle { name: name.into(), ..Bottle::default() }))
    }

    #[test]
    fn a_fresh_book_has_a_desk_a_ticket_and_a_setup() {
        let book = Book::fresh(1_000, 7);
        assert_eq!(book.ticket().number, 1);
        assert!(!book.setup().name.is_empty());
        assert!(book.object(&book.ticket_key()).is_some());
        assert!(book.object(&book.setup_key()).is_some());
        let again = Book::open(book.stored().map(|(k, s)| (k.clone(), s.clone())), 2_000, 8);
        assert_eq!(again.1, Change::None);
    }

    #[test]
    fn the_inverse_takes_it_back_and_revisions_rise() {
        let mut book = Book::fresh(1_000, 7);
        let start = book.clone();
        let key = Key::new(Kind::Bottle, "a");
        let first = book.apply(Change::put(key.clone(), bottle("iron")), 1, "stores/add");
        assert_eq!((first.puts[0].expect, first.puts[0].stored.rev), (0, 1));
        let second = book.apply(
            Change::put(key.clone(), bottle("palladium")).and(Change::put(key.clone(), bottle("platinum"))),
            2,
            "stores/type",
        );
        assert_eq!(second.puts.len(), 1, "one put for two touches");
        assert_eq!((second.puts[0].expect, second.puts[0].stored.rev), (1, 2));
        book.apply(second.inverse, 3, "undo");
        assert_eq!(book.bottle("a").map(|b| b.name.as_str()), Some("iron"));
        let last = book.apply(first.inverse, 4, "undo");
        assert_eq!(last.deletes, [Delete { key: "bottle/a".into(), expect: 3 }]);
        assert_eq!(book, start);
    }

    #[test]
    fn the_same_text_again_writes_nothing() {
        let mut book = Book::fresh(1_000, 7);
        let key = Key::new(Kind::Bottle, "a");
        book.apply(Change::put(key.clone(), bottle("iron")), 1, "x");
        let commit = book.apply(Change::put(key.clone(), bottle("iron")), 2, "x");
        assert!(commit.is_empty() && commit.events.is_empty());
        let next = book.apply(Change::put(key, bottle("other")), 3, "x");
        assert_eq!(next.puts[0].expect, 1);
    }

    #[test]
    fn a_desk_that_points_nowhere_is_mended() {
        let mut book = Book::fresh(1_000, 7);
        let key = book.ticket_key();
        book.apply(Change::Delete(key), 2, "x");
        let objects: Vec<_> = book.stored().map(|(k, s)| (k.clone(), s.clone())).collect();
        let (mended, change) = Book::open(objects, 3, 9);
        assert_ne!(change, Change::None);
        assert!(mended.object(&mended.ticket_key()).is_some());
    }
}
