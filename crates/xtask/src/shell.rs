//! Running other programs.

use std::process::{Command, Stdio};

use crate::{Result, workspace};

/// A program that will run in the root of the repository.
pub(crate) fn command(program: &str) -> Command {
    let mut command = Command::new(program);
    command.current_dir(workspace::root());
    command
}

/// The cargo that started xtask.
pub(crate) fn cargo() -> Command {
    let mut command = command(&std::env::var("CARGO").unwrap_or_else(|_| "cargo".into()));
    // Settings of the outer cargo run must not leak into the inner one.
    for name in ["CARGO_MANIFEST_DIR", "CARGO_MANIFEST_PATH", "CARGO_PKG_NAME", "CARGO_PKG_VERSION"] {
        command.env_remove(name);
    }
    command
}

/// Runs to the end; a failure is an error.
pub(crate) fn run(command: &mut Command) -> Result<()> {
    let status = command.status().map_err(|error| format!("{}: {error}", line(command)))?;
    if status.success() { Ok(()) } else { Err(format!("failed ({status}): {}", line(command)).into()) }
}

/// Runs to the end and gives what was printed; messages for people still go to the terminal.
pub(crate) fn output(command: &mut Command) -> Result<String> {
    let output =
        command.stderr(Stdio::inherit()).output().map_err(|error| format!("{}: {error}", line(command)))?;
    if output.status.success() {
        Ok(String::from_utf8_lossy(&output.stdout).into_owned())
    } else {
        Err(format!("failed ({}): {}", output.status, line(command)).into())
    }
}

/// Whether a program answers to being called at all.
pub(crate) fn exists(program: &str) -> bool {
    command(program).arg("--version").stdout(Stdio::null()).stderr(Stdio::null()).status().is_ok()
}

/// The command as a person would type it.
fn line(command: &Command) -> String {
    std::iter::once(command.get_program())
        .chain(command.get_args())
        .map(|part| part.to_string_lossy())
        .collect::<Vec<_>>()
        .join(" ")
}
