//! The air of the room: humidity, salts that fix it, and how long paper takes to follow.

pub mod air;
pub mod conditioning;
pub mod salts;
