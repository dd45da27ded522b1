//! Buttons that act only after being held: stopping and discarding must not happen by a drop of water.

use std::cell::RefCell;

use wasm_bindgen::prelude::*;
use web_sys::{Element, Event, KeyboardEvent, PointerEvent};

use crate::{dom, events};

/// Milliseconds a button is held.
const LONG: i32 = 800;

/// What is being held.
struct Held {
    button: Element,
    station: usize,
    /// When it began, in milliseconds of the event's own clock.
    since: f64,
    timer: i32,
}

thread_local! {
    static HELD: RefCell<Option<Held>> = const { RefCell::new(None) };
}

/// Starts hearing.
pub(crate) fn listen() {
    let document = dom::document();
    dom::listen(&document, "pointerdown", |event| {
        begin(&event);
        // Whatever moves on the page meanwhile, the finger is still on this button.
        if let (Some(button), Some(pointer)) = (button(&event), event.dyn_ref::<PointerEvent>()) {
            // Fails only for a pointer that is gone already; its end follows.
            let _ = button.set_pointer_capture(pointer.pointer_id());
        }
    });
    dom::listen(&document, "pointerup", |event| end(&event));
    for end in ["pointercancel", "pointerout"] {
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
            end(&event);
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
    HELD.set(Some(Held { button, station, since: event.time_stamp(), timer: dom::after(LONG, act) }));
}

/// Let go. A page that was busy hears of it before its timer rings; what counts is how long the finger was down.
fn end(event: &Event) {
    let since = HELD.with_borrow(|held| held.as_ref().map(|held| held.since));
    if since.is_some_and(|since| event.time_stamp() - since >= f64::from(LONG)) {
        act();
    } else {
        stop();
    }
}

fn act() {
    if let Some(Held { button, station, .. }) = stop() {
        events::press(&button, station);
    }
}

fn stop() -> Option<Held> {
    let held = HELD.take()?;
    dom::forget(held.timer);
    dom::remove_attribute(&held.button, "data-holding");
    Some(held)
}
