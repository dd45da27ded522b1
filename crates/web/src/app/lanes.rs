//! What the page itself must know of running lanes: whether there are any, and when a step is due.

use sorrel_core::lanes::{Lane, Phase, read};

/// Where a lane stands.
pub(crate) struct Timing {
    /// Name of the step it is about; empty when none is left.
    pub(crate) step: String,
    /// When the running step is due, in milliseconds since 1970; now if no step is running.
    pub(crate) end: i64,
    /// A step is running or over its time.
    pub(crate) runs: bool,
}

/// Where a lane stands; `None` before it is begun and once it is finished or thrown away.
#[inline(never)] // a gate: before the rest is here there is no lane
pub(crate) fn timing(lane: &Lane, now: i64) -> Option<Timing> {
    let state = read(lane, now);
    if !state.active() || state.phase == Phase::Ready {
        return None;
    }
    let runs = matches!(state.phase, Phase::Running | Phase::Over);
    let step = lane.steps.get(state.step).map_or_else(String::new, |s| s.name.clone());
    Some(Timing { step, end: if runs { state.ends } else { now }, runs })
}
