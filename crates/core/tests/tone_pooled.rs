//! Several sheets as one response: known offsets come back, wrong sheets are named, and pooling is worth what outside
//! simulations found it to be (`tests/reference/tone_simulations/README.md`).

#![cfg(not(target_arch = "wasm32"))]
#![allow(clippy::unwrap_used, unreachable_pub, reason = "a test may fail")]

mod simulated;

use proptest::prelude::*;
use serde_json::Value;
use simulated::{Chance, DEMO, Drift, HARD, Process, SOFT};
use sorrel_core::math;
use sorrel_core::note::Note;
use sorrel_core::tone::pooled::{self, Sheet};
use sorrel_core::tone::scatter::{Day, Scatter};
use sorrel_core::tone::{Aim, Correction, Reading, Response};

const LARGE: (usize, usize, usize) = (51, 2, 6);

fn sheet(name: &str, readings: Vec<Reading>) -> Sheet {
    Sheet { name: name.into(), readings }
}

/// RMS over tones of what a print made through `correction` shows, against the aim between the true ends.
fn error(process: &Process, correction: &Correction, black: f64, white: f64) -> f64 {
    let square = |i: i32| {
        let u = f64::from(i) / 100.0;
        let e = process.lightness(correction.at(u), Drift::default()) - (black + (white - black) * u);
        e * e
    };
    (0..=100).map(square).sum::<f64>() / 101.0
}

#[test]
fn a_second_round_pooled_beats_the_first_as_in_outside_simulations() {
    let r: Value =
        serde_json::from_str(include_str!("../../../tests/reference/tone_simulations/results.json")).unwrap();
    let stated = |key: &str| r["rounds_drift_outliers_coverage"][key]["rms"].as_f64().unwrap();
    for drift in [0.0, 0.02] {
        let mut chance = Chance(5);
        let (mut one, mut two, mut n) = (0.0, 0.0, 0.0);
        for process in [DEMO, HARD, SOFT] {
            let (black, white) =
                (process.lightness(0.0, Drift::default()), process.lightness(1.0, Drift::default()));
            for _ in 0..60 {
                let d = Drift::drawn(&process, drift, 0.0, &mut chance);
                let first = process.chart((101, 1, 0), 0.6, d, &mut chance);
                let c1 = Correction::from_response(&Response::fit(&first).unwrap(), Aim::LinearLightness);
                // The second round is printed through the first correction, and its codes are picture tones.
                let d = Drift::drawn(&process, drift, 0.0, &mut chance);
                let second: Vec<Reading> = (0..=100)
                    .map(|i| {
                        let u = f64::from(i) / 100.0;
                        Reading::lightness(u, process.lightness(c1.at(u), d) + 0.6 * chance.normal())
                    })
                    .collect();
                let second = sheet("two", second).through(c1.table());
                let both = pooled::fit(&[sheet("one", first), second], None).unwrap();
                let c2 = Correction::from_response(&both.response, Aim::LinearLightness);
                one += error(&process, &c1, black, white);
                two += error(&process, &c2, black, white);
                n += 1.0;
            }
        }
        let (one, two) = (math::sqrt(one / n), math::sqrt(two / n));
        let key = if drift > 0.0 { "D|0.02" } else { "D|0.0" };
        // The mean of two independent prints errs by 1/√2 of one; outside figures below that are luck of the draw.
        let bar = core::f64::consts::FRAC_1_SQRT_2
            .max(stated(&format!("{key}|round2 pooled+offset")) / stated(&format!("{key}|round1")));
        println!(
            "drift {drift} log: first round {one:.3}, pooled {two:.3} L* RMS: {:.2} (outside {bar:.2})",
            two / one
        );
        assert!(two / one <= bar + 0.1, "{drift}: {}", two / one);
    }
}

