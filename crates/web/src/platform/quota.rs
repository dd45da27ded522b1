//! Whether the browser promised to keep the book. (How much room there is, the worker asks before it writes.)

use js_sys::Reflect;
use wasm_bindgen::prelude::*;
use web_sys::StorageManager;

use super::wait;

/// `None` where the browser has no such thing (WebKitGTK, old ones).
fn manager() -> Option<StorageManager> {
    let navigator = crate::dom::window().navigator();
    Reflect::get(&navigator, &JsValue::from_str("storage")).ok()?.dyn_into().ok()
}

/// Whether the book is safe from being cleared for room; `None` if the browser does not say.
pub(crate) async fn kept() -> Option<bool> {
    wait(manager()?.persisted().ok()?).await.ok()?.as_bool()
}

/// Asks for that. May stay open until the printer answers the browser's own question, so it is never awaited on
/// the way to anything else.
pub(crate) async fn ask_to_keep() -> Option<bool> {
    wait(manager()?.persist().ok()?).await.ok()?.as_bool()
}
