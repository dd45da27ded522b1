//! What is typed at the light.

use super::paper_curve;
use crate::fields;
use crate::show::decimals;

/// What the setup fixes here.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Preset {
    /// Time that gives black behind clear film; empty while not known.
    pub time: String,
    /// How far below the densest black still counts as black, in density.
    pub closeness: String,
    /// The lamp.
    pub lamp: String,
    /// Distance from lamp to frame.
    pub distance: String,
    /// The lamp has a timer of its own that switches it off.
    pub own_switch: bool,
}

fields!(Preset: time, closeness, lamp, distance, own_switch);

impl Default for Preset {
    fn default() -> Self {
        Self {
            time: String::new(),
            closeness: decimals(paper_curve::CLOSENESS.value, 2),
            lamp: String::new(),
            distance: String::new(),
            own_switch: false,
        }
    }
}

/// What was typed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ask {
    /// What the setup fixes, as changed on this ticket.
    pub setup: Preset,
    /// Change of the time on this ticket.
    pub change: String,
    /// `stops`, `log` or `percent`.
    pub change_unit: String,
    /// How the last print looks: `light`, `dark` or empty.
    pub looks: String,
    /// Its clear-film patch beside the reference: `same`, `weaker`, `stronger` or empty.
    pub black: String,
    /// Density of a middle patch of the margin strip on that print.
    pub patch_now: String,
    /// Density of the same patch on the reference print.
    pub patch_then: String,
    /// Number of strips.
    pub strip_count: String,
    /// Time of the first strip.
    pub strip_first: String,
    /// Stops from strip to strip.
    pub strip_step: String,
    /// `cover` or `uncover`.
    pub strip_way: String,
    /// The first strip that is as black as the next.
    pub strip_found: String,
    /// Ultraviolet where eyes may be, in mW/cm².
    pub level: String,
}

fields!(
    Ask:
    setup, change, change_unit, looks, black, patch_now, patch_then, strip_count, strip_first,
    strip_step, strip_way, strip_found, level,
);

impl Default for Ask {
    fn default() -> Self {
        Self {
            setup: Preset::default(),
            change: String::new(),
            change_unit: "stops".into(),
            looks: String::new(),
            black: String::new(),
            patch_now: String::new(),
            patch_then: String::new(),
            strip_count: "5".into(),
            strip_first: "1:00".into(),
            strip_step: "1".into(),
            strip_way: "cover".into(),
            strip_found: String::new(),
            level: String::new(),
        }
    }
}
