//! The negative station: from a picture file to a film.

mod drying;
mod expected;
mod film;
pub mod foot;
pub mod page;
mod plan;
mod show;
mod size;
mod view;

pub use drying::{Drying, FULLY_DRY, TOUCH_DRY, drying};
pub use expected::picture_tones;
pub use film::{FilmPlan, PictureFacts, correction_version, film_made, picture_opened};
pub use page::{Ask, Negative, Preset, START_PPI};
pub(crate) use page::{PPI, convert_length};
pub use plan::used_part;
pub use show::COARSE_PPI;
pub(crate) use size::length;
pub use size::{Crop, PrintSize, crop_frame, print_size, wanted_size};
pub use view::View;
