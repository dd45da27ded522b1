//! Make a bottle: from what is wanted to grams, order of work, cautions and a label, and on to the shelf.
//!
//! One step aside from the ticket. The chemistry is [`crate::chemistry::making`]; here is what was typed ([`Ask`]), how
//! it is read ([`read`]), what is shown, and how a bottle comes to stand in the stores.

mod ask;
mod labels;
pub mod page;
mod read;
mod shelf;
mod show;
mod view;

pub use ask::Ask;
pub use page::Make;
pub use read::{Bottled, read};
pub use view::View;

#[cfg(test)]
mod tests;
