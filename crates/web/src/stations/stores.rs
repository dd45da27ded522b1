//! The stores station.

use sorrel_core::stores::Stores;

use super::{Of, of, plain};

pub(super) static ROOM: Of<Stores> = of(false, plain);
