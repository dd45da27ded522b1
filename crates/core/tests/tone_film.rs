//! Film curve, step curve and their composition, by instrument and by eye, on a simulated process with known truth.

#![cfg(not(target_arch = "wasm32"))]
#![allow(clippy::unwrap_used, unreachable_pub, reason = "a test may fail")]

mod simulated;

use proptest::prelude::*;
use serde_json::Value;
use simulated::{Chance, DEMO, Drift, HARD, Process};
use sorrel_core::math;
use sorrel_core::tone::film_curve::FilmCurve;
use sorrel_core::tone::sighted::{Sighted, Sighting, SightingError};
use sorrel_core::tone::step_curve::{Step, StepCurve, StepError};
use sorrel_core::tone::{Aim, Correction, Reading, lightness};

/// A tablet of `n` steps of `by` density on a base of 0.05, printed and read with scatter.
fn tablet(process: &Process, n: u32, by: f64, sigma: f64, chance: &mut Chance) -> Vec<Step> {
    (0..n)
        .map(|i| {
            let density = 0.05 + by * f64::from(i);
            let l = lightness::from_density(process.behind(density, Drift::default()));
            Step { density, lightness: l + sigma * chance.normal() }
        })
        .collect()
}

fn patches(process: &Process, n: u32, sigma: f64, chance: &mut Chance) -> Vec<Reading> {
    (0..n)
        .map(|i| {
            let c = f64::from(i) / f64::from(n - 1);
            Reading::lightness(c, process.lightness(c, Drift::default()) + sigma * chance.normal())
        })
        .collect()
}

#[test]
fn a_step_print_gives_the_sensitometric_curve() {
    // Exact curves after ISO 6846 (tests/reference/sensitometry/README.md): the middle point m of each, 0.60 over Dmin.
    let r: Value =
        serde_json::from_str(include_str!("../../../tests/reference/sensitometry/iso6846.json")).unwrap();
    let tolerance = r["tolerance_pchip_0p15_steps"].as_f64().unwrap();
    let mut seen = 0;
    for case in r["cases"].as_array().unwrap() {
        let numbers = |key: &str| -> Vec<f64> {
            case[key].as_array().unwrap().iter().map(|x| x.as_f64().unwrap()).collect()
        };
        let source = case["logH_source"].as_f64().unwrap();
        let steps: Vec<Step> = numbers("logH")
            .iter()
            .zip(numbers("D"))
            .map(|(h, d)| Step { density: source - h, lightness: lightness::from_density(d) })
            .collect();
        let curve = StepCurve::fit(&steps).unwrap();
        let m = case["dmin"].as_f64().unwrap() + 0.60;
        let found = source - curve.density_for(lightness::from_density(m)).unwrap();
        let stated = case["exact"]["logH_m"].as_f64().unwrap();
        println!("log H at m: {found:.4} (stated {stated:.4})");
        assert!((found - stated).abs() <= tolerance);
        seen += 1;
    }
    assert_eq!(seen, 3);
}

#[test]
fn the_working_range_of_the_demonstration() {
    // Black within 0.03, white within 0.02 of the ends: 2.25 log H by the model's own formula.
    let steps = tablet(&DEMO, 31, 0.10, 0.0, &mut Chance(1));
    let curve = StepCurve::fit(&steps).unwrap();
    let (from, to) = curve.working_range(0.03, 0.02);
    println!("working range {:.2}", to - from);
    assert!((to - from - 2.25).abs() < 0.12, "{}", to - from);
}

#[test]
fn ink_beside_a_tablet_gives_its_density_without_a_densitometer() {
    let mut chance = Chance(7);
    let (mut square, mut worst, mut inside, mut n) = (0.0, 0.0_f64, 0, 0);
    for _ in 0..40 {
        let steps = StepCurve::fit(&tablet(&DEMO, 31, 0.10, 0.5, &mut chance)).unwrap();
        let film = FilmCurve::fit(&steps, &patches(&DEMO, 31, 0.5, &mut chance)).unwrap();
        // Where the print still tells tones apart; beyond, density is not to be had from it.
        for i in 10..=60 {
            let c = f64::from(i) / 100.0;
            let e = film.density(c);
            let off = e.value - DEMO.ink(c);
            square += off * off;
            worst = worst.max(off.abs());
            inside += i32::from((e.low..=e.high).contains(&DEMO.ink(c)));
            n += 1;
        }
    }
    let rms = math::sqrt(square / f64::from(n));
    let share = f64::from(inside) / f64::from(n);
    println!(
        "density of the ink from 10 to 60 %: {rms:.3} RMS, worst {worst:.3}, band holds {:.1} %",
        100.0 * share
    );
    // One patch alone: 0.5 L* at a slope of 45 is 0.011, 0.02 where it is half of that.
    assert!(rms <= 0.02 && worst <= 0.1, "{rms} {worst}");
    assert!(share >= 0.92, "{share}");
}

