//! Imaging inside a Web Worker.
