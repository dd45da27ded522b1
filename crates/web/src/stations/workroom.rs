//! The workroom station.

use sorrel_core::workroom::Workroom;

use super::{Of, of, plain};

pub(super) static ROOM: Of<Workroom> = of(false, plain);
