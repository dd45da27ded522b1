//! Tone mathematics against numbers from outside; the sources stand in `tests/reference/*/README.md`.
#![allow(
    clippy::unwrap_used,
    clippy::cast_possible_truncation,
    reason = "a test may fail; its numbers are small"
)]

#[cfg(target_arch = "wasm32")]
use wasm_bindgen_test::wasm_bindgen_test as test;

use serde_json::Value;
use sorrel_core::tone::inverse::Inverse;
use sorrel_core::tone::monotone::{Monotone, Rule};
use sorrel_core::tone::pspline::{Basis, Problem};
use sorrel_core::tone::{density, lightness, pava};

macro_rules! reference {
    ($path:literal) => {
        serde_json::from_str::<Value>(include_str!(concat!("../../../tests/reference/", $path))).unwrap()
    };
}

fn number(v: &Value) -> f64 {
    v.as_f64().unwrap()
}

fn numbers(v: &Value) -> Vec<f64> {
    v.as_array().unwrap().iter().map(number).collect()
}

fn list(v: &Value) -> &Vec<Value> {
    v.as_array().unwrap()
}

#[track_caller]
fn close(got: f64, want: f64, tolerance: f64) {
    assert!((got - want).abs() <= tolerance, "{got} is not {want} within {tolerance}");
}

#[track_caller]
fn all_close(got: &[f64], want: &[f64], tolerance: f64) {
    assert_eq!(got.len(), want.len());
    for (g, w) in got.iter().zip(want) {
        close(*g, *w, tolerance);
    }
}

#[test]
fn density_and_lightness() {
    let r = reference!("density_lightness/density_lightness.json");
    let t = number(&r["tolerance"]);
    close(lightness::EPSILON, number(&r["constants"]["epsilon_f"]), t);
    close(lightness::KAPPA, number(&r["constants"]["kappa_f"]), t);
    close(density::STOP, number(&r["constants"]["stop_in_density"]), t);
    close(lightness::to_density(8.0).unwrap(), number(&r["constants"]["toe_density_at_L8"]), t);
    for row in list(&r["forward"]) {
        let d = number(&row["D"]);
        close(density::to_factor(d), number(&row["factor"]), t);
        close(100.0 * density::to_factor(d), number(&row["percent"]), 100.0 * t);
        close(density::to_stops(d), number(&row["stops"]), t);
        close(lightness::from_density(d), number(&row["Lstar"]), t);
        close(lightness::slope_in_density(d), number(&row["dL_dD"]), t);
        close(0.01 * lightness::slope_in_density(d).abs(), number(&row["dL_for_0p01D"]), t);
    }
    for row in list(&r["inverse"]) {
        let l = number(&row["Lstar"]);
        close(lightness::to_factor(l), number(&row["Y"]), t);
        match row["D"].as_f64() {
            Some(d) => close(lightness::to_density(l).unwrap(), d, t),
            None => assert_eq!(lightness::to_density(l), None),
        }
    }
    for row in list(&r["relative"]) {
        let (d, paper) = (number(&row["D"]), number(&row["D_paper"]));
        close(lightness::from_density(d), number(&row["L_abs"]), t);
        close(lightness::relative_to_paper(d, paper), number(&row["L_media_relative"]), t);
    }
}

#[test]
fn isotonic_regression() {
    let r = reference!("isotonic/pava.json");
    let t = number(&r["tolerance"]);
    for case in list(&r["cases"]) {
        let y = numbers(&case["y"]);
        let w = if case["w"].is_null() { vec![1.0; y.len()] } else { numbers(&case["w"]) };
        all_close(&pava::fit(&y, &w), &numbers(&case["fit"]), t);
    }
}

#[test]
fn monotone_cubics() {
    let r = reference!("monotone_cubics/monotone_hermite.json");
    let rules = [
        ("fritsch_carlson", Rule::FritschCarlson),
        ("fritsch_butland_pchip", Rule::FritschButland),
        ("steffen", Rule::Steffen),
    ];
    for set in r["sets"].as_object().unwrap().values() {
        let (x, y, query) = (numbers(&set["x"]), numbers(&set["y"]), numbers(&set["query"]));
        for (name, rule) in rules {
            let want = &set[name];
            let curve = Monotone::new(rule, &x, &y).unwrap();
            // No tolerance is stated in the file; these are sums of a dozen terms of the size of the data.
            all_close(curve.slopes(), &numbers(&want["slopes"]), 1e-13);
            let got: Vec<f64> = query.iter().map(|&q| curve.at(q)).collect();
            all_close(&got, &numbers(&want["values"]), 1e-12);
        }
    }
    let published = &r["sets"]["NAG_e01be"]["published_result"];
    let set = &r["sets"]["NAG_e01be"];
    let curve = Monotone::new(Rule::FritschButland, &numbers(&set["x"]), &numbers(&set["y"])).unwrap();
    for (x, value) in numbers(&published["x"]).iter().zip(numbers(&published["value"])) {
        close(curve.at(*x), value, number(&published["tolerance"]));
    }
}

