//! The light station: what was typed, what is shown.

use serde::{Deserialize, Serialize};

/// What the setup fixes here.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Preset {}

/// What was typed.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Ask {
    /// What the setup fixes, as changed on this ticket.
    pub setup: Preset,
}

/// What is shown.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct View {}
