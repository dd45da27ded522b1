//! What pointer work of the stations shares: it fills named fields, and says so as typing does.

use wasm_bindgen::prelude::*;
use web_sys::{Element, Event, EventInit, HtmlInputElement, HtmlTextAreaElement};

use crate::dom;

/// A field that is typed in: of one line, or of words that grow.
pub(super) enum Field {
    /// Of one line.
    Line(HtmlInputElement),
    /// Of words that grow.
    Words(HtmlTextAreaElement),
}

impl Field {
    /// What stands in it.
    pub(super) fn value(&self) -> String {
        match self {
            Self::Line(field) => field.value(),
            Self::Words(field) => field.value(),
        }
    }

    /// Writes into it; nothing hears of that before [`typed`].
    pub(super) fn set_value(&self, value: &str) {
        match self {
            Self::Line(field) => field.set_value(value),
            Self::Words(field) => field.set_value(value),
        }
    }
}

/// The element of a field of a section.
fn element(section: &Element, name: &str) -> Option<Element> {
    dom::within(section, &format!("input[name=\"{name}\"], textarea[name=\"{name}\"]"))
}

/// A field of a section.
pub(super) fn input(section: &Element, name: &str) -> Option<Field> {
    let words = |other: Element| Some(Field::Words(other.dyn_into().ok()?));
    element(section, name)?.dyn_into().map_or_else(words, |line| Some(Field::Line(line)))
}

/// Says that a field was typed in; it is heard at the document.
pub(super) fn typed(section: &Element, name: &str) {
    let bubbling = EventInit::new();
    bubbling.set_bubbles(true);
    if let (Some(field), Ok(event)) =
        (element(section, name), Event::new_with_event_init_dict("input", &bubbling))
    {
        let _ = field.dispatch_event(&event);
    }
}
