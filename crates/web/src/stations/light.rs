//! The light station.

use sorrel_core::light::page::Light;

use super::{Of, of, plain};

pub(super) static ROOM: Of<Light> = of(true, plain);
