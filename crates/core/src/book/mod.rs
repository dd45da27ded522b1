//! The book: everything the printer owns here, as plain data, and the one door through which it changes.
//!
//! [`Book::apply`] is pure: a [`Change`] in, the book changed in memory and a [`Commit`] out, which the page's
//! store writes in one transaction. Undo is the commit's inverse. Objects keep texts as typed.

mod change;
mod date;
pub mod demo;
pub mod exchange;
mod import_error;
mod key;
mod ledger;
mod migration;
mod objects;
pub mod page;
mod together;
mod units;

pub use change::{Change, Commit, Delete, Event, Put};
pub use date::{date, date_time, days_since, today, typed_day};
pub use key::{Key, Kind};
pub use ledger::{Book, Stored};
pub use objects::{
    Asks, Bottle, CorrectionVersion, Day, Desk, Film, FilmStock, Ink, IronSeen, IronTest, Lamp, Object,
    Paper, Powder, Presets, Record, Setup, Ticket, TicketKind, record_number,
};

/// Version of the book's schema. A page that meets a newer one goes read-only and says so.
pub const SCHEMA: u32 = 1;
