//! Controls -> Ask.

use wasm_bindgen::prelude::*;
use web_sys::{Element, HtmlInputElement, HtmlSelectElement, HtmlTextAreaElement};

use sorrel_core::tree::{ToTree, Tree};

use crate::dom;

/// What a control holds.
pub(super) enum Held {
    /// A text as typed or chosen.
    Text(String),
    /// A tick.
    Tick(bool),
    /// A radio button that is not the chosen one: its group speaks through another.
    Silent,
}

/// Every control of a station that has a name.
pub(super) fn named(station: &Element) -> Vec<Element> {
    dom::all(station, "input[name],select[name],textarea[name]")
}

/// What a control holds now.
pub(super) fn held(control: &Element) -> Held {
    if let Some(input) = control.dyn_ref::<HtmlInputElement>() {
        return match input.type_().as_str() {
            "checkbox" => Held::Tick(input.checked()),
            "radio" if !input.checked() => Held::Silent,
            _ => Held::Text(input.value()),
        };
    }
    if let Some(select) = control.dyn_ref::<HtmlSelectElement>() {
        return Held::Text(select.value());
    }
    control.dyn_ref::<HtmlTextAreaElement>().map_or(Held::Silent, |area| Held::Text(area.value()))
}

/// Lays what the controls hold over the ask.
pub(super) fn controls(controls: &[Element], ask: &mut Tree) {
    for control in controls {
        let Some(name) = control.get_attribute("name") else { continue };
        match held(control) {
            Held::Text(text) => ask.put(&name, text.to_tree()),
            Held::Tick(on) => ask.put(&name, Tree::Bool(on)),
            Held::Silent => {}
        }
    }
}
