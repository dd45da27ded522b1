//! `window.sorrelTest`: what page tests start that no button starts. Only in a site built for tests.

use js_sys::{Object, Reflect};
use wasm_bindgen::prelude::*;

use crate::app::{Msg, dispatch};

/// Puts `sorrelTest.saveTestFile(bytes)` on the window: a file of that size leaves through the door films leave through,
/// with its progress bar and its cancel button.
pub(crate) fn install() {
    let object = Object::new();
    let save = Closure::<dyn Fn(f64)>::new(|bytes| dispatch(Msg::TestFile(bytes))).into_js_value();
    let _ = Reflect::set(&object, &JsValue::from_str("saveTestFile"), &save);
    let _ = Reflect::set(&crate::dom::window(), &JsValue::from_str("sorrelTest"), &object);
}
