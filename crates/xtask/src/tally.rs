//! Counting tests by what their runners print, while it is printed.

use std::io::{BufRead, BufReader, Read, Write};
use std::process::{Command, Stdio};
use std::sync::Mutex;

use crate::Result;

/// How many tests passed and failed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Tally {
    /// Passed.
    pub(crate) passed: usize,
    /// Failed.
    pub(crate) failed: usize,
}

impl Tally {
    /// One check that holds or does not.
    pub(crate) fn check(holds: bool) -> Self {
        Self { passed: usize::from(holds), failed: usize::from(!holds) }
    }

    /// Both together.
    pub(crate) fn add(&mut self, other: Self) {
        self.passed += other.passed;
        self.failed += other.failed;
    }

    /// Adds what a line says, if it is a runner's closing line: cargo test and the wasm runner (`test result: …`),
    /// nextest (`Summary …`), node (`ℹ pass 3`).
    fn read(&mut self, line: &str) {
        let line = without_colours(line);
        let line = line.trim();
        if let Some(counts) = line.strip_prefix("test result: ") {
            self.passed += before(counts, "passed");
            self.failed += before(counts, "failed");
        } else if line.starts_with("Summary [") {
            self.passed += before(line, "passed");
            self.failed += before(line, "failed") + before(line, "timed") + before(line, "exec");
        } else if let Some(count) = line.strip_prefix("ℹ pass ") {
            self.passed += count.parse::<usize>().unwrap_or(0);
        } else if let Some(count) = line.strip_prefix("ℹ fail ").or_else(|| line.strip_prefix("ℹ cancelled "))
        {
            self.failed += count.parse::<usize>().unwrap_or(0);
        }
    }
}

/// The number right before a word.
fn before(line: &str, word: &str) -> usize {
    let mut last = 0;
    for found in line.split(|c: char| !c.is_alphanumeric()).filter(|found| !found.is_empty()) {
        if found == word {
            return last;
        }
        last = found.parse().unwrap_or(0);
    }
    0
}

fn without_colours(line: &str) -> String {
    let mut plain = String::with_capacity(line.len());
    let mut escaped = false;
    for c in line.chars() {
        match (escaped, c) {
            (false, '\u{1b}') => escaped = true,
            (true, 'm') => escaped = false,
            (false, c) => plain.push(c),
            (true, _) => {}
        }
    }
    plain
}

/// Runs a test runner, showing what it prints. A runner that fails without a failed test counts as one.
pub(crate) fn run(command: &mut Command) -> Result<Tally> {
    let mut child = command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn()?;
    let tally = Mutex::new(Tally::default());
    let (out, err) = (child.stdout.take(), child.stderr.take());
    std::thread::scope(|scope| {
        scope.spawn(|| out.map(|stream| pass_on(stream, std::io::stdout(), &tally)));
        scope.spawn(|| err.map(|stream| pass_on(stream, std::io::stderr(), &tally)));
    });
    let status = child.wait()?;
    let mut tally = tally.into_inner()?;
    if !status.success() && tally.failed == 0 {
        tally.failed = 1;
    }
    Ok(tally)
}

fn pass_on(from: impl Read, mut to: impl Write, tally: &Mutex<Tally>) {
    for line in BufReader::new(from).split(b'\n').map_while(std::result::Result::ok) {
        let line = String::from_utf8_lossy(&line);
        let _ = writeln!(to, "{line}");
        if let Ok(mut tally) = tally.lock() {
            tally.read(&line);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(lines: &[&str]) -> (usize, usize) {
        let mut tally = Tally::default();
        lines.iter().for_each(|line| tally.read(line));
        (tally.passed, tally.failed)
    }

    #[test]
    fn closing_lines_of_all_runners_are_counted() {
        assert_eq!(
            read(&["test result: ok. 3 passed; 0 failed; 1 ignored; 0 measured; 0 filtered out"]),
            (3, 0)
        );
        assert_eq!(read(&["test result: FAILED. 3 passed; 2 failed; 0 ignored; 0 filtered out"]), (3, 2));
        assert_eq!(
            read(&["     Summary [   1.2s] 20 tests run: 17 passed, 2 failed, 1 timed out, 4 skipped"]),
            (17, 3)
        );
        assert_eq!(
            read(&["\u{1b}[34mℹ pass 15\u{1b}[39m", "ℹ fail 3", "ℹ cancelled 1", "ℹ tests 19"]),
            (15, 4)
        );
    }

    #[test]
    fn other_lines_count_nothing() {
        assert_eq!(read(&["12 passed the door", "3 failed attempts", "ok 1 - passed 4"]), (0, 0));
    }

    #[test]
    fn a_runner_that_cannot_start_its_tests_counts_as_failed() {
        assert_eq!(run(&mut Command::new("false")).unwrap(), Tally { passed: 0, failed: 1 });
        assert_eq!(run(Command::new("echo").arg("test result: ok. 2 passed; 0 failed")).unwrap().passed, 2);
    }
}
