//! Ask -> controls, View -> outputs.

use sorrel_core::tree::Tree;
use sorrel_core::working::Working;
use wasm_bindgen::prelude::*;
use web_sys::{DocumentFragment, DomParser, Element, HtmlDetailsElement, HtmlTemplateElement, SupportedType};

use super::places::{Control, Kind, Place, Places};
use crate::dom;

/// Brings every control to its field of the ask. A control that already holds it is left alone.
pub(super) fn controls(controls: &[Control], ask: &Tree) {
    for control in controls {
        match (&control.kind, ask.at(&control.name)) {
            (Kind::Tick(input), Some(Tree::Bool(on))) if input.checked() != *on => input.set_checked(*on),
            (Kind::Radio(input), Some(Tree::Text(Some(text)))) => {
                let chosen = input.value() == *text;
                if input.checked() != chosen {
                    input.set_checked(chosen);
                }
            }
            (Kind::Field(input), Some(Tree::Text(Some(text)))) if input.value() != *text => {
                input.set_value(text);
            }
            (Kind::Select(select), Some(Tree::Text(Some(text)))) if select.value() != *text => {
                select.set_value(text);
            }
            (Kind::Area(area), Some(Tree::Text(Some(text)))) if area.value() != *text => area.set_value(text),
            _ => {}
        }
    }
}

/// Brings outputs, shown parts and charts to their fields of the view.
pub(super) fn outputs(places: &mut Places, view: &Tree) {
    for output in &mut places.outputs {
        // A line must not end between a number and its percent sign.
        let text = view.at(&output.name).map(Tree::shown).unwrap_or_default().replace(" %", "\u{a0}%");
        if output.is_new(&text) {
            let element = &output.element;
            dom::set_text(element, &text);
            // What is hidden while its output is empty goes by this: WebKit does not notice that an :empty inside of
            // :has() no longer holds, and would leave the answer hidden.
            if text.is_empty() == element.has_attribute("data-filled") {
                let _ = element.toggle_attribute("data-filled");
            }
        }
    }
    for part in &places.parts {
        dom::show(&part.element, view.at(&part.name).is_some_and(Tree::says_something));
    }
    for chart in &mut places.charts {
        let text = view.at(&chart.name).map(Tree::shown).unwrap_or_default();
        if chart.is_new(&text) {
            svg(&chart.element, &text);
        }
    }
}

/// Puts an SVG that core wrote into its slot.
fn svg(slot: &Element, text: &str) {
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
pub(super) fn workings(places: &Places, workings: &[Working]) {
    for Place { name, element: slot, .. } in &places.workings {
        let working = workings.iter().find(|w| w.id == *name && !w.steps.is_empty());
        dom::show(slot, working.is_some());
        let open = slot.dyn_ref::<HtmlDetailsElement>().is_none_or(HtmlDetailsElement::open);
        if let (Some(working), true) = (working, open) {
            steps(slot, working);
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
