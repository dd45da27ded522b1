//! The coat station.

use sorrel_core::coat::Coat;

use super::{Of, of, plain};

pub(super) static ROOM: Of<Coat> = of(true, plain);
