//! Copying a text.

use super::{reason, wait};

/// Copies a text.
///
/// # Errors
/// Why the browser refused: no permission, or no secure address.
pub(crate) async fn copy(text: String) -> Result<(), String> {
    let navigator = crate::dom::window().navigator();
    if !js_sys::Reflect::has(&navigator, &"clipboard".into()).unwrap_or(false) {
        return Err("this address may not use the clipboard".into());
    }
    wait(navigator.clipboard().write_text(&text)).await.map(|_| ()).map_err(|e| reason(&e))
}
