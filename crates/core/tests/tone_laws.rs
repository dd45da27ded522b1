//! Laws the tone mathematics keeps on any input.

#![cfg(not(target_arch = "wasm32"))]
#![allow(clippy::unwrap_used, clippy::cast_possible_truncation, reason = "a test may fail")]

use proptest::prelude::*;
use sorrel_core::tone::ink_limit::InkLimit;
use sorrel_core::tone::inverse::Inverse;
use sorrel_core::tone::monotone::{Monotone, Rule};
use sorrel_core::tone::next_print::NextPrint;
use sorrel_core::tone::pairs::Pairs;
use sorrel_core::tone::readings::parse;
use sorrel_core::tone::scatter::Scatter;
use sorrel_core::tone::{
    Aim, Correction, Quantity, Reading, Response, Toe, advice, density, film_code16, ink_limit, lightness,
    pava, residuals,
};

/// Readings of a print that rises from black to white, with scatter, at any number of codes.
fn print() -> impl Strategy<Value = Vec<Reading>> {
    (5_usize..60, 0.3..3.0_f64, 0.0..1.5_f64).prop_flat_map(|(n, bend, scatter)| {
        prop::collection::vec(-1.0..1.0_f64, n).prop_map(move |noise| {
            let one = |(i, e): (usize, &f64)| {
                let c = i as f64 / (n - 1) as f64;
                Reading::lightness(c, 25.0 + 66.0 * sorrel_core::math::pow(c, bend) + scatter * e)
            };
            noise.iter().enumerate().map(one).collect()
        })
    })
}

fn any_reading() -> impl Strategy<Value = Reading> {
    let number = prop_oneof![
        4 => 0.0..1.0_f64,
        2 => 0.0..100.0_f64,
        1 => -1e9..1e9_f64,
        1 => prop::num::f64::ANY,
        1 => Just(0.0),
        1 => Just(1.0),
    ];
    let quantity = prop_oneof![Just(Quantity::Density), Just(Quantity::Lightness)];
    (number.clone(), number, quantity, prop_oneof![9 => Just(1.0), 1 => prop::num::f64::ANY])
        .prop_map(|(code, value, quantity, weight)| Reading { code, value, quantity, weight, id: "p".into() })
}

/// Readings that are each possible, but make no sense together.
fn wild_readings() -> impl Strategy<Value = Vec<Reading>> {
    let code = prop_oneof![0.0..=1.0_f64, Just(0.0), Just(1.0), Just(0.5), 0.5..0.5001_f64];
    let one = (code, 0.0..100.0_f64, 1e-6..1e6_f64)
        .prop_map(|(c, l, w)| Reading::lightness(c, l).weighing(if w < 1.0 { 1.0 } else { w }));
    prop::collection::vec(one, 0..80)
}

