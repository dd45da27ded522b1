//! Tone charts and ink ramps as films, and charts read back from a scan.
//!
//! Apart from the imaging crate because it is compiled for size: a chart has thousands of numbers, a picture millions of
//! pixels. What goes over all pixels, [`sorrel_imaging::reduced`], lies there.

pub mod chart;
pub mod scan;
