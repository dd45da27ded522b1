//! How times and intervals are written here.

use crate::estimate::Estimate;
use crate::note::Note;
use crate::show::clock;
use crate::working::Working;

/// Notes and workings that parts add to the station's.
#[derive(Debug, Default)]
pub(super) struct Shown {
    pub(super) notes: Vec<Note>,
    pub(super) workings: Vec<Working>,
}

/// Seconds to a rounding that suits their interval: 1, 5, 10, 30 or 60 s.
pub(super) fn rounded(e: Estimate) -> f64 {
    let half = (e.high - e.low) / 2.0;
    let step = [1.0, 5.0, 10.0, 30.0, 60.0].into_iter().rfind(|s| 4.0 * s <= half).unwrap_or(1.0);
    (e.value / step).round() * step
}

/// A time to no more than its interval allows.
pub(super) fn about_time(e: Estimate) -> String {
    clock(rounded(e))
}

/// A time in round words: seconds below two minutes, then half minutes.
pub(super) fn span(seconds: f64) -> String {
    if seconds < 120.0 {
        clock((seconds / 5.0).round() * 5.0)
    } else {
        clock((seconds / 30.0).round() * 30.0)
    }
}
