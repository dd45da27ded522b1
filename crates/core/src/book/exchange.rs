//! The book as one file: out, and in again with a look before anything changes.
//!
//! The file is one JSON document,
//! `{"format": "sorrel-book", "schema": 1, "made": ms, "build": "…", "objects": [{key, rev, object}, …], "events": […]}`.
//! JSON itself is the browser's business (natively serde_json's): [`export`] gives what is to be written, and
//! [`read`] takes the tree of what was read.

use std::collections::BTreeMap;

use super::import_error::MOST;
pub use super::import_error::{FORMAT, ImportError, LARGEST};
use super::migration::lift;
use super::{Book, Change, Event, Key, Kind, Object, SCHEMA, Stored};
use crate::fields;
use crate::note::Note;
use crate::tree::{LONGEST, Tree, from_tree};

/// Left-out objects that are named one by one.
const NAMED: usize = 8;

/// A book file, as it is written.
#[derive(Clone, Debug, PartialEq)]
pub struct BookFile {
    /// Always [`FORMAT`].
    pub format: &'static str,
    /// Version of the schema.
    pub schema: u32,
    /// When it was made, in milliseconds since 1970, UTC.
    pub made: i64,
    /// The build that made it.
    pub build: String,
    /// Every object.
    pub objects: Vec<FileObject>,
    /// What happened, oldest first.
    pub events: Vec<Event>,
}

fields!(out BookFile: format, schema, made, build, objects, events);

/// An object in a book file.
#[derive(Clone, Debug, PartialEq)]
pub struct FileObject {
    /// Its key as text.
    pub key: String,
    /// Its revision.
    pub rev: u32,
    /// The object.
    pub object: Object,
}

fields!(out FileObject: key, rev, object);

/// The whole book as a file.
#[must_use]
pub fn export(book: &Book, events: Vec<Event>, now: i64, build: &str) -> BookFile {
    let objects = book
        .stored()
        .map(|(key, s)| FileObject { key: key.to_string(), rev: s.rev, object: s.object.clone() })
        .collect();
    BookFile { format: FORMAT, schema: SCHEMA, made: now, build: build.into(), objects, events }
}

/// Name of the file a book is saved as.
#[must_use]
pub fn file_name(now: i64, zone_minutes: i32) -> String {
    format!("sorrel-book-{}.json", super::date::date(now, zone_minutes))
}

/// A book file that was read, before anything is done with it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Incoming {
    /// When it was made, in milliseconds since 1970, UTC.
    pub made: i64,
    /// The build that made it.
    pub build: String,
    /// What it holds.
    pub objects: BTreeMap<Key, Stored>,
    /// What happened, oldest first.
    pub events: Vec<Event>,
    /// What was left out, and why.
    pub notes: Vec<Note>,
}

/// Refuses a file by its size, before it is read.
///
/// # Errors
/// It is larger than any book.
pub fn check_size(bytes: u64) -> Result<(), ImportError> {
    if bytes > LARGEST { Err(ImportError::TooLarge { bytes }) } else { Ok(()) }
}

/// Reads a book file. An object that cannot be read is left out with a note; the rest opens.
///
/// # Errors
/// The file as a whole is no book, or one of a newer schema.
pub fn read(document: Tree) -> Result<Incoming, ImportError> {
    if document.get("format").and_then(Tree::text) != Some(FORMAT) {
        return Err(ImportError::NotABook);
    }
    let schema = document.get("schema").and_then(Tree::whole).unwrap_or(0);
    let mut document = lift(document, schema)?;
    let Some(Tree::List(list)) = document.take("objects") else {
        return Err(ImportError::NothingInside);
    };
    if list.len() > MOST {
        return Err(ImportError::TooMany { objects: list.len() });
    }
    let mut incoming = Incoming {
        made: document.get("made").and_then(Tree::whole).unwrap_or(0),
        build: document.get("build").and_then(Tree::text).map(|t| clean(t, 60)).unwrap_or_default(),
        ..Incoming::default()
    };
    let mut left_out = Vec::new();
    for (index, entry) in list.into_iter().enumerate() {
        match object(entry, index) {
            Ok((key, stored)) => {
                if incoming.objects.insert(key.clone(), stored).is_some() {
                    left_out.push(LeftOut { key: key.to_string(), why: Why::Twice });
                }
            }
            Err(one) => left_out.push(one),
        }
    }
    if incoming.objects.is_empty() {
        return Err(ImportError::NothingInside);
    }
    if let Some(Tree::List(events)) = document.take("events") {
        incoming.events = events.into_iter().filter_map(|e| from_tree(e).ok()).collect();
    }
    incoming.notes = notes(&left_out);
    Ok(incoming)
}

