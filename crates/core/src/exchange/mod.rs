//! Carrying readings in and the correction out, one format a file.
//!
//! In: [`read`] takes whatever an instrument or a spreadsheet wrote. Out: [`carry::Carry`] asks the two questions every
//! export depends on; [`files`] makes the files.

pub mod carry;
pub mod cgats;
pub mod clf;
pub mod codes;
pub mod csv_out;
pub mod files;
pub mod greys;
pub mod icc;
pub mod points;
pub mod proof;
pub mod text;

use crate::tone::Quantity;
use crate::tone::readings::{self, Readings};

/// A finished file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OutFile {
    /// Its name.
    pub name: String,
    /// Its media type.
    pub media: &'static str,
    /// What is in it.
    pub bytes: Vec<u8>,
}

/// Reads readings of either kind: CGATS text if it looks like that, else columns. `asked`: the quantity the printer
/// chose; `codes`: what the device numbers of a CGATS file mean, if the printer said.
pub fn read(text: &str, asked: Option<Quantity>, codes: Option<cgats::Codes>) -> Readings {
    if cgats::looks_like(text) { cgats::readings(text, asked, codes) } else { readings::parse(text, asked) }
}