#[test]
fn known_offsets_come_back_and_a_bad_patch_does_not_move_them() {
    let mut chance = Chance(3);
    let drifts = [0.04, -0.03, 0.0];
    let mut sheets: Vec<Sheet> = drifts
        .iter()
        .map(|&exposure| sheet("s", DEMO.chart(LARGE, 0.4, Drift { exposure, coat: 0.0 }, &mut chance)))
        .collect();
    for i in [20, 40, 60] {
        sheets[0].readings[i].value -= 9.0;
    }
    let pooled = pooled::fit(&sheets, None).unwrap();
    let mean: f64 = drifts.iter().sum::<f64>() / 3.0;
    for (lie, drift) in pooled.sheets.iter().zip(drifts) {
        println!(
            "{:+.3} log given, {:+.3} found, offset {:+.2} ± {:.2} L*",
            drift - mean,
            lie.log_exposure,
            lie.offset,
            lie.error
        );
        assert!((lie.log_exposure - (drift - mean)).abs() < 0.008);
        assert!(lie.error < 0.15 && lie.spread < 0.8, "{lie:?}");
    }
    // With a reference, its own exposure is what the response stands for.
    let to_first = pooled::fit(&sheets, Some(0)).unwrap();
    assert_eq!(to_first.sheets[0].offset, 0.0);
    let middle = 0.3;
    let off = to_first.response.at(middle) - DEMO.lightness(middle, Drift { exposure: 0.04, coat: 0.0 });
    assert!(off.abs() < 0.5, "{off}");
}

#[test]
fn one_sheet_is_what_it_was() {
    let readings = DEMO.chart((41, 1, 6), 0.6, Drift::default(), &mut Chance(9));
    let alone = Response::fit(&readings).unwrap();
    let pooled = pooled::fit(&[sheet("only", readings)], None).unwrap();
    assert_eq!(pooled.sheets[0].offset, 0.0);
    for i in 0..=200 {
        let c = f64::from(i) / 200.0;
        assert_eq!(alone.estimate(c), pooled.response.estimate(c));
    }
}

#[test]
fn another_paper_among_the_sheets_is_named() {
    let mut chance = Chance(4);
    let soft_black = Process { net: 1.05, ..DEMO };
    let sheets = [
        sheet("January", DEMO.chart(LARGE, 0.5, Drift::default(), &mut chance)),
        sheet("February", DEMO.chart(LARGE, 0.5, Drift { exposure: 0.02, coat: 0.0 }, &mut chance)),
        sheet("other box", soft_black.chart(LARGE, 0.5, Drift::default(), &mut chance)),
    ];
    let notes = pooled::fit(&sheets, None).unwrap().response.notes().to_vec();
    let said = |notes: &[Note]| -> Vec<String> {
        notes.iter().filter(|n| n.text.contains("than the other sheets")).map(|n| n.text.clone()).collect()
    };
    let texts = said(&notes);
    assert!(texts.len() == 1 && texts[0].starts_with("other box: its black is"), "{texts:?}");
    // Of two, each lies half way off the curve; the later one is named, once, with the whole difference.
    let two = pooled::fit(&[sheets[0].clone(), sheets[2].clone()], None).unwrap();
    let texts = said(two.response.notes());
    assert!(texts.len() == 1 && texts[0].starts_with("other box: its black is"), "{texts:?}");
    let apart = soft_black.lightness(0.0, Drift::default()) - DEMO.lightness(0.0, Drift::default());
    let told: f64 = texts[0].split_whitespace().find_map(|word| word.parse().ok()).unwrap();
    assert!((told - apart).abs() < 1.0, "{told} {apart}");
    let fine = pooled::fit(&sheets[..2], None).unwrap();
    assert_eq!(said(fine.response.notes()), [""; 0]);
}

#[test]
fn a_sheet_entered_the_wrong_way_round_is_turned_and_said() {
    let mut chance = Chance(6);
    let mut turned = DEMO.chart(LARGE, 0.4, Drift::default(), &mut chance);
    turned.iter_mut().for_each(|r| r.code = 1.0 - r.code);
    let sheets = [sheet("a", DEMO.chart(LARGE, 0.4, Drift::default(), &mut chance)), sheet("b", turned)];
    let pooled = pooled::fit(&sheets, None).unwrap();
    assert!(pooled.response.notes().iter().any(|n| n.text.starts_with("b: gets darker")));
    assert!((pooled.response.at(0.3) - DEMO.lightness(0.3, Drift::default())).abs() < 0.6);
}

