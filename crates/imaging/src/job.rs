//! What can be asked of the imaging worker, and what it answers, as plain data.
//!
//! Page and worker are two modules built from this one file, so neither can misunderstand the other. How the data
//! travel (message envelopes, transferred buffers, files) is written down in the worker crate's `protocol.rs`.

use crate::film::{Even, FilmSpec, Format};
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
    /// Make the film of a tone chart or an ink ramp: [`super::ChartAsk`] -> [`super::Saved`].
    pub const CHART: &str = "chart";
    /// Make the proof picture of three patches: [`super::ProofAsk`] -> [`super::Saved`].
    pub const PROOF: &str = "proof";
    /// Read a chart back from a scan: [`super::ScanAsk`] -> [`super::ScanDone`].
    pub const SCAN: &str = "scan";
    /// Write a file of pseudo-random bytes through the saving door: [`super::TestFileAsk`] -> [`super::Saved`].
    pub const TEST_FILE: &str = "test-file";
    /// Remove the part files of ended jobs: [`super::SweepAsk`] -> [`super::Swept`].
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
    /// How the light of the frame is evened; nothing by default.
    pub even: Even,
    /// TIFF or PNG.
    pub format: Format,
    /// Name of the file for the printer to find, without folders.
    pub file_name: String,
    /// What is written into the file's description: film number, setup, correction, polarity.
    pub description: String,
}

fields!(FilmAsk: picture, limit_bytes, spec, correction, even, format, file_name, description);

impl Default for FilmAsk {
    fn default() -> Self {
        Self {
            picture: Picture::File,
            limit_bytes: LIMIT_BYTES,
            spec: FilmSpec::default(),
            correction: Vec::new(),
            even: Even::default(),
            format: Format::Tiff,
            file_name: "film.tif".into(),
            description: String::new(),
        }
    }
}

/// Asks for the film of a tone chart or an ink ramp.
#[derive(Clone, Debug, PartialEq)]
pub struct ChartAsk {
    /// 41, 65 or 114 patches; 0 asks for an ink ramp.
    pub patches: u32,
    /// Seed of the shuffle, 0…65535.
    pub seed: u32,
    /// Width of the coat, mm; of a ramp, the length of its steps together (the tablet's).
    pub width_mm: f64,
    /// Height of the coat, mm; nothing for a ramp.
    pub height_mm: f64,
    /// Ink code of a chart's ground, 0.05…0.95.
    pub ground: f64,
    /// Ink codes of a ramp, 0…1; empty for the usual seven.
    pub codes: Vec<f64>,
    /// Pixels per inch that the printer's driver takes, 240…1440.
    pub ppi: u32,
    /// Words for the label; the chart's name is written anyway.
    pub label: String,
    /// TIFF or PNG.
    pub format: Format,
    /// Name of the file for the printer to find, without folders.
    pub file_name: String,
    /// What is written into the file's description.
    pub description: String,
}

fields!(ChartAsk: patches, seed, width_mm, height_mm, ground, codes, ppi, label, format, file_name, description);

impl Default for ChartAsk {
    fn default() -> Self {
        Self {
            patches: 41,
            seed: 1,
            width_mm: 127.0,
            height_mm: 101.6,
            ground: 0.3,
            codes: Vec::new(),
            ppi: 360,
            label: String::new(),
            format: Format::Tiff,
            file_name: "chart.tif".into(),
            description: String::new(),
        }
    }
}

/// Asks for the proof picture: white, middle and black, in the encoding of the printer's pictures.
#[derive(Clone, Debug, PartialEq)]
pub struct ProofAsk {
    /// Greys of white, middle and black, 0…65535.
    pub greys: Vec<u32>,
    /// Pixels per inch, 72…1440.
    pub ppi: u32,
    /// TIFF or PNG.
    pub format: Format,
    /// Name of the file, without folders.
    pub file_name: String,
    /// How each must look on the film; written into the file.
    pub description: String,
}

fields!(ProofAsk: greys, ppi, format, file_name, description);

impl Default for ProofAsk {
    fn default() -> Self {
        Self {
            greys: Vec::new(),
            ppi: 360,
            format: Format::Tiff,
            file_name: "proof.tif".into(),
            description: String::new(),
        }
    }
}

/// A regular field of patches in a picture.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Field {
    /// x and y of the outer corners: upper left, upper right, lower right, lower left, in pixels of the upright picture.
    pub corners: Vec<f64>,
    /// Columns; 0 means that there is no such field.
    pub columns: u32,
    /// Rows.
    pub rows: u32,
    /// 0 along the rows, 1 down the columns, 2 and 3 the same to and fro.
    pub order: u8,
}

fields!(Field: corners, columns, rows, order);

