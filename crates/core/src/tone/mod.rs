//! The tone station and its mathematics: from readings of a printed chart to the correction of a film.
//!
//! The way through: [`readings::parse`] makes [`Reading`]s of text, [`Response::fit`] makes of them the print
//! lightness against ink code, [`Correction::from_response`] turns it round under an [`Aim`].
//! Without readings, [`Correction::starting`] stands in.
//!
//! Beside it: several sheets at once ([`pooled`]); a response from ink beside a tablet and a step print ([`film_curve`],
//! [`step_curve`], by eye [`sighted`]); white and the ink limit ([`spots`], [`ink_limit`]); readings to distrust
//! ([`doubt`], [`residuals`]); and how good the next print will be ([`scatter`], [`next_print`], [`advice`]).

pub mod advice;
pub mod aim;
pub mod banded;
mod chart;
pub mod chart_plan;
pub(crate) mod columns;
pub mod correction;
pub mod density;
pub mod difference;
pub mod doubt;
pub mod exposure;
pub mod film_curve;
pub mod fit;
pub mod ink_density;
pub mod ink_limit;
pub mod instrument;
pub mod inverse;
pub mod knee;
pub mod lightness;
pub mod monotone;
pub mod next_print;
pub mod page;
pub mod pairs;
pub mod pava;
pub mod pooled;
pub mod pspline;
pub mod reading;
pub mod readings;
pub mod refusal;
mod remarks;
pub mod residuals;
pub mod response;
pub mod robust;
pub mod samples;
pub mod scatter;
pub mod sighted;
pub mod solve;
pub mod spots;
pub mod starting;
pub mod step_curve;
pub mod table;

pub use aim::{Aim, Toe};
pub use correction::{Correction, Measured, film_code16};
pub use instrument::Instrument;
pub use page::{Ask, Tone, View};
pub use reading::{Quantity, Reading};
pub use refusal::ResponseError;
pub use response::Response;
pub use solve::{Solved, solve};
