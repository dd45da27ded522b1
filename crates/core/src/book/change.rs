//! Changes of the book and what the store writes for them.

use super::{Key, Object, Stored};
use crate::fields;

/// What is to change. Applied whole or not at all.
#[derive(Clone, Debug, PartialEq)]
pub enum Change {
    /// Nothing.
    None,
    /// Put an object under a key, new or in place of the old one.
    Put(Key, Box<Object>),
    /// Remove an object.
    Delete(Key),
    /// Several, in order.
    All(Vec<Self>),
}

impl Change {
    /// Puts an object.
    #[must_use]
    pub fn put(key: Key, object: Object) -> Self {
        Self::Put(key, Box::new(object))
    }

    /// This change and then another.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        match (self, other) {
            (Self::None, x) | (x, Self::None) => x,
            (Self::All(mut a), Self::All(b)) => {
                a.extend(b);
                Self::All(a)
            }
            (Self::All(mut a), b) => {
                a.push(b);
                Self::All(a)
            }
            (a, Self::All(mut b)) => {
                b.insert(0, a);
                Self::All(b)
            }
            (a, b) => Self::All(vec![a, b]),
        }
    }
}

/// What the store writes in one transaction: it reads the revisions first and refuses on a mismatch.
#[derive(Clone, Debug, PartialEq)]
pub struct Commit {
    /// Objects to put.
    pub puts: Vec<Put>,
    /// Objects to remove.
    pub deletes: Vec<Delete>,
    /// What happened; appended, never changed.
    pub events: Vec<Event>,
    /// The change that takes it back.
    pub inverse: Change,
}

impl Commit {
    /// Whether there is nothing to write.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.puts.is_empty() && self.deletes.is_empty()
    }
}

/// One object to put.
#[derive(Clone, Debug, PartialEq)]
pub struct Put {
    /// Its key as text.
    pub key: String,
    /// The revision it must have in the store now; 0 if it must be absent.
    pub expect: u32,
    /// What it was changed from, as that revision holds it; `None` if it is new.
    pub from: Option<Object>,
    /// The object with its new revision.
    pub stored: Stored,
}

/// One object to remove.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Delete {
    /// Its key as text.
    pub key: String,
    /// The revision it must have in the store now.
    pub expect: u32,
}

fields!(out Delete: key, expect);

/// What happened, and when.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Event {
    /// Milliseconds since 1970, UTC.
    pub at: i64,
    /// What was done: the station and verb, e.g. `coat/type`.
    pub verb: String,
    /// The keys that were touched.
    pub keys: Vec<String>,
}

fields!(Event: at, verb, keys);
