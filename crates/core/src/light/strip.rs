//! A strip of exposures in equal stops, made by moving a card while the lamp burns.
//!
//! Times are whole seconds: each strip's time is rounded once, and the intervals are differences of those, so
//! that what a strip gets is exactly the time written on it.

use crate::math;
use crate::svg::{Anchor, Svg};

/// How the card moves.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Way {
    /// All strips lie open at the start; the card covers one after another. The first covered has least.
    #[default]
    Cover,
    /// All strips lie covered at the start; the card uncovers one after another. The first uncovered has most.
    Uncover,
}

/// Most strips a plan may have.
pub const MOST: u32 = 12;

/// Why there is no plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StripError {
    /// Fewer than two strips, or more than [`MOST`].
    Count,
    /// The first time is below one second, or no number.
    First,
    /// The step is not above zero, or no number.
    Step,
    /// Two strips fall on the same second.
    TooClose,
    /// The longest time passes a day.
    TooLong,
}

/// A strip's part in the plan.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Strip {
    /// Its number along the sheet, from 1; 1 has the least light.
    pub number: u32,
    /// What it gets in all, in seconds.
    pub seconds: u32,
    /// Stops above the first, as it comes out after rounding.
    pub stops: f64,
}

/// One move of the card.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Move {
    /// Seconds on the clock since the lamp was switched on.
    pub at: u32,
    /// The strip that is covered or uncovered at that moment.
    pub strip: u32,
    /// Seconds until the next move, or until the lamp goes off.
    pub hold: u32,
}

/// A plan of strips.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// How the card moves.
    pub way: Way,
    /// The strips, least light first.
    pub strips: Vec<Strip>,
}

