//! Imaging inside a Web Worker; see [`protocol`] for how page and worker speak.
//!
//! `www/worker.js` loads this module, hands each job to [`run`] and waits for it before it hands over the next.

mod answer;
mod jobs;
pub mod protocol;
mod reading;
mod saving;

use wasm_bindgen::prelude::*;

/// The build this module belongs to.
#[wasm_bindgen]
pub fn build() -> String {
    protocol::BUILD.into()
}

/// Does one job; every outcome is posted to the page.
///
/// `message` is the page's message as it arrived.
#[wasm_bindgen]
pub async fn run(message: JsValue) {
    let job = jobs::Job::read(&message);
    if let Err(fault) = jobs::run(&job).await {
        answer::fault(job.id, &fault);
    }
}
