//! IndexedDB's requests as promises, and its errors as [`Trouble`].

use js_sys::{Function, Promise, Reflect};
use wasm_bindgen::prelude::*;
use web_sys::{Event, IdbDatabase, IdbRequest, IdbTransaction};

use super::Trouble;
use crate::platform::{reason, wait};

// web-sys hides the durability of a transaction behind a flag for the whole build.
#[wasm_bindgen]
extern "C" {
    type Durable;
    #[wasm_bindgen(method, catch)]
    fn transaction(
        this: &Durable,
        stores: &JsValue,
        mode: &str,
        options: &JsValue,
    ) -> Result<IdbTransaction, JsValue>;
}

/// A read-write transaction that is complete only when it lies on the disk.
pub(super) fn strict(db: &IdbDatabase, stores: &JsValue) -> Result<IdbTransaction, Trouble> {
    let options = js_sys::Object::new();
    let _ = Reflect::set(&options, &"durability".into(), &"strict".into());
    db.unchecked_ref::<Durable>().transaction(stores, "readwrite", &options).map_err(|e| trouble(&e))
}

/// What an exception or a failed request means for the book.
pub(super) fn trouble(error: &JsValue) -> Trouble {
    let name = Reflect::get(error, &"name".into()).ok().and_then(|n| n.as_string());
    match name.as_deref() {
        Some("QuotaExceededError") => Trouble::Full,
        Some("VersionError") => Trouble::Newer,
        Some(name) => Trouble::Refused(format!("{name}: {}", reason(error))),
        None => Trouble::Refused(reason(error)),
    }
}

/// Calls back once; what is never called is given back by the collector.
pub(super) fn once(call: impl FnOnce(Event) + 'static) -> Function {
    Closure::once_into_js(call).unchecked_into()
}

/// The result of a request.
pub(super) async fn result(request: &IdbRequest) -> Result<JsValue, Trouble> {
    let promise = Promise::new(&mut |resolve, reject| {
        let done = request.clone();
        request.set_onsuccess(Some(&once(move |_| {
            let _ = resolve.call1(&JsValue::NULL, &done.result().unwrap_or(JsValue::UNDEFINED));
        })));
        let failed = request.clone();
        request.set_onerror(Some(&once(move |event| {
            // Else it would also be reported as an error of the page.
            event.prevent_default();
            let _ = reject.call1(&JsValue::NULL, &error_of(&failed));
        })));
    });
    wait(promise).await.map_err(|e| trouble(&e))
}

/// The error of a request, as far as there is one.
pub(super) fn error_of(request: &JsValue) -> JsValue {
    Reflect::get(request, &"error".into()).unwrap_or(JsValue::UNDEFINED)
}
