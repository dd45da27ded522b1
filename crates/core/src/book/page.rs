//! The book station: tickets, setups, films, records and days; the book as a file; the link of a setup.
//!
//! What is typed here belongs to objects of the book. [`Ask`] shows it as typed, and keeping it writes it back to its
//! object; the desk keeps only what lies open.

use crate::entry::Range;
use crate::fields;

mod acts;
mod answer;
mod lists;
mod safety;
#[cfg(all(test, not(target_arch = "wasm32")))]
mod tests;
mod view;
mod words;

pub use view::View;

/// Densities of a margin strip.
pub(crate) const STRIP_DENSITY: Range = Range { low: 0.0, high: 4.5 };

use super::{Book, Change, Film, Key, Kind, Object, Record, Setup, TicketKind};
use crate::station::{Act, Answer, Deed, Scene, Station};

/// What was typed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Ask {
    /// Title of the ticket in hand.
    pub title: String,
    /// What the ticket in hand is for.
    pub kind: String,
    /// Words that what is listed must contain.
    pub find: String,
    /// The link and its code are shown.
    pub share: bool,
    /// The setup that lies open.
    pub setup: OpenSetup,
    /// The film that lies open.
    pub film: OpenFilm,
    /// The record that lies open.
    pub record: OpenRecord,
    /// The day of the ticket in hand.
    pub day: OpenDay,
}

fields!(Ask: title, kind, find, share, setup, film, record, day);

/// A setup that lies open.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct OpenSetup {
    /// Its identity; empty if none lies open.
    pub id: String,
    /// Its name.
    pub name: String,
}

fields!(OpenSetup: id, name);

/// A film that lies open.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct OpenFilm {
    /// Its identity; empty if none lies open.
    pub id: String,
    /// Damage and other remarks.
    pub remarks: String,
    /// No longer used.
    pub retired: bool,
}

fields!(OpenFilm: id, remarks, retired);

/// A record that lies open.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct OpenRecord {
    /// Its identity; empty if none lies open.
    pub id: String,
    /// Remarks.
    pub remarks: String,
    /// Stars out of five.
    pub rating: String,
    /// What failed.
    pub failed: String,
    /// It is the reference print.
    pub reference: bool,
    /// Reading of the margin strip, clear film.
    pub strip_0: String,
    /// At 10 % ink.
    pub strip_10: String,
    /// At 20 % ink.
    pub strip_20: String,
    /// At 35 % ink.
    pub strip_35: String,
    /// At 50 % ink.
    pub strip_50: String,
    /// At 70 % ink.
    pub strip_70: String,
    /// At full ink.
    pub strip_100: String,
}

fields!(
    OpenRecord:
    id, remarks, rating, failed, reference, strip_0, strip_10, strip_20, strip_35, strip_50,
    strip_70, strip_100,
);

impl OpenRecord {
    /// The seven readings, clear film first.
    fn strip(&mut self) -> [&mut String; 7] {
        [
            &mut self.strip_0,
            &mut self.strip_10,
            &mut self.strip_20,
            &mut self.strip_35,
            &mut self.strip_50,
            &mut self.strip_70,
            &mut self.strip_100,
        ]
    }
}

/// A day that lies open.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct OpenDay {
    /// Its identity; empty if the ticket has none yet.
    pub id: String,
    /// Air temperature.
    pub temperature: String,
    /// Relative humidity.
    pub humidity: String,
    /// Lamp hours.
    pub lamp_hours: String,
    /// Open bottles, bath fills and other remarks.
    pub remarks: String,
}

fields!(OpenDay: id, temperature, humidity, lamp_hours, remarks);

/// The book station.
#[derive(Clone, Copy, Debug, Default)]
pub struct BookStation;

impl Station for BookStation {
    const ID: &'static str = "book";
    type Ask = Ask;
    type View = View;

    fn load(book: &Book) -> Ask {
        let own = &book.desk().book;
        let ticket = book.ticket();
        let mut ask = Ask {
            title: ticket.title.clone(),
            kind: word(ticket.kind).into(),
            find: own.find.clone(),
            share: own.share,
            ..Ask::default()
        };
        if let Some(setup) = book.setup_of(&own.setup.id) {
            ask.setup = OpenSetup { id: own.setup.id.clone(), name: setup.name.clone() };
        }
        if let Some(film) = book.film(&own.film.id) {
            ask.film =
                OpenFilm { id: own.film.id.clone(), remarks: film.remarks.clone(), retired: film.retired };
        }
        if let Some(record) = book.record(&own.record.id) {
            ask.record = open_record(&own.record.id, record);
        }
        if let Some(day) = book.day(&ticket.day) {
            ask.day = OpenDay {
                id: ticket.day.clone(),
                temperature: day.temperature.clone(),
                humidity: day.humidity.clone(),
                lamp_hours: day.lamp_hours.clone(),
                remarks: day.remarks.clone(),
            };
        }
        ask
    }

