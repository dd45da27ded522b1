//! What a setup's step print gave: computed once per change of what it rests on.

use super::page::steps;
use super::steps::repeats::White;
use super::steps::values::{ValueError, densities};
use super::steps::{Found, Print, PrintError};
use super::{Bare, duration};
use crate::book::Setup;
use crate::constant::{Basis, Constant};
use crate::entry::{self, Range};
use crate::estimate::Estimate;
use crate::math;
use crate::note::Note;
use crate::tone::film_curve::FilmCurve;
use crate::tone::page::tablet;

/// Times of a step print, in seconds.
const TIME: Range = Range { low: 1.0, high: 86_400.0 };
/// What clear film may hold back.
const FILM: Range = Range { low: 0.0, high: 2.0 };
/// Half the 95 % interval of what clear film holds back, as typed.
const FILM_DOUBT: Constant = Constant::choice(
    0.03,
    "log exposure",
    1,
    "a tenth of a stop; a time strip with and without film gives its own",
);
/// Fewest masked spots that make a white of their own.
const FEWEST_WHITE: u32 = 4;

/// What it rests on.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Rests {
    /// Time, film and white.
    pub steps: steps::Ask,
    /// Tablet and readings.
    pub tablet: tablet::Ask,
}

impl Rests {
    /// Of a setup.
    #[must_use]
    pub fn of(setup: &Setup) -> Self {
        Self { steps: setup.light.steps.clone(), tablet: setup.tone.tablet.clone() }
    }

    /// Whether a setup still holds just this.
    #[must_use]
    pub fn holds(&self, setup: &Setup) -> bool {
        self.steps == setup.light.steps && self.tablet == setup.tone.tablet
    }
}

/// What it gave.
#[derive(Clone, Debug, Default)]
pub struct Learnt {
    /// The curve, or what eyes saw.
    pub found: Found,
    /// What full ink holds back beyond clear film by ink read or seen beside the tablet, in log exposure.
    pub film: Option<Estimate>,
    /// What every ink code holds back, by the same.
    pub film_curve: Option<FilmCurve>,
    /// What there is to say.
    pub notes: Vec<Note>,
}

impl Learnt {
    /// The print with a curve.
    #[must_use]
    pub fn print(&self) -> Option<&Print> {
        match &self.found {
            Found::Print(print) => Some(print),
            _ => None,
        }
    }
}

/// Learns it.
#[must_use]
#[inline(never)] // the page loads it when there is a step print
pub fn learn(rests: &Rests) -> Learnt {
    let mut notes = Vec::new();
    let found = found(rests, &mut notes).unwrap_or_default();
    let from = if rests.tablet.patches.trim().is_empty() { "eyes" } else { "tablet" };
    let film_curve = tablet::begun(&rests.tablet, from)
        .then(|| tablet::film(&rests.tablet, from, &mut Vec::new()))
        .flatten();
    let film = film_curve.as_ref().map(|film| {
        let (full, clear) = (film.density(1.0), film.density(0.0));
        let half = (full.high - full.low) / 2.0;
        Estimate::plus_minus(full.value - clear.value, half, full.basis)
    });
    Learnt { found, film, film_curve, notes }
}

fn found(rests: &Rests, notes: &mut Vec<Note>) -> Option<Found> {
    let (ask, tablet_ask) = (&rests.steps, &rests.tablet);
    let by_eyes = ask.from == "eyes";
    let typed = if by_eyes { &tablet_ask.black } else { &tablet_ask.steps };
    if typed.trim().is_empty() {
        return None;
    }
    if ask.time.trim().is_empty() {
        notes.push(Note::error(
            "known.steps.time",
            "The time of the step print is missing.",
            "Type how long it was exposed, such as 10:00; without it the curve tells no times.",
        ));
    }
    let seconds = duration::optional(
        "known.steps.time",
        "The step print's time",
        &ask.time,
        Bare::Seconds,
        TIME,
        notes,
    );
    let tablet = tablet::tablet(tablet_ask, notes);
    let film = film(ask, notes);
    let (seconds, tablet, film) = (seconds?.to_seconds(), tablet?, film?);
    if by_eyes {
        return eyes(&tablet_ask.black, &tablet, seconds, film.value, notes);
    }
    let read = match densities(&tablet_ask.steps) {
        Ok(read) => read,
        Err(error) => {
            notes.push(reading_note("tablet.steps", &error));
            return None;
        }
    };
    if read.len() > tablet.len() {
        notes.push(Note::error(
            "tablet.steps",
            format!("There are {} readings and the tablet has {} steps.", read.len(), tablet.len()),
            "Check the number of steps, or leave out what is no step.",
        ));
        return None;
    }
    let white = white(&ask.masked, notes);
    match Print::new(seconds, &tablet, &read, white, film) {
        Ok(print) => Some(Found::Print(Box::new(print))),
        Err(error) => {
            notes.push(print_note(error));
            None
        }
    }
}

