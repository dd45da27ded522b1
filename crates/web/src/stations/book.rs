//! The book station.

use sorrel_core::book::page::BookStation;

use super::{Of, of, plain};

pub(super) static ROOM: Of<BookStation> = of(false, plain);
