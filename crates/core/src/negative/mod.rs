//! The negative station: from a picture file to a film.

mod ask;
mod drying;
mod expected;
mod film;
pub mod foot;
pub mod page;
mod plan;
mod show;
mod size;
mod view;

pub(crate) use ask::PPI;
pub use ask::{Ask, Preset, START_PPI};
pub use drying::{Drying, FULLY_DRY, TOUCH_DRY, drying};
pub use expected::picture_tones;
pub use film::{FilmPlan, PictureFacts, correction_version, film_made, picture_opened};
pub use page::Negative;
pub use plan::{evening_tables, used_part};
pub use show::COARSE_PPI;
pub use size::{Crop, PrintSize, crop_frame, print_size, wanted_size};
pub(crate) use size::{convert_length, length};
pub use view::View;
