//! Pixels: from a picture file to a film file, row by row, without a browser.
//!
//! The way of a picture: `source` opens and turns it upright, `grey` makes CIE Y of it, `resample` brings it to size,
//! `film` applies the correction, mirrors it and adds the marks, and a writer encodes the rows as they come.

mod deflate;
pub mod demo_picture;
pub mod fault;
pub mod film;
pub mod glyphs;
pub mod grey;
pub mod job;
pub mod png_out;
pub mod preview;
pub mod proof;
pub mod reduced;
pub mod resample;
pub mod source;
pub mod table;
pub mod tiff_out;
pub mod tone;

pub use fault::Fault;