#[test]
fn another_mix_needs_only_its_own_step_print() {
    let mut chance = Chance(11);
    let here = StepCurve::fit(&tablet(&DEMO, 31, 0.10, 0.4, &mut chance)).unwrap();
    let film = FilmCurve::fit(&here, &patches(&DEMO, 41, 0.4, &mut chance)).unwrap();
    // The other paper under the same film: its response was never printed.
    let other = Process { film: DEMO.film, range: DEMO.range, ..HARD };
    let there = StepCurve::fit(&tablet(&other, 31, 0.10, 0.4, &mut chance)).unwrap();
    for seconds in [other.seconds, 2.0 * other.seconds] {
        let log_time = math::log10(seconds / other.seconds);
        let response = film.through(&there, log_time).unwrap();
        let truth = Process { seconds, ..other };
        let correction = Correction::from_response(&response, Aim::LinearLightness);
        let (mut square, mut inside) = (0.0, 0);
        for i in 0..=100 {
            let c = f64::from(i) / 100.0;
            let (e, l) = (response.estimate(c), truth.lightness(c, Drift::default()));
            square += (e.value - l) * (e.value - l) / 101.0;
            inside += i32::from((e.low - 0.1..=e.high + 0.1).contains(&l));
        }
        println!(
            "{seconds} s: response put together is {:.2} L* RMS off, band holds {inside} %",
            math::sqrt(square)
        );
        assert!(math::sqrt(square) < 1.2, "{square}");
        assert!(inside >= 90, "{inside}");
        assert!(correction.table().windows(2).all(|w| w[0] <= w[1]));
        assert!(response.points().is_empty() && response.statistics().readings > 50);
    }
}

/// What an eye answers: the two steps of 0.15 around the density it takes the ink for.
fn seen(process: &Process, code: f64, chance: &mut Chance) -> Sighting {
    let u = chance.uniform().clamp(1e-6, 1.0 - 1e-6);
    let taken = process.ink(code) + 0.02 * math::ln(u / (1.0 - u));
    let k = ((taken - 0.05) / 0.15).floor().max(0.0);
    Sighting { code, above: Some(0.05 + 0.15 * k), below: Some(0.05 + 0.15 * (k + 1.0)) }
}

#[test]
fn seven_steps_by_eye_give_a_curve_with_an_honest_band() {
    let mut chance = Chance(5);
    let (mut square, mut width, mut inside, mut n) = (0.0, 0.0, 0, 0);
    for round in 0..200 {
        let process = Process { range: 1.7 + 1.2 * chance.uniform(), ..[DEMO, HARD][round % 2] };
        let seen: Vec<Sighting> =
            (0..7).map(|i| seen(&process, (f64::from(i) + 0.5) / 7.0, &mut chance)).collect();
        let eye = Sighted::fit(&seen).unwrap();
        for i in 5..=95 {
            let c = f64::from(i) / 100.0;
            let off = eye.density(c) - process.ink(c);
            square += off * off;
            width += eye.half_width(c);
            inside += i32::from(off.abs() <= eye.half_width(c));
            n += 1;
        }
    }
    let rms = math::sqrt(square / f64::from(n));
    let share = f64::from(inside) / f64::from(n);
    println!(
        "by eye: {rms:.3} density RMS, half width {:.3}, holds {:.1} %",
        width / f64::from(n),
        100.0 * share
    );
    // A step of 0.15 alone leaves 0.15/√12 = 0.043; seven of them under a smooth curve less.
    assert!(rms <= 0.043, "{rms}");
    assert!((0.90..=0.985).contains(&share), "{share}");
}