    fn keep(book: &Book, mut ask: Ask) -> Change {
        let mut change = book.on_ticket(|ticket| {
            ticket.title.clone_from(&ask.title);
            ticket.kind = kind(&ask.kind).unwrap_or(ticket.kind);
        });
        if let Some(setup) = book.setup_of(&ask.setup.id) {
            let setup = Setup { name: ask.setup.name.clone(), ..setup.clone() };
            change =
                change.and(Change::put(Key::new(Kind::Setup, &ask.setup.id), Object::Setup(Box::new(setup))));
        }
        if let Some(film) = book.film(&ask.film.id) {
            let film = Film { remarks: ask.film.remarks.clone(), retired: ask.film.retired, ..film.clone() };
            change =
                change.and(Change::put(Key::new(Kind::Film, &ask.film.id), Object::Film(Box::new(film))));
        }
        if let Some(record) = book.record(&ask.record.id) {
            let mut record = Record {
                remarks: ask.record.remarks.clone(),
                rating: ask.record.rating.clone(),
                failed: ask.record.failed.clone(),
                reference: ask.record.reference,
                ..record.clone()
            };
            let typed = ask.record.strip().map(|s| s.clone());
            // A record without readings stays without, rather than with seven empty ones.
            if !record.strip.is_empty() || typed.iter().any(|s| !s.is_empty()) {
                let more = record.strip.split_off(typed.len().min(record.strip.len()));
                record.strip = typed.into_iter().chain(more).collect();
            }
            change = change
                .and(Change::put(Key::new(Kind::Record, &ask.record.id), Object::Record(Box::new(record))));
        }
        if let Some(day) = book.day(&ask.day.id) {
            let mut day = day.clone();
            day.temperature.clone_from(&ask.day.temperature);
            day.humidity.clone_from(&ask.day.humidity);
            day.lamp_hours.clone_from(&ask.day.lamp_hours);
            day.remarks.clone_from(&ask.day.remarks);
            change = change.and(Change::put(Key::new(Kind::Day, &ask.day.id), Object::Day(Box::new(day))));
        }
        change.and(book.on_desk(|desk| {
            desk.book = Ask {
                find: ask.find,
                share: ask.share,
                setup: OpenSetup { id: ask.setup.id, ..OpenSetup::default() },
                film: OpenFilm { id: ask.film.id, ..OpenFilm::default() },
                record: OpenRecord { id: ask.record.id, ..OpenRecord::default() },
                ..Ask::default()
            };
        }))
    }

    fn answer(ask: &Ask, scene: &Scene<'_>) -> Answer<View> {
        answer::answer(ask, scene)
    }

    fn act(ask: &Ask, deed: Deed<'_>, scene: &Scene<'_>) -> Act {
        acts::act(ask, deed, scene)
    }

    fn sample() -> (Ask, View) {
        (Ask::default(), View::sample())
    }
}

fn open_record(id: &str, record: &Record) -> OpenRecord {
    let mut open = OpenRecord {
        id: id.into(),
        remarks: record.remarks.clone(),
        rating: record.rating.clone(),
        failed: record.failed.clone(),
        reference: record.reference,
        ..OpenRecord::default()
    };
    for (place, reading) in open.strip().into_iter().zip(&record.strip) {
        place.clone_from(reading);
    }
    open
}

/// Kinds of tickets: the word of the form, and what it is called.
const KINDS: [(TicketKind, &str, &str); 7] = [
    (TicketKind::Picture, "picture", "picture"),
    (TicketKind::Strip, "strip", "time strip"),
    (TicketKind::Ramp, "ramp", "ink ramp"),
    (TicketKind::Chart, "chart", "tone chart"),
    (TicketKind::Steps, "steps", "step print"),
    (TicketKind::Evenness, "evenness", "evenness print"),
    (TicketKind::Fog, "fog", "fog test"),
];

fn word(kind: TicketKind) -> &'static str {
    KINDS.iter().find(|k| k.0 == kind).map_or("picture", |k| k.1)
}

fn called(kind: TicketKind) -> &'static str {
    KINDS.iter().find(|k| k.0 == kind).map_or("picture", |k| k.2)
}

fn kind(word: &str) -> Option<TicketKind> {
    KINDS.iter().find(|k| k.1 == word).map(|k| k.0)
}
