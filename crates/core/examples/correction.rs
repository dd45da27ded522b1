//! The correction of readings, natively: `correction <aim> <u> …` reads the readings as text from standard input and prints a
//! line `u C(u)` for each picture tone. Page tests compare a film's pixels with it.

use std::error::Error;
use std::io::{Read, Write};

use sorrel_core::tone::{Ask, solve};

fn main() -> Result<(), Box<dyn Error>> {
    let aim = std::env::args().nth(1).unwrap_or_default();
    let tones = std::env::args().skip(2).map(|u| u.parse()).collect::<Result<Vec<f64>, _>>()?;
    let mut readings = String::new();
    std::io::stdin().read_to_string(&mut readings)?;
    let solved = solve(&Ask { readings, aim, ..Ask::default() });
    let mut out = std::io::stdout().lock();
    for u in tones {
        writeln!(out, "{u:?} {:?}", solved.correction.at(u))?;
    }
    Ok(())
}
