//! Installing what is missing, or naming the one command that does.

use std::process::Command;

use crate::{Result, sha256, shell, workspace};

/// The compilation target of the page, in the toolchain of this repository.
pub(crate) fn wasm_target() -> Result<()> {
    const TARGET: &str = "wasm32-unknown-unknown";
    let sysroot = shell::output(shell::command("rustc").args(["--print", "sysroot"]))?;
    if std::path::Path::new(sysroot.trim()).join("lib/rustlib").join(TARGET).is_dir() {
        return Ok(());
    }
    if !shell::exists("rustup") {
        return Err(format!(
            "the compiler lacks the target {TARGET}; install it as you installed the compiler"
        )
        .into());
    }
    shell::run(shell::command("rustup").args(["target", "add", TARGET]))
}

/// What the page tests are written with, as the lock file names it.
pub(crate) fn node_packages() -> Result<()> {
    let folder = workspace::at("tests/browser");
    let wanted = sha256::hex(&std::fs::read(folder.join("package-lock.json"))?);
    let stamp = folder.join("node_modules/.sorrel-stamp");
    if std::fs::read_to_string(&stamp).is_ok_and(|found| found == wanted) {
        return Ok(());
    }
    if !shell::exists("npm") {
        return Err("the page tests need Node 20 or newer with npm; install it and come back".into());
    }
    let mut npm = shell::command("npm");
    npm.current_dir(&folder).args(["ci", "--ignore-scripts", "--no-audit", "--no-fund"]);
    shell::run(&mut npm)?;
    std::fs::write(stamp, wanted)?;
    Ok(())
}

/// Node, told where the site's own server is.
pub(crate) fn node() -> Command {
    let mut node = shell::command("node");
    if let Ok(this) = std::env::current_exe() {
        node.env("SORREL_XTASK", this);
    }
    node
}

/// A Chromium and its driver.
pub(crate) fn chromium() -> Result<()> {
    let browser = ["chromium", "chromium-browser", "google-chrome"].iter().any(|name| shell::exists(name));
    if (browser || std::env::var_os("CHROMIUM").is_some()) && shell::exists("chromedriver") {
        return Ok(());
    }
    debian(&["chromium", "chromium-driver"])
}

/// Firefox, and WebKit with a screen to show it on.
pub(crate) fn other_engines() -> Result<()> {
    if ["firefox-esr", "WebKitWebDriver", "Xvfb"].iter().all(|name| on_path(name)) {
        return Ok(());
    }
    debian(&["firefox-esr", "webkit2gtk-driver", "xvfb"])
}

/// Whether a program lies on the path; for those that do not answer to `--version`.
pub(crate) fn on_path(program: &str) -> bool {
    let path = std::env::var_os("PATH").unwrap_or_default();
    std::env::split_paths(&path).any(|folder| folder.join(program).is_file())
}

/// Installs packages of Debian when that is possible here, or names the one command that does.
fn debian(packages: &[&str]) -> Result<()> {
    let root = shell::output(shell::command("id").arg("-u")).is_ok_and(|id| id.trim() == "0");
    if !root || !on_path("apt-get") {
        return Err(
            format!("install what is missing with: sudo apt-get install {}", packages.join(" ")).into()
        );
    }
    shell::run(shell::command("apt-get").args(["update", "-qq"]))?;
    let mut install = shell::command("apt-get");
    install.env("DEBIAN_FRONTEND", "noninteractive");
    shell::run(install.args(["install", "--yes", "-qq", "--no-install-recommends"]).args(packages))
}
