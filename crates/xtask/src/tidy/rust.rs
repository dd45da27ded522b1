//! Rules for Rust.

use super::{File, Finding};

/// Every file begins by saying what it is about.
pub(crate) fn module_comment(file: &File) -> Vec<Finding> {
    if !file.name.ends_with(".rs") {
        return Vec::new();
    }
    let first = file.text.lines().find(|line| !line.trim().is_empty() && !line.starts_with("#!["));
    if first.is_some_and(|line| line.starts_with("//!")) {
        return Vec::new();
    }
    vec![(Some(1), "does not begin with a module comment (//!)".into())]
}

/// A test that is not run is no test.
pub(crate) fn ignored_tests(file: &File) -> Vec<Finding> {
    let pattern = concat!("#[", "ignore");
    lines(
        file,
        |line| line.trim_start().starts_with(pattern),
        "leaves a test out; mend the code or remove the test",
    )
}

/// Constants of nature and trade are a `Constant` with unit, basis and source. What only tunes an algorithm or a drawing
/// may be a bare number, with a comment that says what it does; in the folders of the trade nothing with a unit may.
pub(crate) fn naked_constants(file: &File) -> Vec<Finding> {
    const OF_THE_TRADE: [&str; 5] = ["chemistry/", "coat/", "light/", "baths/", "climate/"];
    const NUMBERS_THEMSELVES: [&str; 4] = ["math.rs", "math/", "quantity/", "constant.rs"];

    let Some(place) = ["crates/core/src/", "crates/imaging/src/", "crates/charts/src/"]
        .iter()
        .find_map(|f| file.name.strip_prefix(f))
    else {
        return Vec::new();
    };
    if NUMBERS_THEMSELVES.iter().any(|start| place.starts_with(start)) {
        return Vec::new();
    }
    let trade = OF_THE_TRADE.iter().any(|start| place.starts_with(start));
    let mut findings = Vec::new();
    let mut comment = String::new();
    for (number, line) in before_tests(file) {
        let code = line.trim_start();
        if is_bare_number(code) {
            if trade && has_unit(&comment) {
                findings.push((
                    Some(number),
                    "a constant of the trade needs unit, basis and source: make it a Constant".into(),
                ));
            } else if comment.is_empty() {
                findings.push((
                    Some(number),
                    "a bare number needs a comment that says what it tunes (///)".into(),
                ));
            }
        }
        if let Some(sentence) = code.strip_prefix("///") {
            comment += sentence;
        } else if !code.starts_with("#[") {
            comment.clear();
        }
    }
    findings
}

/// Whether a comment names a unit, as a word of its own.
fn has_unit(comment: &str) -> bool {
    const UNITS: [&str; 22] = [
        "mm", "cm", "nm", "µL", "mL", "L", "mg", "g", "mol", "J", "W", "K", "°C", "min", "h", "hour",
        "hours", "minutes", "seconds", "s", "g/mL", "J/m²",
    ];
    comment.split([' ', ',', '.', ';', '(', ')']).any(|word| UNITS.contains(&word))
}

fn is_bare_number(code: &str) -> bool {
    let Some(rest) = code
        .strip_prefix("pub ")
        .or_else(|| code.strip_prefix("pub(crate) "))
        .or_else(|| code.strip_prefix("pub(super) "))
        .unwrap_or(code)
        .strip_prefix("const ")
    else {
        return false;
    };
    if rest.starts_with("fn ") {
        return false;
    }
    let kind =
        rest.split_once(':').map_or("", |(_, kind)| kind.trim_start().trim_start_matches(['[', '&', '(']));
    kind.starts_with("f64") || kind.starts_with("f32")
}

/// The numeric tests of core run native and as wasm, or say why not.
pub(crate) fn tests_run_twice(file: &File) -> Vec<Finding> {
    let place = file.name.as_str();
    let inside = place.starts_with("crates/core/src/") && file.name.ends_with(".rs");
    let beside = place.starts_with("crates/core/tests/") && file.name.ends_with(".rs");
    if !(inside || beside) || place.ends_with("src/testing.rs") || !file.text.contains("#[test]") {
        return Vec::new();
    }
    let twice =
        file.text.contains("use crate::testing::test") || file.text.contains("wasm_bindgen_test as test");
    let native_only = file.text.contains("not(target_arch = \"wasm32\")") || place.ends_with("/tests.rs");
    if twice || native_only {
        return Vec::new();
    }
    vec![(
        None,
        "its tests run only natively: `use crate::testing::test;`, or say so (see DEVELOPERS.md)".into(),
    )]
}

/// The page is tested in a browser; a plain test there would never run.
pub(crate) fn tests_of_the_page(file: &File) -> Vec<Finding> {
    if !file.name.starts_with("crates/web/") || file.text.contains("wasm_bindgen_test as test") {
        return Vec::new();
    }
    lines(
        file,
        |line| line.trim() == "#[test]",
        "would never run: #[wasm_bindgen_test] here, or move what it tests to core",
    )
}

