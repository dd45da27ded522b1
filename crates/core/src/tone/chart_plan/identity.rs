//! Which chart a print is of: size and seed as a row of dark and light squares.
//!
//! 26 squares: a light one, 24 bits with the highest first (2 for the size, 16 for the seed, 6 for a check), a dark one.
//! A light square is 1. The first and last square tell a reader what light and dark are on this print.

use super::Patches;

/// Squares of the row.
pub const SQUARES: usize = 26;
/// Generator of the check bits: x⁶ + x + 1, which finds every error of one or two squares in a row this short
/// (its order is 63; W. W. Peterson and D. T. Brown, "Cyclic codes for error detection", Proc. IRE 49, 1961).
const GENERATOR: u32 = 0b100_0011;
/// Start value, so that rows of equal squares are no chart.
const START: u32 = 0b10_1101;

/// Size and seed of a chart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Identity {
    /// How many patches.
    pub patches: Patches,
    /// Seed of the shuffle.
    pub seed: u16,
}

fn check(data: u32) -> u32 {
    // 18 bits of data, then six zeros are divided by the generator.
    let mut rest = (data ^ (START << 12)) << 6;
    for bit in (6..24).rev() {
        if rest >> bit & 1 == 1 {
            rest ^= GENERATOR << (bit - 6);
        }
    }
    rest
}

impl Identity {
    /// The squares from left to right; `true` is light.
    pub fn squares(self) -> [bool; SQUARES] {
        let data = u32::from(self.patches.number()) << 16 | u32::from(self.seed);
        let word = data << 6 | check(data);
        let mut out = [false; SQUARES];
        out[0] = true;
        for (i, square) in out[1..25].iter_mut().enumerate() {
            *square = word >> (23 - i) & 1 == 1;
        }
        out
    }

    /// Reads the squares back; `None` when they are no such row.
    pub fn from_squares(squares: &[bool; SQUARES]) -> Option<Self> {
        if !squares[0] || squares[SQUARES - 1] {
            return None;
        }
        let word = squares[1..25].iter().fold(0_u32, |w, s| w << 1 | u32::from(*s));
        let data = word >> 6;
        let seed = u16::try_from(data & 0xFFFF).ok()?;
        let patches = Patches::from_number(u8::try_from(data >> 16).ok()?)?;
        (check(data) == word & 0x3F).then_some(Self { patches, seed })
    }

    /// As it is printed and typed: `114-40213`.
    pub fn text(self) -> String {
        format!("{}-{}", self.patches.count(), self.seed)
    }

    /// Reads a name as it stands on the film, the two numbers parted by a dash or a blank.
    pub fn parse(text: &str) -> Option<Self> {
        let (count, seed) = text.trim().split_once(['-', ' ', '–'])?;
        let patches = Patches::from_count(count.trim().parse().ok()?)?;
        Some(Self { patches, seed: seed.trim().parse().ok()? })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn every_chart_reads_back() {
        for patches in Patches::ALL {
            for seed in 0..=u16::MAX {
                let id = Identity { patches, seed };
                assert_eq!(Identity::from_squares(&id.squares()), Some(id));
            }
        }
    }

    #[test]
    fn one_or_two_wrong_squares_are_noticed() {
        for seed in [0, 1, 4660, 40_213, u16::MAX] {
            let squares = Identity { patches: Patches::P65, seed }.squares();
            for i in 0..SQUARES {
                for j in i..SQUARES {
                    let mut wrong = squares;
                    wrong[i] = !wrong[i];
                    if j != i {
                        wrong[j] = !wrong[j];
                    }
                    assert_eq!(Identity::from_squares(&wrong), None, "{seed} {i} {j}");
                }
            }
        }
    }

    #[test]
    fn even_rows_and_turned_rows_are_no_chart() {
        assert_eq!(Identity::from_squares(&[false; SQUARES]), None);
        assert_eq!(Identity::from_squares(&[true; SQUARES]), None);
        let mut squares = Identity { patches: Patches::P41, seed: 99 }.squares();
        squares.reverse();
        assert_eq!(Identity::from_squares(&squares), None);
    }
}
