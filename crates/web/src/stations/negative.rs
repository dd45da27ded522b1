//! The negative station.

use sorrel_core::negative::Negative;

use super::{Of, of, plain};

pub(super) static ROOM: Of<Negative> = of(true, plain);