fn sound(r: &Response) -> Result<(), TestCaseError> {
    let mut before = f64::NEG_INFINITY;
    for i in 0..=1000 {
        let c = f64::from(i) / 1000.0;
        let e = r.estimate(c);
        prop_assert!(e.value.is_finite() && e.low.is_finite() && e.high.is_finite());
        prop_assert!(e.low <= e.value && e.value <= e.high);
        prop_assert!(e.value >= before, "the response falls at {}", c);
        before = e.value;
    }
    prop_assert!(r.points().iter().all(|p| p.residual.is_finite() && (0.0..=1.0).contains(&p.counts)));
    let s = r.statistics();
    prop_assert!(s.rms.is_finite() && s.worst.is_finite() && s.sigma > 0.0 && s.sigma.is_finite());

    let c = Correction::from_response(r, Aim::LinearLightness);
    prop_assert_eq!(c.table().len(), 4096);
    prop_assert!(c.table().windows(2).all(|w| w[0] <= w[1]), "the correction falls");
    prop_assert!(c.table().iter().all(|v| (0.0..=1.0).contains(v)));
    prop_assert!(c.steepest().value >= c.flattest().value && c.flattest().value >= 0.0);
    for i in 0..=100 {
        let e = c.expected(f64::from(i) / 100.0);
        prop_assert!(e.low <= e.value && e.value <= e.high && e.high.is_finite());
    }
    let pairs = Pairs::new(&[(0.0, 5.0), (50.0, 60.0), (100.0, 99.0)]).unwrap();
    for aim in [Aim::AsOnScreen, Aim::LinearDensity, Aim::Own(pairs)] {
        for toe in [Toe::AsAimed, Toe::Kept] {
            let c = Correction::with_toe(r, aim.clone(), toe);
            prop_assert!(c.table().windows(2).all(|w| w[0] <= w[1]), "the correction falls: {:?}", aim);
            prop_assert!(c.table().iter().all(|v| (0.0..=1.0).contains(v)));
            let next = NextPrint::new(r, &c, Scatter::STARTING, 1);
            let e = next.at(0.5);
            prop_assert!(e.low <= e.value && e.value <= e.high && e.high.is_finite());
            prop_assert!(next.half(0.5) >= c.expected(0.5).high - c.expected(0.5).value - 1e-9);
            prop_assert!(
                next.rms().is_finite()
                    && next.middle_stops() >= 0.0
                    && !next.in_stops(sorrel_core::show::Units::default()).is_empty()
            );
            prop_assert!(advice::ranked(&next, r).iter().all(|a| a.then <= a.now + 1e-9));
            // More drift, or drift that is known less well, never narrows the band.
            let mut narrower = 0.0;
            for drift in [(0.0, 0.0), (0.01, 0.0), (-0.02, 0.0), (0.05, 0.0), (0.05, 0.03), (-0.3, 0.03)] {
                let drifted = next.clone().drifted(Some(drift));
                let (half, e) = (drifted.half(0.5), drifted.at(0.5));
                prop_assert!(half >= narrower, "{:?}: {} after {}", drift, half, narrower);
                prop_assert!(e.low <= e.value && e.value <= e.high && e.high.is_finite());
                prop_assert!(advice::ranked(&drifted, r).iter().all(|a| a.then <= a.now + 1e-9));
                narrower = half;
            }
        }
    }
    prop_assert!(!residuals::chart(r).is_empty());
    if let InkLimit::From(e) = ink_limit::offer(r, None, 0.02) {
        prop_assert!(e.low <= e.value && e.value <= e.high && e.high <= 1.0);
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn a_print_gives_a_rising_response(readings in print()) {
        sound(&Response::fit(&readings).unwrap())?;
    }

    #[test]
    fn any_readings_give_an_answer_or_a_reason(readings in prop::collection::vec(any_reading(), 0..40)) {
        match Response::fit(&readings) {
            Ok(r) => sound(&r)?,
            Err(e) => prop_assert!(!e.note().text.is_empty() && !e.note().mend.is_empty()),
        }
    }

    #[test]
    fn wild_readings_do_no_harm(readings in wild_readings()) {
        if let Ok(r) = Response::fit(&readings) {
            sound(&r)?;
        }
    }

    #[test]
    fn the_inverse_undoes_the_response_in_the_live_range(readings in print(), t in 0.0..1.0_f64) {
        let r = Response::fit(&readings).unwrap();
        let (black, white) = (r.black(), r.white());
        let l = black.lightness.value + (white.lightness.value - black.lightness.value) * t;
        let c = r.code_for(l);
        prop_assert!((black.code..=white.code).contains(&c));
        // Within the plateaus' 0.05 L* at the ends, to rounding between.
        prop_assert!((r.at(c) - l).abs() <= 0.05 + 1e-9, "{} {}", r.at(c), l);
        let inner = l > r.at(black.code) && l < r.at(white.code);
        prop_assert!(!inner || (r.at(c) - l).abs() < 1e-9, "{} {}", r.at(c), l);
    }

    #[test]
    fn the_order_of_readings_is_of_no_account(
        (readings, shuffled) in print().prop_flat_map(|r| (Just(r.clone()), Just(r).prop_shuffle()))
    ) {
        let (a, b) = (Response::fit(&readings).unwrap(), Response::fit(&shuffled).unwrap());
        for i in 0..=200 {
            let c = f64::from(i) / 200.0;
            prop_assert_eq!(a.estimate(c), b.estimate(c));
        }
    }

    #[test]
    fn codes_turned_round_give_the_same_response(readings in print()) {
        let turned: Vec<Reading> = readings.iter().map(|r| Reading { code: 1.0 - r.code, ..r.clone() }).collect();
        let (a, b) = (Response::fit(&readings).unwrap(), Response::fit(&turned).unwrap());
        prop_assert!(b.turned() && !a.turned());
        for i in 0..=100 {
            let c = f64::from(i) / 100.0;
            prop_assert!((a.at(c) - b.at(c)).abs() < 1e-5, "{} {}", a.at(c), b.at(c));
        }
    }

    #[test]
    fn a_lighter_print_is_the_same_curve_higher(readings in print(), more in -4.0..4.0_f64) {
        let higher: Vec<Reading> =
            readings.iter().map(|r| Reading { value: r.value + more, ..r.clone() }).collect();
        let (a, b) = (Response::fit(&readings).unwrap(), Response::fit(&higher).unwrap());
        for i in 0..=50 {
            let c = f64::from(i) / 50.0;
            prop_assert!((a.at(c) + more - b.at(c)).abs() < 1e-4, "{} {}", a.at(c) + more, b.at(c));
        }
    }

    #[test]
    fn densities_and_their_lightness_fit_alike(readings in print()) {
        let as_density: Vec<Reading> = readings
            .iter()
            .map(|r| Reading::density(r.code, lightness::to_density(r.value).unwrap()))
            .collect();
        let (a, b) = (Response::fit(&readings).unwrap(), Response::fit(&as_density).unwrap());
        for i in 0..=50 {
            let c = f64::from(i) / 50.0;
            prop_assert!((a.at(c) - b.at(c)).abs() < 1e-5);
        }
    }

    #[test]
    fn densities_add_where_factors_multiply(a in 0.0..4.0_f64, b in 0.0..4.0_f64) {
        let product = density::to_factor(a) * density::to_factor(b);
        prop_assert!((density::from_factor(product).unwrap() - a - b).abs() < 1e-12);
        prop_assert!((density::from_stops(density::to_stops(a)) - a).abs() < 1e-12);
    }

    #[test]
    fn lightness_and_density_are_inverse(l in 0.001..100.0_f64) {
        prop_assert!((lightness::from_density(lightness::to_density(l).unwrap()) - l).abs() < 1e-9);
    }

    #[test]
    fn isotonic_fits_rise_keep_the_mean_and_are_their_own_fit(
        pairs in prop::collection::vec((-50.0..150.0_f64, 0.0..10.0_f64), 1..60)
    ) {
        let (y, w): (Vec<f64>, Vec<f64>) = pairs.into_iter().unzip();
        let fit = pava::fit(&y, &w);
        prop_assert_eq!(fit.len(), y.len());
        prop_assert!(fit.windows(2).all(|v| v[0] <= v[1]));
        prop_assert_eq!(pava::fit(&fit, &w), fit.clone());
        let mean = |v: &[f64]| v.iter().zip(&w).map(|(v, w)| v * w).sum::<f64>();
        prop_assert!((mean(&y) - mean(&fit)).abs() < 1e-7);
    }

    #[test]
    fn monotone_cubics_stay_between_their_points(
        steps in prop::collection::vec((0.01..3.0_f64, 0.0..20.0_f64), 2..20), t in 0.0..1.0_f64
    ) {
        let (mut x, mut y) = (vec![0.0], vec![0.0]);
        for (dx, dy) in steps {
            x.push(x[x.len() - 1] + dx);
            y.push(y[y.len() - 1] + dy);
        }
        for rule in [Rule::FritschCarlson, Rule::FritschButland, Rule::Steffen] {
            let curve = Monotone::new(rule, &x, &y).unwrap();
            let (first, last) = (x[0], x[x.len() - 1]);
            let mut before = y[0];
            for i in 0..=400 {
                let v = curve.at(first + (last - first) * f64::from(i) / 400.0);
                prop_assert!(v >= before - 1e-9, "{:?} falls", rule);
                before = v;
            }
            for (px, py) in x.iter().zip(&y) {
                prop_assert!((curve.at(*px) - py).abs() < 1e-12);
            }
            let target = y[y.len() - 1] * t;
            prop_assert!((curve.at(curve.inverse(target)) - target).abs() < 1e-6);
            let place = first + (last - first) * t;
            let h = 1e-6;
            let slope = (curve.at(place + h) - curve.at(place - h)) / (2.0 * h);
            let inside = place - h > first && place + h < last && !x.iter().any(|p| (p - place).abs() < 2.0 * h);
            prop_assert!(!inside || (curve.derivative(place) - slope).abs() < 1e-2 * (1.0 + slope.abs()));
        }
    }

    #[test]
    fn an_inverse_stays_in_the_live_range(
        y in prop::collection::vec(0.0..100.0_f64, 2..40), target in -10.0..110.0_f64, flat in 0.0..5.0_f64
    ) {
        let x: Vec<f64> = (0..y.len()).map(|i| i as f64).collect();
        let inverse = Inverse::new(&x, &y, flat).unwrap();
        let c = inverse.at(target);
        prop_assert!((inverse.live_low()..=inverse.live_high()).contains(&c));
        let (low, high) = (inverse.forward(inverse.live_low()), inverse.forward(inverse.live_high()));
        prop_assert!(!(low..=high).contains(&target) || (inverse.forward(c) - target).abs() < 1e-9);
    }

    #[test]
    fn any_text_is_read_without_harm(text in "[0-9.,;\t \n\r\"a-zL*%=+-]{0,200}") {
        for asked in [None, Some(Quantity::Density), Some(Quantity::Lightness)] {
            let r = parse(&text, asked);
            prop_assert!(r.rows.iter().all(|row| (0.0..=1.0).contains(&row.code) && !row.values.is_empty()));
            prop_assert!(r.readings().iter().all(|r| r.fault().is_none()));
            prop_assert!(r.notes().iter().all(|n| !n.text.is_empty()));
        }
    }

    #[test]
    fn any_unicode_is_read_without_harm(text in any::<String>()) {
        let r = parse(&text, None);
        prop_assert!(r.readings().iter().all(|r| r.fault().is_none()));
    }

    #[test]
    fn printed_tables_are_read_back(
        rows in prop::collection::vec((0_u32..=1000, 0_u32..=150), 3..40),
        style in 0_usize..5
    ) {
        let (separator, comma) = [(",", false), (";", true), ("\t", true), (" ", false), (" ", true)][style];
        let write = |v: f64, places: usize| {
            let text = format!("{v:.places$}");
            if comma { text.replace('.', ",") } else { text }
        };
        let text: String = rows
            .iter()
            .map(|&(c, d)| write(f64::from(c) / 10.0, 1) + separator + &write(f64::from(d) / 100.0, 2) + "\r\n")
            .collect();
        let text = format!("ink %{}density\r\n{text}", if separator == " " { "," } else { separator });
        let text = if separator == " " { text.split_once('\n').unwrap().1.to_owned() } else { text };
        let r = parse(&text, Some(Quantity::Density));
        let parts = separator == " " && rows.iter().all(|r| r.0 <= 10);
        prop_assume!(!parts);
        prop_assert_eq!(&r.faults, &vec![]);
        for (row, (c, d)) in r.rows.iter().zip(&rows) {
            prop_assert!((row.code - f64::from(*c) / 1000.0).abs() < 1e-12);
            prop_assert!((row.values[0] - f64::from(*d) / 100.0).abs() < 1e-12);
        }
        prop_assert_eq!(r.rows.len(), rows.len());
    }
}

#[test]
fn film_values_say_which_way_round() {
    // Picture white is full ink and 0 in the file, picture black clear film and 65535.
    let c = Correction::starting(Aim::LinearLightness);
    assert_eq!(film_code16(c.at(1.0)), 0);
    assert_eq!(film_code16(c.at(0.0)), 65535);
    assert_eq!(film_code16(0.5), 32768);
    assert_eq!((film_code16(-3.0), film_code16(7.0), film_code16(f64::NAN)), (65535, 0, 65535));
    for v in 0..=65535_u16 {
        let code = 1.0 - f64::from(v) / 65535.0;
        assert_eq!(film_code16(code), v);
        assert_eq!(f64::from(v), (65535.0 * (1.0 - code)).round());
    }
}
