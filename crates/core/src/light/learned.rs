//! What this printer's own prints say of the time: margin strips beside that of the reference print.
//!
//! A strip's steep patches tell by how much log exposure a print came out beyond the reference; less what its time was
//! changed by, that is the day's speed. Prints whose clear-film patch is off were coated otherwise and are left out: a thin
//! coat looks like too little light.

use super::paper::Paper;
use super::steps::values::densities;
use super::{Bare, duration};
use crate::book::{Book, Record};
use crate::constant::Constant;
use crate::math;

/// Prints that are looked at, newest first.
const MOST: usize = 8;
/// Prints from which on they may move a time.
pub const FEWEST: u32 = 3;
/// Slope below which a patch says little of the light, in density by log exposure.
const STEEP: f64 = 0.4;
/// Difference of the clear-film patch from which on a print was coated otherwise, in density.
pub const COAT: Constant = Constant::choice(0.06, "D", 1, "three times the doubt of a reading");
/// Change below which nothing is suggested, in log exposure.
const LEAST: f64 = 0.01;

/// What the prints say.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Learned {
    /// How many.
    pub n: u32,
    /// Mean speed against the reference's day, in log exposure: above 0 the same time prints darker.
    pub speed: f64,
    /// Standard deviation from print to print.
    pub scatter: f64,
    /// Time of the reference print, in seconds.
    pub reference: f64,
}

impl Learned {
    /// The time that would match the reference, in seconds, if the prints say so for certain.
    #[must_use]
    pub fn time(&self) -> Option<f64> {
        let doubt = 2.0 * self.scatter / math::sqrt(f64::from(self.n.max(1)));
        (self.n >= FEWEST && self.speed.abs() > doubt.max(LEAST))
            .then(|| self.reference * math::exp10(-self.speed))
    }
}

fn strip(record: &Record) -> Vec<Option<f64>> {
    record.strip.iter().map(|t| densities(t).ok().and_then(|d| d.first().copied())).collect()
}

fn seconds(record: &Record) -> Option<f64> {
    let step = record.lane.steps.iter().find(|s| s.exposure).map(|s| s.seconds);
    let typed =
        || duration::parse(&record.ticket.asks.light.setup.time, Bare::Seconds).ok().map(|d| d.to_seconds());
    step.filter(|s| *s > 0.0).or_else(typed)
}

/// From the records of a setup, by a curve. `None` without a reference print with a read strip, or prints to lay beside it.
#[must_use]
pub fn learned(book: &Book, setup: &str, curve: &dyn Paper) -> Option<Learned> {
    let mut all: Vec<&Record> =
        book.records().map(|(_, r)| r).filter(|r| r.ticket.setup == setup && !r.strip.is_empty()).collect();
    all.sort_by_key(|r| core::cmp::Reverse(r.made));
    let reference = *all.iter().find(|r| r.reference)?;
    let (then, time) = (strip(reference), seconds(reference)?);
    let speeds: Vec<f64> = all
        .iter()
        .filter(|r| !r.reference)
        .filter_map(|record| {
            let now = strip(record);
            if (now.first()?.as_ref()? - then.first()?.as_ref()?).abs() > COAT.value {
                return None;
            }
            let mut sum = (0.0, 0.0);
            for (a, b) in now.iter().zip(&then) {
                let (Some(a), Some(b)) = (a, b) else { continue };
                let (Some(xa), Some(xb)) = (curve.log_exposure(*a), curve.log_exposure(*b)) else { continue };
                let slope = curve.slope(xa).min(curve.slope(xb));
                if slope >= STEEP {
                    sum = (sum.0 + slope * slope * (xa - xb), sum.1 + slope * slope);
                }
            }
            let speed = sum.0 / sum.1 - math::log10(seconds(record)? / time);
            speed.is_finite().then_some(speed)
        })
        .take(MOST)
        .collect();
    let n = u32::try_from(speeds.len()).unwrap_or(u32::MAX);
    if n == 0 {
        return None;
    }
    let mean = speeds.iter().sum::<f64>() / f64::from(n);
    let squares: f64 = speeds.iter().map(|s| (s - mean) * (s - mean)).sum();
    let scatter = math::sqrt(squares / f64::from(n.max(2) - 1));
    Some(Learned { n, speed: mean, scatter, reference: time })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::book::{Change, Key, Kind, Object, demo};
    use crate::light::PaperCurve;
    use crate::testing::test;

    fn book(offsets: &[f64]) -> Book {
        let curve = PaperCurve::starting(0.03);
        let mut book = Book::fresh(1, 2);
        let setup = book.ticket().setup.clone();
        let mut change = Change::None;
        for (i, offset) in (0_u32..).zip(offsets) {
            let strip = [0.0, -0.26, -0.53, -0.93, -1.32, -1.8, -2.32]
                .map(|x: f64| format!("{:.3}", curve.density(x + offset)))
                .to_vec();
            let mut record =
                Record { number: i, made: i64::from(i), strip, reference: i == 0, ..Record::default() };
            record.ticket.setup.clone_from(&setup);
            record.ticket.asks.light.setup.time = "6:00".into();
            change = change
                .and(Change::put(Key::new(Kind::Record, format!("r{i}")), Object::Record(Box::new(record))));
        }
        book.apply(change, 1, "test");
        book
    }

    #[test]
    fn prints_that_come_out_weak_ask_for_more_time() {
        let book = book(&[0.0, -0.05, -0.045, -0.055, -0.05]);
        let l = learned(&book, &book.ticket().setup, &PaperCurve::starting(0.03)).unwrap();
        assert_eq!(l.n, 4);
        assert!((l.speed + 0.05).abs() < 0.005, "{l:?}");
        assert!((l.time().unwrap() / 360.0 - math::exp10(0.05)).abs() < 0.01);
    }

    #[test]
    fn few_or_scattered_prints_move_nothing() {
        let few = book(&[0.0, -0.05, -0.05]);
        let of = |b: &Book| learned(b, &b.ticket().setup, &PaperCurve::starting(0.03));
        assert_eq!(of(&few).unwrap().time(), None);
        assert_eq!(of(&book(&[0.0, -0.05, 0.06, -0.04, 0.05])).unwrap().time(), None);
        assert_eq!(of(&Book::fresh(1, 2)), None);
    }

    #[test]
    fn the_demonstration_books_prints() {
        // P-061 has a thin coat and P-053 dull whites; a reference is there.
        let book = demo::demo(0, 1);
        let setup = book.setups().map(|(id, _)| id.to_owned()).find(|id| id.contains("warm")).unwrap();
        let l = learned(&book, &setup, &PaperCurve::starting(0.03)).unwrap();
        assert!(l.n >= 2 && l.speed.abs() < 0.15 && l.scatter < 0.2, "{l:?}");
    }
}
