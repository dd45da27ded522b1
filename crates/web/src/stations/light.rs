//! The light station.

use sorrel_core::light::page::Light;

use super::tone::on_scan;
use super::{Of, of};

pub(super) static ROOM: Of<Light> = of(true, |section| on_scan(section, "known.scan."));
