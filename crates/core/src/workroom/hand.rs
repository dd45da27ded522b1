//! The lanes on the screen, and the one in hand.

use super::Ask;
use crate::lanes::{Lane, LaneState, LaneStep, Phase, UNDO_MS, read};
use crate::station::Scene;

/// A lane with its state.
pub(super) struct Hand<'a> {
    pub(super) id: &'a str,
    pub(super) lane: &'a Lane,
    pub(super) state: LaneState,
}

impl Hand<'_> {
    /// The step it is about.
    pub(super) fn step(&self) -> Option<&LaneStep> {
        self.lane.steps.get(self.state.step)
    }
}

/// The lanes on the screen: those that run, and one that was thrown away while that can be taken back.
pub(super) fn active<'a>(scene: &Scene<'a>) -> Vec<Hand<'a>> {
    let now = scene.now;
    let fresh = |s: &LaneState| {
        s.phase == Phase::Discarded
            && s.last.is_some_and(|(at, _)| (0..=UNDO_MS).contains(&now.saturating_sub(at)))
    };
    scene
        .book
        .lanes()
        .map(|(id, lane)| state_of(id, lane, now))
        .filter(|h| h.state.active() || fresh(&h.state))
        .collect()
}

/// The lane in hand: the one chosen, else the newest.
pub(super) fn in_hand<'a>(ask: &Ask, scene: &Scene<'a>) -> Option<Hand<'a>> {
    let mut all = active(scene);
    let chosen = all.iter().position(|h| h.id == ask.hand);
    match chosen {
        Some(i) => Some(all.swap_remove(i)),
        None => all.pop(),
    }
}

/// Reads a lane's state at the scene's moment.
fn state_of<'a>(id: &'a str, lane: &'a Lane, now: i64) -> Hand<'a> {
    Hand { id, lane, state: read(lane, now) }
}
