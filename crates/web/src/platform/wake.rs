//! Keeping the screen on while a lane is running.

use std::cell::{Cell, RefCell};

use js_sys::{Promise, Reflect};
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::spawn_local;

use super::wait;

// web-sys hides it behind a flag for the whole build.
#[wasm_bindgen]
extern "C" {
    type WakeLock;
    type Sentinel;
    #[wasm_bindgen(method, catch)]
    fn request(this: &WakeLock, kind: &str) -> Result<Promise, JsValue>;
    #[wasm_bindgen(method, catch)]
    fn release(this: &Sentinel) -> Result<Promise, JsValue>;
    #[wasm_bindgen(method, getter)]
    fn released(this: &Sentinel) -> bool;
}

thread_local! {
    static WANTED: Cell<bool> = const { Cell::new(false) };
    static ASKING: Cell<bool> = const { Cell::new(false) };
    static HELD: RefCell<Option<Sentinel>> = const { RefCell::new(None) };
}

/// Keeps the screen on, or lets it go. The browser drops the lock when the page is hidden, so this is called again
/// when it is shown; asking twice does no harm.
pub(crate) fn keep_on(on: bool) {
    WANTED.set(on);
    if !on {
        if let Some(held) = HELD.take() {
            let _ = held.release();
        }
        return;
    }
    let held = HELD.with_borrow(|h| h.as_ref().is_some_and(|s| !s.released()));
    if held || ASKING.get() {
        return;
    }
    let navigator = crate::dom::window().navigator();
    let Some(lock) = Reflect::get(&navigator, &JsValue::from_str("wakeLock")).ok().filter(JsValue::is_object)
    else {
        return;
    };
    ASKING.set(true);
    spawn_local(async move {
        let sentinel = match lock.unchecked_into::<WakeLock>().request("screen") {
            Ok(promise) => wait(promise).await.ok(),
            Err(_) => None,
        };
        ASKING.set(false);
        let Some(sentinel) = sentinel.map(JsCast::unchecked_into::<Sentinel>) else { return };
        if WANTED.get() {
            HELD.set(Some(sentinel));
        } else {
            let _ = sentinel.release();
        }
    });
}
