//! What the workroom says of a lane.

use crate::lanes::{Lane, LaneState, Phase};
use crate::light::{Change, Duration, PaperCurve, paper_curve};
use crate::show::{Units, clock};
use crate::tone::lightness;

/// Seconds of milliseconds.
pub(super) fn seconds(ms: i64) -> f64 {
    // Beyond a million days nothing is shown anyway; below, every millisecond is exact.
    #[expect(clippy::cast_precision_loss, reason = "clamped to what a float holds exactly")]
    let ms = ms.clamp(-90_000_000_000_000, 90_000_000_000_000) as f64;
    ms / 1000.0
}

/// The digits: what is left, rounded up while it runs so that 0:00 means over; or `+` and what it is over.
pub(super) fn digits(state: &LaneState) -> String {
    match state.phase {
        Phase::Over => format!("+{}", clock(seconds(state.over).floor())),
        Phase::Done | Phase::Finished | Phase::Discarded => String::new(),
        // Beside it stands the same rest in words.
        Phase::Stopped => clock(seconds(state.left)),
        _ => clock(seconds(state.left).ceil()),
    }
}

/// The state in a word and in a shape.
pub(super) fn state(state: &LaneState, exposure: bool) -> (&'static str, &'static str) {
    match state.phase {
        Phase::Ready => ("Ready", "○"),
        Phase::Running if exposure => ("Light is on", "▶"),
        Phase::Running => ("Running", "▶"),
        Phase::Over => ("Time is up", "◆"),
        Phase::Stopped => ("Stopped", "■"),
        Phase::Waiting => ("Waits for you", "◇"),
        Phase::Done => ("All steps done", "●"),
        Phase::Finished => ("In the book", "●"),
        Phase::Discarded => ("Thrown away", "×"),
    }
}

/// `6 min`, `2 min 10 s`, `45 s`; to the nearest second, so that what was given and the rest add up.
pub(super) fn span(ms: i64) -> String {
    let all = ms.max(0).saturating_add(500) / 1000;
    let (h, m, s) = (all / 3600, all / 60 % 60, all % 60);
    match (h, m, s) {
        (0, 0, s) => format!("{s} s"),
        (0, m, 0) => format!("{m} min"),
        (0, m, s) => format!("{m} min {s} s"),
        (h, m, _) if h < 48 => format!("{h} h {m} min"),
        (h, ..) => format!("{} days", h / 24),
    }
}

/// The time of day in the room, `14:08`.
pub(super) fn wall(at: i64, zone_minutes: i32) -> String {
    let minutes = at.div_euclid(60_000).saturating_add(i64::from(zone_minutes)).rem_euclid(1440);
    format!("{}:{:02}", minutes / 60, minutes % 60)
}

/// What an exposure of another length than planned means; empty if it is as planned within a hundredth.
pub(super) fn effect(planned: i64, real: i64, units: Units) -> String {
    let had = format!("The exposure got {} of {}", span(real), span(planned));
    if planned <= 0 {
        return String::new();
    }
    let Some(change) = Change::from_factor(seconds(real) / seconds(planned)) else {
        return format!("{had}: no light to speak of.");
    };
    if change.to_log().abs() < 0.005 {
        return String::new();
    }
    let sign = if change.to_log() < 0.0 { "−" } else { "+" };
    let stops = units.number(change.to_stops().abs(), 2);
    let percent = units.number(change.to_percent().abs(), 0);
    let curve = PaperCurve::starting(paper_curve::CLOSENESS.value);
    let shift = lightness::to_density(50.0).and_then(|d| curve.shift(d, change.to_log()));
    let tones = shift.map_or_else(String::new, |s| {
        let word = if change.to_log() < 0.0 { "lighter" } else { "darker" };
        format!(
            " Middle tones come out about {} L* {word} (starting curve, not measured).",
            units.number(s.lightness.value.abs(), 0)
        )
    });
    format!("{had}: {sign}{stops} stop, {sign}{percent} %.{tones}")
}

/// What the next step is, with its planned time.
pub(super) fn next(lane: &Lane, step: Option<usize>) -> String {
    match step.and_then(|i| lane.steps.get(i)) {
        Some(s) if s.seconds > 0.0 => format!("{}, {}", s.name, Duration::from_seconds(s.seconds).shown()),
        Some(s) => format!("{}, no time set", s.name),
        None => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn spans_and_times_of_day() {
        assert_eq!(span(130_000), "2 min 10 s");
        assert_eq!(span(360_000), "6 min");
        assert_eq!(span(-5), "0 s");
        assert_eq!((span(73_600).as_str(), span(286_400).as_str()), ("1 min 14 s", "4 min 46 s"));
        assert_eq!(span(7_500_000), "2 h 5 min");
        assert_eq!(wall(0, 90), "1:30");
        assert!(wall(i64::MIN, i32::MIN).len() >= 4);
    }

    #[test]
    fn an_exposure_that_went_on_too_long() {
        let text = effect(360_000, 490_000, Units::default());
        assert!(text.starts_with("The exposure got 8 min 10 s of 6 min: +0.44 stop, +36 %."), "{text}");
        assert_eq!(effect(360_000, 361_000, Units::default()), "");
        assert!(effect(360_000, 0, Units::default()).ends_with("no light to speak of."));
    }
}
