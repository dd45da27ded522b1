//! The client of the imaging worker; the protocol stands in the worker crate.
//!
//! One job at a time. The worker is started for the first job, ended after thirty idle seconds (wasm memory never
//! shrinks) and whenever a job is cancelled; what a cancelled job left behind is swept at once.

use std::cell::Cell;
use std::rc::Rc;

use js_sys::{Object, Reflect, Uint8Array};
use sorrel_core::tree::ToTree;
use sorrel_imaging::job::{BUILD, SweepAsk, kind};
use wasm_bindgen::prelude::*;
use web_sys::{Blob, MessageEvent, Worker};

use super::{random, reason, update};
use crate::binder::to_js;
use crate::dom;

/// Milliseconds after which an idle worker is ended.
const IDLE: i32 = 30_000;

/// What the worker says.
pub(crate) enum Said {
    /// How far a job is, 0 to 1.
    Progress(u32, f64),
    /// A job is done.
    Done {
        /// Its number.
        id: u32,
        /// Its result, a plain object.
        result: JsValue,
        /// The file, where there are no part files.
        blob: Option<Blob>,
        /// The proxy of a preview.
        lightness: Option<Vec<u8>>,
    },
    /// A job has failed, or the worker itself (number 0).
    Fault {
        /// The job's number.
        id: u32,
        /// What is the matter, and what to do.
        text: String,
    },
}

/// The worker, started or not.
pub(crate) struct Imaging {
    worker: Option<Worker>,
    last: u32,
    /// Jobs that were cancelled and may have left part files.
    cancelled: Vec<u32>,
    /// The worker has not been asked to remove those.
    sweep: bool,
    idle: Option<i32>,
    hear: Rc<dyn Fn(Said)>,
    /// Messages of an ended worker that are still on their way carry an old generation.
    generation: Rc<Cell<u32>>,
}

impl Imaging {
    /// A worker that is not started yet.
    pub(crate) fn new(hear: impl Fn(Said) + 'static) -> Self {
        Self {
            worker: None,
            last: first(),
            cancelled: Vec::new(),
            sweep: false,
            idle: None,
            hear: Rc::new(hear),
            generation: Rc::new(Cell::new(0)),
        }
    }

    /// Posts a job and gives its number.
    ///
    /// # Errors
    /// Why the worker could not be started.
    pub(crate) fn post(&mut self, kind: &str, params: &dyn ToTree, file: &JsValue) -> Result<u32, String> {
        if let Some(timer) = self.idle.take() {
            dom::forget(timer);
        }
        self.start()?;
        if self.sweep && kind != kind::PREVIEW {
            self.sweep = false;
            self.last += 1;
            self.send(self.last, kind::SWEEP, &to_js(&self.left()), &JsValue::NULL)?;
        }
        self.last += 1;
        self.send(self.last, kind, &to_js(params), file)?;
        Ok(self.last)
    }

    /// Ends the worker at once, and with it the job that was writing; a new one removes what that left.
    pub(crate) fn cancel(&mut self, job: u32) {
        self.end();
        self.cancelled.push(job);
        self.sweep = false;
        // If the new one cannot start, the next film tries again.
        self.sweep = self.post(kind::SWEEP, &self.left(), &JsValue::NULL).is_err();
    }

    /// All that cancelled jobs left: the worker that was to remove it may itself have been ended meanwhile.
    fn left(&self) -> SweepAsk {
        SweepAsk { jobs: self.cancelled.clone() }
    }

    /// Ends the worker after a while without work.
    pub(crate) fn rest(&mut self, end: impl Fn() + 'static) {
        if let Some(timer) = self.idle.take() {
            dom::forget(timer);
        }
        self.idle = Some(dom::after(IDLE, end));
    }

    /// Ends the worker.
    pub(crate) fn end(&mut self) {
        self.generation.set(self.generation.get() + 1);
        if let Some(worker) = self.worker.take() {
            worker.terminate();
        }
    }

    fn start(&mut self) -> Result<(), String> {
        if self.worker.is_some() {
            return Ok(());
        }
        let missing = || "the page was not started by its own script".to_owned();
        let script = update::site("worker").ok_or_else(missing)?;
        let glue = update::site("workerGlue").ok_or_else(missing)?;
        let module = update::site("workerModule").ok_or_else(missing)?;
        let worker = Worker::new(&script).map_err(|e| reason(&e))?;
        let (hear, current) = (self.hear.clone(), self.generation.clone());
        let mine = current.get();
        dom::listen(&worker, "message", move |event| {
            if current.get() == mine
                && let Some(said) = event.dyn_ref::<MessageEvent>().and_then(|e| understand(&e.data()))
            {
                hear(said);
            }
        });
        let (hear, current) = (self.hear.clone(), self.generation.clone());
        dom::listen(&worker, "error", move |event| {
            if current.get() == mine {
                let text = Reflect::get(&event, &"message".into()).ok().and_then(|m| m.as_string());
                let text = text.unwrap_or_else(|| "Its files could not be loaded.".into());
                hear(Said::Fault {
                    id: 0,
                    text: format!("The part of Sorrel that reads pictures has stopped: {text} Try again."),
                });
            }
        });
        let start = object(&[("type", "start".into()), ("glue", glue.into()), ("module", module.into())]);
        worker.post_message(&start).map_err(|e| reason(&e))?;
        self.worker = Some(worker);
        Ok(())
    }

    fn send(&self, id: u32, kind: &str, params: &JsValue, file: &JsValue) -> Result<(), String> {
        let job = object(&[
            ("type", "job".into()),
            ("id", id.into()),
            ("build", BUILD.into()),
            ("kind", kind.into()),
            ("params", params.clone()),
            ("file", file.clone()),
        ]);
        let Some(worker) = &self.worker else { return Err("the worker is not running".into()) };
        worker.post_message(&job).map_err(|e| reason(&e))
    }
}

/// Where the numbers of this page's jobs begin: at random, so that parts of other pages' films carry other numbers.
fn first() -> u32 {
    (random::luck() >> 33) as u32
}

fn object(fields: &[(&str, JsValue)]) -> Object {
    let object = Object::new();
    for (name, value) in fields {
        let _ = Reflect::set(&object, &JsValue::from_str(name), value);
    }
    object
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "numbers this page gave out itself"
)]
fn understand(data: &JsValue) -> Option<Said> {
    let get = |name: &str| Reflect::get(data, &JsValue::from_str(name)).unwrap_or(JsValue::UNDEFINED);
    let id = get("id").as_f64().unwrap_or(0.0) as u32;
    match get("type").as_string()?.as_str() {
        "progress" => Some(Said::Progress(id, get("done").as_f64().unwrap_or(0.0))),
        "done" => Some(Said::Done {
            id,
            result: get("result"),
            blob: get("blob").dyn_into().ok(),
            lightness: get("lightness").dyn_into::<Uint8Array>().ok().map(|bytes| bytes.to_vec()),
        }),
        "fault" => {
            let word = |name| get(name).as_string().unwrap_or_default();
            Some(Said::Fault { id, text: format!("{} {}", word("text"), word("mend")) })
        }
        _ => None,
    }
}
