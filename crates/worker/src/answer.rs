//! What goes back to the page.

use js_sys::{Array, Date, Object, Reflect, Uint8Array};
use serde::Serialize;
use sorrel_imaging::Fault;
use std::ops::ControlFlow;
use wasm_bindgen::prelude::*;
use web_sys::{Blob, DedicatedWorkerGlobalScope};

/// Milliseconds between two words about progress.
const PROGRESS_MS: f64 = 100.0;

/// The worker itself.
pub(crate) fn scope() -> DedicatedWorkerGlobalScope {
    js_sys::global().unchecked_into()
}

fn message(kind: &str, id: u32) -> Object {
    let object = Object::new();
    set(&object, "type", &kind.into());
    set(&object, "id", &id.into());
    object
}

fn set(object: &Object, name: &str, value: &JsValue) {
    // Setting a field of a plain object does not fail.
    let _ = Reflect::set(object, &name.into(), value);
}

fn post(object: &Object) {
    // The page may be gone; then nobody misses the answer.
    let _ = scope().post_message(object);
}

/// A job has failed.
pub(crate) fn fault(id: u32, fault: &Fault) {
    let object = message("fault", id);
    set(&object, "culprit", &fault.culprit().into());
    set(&object, "text", &fault.to_string().into());
    set(&object, "mend", &fault.mend().into());
    post(&object);
}

/// A part file is complete.
pub(crate) fn part(id: u32, name: &str, bytes: f64) {
    let object = message("part", id);
    set(&object, "name", &name.into());
    set(&object, "bytes", &bytes.into());
    post(&object);
}

/// What stands beside the result of a finished job.
pub(crate) enum Beside {
    /// Nothing.
    Nothing,
    /// The finished file, where there are no part files.
    Blob(Blob),
    /// The proxy of a preview; its buffer is handed over, not copied.
    Lightness(Uint8Array),
}

/// A job is done.
///
/// # Errors
/// [`Fault::Device`] when the result cannot be made into a plain object.
pub(crate) fn done<T: Serialize>(id: u32, kind: &str, result: &T, beside: Beside) -> Result<(), Fault> {
    let plain = result
        .serialize(&serde_wasm_bindgen::Serializer::json_compatible())
        .map_err(|e| Fault::device(format!("The answer could not be sent ({e})."), "Load the page again."))?;
    let object = message("done", id);
    set(&object, "kind", &kind.into());
    set(&object, "result", &plain);
    match beside {
        Beside::Nothing => post(&object),
        Beside::Blob(blob) => {
            set(&object, "blob", &blob);
            post(&object);
        }
        Beside::Lightness(bytes) => {
            set(&object, "lightness", &bytes);
            let _ = scope().post_message_with_transfer(&object, &Array::of1(&bytes.buffer()));
        }
    }
    Ok(())
}

/// Tells the page how far a job is, at most ten times a second.
pub(crate) struct Teller {
    id: u32,
    last: f64,
}

impl Teller {
    /// For a job.
    pub(crate) fn new(id: u32) -> Self {
        Self { id, last: Date::now() }
    }

    /// `done` of the work (0…1) is behind us. Never breaks: the page cancels by ending the worker.
    pub(crate) fn tell(&mut self, done: f32) -> ControlFlow<()> {
        let now = Date::now();
        if now - self.last >= PROGRESS_MS {
            self.last = now;
            let object = message("progress", self.id);
            set(&object, "done", &f64::from(done).into());
            post(&object);
        }
        ControlFlow::Continue(())
    }
}
