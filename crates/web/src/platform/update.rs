//! New builds and the copy of the site on this device; `start.js` does the work.

use js_sys::{Function, Reflect};
use wasm_bindgen::prelude::*;

/// `window.sorrelUpdate`, if `start.js` put it there.
fn door() -> Option<JsValue> {
    let door = Reflect::get(&crate::dom::window(), &JsValue::from_str("sorrelUpdate")).ok()?;
    door.is_object().then_some(door)
}

fn call(name: &str, callback: &JsValue) {
    let Some(door) = door() else { return };
    if let Ok(function) = Reflect::get(&door, &JsValue::from_str(name))
        && let Ok(function) = function.dyn_into::<Function>()
    {
        let _ = function.call1(&door, callback);
    }
}

/// Asks to be told of a newer build, and whether the site lies on this device: an empty text, or why not.
pub(crate) fn listen(newer: impl Fn() + 'static, offline: impl Fn(String) + 'static) {
    call("ready", &Closure::<dyn Fn(JsValue)>::new(move |_| newer()).into_js_value());
    let offline = move |fault: JsValue| offline(fault.as_string().unwrap_or_default());
    call("offline", &Closure::<dyn Fn(JsValue)>::new(offline).into_js_value());
}

/// Moves to the newer build; the page is loaded again.
pub(crate) fn take() {
    call("use", &JsValue::UNDEFINED);
}

/// An address from `window.sorrelSite`; `None` where `start.js` did not run.
pub(crate) fn site(name: &str) -> Option<String> {
    let site = Reflect::get(&crate::dom::window(), &JsValue::from_str("sorrelSite")).ok()?;
    Reflect::get(&site, &JsValue::from_str(name)).ok()?.as_string()
}
