//! Why readings give no response.

use super::reading::Fault;
use crate::note::Note;
use crate::show::decimals;

/// Fewest distinct codes that are fitted.
pub const FEWEST_CODES: usize = 5;
/// Most readings taken; far more than fit on a sheet.
pub const MOST_READINGS: usize = 20_000;
/// Field of the tone station the notes are about.
const FIELD: &str = "readings";

/// What a line of readings must be.
pub(super) const WANTED: &str =
    "Type a line a patch: ink in %, then density or L*, such as 50 0.72; or take them from a file.";

/// Why there is no response.
#[derive(Clone, Debug, PartialEq)]
pub enum ResponseError {
    /// One reading is not possible.
    Faulty {
        /// Its place, from 0.
        index: usize,
        /// The reading in words.
        name: String,
        /// What is wrong with it.
        fault: Fault,
    },
    /// Fewer than five distinct codes (the number found).
    TooFewCodes(usize),
    /// More readings than are taken (the number given).
    TooMany(usize),
    /// The readings neither rise nor fall with the ink.
    NoDirection,
    /// Black and white are nearly the same (the difference in L*).
    NoRange(f64),
    /// All L* are so low that the column must hold densities (the highest).
    LooksLikeDensity(f64),
    /// The numbers could not be solved.
    Unsolved,
}

impl ResponseError {
    /// The note for the page.
    pub fn note(&self) -> Note {
        let (text, mend) = match self {
            Self::Faulty { name, fault, .. } => {
                let (what, mend) = fault.words();
                (format!("{name} {what}."), mend.to_owned())
            }
            Self::TooFewCodes(0) => (
                format!("No line of the readings gives an ink and its reading; a curve needs {FEWEST_CODES} inks."),
                WANTED.into(),
            ),
            Self::TooFewCodes(n) => (
                format!("The readings hold {n} different ink codes; a curve needs {FEWEST_CODES}."),
                "Read more patches, clear film and full ink among them.".into(),
            ),
            Self::TooMany(n) => (
                format!("There are {n} readings; up to {MOST_READINGS} are taken."),
                "Give the mean of repeated readings instead of each.".into(),
            ),
            Self::NoDirection => (
                "The readings neither rise nor fall with the ink code.".into(),
                "Check that each value stands beside its own code: a chart with shuffled patches must be read in the order of its codes, or with its patch numbers."
                    .into(),
            ),
            Self::NoRange(range) => (
                format!("From black to white the readings change by {} L* only.", decimals(*range, 1)),
                "Check the columns, and that the chart was exposed long enough for black.".into(),
            ),
            Self::LooksLikeDensity(high) => (
                format!("The highest L* is {}; these look like densities.", decimals(*high, 2)),
                "Say that the readings are densities.".into(),
            ),
            Self::Unsolved => (
                "No curve could be drawn through these readings.".into(),
                "Check the ink codes; they should spread over 0 to 100 %.".into(),
            ),
        };
        Note::error(FIELD, text, mend)
    }
}
