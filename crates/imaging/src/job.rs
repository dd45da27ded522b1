//! What can be asked of the imaging worker, and what it answers, as plain data.
//!
//! Page and worker are two modules built from this one file, so neither can misunderstand the other. How the data
//! travel (message envelopes, transferred buffers, files) is written down in the worker crate's `protocol.rs`.

use crate::film::{FilmSpec, Format};
use sorrel_core::{fields, words};
/// The build this code belongs to; `xtask` sets `SORREL_BUILD` for both modules. A worker of another build refuses.
pub const BUILD: &str = match option_env!("SORREL_BUILD") {
    Some(build) => build,
    None => "dev",
};

/// Memory a picture may take while it is opened, bytes, on most devices.
pub const LIMIT_BYTES: f64 = 1_073_741_824.0;
/// The same on iOS, which ends a page without a word when it takes much more.
pub const LIMIT_BYTES_IOS: f64 = 419_430_400.0;

/// The kinds of job, as the `kind` of the message.
pub mod kind {
    /// Open a picture and give its facts and a small proxy: [`super::PreviewAsk`] -> [`super::PreviewDone`].
    pub const PREVIEW: &str = "preview";
    /// Make a film file: [`super::FilmAsk`] -> [`super::Saved`].
    pub const FILM: &str = "film";
    /// Write a file of pseudo-random bytes through the saving door: [`super::TestFileAsk`] -> [`super::Saved`].
    pub const TEST_FILE: &str = "test-file";
    /// Remove part files left behind: [`super::SweepAsk`] -> [`super::Swept`].
    pub const SWEEP: &str = "sweep";
}

/// Where the picture comes from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Picture {
    /// The message's `file`.
    #[default]
    File,
    /// The demo's own picture, drawn by our code; no file travels.
    Demo,
}

words!(Picture: File "file", Demo "demo");

/// Asks for the facts and the proxy of a picture.
#[derive(Clone, Debug, PartialEq)]
pub struct PreviewAsk {
    /// The message's file, or the demo picture.
    pub picture: Picture,
    /// Memory that opening may take, bytes: [`LIMIT_BYTES`] or [`LIMIT_BYTES_IOS`].
    pub limit_bytes: f64,
    /// Pixels of the proxy, at most.
    pub max_pixels: u32,
}

fields!(PreviewAsk: picture, limit_bytes, max_pixels);

impl Default for PreviewAsk {
    fn default() -> Self {
        Self { picture: Picture::File, limit_bytes: LIMIT_BYTES, max_pixels: 1_000_000 }
    }
}

/// The facts of a picture, read from its header.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Facts {
    /// `JPEG`, `PNG`, `TIFF` or `demo`.
    pub format: String,
    /// Width in pixels, upright.
    pub width: u32,
    /// Height in pixels, upright.
    pub height: u32,
    /// Bits per channel in the file: 8 or 16.
    pub depth: u8,
    /// `grey` or `RGB`.
    pub colour: String,
    /// The Exif orientation that was applied, 1…8; 1 is upright already.
    pub orientation: u8,
    /// Name of the colour profile that was used, e.g. `sRGB (none embedded)`.
    pub profile: String,
    /// Estimated memory to open it, bytes.
    pub memory_bytes: f64,
    /// What the printer should know: interlaced, transparency laid over white, 8 bit only, …
    pub notes: Vec<String>,
}

fields!(Facts: format, width, height, depth, colour, orientation, profile, memory_bytes, notes);

/// The answer to [`PreviewAsk`]. The message also carries `lightness`: a `Uint8Array` of `width × height`, row by row,
/// L* of the upright picture as `round(L* × 2.55)`, its buffer transferred.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PreviewDone {
    /// Facts of the whole picture.
    pub facts: Facts,
    /// Width of the proxy, pixels.
    pub width: u32,
    /// Height of the proxy, pixels.
    pub height: u32,
}

fields!(PreviewDone: facts, width, height);

/// Asks for a film file.
#[derive(Clone, Debug, PartialEq)]
pub struct FilmAsk {
    /// The message's file, or the demo picture.
    pub picture: Picture,
    /// Memory that opening may take, bytes.
    pub limit_bytes: f64,
    /// Geometry and marks.
    pub spec: FilmSpec,
    /// The correction: ink code c (0…1) at 4,096 equal nodes of picture tone u = L*/100 from 0 to 1. An array of
    /// numbers or a `Float32Array`.
    pub correction: Vec<f32>,
    /// TIFF or PNG.
    pub format: Format,
    /// Name of the file for the printer to find, without folders.
    pub file_name: String,
    /// What is written into the file's description: film number, setup, correction, polarity.
    pub description: String,
}

fields!(FilmAsk: picture, limit_bytes, spec, correction, format, file_name, description);

impl Default for FilmAsk {
    fn default() -> Self {
        Self {
            picture: Picture::File,
            limit_bytes: LIMIT_BYTES,
            spec: FilmSpec::default(),
            correction: Vec::new(),
            format: Format::Tiff,
            file_name: "film.tif".into(),
            description: String::new(),
        }
    }
}

/// Asks for a file of pseudo-random bytes, to try the saving door.
#[derive(Clone, Debug, PartialEq)]
pub struct TestFileAsk {
    /// Size in bytes.
    pub bytes: f64,
    /// Its name.
    pub file_name: String,
}

fields!(TestFileAsk: bytes, file_name);

impl Default for TestFileAsk {
    fn default() -> Self {
        Self { bytes: 1_000_000.0, file_name: "test.bin".into() }
    }
}

/// One part file in the origin's private file system.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Part {
    /// Name inside the folder [`PARTS_FOLDER`].
    pub name: String,
    /// Its size, bytes.
    pub bytes: f64,
}

fields!(Part: name, bytes);

/// Folder of the origin's private file system that holds the part files.
pub const PARTS_FOLDER: &str = "sorrel-parts";

/// A file that was written, ready to be handed to the printer.
///
/// With `parts` the page opens [`PARTS_FOLDER`], takes `getFile()` of each in order and makes `new Blob(files, {type})`.
/// Without (`parts` empty) the message carries the finished `blob`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Saved {
    /// The parts in order.
    pub parts: Vec<Part>,
    /// Size of the whole file, bytes.
    pub bytes: f64,
    /// Name of the file.
    pub file_name: String,
    /// Its media type.
    pub media_type: String,
    /// Width and height of the film in pixels (0 for a test file).
    pub width: u32,
    /// See `width`.
    pub height: u32,
    /// A 64-bit FNV-1a hash of the bytes as hexadecimal, for the test file only.
    pub hash: String,
}

fields!(Saved: parts, bytes, file_name, media_type, width, height, hash);

/// Asks for old part files to be removed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SweepAsk {
    /// Parts older than this many milliseconds go; 0 removes all.
    pub older_than_ms: f64,
}

fields!(SweepAsk: older_than_ms);

/// The answer to [`SweepAsk`].
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Swept {
    /// How many part files were removed.
    pub removed: u32,
}

fields!(Swept: removed);
