//! Reading a chart back from a scan or a photograph.
//!
//! The way: [`Reduced`] holds the picture at a size that is fine enough, `corner` and `frame` find the marks, `area` reads
//! patches, `read` puts it together for our own chart, `grid` for any other, and `ask` answers the page. Maps, shading and
//! the way from code to lightness are arithmetic and lie in [`sorrel_core::scan`].

pub mod area;
pub mod ask;
pub mod corner;
pub mod frame;
pub mod grid;
pub mod read;
pub mod size;
pub mod squares;

pub use area::flag;
pub use grid::Grid;
pub use read::{ChartAsk, ChartScan, Known, PatchReading, identify, read_chart};
pub use sorrel_core::scan::Remark;
pub use sorrel_imaging::reduced::Reduced;
