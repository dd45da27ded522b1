//! `cargo xtask serve | build | test | bench | tidy`.

fn main() {}
