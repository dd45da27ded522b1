//! Readings that do not go with the others: which, how they were dealt with, and what speaks for which cause.

use super::reading;
use super::samples::SAME_CODE;
use crate::math;
use crate::show::decimals;

/// Weight below which a reading is listed: nearly 3 spreads off the curve.
const LISTED: f64 = 0.9;
/// Multiple of the spread from which on a reading is listed as against its neighbours, where nothing is smoothed.
const AGAINST: f64 = 3.0;
/// Multiple of the spread within which a reading lies on the curve.
const ON: f64 = 2.5;

/// A reading beside the fitted curve.
#[derive(Clone, Debug, PartialEq)]
pub struct Point {
    /// Place in the readings given, from 0.
    pub index: usize,
    /// Its patch; may be empty.
    pub id: String,
    /// Ink code 0…1, turned round if the whole column was.
    pub code: f64,
    /// L*.
    pub lightness: f64,
    /// How many readings it stands for.
    pub weight: f64,
    /// Share 0…1 it counted with.
    pub counts: f64,
    /// L* above the curve.
    pub residual: f64,
}

/// What happened to a listed reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Doubt {
    /// So far off that it did not count.
    LeftOut,
    /// Off, and counted less.
    CountsLess,
    /// Counted, but darker than a neighbour with less ink, or lighter than one with more.
    AgainstNeighbours,
}

/// What the other readings say about a listed one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reason {
    /// Repeats of its code lie on the curve.
    RepeatsAgree,
    /// Its repeats are off the same way.
    WholeCode,
    /// It and the reading with this place (from 0), given next to it, would each lie on the curve with the other's code.
    Exchanged(usize),
    /// No other reading of its code was given.
    NoRepeat,
}

impl Reason {
    /// What is likely, and what to do: two sentences.
    pub fn words(self) -> String {
        match self {
            Self::RepeatsAgree => {
                "Its repeats lie on the curve. A speck, a streak or a slip of the pen: leave it out.".into()
            }
            Self::WholeCode => {
                "All readings of this ink are off the same way. Look at the film there, and read them again."
                    .into()
            }
            Self::Exchanged(other) => {
                format!(
                    "It would fit the code of reading {}, and that one its. They may have changed places.",
                    other + 1
                )
            }
            Self::NoRepeat => "There is no repeat to judge it by. Read that patch again.".into(),
        }
    }
}

/// A listed reading.
#[derive(Clone, Debug, PartialEq)]
pub struct Flag {
    /// The reading.
    pub point: Point,
    /// How it was dealt with.
    pub doubt: Doubt,
    /// What the readings around it say about the cause.
    pub reason: Reason,
}

impl Flag {
    /// One sentence about it.
    pub fn text(&self) -> String {
        let p = &self.point;
        let side = if p.residual > 0.0 { "lighter" } else { "darker" };
        let off = decimals(p.residual.abs(), 1);
        let end = match self.doubt {
            Doubt::LeftOut => "was left out".into(),
            Doubt::CountsLess => format!("counts {} % only", decimals(100.0 * p.counts, 0)),
            Doubt::AgainstNeighbours => "counts, but goes against its neighbours".into(),
        };
        format!("{}: {off} L* {side} than the curve; {end}.", reading::name(p.index, &p.id, p.code))
    }
}

/// The reading as a listed one, if there is something to look at. A curve that is `interpolated` smooths nothing.
pub(super) fn flag(p: &Point, points: &[Point], interpolated: bool, sigma: f64) -> Option<Flag> {
    let doubt = if p.counts <= 0.0 {
        Doubt::LeftOut
    } else if p.counts < LISTED {
        Doubt::CountsLess
    } else if interpolated && p.residual.abs() * math::sqrt(p.weight) > AGAINST * sigma {
        Doubt::AgainstNeighbours
    } else {
        return None;
    };
    Some(Flag { reason: reason(p, points, sigma), point: p.clone(), doubt })
}

fn reason(p: &Point, points: &[Point], sigma: f64) -> Reason {
    let near = ON * sigma;
    let mut repeats =
        points.iter().filter(|q| q.index != p.index && (q.code - p.code).abs() <= SAME_CODE).peekable();
    if repeats.peek().is_some() {
        let off = |q: &Point| q.residual.abs() > near && q.residual * p.residual > 0.0;
        return if repeats.all(off) { Reason::WholeCode } else { Reason::RepeatsAgree };
    }
    // With its neighbour's code, what is left of each is its distance from the other's place on the curve.
    let exchanged = |q: &&Point| {
        let (mine, its) = (p.lightness - p.residual, q.lightness - q.residual);
        q.index.abs_diff(p.index) == 1
            && (q.code - p.code).abs() > SAME_CODE
            && q.residual.abs() > near
            && (p.lightness - its).abs() <= near
            && (q.lightness - mine).abs() <= near
    };
    points.iter().find(exchanged).map_or(Reason::NoRepeat, |q| Reason::Exchanged(q.index))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;
    use crate::tone::{Reading, Response};

    /// 31 codes, twice each unless `once`, with a little scatter.
    fn readings(once: bool) -> Vec<Reading> {
        (0..if once { 31 } else { 62 })
            .map(|i| {
                let c = f64::from(i % 31) / 30.0;
                let scatter = (f64::from(i * 37 % 19) - 9.0) / 20.0;
                Reading::lightness(c, 24.0 + 70.0 * c * c * (3.0 - 2.0 * c) + scatter)
            })
            .collect()
    }

    fn reasons(readings: &[Reading]) -> Vec<(usize, Reason)> {
        Response::fit(readings).unwrap().flagged().iter().map(|f| (f.point.index, f.reason)).collect()
    }

    #[test]
    fn each_cause_has_its_signs() {
        let mut one_off = readings(false);
        one_off[12].value += 8.0;
        assert_eq!(reasons(&one_off), [(12, Reason::RepeatsAgree)]);
        let mut whole = readings(false);
        whole[12].value += 8.0;
        whole[43].value += 8.4;
        assert_eq!(reasons(&whole), [(12, Reason::WholeCode), (43, Reason::WholeCode)]);
        let mut alone = readings(true);
        alone[12].value += 8.0;
        assert_eq!(reasons(&alone), [(12, Reason::NoRepeat)]);
    }

    #[test]
    fn exchanged_neighbours_are_recognised() {
        // Given in a shuffled order, so that neighbours in it are far apart in code.
        let all = readings(true);
        let mut shuffled: Vec<Reading> = (0..31).map(|i| all[i * 7 % 31].clone()).collect();
        let held = shuffled[10].value;
        shuffled[10].value = shuffled[11].value;
        shuffled[11].value = held;
        assert_eq!(reasons(&shuffled), [(10, Reason::Exchanged(11)), (11, Reason::Exchanged(10))]);
        assert!(Reason::Exchanged(11).words().contains("reading 12"));
    }
}
