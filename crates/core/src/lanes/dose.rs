//! Exposures that end at a dose: the meter's readings are summed up while the light is on, and the time of the step is
//! foretold from them again at every reading.

use super::{LaneStep, Mark, MarkKind};
use crate::light::lamp::dose::{self, Reading};

/// Longest time foretold, in seconds: a week. Without light a dose is never reached.
const LONGEST: f64 = 604_800.0;

/// A step's readings: seconds of light, mW/cm². The first is what its plan reckoned with.
fn readings<'a>(
    step: &LaneStep,
    index: usize,
    marks: impl Iterator<Item = (&'a Mark, i64)>,
) -> (Vec<Reading>, Light) {
    let planned = step.dose / step.seconds;
    let mut all = Vec::new();
    if planned.is_finite() && planned > 0.0 {
        all.push(Reading { at: 0.0, level: planned });
    }
    let mut light = Light::default();
    for (mark, at) in marks {
        let own = usize::try_from(mark.step) == Ok(index);
        match mark.kind {
            MarkKind::Start if own => light.on(at),
            MarkKind::Start | MarkKind::Finish | MarkKind::Discard => light.off(at),
            MarkKind::End | MarkKind::Stop if own => light.off(at),
            MarkKind::Meter if own => {
                let level: f64 = mark.text.trim().parse().unwrap_or(f64::NAN);
                if level >= 0.0 && level.is_finite() {
                    let at = light.seconds(at);
                    if at < 1.0 {
                        // Read as the lamp went on: it stands for what the plan reckoned with.
                        all.clear();
                    }
                    all.push(Reading { at, level });
                }
            }
            _ => {}
        }
    }
    (all, light)
}

/// How long the light was on.
#[derive(Clone, Copy, Debug, Default)]
struct Light {
    before: i64,
    since: Option<i64>,
}

impl Light {
    fn on(&mut self, at: i64) {
        self.off(at);
        self.since = Some(at);
    }

    fn off(&mut self, at: i64) {
        self.before = self.before.saturating_add(self.part(at));
        self.since = None;
    }

    fn part(&self, at: i64) -> i64 {
        self.since.map_or(0, |since| at.saturating_sub(since).max(0))
    }

    #[expect(
        clippy::cast_precision_loss,
        reason = "a week of milliseconds at most, or shown as no more than that"
    )]
    fn seconds(&self, at: i64) -> f64 {
        self.before.saturating_add(self.part(at)) as f64 / 1000.0
    }
}

/// Seconds of light until the dose is reached, as far as the readings tell.
pub(super) fn seconds<'a>(
    step: &LaneStep,
    index: usize,
    marks: impl Iterator<Item = (&'a Mark, i64)>,
) -> f64 {
    let (readings, _) = readings(step, index, marks);
    dose::time(&readings, step.dose).unwrap_or(LONGEST).min(LONGEST)
}

/// Dose given at a moment, in mJ/cm².
pub(super) fn given<'a>(
    step: &LaneStep,
    index: usize,
    marks: impl Iterator<Item = (&'a Mark, i64)>,
    now: i64,
) -> f64 {
    let (readings, light) = readings(step, index, marks);
    dose::given(&readings, light.seconds(now))
}

#[cfg(test)]
mod tests {
    use super::super::{Lane, Phase, dose_given, read};
    use super::*;
    use crate::testing::test;

    const T: i64 = 1_764_000_000_000;

    fn lane() -> Lane {
        let step = LaneStep {
            name: "Exposure".into(),
            seconds: 200.0,
            exposure: true,
            dose: 1200.0,
            ..LaneStep::default()
        };
        Lane { steps: vec![step], ..Lane::default() }
    }

    #[test]
    fn a_cloud_passes_and_the_step_still_ends_at_the_dose() {
        let meter = |lane: Lane, s: i64, level: &str| lane.marked(T + 1000 * s, MarkKind::Meter, 0, level);
        let mut lane = lane().marked(T, MarkKind::Start, 0, "");
        assert_eq!(read(&lane, T).left, 200_000, "6 mW/cm² as planned");
        lane = meter(lane, 60, "6");
        lane = meter(lane, 70, "1.5");
        let state = read(&lane, T + 70_000);
        // 360 and 37.5 are given; at 1.5 the rest would take 535 s.
        assert_eq!(state.left, 535_000);
        assert!((dose_given(&lane, 0, T + 70_000).unwrap() - 397.5).abs() < 1e-9);
        lane = meter(lane, 120, "1.5");
        lane = meter(lane, 130, "6");
        let state = read(&lane, T + 130_000);
        // 510 given; 690 at 6 take 115 s: the end is at 245 s.
        assert_eq!((state.phase, state.left), (Phase::Running, 115_000));
        assert_eq!(read(&lane, T + 245_000).phase, Phase::Over);
        assert!((dose_given(&lane, 0, T + 245_000).unwrap() - 1200.0).abs() < 1e-6);
    }

    #[test]
    fn light_that_was_off_does_not_count() {
        let lane = lane()
            .marked(T, MarkKind::Start, 0, "")
            .marked(T + 100_000, MarkKind::Stop, 0, "")
            .marked(T + 500_000, MarkKind::Start, 0, "")
            .marked(T + 500_200, MarkKind::Meter, 0, "12");
        // 600 before; then the light climbs to 12 within what was summed, and the rest goes at 12.
        let state = read(&lane, T + 500_200);
        assert!(state.left < 50_000 && state.left > 20_000, "{state:?}");
        assert!(dose_given(&lane, 0, T + 500_200).unwrap() < 1200.0);
    }

    #[test]
    fn without_light_it_never_ends() {
        let lane = lane().marked(T, MarkKind::Start, 0, "").marked(T, MarkKind::Meter, 0, "0");
        assert!(read(&lane, T + 1000).left > 600_000_000);
    }
}
