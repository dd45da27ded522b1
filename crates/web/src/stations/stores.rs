//! The stores station.

use sorrel_core::stores::page::{Ask, View};

use super::{Of, of, plain, stub};

stub!(Stores, "stores", Ask, View, |book| book.desk().stores.clone(), |book, ask| book
    .on_desk(|d| d.stores = ask));

pub(super) static ROOM: Of<Stores> = of(false, plain);
