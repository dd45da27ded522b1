//! What a film is made by, and what is known of a picture file.

use serde::{Deserialize, Serialize};

/// What the head of a picture file says.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct PictureFacts {
    /// File name.
    pub name: String,
    /// Width in pixels, upright.
    pub width: u32,
    /// Height in pixels, upright.
    pub height: u32,
    /// Bits a channel.
    pub bits: u8,
    /// Format: `JPEG`, `PNG` or `TIFF`.
    pub format: String,
    /// Name of the embedded profile; empty if none.
    pub profile: String,
    /// Bytes of memory that reading it takes.
    pub memory: f64,
}

/// Everything the worker needs to make a film file; also kept with the film.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct FilmPlan {
    /// Number of the film.
    pub number: u32,
    /// File name without extension.
    pub file_name: String,
    /// `tiff` or `png`.
    pub format: String,
    /// Width of the picture on the film in mm.
    pub width_mm: f64,
    /// Height of the picture on the film in mm.
    pub height_mm: f64,
    /// Pixels an inch.
    pub ppi: f64,
    /// Part of the picture that is used, as fractions of its upright width and height: left, top, width, height.
    pub crop: [f64; 4],
    /// Whether the margin strip of raw ink codes is printed beside the picture.
    pub strip: bool,
    /// Clear edge around the picture in mm.
    pub edge_mm: f64,
    /// Lines of the label.
    pub label: Vec<String>,
}
