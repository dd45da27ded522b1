//! The rest of the module: a first look at an empty book is answered without it, everything else waits for it.
//!
//! `cargo xtask build` divides the finished module at a few functions (`crates/xtask/src/site/split`). Calling one of
//! them before the rest is here would end the instance; [`here`] is asked first.

use std::cell::Cell;

use js_sys::{Function, Promise, Reflect};
use wasm_bindgen::prelude::*;

use super::{reason, wait};
use crate::dom;

thread_local! {
    static HERE: Cell<bool> = const { Cell::new(false) };
}

/// Whether every function can be called.
pub(crate) fn here() -> bool {
    HERE.get()
}

/// Waits until the rest is here. A module that was not divided, as in the tests of this crate, is whole at once.
///
/// # Errors
/// Why it did not come, in the browser's words. It can be asked for again.
pub(crate) async fn come() -> Result<(), String> {
    let load = Reflect::get(&dom::window(), &"sorrelRest".into()).ok();
    if let Some(load) = load.and_then(|load| load.dyn_into::<Function>().ok()) {
        let coming = load.call0(&JsValue::UNDEFINED).and_then(JsCast::dyn_into::<Promise>);
        let come = match coming {
            Ok(coming) => wait(coming).await,
            Err(error) => Err(error),
        };
        come.map_err(|error| reason(&error))?;
    }
    HERE.set(true);
    Ok(())
}
