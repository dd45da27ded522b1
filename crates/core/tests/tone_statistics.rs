//! What the tone fit promises on average: coverage of its band, sound readings left alone, bad ones left out, black
//! reversals found. Simulated prints with the known responses of `tests/reference/tone_benchmark`; bars are ours, a
//! little wider than what was measured when they were set (beside each).

#![cfg(not(target_arch = "wasm32"))]
#![allow(
    clippy::unwrap_used,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a test may fail"
)]

use serde_json::Value;
use sorrel_core::math;
use sorrel_core::tone::response::Options;
use sorrel_core::tone::{Aim, Correction, Reading, Response};

/// SplitMix64 and Box–Muller: the same numbers in every run.
struct Chance(u64);

impl Chance {
    fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        let (a, b) = (1.0 - self.uniform(), self.uniform());
        math::sqrt(-2.0 * math::ln(a)) * math::cos(core::f64::consts::TAU * b)
    }
}

fn truths() -> Vec<(String, Vec<f64>)> {
    let text = include_str!("../../../tests/reference/tone_benchmark/tone_benchmark.json");
    let r: Value = serde_json::from_str(text).unwrap();
    let grid = |v: &Value| v.as_array().unwrap().iter().map(|x| x.as_f64().unwrap()).collect();
    r["truth"].as_object().unwrap().iter().map(|(k, v)| (k.clone(), grid(v))).collect()
}

fn straight(grid: &[f64], c: f64) -> f64 {
    let place = c.clamp(0.0, 1.0) * (grid.len() - 1) as f64;
    let i = (place as usize).min(grid.len() - 2);
    grid[i] + (grid[i + 1] - grid[i]) * (place - i as f64)
}

/// One reading a patch at `levels` equal steps, `extra` more at each end.
fn print(truth: &[f64], levels: usize, extra: usize, sigma: f64, chance: &mut Chance) -> Vec<Reading> {
    let inner = (0..levels).map(|i| i as f64 / (levels - 1) as f64);
    let ends = (0..2 * extra).map(|i| (i % 2) as f64);
    inner.chain(ends).map(|c| Reading::lightness(c, straight(truth, c) + sigma * chance.normal())).collect()
}

const DESIGNS: [(usize, usize); 7] = [(7, 0), (11, 0), (21, 0), (21, 5), (31, 0), (51, 0), (101, 7)];

#[test]
fn the_band_holds_the_truth() {
    let places: Vec<f64> = (0..=50).map(|i| f64::from(i) / 50.0).collect();
    for (levels, extra) in DESIGNS {
        let mut chance = Chance(7);
        let (mut inside, mut total, mut left, mut right, mut prints) = (0, 0, 0, 0, 0);
        for (name, truth) in truths().iter().filter(|(n, _)| n != "S5_reversal") {
            for sigma in [0.3, 0.6, 1.0] {
                for _ in 0..16 {
                    let r = Response::fit(&print(truth, levels, extra, sigma, &mut chance)).unwrap();
                    let holds = |c: f64| {
                        let e = r.estimate(c);
                        usize::from((e.low..=e.high).contains(&straight(truth, c)))
                    };
                    inside += places.iter().map(|&c| holds(c)).sum::<usize>();
                    total += places.len();
                    left += holds(0.0);
                    right += holds(1.0);
                    prints += 1;
                    let _ = name;
                }
            }
        }
        let share = |a: usize, b: usize| a as f64 / b as f64;
        let (all, black, white) = (share(inside, total), share(left, prints), share(right, prints));
        println!(
            "{levels} levels + {extra} at each end: all {all:.3}, black end {black:.3}, white end {white:.3}"
        );
        assert!(all >= 0.92, "{levels}+{extra}: {all}");
        assert!(black >= 0.89 && white >= 0.89, "{levels}+{extra}: {black} {white}");
        assert!(all <= 0.98, "{levels}+{extra}: a band that always holds says nothing: {all}");
    }
}