/// Checks what was typed about the step print while nothing rests on it: no readings yet, or another way chosen.
pub(super) fn unused(ask: &steps::Ask, tablet_ask: &tablet::Ask, notes: &mut Vec<Note>) {
    entry::unused(notes, |more| {
        let label = "The step print's time";
        duration::optional("known.steps.time", label, &ask.time, Bare::Seconds, TIME, more);
        let label = "What clear film holds back";
        entry::optional("known.steps.film", label, &ask.film, FILM, &["log", "d"], more);
        white(&ask.masked, more);
    });
    tablet::unused(tablet_ask, notes);
}

fn film(ask: &steps::Ask, notes: &mut Vec<Note>) -> Option<Estimate> {
    let none = Estimate::plus_minus(0.0, 0.0, Basis::Choice);
    if ask.under != "bare" {
        return Some(none);
    }
    if ask.film.trim().is_empty() {
        notes.push(Note::error(
            "known.steps.film",
            "What clear film holds back is missing.",
            "Print a time strip with and without film, or lay the tablet over clear film next time.",
        ));
        return None;
    }
    let value = entry::optional(
        "known.steps.film",
        "What clear film holds back",
        &ask.film,
        FILM,
        &["log", "d"],
        notes,
    )?;
    Some(Estimate::plus_minus(value, FILM_DOUBT.value, Basis::Measured { n: 1 }))
}

fn eyes(text: &str, tablet: &[f64], seconds: f64, film: f64, notes: &mut Vec<Note>) -> Option<Found> {
    let range = Range { low: 0.0, high: tablet.len() as f64 };
    let n = entry::count("tablet.black", "The step", text, range, notes)?.round();
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 61")]
    let n = n as usize;
    if n == 0 {
        notes.push(Note::warning(
            "tablet.black",
            "No step is as black as clear film: the step print never reached black.",
            "Print it again with twice the time.",
        ));
        return None;
    }
    if n == tablet.len() {
        notes.push(Note::warning(
            "tablet.black",
            "Every step is as black as clear film.",
            "Print it again with a quarter of the time.",
        ));
        return None;
    }
    // Before the first step stands clear film itself.
    let darker = if n >= 2 { tablet[n - 2] } else { 0.0 };
    Some(Found::Eyes { pair: (darker, tablet[n - 1]), seconds, film })
}

fn white(text: &str, notes: &mut Vec<Note>) -> Option<White> {
    if text.trim().is_empty() {
        return None;
    }
    match densities(text) {
        Ok(all) => {
            let n = u32::try_from(all.len()).unwrap_or(u32::MAX);
            let mean = all.iter().sum::<f64>() / f64::from(n);
            let squares: f64 = all.iter().map(|d| (d - mean) * (d - mean)).sum();
            if n < FEWEST_WHITE {
                notes.push(Note::hint(
                    "known.steps.masked",
                    format!("White is the mean of {n}; four spots or more halve its doubt."),
                ));
            }
            // Few readings do not know their own spread.
            let spread = math::sqrt(squares / f64::from(n.max(2) - 1)).max(0.005);
            Some(White { mean, spread, n })
        }
        Err(error) => {
            notes.push(reading_note("known.steps.masked", &error));
            None
        }
    }
}

fn reading_note(field: &str, error: &ValueError) -> Note {
    match error {
        ValueError::Cell(cell) => Note::error(
            field,
            format!("“{cell}” is not a number."),
            "Type one number a step, from the clear end of the tablet on.",
        ),
        ValueError::Column => Note::error(
            field,
            "This file has no column of visual density or L*.",
            "Save it with a column D_VIS or LAB_L, or type the readings.",
        ),
        ValueError::Value(v) => Note::error(
            field,
            format!("{} is neither a density nor an L*.", crate::show::significant(*v, 4)),
            "Check its digits; all readings must be of one kind.",
        ),
        ValueError::Empty => Note::error(field, "There are no readings here.", "Type one number a step."),
    }
}

fn print_note(error: PrintError) -> Note {
    match error {
        PrintError::TooFew(n) => Note::error(
            "tablet.steps",
            format!("There are {n} readings; {} make a curve.", super::steps::curve::FEWEST),
            "Read more steps, from black to white.",
        ),
        PrintError::Reversed => Note::error(
            "tablet.steps",
            "The print gets darker towards the end of the readings: the steps are reversed.",
            "Type them from the clear end of the tablet on, which prints black.",
        ),
        PrintError::NoRange => Note::error(
            "tablet.steps",
            "The readings hardly differ: there is no print of a tablet in them.",
            "Check which column they come from, and whether the print was exposed.",
        ),
    }
}
