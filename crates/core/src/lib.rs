//! Everything Sorrel computes. No I/O, no clock, no randomness, no browser: they come in as arguments.
//!
//! One topic a folder, one quantity or algorithm a file. A station of the page has its own folder here with a
//! `page.rs` that turns what was typed (`Ask`) into what is shown (`View`); see [`station`].

pub mod chart;
pub mod constant;
mod decimal;
pub mod entry;
pub mod estimate;
pub mod math;
pub mod note;
pub mod quantity;
pub mod show;
pub mod station;
pub mod svg;
pub mod tree;
pub mod working;

pub mod baths;
pub mod book;
pub mod chemistry;
pub mod climate;
pub mod coat;
pub mod exchange;
pub mod lanes;
pub mod light;
pub mod link;
pub mod make;
pub mod negative;
pub mod scan;
pub mod stores;
pub mod tone;
pub mod workroom;

#[cfg(test)]
mod testing;
