//! The ink ramp: touching steps of ink in order, beside a step tablet in the same exposure, for eyes.
//!
//! The film ends at the upper edge of the steps, so that a tablet laid against it touches them on the print. For each
//! ink step the printer says between which two tablet steps it lies.

use super::layout::Area;
use crate::scan::ordered::ascending;

/// Steps of a usual ramp, ink in percent: the same seven as in the margin strip of a film.
pub const USUAL: [u8; 7] = [0, 10, 20, 35, 50, 70, 100];
/// Height of a step, mm.
const HEIGHT: f64 = 14.0;
/// Narrowest and widest step, mm.
const STEP: (f64, f64) = (8.0, 60.0);
/// Border of the film left, right and below, mm.
const BORDER: f64 = 6.0;
/// Between steps, numbers, bar and label, mm.
const GAP: f64 = 2.0;
/// Height of numbers and label, mm.
pub const CAPITAL: f64 = 2.4;
/// Most steps of a ramp.
pub const MOST: usize = 41;

/// One step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RampStep {
    /// Ink code, 0 clear film … 1 full ink.
    pub code: f64,
    /// Where it lies; neighbours touch.
    pub area: Area,
}

/// A laid out ramp; the upper edge of the steps is the upper edge of the film.
#[derive(Clone, Debug, PartialEq)]
pub struct RampPlan {
    /// Width and height of the film, mm.
    pub size: (f64, f64),
    /// The steps from clear film on.
    pub steps: Vec<RampStep>,
    /// The check bar of 50 mm; none on a ramp shorter than that.
    pub bar: Option<Area>,
    /// Upper edge of the line of numbers, one under each step, mm.
    pub numbers: f64,
    /// Room for one line of label.
    pub label: Area,
}

impl RampPlan {
    /// Lays a ramp of ink codes (0…1) out over `length` mm. Codes are put in order; what is no ink code is left out, of
    /// equal ones one stays. A length that makes steps too narrow or too wide is brought into range. `None` with fewer
    /// than two steps or more than [`MOST`].
    pub fn new(codes: &[f64], length: f64) -> Option<Self> {
        let mut codes: Vec<f64> = codes.iter().copied().filter(|c| (0.0..=1.0).contains(c)).collect();
        ascending(&mut codes);
        codes.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
        if codes.len() < 2 || codes.len() > MOST {
            return None;
        }
        let n = codes.len() as f64;
        let step = if length.is_finite() { (length / n).clamp(STEP.0, STEP.1) } else { STEP.0 };
        let area = |i: usize| Area { x: BORDER + i as f64 * step, y: 0.0, width: step, height: HEIGHT };
        let steps = codes.into_iter().enumerate().map(|(i, code)| RampStep { code, area: area(i) });
        let inner = n * step;
        let numbers = HEIGHT + GAP;
        let label = Area { x: BORDER, y: numbers + CAPITAL + GAP, width: inner, height: CAPITAL };
        let below = label.y + CAPITAL + GAP;
        let bar = (inner >= 50.0).then_some(Area { x: BORDER, y: below, width: 50.0, height: 1.5 });
        let bottom = bar.map_or(label.y + CAPITAL, |b| b.y + b.height);
        Some(Self {
            size: (inner + 2.0 * BORDER, bottom + BORDER),
            steps: steps.collect(),
            bar,
            numbers,
            label,
        })
    }

    /// The usual seven steps over `length` mm, the length of the tablet.
    pub fn usual(length: f64) -> Option<Self> {
        Self::new(&USUAL.map(|p| f64::from(p) / 100.0), length)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn steps_touch_in_order_along_the_upper_edge() {
        let plan = RampPlan::usual(130.0).unwrap();
        assert_eq!(plan.steps.len(), 7);
        for pair in plan.steps.windows(2) {
            assert!(pair[0].code < pair[1].code);
            assert!((pair[0].area.x + pair[0].area.width - pair[1].area.x).abs() < 1e-9);
        }
        assert!(plan.steps.iter().all(|s| s.area.y == 0.0 && s.area.height > 8.0));
        let last = plan.steps[6].area;
        assert!((last.x + last.width - BORDER - 130.0).abs() < 1e-9);
        assert_eq!(plan.bar.map(|b| b.width), Some(50.0));
        assert!(plan.label.y + plan.label.height < plan.size.1);
    }

    #[test]
    fn odd_codes_and_lengths() {
        let plan = RampPlan::new(&[1.0, 0.0, f64::NAN, 0.5, 0.5, 7.0], f64::NAN).unwrap();
        assert_eq!(plan.steps.iter().map(|s| s.code).collect::<Vec<_>>(), [0.0, 0.5, 1.0]);
        assert_eq!((plan.steps[0].area.width, plan.bar), (8.0, None));
        assert!(RampPlan::new(&[0.5], 100.0).is_none());
        assert!(RampPlan::new(&[], 100.0).is_none());
        assert!(RampPlan::new(&(0..50).map(|i| f64::from(i) / 49.0).collect::<Vec<_>>(), 100.0).is_none());
    }
}
