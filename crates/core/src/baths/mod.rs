//! The baths station: the sequence from developer to wash, what to weigh out, and what not to pour together.

mod amount;
mod caution;
pub mod page;
mod sequence;

pub use amount::{Percent, Weighed, percents, weigh};
pub use caution::{OXALATE_LIMIT, cautions};
pub use page::{Ask, Baths, Preset, View};
pub use sequence::{Row, STARTING, Starting, Step, rows, starting, steps};
