//! What the book station shows.

use crate::fields;

/// What is shown.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct View {
    /// Number, setup and state of the ticket in hand.
    pub ticket: String,
    /// Tickets, newest first.
    pub tickets: Vec<TicketRow>,
    /// Setups, newest first.
    pub setups: Vec<SetupRow>,
    /// A setup lies open.
    pub has_setup: bool,
    /// Films, newest first.
    pub films: Vec<FilmRow>,
    /// There is a film.
    pub has_films: bool,
    /// A film lies open.
    pub has_film: bool,
    /// The film that lies open: number, title, size, correction.
    pub film_title: String,
    /// How dry it is.
    pub film_dryness: String,
    /// What was printed from it.
    pub film_prints: String,
    /// Nobody has said yet that it was printed.
    pub film_unprinted: bool,
    /// It can be chosen for the ticket in hand.
    pub film_choosable: bool,
    /// Records, newest first.
    pub records: Vec<RecordRow>,
    /// There is a record.
    pub has_records: bool,
    /// A record lies open.
    pub has_record: bool,
    /// The record that lies open: number, title, date, setup, film.
    pub record_title: String,
    /// What was planned.
    pub planned: Vec<PairRow>,
    /// What was done.
    pub done: Vec<PairRow>,
    /// Something is known of what was done.
    pub has_done: bool,
    /// Days, newest first.
    pub days: Vec<PairRow>,
    /// The ticket in hand has a day.
    pub has_day: bool,
    /// It has none.
    pub no_day: bool,
    /// Its date.
    pub day_date: String,
    /// Lists that are longer than what is shown.
    pub longer: String,
    /// What the book holds, in a line.
    pub counts: String,
    /// Whether the browser promised to keep the book.
    pub kept: String,
    /// The promise can be asked for.
    pub can_ask: bool,
    /// When the book was last saved as a file.
    pub last_file: String,
    /// A book file waits for a decision.
    pub importing: bool,
    /// A book file could not be read.
    pub import_failed: bool,
    /// What the file is.
    pub import_title: String,
    /// What it would change, a kind a row.
    pub import_rows: Vec<ImportRow>,
    /// The demo is open.
    pub demo: bool,
    /// The demo is closed.
    pub own: bool,
    /// A setup came with a link.
    pub linked: bool,
    /// It can be used.
    pub linked_usable: bool,
    /// What it is called and what came with it.
    pub linked_title: String,
    /// The link is shown.
    pub sharing: bool,
    /// The link of the ticket's setup.
    pub link: String,
    /// How long it is, and how large its code must be printed.
    pub link_size: String,
    /// Its QR code.
    pub qr: String,
}

fields!(
    out View:
    ticket, tickets, setups, has_setup, films, has_films, has_film, film_title, film_dryness,
    film_prints, film_unprinted, film_choosable, records, has_records, has_record, record_title,
    planned, done, has_done, days, has_day, no_day, day_date, longer, counts, kept, can_ask,
    last_file, importing, import_failed, import_title, import_rows, demo, own, linked,
    linked_usable, linked_title, sharing, link, link_size, qr,
);

/// A ticket in the list.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct TicketRow {
    /// Number.
    pub number: String,
    /// Title.
    pub title: String,
    /// What it is for, its setup, its date.
    pub detail: String,
    /// It is in hand.
    pub here: bool,
    /// It is not.
    pub away: bool,
}

fields!(out TicketRow: number, title, detail, here, away);

/// A setup in the list.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SetupRow {
    /// Name.
    pub name: String,
    /// Readings and use.
    pub detail: String,
    /// Where it came from.
    pub origin: String,
    /// It is the one of the ticket in hand.
    pub here: bool,
    /// It is not.
    pub away: bool,
    /// What choosing it changes on the ticket in hand.
    pub effect: String,
    /// Nothing uses it, so it can be deleted.
    pub unused: bool,
}

fields!(out SetupRow: name, detail, origin, here, away, effect, unused);

/// A film in the list.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FilmRow {
    /// Number.
    pub number: String,
    /// Title.
    pub title: String,
    /// Setup, correction, dates, prints.
    pub detail: String,
    /// How dry it is, or that it is retired.
    pub state: String,
}

fields!(out FilmRow: number, title, detail, state);

/// A record in the list.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct RecordRow {
    /// Number.
    pub number: String,
    /// Title.
    pub title: String,
    /// Date, setup, film.
    pub detail: String,
    /// Rating, what failed, or that it is the reference.
    pub verdict: String,
}

fields!(out RecordRow: number, title, detail, verdict);

/// A label and a value.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PairRow {
    /// What.
    pub label: String,
    /// How much.
    pub value: String,
}

fields!(out PairRow: label, value);

/// What an import does with one kind.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ImportRow {
    /// Kind.
    pub kind: String,
    /// If the file is added.
    pub merge: String,
    /// If the file takes the place of the book.
    pub replace: String,
}

fields!(out ImportRow: kind, merge, replace);

impl View {
    /// One row in every list, so that the names in the page can be checked.
    pub(super) fn sample() -> Self {
        Self {
            tickets: vec![TicketRow::default()],
            setups: vec![SetupRow::default()],
            films: vec![FilmRow::default()],
            records: vec![RecordRow::default()],
            planned: vec![PairRow::default()],
            done: vec![PairRow::default()],
            days: vec![PairRow::default()],
            import_rows: vec![ImportRow::default()],
            ..Self::default()
        }
    }
}
