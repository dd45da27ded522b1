//! Buttons that act only after being held: stopping and discarding must not happen by a drop of water.

use std::cell::Cell;

use wasm_bindgen::prelude::*;
use web_sys::{Element, Event, KeyboardEvent};

use crate::{dom, events};

/// Milliseconds a button is held.
const LONG: i32 = 800;

thread_local! {
    static TIMER: Cell<Option<i32>> = const { Cell::new(None) };
}

/// Starts hearing.
pub(crate) fn listen() {
    let document = dom::document();
    dom::listen(&document, "pointerdown", |event| begin(&event));
    for end in ["pointerup", "pointercancel", "pointerout"] {
        dom::listen(&document, end, |event| {
            if button(&event).is_some() {
                stop();
            }
        });
    }
    // A long touch would open the system's menu over the button.
    dom::listen(&document, "contextmenu", |event| {
        if button(&event).is_some() {
            event.prevent_default();
        }
    });
    dom::listen(&document, "keydown", |event| {
        if button(&event).is_some() && presses(&event) {
            event.prevent_default();
            if !event.unchecked_ref::<KeyboardEvent>().repeat() {
                begin(&event);
            }
        }
    });
    dom::listen(&document, "keyup", |event| {
        if presses(&event) {
            stop();
        }
    });
}

fn presses(event: &Event) -> bool {
    event.dyn_ref::<KeyboardEvent>().is_some_and(|k| matches!(k.key().as_str(), "Enter" | " "))
}

fn button(event: &Event) -> Option<Element> {
    dom::around(event, "button[data-hold]")
}

fn begin(event: &Event) {
    let (Some(button), Some(station)) = (button(event), events::station(event)) else { return };
    stop();
    dom::set_attribute(&button, "data-holding", "");
    let held = move || {
        stop();
        events::press(&button, station);
    };
    TIMER.set(Some(dom::after(LONG, held)));
}

fn stop() {
    if let Some(timer) = TIMER.take() {
        dom::forget(timer);
    }
    for button in dom::everywhere("[data-holding]") {
        dom::remove_attribute(&button, "data-holding");
    }
}
