//! What the next print shows at the picture's own tones, with its band.

use super::view::ToneRow;
use crate::estimate::Estimate;
use crate::station::Scene;
use crate::tone::page::next_print;

/// Parts of the picture that are darker than the tones shown, and what these are called.
const SHARES: [(f64, &str); 3] = [
    (0.05, "Dark: a twentieth is darker"),
    (0.50, "Middle: half is darker"),
    (0.95, "Light: a twentieth is lighter"),
];

/// Picture tones (0 black … 1 white) at which a twentieth, a half and nineteen twentieths of a picture are darker, rising;
/// `counts` says how many of its pixels have L* of 0 to 255 in 2.55ths. `None` without pixels.
#[must_use]
pub fn picture_tones(counts: &[u32; 256]) -> Option<[f64; 3]> {
    let all: f64 = counts.iter().map(|n| f64::from(*n)).sum();
    let at = |share: f64| {
        let mut darker = 0.0;
        let place = counts.iter().position(|n| {
            darker += f64::from(*n);
            darker >= share * all
        });
        place.map_or(1.0, |level| level as f64 / 255.0)
    };
    (all > 0.0).then(|| SHARES.map(|(share, _)| at(share)))
}

/// What is shown of them; empty without a picture in hand.
#[inline(never)] // the page loads it when a picture is in hand
pub(super) fn rows(scene: &Scene<'_>) -> Vec<ToneRow> {
    let Some(tones) = scene.device.picture_tones else { return Vec::new() };
    let units = scene.units();
    let next = next_print(scene);
    SHARES
        .iter()
        .zip(tones)
        .map(|((_, name), u)| {
            let Estimate { value, low, high, .. } =
                next.as_ref().map_or_else(|| scene.tone.correction.expected(u), |next| next.at(u));
            let [value, low, high] = [value, low, high].map(|l| units.number(l.clamp(0.0, 100.0), 0));
            ToneRow { name: (*name).into(), text: format!("L*\u{a0}{value}, {low} to {high}") }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn the_tones_of_a_picture_split_it_where_they_say() {
        assert_eq!(picture_tones(&[0; 256]), None);
        assert_eq!(
            picture_tones(&[7; 256]).map(|t| t.map(|u| (256.0 * u).round())),
            Some([12.0, 127.0, 244.0])
        );
        let mut two = [0; 256];
        (two[40], two[200]) = (97, 3);
        assert_eq!(picture_tones(&two), Some([40.0 / 255.0; 3]));
        two[200] = 200;
        assert_eq!(picture_tones(&two), Some([40.0 / 255.0, 200.0 / 255.0, 200.0 / 255.0]));
    }
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod laws {
    use super::*;
    use crate::book::Book;
    use crate::station::{Device, Station};
    use crate::tone::{Tone, solve};
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn tones_rise_and_their_bands_hold_what_is_expected(
            counts in prop::collection::vec(0..5000_u32, 256), bend in 0.3..2.5_f64, measured: bool
        ) {
            let counts: [u32; 256] = counts.try_into().unwrap_or([1; 256]);
            let Some(tones) = picture_tones(&counts) else { return Ok(()) };
            prop_assert!(tones.windows(2).all(|w| w[0] <= w[1]) && tones.iter().all(|u| (0.0..=1.0).contains(u)));
            let lines: Vec<String> = (0..=20)
                .map(|i| {
                    let c = f64::from(i) / 20.0;
                    format!("{} {:.2}", 100.0 * c, 24.0 + 70.0 * crate::math::pow(c, bend))
                })
                .collect();
            let mut book = Book::fresh(1, 2);
            if measured {
                let ask = crate::tone::Ask { readings: lines.join("\n"), ..crate::tone::Ask::default() };
                let keep = Tone::keep(&book, ask);
                book.apply(keep, 3, "tone/type");
            }
            let solved = solve(&book.setup().tone);
            prop_assert_eq!(solved.measured(), measured);
            let device = Device { picture_tones: Some(tones), ..Device::default() };
            let scene = Scene { book: &book, now: 4, zone_minutes: 0, luck: 5, tone: &solved, device: &device };
            let rows = rows(&scene);
            prop_assert_eq!(rows.len(), 3);
            let mut before = 0.0;
            for row in rows {
                let numbers: Vec<f64> =
                    row.text.split(|c: char| !c.is_ascii_digit()).filter_map(|t| t.parse().ok()).collect();
                let [value, low, high] = numbers[..] else { panic!("{}", row.text) };
                prop_assert!(low <= value && value <= high && high > low, "{}", row.text);
                prop_assert!(value >= before, "the print gets darker: {}", row.text);
                before = value;
            }
        }
    }
}
