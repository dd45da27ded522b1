//! Readings in a link: density in hundredths (`d`) or L* in tenths (`l`), as whole numbers.
//!
//! `d0:144,33:141,…` gives each with its ink code in tenths of a percent. `d144,141,…` leaves the codes out, because
//! they run evenly from 0 to 100 %, each rounded to the tenth, as on a chart; that is half as long. Repeats of a code
//! travel as their mean. What the rounding costs (0.005 in density, 0.05 in L*) is below what is read.

use std::collections::BTreeMap;

use crate::book::Setup;
use crate::tone::Quantity;
use crate::tone::readings::parse;

/// Patches that may travel.
const MOST: usize = 400;

/// Codes in tenths of a percent, and values in the finest step of their quantity.
type Steps = BTreeMap<u32, u32>;

/// The readings of a setup, or an empty text if it has none that can be read.
pub(super) fn write(setup: &Setup) -> String {
    let asked = match setup.tone.quantity.as_str() {
        "density" => Some(Quantity::Density),
        "lightness" => Some(Quantity::Lightness),
        _ => None,
    };
    let read = parse(&setup.tone.readings, asked);
    let Some(quantity) = read.quantity else { return String::new() };
    let mut sums: BTreeMap<u32, (f64, f64)> = BTreeMap::new();
    for row in &read.rows {
        let Some(code) = steps(row.code * 100.0, 10.0, (0.0, 100.0)) else { continue };
        for value in &row.values {
            let (sum, n) = sums.entry(code).or_default();
            *sum += value;
            *n += 1.0;
        }
    }
    let mean = |(code, (sum, n)): (u32, (f64, f64))| {
        Some((code, steps(sum / n, per_unit(quantity), quantity.range())?))
    };
    let steps: Steps = sums.into_iter().filter_map(mean).take(MOST).collect();
    if steps.is_empty() {
        return String::new();
    }
    let evenly = steps.len() > 1 && steps.keys().copied().eq(even(steps.len()));
    let items: Vec<String> = steps
        .iter()
        .map(|(code, value)| if evenly { value.to_string() } else { format!("{code}:{value}") })
        .collect();
    format!("{}{}", letter(quantity), items.join(","))
}

/// Puts the readings into the setup, as a table with a heading; false if any of them cannot be read.
pub(super) fn read(text: &str, setup: &mut Setup) -> bool {
    if text.is_empty() {
        setup.tone.readings.clear();
        return true;
    }
    let quantity = match text.chars().next() {
        Some('d') => Quantity::Density,
        Some('l') => Quantity::Lightness,
        _ => return false,
    };
    let Some(found) = steps_of(&text[1..], quantity) else { return false };
    let mut table = format!("ink %;{}", quantity.words());
    for (code, value) in found {
        table.push_str(&format!("\n{};{}", plain(code, 10.0), plain(value, per_unit(quantity))));
    }
    setup.tone.readings = table;
    true
}

fn steps_of(text: &str, quantity: Quantity) -> Option<Steps> {
    let highest = steps(quantity.range().1, per_unit(quantity), quantity.range())?;
    let number = |text: &str, most: u32| {
        let plain = !text.is_empty() && text.len() <= 5 && text.bytes().all(|b| b.is_ascii_digit());
        text.parse().ok().filter(|n| plain && *n <= most)
    };
    let items: Vec<&str> = text.split(',').collect();
    if items.len() > MOST {
        return None;
    }
    let evenly = items.len() > 1 && !text.contains(':');
    let mut found = Steps::new();
    for (item, even_code) in items.iter().zip(even(items.len())) {
        let (code, value) = match item.split_once(':') {
            _ if evenly => (even_code, *item),
            Some((code, value)) => (number(code, 1000)?, value),
            None => return None,
        };
        if found.insert(code, number(value, highest)?).is_some() {
            return None;
        }
    }
    Some(found)
}

/// So many codes from 0 to 100 % in equal distances, in tenths of a percent.
fn even(n: usize) -> impl Iterator<Item = u32> {
    let last = u32::try_from(n.max(2) - 1).unwrap_or(1);
    (0..=last).map(move |i| (i * 1000 + last / 2) / last)
}

fn letter(quantity: Quantity) -> char {
    match quantity {
        Quantity::Density => 'd',
        Quantity::Lightness => 'l',
    }
}

/// Steps a unit: hundredths of density, tenths of L*.
fn per_unit(quantity: Quantity) -> f64 {
    match quantity {
        Quantity::Density => 100.0,
        Quantity::Lightness => 10.0,
    }
}

/// A number in whole steps, if it lies in its range, which must not go below 0 here.
fn steps(x: f64, per_unit: f64, (low, high): (f64, f64)) -> Option<u32> {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a number of 0 to 1000")]
    (x >= low.max(0.0) && x <= high).then(|| (x * per_unit).round() as u32)
}

/// Steps as a number, zeros behind dropped.
fn plain(steps: u32, per_unit: f64) -> String {
    crate::show::significant(f64::from(steps) / per_unit, 6)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    fn there(readings: &str) -> String {
        let mut setup = Setup::default();
        setup.tone.readings = readings.into();
        write(&setup)
    }

    fn back(text: &str) -> Option<String> {
        let mut setup = Setup::default();
        read(text, &mut setup).then_some(setup.tone.readings)
    }

    #[test]
    fn even_codes_are_left_out() {
        let text = "ink %;density\n0;1.44\n33.3;0.57\n66.7;0.15\n100;0.1";
        assert_eq!(there(text), "d144,57,15,10");
        assert_eq!(back("d144,57,15,10").as_deref(), Some(text));
    }

    #[test]
    fn other_codes_travel_and_repeats_are_averaged() {
        let text = "ink %;L*;L*\n0;16;18\n35;48.04\n100;94";
        assert_eq!(there(text), "l0:170,350:480,1000:940");
        assert_eq!(back("l0:170,350:480,1000:940").as_deref(), Some("ink %;L*\n0;17\n35;48\n100;94"));
    }

    #[test]
    fn what_is_no_list_is_refused() {
        for text in [
            "x1,2",
            "d",
            "d1:2:3,4",
            "d0:1,0:2",
            "d1001:5,0:3",
            "d-1,2",
            "d1,,2",
            "d99999,1",
            "d1e3,2",
            "dNaN,1",
            "é",
        ] {
            assert_eq!(back(text), None, "{text}");
        }
        assert_eq!(back(&format!("d{}1", "1,".repeat(MOST))), None);
        assert_eq!(back("").as_deref(), Some(""));
        assert_eq!(there("no numbers here"), "");
    }
}
