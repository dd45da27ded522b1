//! An aim as the printer's own table: picture L* against print L*, joined by a monotone cubic.

use super::monotone::{Monotone, Rule};
use crate::note::Note;
use crate::show::significant;

/// Fewest pairs.
pub const FEWEST: usize = 2;
/// Most pairs: more than any curve dialog takes.
pub const MOST: usize = 64;
/// Field of the tone station the notes are about.
const FIELD: &str = "pairs";

/// Pairs of L* that rise together.
#[derive(Clone, Debug, PartialEq)]
pub struct Pairs {
    points: Vec<(f64, f64)>,
}

/// Why pairs are no aim.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PairsError {
    /// Fewer than two, or too many (the number given).
    Count(usize),
    /// One is not a pair of numbers between 0 and 100 (its place, from 0).
    Range(usize),
    /// Two neighbours in picture L* do not rise in both (the later one of them).
    NotRising(f64, f64),
}

impl PairsError {
    /// The note for the page.
    pub fn note(&self) -> Note {
        match self {
            Self::Count(n) => Note::error(
                FIELD,
                format!("There are {n} pairs; {FEWEST} to {MOST} make an aim."),
                "Give picture L* and print L*, one pair a line, from dark to light.",
            ),
            Self::Range(i) => Note::error(
                FIELD,
                format!("Pair {} is not two numbers between 0 and 100.", i + 1),
                "Give L* from 0 to 100.",
            ),
            Self::NotRising(x, y) => Note::error(
                FIELD,
                format!(
                    "At picture L* {} the print L* {} does not rise above the pair before.",
                    significant(*x, 4),
                    significant(*y, 4)
                ),
                "A lighter picture tone needs a lighter print tone.",
            ),
        }
    }
}

impl Pairs {
    /// From (picture L*, print L*), in any order.
    ///
    /// # Errors
    /// Says which pair cannot be.
    pub fn new(pairs: &[(f64, f64)]) -> Result<Self, PairsError> {
        if !(FEWEST..=MOST).contains(&pairs.len()) {
            return Err(PairsError::Count(pairs.len()));
        }
        let scale = 0.0..=100.0;
        if let Some(i) = pairs.iter().position(|(x, y)| !scale.contains(x) || !scale.contains(y)) {
            return Err(PairsError::Range(i));
        }
        let mut points = pairs.to_vec();
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        match points.windows(2).find(|w| w[1].0 <= w[0].0 || w[1].1 <= w[0].1) {
            Some(w) => Err(PairsError::NotRising(w[1].0, w[1].1)),
            None => Ok(Self { points }),
        }
    }

    /// The pairs, ascending.
    pub fn points(&self) -> &[(f64, f64)] {
        &self.points
    }

    /// Print L* asked for at picture L* 0 and 100 on a print from `black` to `white`: the pair there, else the print's
    /// own end if the pairs leave room for it.
    pub fn ends(&self, black: f64, white: f64) -> (f64, f64) {
        let (first, last) = (self.points[0], self.points[self.points.len() - 1]);
        let low = if first.0 <= 0.0 { first.1 } else { black.min(first.1 - first.0.min(1.0)) };
        let high = if last.0 >= 100.0 { last.1 } else { white.max(last.1 + (100.0 - last.0).min(1.0)) };
        (low, high)
    }

    /// Print L* asked for at a picture L*, with the ends of [`Self::ends`].
    pub fn at(&self, picture: f64, low: f64, high: f64) -> f64 {
        let mut x = Vec::with_capacity(self.points.len() + 2);
        let mut y = Vec::with_capacity(self.points.len() + 2);
        let (first, last) = (self.points[0], self.points[self.points.len() - 1]);
        if first.0 > 0.0 {
            x.push(0.0);
            y.push(low);
        }
        for &(px, py) in &self.points {
            x.push(px);
            y.push(py);
        }
        if last.0 < 100.0 {
            x.push(100.0);
            y.push(high);
        }
        Monotone::new(Rule::FritschButland, &x, &y).map_or(picture, |curve| curve.at(picture))
    }
}
