//! Names of objects: `kind/id`.

use crate::words;

/// Kind of an object; the first part of its key.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// The desk: units, what is open, what was typed outside a ticket. There is one, with the id `desk`.
    Desk,
    /// A setup.
    Setup,
    /// A ticket.
    Ticket,
    /// A film.
    Film,
    /// A day.
    Day,
    /// A record.
    Record,
    /// A lane.
    Lane,
    /// A paper.
    Paper,
    /// A film stock.
    Stock,
    /// An ink.
    Ink,
    /// A lamp.
    Lamp,
    /// A bottle.
    Bottle,
    /// A recipe.
    Recipe,
    /// A powder.
    Powder,
}

words!(
    Kind:
    Desk "desk", Setup "setup", Ticket "ticket", Film "film", Day "day", Record "record", Lane
    "lane", Paper "paper", Stock "stock", Ink "ink", Lamp "lamp", Bottle "bottle", Recipe "recipe",
    Powder "powder",
);

impl Kind {
    /// Every kind, in the order of the schema.
    pub const ALL: [Self; 14] = [
        Self::Desk,
        Self::Setup,
        Self::Ticket,
        Self::Film,
        Self::Day,
        Self::Record,
        Self::Lane,
        Self::Paper,
        Self::Stock,
        Self::Ink,
        Self::Lamp,
        Self::Bottle,
        Self::Recipe,
        Self::Powder,
    ];

    /// The word in the key.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Desk => "desk",
            Self::Setup => "setup",
            Self::Ticket => "ticket",
            Self::Film => "film",
            Self::Day => "day",
            Self::Record => "record",
            Self::Lane => "lane",
            Self::Paper => "paper",
            Self::Stock => "stock",
            Self::Ink => "ink",
            Self::Lamp => "lamp",
            Self::Bottle => "bottle",
            Self::Recipe => "recipe",
            Self::Powder => "powder",
        }
    }
}

/// The name of an object: `kind/id`. Ordered by kind, then id.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Key {
    /// Its kind.
    pub kind: Kind,
    /// Its identity within the kind: lower-case letters, digits and `-`.
    pub id: String,
}

impl Key {
    /// The key of the one desk.
    #[must_use]
    pub fn desk() -> Self {
        Self::new(Kind::Desk, "desk")
    }

    /// A key from its parts.
    #[must_use]
    pub fn new(kind: Kind, id: impl Into<String>) -> Self {
        Self { kind, id: id.into() }
    }

    /// A new identity from the moment and a random number, so that two devices never choose the same.
    #[must_use]
    pub fn fresh(kind: Kind, now: i64, luck: u64) -> Self {
        Self::new(kind, format!("{:x}-{:06x}", now.max(0), luck & 0xff_ffff))
    }

    /// Reads `kind/id`; `None` for anything else.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let (word, id) = text.split_once('/')?;
        let kind = Kind::ALL.into_iter().find(|k| k.word() == word)?;
        let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
        let fits = !id.is_empty() && id.len() <= 64 && id.chars().all(plain);
        fits.then(|| Self::new(kind, id))
    }
}

impl core::fmt::Display for Key {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        write!(f, "{}/{}", self.kind.word(), self.id)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn every_kind_reads_back() {
        for kind in Kind::ALL {
            let key = Key::fresh(kind, 1_764_000_000_000, 0xdead_beef);
            assert_eq!(Key::parse(&key.to_string()), Some(key));
        }
    }

    #[test]
    fn foreign_keys_are_refused() {
        for text in ["", "ticket", "ticket/", "nope/1", "ticket/../x", "ticket/A", "Ticket/a"] {
            assert_eq!(Key::parse(text), None, "{text}");
        }
    }
}
