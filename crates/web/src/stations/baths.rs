//! The baths station.

use sorrel_core::baths::Baths;

use super::{Of, of, plain};

pub(super) static ROOM: Of<Baths> = of(true, plain);
