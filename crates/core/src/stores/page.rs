//! The stores station: what was typed, what is shown.

use serde::{Deserialize, Serialize};

/// What was typed.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Ask {}

/// What is shown.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct View {}
