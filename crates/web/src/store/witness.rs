//! A copy of the running lanes in localStorage: a second witness, and what `start.js` shows when the module is dead.

use js_sys::{Array, JSON, Object as JsObject, Reflect};
use sorrel_core::book::{Book, Key, Kind, Stored};
use wasm_bindgen::prelude::*;

use crate::app::lanes;
use crate::binder::{to_js, tree};
use crate::dom;

/// Where it lies; `start.js` reads `title`, `step` and `end` of every entry.
const KEY: &str = "sorrel-lanes";

/// Writes the running lanes down.
#[inline(never)] // a gate: before the rest is here no lane was made
pub(crate) fn write(book: &Book, now: i64) {
    let list = Array::new();
    for (key, stored) in book.stored().filter(|(key, _)| key.kind == Kind::Lane) {
        let Some((lane, timing)) = book.lane(&key.id).and_then(|l| Some((l, lanes::timing(l, now)?))) else {
            continue;
        };
        let entry = JsObject::new();
        let put = |name: &str, value: JsValue| {
            let _ = Reflect::set(&entry, &JsValue::from_str(name), &value);
        };
        put("title", JsValue::from_str(&lane.title));
        put("step", JsValue::from_str(&timing.step));
        #[expect(clippy::cast_precision_loss, reason = "milliseconds since 1970 are far below 2^53")]
        put("end", JsValue::from_f64(timing.end as f64));
        put("key", JsValue::from_str(&key.to_string()));
        put("stored", to_js(stored));
        list.push(&entry);
    }
    let Ok(Some(storage)) = dom::window().local_storage() else { return };
    if list.length() == 0 {
        let _ = storage.remove_item(KEY);
    } else if let Ok(text) = JSON::stringify(&list) {
        // Full or refused: it is only the second witness.
        let _ = storage.set_item(KEY, &String::from(text));
    }
}

/// Whether the witness saw a lane running.
pub(crate) fn any() -> bool {
    text().is_some()
}

fn text() -> Option<String> {
    dom::window().local_storage().ok().flatten().and_then(|s| s.get_item(KEY).ok().flatten())
}

/// The lanes the witness saw running.
pub(crate) fn read() -> Vec<(Key, Stored)> {
    text().map_or_else(Vec::new, |text| parsed(&text))
}

#[inline(never)] // a gate: mostly nothing was running
fn parsed(text: &str) -> Vec<(Key, Stored)> {
    let Ok(list) = JSON::parse(text) else { return Vec::new() };
    let Ok(list) = list.dyn_into::<Array>() else { return Vec::new() };
    let entry = |e: JsValue| {
        let key = Reflect::get(&e, &"key".into()).ok()?.as_string()?;
        let stored = Reflect::get(&e, &"stored".into()).ok()?;
        Some((Key::parse(&key).filter(|k| k.kind == Kind::Lane)?, Stored::from_tree(tree(stored)).ok()?))
    };
    list.iter().filter_map(entry).collect()
}
