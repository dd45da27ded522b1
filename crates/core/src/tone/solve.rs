//! From what was typed at the tone station to the correction of the setup.

use super::pairs::{Pairs, PairsError};
use super::table::{number, split};
use super::{Aim, Ask, Correction, Quantity, Response, Toe, readings};
use crate::note::Note;

/// The tone fit of a setup: computed once per change of its [`Ask`].
#[derive(Clone, Debug)]
pub struct Solved {
    /// The fitted response; `None` without usable readings.
    pub response: Option<Response>,
    /// The correction: from the response, or the starting one.
    pub correction: Correction,
    /// What there is to say about the readings.
    pub notes: Vec<Note>,
}

impl Default for Solved {
    fn default() -> Self {
        solve(&Ask::default())
    }
}

impl Solved {
    /// How many readings stand behind the correction; 0 for the starting correction.
    #[must_use]
    pub fn readings(&self) -> u32 {
        self.response.as_ref().map_or(0, |r| u32::try_from(r.points().len()).unwrap_or(u32::MAX))
    }

    /// Whether the correction rests on readings.
    #[must_use]
    pub fn measured(&self) -> bool {
        self.response.is_some()
    }
}

/// Solves a setup's readings for its correction. Readings that give no response leave the starting correction in
/// place, with notes that say why.
#[must_use]
pub fn solve(ask: &Ask) -> Solved {
    let (aim, mut notes) = aim(ask);
    let toe = if ask.toe { Toe::Kept } else { Toe::AsAimed };
    if ask.readings.trim().is_empty() {
        return Solved { response: None, correction: Correction::starting(aim), notes };
    }
    let quantity = match ask.quantity.as_str() {
        "density" => Some(Quantity::Density),
        "lightness" => Some(Quantity::Lightness),
        _ => None,
    };
    let read = readings::parse(&ask.readings, quantity);
    notes.extend(read.notes());
    match Response::fit(&read.readings()) {
        Ok(response) => {
            let correction = Correction::with_toe(&response, aim, toe);
            notes.extend_from_slice(response.notes());
            notes.extend_from_slice(correction.notes());
            Solved { response: Some(response), correction, notes }
        }
        Err(error) => {
            notes.push(error.note());
            Solved { response: None, correction: Correction::starting(aim), notes }
        }
    }
}

/// The aim that was chosen. Own pairs that are none are told, and the aim is then that of a new setup.
fn aim(ask: &Ask) -> (Aim, Vec<Note>) {
    match ask.aim.as_str() {
        "linear-lightness" => (Aim::LinearLightness, Vec::new()),
        "linear-density" => (Aim::LinearDensity, Vec::new()),
        "own" => match pairs(&ask.pairs) {
            Ok(pairs) => (Aim::Own(pairs), Vec::new()),
            Err(error) => (Aim::AsOnScreen, vec![error.note()]),
        },
        _ => (Aim::AsOnScreen, Vec::new()),
    }
}

/// Own pairs as typed: two numbers a line. A heading without numbers is passed over.
///
/// # Errors
/// A line is no pair, or the pairs are no aim.
pub fn pairs(text: &str) -> Result<Pairs, PairsError> {
    let lines = split(text).lines;
    let heading = lines.first().is_some_and(|line| line.cells.iter().all(|cell| number(cell).is_err()));
    let mut pairs = Vec::new();
    for line in lines.iter().skip(usize::from(heading)) {
        match line.cells.iter().map(|cell| number(cell)).collect::<Result<Vec<_>, _>>().as_deref() {
            Ok([picture, print]) => pairs.push((*picture, *print)),
            _ => return Err(PairsError::Range(pairs.len())),
        }
    }
    Pairs::new(&pairs)
}
