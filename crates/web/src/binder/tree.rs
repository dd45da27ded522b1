//! Plain objects and the dotted names that lead through them: `parts.2.volume`.

use js_sys::{Array, Object, Reflect};
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_wasm_bindgen::Serializer;
use sorrel_core::book::Tree;
use wasm_bindgen::prelude::*;

/// Data as plain objects, arrays, texts and numbers.
pub(crate) fn to_js<T: Serialize + ?Sized>(data: &T) -> JsValue {
    // Plain data cannot fail here; if it ever does, the page shows nothing rather than something wrong.
    data.serialize(&Serializer::json_compatible()).unwrap_or(JsValue::NULL)
}

/// Data from plain objects. Missing fields take their defaults where the type says so.
///
/// The objects become a tree first, and the tree becomes the data, as when a book file is read: with one way of reading
/// instead of two, every type costs the module half.
///
/// # Errors
/// When the objects are not of that shape.
pub(crate) fn from_js<T: DeserializeOwned>(value: JsValue) -> Result<T, String> {
    let tree: Tree = serde_wasm_bindgen::from_value(value).map_err(|e| e.to_string())?;
    tree.into_data()
}

/// One step into an object or array.
fn step(place: &JsValue, part: &str) -> JsValue {
    if !place.is_object() {
        return JsValue::UNDEFINED;
    }
    Reflect::get(place, &JsValue::from_str(part)).unwrap_or(JsValue::UNDEFINED)
}

/// What lies under a dotted name; undefined if nothing does.
pub(crate) fn get(root: &JsValue, name: &str) -> JsValue {
    name.split('.').fold(root.clone(), |place, part| step(&place, part))
}

/// Puts a value under a dotted name that already leads somewhere, or whose last part is new in an object.
///
/// Rows are made and removed by buttons only: a name that leads into a row that is not there changes nothing.
pub(crate) fn set(root: &JsValue, name: &str, value: &JsValue) {
    let (place, last) = match name.rsplit_once('.') {
        Some((path, last)) => (get(root, path), last),
        None => (root.clone(), name),
    };
    let fits = if place.is_instance_of::<Array>() {
        last.parse::<u32>().is_ok_and(|i| i < Array::from(&place).length())
    } else {
        place.is_instance_of::<Object>()
    };
    if fits {
        // Fails only for frozen objects; ours are fresh.
        let _ = Reflect::set(&place, &JsValue::from_str(last), value);
    }
}

/// How many rows lie under a dotted name; `None` if there is no list.
pub(crate) fn rows(root: &JsValue, name: &str) -> Option<u32> {
    get(root, name).dyn_into::<Array>().ok().map(|list| list.length())
}

/// Text as an output shows it: texts and numbers as they are, everything else as nothing.
pub(crate) fn text(value: &JsValue) -> String {
    match value.as_string() {
        Some(text) => text,
        None => value.as_f64().map_or_else(String::new, |x| x.to_string()),
    }
}
