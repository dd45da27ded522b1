//! The correction to begin with, and tables as people send them.

#![allow(clippy::unwrap_used, reason = "a test may fail")]

#[cfg(target_arch = "wasm32")]
use wasm_bindgen_test::wasm_bindgen_test as test;

use serde_json::Value;
use sorrel_core::math;
use sorrel_core::tone::readings::parse;
use sorrel_core::tone::starting::TypicalPrint;
use sorrel_core::tone::table::split;
use sorrel_core::tone::{Aim, Correction, Measured, Quantity, lightness};

#[test]
fn the_typical_print_is_what_it_says() {
    let print = TypicalPrint::new();
    // Black within 0.03 of 1.45, white within 0.02 of 0.07: what "black" and "white" mean in a working range.
    assert!((print.density(0.0) - 1.42).abs() < 1e-9, "{}", print.density(0.0));
    assert!((print.density(1.0) - 0.09).abs() < 1e-9, "{}", print.density(1.0));
    // The exposure scale read off its own curve: ink between net densities 0.04 and 0.9 of the range (after ISO 6846).
    let reach = |d: f64| {
        let (mut low, mut high) = (-1.0, 2.0);
        let density = |code: f64| {
            let x = math::exp10(-print.ink_range() * code);
            let black = -math::ln(0.03 / 1.38);
            0.07 + 1.38 * (1.0 - math::exp(-black * math::pow(x, print.steepness())))
        };
        for _ in 0..80 {
            let middle = 0.5 * (low + high);
            if density(middle) > d { low = middle } else { high = middle }
        }
        low * print.ink_range()
    };
    let scale = reach(0.07 + 0.04) - reach(0.07 + 0.9 * 1.38);
    assert!((scale - 1.75).abs() < 1e-9, "{scale}");
    // A working range is longer than the exposure scale; 2.25 was found for a print of scale 1.76.
    assert!((print.ink_range() - 2.25).abs() < 0.05, "{}", print.ink_range());
}

#[test]
fn the_starting_correction_meets_its_own_model() {
    let c = Correction::starting(Aim::LinearLightness);
    let print = TypicalPrint::new();
    assert_eq!(c.measured(), Measured::No);
    assert_eq!(c.measured().words(), "not measured, mid tones ± 15 L*");
    let (black, white) = (print.lightness(0.0), print.lightness(1.0));
    for i in 0..=1000 {
        let u = f64::from(i) / 1000.0;
        let aim = black + (white - black) * u;
        assert!((print.lightness(c.at(u)) - aim).abs() < 0.06, "{u}");
        assert!((c.expected_lightness(u) - aim).abs() < 0.06, "{u}");
    }
    let middle = c.expected(0.5);
    assert!((middle.high - middle.value - 15.0).abs() < 0.1);
    assert!(black > 22.0 && black < 24.0 && white > 91.0 && white < 94.0, "{black} {white}");
    assert!((lightness::to_density(white).unwrap() - 0.09).abs() < 1e-9);
    let points = c.points(5);
    assert_eq!(points.len(), 5);
    assert_eq!((points[0].0, points[4].0), (0.0, 1.0));
    assert!(points.windows(2).all(|w| w[0].1 < w[1].1));
    assert_eq!(c.points(0).len(), 2);
    assert_eq!((c.at(-1.0), c.at(2.0), c.at(f64::NAN)), (c.at(0.0), c.at(1.0), c.at(0.0)));
}

#[test]
fn tables_as_people_send_them() {
    let r: Value =
        serde_json::from_str(include_str!("../../../tests/reference/csv_tables/csv.json")).unwrap();
    let cells = |text: &str| split(text).lines.into_iter().map(|l| l.cells).collect::<Vec<_>>();
    let want: Vec<Vec<String>> = serde_json::from_value(r["rows"].clone()).unwrap();
    assert_eq!(cells(r["text"].as_str().unwrap()), want);

    // What each of the shorter tables says, as rows of (ink in percent, values).
    let meant: [&[(f64, &[f64])]; 9] = [
        &[(1.5, &[2.5])],
        &[(0.0, &[94.0])],
        &[(0.0, &[94.0])],
        &[(0.0, &[94.0])],
        &[(0.0, &[94.0]), (25.0, &[76.1])],
        &[],
        &[(0.0, &[94.0])],
        &[(0.0, &[94.0]), (0.0, &[93.8])],
        &[(0.0, &[100.0])],
    ];
    let cases = r["lenient_cases"].as_array().unwrap();
    assert_eq!(cases.len(), meant.len());
    for (case, meant) in cases.iter().zip(meant) {
        let text = case["text"].as_str().unwrap();
        let found = parse(text, Some(Quantity::Lightness));
        let rows: Vec<(f64, Vec<f64>)> = found.rows.iter().map(|r| (r.code, r.values.clone())).collect();
        let want: Vec<(f64, Vec<f64>)> = meant.iter().map(|(c, v)| (c * 0.01, v.to_vec())).collect();
        assert_eq!(rows, want, "{text:?}");
        assert_eq!(found.faults.len(), usize::from(meant.is_empty()), "{text:?}");
    }

    // The long table holds 8-bit codes; those above 100 are named, not guessed at.
    let found = parse(r["text"].as_str().unwrap(), None);
    assert_eq!(found.rows.iter().map(|r| r.line).collect::<Vec<_>>(), [2]);
    assert_eq!(found.faults.iter().map(|f| f.line).collect::<Vec<_>>(), [3, 4, 6]);
}
