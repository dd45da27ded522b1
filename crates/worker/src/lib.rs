//! Imaging inside a Web Worker; see [`protocol`] for how page and worker speak.

pub mod protocol;
