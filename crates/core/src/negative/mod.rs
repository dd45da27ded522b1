//! The negative station: from a picture file to a film.

mod film;
pub mod page;

pub use film::{FilmPlan, PictureFacts};
pub use page::{Ask, Preset, View};
