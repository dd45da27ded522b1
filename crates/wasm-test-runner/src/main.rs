//! Runs `cargo test --target wasm32-unknown-unknown` in Node or in a browser.

fn main() -> Result<(), Box<dyn std::error::Error>> {
    wasm_bindgen_cli::wasm_bindgen_test_runner::run_cli_with_args(std::env::args_os())?;
    Ok(())
}
