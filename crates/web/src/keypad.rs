//! The page's own keypad for the dark looks: the system's keyboard is white.

use std::cell::RefCell;

use wasm_bindgen::prelude::*;
use web_sys::{Element, Event, EventInit, HtmlDialogElement, HtmlInputElement};

use crate::dom;
use crate::platform::look;

thread_local! {
    static FIELD: RefCell<Option<HtmlInputElement>> = const { RefCell::new(None) };
}

fn dialog() -> Option<HtmlDialogElement> {
    dom::find("dialog#keypad")?.dyn_into().ok()
}

/// Starts hearing.
pub(crate) fn listen() {
    let document = dom::document();
    // Before the focus arrives, so that the system's keyboard never begins to rise.
    dom::listen_first(&document, "pointerdown", |event| {
        if let Some(field) = field(&event) {
            dom::set_attribute(&field, "inputmode", if look::dark() { "none" } else { "decimal" });
        }
    });
    dom::listen(&document, "click", |event| match dom::around(&event, "[data-key]") {
        Some(button) => key(&button.get_attribute("data-key").unwrap_or_default()),
        None => {
            if let Some(field) = field(&event)
                && look::dark()
            {
                open(field);
            }
        }
    });
}

fn field(event: &Event) -> Option<HtmlInputElement> {
    dom::around(event, "input[data-keypad]")?.dyn_into().ok()
}

fn open(field: HtmlInputElement) {
    let Some(dialog) = dialog() else { return };
    if let Some(place) = dom::within(&dialog, "[data-text]") {
        dom::set_text(&place, &label(&field));
    }
    show(&dialog, &field.value());
    FIELD.set(Some(field));
    if !dialog.open() {
        // Fails only where dialogs are missing; the system's keyboard then serves.
        let _ = dialog.show_modal();
    }
}

/// What the field is called.
fn label(field: &Element) -> String {
    let named = dom::find(&format!("label[for=\"{}\"]", field.id()));
    named.or_else(|| field.closest("label").ok().flatten()).and_then(|l| l.text_content()).unwrap_or_default()
}

fn show(dialog: &Element, text: &str) {
    if let Some(place) = dom::within(dialog, "output") {
        dom::set_text(&place, text);
    }
}

fn key(key: &str) {
    let (Some(dialog), Some(field)) = (dialog(), FIELD.with_borrow(Clone::clone)) else { return };
    let mut text = field.value();
    match key {
        "done" => {
            FIELD.set(None);
            dialog.close();
            let _ = field.focus();
            return;
        }
        "back" => {
            text.pop();
        }
        "clear" => text.clear(),
        "." => text.push_str(&mark()),
        other => text.push_str(other),
    }
    field.set_value(&text);
    show(&dialog, &text);
    let bubbles = EventInit::new();
    bubbles.set_bubbles(true);
    if let Ok(event) = Event::new_with_event_init_dict("input", &bubbles) {
        let _ = field.dispatch_event(&event);
    }
}

/// The printer's decimal mark, as the keypad shows it.
fn mark() -> String {
    let shown = dom::find("[data-mark]").and_then(|m| m.text_content());
    shown.filter(|m| !m.is_empty()).unwrap_or_else(|| ".".into())
}
