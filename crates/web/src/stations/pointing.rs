//! What pointer work of the stations shares: it fills named fields, and says so as typing does.

use wasm_bindgen::prelude::*;
use web_sys::{Element, Event, EventInit, HtmlInputElement};

use crate::dom;

/// A field of a section.
pub(super) fn input(section: &Element, name: &str) -> Option<HtmlInputElement> {
    dom::within(section, &format!("input[name=\"{name}\"]"))?.dyn_into().ok()
}

/// Says that a field was typed in; it is heard at the document.
pub(super) fn typed(section: &Element, name: &str) {
    let bubbling = EventInit::new();
    bubbling.set_bubbles(true);
    if let (Some(field), Ok(event)) =
        (input(section, name), Event::new_with_event_init_dict("input", &bubbling))
    {
        let _ = field.dispatch_event(&event);
    }
}