/// An object that was not taken.
struct LeftOut {
    key: String,
    why: Why,
}

enum Why {
    Twice,
    BadKey,
    UnknownKind,
    Unreadable(String),
    OtherKind,
}

fn object(mut entry: Tree, index: usize) -> Result<(Key, Stored), LeftOut> {
    let text = entry.get("key").and_then(Tree::text).unwrap_or("").to_owned();
    let left_out = |why| {
        let key = if text.is_empty() { format!("number {}", index + 1) } else { clean(&text, 60) };
        LeftOut { key, why }
    };
    let Some(key) = Key::parse(&text) else {
        let word = text.split_once('/').map_or("", |(word, _)| word);
        let looks_like_kind =
            !word.is_empty() && word.len() <= 20 && word.chars().all(|c| c.is_ascii_lowercase());
        let known = Kind::ALL.iter().any(|k| k.word() == word);
        return Err(left_out(if looks_like_kind && !known { Why::UnknownKind } else { Why::BadKey }));
    };
    let rev = entry.get("rev").and_then(Tree::whole).and_then(|r| u32::try_from(r).ok()).unwrap_or(1);
    let tree = entry.take("object").unwrap_or(Tree::Null);
    match Object::from_tree(tree) {
        Ok(object) if object.kind() == key.kind => Ok((key, Stored { rev, object })),
        Ok(_) => Err(left_out(Why::OtherKind)),
        Err(why) => Err(left_out(Why::Unreadable(clean(&why.to_string(), 120)))),
    }
}

/// A foreign text made fit to be shown: no control characters, and not too long.
fn clean(text: &str, most: usize) -> String {
    text.chars().filter(|c| !c.is_control()).take(most).collect()
}

fn notes(left_out: &[LeftOut]) -> Vec<Note> {
    let mut notes: Vec<Note> = left_out
        .iter()
        .take(NAMED)
        .map(|LeftOut { key, why }| match why {
            Why::Twice => Note::warning(
                "import",
                format!("{key} stands in the file twice; the later one is taken."),
                "Look at it after importing.",
            ),
            Why::BadKey => Note::warning(
                "import",
                format!("{key} is left out: it has no proper name in the file."),
                "The file was changed by hand or damaged; compare with an older one.",
            ),
            Why::UnknownKind => Note::warning(
                "import",
                format!("{key} is left out: this page does not know that kind of thing."),
                "Bring Sorrel up to date on this device, then open the file again.",
            ),
            Why::Unreadable(why) => Note::warning(
                "import",
                format!("{key} is left out: it cannot be read ({why})."),
                "The file was changed by hand or damaged; compare with an older one.",
            ),
            Why::OtherKind => Note::warning(
                "import",
                format!("{key} is left out: it holds another kind of thing than its name says."),
                "The file was changed by hand or damaged; compare with an older one.",
            ),
        })
        .collect();
    if left_out.len() > NAMED {
        notes.push(Note::warning(
            "import",
            format!("{} more are left out for the same kinds of reasons.", left_out.len() - NAMED),
            "Compare with an older file before you replace your book.",
        ));
    }
    notes
}

/// What an import does with what is here.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mode {
    /// Adds what is missing here, and takes the file's version where it was changed more often. The desk stays.
    Merge,
    /// The book becomes what the file holds; everything else goes.
    Replace,
}

