//! What is asked of a film, as plain data.

use sorrel_core::tree::{FromTree, Mismatch, ToTree, Tree};
use sorrel_core::{fields, words};

/// How the picture fills the size that was asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fit {
    /// The whole picture, as large as fits into the size; one side may come out shorter.
    Whole,
    /// Only what lies in a frame, filling the size. Fractions of the upright picture, 0…1. Where the frame's shape is
    /// not the size's, the largest part of that shape around the frame's centre is taken.
    Crop {
        /// Left edge of the frame.
        left: f64,
        /// Top edge of the frame.
        top: f64,
        /// Width of the frame.
        width: f64,
        /// Height of the frame.
        height: f64,
    },
}

/// Nothing for the whole picture, four numbers for a frame.
impl ToTree for Fit {
    fn to_tree(&self) -> Tree {
        match *self {
            Self::Whole => Tree::Null,
            Self::Crop { left, top, width, height } => [left, top, width, height].to_tree(),
        }
    }
}

impl FromTree for Fit {
    fn take_tree(&mut self, tree: Tree) -> Result<(), Mismatch> {
        let mut frame = None::<[f64; 4]>;
        frame.take_tree(tree)?;
        *self =
            frame.map_or(Self::Whole, |[left, top, width, height]| Self::Crop { left, top, width, height });
        Ok(())
    }
}

/// The kind of file that is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// 16-bit grey TIFF, uncompressed.
    Tiff,
    /// 16-bit grey PNG.
    Png,
}

words!(Format: Tiff "tiff", Png "png");

impl Format {
    /// File name ending without the point.
    pub fn ending(self) -> &'static str {
        match self {
            Self::Tiff => "tif",
            Self::Png => "png",
        }
    }

    /// Media type (RFC 3302; W3C PNG, third edition).
    pub fn media_type(self) -> &'static str {
        match self {
            Self::Tiff => "image/tiff",
            Self::Png => "image/png",
        }
    }
}

/// Everything that decides a film's geometry. Lengths in mm, as they lie on the sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct FilmSpec {
    /// Width of the picture, mm, 5…2000.
    pub width_mm: f64,
    /// Height of the picture, mm, 5…2000.
    pub height_mm: f64,
    /// Pixels per inch that the printer's driver takes, 240…1440.
    pub ppi: u32,
    /// Whole picture or a crop.
    pub fit: Fit,
    /// Film around everything, mm, 0…100.
    pub border_mm: f64,
    /// `true`: full ink outside the picture, which prints paper white; `false`: clear film, which prints black.
    pub masked_border: bool,
    /// The margin strip: seven patches of raw ink code below the picture.
    pub strip: bool,
    /// The 50 mm bar that shows whether the film was printed at its true size.
    pub bar: bool,
    /// Lines of the label: film number, setup, correction version, date, "not measured". Empty = no label.
    pub label: Vec<String>,
    /// Where the picture's top points in the frame, a word of [`sorrel_core::light::lamp::lie::Top`], for a film that is
    /// right only one way: its corner that lies far left is filled. Empty: no such mark.
    pub top: String,
}

fields!(FilmSpec: width_mm, height_mm, ppi, fit, border_mm, masked_border, strip, bar, label, top);

impl Default for FilmSpec {
    /// An 8×10 inch upright film; every value is the printer's own to change.
    fn default() -> Self {
        Self {
            width_mm: 203.2,
            height_mm: 254.0,
            ppi: 360,
            fit: Fit::Whole,
            border_mm: 6.0,
            masked_border: false,
            strip: true,
            bar: true,
            label: Vec::new(),
            top: String::new(),
        }
    }
}
