//! The picture file as `Read + Seek`, in slices that a worker may read at once.

use js_sys::Uint8Array;
use std::io::{Error, Read, Result, Seek, SeekFrom};
use wasm_bindgen::prelude::*;
use web_sys::{Blob, FileReaderSync};

/// Bytes fetched at once: large enough that the calls cost nothing, small enough to stay beside a decoded picture.
const SLICE: u64 = 16 << 20;

/// Reads a `File` or `Blob`.
pub(crate) struct BlobReader {
    blob: Blob,
    reader: FileReaderSync,
    size: u64,
    at: u64,
    slice: Vec<u8>,
    slice_at: u64,
}

impl BlobReader {
    /// Nothing is read yet.
    ///
    /// # Errors
    /// When the browser has no synchronous reader (outside a worker).
    pub(crate) fn new(blob: Blob) -> std::result::Result<Self, JsValue> {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a size, below 2⁵³")]
        let size = blob.size() as u64;
        Ok(Self { blob, reader: FileReaderSync::new()?, size, at: 0, slice: Vec::new(), slice_at: 0 })
    }

    fn fetch(&mut self) -> Result<()> {
        let end = (self.at + SLICE).min(self.size);
        #[expect(clippy::cast_precision_loss, reason = "file sizes are below 2⁵³")]
        let part = self.blob.slice_with_f64_and_f64(self.at as f64, end as f64).map_err(|e| error(&e))?;
        let buffer = self.reader.read_as_array_buffer(&part).map_err(|e| error(&e))?;
        let bytes = Uint8Array::new(&buffer);
        self.slice.resize(bytes.length() as usize, 0);
        bytes.copy_to(&mut self.slice);
        self.slice_at = self.at;
        if self.slice.is_empty() {
            return Err(Error::other("the file became shorter"));
        }
        Ok(())
    }
}

/// A browser's error as one of Rust's.
pub(crate) fn error(e: &JsValue) -> Error {
    Error::other(reason(e))
}

/// What a browser's error says.
pub(crate) fn reason(e: &JsValue) -> String {
    let field = |name: &str| js_sys::Reflect::get(e, &name.into()).ok().and_then(|v| v.as_string());
    match (field("name"), field("message")) {
        (Some(name), Some(message)) if !message.is_empty() => format!("{name}: {message}"),
        (Some(name), _) => name,
        (None, Some(message)) => message,
        (None, None) => e.as_string().unwrap_or_else(|| "unknown reason".into()),
    }
}

impl Read for BlobReader {
    fn read(&mut self, out: &mut [u8]) -> Result<usize> {
        if self.at >= self.size || out.is_empty() {
            return Ok(0);
        }
        let end = self.slice_at + self.slice.len() as u64;
        if !(self.slice_at..end).contains(&self.at) {
            self.fetch()?;
        }
        let from = usize::try_from(self.at - self.slice_at).unwrap_or(usize::MAX);
        let part = self.slice.get(from..).unwrap_or(&[]);
        let n = part.len().min(out.len());
        out[..n].copy_from_slice(&part[..n]);
        self.at += n as u64;
        Ok(n)
    }
}

impl Seek for BlobReader {
    fn seek(&mut self, to: SeekFrom) -> Result<u64> {
        let at = match to {
            SeekFrom::Start(n) => Some(n),
            SeekFrom::End(n) => self.size.checked_add_signed(n),
            SeekFrom::Current(n) => self.at.checked_add_signed(n),
        };
        self.at = at.ok_or_else(|| Error::other("a place before the file's beginning"))?;
        Ok(self.at)
    }
}
