//! How much to weigh out: strengths in percent, grams of solid in 100 mL of the finished bath.

use crate::entry::{self, EntryError};
use crate::quantity::{Mass, Volume};

/// A strength in % w/v: one figure, or a range.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Percent {
    /// Least.
    pub low: f64,
    /// Greatest; the same as `low` for one figure.
    pub high: f64,
}

/// What to weigh out of one content.
#[derive(Clone, Debug, PartialEq)]
pub struct Weighed {
    /// Which.
    pub content: String,
    /// Least mass.
    pub low: Mass,
    /// Greatest mass.
    pub high: Mass,
}

/// Reads strengths: `3`, `25–30`, `25-30 %`, `3 + 1.5–3`. Ends of a range in any order.
///
/// # Errors
/// Says what is the matter; strengths below 0 and above 100 % are out of range.
pub fn percents(text: &str) -> Result<Vec<Percent>, EntryError> {
    text.split('+').map(one).collect()
}

fn one(text: &str) -> Result<Percent, EntryError> {
    let text = text.trim().replace(" to ", "–");
    let bare = |t: &str| t.trim().trim_end_matches('%').trim_end().to_owned();
    // A minus between two figures is a dash here: no strength is negative.
    let cut = text.char_indices().find(|&(i, c)| i > 0 && matches!(c, '-' | '–' | '—'));
    let (low, high) = match cut {
        Some((i, c)) => (bare(&text[..i]), bare(&text[i + c.len_utf8()..])),
        None => (bare(&text), bare(&text)),
    };
    let figure = |t: &str| match entry::parse(t)? {
        typed if !typed.unit.is_empty() => Err(EntryError::NotANumber),
        typed if (0.0..=100.0).contains(&typed.value) => Ok(typed.value),
        _ => Err(EntryError::OutOfRange),
    };
    let (a, b) = (figure(&low)?, figure(&high)?);
    Ok(Percent { low: a.min(b), high: a.max(b) })
}

/// What to weigh out for a volume of finished bath. Contents without a strength are left out.
#[must_use]
pub fn weigh(contents: &str, strengths: &[Percent], volume: Volume) -> Vec<Weighed> {
    let mass = |percent: f64| Mass::from_g(percent * volume.to_ml() / 100.0);
    contents
        .split('+')
        .map(str::trim)
        .zip(strengths)
        .map(|(content, p)| Weighed { content: content.into(), low: mass(p.low), high: mass(p.high) })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn strengths_as_typed() {
        let p = |low, high| Percent { low, high };
        assert_eq!(percents("3"), Ok(vec![p(3.0, 3.0)]));
        assert_eq!(percents("25–30 %"), Ok(vec![p(25.0, 30.0)]));
        assert_eq!(percents("30 - 25"), Ok(vec![p(25.0, 30.0)]));
        assert_eq!(percents("1,5 % to 3 %"), Ok(vec![p(1.5, 3.0)]));
        assert_eq!(percents("3 + 1.5–3"), Ok(vec![p(3.0, 3.0), p(1.5, 3.0)]));
        assert_eq!(percents("strong"), Err(EntryError::NotANumber));
        assert_eq!(percents("-5"), Err(EntryError::OutOfRange));
        assert_eq!(percents("120"), Err(EntryError::OutOfRange));
        assert_eq!(percents(""), Err(EntryError::Empty));
        assert_eq!(percents("3 +"), Err(EntryError::Empty));
    }

    #[test]
    fn two_litres_of_developer() {
        // Trade percent: grams made up to 100 mL (A. Gottlieb, JAIC 34(1), 1995, par. 3.1): 25 % of 2 L is 500 g.
        let strengths = percents("25–30").unwrap();
        let all = weigh("potassium oxalate", &strengths, Volume::from_ml(2000.0));
        assert_eq!(all.len(), 1);
        assert!((all[0].low.to_g() - 500.0).abs() < 1e-9 && (all[0].high.to_g() - 600.0).abs() < 1e-9);
    }
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod laws {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn any_text_is_strengths_or_an_error(text in "(\\PC{0,12}|[0-9.,%+–-]{0,10})") {
            if let Ok(all) = percents(&text) {
                prop_assert!(all.iter().all(|p| p.low <= p.high && p.low >= 0.0 && p.high <= 100.0));
            }
        }

        #[test]
        fn twice_the_volume_is_twice_the_mass(p in 0.0..100.0_f64, ml in 1.0..10_000.0_f64) {
            let all = [Percent { low: p, high: p }];
            let once = weigh("x", &all, Volume::from_ml(ml))[0].low;
            let twice = weigh("x", &all, Volume::from_ml(2.0 * ml))[0].low;
            prop_assert!((twice.to_g() - 2.0 * once.to_g()).abs() <= 1e-9 * twice.to_g().max(1.0));
        }
    }
}
