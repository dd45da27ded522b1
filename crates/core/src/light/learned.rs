//! What this printer's own prints say of the time: margin strips beside that of the reference print.
//!
//! A strip's steep patches tell by how much log exposure a print came out beyond the reference; less what its time was
//! changed by, that is the day's speed. Prints whose clear-film patch is off were coated otherwise and are left out: a thin
//! coat looks like too little light. Times are compared as seconds of the setup's light: what a meter or a cold lamp
//! added to them was no more light.

use super::exposure::{Exposure, exposure, warm_up};
use super::lamp::law::Law;
use super::paper::Paper;
use super::steps::values::densities;
use super::{Bare, Change, Effects, Preset, duration, evening};
use crate::book::{Book, Record};
use crate::constant::Constant;
use crate::estimate::Estimate;
use crate::math;
use crate::tone::fit::student;

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
    /// Time of the reference print in seconds of the setup's light, without what an evened film added to it.
    pub reference: f64,
    /// The setup's time as it stood on the reference print's ticket, in seconds.
    pub base: Option<f64>,
}

impl Learned {
    /// What the prints ask for, in log exposure, if they say so for certain: the mean with its 95 % interval by Student's
    /// distribution.
    #[must_use]
    pub fn asked(&self) -> Option<Estimate> {
        let n = f64::from(self.n.max(2));
        let half = student(n - 1.0) * self.scatter / math::sqrt(n);
        (self.n >= FEWEST && self.speed.abs() > half.max(LEAST))
            .then(|| Estimate::plus_minus(-self.speed, half, crate::constant::Basis::Measured { n: self.n }))
    }

    /// The time that would match the reference, in seconds of the setup's light, if the prints say so for certain.
    #[must_use]
    pub fn time(&self) -> Option<f64> {
        self.asked().map(|e| self.reference * math::exp10(e.value))
    }

    /// What a ticket with this setup is still to be moved by. Prints speak of the setup's time that their reference was
    /// made with: one that was found anew since is not moved by them, and one that they were settled into only by the rest.
    #[must_use]
    pub fn moves(&self, setup: &Preset) -> Option<Estimate> {
        let asked = self.asked()?;
        let seconds = |text: &str| duration::parse(text, Bare::Seconds).ok().map(|d| d.to_seconds());
        let (now, base) = (seconds(&setup.time)?, self.base?);
        let same = |a: f64, b: f64| (a / b - 1.0).abs() < 1e-6;
        let already = if same(now, base) {
            0.0
        } else {
            let settled =
                Settled::read(&setup.settled).filter(|s| same(s.base, base) && same(s.time, now))?;
            settled.moved
        };
        let left = asked.value - already;
        // What is left is mostly doubt when the time was settled not long ago.
        let doubt = (asked.high - asked.low) / 2.0;
        let moves = already == 0.0 || left.abs() > doubt.max(LEAST);
        moves.then(|| Estimate::plus_minus(left, doubt, asked.basis))
    }
}

/// A setup's time that own prints were settled into.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settled {
    /// The setup's time on the reference print's ticket, in seconds.
    pub base: f64,
    /// What was put into it since, in log exposure.
    pub moved: f64,
    /// The time that came of it, in seconds.
    pub time: f64,
}

impl Settled {
    /// As it is kept.
    #[must_use]
    pub fn write(&self) -> String {
        format!("{} {} {}", self.base, self.moved, self.time)
    }

    /// From what is kept; `None` if that is nothing of the kind.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        let mut all = text.split_whitespace().map(|t| t.parse::<f64>().ok().filter(|x| x.is_finite()));
        let (base, moved, time) = (all.next()??, all.next()??, all.next()??);
        (base > 0.0 && time > 0.0).then_some(Self { base, moved, time })
    }
}

fn strip(record: &Record) -> Vec<Option<f64>> {
    record.strip.iter().map(|t| densities(t).ok().and_then(|d| d.first().copied())).collect()
}

/// Seconds of the setup's light that a print had; what its film adds to a time that was only typed is `evened`.
fn seconds(record: &Record, evened: Change, law: Option<Law>) -> Option<f64> {
    let ask = &record.ticket.asks.light;
    let Some(step) = record.lane.steps.iter().find(|s| s.exposure && s.seconds > 0.0) else {
        // Without a lane there is only the time as typed.
        let typed = duration::parse(&ask.setup.time, Bare::Seconds).ok();
        return typed.map(|d| d.to_seconds() * evened.to_factor());
    };
    let notes = &mut Vec::new();
    let lamp = warm_up(ask, notes).filter(|_| ask.setup.starts_cold);
    let full = lamp.map_or(step.seconds, |lamp| lamp.dose(step.seconds));
    let effects = Effects { law, ..Effects::default() };
    let light = |e: Exposure| e.meter.then(e.law.unwrap_or_default()).to_log();
    Some(full / math::exp10(exposure(ask, &effects, notes).map_or(0.0, light)))
}

/// From the records of a setup, by a curve. `None` without a reference print with a read strip, or prints to lay beside it.
#[must_use]
pub fn learned(book: &Book, setup: &str, curve: &dyn Paper) -> Option<Learned> {
    let mut all: Vec<&Record> =
        book.records().map(|(_, r)| r).filter(|r| r.ticket.setup == setup && !r.strip.is_empty()).collect();
    all.sort_by_key(|r| core::cmp::Reverse(r.made));
    let law = Effects::law_of(book, setup);
    let reference = *all.iter().find(|r| r.reference)?;
    // A strip is not evened: behind an evened film it got the longer time, and is compared by it.
    let evened = |r: &Record| evening::change(book, &r.ticket);
    let (then, time) = (strip(reference), seconds(reference, evened(reference), law)?);
    let base = duration::parse(&reference.ticket.asks.light.setup.time, Bare::Seconds).ok();
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
            let speed = sum.0 / sum.1 - math::log10(seconds(record, evened(record), law)? / time);
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
    let base = base.map(|d| d.to_seconds());
    Some(Learned { n, speed: mean, scatter, reference: time / evened(reference).to_factor(), base })
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
