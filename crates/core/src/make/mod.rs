//! Make a bottle: from what is wanted to grams, order of work, cautions and a label, and on to the shelf.
//!
//! One step aside from the ticket. The chemistry is [`crate::chemistry::making`]; here is what was typed ([`Ask`]), how
//! it is read ([`read`]), what is shown, and how a bottle comes to stand in the stores.

mod labels;
pub mod page;
mod read;
mod shelf;
mod show;

pub use page::{Ask, Make, View};
pub use read::{Bottled, read};

#[cfg(test)]
mod tests;