#[test]
fn eyes_alone_get_to_a_correction() {
    let mut chance = Chance(3);
    let seen: Vec<Sighting> = (0..7).map(|i| seen(&DEMO, (f64::from(i) + 0.5) / 7.0, &mut chance)).collect();
    let film = FilmCurve::by_eye(&Sighted::fit(&seen).unwrap()).unwrap();
    // Of the tablet beside: the last black step 0.05, the next 0.20; white from about 2.37.
    let steps = StepCurve::by_eye((0.05, 0.20), (2.30, 2.45)).unwrap();
    let response = film.through(&steps, 0.0).unwrap();
    let mut worst = 0.0_f64;
    for i in 0..=100 {
        let c = f64::from(i) / 100.0;
        let (e, l) = (response.estimate(c), DEMO.lightness(c, Drift::default()));
        assert!((e.low..=e.high).contains(&l), "{c}: {l} not in {} to {}", e.low, e.high);
        worst = worst.max((e.value - l).abs());
    }
    println!("by eyes alone the response is at most {worst:.1} L* off");
    assert!(worst < 8.0);
    let half = response.half_width(0.3);
    assert!(half > 3.0, "a band of {half} is too sure for eyes");
}

#[test]
fn what_cannot_be_is_refused_with_a_mend() {
    assert_eq!(StepCurve::fit(&[]).unwrap_err(), StepError::TooFew(0));
    let flat: Vec<Step> = (0..20).map(|i| Step { density: 0.1 * f64::from(i), lightness: 50.0 }).collect();
    assert_eq!(StepCurve::fit(&flat).unwrap_err(), StepError::NoDirection);
    assert!(StepCurve::by_eye((2.0, 2.1), (0.1, 0.2)).is_err());
    let one = Sighting { code: 0.5, above: Some(0.6), below: Some(0.5) };
    assert_eq!(Sighted::fit(&[one]).unwrap_err(), SightingError::Faulty(0));
    assert_eq!(Sighted::fit(&[]).unwrap_err(), SightingError::Count(0));
    let short: Vec<Step> = tablet(&DEMO, 14, 0.10, 0.0, &mut Chance(1));
    let curve = StepCurve::fit(&short).unwrap();
    assert!(curve.notes().iter().any(|n| n.text.starts_with("White was not reached")), "{:?}", curve.notes());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn sightings_give_a_finite_curve_or_a_reason(
        seen in prop::collection::vec(
            (0.0..=1.0_f64, prop::option::of(0.0..6.0_f64), prop::option::of(0.0..6.0_f64)), 0..12
        )
    ) {
        let seen: Vec<Sighting> = seen
            .into_iter()
            .map(|(code, a, b)| match (a, b) {
                (Some(a), Some(b)) => Sighting { code, above: Some(a.min(b)), below: Some(a.max(b) + 0.01) },
                (above, below) => Sighting { code, above, below },
            })
            .collect();
        match Sighted::fit(&seen) {
            Ok(s) => {
                for i in 0..=20 {
                    let c = f64::from(i) / 20.0;
                    prop_assert!(s.density(c).is_finite() && s.half_width(c).is_finite() && s.half_width(c) > 0.0);
                }
                if let Ok(film) = FilmCurve::by_eye(&s) {
                    let rises = (0..20).all(|i| film.net(f64::from(i) / 20.0) <= film.net(f64::from(i + 1) / 20.0));
                    prop_assert!(rises);
                }
            }
            Err(e) => prop_assert!(!e.note().mend.is_empty()),
        }
    }

    #[test]
    fn narrower_sightings_never_widen_the_band_much(seed in any::<u64>()) {
        let mut chance = Chance(seed);
        let wide: Vec<Sighting> = (0..7).map(|i| seen(&DEMO, (f64::from(i) + 0.5) / 7.0, &mut chance)).collect();
        let narrow: Vec<Sighting> = wide
            .iter()
            .map(|s| {
                let d = DEMO.ink(s.code);
                Sighting { above: Some(d - 0.03), below: Some(d + 0.03), ..*s }
            })
            .collect();
        let (wide, narrow) = (Sighted::fit(&wide).unwrap(), Sighted::fit(&narrow).unwrap());
        let mean = |s: &Sighted| (0..=20).map(|i| s.half_width(f64::from(i) / 20.0)).sum::<f64>();
        prop_assert!(mean(&narrow) <= 1.02 * mean(&wide));
    }

    #[test]
    fn any_steps_give_a_rising_curve_or_a_reason(
        steps in prop::collection::vec((-0.5..7.0_f64, -5.0..110.0_f64), 0..40)
    ) {
        let steps: Vec<Step> = steps.into_iter().map(|(density, lightness)| Step { density, lightness }).collect();
        match StepCurve::fit(&steps) {
            Ok(c) => {
                let (low, high) = c.steps_read();
                prop_assert!(low < high && c.slope(low).is_finite() && c.half_width(high).is_finite());
            }
            Err(e) => prop_assert!(!e.note().mend.is_empty()),
        }
    }
}
