//! The film: one printed sheet that carries the picture in ink.
//!
//! [`FilmSpec`] says what is wanted in millimetres, [`Layout`] where every part lies in pixels, [`Film`] makes the rows.

pub mod codes;
mod even;
pub mod layout;
pub mod page;
pub mod spec;

pub use codes::{Codes, NODES};
pub use even::Even;
pub use layout::{Corner, Layout, Rect, STRIP_PERCENT, TextLine, Window};
pub use page::{Film, Progress, Sink};
pub use spec::{FilmSpec, Fit, Format};
