//! Trees of plain data as the browser's own objects, for the store and the worker.

use serde::Serialize;
use serde_wasm_bindgen::Serializer;
use sorrel_core::tree::{FromTree, Mismatch, ToTree, Tree, from_tree};
use wasm_bindgen::prelude::*;

/// Data as plain objects, arrays, texts and numbers.
pub(crate) fn to_js(data: &dyn ToTree) -> JsValue {
    // Plain data cannot fail here; if it ever does, the page shows nothing rather than something wrong.
    data.to_tree().serialize(&Serializer::json_compatible()).unwrap_or(JsValue::NULL)
}

/// Plain objects as a tree.
pub(crate) fn tree(value: JsValue) -> Tree {
    serde_wasm_bindgen::from_value(value).unwrap_or(Tree::Null)
}

/// Data from plain objects. Missing fields take their defaults.
///
/// # Errors
/// When the objects are not of that shape.
pub(crate) fn from_js<T: FromTree + Default>(value: JsValue) -> Result<T, Mismatch> {
    from_tree(tree(value))
}
