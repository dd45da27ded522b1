//! `cargo xtask …`: everything that builds, serves, tests and measures the page.

use std::path::PathBuf;
use std::process::ExitCode;

mod serve;
mod setup;
mod sha256;
mod shell;
mod site;
mod stopwatch;
mod tally;
mod test;
mod tidy;
mod workspace;

use site::Edition;

/// Errors of the tools end as one sentence on the terminal.
type Result<T> = std::result::Result<T, Box<dyn std::error::Error>>;

const HELP: &str = "\
cargo xtask serve [--port 8017]   build the site and serve it on this computer
            [--test-site]         the one whose clock page tests can move
            [--folder target/x]   serve a folder as it is, without building
cargo xtask build [--test-site]   build the finished static site into target/site (target/test-site)
cargo xtask test                  check everything; installs what is missing, or says how
            [--engines]           the main job in Chromium, Firefox and WebKit
cargo xtask bench                 measure every budget and print one table
cargo xtask tidy                  check only the house's own rules
";

fn main() -> ExitCode {
    match run() {
        Ok(code) => code,
        Err(error) => {
            eprintln!("xtask: {error}");
            ExitCode::FAILURE
        }
    }
}

fn run() -> Result<ExitCode> {
    use lexopt::prelude::*;

    let mut command = None;
    let mut port = 8017;
    let mut edition = Edition::Site;
    let mut folder = None;
    let mut engines = false;
    let mut arguments = lexopt::Parser::from_env();
    while let Some(argument) = arguments.next()? {
        match argument {
            Long("port") => port = arguments.value()?.parse()?,
            Long("folder") => folder = Some(PathBuf::from(arguments.value()?)),
            Long("engines") => engines = true,
            Long("test-site") => edition = Edition::TestSite,
            Long("help") | Short('h') => {
                print!("{HELP}");
                return Ok(ExitCode::SUCCESS);
            }
            Value(name) if command.is_none() => command = Some(name.string()?),
            other => return Err(other.unexpected().into()),
        }
    }

    match command.as_deref() {
        Some("build") => {
            site::build(edition)?;
        }
        Some("serve") => {
            let folder = match folder {
                Some(folder) => folder,
                None => site::build(edition)?.folder,
            };
            serve::serve(&folder, port)?;
        }
        Some("test") if engines => return Ok(test::engines()),
        Some("test") => return Ok(test::all()),
        Some("bench") => bench()?,
        Some("tidy") => {
            let (_, findings) = tidy::check()?;
            println!("tidy: {findings} findings");
            return Ok(if findings == 0 { ExitCode::SUCCESS } else { ExitCode::FAILURE });
        }
        Some(other) => return Err(format!("there is no `{other}`\n\n{HELP}").into()),
        None => print!("{HELP}"),
    }
    Ok(ExitCode::SUCCESS)
}

/// Measures every budget; what cannot be measured here says so in the table.
fn bench() -> Result<()> {
    site::build(Edition::Site)?;
    site::build(Edition::TestSite)?;
    setup::node_packages()?;
    setup::chromium()?;
    shell::run(setup::node().arg("tests/browser/bench.mjs"))
}
