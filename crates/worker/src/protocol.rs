//! How page and worker speak. The data inside are the plain structs of [`sorrel_imaging::job`].
//!
//! # Starting
//! The page makes `new Worker("worker.js")` (a classic script) and posts once
//! ```text
//! { type: "start", glue: <URL of the no-modules glue of sorrel_worker>, module: <WebAssembly.Module or URL of the wasm> }
//! ```
//! The worker answers `{ type: "ready", build }`, or `{ type: "fault", id: 0, culprit, text, mend }`. Jobs may be posted
//! right after "start"; they wait for it.
//! Measurements post `{ type: "memory" }` and get `{ type: "memory", bytes }`: all that the module ever took.
//!
//! # A job (page -> worker)
//! ```text
//! { type: "job", id: <number>, build: <job::BUILD of the page>, kind: <job::kind::…>, params: <plain object>, file: <File | Blob | null> }
//! ```
//! | kind | params | file | `result` of done | beside it in the done message |
//! |---|---|---|---|---|
//! | `preview` | `PreviewAsk` | the picture, or null with `picture: "demo"` | `PreviewDone` | `lightness`: Uint8Array, transferred |
//! | `film` | `FilmAsk` | the picture, or null with `picture: "demo"` | `Saved` | `blob`: Blob when `parts` is empty |
//! | `chart` | `ChartAsk` | null | `Saved` | `blob` likewise |
//! | `scan` | `ScanAsk` | the scan | `ScanDone` | |
//! | `test-file` | `TestFileAsk` | null | `Saved` | `blob` likewise |
//! | `sweep` | `SweepAsk` | null | `Swept` | |
//!
//! `params` is what `serde_wasm_bindgen`'s `json_compatible` serializer makes of the struct; missing fields take their
//! defaults. One job runs at a time; a second one posted meanwhile waits its turn.
//!
//! # Answers (worker -> page)
//! ```text
//! { type: "progress", id, done: 0…1 }                         at most ten a second; may stay away for short work
//! { type: "part", id, name, bytes }                           a part file is complete (nothing has to be done)
//! { type: "done", id, kind, result: <plain object>, … }       exactly one of done or fault ends a job
//! { type: "fault", id, culprit, text, mend }                  culprit: "file" | "caller" | "limit" | "device"
//! ```
//! A job whose `build` is not the worker's own ends in a fault of culprit "device" ("the page was updated"; mend: reload).
//! If the worker's module panics it is dead: the worker posts a fault of culprit "device" with the id of the running job
//! and answers nothing further; the page terminates it and starts a new one for the next job.
//!
//! # Cancelling
//! The page calls `worker.terminate()`, starts anew, and posts a `sweep` with the numbers of all jobs it has ended so at
//! once, before the next film in any case. Parts carry the number of their job, and the numbers of a page begin at random,
//! so that nothing of an earlier film or of another tab is removed.
//! A worker idle for 30 s is terminated by the page: wasm memory never shrinks.
//!
//! # Saving
//! Parts lie in the folder [`sorrel_imaging::job::PARTS_FOLDER`] of the origin's private file system
//! (`navigator.storage.getDirectory()`), at most 64 MB each, closed when `done` arrives. Before the work starts the
//! worker sweeps parts older than a day and asks `navigator.storage.estimate()` for 2.2 × the file's size; too little is
//! a fault of culprit "limit". The page builds `new Blob(files, { type })` and offers it. The parts stay until a film is
//! made after that day - never go at once, a download may still be reading them.
//! Where the private file system is missing the worker builds a Blob itself, up to 256 MB.

pub use sorrel_imaging::job::{
    BUILD, ChartAsk, Facts, Field, FilmAsk, PARTS_FOLDER, Part, Picture, PreviewAsk, PreviewDone, Saved,
    ScanAsk, ScanDone, SweepAsk, Swept, TestFileAsk, kind,
};
