//! The film: one printed sheet that carries the picture in ink.
//!
//! [`FilmSpec`] says what is wanted in millimetres, [`Layout`] where every part lies in pixels.

pub mod layout;
pub mod spec;

pub use layout::{Layout, Rect, TextLine, Window};
pub use spec::{FilmSpec, Fit, Format};