/// Asks for a chart to be read.
#[derive(Clone, Debug, PartialEq)]
pub struct ScanAsk {
    /// Memory that opening may take, bytes.
    pub limit_bytes: f64,
    /// `chart`: our tone chart; `name`: only say which chart it is; `field`: any other chart, in `field`; `blank`: a scan
    /// of blank paper.
    pub what: String,
    /// How the file's code becomes light: `file` as the file says (nothing said: only order is claimed), `linear`,
    /// `srgb`, `gamma` with the exponent in `gamma`.
    pub light: String,
    /// See `light`.
    pub gamma: f64,
    /// Our chart: 41, 65 or 114 patches.
    pub patches: u32,
    /// Its seed.
    pub seed: u32,
    /// Width of its coat, mm.
    pub width_mm: f64,
    /// Height of its coat, mm.
    pub height_mm: f64,
    /// Corner marks of our chart placed by hand, x and y in the order of [`Field::corners`]; empty: they are searched.
    pub marks: Vec<f64>,
    /// Any other chart, for `field`.
    pub field: Field,
    /// Patches of that chart.
    pub count: u32,
    /// A grey scale of known density in the picture.
    pub grey_scale: Field,
    /// Densities of its steps; empty: there is none.
    pub densities: Vec<f64>,
    /// L* of bare paper and of clear film (any other chart: of its lightest and darkest patch); empty: not known.
    pub anchors: Vec<f64>,
    /// [`ScanDone::shading`] of a blank scan; empty: there is none.
    pub shading: Vec<f64>,
    /// A masked spot beside any other chart, x and y in the order of [`Field::corners`]; empty: there is none.
    pub masked: Vec<f64>,
}

fields!(ScanAsk: limit_bytes, what, light, gamma, patches, seed, width_mm, height_mm, marks, field, count, grey_scale, densities, anchors, shading, masked);

impl Default for ScanAsk {
    fn default() -> Self {
        Self {
            limit_bytes: LIMIT_BYTES,
            what: "chart".into(),
            light: "file".into(),
            gamma: 2.2,
            patches: 41,
            seed: 1,
            width_mm: 127.0,
            height_mm: 101.6,
            marks: Vec::new(),
            field: Field::default(),
            count: 0,
            grey_scale: Field::default(),
            densities: Vec::new(),
            anchors: Vec::new(),
            shading: Vec::new(),
            masked: Vec::new(),
        }
    }
}

/// The answer to [`ScanAsk`]. Lists stand patch by patch, in the chart's order (of our chart: row by row from the upper
/// left), or are empty.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ScanDone {
    /// What the squares say, e.g. `41-777`; empty when they cannot be read.
    pub name: String,
    /// The marks that were used, x and y, in the order of [`Field::corners`].
    pub marks: Vec<f64>,
    /// From mm of our chart, or from columns and rows of another, to pixels of the picture: nine numbers, row by row.
    pub map: Vec<f64>,
    /// Pixels per mm.
    pub scale: f64,
    /// Width and height of the coat, mm, as the size of our chart's marks tells them; empty where it was not measured.
    pub coat: Vec<f64>,
    /// Clockwise quarter turns that stand the picture upright.
    pub turns: u8,
    /// Ink codes; empty for other charts, whose numbers the asker has.
    pub codes: Vec<f64>,
    /// Values in the scan, 0…1, shading taken out.
    pub values: Vec<f64>,
    /// L*.
    pub lightness: Vec<f64>,
    /// Standard deviation of a pixel, part of the scale.
    pub spread: Vec<f64>,
    /// Bits of `sorrel_charts::scan::flag`.
    pub flags: Vec<u8>,
    /// L* of the masked spot, of clear film, of bare paper; each only where it was read.
    pub masked: Option<f64>,
    /// See `masked`.
    pub clear: Option<f64>,
    /// See `masked`.
    pub paper: Option<f64>,
    /// The ground between patches: x and y in mm and L*, one after the other.
    pub ground: Vec<f64>,
    /// `grey-scale`, `anchors`, `file` or `order`: what the L* may claim.
    pub claim: String,
    /// Half width of the band that the claim leaves open, L*.
    pub half_width: f64,
    /// What is odd: codes of `sorrel_core::scan::Remark`.
    pub remarks: Vec<u8>,
    /// The file says how its code becomes light.
    pub says_light: bool,
    /// How code was taken for light, in words.
    pub profile: String,
    /// A scanner's shading, from a blank scan: thirteen numbers for [`ScanAsk::shading`].
    pub shading: Vec<f64>,
    /// L* of four fields of the masked spot beside any other chart.
    pub white: Vec<f64>,
}

fields!(ScanDone: name, marks, map, scale, coat, turns, codes, values, lightness, spread, flags, masked, clear, paper, ground, claim, half_width, remarks, says_light, profile, shading, white);

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

/// Asks for the part files of jobs that were ended to be removed, and of no others: a download may be reading those.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SweepAsk {
    /// Numbers of the jobs.
    pub jobs: Vec<u32>,
}

fields!(SweepAsk: jobs);

/// The answer to [`SweepAsk`].
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Swept {
    /// How many part files were removed.
    pub removed: u32,
}

fields!(Swept: removed);
