//! Installing what is missing, or naming the one command that does.

use crate::{Result, shell};

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