/// Arrows run one way: core and imaging know no browser, core knows no imaging.
pub(crate) fn arrows(file: &File) -> Vec<Finding> {
    let foreign: &[&str] = if file.name.starts_with("crates/core/src/") {
        &["web_sys", "js_sys", "wasm_bindgen::", "sorrel_imaging", "sorrel_web"]
    } else if file.name.starts_with("crates/imaging/src/") {
        &["web_sys", "js_sys", "wasm_bindgen::", "sorrel_web", "sorrel_worker", "sorrel_charts"]
    } else if file.name.starts_with("crates/charts/src/") {
        &["web_sys", "js_sys", "wasm_bindgen::", "sorrel_web", "sorrel_worker"]
    } else {
        return Vec::new();
    };
    lines(
        file,
        |line| !line.trim_start().starts_with("//") && foreign.iter().any(|name| line.contains(name)),
        "points up the stairs: web, worker -> imaging -> core",
    )
}

fn lines(file: &File, found: impl Fn(&str) -> bool, sentence: &str) -> Vec<Finding> {
    if !file.name.ends_with(".rs") {
        return Vec::new();
    }
    let all = file.text.lines().enumerate();
    all.filter(|(_, line)| found(line)).map(|(number, _)| (Some(number + 1), sentence.to_owned())).collect()
}

/// The numbered lines before the tests of a file.
fn before_tests(file: &File) -> impl Iterator<Item = (usize, &str)> {
    let lines = file.text.lines().enumerate().map(|(number, line)| (number + 1, line));
    lines.take_while(|(_, line)| !line.starts_with("#[cfg(test)]") && !line.starts_with("#[cfg(all(test"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(rule: fn(&File) -> Vec<Finding>, name: &str, text: &str) -> usize {
        rule(&File::new(name, text)).len()
    }

    #[test]
    fn a_file_without_a_module_comment_is_found() {
        assert_eq!(found(module_comment, "a.rs", "use b;\n"), 1);
        assert_eq!(found(module_comment, "a.rs", "#![allow(x)]\n\n//! About.\n"), 0);
    }

    #[test]
    fn an_ignored_test_is_found() {
        assert_eq!(found(ignored_tests, "a.rs", concat!("    #[", "ignore]\n")), 1);
        assert_eq!(found(ignored_tests, "a.rs", "#[test]\n"), 0);
    }

    #[test]
    fn a_naked_constant_is_found() {
        let bare = "pub const TIME: f64 = 600.0;\n";
        let timed = "/// Minutes in the first bath, in min.\nconst TIME: f64 = 5.0;\n";
        let commented = "/// Where the iteration stops.\npub const SETTLED: [f64; 2] = [1e-3, 1.0];\n";
        assert_eq!(found(naked_constants, "crates/core/src/tone/fit.rs", bare), 1);
        assert_eq!(found(naked_constants, "crates/core/src/tone/fit.rs", commented), 0);
        assert_eq!(found(naked_constants, "crates/core/src/light/lamp.rs", commented), 0);
        assert_eq!(found(naked_constants, "crates/core/src/light/lamp.rs", bare), 1);
        assert_eq!(found(naked_constants, "crates/core/src/light/lamp.rs", timed), 1);
        assert_eq!(found(naked_constants, "crates/core/src/quantity/length.rs", bare), 0);
        assert_eq!(found(naked_constants, "crates/core/src/light/a.rs", &format!("#[cfg(test)]\n{bare}")), 0);
        assert_eq!(found(naked_constants, "crates/core/src/light/a.rs", "const N: usize = 3;\n"), 0);
        assert_eq!(
            found(naked_constants, "crates/core/src/light/a.rs", "const fn twice(x: f64) -> f64 {\n"),
            0
        );
    }

    #[test]
    fn a_test_that_runs_only_natively_is_found() {
        let test = "#[cfg(test)]\nmod tests {\n    #[test]\n    fn f() {}\n}\n";
        assert_eq!(found(tests_run_twice, "crates/core/src/a.rs", test), 1);
        assert_eq!(
            found(tests_run_twice, "crates/core/src/a.rs", &format!("use crate::testing::test;\n{test}")),
            0
        );
        assert_eq!(found(tests_run_twice, "crates/xtask/src/a.rs", test), 0);
    }

    #[test]
    fn a_plain_test_of_the_page_is_found() {
        assert_eq!(found(tests_of_the_page, "crates/web/src/a.rs", "    #[test]\n"), 1);
        let browser = "use wasm_bindgen_test::{wasm_bindgen_test as test};\n    #[test]\n";
        assert_eq!(found(tests_of_the_page, "crates/web/src/a.rs", browser), 0);
        assert_eq!(found(tests_of_the_page, "crates/core/src/a.rs", "    #[test]\n"), 0);
    }

    #[test]
    fn an_arrow_up_the_stairs_is_found() {
        assert_eq!(found(arrows, "crates/core/src/a.rs", "use web_sys::Window;\n"), 1);
        assert_eq!(found(arrows, "crates/core/src/a.rs", "use sorrel_imaging::job;\n"), 1);
        assert_eq!(found(arrows, "crates/imaging/src/a.rs", "use sorrel_core::math;\n// web_sys\n"), 0);
    }
}
