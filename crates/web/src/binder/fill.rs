//! Ask -> controls, View -> outputs.

use js_sys::Reflect;
use sorrel_core::tree::Tree;
use sorrel_core::working::Working;
use wasm_bindgen::prelude::*;
use web_sys::{
    DocumentFragment, DomParser, Element, HtmlDetailsElement, HtmlInputElement, HtmlSelectElement,
    HtmlTemplateElement, HtmlTextAreaElement, SupportedType,
};

use crate::dom;

/// Brings every control to its field of the ask. A control that already holds it is left alone.
pub(super) fn controls(controls: &[(String, Element)], ask: &Tree) {
    for (name, control) in controls {
        let value = ask.at(name);
        if let Some(input) = control.dyn_ref::<HtmlInputElement>() {
            match (input.type_().as_str(), value) {
                ("checkbox", Some(Tree::Bool(on))) if input.checked() != *on => input.set_checked(*on),
                ("radio", Some(Tree::Text(Some(text)))) if input.checked() != (input.value() == *text) => {
                    input.set_checked(input.value() == *text);
                }
                ("checkbox" | "radio" | "file", _) => {}
                (_, Some(Tree::Text(Some(text)))) if input.value() != *text => input.set_value(text),
                _ => {}
            }
        } else if let Some(Tree::Text(Some(text))) = value {
            if let Some(select) = control.dyn_ref::<HtmlSelectElement>() {
                if select.value() != *text {
                    select.set_value(text);
                }
            } else if let Some(area) = control.dyn_ref::<HtmlTextAreaElement>()
                && area.value() != *text
            {
                area.set_value(text);
            }
        }
    }
}

/// Brings outputs, shown parts and charts to their fields of the view.
pub(super) fn outputs(station: &Element, view: &Tree) {
    for output in dom::all(station, "output[name]") {
        if let Some(name) = output.get_attribute("name") {
            let text = view.at(&name).map(Tree::shown).unwrap_or_default();
            // A line must not end between a number and its percent sign.
            dom::set_text(&output, &text.replace(" %", "\u{a0}%"));
            // What is hidden while its output is empty goes by this: WebKit does not notice that an :empty inside of
            // :has() no longer holds, and would leave the answer hidden.
            if text.is_empty() == output.has_attribute("data-filled") {
                let _ = output.toggle_attribute("data-filled");
            }
        }
    }
    for part in dom::all(station, "[data-show]") {
        if let Some(name) = part.get_attribute("data-show") {
            dom::show(&part, view.at(&name).is_some_and(Tree::says_something));
        }
    }
    for slot in dom::all(station, "[data-svg]") {
        if let Some(name) = slot.get_attribute("data-svg") {
            svg(&slot, &view.at(&name).map(Tree::shown).unwrap_or_default());
        }
    }
}

/// Puts an SVG that core wrote into its slot, if it is not the one there.
fn svg(slot: &Element, text: &str) {
    let drawn = JsValue::from_str("sorrelSvg");
    if Reflect::get(slot, &drawn).ok().and_then(|t| t.as_string()).as_deref().unwrap_or_default() == text {
        return;
    }
    let _ = Reflect::set(slot, &drawn, &JsValue::from_str(text));
    if text.is_empty() {
        slot.set_text_content(None);
        return;
    }
    let picture = DomParser::new()
        .and_then(|parser| parser.parse_from_string(text, SupportedType::ImageSvgXml))
        .ok()
        .and_then(|parsed| parsed.document_element())
        .filter(|root| root.local_name() == "svg")
        .and_then(|root| dom::document().import_node_with_deep(&root, true).ok());
    slot.set_text_content(None);
    if let Some(picture) = picture {
        let _ = slot.append_child(&picture);
    }
}

/// Brings every `data-working` to its working. Closed ones are only shown or hidden; they are filled when opened.
pub(super) fn workings(station: &Element, workings: &[Working]) {
    for slot in dom::all(station, "[data-working]") {
        let Some(id) = slot.get_attribute("data-working") else { continue };
        let working = workings.iter().find(|w| w.id == id && !w.steps.is_empty());
        dom::show(&slot, working.is_some());
        let open = slot.dyn_ref::<HtmlDetailsElement>().is_none_or(HtmlDetailsElement::open);
        if let (Some(working), true) = (working, open) {
            steps(&slot, working);
        }
    }
}

fn steps(slot: &Element, working: &Working) {
    let Some(template) =
        dom::find("template#working-step").and_then(|t| t.dyn_into::<HtmlTemplateElement>().ok())
    else {
        return;
    };
    // A table takes its steps in its body; else they stand one behind the other behind the summary.
    let place = dom::within(slot, "[data-steps],tbody,ol").unwrap_or_else(|| slot.clone());
    let mut there: Vec<Element> = dom::all(&place, "[data-working-step]");
    while there.len() > working.steps.len() {
        if let Some(step) = there.pop() {
            step.remove();
        }
    }
    while there.len() < working.steps.len() {
        let copy = dom::document().import_node_with_deep(&template.content(), true).ok();
        let Some(root) =
            copy.and_then(|c| c.dyn_into::<DocumentFragment>().ok()).and_then(|c| c.first_element_child())
        else {
            return;
        };
        dom::set_attribute(&root, "data-working-step", "");
        let _ = place.append_child(&root);
        there.push(root);
    }
    for (root, step) in there.iter().zip(&working.steps) {
        let parts = [
            ("label", &step.label),
            ("formula", &step.formula),
            ("inputs", &step.inputs),
            ("result", &step.result),
            ("source", &step.source),
        ];
        for (name, text) in parts {
            if let Some(part) = dom::within(root, &format!("[data-part=\"{name}\"]")) {
                dom::set_text(&part, text);
                dom::show(&part, !text.is_empty());
            }
        }
    }
}