#[test]
fn a_strip_tells_exposure_and_coat_apart() {
    let response = Response::fit(&DEMO.chart(LARGE, 0.2, Drift::default(), &mut Chance(8))).unwrap();
    for (exposure, coat) in [(0.06, 0.0), (-0.05, 0.0), (0.0, -0.04), (0.04, -0.03)] {
        let strip = DEMO.strip(0.0, Drift { exposure, coat }, &mut Chance(1));
        let day = Day::read(&strip, &response).unwrap();
        // A coat thinner by a part of its net density is lighter in black by that part times dL*/dD.
        let lighter =
            DEMO.lightness(0.0, Drift { exposure: 0.0, coat }) - DEMO.lightness(0.0, Drift::default());
        println!("exposure {exposure:+.3}: {:+.3}; black {lighter:+.2}: {:+.2} L*", day.exposure, day.coat);
        assert!((day.exposure - exposure).abs() < 0.012 && (day.coat - lighter).abs() < 0.35);
    }
    assert_eq!(Day::read(&[], &response), None);
}

#[test]
fn scatter_is_learnt_from_three_strips_on() {
    let response = Response::fit(&DEMO.chart(LARGE, 0.3, Drift::default(), &mut Chance(8))).unwrap();
    let mut chance = Chance(12);
    let mut strips = |n: usize, exposure: f64| -> Vec<Vec<Reading>> {
        (0..n)
            .map(|_| {
                let drift = Drift::drawn(&DEMO, exposure, 0.4, &mut chance);
                DEMO.strip(0.5, drift, &mut Chance(drift.exposure.to_bits()))
            })
            .collect()
    };
    let few = Scatter::learnt(&strips(2, 0.01), &response);
    assert_eq!((few.scatter, few.drift), (Scatter::STARTING, None));
    for truth in [0.01, 0.06] {
        let learnt = Scatter::learnt(&strips(40, truth), &response);
        println!("scatter of exposure {truth}: {:?}", learnt.scatter);
        // The starting value still counts for three of 42 degrees of freedom.
        let free = 3.0 + 39.0;
        let blended = math::sqrt((3.0 * 0.03 * 0.03 + 39.0 * truth * truth) / free);
        assert!((learnt.scatter.exposure / blended - 1.0).abs() < 0.35, "{:?}", learnt.scatter);
        assert!((learnt.scatter.coat - 0.4).abs() < 0.25, "{:?}", learnt.scatter);
        assert!(learnt.drift.unwrap().0.abs() < 0.03);
    }
    let three = Scatter::learnt(&strips(3, 0.01), &response).scatter.exposure;
    assert!(three < Scatter::STARTING.exposure && three > 0.01, "{three}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn offsets_have_mean_zero_and_the_order_of_sheets_is_of_no_account(
        seed in any::<u64>(), exposures in prop::collection::vec(-0.06..0.06_f64, 2..4)
    ) {
        let mut chance = Chance(seed);
        let sheets: Vec<Sheet> = exposures
            .iter()
            .map(|&exposure| sheet("s", DEMO.chart((31, 1, 4), 0.4, Drift { exposure, coat: 0.0 }, &mut chance)))
            .collect();
        let a = pooled::fit(&sheets, None).unwrap();
        prop_assert!(a.sheets.iter().map(|l| l.offset).sum::<f64>().abs() < 0.02);
        let mut turned = sheets;
        turned.reverse();
        let b = pooled::fit(&turned, None).unwrap();
        for i in 0..=50 {
            let c = f64::from(i) / 50.0;
            prop_assert!((a.response.at(c) - b.response.at(c)).abs() < 0.02);
        }
    }

    #[test]
    fn any_sheets_give_an_answer_or_a_reason(
        sheets in prop::collection::vec(
            prop_oneof![
                prop::collection::vec((prop::num::f64::ANY, prop::num::f64::ANY), 0..9),
                prop::collection::vec((0.0..1.0_f64, 0.0..100.0_f64), 0..30)
            ],
            0..4
        ),
        reference in prop::option::of(0_usize..6)
    ) {
        let sheets: Vec<Sheet> = sheets
            .into_iter()
            .map(|s| sheet("s", s.into_iter().map(|(c, l)| Reading::lightness(c, l)).collect()))
            .collect();
        match pooled::fit(&sheets, reference) {
            Ok(p) => {
                prop_assert_eq!(p.sheets.len(), sheets.len());
                prop_assert!(p.sheets.iter().all(|l| l.offset.is_finite() && l.log_exposure.is_finite() && l.spread.is_finite()));
            }
            Err(e) => prop_assert!(!e.note().mend.is_empty()),
        }
    }
}
