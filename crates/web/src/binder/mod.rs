//! Binds a station's static HTML to its `Ask` and `View`: text in, text out, by name.
//!
//! At every keystroke the whole station is read and filled again: there is no second truth about what a person has
//! entered that could come to differ from the first. Only where things stand, and what was written to places nobody
//! else writes to, is remembered; see [`places`].

mod fill;
mod notes;
mod places;
mod read;
mod rows;
mod tree;

#[cfg(all(test, target_arch = "wasm32"))]
mod tests;

use sorrel_core::note::Note;
use sorrel_core::show::{LengthUnit, LiquidUnit, TemperatureUnit, Units};
use sorrel_core::tree::{ToTree, Tree};
use sorrel_core::working::Working;
use web_sys::Element;

use crate::dom;
use places::{Control, Places};

pub(crate) use tree::{from_js, to_js, tree};

/// What a station shows, ready for the page.
pub(crate) struct Shown {
    /// The ask: fills the controls.
    pub(crate) ask: Tree,
    /// The view: fills the outputs.
    pub(crate) view: Tree,
    /// Remarks.
    pub(crate) notes: Vec<Note>,
    /// Workings.
    pub(crate) workings: Vec<Working>,
}

/// What the controls of a station hold, laid over the ask as it is kept: fields without a control stay as they are.
pub(crate) fn read(station: &Element, kept: &dyn ToTree) -> Tree {
    let mut ask = kept.to_tree();
    Places::with(station, |places| read::controls(&places.controls, &mut ask));
    ask
}

/// As [`read`], from some controls only.
pub(crate) fn read_some(controls: &[Element], kept: &dyn ToTree) -> Tree {
    let mut ask = kept.to_tree();
    let controls: Vec<Control> = controls.iter().cloned().filter_map(Control::of).collect();
    read::controls(&controls, &mut ask);
    ask
}

/// Fills a station. Controls that already hold their text are not touched, so caret and selection stay.
pub(crate) fn fill(station: &Element, shown: &Shown) {
    Places::with(station, |places| {
        rows::all(places, &shown.ask, &shown.view);
        fill::controls(&places.controls, &shown.ask);
        fill::outputs(places, &shown.view);
        notes::all(station, places, &shown.notes);
        fill::workings(places, &shown.workings);
    });
}

/// Writes the units into every `[data-unit]` of the page.
pub(crate) fn units(units: Units) {
    for element in dom::everywhere("[data-unit]") {
        let sign = match element.get_attribute("data-unit").as_deref() {
            Some("length") => match units.length {
                LengthUnit::Mm => "mm",
                LengthUnit::Inch => "in",
            },
            Some("temperature") => match units.temperature {
                TemperatureUnit::C => "°C",
                TemperatureUnit::F => "°F",
            },
            Some("liquid") => match units.liquid {
                LiquidUnit::Ml => "mL",
                LiquidUnit::Drops => "drops",
            },
            _ => continue,
        };
        dom::set_text(&element, sign);
    }
}
