//! The tone station.

use sorrel_core::tone::Tone;

use super::{Of, of, plain};

pub(super) static ROOM: Of<Tone> = of(false, plain);