#[test]
fn penalised_splines() {
    let r = reference!("penalised_splines/pspline.json");
    let (t, t_wall) = (number(&r["tolerance"]), number(&r["tolerance_asym"]));
    let (x, y) = (numbers(&r["x"]), numbers(&r["y"]));
    let ones = vec![1.0; x.len()];
    for case in list(&r["basis_rows"]) {
        let basis = Basis::new(0.0, 1.0, case["nseg"].as_u64().unwrap() as usize).unwrap();
        let (first, four) = basis.row(number(&case["x"]));
        let mut row = vec![0.0; basis.size()];
        row[first..first + 4].copy_from_slice(&four);
        all_close(&row, &numbers(&case["row"]), t);
    }
    let places: Vec<f64> = (0..=10).map(|i| f64::from(i) / 10.0).collect();
    for case in list(&r["cases"]) {
        let basis = Basis::new(0.0, 1.0, case["nseg"].as_u64().unwrap() as usize).unwrap();
        let order = case["diff_order"].as_u64().unwrap() as usize;
        let problem = Problem::new(basis, order, &x, &y, &ones);
        let fit = problem.at(number(&case["lam"])).unwrap();
        all_close(&fit.coefficients, &numbers(&case["coef"]), t);
        close(fit.edf, number(&case["edf"]), t);
        close(fit.rss, number(&case["rss"]), t);
        close(fit.gcv, number(&case["gcv"]), t);
        close(fit.reml, number(&case["reml"]), t);
        let at = |c: &[f64]| places.iter().map(|&p| basis.value(c, p)).collect::<Vec<f64>>();
        all_close(&at(&fit.coefficients), &numbers(&case["fit_at_0_0p1_1"]), t);
        let (rising, rounds) = problem.monotone(&fit, 0);
        all_close(&at(&rising), &numbers(&case["monotone_exact_qp"]), t_wall);
        assert!(rounds as u64 <= case["asym_iters"].as_u64().unwrap());
    }
}

#[test]
fn monotone_splines_against_the_exact_optimum() {
    let r = reference!("penalised_splines/pspline_monotone.json");
    let t = number(&r["tolerance"]);
    let places: Vec<f64> = (0..=20).map(|i| f64::from(i) / 20.0).collect();
    for case in list(&r["cases"]) {
        let (x, y) = (numbers(&case["x"]), numbers(&case["y"]));
        let basis = Basis::new(0.0, 1.0, case["nseg"].as_u64().unwrap() as usize).unwrap();
        let order = case["diff_order"].as_u64().unwrap() as usize;
        let problem = Problem::new(basis, order, &x, &y, &vec![1.0; x.len()]);
        let fit = problem.at(number(&case["lam"])).unwrap();
        let falling = fit.coefficients.windows(2).filter(|w| w[1] < w[0]).count();
        assert_eq!(falling as u64, case["unconstrained_violations"].as_u64().unwrap());
        let (rising, rounds) = problem.monotone(&fit, 0);
        let got: Vec<f64> = places.iter().map(|&p| basis.value(&rising, p)).collect();
        all_close(&got, &numbers(&case["monotone_fit_at_0_0p05_1"]), t);
        assert!(rounds <= 5, "{rounds}");
    }
}

#[test]
fn inverse_and_composition() {
    let r = reference!("curve_inverse/inverse_compose.json");
    let t = number(&r["tolerance"]);
    let knots = numbers(&r["knots"]);
    let curve = |y: &Value| Monotone::new(Rule::FritschButland, &knots, &numbers(y)).unwrap();
    let (response, old) = (curve(&r["response"]), curve(&r["old_correction"]));
    let query = numbers(&r["query"]);
    let inverse: Vec<f64> = query.iter().map(|&q| response.inverse(q)).collect();
    all_close(&inverse, &numbers(&r["inverse_of_response"]), t);
    let total: Vec<f64> = inverse.iter().map(|&c| old.at(c)).collect();
    all_close(&total, &numbers(&r["new_total_correction_old_after_inverse"]), t);

    let flat = &r["plateau"];
    let curve = Inverse::new(&numbers(&flat["data"]["x"]), &numbers(&flat["data"]["y"]), 0.05).unwrap();
    close(curve.at(20.0), number(&flat["inverse_at_L20"]), t);
    close(curve.at(94.0), number(&flat["inverse_at_L94"]), t);
    close(curve.at(57.0), number(&flat["inverse_at_L57"]), t);
}
