//! Reading a chart back from a scan or a photograph.
//!
//! The way: [`Reduced`] holds the picture at a size that is fine enough, `corner` and `frame` find the marks,
//! `homography` maps chart to picture, `area` reads patches, `surface` takes the scanner's shading out, `tones` makes
//! lightness of values, and `read` puts it together for our own chart, `grid` for any other.

pub mod area;
pub mod ask;
pub mod corner;
pub mod evenness;
pub mod frame;
pub mod grid;
pub mod homography;
pub mod read;
pub mod reduced;
pub mod refusal;
mod solve;
pub mod squares;
pub mod surface;
pub mod tones;
pub mod trimmed;

pub use area::flag;
pub use grid::{Grid, Numbers, Order};
pub use homography::Homography;
pub use read::{ChartAsk, ChartScan, Known, PatchReading, Remark, identify, read_chart};
pub use reduced::{Meaning, Reduced};
pub use refusal::Refusal;
pub use surface::Surface;
pub use tones::{Anchors, Claim, Tones};