/// What an import would do.
#[derive(Clone, Debug, PartialEq)]
pub struct Import {
    /// The change of the book.
    pub change: Change,
    /// What happens to each kind that occurs, in the order of the schema.
    pub counts: Vec<(Kind, Counts)>,
    /// What to know before doing it.
    pub notes: Vec<Note>,
}

/// How many objects of a kind meet which fate.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Only in the file: they are added.
    pub added: usize,
    /// In both and different: the file's is taken.
    pub replaced: usize,
    /// In both and different: the one here stays.
    pub kept: usize,
    /// In both and equal.
    pub same: usize,
    /// Only here: they stay (merge), or go (replace).
    pub only_here: usize,
}

impl Import {
    /// The sum over all kinds.
    #[must_use]
    pub fn total(&self) -> Counts {
        self.counts.iter().fold(Counts::default(), |a, (_, b)| Counts {
            added: a.added + b.added,
            replaced: a.replaced + b.replaced,
            kept: a.kept + b.kept,
            same: a.same + b.same,
            only_here: a.only_here + b.only_here,
        })
    }
}

/// What importing the file into this book would do. Nothing is changed yet.
#[must_use]
pub fn import(incoming: &Incoming, book: &Book, mode: Mode, now: i64, luck: u64) -> Import {
    let mut counts = Kind::ALL.map(|kind| (kind, Counts::default()));
    let mut change = Change::None;
    let mut after = book.objects().clone();
    for (key, theirs) in &incoming.objects {
        let count = &mut counts[key.kind as usize].1;
        let take = match after.get(key) {
            None => {
                count.added += 1;
                true
            }
            Some(ours) if ours.object == theirs.object => {
                count.same += 1;
                false
            }
            Some(ours) => {
                let theirs_wins = match mode {
                    Mode::Merge => key.kind != Kind::Desk && theirs.rev > ours.rev,
                    Mode::Replace => true,
                };
                if theirs_wins {
                    count.replaced += 1;
                } else {
                    count.kept += 1;
                }
                theirs_wins
            }
        };
        if take {
            change = change.and(Change::put(key.clone(), theirs.object.clone()));
            after.insert(key.clone(), theirs.clone());
        }
    }
    for (key, _) in book.stored().filter(|(k, _)| !incoming.objects.contains_key(k)) {
        counts[key.kind as usize].1.only_here += 1;
        if mode == Mode::Replace {
            change = change.and(Change::Delete(key.clone()));
            after.remove(key);
        }
    }
    // A file without a desk, or whose desk points nowhere, must still leave a whole book.
    let (after, mended) = Book::open(after, now, luck);
    // Texts typed in other units are brought to those of the desk.
    let units = after.in_units(after.desk().units);
    Import {
        change: change.and(mended).and(units),
        counts: counts.into_iter().filter(|(_, count)| *count != Counts::default()).collect(),
        notes: twins(&after),
    }
}

/// Numbers that stand on two films, tickets or records, as after a merge of two devices.
fn twins(book: &Book) -> Vec<Note> {
    fn doubled(numbers: &mut dyn Iterator<Item = u32>) -> Vec<String> {
        let mut numbers: Vec<u32> = numbers.collect();
        numbers.sort_unstable();
        let mut twice: Vec<u32> = numbers.windows(2).filter(|w| w[0] == w[1]).map(|w| w[0]).collect();
        twice.dedup();
        twice.into_iter().take(NAMED).map(|n| n.to_string()).collect()
    }
    let mut notes = Vec::new();
    for (what, numbers) in [
        ("films", doubled(&mut book.films().map(|(_, f)| f.number))),
        ("records", doubled(&mut book.records().map(|(_, r)| r.number))),
    ] {
        if !numbers.is_empty() {
            notes.push(Note::warning(
                "import",
                format!("After this, two {what} share a number: {}.", numbers.join(", ")),
                "Tell them apart by title and date; new ones get numbers above all of these.",
            ));
        }
    }
    notes
}

// A text that is read stays below what a tree holds; the two limits are meant to be seen together.
const _: () = assert!((LONGEST as u64) < LARGEST);

#[cfg(all(test, not(target_arch = "wasm32")))]
mod tests;