impl Plan {
    /// Plans `count` strips from `first` seconds upwards, each `step` stops above the one before.
    ///
    /// # Errors
    /// Says which of the figures cannot be.
    pub fn new(count: u32, first: f64, step: f64, way: Way) -> Result<Self, StripError> {
        if !(2..=MOST).contains(&count) {
            return Err(StripError::Count);
        }
        if !(first >= 1.0 && first.is_finite()) {
            return Err(StripError::First);
        }
        if !(step > 0.0 && step.is_finite()) {
            return Err(StripError::Step);
        }
        let mut strips: Vec<Strip> = Vec::new();
        for i in 0..count {
            let exact = first * math::exp2(step * f64::from(i));
            if exact > 86_400.0 {
                return Err(StripError::TooLong);
            }
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "between 1 and 86400"
            )]
            let seconds = exact.round() as u32;
            if strips.last().is_some_and(|s| s.seconds >= seconds) {
                return Err(StripError::TooClose);
            }
            let start = strips.first().map_or(seconds, |s| s.seconds);
            let stops = math::log2(f64::from(seconds) / f64::from(start));
            strips.push(Strip { number: i + 1, seconds, stops });
        }
        Ok(Self { way, strips })
    }

    /// How long the lamp burns.
    #[must_use]
    pub fn total(&self) -> u32 {
        self.strips.last().map_or(0, |s| s.seconds)
    }

    /// The moves of the card, in order, the first at 0 when the lamp goes on. Their holds add up to
    /// [`Self::total`].
    #[must_use]
    pub fn moves(&self) -> Vec<Move> {
        let total = self.total();
        let mut all: Vec<Move> = match self.way {
            // At 0 nothing is covered yet: a move of strip 0.
            Way::Cover => core::iter::once(Move { at: 0, strip: 0, hold: 0 })
                .chain(self.strips.iter().map(|s| Move { at: s.seconds, strip: s.number, hold: 0 }))
                .collect(),
            Way::Uncover => self
                .strips
                .iter()
                .rev()
                .map(|s| Move { at: total - s.seconds, strip: s.number, hold: 0 })
                .collect(),
        };
        // The last strip is covered by switching the lamp off.
        if self.way == Way::Cover {
            all.pop();
        }
        for i in 0..all.len() {
            let next = all.get(i + 1).map_or(total, |m| m.at);
            all[i].hold = next - all[i].at;
        }
        all
    }

    /// What each strip gets when the card is moved as [`Self::moves`] says, in the order of the strips.
    #[must_use]
    pub fn given(&self) -> Vec<u32> {
        let moves = self.moves();
        let total = self.total();
        let moved = |n: u32| moves.iter().find(|m| m.strip == n).map(|m| m.at);
        self.strips
            .iter()
            .map(|s| match self.way {
                Way::Cover => moved(s.number).unwrap_or(total),
                Way::Uncover => total - moved(s.number).unwrap_or(total),
            })
            .collect()
    }

    /// The next move after so many seconds of light, if there is one.
    #[must_use]
    pub fn next_move(&self, elapsed: f64) -> Option<Move> {
        self.moves().into_iter().find(|m| f64::from(m.at) > elapsed)
    }

    /// The sheet as it lies: one band a strip, darker with more light, with number and time.
    #[must_use]
    pub fn drawing(&self) -> String {
        let count = self.strips.len();
        let described: Vec<String> = self
            .strips
            .iter()
            .map(|s| format!("strip {} {}", s.number, crate::show::clock(f64::from(s.seconds))))
            .collect();
        let mut svg = Svg::new(
            "light-strip-plan",
            [0.0, 0.0, 480.0, if count > 6 { 186.0 } else { 166.0 }],
            "Plan of the strips",
            &format!("From the edge: {}.", described.join(", ")),
        );
        let last = u32::try_from(count).unwrap_or(MOST).saturating_sub(1).max(1);
        let width = 476.0 / f64::from(last + 1);
        for s in &self.strips {
            let before = s.number.saturating_sub(1);
            let left = 2.0 + width * f64::from(before);
            // Five depths of tone; the strip with most light is darkest.
            let depth = before * 4 / last;
            svg.rect(left, 28.0, width, 110.0, &format!("ink fill-{depth}"));
            let middle = left + width / 2.0;
            svg.label(middle, 20.0, Anchor::Middle, "", &s.number.to_string());
            // Many strips are narrow: their times stand in two lines by turns.
            let below = if count > 6 && before % 2 == 1 { 178.0 } else { 158.0 };
            svg.label(middle, below, Anchor::Middle, "small", &crate::show::clock(f64::from(s.seconds)));
        }
        svg.finish()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn the_doubling_strip() {
        let plan = Plan::new(5, 60.0, 1.0, Way::Cover).unwrap();
        let times: Vec<u32> = plan.strips.iter().map(|s| s.seconds).collect();
        assert_eq!(times, [60, 120, 240, 480, 960]);
        let holds: Vec<u32> = plan.moves().iter().map(|m| m.hold).collect();
        assert_eq!(holds, [60, 60, 120, 240, 480]);
        let plan = Plan::new(5, 60.0, 1.0, Way::Uncover).unwrap();
        let moves: Vec<(u32, u32)> = plan.moves().iter().map(|m| (m.at, m.strip)).collect();
        assert_eq!(moves, [(0, 5), (480, 4), (720, 3), (840, 2), (900, 1)]);
        assert_eq!(plan.next_move(500.0).unwrap().strip, 3);
        assert_eq!(plan.next_move(950.0), None);
    }

    #[test]
    fn what_cannot_be() {
        assert_eq!(Plan::new(1, 60.0, 1.0, Way::Cover), Err(StripError::Count));
        assert_eq!(Plan::new(13, 60.0, 1.0, Way::Cover), Err(StripError::Count));
        assert_eq!(Plan::new(5, 0.4, 1.0, Way::Cover), Err(StripError::First));
        assert_eq!(Plan::new(5, f64::NAN, 1.0, Way::Cover), Err(StripError::First));
        assert_eq!(Plan::new(5, 60.0, 0.0, Way::Cover), Err(StripError::Step));
        assert_eq!(Plan::new(5, 2.0, 0.1, Way::Cover), Err(StripError::TooClose));
        assert_eq!(Plan::new(12, 600.0, 1.0, Way::Cover), Err(StripError::TooLong));
    }

    #[test]
    fn the_drawing_says_it_in_words_too() {
        let drawing = Plan::new(3, 60.0, 0.5, Way::Cover).unwrap().drawing();
        assert!(drawing.contains("strip 2 1:25"), "{drawing}");
        assert_eq!(drawing.matches("<rect").count(), 3);
    }
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod laws {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// The law of sums: moving the card as planned gives every strip exactly the time written on it, and the
        /// holds add up to the burning time.
        #[test]
        fn every_strip_gets_its_time(
            count in 0_u32..15, first in 0.0..2000.0_f64, step in 0.0..2.0_f64, uncover in any::<bool>(),
        ) {
            let way = if uncover { Way::Uncover } else { Way::Cover };
            if let Ok(plan) = Plan::new(count, first, step, way) {
                let wanted: Vec<u32> = plan.strips.iter().map(|s| s.seconds).collect();
                prop_assert_eq!(plan.given(), wanted);
                let holds: u32 = plan.moves().iter().map(|m| m.hold).sum();
                prop_assert_eq!(holds, plan.total());
                prop_assert!(plan.moves().iter().all(|m| m.hold > 0));
                for (i, s) in plan.strips.iter().enumerate() {
                    let exact = first * math::exp2(step * i as f64);
                    prop_assert!((f64::from(s.seconds) - exact).abs() <= 0.5);
                }
            }
        }
    }
}
