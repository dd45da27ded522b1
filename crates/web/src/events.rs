//! The page's events, heard once for the whole document, as messages.

use sorrel_core::station::Effect;
use wasm_bindgen::prelude::*;
use web_sys::{
    Event, HtmlButtonElement, HtmlInputElement, HtmlSelectElement, KeyboardEvent, VisibilityState,
};

use crate::app::{Msg, dispatch};
use crate::{dom, hold, keypad, platform, stations};

/// Milliseconds between two looks at the clock.
const TICK: i32 = 250;

/// Starts hearing.
pub(crate) fn listen() {
    let document = dom::document();
    dom::listen(&document, "input", |event| input(&event));
    dom::listen(&document, "change", |event| change(&event));
    dom::listen(&document, "click", |event| click(&event));
    dom::listen(&document, "keydown", |event| key(&event));
    dom::listen(&document, "submit", |event| event.prevent_default());
    // A working that is opened is filled then; toggle does not bubble.
    dom::listen_first(&document, "toggle", |event| {
        if dom::target(&event).is_some_and(|e| e.has_attribute("data-working")) {
            dispatch(Msg::Refresh);
        }
    });
    dom::listen(&document, "visibilitychange", |_| {
        dispatch(Msg::Visible(dom::document().visibility_state() == VisibilityState::Visible));
    });
    let window = dom::window();
    dom::listen(&window, "pagehide", |_| dispatch(Msg::Visible(false)));
    dom::listen(&window, "hashchange", |_| dispatch(Msg::Hash));
    let tick = Closure::<dyn Fn()>::new(|| dispatch(Msg::Tick)).into_js_value();
    let _ = window.set_interval_with_callback_and_timeout_and_arguments_0(tick.unchecked_ref(), TICK);
    hold::listen();
    keypad::listen();
    platform::update::listen(|| dispatch(Msg::Update), |fault| dispatch(Msg::Offline(fault)));
}

/// The station an event happened at.
pub(crate) fn station(event: &Event) -> Option<usize> {
    stations::place(&dom::around(event, "[data-station]")?.get_attribute("data-station")?)
}

fn input(event: &Event) {
    let named = dom::target(event).is_some_and(|e| e.has_attribute("name"));
    if let (true, Some(station)) = (named, station(event)) {
        dispatch(Msg::Input(station));
    }
}

/// The switches of the page's head: they belong to no station.
fn change(event: &Event) {
    let Some(control) = dom::target(event) else { return };
    let word = match control.dyn_ref::<HtmlInputElement>() {
        Some(input) => input.value(),
        None => control.dyn_ref::<HtmlSelectElement>().map(HtmlSelectElement::value).unwrap_or_default(),
    };
    if dom::around(event, "[data-look]").is_some() {
        dispatch(Msg::Look(word));
    } else if let Some(place) = dom::around(event, "[data-units]") {
        let family = control.get_attribute("name").or_else(|| place.get_attribute("data-units"));
        dispatch(Msg::Units(family.unwrap_or_default(), word));
    }
}

fn click(event: &Event) {
    let Some(button) = dom::around(event, "button") else { return };
    let attribute = |name: &str| button.get_attribute(name).unwrap_or_default();
    if button.has_attribute("data-hold") || button.has_attribute("data-key") {
        return;
    }
    if button.has_attribute("data-look") {
        dispatch(Msg::Look(attribute("data-look")));
    } else if button.has_attribute("data-undo") || dom::around(event, "[data-undo]").is_some() {
        dispatch(Msg::Undo);
    } else if dom::around(event, "[data-job]").is_some() {
        dispatch(Msg::CancelJob);
    } else if let Some(station) = station(event) {
        press(&button, station);
    } else {
        match attribute("name").as_str() {
            "close-demo" => dispatch(Msg::Do(Effect::CloseDemo)),
            "use-update" => dispatch(Msg::UseUpdate),
            "export" => {
                if let Some(station) = stations::place("book") {
                    press(&button, station);
                }
            }
            _ => {}
        }
    }
}

/// A button of a station.
pub(crate) fn press(button: &web_sys::Element, station: usize) {
    let Some(verb) = button.get_attribute("name").filter(|n| !n.is_empty()) else { return };
    // Sound has to be woken inside the tap; any tap will do.
    platform::sound::unlock();
    let place = button.dyn_ref::<HtmlButtonElement>().map(HtmlButtonElement::value).unwrap_or_default();
    dispatch(Msg::Press { station, verb, place });
}

/// Ctrl or Cmd and Z takes the last change back, outside of fields: inside, it is the browser's own. Enter makes no second
/// line where a field holds one.
fn key(event: &Event) {
    let Some(key) = event.dyn_ref::<KeyboardEvent>() else { return };
    if key.key() == "Enter" && dom::around(event, "textarea[rows='1']").is_some() {
        event.prevent_default();
    }
    let field = dom::around(event, "input:not([type=checkbox]):not([type=radio]),textarea,select").is_some();
    if !field && (key.ctrl_key() || key.meta_key()) && !key.shift_key() && key.key().eq_ignore_ascii_case("z")
    {
        event.prevent_default();
        dispatch(Msg::Undo);
    }
}
