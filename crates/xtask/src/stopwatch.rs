//! How long a step took. The only clock in the house outside the page.
#![expect(clippy::disallowed_types, reason = "the rule keeps clocks out of core; tools may look at one")]

use std::time::{Duration, Instant};

/// Runs from its making.
pub(crate) struct Stopwatch(Instant);

impl Stopwatch {
    /// Starts now.
    pub(crate) fn start() -> Self {
        Self(Instant::now())
    }

    /// The time since the start.
    pub(crate) fn elapsed(&self) -> Duration {
        self.0.elapsed()
    }
}

/// `1:07 min`.
pub(crate) fn minutes(time: Duration) -> String {
    let seconds = time.as_secs();
    format!("{}:{:02} min", seconds / 60, seconds % 60)
}
