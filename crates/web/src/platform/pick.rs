//! Letting the printer choose a file.

use js_sys::Uint8Array;
use sorrel_core::exchange::text::decode;
use wasm_bindgen::prelude::*;
use web_sys::{File, HtmlInputElement};

use super::{reason, wait};
use crate::dom;

/// Opens the browser's file dialog; must be called inside a tap. Nothing happens if none is chosen.
pub(crate) fn file(accept: &str, chosen: impl Fn(File) + 'static) {
    let Ok(input) = dom::document().create_element("input") else { return };
    let Ok(input) = input.dyn_into::<HtmlInputElement>() else { return };
    input.set_type("file");
    input.set_accept(accept);
    // Safari opens the dialog only for an input that is part of the page.
    input.set_hidden(true);
    dom::set_attribute(&input, "data-picker", "");
    for old in dom::everywhere("input[data-picker]") {
        old.remove();
    }
    if let Some(body) = dom::document().body() {
        let _ = body.append_child(&input);
    }
    let picker = input.clone();
    dom::listen(&input, "change", move |_| {
        if let Some(file) = picker.files().and_then(|files| files.get(0)) {
            picker.remove();
            chosen(file);
        }
    });
    input.click();
}

/// The text of a file that an instrument or a spreadsheet wrote, whatever its encoding.
///
/// # Errors
/// As [`text`].
pub(crate) async fn foreign_text(file: &File) -> Result<String, String> {
    let buffer = wait(file.array_buffer()).await.map_err(|e| reason(&e))?;
    Ok(decode(&Uint8Array::new(&buffer).to_vec()))
}

/// The text of a file in UTF-8.
///
/// # Errors
/// Why it could not be read: it was moved or changed since it was chosen.
pub(crate) async fn text(file: &File) -> Result<String, String> {
    wait(file.text()).await.map(|t| t.as_string().unwrap_or_default()).map_err(|e| reason(&e))
}
