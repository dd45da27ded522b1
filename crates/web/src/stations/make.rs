//! The page where a bottle is made, one step behind the stores.

use sorrel_core::make::Make;

use super::{Of, of, plain};

pub(super) static ROOM: Of<Make> = of(false, plain);
