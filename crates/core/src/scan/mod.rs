//! The arithmetic of reading a chart from a scan: maps, surfaces, robust means, and from code to lightness. The pixels
//! are the imaging crate's business.

pub mod evenness;
pub mod homography;
pub mod levelled;
pub mod order;
pub mod ordered;
pub mod refusal;
pub mod remark;
pub mod repeats;
mod solve;
pub mod surface;
pub mod tones;
pub mod trimmed;

pub use homography::{Homography, Point};
pub use order::Order;
pub use refusal::Refusal;
pub use remark::Remark;
pub use repeats::{Repeats, repeats};
pub use solve::solve;
pub use surface::Surface;
pub use tones::{Anchors, Claim, Meaning, Tones};
