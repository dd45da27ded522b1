//! From what was typed at the tone station to the correction of the setup.

use super::page::{quantity, tablet};
use super::pairs::{Pairs, PairsError};
use super::pooled::{self, Lie, Pooled, Sheet};
use super::readings::Readings;
use super::table::{number, split};
use super::{Aim, Ask, Correction, Response, Toe};
use crate::exchange;
use crate::light::Learnt;
use crate::note::Note;

/// The tone fit of a setup: computed once per change of its [`Ask`].
#[derive(Clone, Debug)]
pub struct Solved {
    /// The fitted response; `None` without usable readings.
    pub response: Option<Response>,
    /// The correction: from the response, or the starting one.
    pub correction: Correction,
    /// How the sheets behind the readings lie to each other; one for readings that name no sheet.
    pub sheets: Vec<Lie>,
    /// What there is to say about the readings.
    pub notes: Vec<Note>,
    /// What the step print of the setup gave; see [`crate::light::learn`].
    pub paper: Learnt,
}

impl Default for Solved {
    fn default() -> Self {
        solve(&Ask::default())
    }
}

impl Solved {
    /// How many readings stand behind the correction; 0 for the starting correction, and for a step tablet.
    #[must_use]
    pub fn readings(&self) -> u32 {
        self.response.as_ref().map_or(0, |r| u32::try_from(r.points().len()).unwrap_or(u32::MAX))
    }

    /// What stands behind a measured correction, in words.
    #[must_use]
    pub fn stands_on(&self) -> String {
        match self.readings() {
            0 => "a step tablet".to_owned(),
            n => format!("{n} readings"),
        }
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
    let (aim, notes) = aim(ask);
    let toe = if ask.toe { Toe::Kept } else { Toe::AsAimed };
    if matches!(ask.from.as_str(), "eyes" | "tablet") {
        return by_tablet(ask, aim, toe, notes);
    }
    if ask.readings.trim().is_empty() {
        return Solved {
            response: None,
            correction: Correction::starting(aim),
            sheets: Vec::new(),
            notes,
            paper: Learnt::default(),
        };
    }
    by_readings(ask, aim, toe, notes)
}

/// As [`solve`], from readings of patches.
#[inline(never)] // the page loads it when there are readings
fn by_readings(ask: &Ask, aim: Aim, toe: Toe, mut notes: Vec<Note>) -> Solved {
    let read = exchange::read(&ask.readings, quantity(ask), None);
    notes.extend(read.notes());
    match pooled::fit(&sheets(&read), None) {
        Ok(Pooled { response, sheets }) => {
            let correction = Correction::with_toe(&response, aim, toe);
            notes.extend_from_slice(response.notes());
            notes.extend_from_slice(correction.notes());
            Solved { response: Some(response), correction, sheets, notes, paper: Learnt::default() }
        }
        Err(error) => {
            notes.push(error.note());
            Solved {
                response: None,
                correction: Correction::starting(aim),
                sheets: Vec::new(),
                notes,
                paper: Learnt::default(),
            }
        }
    }
}

/// As [`solve`], from a step tablet.
#[inline(never)] // the page loads it when there is one
fn by_tablet(ask: &Ask, aim: Aim, toe: Toe, mut notes: Vec<Note>) -> Solved {
    let unsolved = |aim, notes| Solved {
        response: None,
        correction: Correction::starting(aim),
        sheets: Vec::new(),
        notes,
        paper: Learnt::default(),
    };
    if !tablet::begun(&ask.tablet, &ask.from) {
        return unsolved(aim, notes);
    }
    let (response, more) = tablet::response(&ask.tablet, &ask.from);
    notes.extend(more);
    let Some(response) = response else { return unsolved(aim, notes) };
    let correction = Correction::with_toe(&response, aim, toe);
    notes.extend_from_slice(response.notes());
    notes.extend_from_slice(correction.notes());
    Solved { response: Some(response), correction, sheets: Vec::new(), notes, paper: Learnt::default() }
}

/// The readings by sheet, in the order in which sheets are first named.
fn sheets(read: &Readings) -> Vec<Sheet> {
    let mut sheets: Vec<Sheet> = Vec::new();
    let mut readings = read.readings().into_iter();
    for row in &read.rows {
        let own = readings.by_ref().take(row.values.len());
        match sheets.iter_mut().find(|sheet| sheet.name == row.sheet) {
            Some(sheet) => sheet.readings.extend(own),
            None => sheets.push(Sheet { name: row.sheet.clone(), readings: own.collect() }),
        }
    }
    sheets
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
#[inline(never)] // the page loads it when there are some
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
