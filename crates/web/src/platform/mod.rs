//! What the device does for the page, one thing a file. Nothing here knows the book's meaning.

pub(crate) mod clipboard;
pub(crate) mod clock;
pub(crate) mod look;
pub(crate) mod pick;
pub(crate) mod quota;
pub(crate) mod random;
pub(crate) mod rest;
pub(crate) mod save;
pub(crate) mod sound;
pub(crate) mod tabs;
pub(crate) mod update;
pub(crate) mod wake;
pub(crate) mod worker;

use js_sys::Promise;
use wasm_bindgen::JsValue;
use wasm_bindgen_futures::JsFuture;

/// Waits for a promise.
///
/// # Errors
/// What the promise was rejected with.
pub(crate) async fn wait(promise: Promise) -> Result<JsValue, JsValue> {
    JsFuture::from(promise).await
}

/// What an exception of the browser says of itself.
pub(crate) fn reason(error: &JsValue) -> String {
    error
        .dyn_ref::<js_sys::Error>()
        .map(|e| String::from(e.message()))
        .or_else(|| error.as_string())
        .unwrap_or_else(|| "the browser gives no reason".into())
}

use wasm_bindgen::JsCast;
