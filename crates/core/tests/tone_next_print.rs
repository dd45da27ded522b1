//! The band of the next print, under exposures and coats that vary: it holds what the next print shows as often as it
//! says, and the error it predicts is the error there is.

#![cfg(not(target_arch = "wasm32"))]
#![allow(clippy::unwrap_used, unreachable_pub, reason = "a test may fail")]

mod simulated;

use serde_json::Value;
use simulated::{Chance, DEMO, Drift, HARD, SOFT};
use sorrel_core::math;
use sorrel_core::tone::next_print::NextPrint;
use sorrel_core::tone::pooled::{self, Sheet};
use sorrel_core::tone::scatter::Scatter;
use sorrel_core::tone::{Aim, Correction, Response};

#[test]
fn the_band_of_the_next_print_holds_it() {
    for (exposure, coat, sheets) in [(0.03, 0.5, 1), (0.015, 0.3, 1), (0.05, 0.8, 1), (0.03, 0.5, 3)] {
        let scatter = Scatter { exposure, coat, strips: 9 };
        let mut chance = Chance(17);
        let (mut inside, mut total, mut predicted, mut found) = (0, 0, 0.0, 0.0);
        for print in 0..500 {
            let process = [DEMO, HARD, SOFT][print % 3];
            let chart = [(29, 1, 6), (53, 1, 6), (53, 2, 4)][(print / 3) % 3];
            let drawn = |chance: &mut Chance| Drift::drawn(&process, exposure, coat, chance);
            let given: Vec<Sheet> = (0..sheets)
                .map(|i| {
                    let drift = drawn(&mut chance);
                    Sheet { name: i.to_string(), readings: process.chart(chart, 0.6, drift, &mut chance) }
                })
                .collect();
            let response = pooled::fit(&given, None).unwrap().response;
            let correction = Correction::from_response(&response, Aim::AsOnScreen);
            let next = NextPrint::new(&response, &correction, scatter, sheets);
            let drift = drawn(&mut chance);
            for i in 0..=20 {
                let u = f64::from(i) / 20.0;
                let shown = process.lightness(correction.at(u), drift);
                let e = next.at(u);
                inside += usize::from((e.low..=e.high).contains(&shown));
                total += 1;
                predicted += next.parts(u).total();
                found += (shown - e.value) * (shown - e.value);
            }
        }
        let share = f64::from(u32::try_from(inside).unwrap()) / f64::from(total);
        let (predicted, found) =
            (math::sqrt(predicted / f64::from(total)), math::sqrt(found / f64::from(total)));
        println!(
            "exposure {exposure} log, coat {coat} L*, {sheets} sheets: the band holds {:.1} %, RMS {found:.2} L* (predicted {predicted:.2})",
            100.0 * share
        );
        assert!((0.92..=0.97).contains(&share), "{share}");
        assert!((found / predicted - 1.0).abs() < 0.12, "{found} {predicted}");
    }
}

/// The process moves after its curve was measured; five margin strips tell by how much. Without them the band is too
/// narrow, with them it holds again.
#[test]
fn the_band_holds_a_process_that_has_drifted() {
    for (drift, exposure, coat) in [(0.0, 0.015, 0.3), (0.04, 0.015, 0.3), (-0.08, 0.02, 0.4)] {
        let mut chance = Chance(23);
        let (mut knowing, mut unknowing, mut total) = (0, 0, 0);
        for print in 0..300 {
            let process = [DEMO, HARD, SOFT][print % 3];
            let today = |chance: &mut Chance| {
                let chanced = Drift::drawn(&process, exposure, coat, chance);
                Drift { exposure: chanced.exposure + drift, ..chanced }
            };
            let first = Drift::drawn(&process, exposure, coat, &mut chance);
            let response = Response::fit(&process.chart((53, 1, 6), 0.6, first, &mut chance)).unwrap();
            let correction = Correction::from_response(&response, Aim::AsOnScreen);
            let strips: Vec<_> = (0..5)
                .map(|_| {
                    let day = today(&mut chance);
                    process.strip(0.6, day, &mut chance)
                })
                .collect();
            let learnt = Scatter::learnt(&strips, &response);
            let blind = NextPrint::new(&response, &correction, learnt.scatter, 1);
            let next = blind.clone().drifted(learnt.drift);
            let day = today(&mut chance);
            for u in (0..=20).map(|i| f64::from(i) / 20.0) {
                let shown = process.lightness(correction.at(u), day);
                let holds = |n: &NextPrint| u32::from((n.at(u).low..=n.at(u).high).contains(&shown));
                knowing += holds(&next);
                unknowing += holds(&blind);
                total += 1;
            }
        }
        let share = |n: u32| f64::from(n) / f64::from(total);
        let (knowing, unknowing) = (share(knowing), share(unknowing));
        println!(
            "drift {drift} log: the band holds {:.1} % knowing it by five strips, {:.1} % without",
            100.0 * knowing,
            100.0 * unknowing
        );
        assert!(knowing >= 0.92, "{knowing}");
        assert!(drift == 0.0 || unknowing < knowing - 0.04, "{unknowing} {knowing}");
    }
}

#[test]
fn a_perfect_curve_leaves_what_outside_simulations_found() {
    let r: Value =
        serde_json::from_str(include_str!("../../../tests/reference/tone_simulations/results.json")).unwrap();
    // Their exposures varied by this much, their blacks by that.
    for (key, exposure, coat) in [("C|0.01|perfect", 0.01, 0.3), ("C|0.02|perfect", 0.02, 0.5)] {
        let stated = r["rounds_drift_outliers_coverage"][key]["rms"].as_f64().unwrap();
        let mut chance = Chance(2);
        let readings = DEMO.chart((101, 2, 20), 0.05, Drift::default(), &mut chance);
        let response = Response::fit(&readings).unwrap();
        let correction = Correction::from_response(&response, Aim::LinearLightness);
        let next = NextPrint::new(&response, &correction, Scatter { exposure, coat, strips: 9 }, 1);
        let p = next.mean_parts();
        let got = math::sqrt(p.exposure + p.coat);
        println!("{key}: {got:.2} L* (outside {stated:.2})");
        // Another process of the same kind; the size is what is compared.
        assert!((got / stated - 1.0).abs() < 0.25, "{got} {stated}");
    }
}
