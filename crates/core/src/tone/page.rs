//! The tone station: what was typed, what is shown.

use serde::{Deserialize, Serialize};

/// What was typed.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Ask {
    /// The readings as typed or pasted.
    pub readings: String,
}

/// What is shown.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct View {}

/// The tone fit of a setup: computed once per change of its readings.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Solved {}

impl Solved {
    /// How many readings stand behind the correction; 0 for the starting correction.
    #[must_use]
    pub fn readings(&self) -> u32 {
        0
    }

    /// Whether the correction rests on readings.
    #[must_use]
    pub fn measured(&self) -> bool {
        self.readings() > 0
    }
}

/// Solves a setup's readings for its correction.
#[must_use]
pub fn solve(ask: &Ask) -> Solved {
    let _ = ask;
    Solved {}
}
