//! The lists of the book station: which rows, in which order. Buttons name a row by its number, so showing and acting
//! go through the same function.

use super::{Ask, called};
use crate::book::{Book, Film, Record, Setup, Ticket, record_number};

/// Rows of a list that are shown; older ones are found by their words.
pub(super) const SHOWN: usize = 40;

/// Tickets, newest first.
pub(super) fn tickets<'a>(book: &'a Book, ask: &Ask) -> Vec<(&'a str, &'a Ticket)> {
    chosen(book.tickets().rev(), ask, |t| {
        format!("{} {} {} {}", t.number, t.title, called(t.kind), setup_name(book, &t.setup))
    })
}

/// Setups, newest first. All of them: there are few.
pub(super) fn setups(book: &Book) -> Vec<(&str, &Setup)> {
    book.setups().rev().collect()
}

/// Films, newest first.
pub(super) fn films<'a>(book: &'a Book, ask: &Ask) -> Vec<(&'a str, &'a Film)> {
    chosen(book.films().rev(), ask, |f| {
        format!("{} {} {} {}", f.number, f.title, setup_name(book, &f.setup), f.remarks)
    })
}

/// Records, newest first.
pub(super) fn records<'a>(book: &'a Book, ask: &Ask) -> Vec<(&'a str, &'a Record)> {
    chosen(book.records().rev(), ask, |r| {
        format!("{} {} {} {} {}", record_number(r.number), r.ticket.title, r.setup_name, r.remarks, r.failed)
    })
}

fn chosen<'a, T>(
    all: impl Iterator<Item = (&'a str, &'a T)>,
    ask: &Ask,
    words: impl Fn(&T) -> String,
) -> Vec<(&'a str, &'a T)> {
    let wanted: Vec<String> = ask.find.split_whitespace().map(str::to_lowercase).collect();
    all.filter(|(_, one)| {
        if wanted.is_empty() {
            return true;
        }
        let words = words(one).to_lowercase();
        wanted.iter().all(|w| words.contains(w.as_str()))
    })
    .collect()
}

/// The identity a button names: the number of a row, or the identity itself.
pub(super) fn pick<T>(rows: &[(&str, T)], place: &str) -> Option<String> {
    match place.parse::<usize>() {
        Ok(row) => rows.get(row).map(|(id, _)| (*id).to_owned()),
        Err(_) => rows.iter().find(|(id, _)| *id == place).map(|(id, _)| (*id).to_owned()),
    }
}

/// A setup's name for people, even if it has none or is gone.
pub(super) fn setup_name(book: &Book, id: &str) -> String {
    match book.setup_of(id) {
        Some(setup) if setup.name.trim().is_empty() => "setup without a name".into(),
        Some(setup) => setup.name.trim().into(),
        None => "setup no longer here".into(),
    }
}

/// How often a setup is used by tickets and films.
pub(super) fn uses(book: &Book, id: &str) -> (usize, usize) {
    (
        book.tickets().filter(|(_, t)| t.setup == id).count(),
        book.films().filter(|(_, f)| f.setup == id).count(),
    )
}

/// Prints that were made from a film.
pub(super) fn prints(book: &Book, film_id: &str) -> Vec<u32> {
    book.records().filter(|(_, r)| r.ticket.film == film_id).map(|(_, r)| r.number).collect()
}