#[test]
fn bad_readings_are_left_out_and_sound_ones_kept() {
    let mut sums = [[0.0; 2]; 2];
    let (mut found, mut bad, mut accused, mut sound) = (0, 0, 0, 0);
    let mut chance = Chance(11);
    let mut n = 0.0;
    for (_, truth) in truths().iter().filter(|(n, _)| n != "S5_reversal") {
        for _ in 0..40 {
            let clean = print(truth, 51, 7, 0.6, &mut chance);
            let mut spoilt = clean.clone();
            let mut which = Vec::new();
            for (i, r) in spoilt.iter_mut().enumerate() {
                if chance.uniform() < 0.05 {
                    let size = 4.0 + 6.0 * chance.uniform();
                    let moved = r.value + if chance.uniform() < 0.5 { size } else { -size };
                    if moved < 104.0 {
                        r.value = moved;
                        which.push(i);
                    }
                }
            }
            for (i, data) in [&clean, &spoilt].into_iter().enumerate() {
                for (j, with_doubt) in [false, true].into_iter().enumerate() {
                    let r = Response::fit_with(data, Options { with_doubt }).unwrap();
                    let c = Correction::from_response(&r, Aim::LinearLightness);
                    let (black, white) = (truth[0], truth[truth.len() - 1]);
                    let error = |k: i32| {
                        let u = f64::from(k) / 100.0;
                        straight(truth, c.at(u)) - (black + (white - black) * u)
                    };
                    sums[i][j] += (0..=100).map(|k| error(k) * error(k)).sum::<f64>() / 101.0;
                    if i == 1 && with_doubt {
                        bad += which.len();
                        found += r.flagged().iter().filter(|f| which.contains(&f.point.index)).count();
                    }
                    if i == 0 && with_doubt {
                        sound += data.len();
                        accused += r.flagged().len();
                    }
                }
            }
            n += 1.0;
        }
    }
    let rms = |i: usize, j: usize| math::sqrt(sums[i][j] / n);
    println!("sound readings: RMS {:.3} without doubt, {:.3} with", rms(0, 0), rms(0, 1));
    println!("5 % bad by 4 to 10 L*: RMS {:.3} without doubt, {:.3} with", rms(1, 0), rms(1, 1));
    println!("{found} of {bad} bad readings listed; {accused} of {sound} sound ones");
    assert!(rms(0, 1) <= 1.03 * rms(0, 0), "doubt costs accuracy on sound readings");
    assert!(rms(1, 1) <= 0.6 * rms(1, 0), "doubt does not help");
    assert!(rms(1, 1) <= 1.15 * rms(0, 0), "bad readings still bend the curve");
    assert!(found * 100 >= bad * 95, "{found} of {bad}");
    assert!(accused * 100 <= sound, "{accused} of {sound}");
}

#[test]
fn a_reversal_is_found_and_none_is_invented() {
    let mut chance = Chance(13);
    let (mut alarms, mut prints) = (0, 0);
    let (mut found, mut reversed) = (0, 0);
    for (name, truth) in &truths() {
        for _ in 0..40 {
            let r = Response::fit(&print(truth, 101, 7, 0.3, &mut chance)).unwrap();
            if name == "S5_reversal" {
                found += usize::from(r.reversal().is_some());
                reversed += 1;
            } else {
                alarms += usize::from(r.reversal().is_some());
                prints += 1;
            }
        }
    }
    println!("reversal found in {found} of {reversed}, alarmed without one in {alarms} of {prints}");
    assert!(found * 10 >= reversed * 7, "{found} of {reversed}");
    assert!(alarms * 100 <= prints, "{alarms} of {prints}");
}

/// The bars of the charts that Sorrel prints: 500 simulated charts, 92 to 97 %.
#[test]
fn the_bands_of_our_own_charts_hold_the_truth() {
    let truths = truths();
    let truths: Vec<&Vec<f64>> =
        truths.iter().filter(|(n, _)| n != "S5_reversal").map(|(_, truth)| truth).collect();
    let mut chance = Chance(21);
    let (mut inside, mut total) = (0, 0);
    for chart in 0..500 {
        let (levels, times, ends) = [(29, 1, 6), (53, 1, 6), (53, 2, 4)][chart % 3];
        let truth = truths[chart % truths.len()];
        let sigma = [0.3, 0.6, 1.0][(chart / 3) % 3];
        let mut readings = print(truth, levels, ends, sigma, &mut chance);
        if times == 2 {
            readings.extend(print(truth, levels, 0, sigma, &mut chance));
        }
        let r = Response::fit(&readings).unwrap();
        for c in (0..=50).map(|i| f64::from(i) / 50.0) {
            let e = r.estimate(c);
            inside += usize::from((e.low..=e.high).contains(&straight(truth, c)));
            total += 1;
        }
    }
    let share = inside as f64 / total as f64;
    println!(
        "500 charts of 41, 65 and 114 patches: the band holds the truth at {:.1} % of the codes",
        100.0 * share
    );
    assert!((0.92..=0.97).contains(&share), "{share}");
}
