//! The one door through which files leave: films, books, texts, test files.
//!
//! A film lies in part files of the origin's private file system, written by the worker; a Blob over them costs no
//! memory. On an installed iOS page a download link opens a dead end, so there the file waits behind a button that
//! calls `navigator.share`.

use js_sys::{Array, Function, Object, Promise, Reflect, Uint8Array};
use sorrel_imaging::job::{PARTS_FOLDER, Saved};
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::spawn_local;
use web_sys::{
    Blob, BlobPropertyBag, FileSystemDirectoryHandle, FileSystemFileHandle, HtmlAnchorElement, Url,
};

use super::{reason, wait};
use crate::dom;

/// How a file is handed over.
pub(crate) enum Handed {
    /// The browser's download has begun.
    Download,
    /// The file waits: a button has to be pressed, see [`share`].
    Waits(JsValue),
}

/// Whether the page runs installed on iOS or iPadOS, where links do not save.
fn shares() -> bool {
    let navigator = dom::window().navigator();
    Reflect::get(&navigator, &JsValue::from_str("standalone")).is_ok_and(|s| s.is_truthy())
}

/// The Blob over what the worker wrote.
///
/// # Errors
/// What is missing: a part file, or the private file system itself.
pub(crate) async fn assemble(saved: &Saved, blob: Option<Blob>) -> Result<Blob, String> {
    if let Some(blob) = blob.filter(|_| saved.parts.is_empty()) {
        return Ok(blob);
    }
    let root = wait(dom::window().navigator().storage().get_directory()).await.map_err(|e| reason(&e))?;
    let root: FileSystemDirectoryHandle = root.unchecked_into();
    let folder = wait(root.get_directory_handle(PARTS_FOLDER)).await.map_err(|e| reason(&e))?;
    let folder: FileSystemDirectoryHandle = folder.unchecked_into();
    let files = Array::new();
    for part in &saved.parts {
        let handle = wait(folder.get_file_handle(&part.name)).await.map_err(|e| reason(&e))?;
        let file = wait(handle.unchecked_into::<FileSystemFileHandle>().get_file()).await;
        files.push(&file.map_err(|e| reason(&e))?);
    }
    blob_of(&files, &saved.media_type)
}

fn blob_of(parts: &Array, media_type: &str) -> Result<Blob, String> {
    let bag = BlobPropertyBag::new();
    bag.set_type(media_type);
    Blob::new_with_blob_sequence_and_options(parts, &bag).map_err(|e| reason(&e))
}

/// Bytes as a Blob.
///
/// # Errors
/// The browser refuses, e.g. for want of memory.
pub(crate) fn bytes(bytes: &[u8], media_type: &str) -> Result<Blob, String> {
    blob_of(&Array::of1(&Uint8Array::from(bytes)), media_type)
}

/// A text as a Blob.
///
/// # Errors
/// What the browser says against it.
pub(crate) fn text(text: &str, media_type: &str) -> Result<Blob, String> {
    blob_of(&Array::of1(&JsValue::from_str(text)), media_type)
}

/// Hands a file over.
///
/// # Errors
/// What the browser says against it.
pub(crate) fn hand_over(blob: &Blob, name: &str) -> Result<Handed, String> {
    if shares() {
        return file_of(blob, name).map(Handed::Waits).map_err(|e| reason(&e));
    }
    let url = Url::create_object_url_with_blob(blob).map_err(|e| reason(&e))?;
    let link = dom::document().create_element("a").map_err(|e| reason(&e))?;
    let link: HtmlAnchorElement = link.unchecked_into();
    link.set_href(&url);
    link.set_download(name);
    link.set_hidden(true);
    if let Some(body) = dom::document().body() {
        let _ = body.append_child(&link);
    }
    link.click();
    link.remove();
    // A download may still be read long after the tap; the address is only given back much later.
    dom::after(600_000, move || {
        let _ = Url::revoke_object_url(&url);
    });
    Ok(Handed::Download)
}

fn file_of(blob: &Blob, name: &str) -> Result<JsValue, JsValue> {
    let file: Function = Reflect::get(&dom::window(), &JsValue::from_str("File"))?.dyn_into()?;
    let bag = Object::new();
    Reflect::set(&bag, &JsValue::from_str("type"), &JsValue::from_str(&blob.type_()))?;
    Reflect::construct(&file, &Array::of3(&Array::of1(blob), &JsValue::from_str(name), &bag))
}

/// Shares a file that waits; must be called inside a tap.
pub(crate) fn share(file: &JsValue, failed: impl Fn(String) + 'static) {
    let navigator = dom::window().navigator();
    let data = Object::new();
    let _ = Reflect::set(&data, &JsValue::from_str("files"), &Array::of1(file));
    let call = Reflect::get(&navigator, &JsValue::from_str("share"))
        .and_then(JsCast::dyn_into::<Function>)
        .and_then(|f| f.call1(&navigator, &data));
    match call.map(|p| p.dyn_into::<Promise>()) {
        Ok(Ok(promise)) => spawn_local(async move {
            if let Err(e) = wait(promise).await {
                failed(reason(&e));
            }
        }),
        _ => failed("this browser cannot share files".into()),
    }
}
