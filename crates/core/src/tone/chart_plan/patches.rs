//! How many patches a chart has, and which ink codes they show.

use crate::constant::Constant;
use crate::math;

/// The three sizes of a tone chart. The first is the usual one.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Patches {
    /// 29 levels, both ends seven times.
    #[default]
    P41,
    /// 53 levels, both ends seven times.
    P65,
    /// 53 levels twice, both ends six times.
    P114,
}

/// L* that a correct curve still misses because exposure and coat never repeat exactly.
const PROCESS: Constant = Constant::choice(
    0.88,
    "L*",
    2,
    "simulated: a perfect curve under exposures that repeat within 0.02 log H and blacks within 0.5 L*; three margin strips give your own",
);

impl Patches {
    /// All sizes, the smallest first.
    pub const ALL: [Self; 3] = [Self::P41, Self::P65, Self::P114];

    /// The size with so many patches.
    pub fn from_count(count: u32) -> Option<Self> {
        Self::ALL.into_iter().find(|p| p.count() == count as usize)
    }

    /// The size with this number (0, 1, 2), as it is printed on the chart.
    pub fn from_number(number: u8) -> Option<Self> {
        Self::ALL.get(usize::from(number)).copied()
    }

    /// Its number on the chart.
    pub fn number(self) -> u8 {
        match self {
            Self::P41 => 0,
            Self::P65 => 1,
            Self::P114 => 2,
        }
    }

    /// Patches in all.
    pub fn count(self) -> usize {
        let (levels, each, ends) = self.design();
        levels * each + 2 * (ends - each)
    }

    /// Different ink codes.
    pub fn levels(self) -> usize {
        self.design().0
    }

    /// How often clear film, and how often full ink, is shown.
    pub fn ends(self) -> usize {
        self.design().2
    }

    /// Levels, how often each is shown, how often the ends are.
    fn design(self) -> (usize, usize, usize) {
        match self {
            Self::P41 => (29, 1, 7),
            Self::P65 => (53, 1, 7),
            Self::P114 => (53, 2, 6),
        }
    }

    /// Columns and rows of the field; a few places stay empty.
    pub fn grid(self) -> (usize, usize) {
        match self {
            Self::P41 => (7, 6),
            Self::P65 => (11, 6),
            Self::P114 => (13, 9),
        }
    }

    /// The level of each patch, rising; level `levels − 1` is full ink.
    pub fn ladder(self) -> Vec<usize> {
        let (levels, each, ends) = self.design();
        let mut all = Vec::with_capacity(self.count());
        for level in 0..levels {
            let times = if level == 0 || level + 1 == levels { ends } else { each };
            all.extend(core::iter::repeat_n(level, times));
        }
        all
    }

    /// Ink code (0 clear film … 1 full ink) of a level; levels are equally spaced.
    pub fn code(self, level: usize) -> f64 {
        (level as f64 / (self.levels() - 1) as f64).min(1.0)
    }

    /// RMS error in L* that the fitted curve is expected to have with 0.6 L* of scatter a patch.
    pub fn fit_error(self) -> Constant {
        const WHY: &str =
            "simulated: six paper and ink shapes, 50 prints each, scatter 0.6 L* a patch, ends repeated";
        let value = match self {
            Self::P41 => 0.36,
            Self::P65 => 0.30,
            Self::P114 => 0.24,
        };
        Constant::choice(value, "L*", 2, WHY)
    }

    /// RMS error in L* to expect on the next print: the curve's and the process's together.
    pub fn next_print_error(self) -> f64 {
        let (fit, process) = (self.fit_error().value, PROCESS.value);
        math::sqrt(fit * fit + process * process)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn names_are_counts_and_ends_repeat() {
        for (patches, count) in Patches::ALL.into_iter().zip([41, 65, 114]) {
            assert_eq!(patches.count(), count);
            let ladder = patches.ladder();
            assert_eq!(ladder.len(), count);
            for end in [0, patches.levels() - 1] {
                let n = ladder.iter().filter(|l| **l == end).count();
                assert!((6..=8).contains(&n) && n == patches.ends());
            }
            let (columns, rows) = patches.grid();
            assert!((count..count + 8).contains(&(columns * rows)));
            assert_eq!((patches.code(0), patches.code(patches.levels() - 1)), (0.0, 1.0));
            assert_eq!(Patches::from_number(patches.number()), Some(patches));
        }
        assert_eq!(Patches::from_count(65), Some(Patches::P65));
        assert_eq!(Patches::from_count(42), None);
    }

    #[test]
    fn more_patches_help_less_than_the_process_costs() {
        let [few, some, many] = Patches::ALL.map(Patches::next_print_error);
        assert!(few > some && some > many && many > PROCESS.value && few - many < 0.1);
    }
}
