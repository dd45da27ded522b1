//! `cargo xtask test`: everything that can be checked by a machine, cheap things first, to the end even when one fails.

use std::path::Path;
use std::process::{Command, ExitCode};

use crate::site::Edition;
use crate::stopwatch::{Stopwatch, minutes};
use crate::tally::{self, Tally};
use crate::{Result, setup, shell, site, tidy, workspace};

/// The steps that ran, for the table at the end.
struct Run {
    steps: Vec<(&'static str, Tally, String)>,
    total: Stopwatch,
}

impl Run {
    fn new() -> Self {
        Self { steps: Vec::new(), total: Stopwatch::start() }
    }

    /// Runs a step and keeps its result; a step that cannot run counts as one failure.
    fn step(&mut self, name: &'static str, work: impl FnOnce() -> Result<Tally>) -> bool {
        println!("\n== {name}");
        let watch = Stopwatch::start();
        let tally = work().unwrap_or_else(|error| {
            eprintln!("{name}: {error}");
            Tally::check(false)
        });
        self.steps.push((name, tally, minutes(watch.elapsed())));
        tally.failed == 0
    }

    /// Prints the table and the closing line.
    fn close(self) -> ExitCode {
        println!("\n{:>7} {:>7} {:>10}  step", "passed", "failed", "time");
        let mut sum = Tally::default();
        for (name, tally, time) in &self.steps {
            println!("{:>7} {:>7} {time:>10}  {name}", tally.passed, tally.failed);
            sum.add(*tally);
        }
        println!("{:>26}  all", minutes(self.total.elapsed()));
        println!("{} passed, {} failed", sum.passed, sum.failed);
        if sum.failed == 0 { ExitCode::SUCCESS } else { ExitCode::FAILURE }
    }
}

/// All checks.
pub(crate) fn all() -> ExitCode {
    let mut run = Run::new();

    run.step("formatting", || check(shell::cargo().args(["fmt", "--all", "--check"])));
    run.step("tidy", || {
        let (passed, failed) = tidy::check()?;
        Ok(Tally { passed, failed })
    });
    run.step("clippy, native", || {
        let native =
            ["sorrel-core", "sorrel-imaging", "sorrel-charts", "sorrel-xtask", "sorrel-wasm-test-runner"];
        check(packages(shell::cargo().arg("clippy"), &native).args(["--all-targets", "--", "-D", "warnings"]))
    });
    run.step("clippy, wasm", || {
        setup::wasm_target()?;
        let page = ["sorrel-web", "sorrel-worker"];
        let mut cargo = shell::cargo();
        cargo.args(["clippy", "--target", "wasm32-unknown-unknown"]);
        check(packages(&mut cargo, &page).args(["--all-targets", "--", "-D", "warnings"]))
    });
    run.step("clippy, wasm, as in the test site", || {
        let mut cargo = shell::cargo();
        cargo.args(["clippy", "--target", "wasm32-unknown-unknown", "--features", "test-clock"]);
        check(packages(&mut cargo, &["sorrel-web"]).args(["--all-targets", "--", "-D", "warnings"]))
    });
    run.step("tests, native", || {
        let native = ["sorrel-core", "sorrel-imaging", "sorrel-charts", "sorrel-worker", "sorrel-xtask"];
        let mut cargo = shell::cargo();
        if shell::exists("cargo-nextest") {
            cargo.args([
                "nextest",
                "run",
                "--no-fail-fast",
                "--status-level",
                "slow",
                "--final-status-level",
                "fail",
            ]);
        } else {
            cargo.args(["test", "--no-fail-fast", "--lib", "--bins", "--tests"]);
        }
        some(tally::run(packages(&mut cargo, &native))?)
    });
    run.step("examples in comments", || {
        tally::run(shell::cargo().args([
            "test",
            "--doc",
            "--package",
            "sorrel-core",
            "--package",
            "sorrel-imaging",
        ]))
    });
    run.step("core again as wasm, in Node", || {
        let mut cargo = shell::cargo();
        cargo.args([
            "test",
            "--target",
            "wasm32-unknown-unknown",
            "--package",
            "sorrel-core",
            "--lib",
            "--tests",
        ]);
        some(tally::run(&mut cargo)?)
    });
    let built = run.step("the site", || {
        site::build(Edition::Site)?;
        site::build(Edition::TestSite)?;
        Ok(Tally::check(true))
    });
    let browser = run.step("what page tests need", || {
        setup::node_packages()?;
        setup::chromium()?;
        Ok(Tally::check(true))
    });
    if browser && has_browser_tests() {
        run.step("platform tests, in Chromium", || {
            let mut cargo = shell::cargo();
            cargo.args([
                "test",
                "--target",
                "wasm32-unknown-unknown",
                "--package",
                "sorrel-web",
                "--lib",
                "--tests",
            ]);
            cargo.env("CHROMEDRIVER", "chromedriver");
            some(tally::run(&mut cargo)?)
        });
    }
    if built && browser {
        run.step("page tests, in Chromium", || some(tally::run(&mut page_tests(&[])?)?));
    }
    run.close()
}

/// The main job, saving, killing and going offline, in all three engines.
pub(crate) fn engines() -> ExitCode {
    let mut run = Run::new();
    let built = run.step("the site", || {
        site::build(Edition::Site)?;
        site::build(Edition::TestSite)?;
        Ok(Tally::check(true))
    });
    let browsers = run.step("what page tests need", || {
        setup::node_packages()?;
        setup::chromium()?;
        setup::other_engines()?;
        Ok(Tally::check(true))
    });
    if built && browsers {
        run.step("page tests in three engines", || some(tally::run(&mut page_tests(&["engines"])?)?));
    }
    run.close()
}

/// Node's runner over the page tests, or over the files in folders of `tests/browser`.
fn page_tests(folders: &[&str]) -> Result<Command> {
    let here = workspace::at("tests/browser");
    let mut node = setup::node();
    node.args(["--test", "--test-concurrency=2", "--test-reporter=spec"]);
    let folders =
        if folders.is_empty() { vec![here] } else { folders.iter().map(|name| here.join(name)).collect() };
    let mut found = 0;
    for folder in folders {
        let mut files: Vec<_> = std::fs::read_dir(&folder)?.flatten().map(|entry| entry.path()).collect();
        files.sort();
        for file in files.iter().filter(|file| file.to_string_lossy().ends_with(".test.mjs")) {
            node.arg(file);
            found += 1;
        }
    }
    if found == 0 { Err("there are no page tests".into()) } else { Ok(node) }
}

/// A command whose success is the check.
fn check(command: &mut Command) -> Result<Tally> {
    Ok(Tally::check(command.status()?.success()))
}

/// A runner that ran nothing has not passed.
fn some(tally: Tally) -> Result<Tally> {
    if tally == Tally::default() { Err("no test ran".into()) } else { Ok(tally) }
}

fn packages<'a>(command: &'a mut Command, names: &[&str]) -> &'a mut Command {
    for name in names {
        command.args(["--package", name]);
    }
    command
}

/// Whether the page's crate has tests of its own to run in a browser.
fn has_browser_tests() -> bool {
    let contains =
        |path: &Path| std::fs::read_to_string(path).is_ok_and(|text| text.contains("wasm_bindgen_test"));
    workspace::files_below(&workspace::at("crates/web")).iter().any(|path| contains(path))
}
