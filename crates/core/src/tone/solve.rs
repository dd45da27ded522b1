//! From what was typed at the tone station to the correction of the setup.

use std::cell::{OnceCell, RefCell};

use super::ink_density::InkDensity;
use super::page::{quantity, tablet};
use super::pairs::{Pairs, PairsError};
use super::pooled::{self, Lie, Pooled, Sheet};
use super::readings::Readings;
use super::table::{number, split};
use super::{Aim, Ask, Correction, Response, ResponseError, Toe};
use crate::exchange;
use crate::light::Learnt;
use crate::light::evening::{self, InkFrom};
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
    paper: Learnt,
    /// What ink holds back, as all of this tells it; found when it is first asked for.
    ink: OnceCell<Option<(InkDensity, InkFrom)>>,
    /// The last evening of a film, with what it was worked out from.
    evening: RefCell<Option<(evening::Wanted, evening::Found)>>,
}

impl Default for Solved {
    fn default() -> Self {
        solve(&Ask::default())
    }
}

impl Solved {
    /// Without readings that give a response.
    fn starting(aim: Aim, notes: Vec<Note>) -> Self {
        Self {
            response: None,
            correction: Correction::starting(aim),
            sheets: Vec::new(),
            notes,
            paper: Learnt::default(),
            ink: OnceCell::new(),
            evening: RefCell::default(),
        }
    }

    fn measured_by(response: Response, correction: Correction, sheets: Vec<Lie>, notes: Vec<Note>) -> Self {
        let (paper, ink, evening) = (Learnt::default(), OnceCell::new(), RefCell::default());
        Self { response: Some(response), correction, sheets, notes, paper, ink, evening }
    }

    /// What the step print of the setup gave; see [`crate::light::learn`].
    #[must_use]
    pub fn paper(&self) -> &Learnt {
        &self.paper
    }

    /// Lays what another step print gave in the place of this, and returns this.
    pub fn replace_paper(&mut self, paper: Learnt) -> Learnt {
        self.ink = OnceCell::new();
        self.evening = RefCell::default();
        std::mem::replace(&mut self.paper, paper)
    }

    /// What ink holds back, and where that is known from; `None` while nothing was read that tells it.
    #[must_use]
    pub fn ink(&self) -> Option<&(InkDensity, InkFrom)> {
        self.ink.get_or_init(|| evening::ink(self)).as_ref()
    }

    /// How a film is evened: the last one again while the same is wanted.
    pub(crate) fn evening(&self, wanted: evening::Wanted) -> evening::Found {
        let kept = self.evening.borrow().as_ref().filter(|k| k.0 == wanted).map(|k| k.1.clone());
        kept.unwrap_or_else(|| {
            let found = evening::find(&wanted, self);
            self.evening.replace(Some((wanted, found.clone())));
            found
        })
    }

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
        return Solved::starting(aim, notes);
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
            Solved::measured_by(response, correction, sheets, notes)
        }
        Err(error) => {
            // Lines of which none could be read have said so themselves, each with what it should be.
            if error != ResponseError::TooFewCodes(0) || read.faults.is_empty() {
                notes.push(error.note());
            }
            Solved::starting(aim, notes)
        }
    }
}

/// As [`solve`], from a step tablet.
#[inline(never)] // the page loads it when there is one
fn by_tablet(ask: &Ask, aim: Aim, toe: Toe, mut notes: Vec<Note>) -> Solved {
    if !tablet::begun(&ask.tablet, &ask.from) {
        return Solved::starting(aim, notes);
    }
    let (response, more) = tablet::response(&ask.tablet, &ask.from);
    notes.extend(more);
    let Some(response) = response else { return Solved::starting(aim, notes) };
    let correction = Correction::with_toe(&response, aim, toe);
    notes.extend_from_slice(response.notes());
    notes.extend_from_slice(correction.notes());
    Solved::measured_by(response, correction, Vec::new(), notes)
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
