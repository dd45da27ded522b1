//! The part of the tone station that works with a step tablet: ink steps seen by eye between its steps, or ink patches
//! read beside it, which together with a step print stand in for readings of a chart.

use crate::entry::{self, Range, count, number, optional, optional_count};
use crate::exchange;
use crate::fields;
use crate::light::steps::values::densities;
use crate::note::Note;
use crate::show::Units;
use crate::tone::chart_plan::ramp::USUAL;
use crate::tone::film_curve::FilmCurve;
use crate::tone::sighted::{Sighted, Sighting};
use crate::tone::step_curve::{Step, StepCurve};
use crate::tone::table;
use crate::tone::{Reading, Response, lightness};

/// Densities of a tablet.
const DENSITY: Range = Range { low: 0.0, high: 6.0 };
/// From step to step.
const APART: Range = Range { low: 0.01, high: 1.0 };
/// Steps of a tablet.
const COUNT: Range = Range { low: 7.0, high: 61.0 };

/// What was typed about tablet and eyes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ask {
    /// Density of the first step.
    pub first: String,
    /// From step to step.
    pub apart: String,
    /// How many steps.
    pub count: String,
    /// Densities as measured, in order; empty for even steps.
    pub densities: String,
    /// Number of the last step that prints as black as clear film.
    pub black: String,
    /// Number of the first step that prints white.
    pub white: String,
    /// Where each ink step lies.
    pub rows: Vec<EyeRow>,
    /// Readings of the step print of this setup, from the first step on; empty for eyes alone.
    pub steps: String,
    /// Readings of ink patches that were printed beside a tablet, on any paper.
    pub patches: String,
    /// Readings of the steps in that same print; empty if it is the step print of this setup.
    pub beside: String,
}

fields!(Ask: first, apart, count, densities, black, white, rows, steps, patches, beside);

/// Where an ink step lies among the tablet's.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct EyeRow {
    /// Number of the tablet's step that is a little darker on the print; empty if none is.
    pub darker: String,
    /// Number of the step that is a little lighter; empty if none is.
    pub lighter: String,
}

fields!(EyeRow: darker, lighter);

impl Default for Ask {
    fn default() -> Self {
        Self {
            first: "0.05".into(),
            apart: "0.15".into(),
            count: "21".into(),
            densities: String::new(),
            black: String::new(),
            white: String::new(),
            rows: vec![EyeRow::default(); USUAL.len()],
            steps: String::new(),
            patches: String::new(),
            beside: String::new(),
        }
    }
}

/// What is shown.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct View {
    /// The ink steps, in the order of the rows.
    pub rows: Vec<InkRow>,
    /// Density of full ink in the light that prints.
    pub full: String,
}

fields!(out View: rows, full);

/// The name of an ink step.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct InkRow {
    /// Its ink.
    pub ink: String,
}

fields!(out InkRow: ink);

/// What is shown.
pub(super) fn answer(ask: &Ask, from: &str, units: Units) -> View {
    let rows = USUAL.iter().map(|ink| InkRow { ink: format!("{ink} % ink") }).collect();
    let full = match film(ask, from, &mut Vec::new()) {
        Some(film) => {
            let e = film.density(1.0);
            let half = (e.high - e.low) / 2.0;
            format!(
                "full ink holds back {} ± {} D of the light that prints",
                units.number(e.value, 2),
                units.number(half, 2)
            )
        }
        None => String::new(),
    };
    View { rows, full }
}

/// Densities of the tablet's steps.
pub(crate) fn tablet(ask: &Ask, notes: &mut Vec<Note>) -> Option<Vec<f64>> {
    if ask.densities.trim().is_empty() {
        let first = number("tablet.first", "The first step", &ask.first, DENSITY, &["d"], notes);
        let apart = number("tablet.apart", "The step", &ask.apart, APART, &["d"], notes);
        let steps = count("tablet.count", "The number of steps", &ask.count, COUNT, notes);
        let (first, apart, steps) = (first?, apart?, steps?.round());
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "7 to 61")]
        return Some((0..steps as u32).map(|i| first + apart * f64::from(i)).collect());
    }
    let all: Option<Vec<f64>> = column(&ask.densities);
    match all {
        Some(all) if all.len() >= 7 && all.windows(2).all(|w| w[0] < w[1]) => Some(all),
        _ => {
            notes.push(Note::error(
                "tablet.densities",
                "The densities of the tablet are not at least seven numbers that rise.",
                "Type one a step, from the clearest on.",
            ));
            None
        }
    }
}

/// Checks even steps and the two numbers seen while nothing rests on them.
pub(crate) fn unused(ask: &Ask, notes: &mut Vec<Note>) {
    let all = tablet(ask, &mut Vec::new());
    let range = Range { low: 0.0, high: all.map_or(COUNT.high, |all| all.len() as f64) };
    entry::unused(notes, |more| {
        optional("tablet.first", "The first step", &ask.first, DENSITY, &["d"], more);
        optional("tablet.apart", "The step", &ask.apart, APART, &["d"], more);
        optional_count("tablet.count", "The number of steps", &ask.count, COUNT, more);
        optional_count("tablet.black", "The number of the step", &ask.black, range, more);
        let range = Range { low: 1.0, ..range };
        optional_count("tablet.white", "The number of the step", &ask.white, range, more);
    });
}

/// Numbers of a text, one a line or one after the other.
fn column(text: &str) -> Option<Vec<f64>> {
    let cells = table::split(text).lines.into_iter().flat_map(|line| line.cells).filter(|c| !c.is_empty());
    cells.map(|cell| table::number(&cell).ok()).collect()
}

/// A step print as read, one value a step.
fn read(field: &str, text: &str, tablet: &[f64], notes: &mut Vec<Note>) -> Option<StepCurve> {
    let Some(values) = densities(text).ok().filter(|v| v.len() <= tablet.len()) else {
        notes.push(Note::error(
            field,
            "These are not readings of the tablet's steps.",
            "Type one number a step, from the clearest on, no more than the tablet has.",
        ));
        return None;
    };
    let steps: Vec<Step> = tablet
        .iter()
        .zip(values)
        .map(|(density, v)| Step { density: *density, lightness: lightness::from_density(v) })
        .collect();
    StepCurve::fit(&steps).map_err(|error| notes.push(Note { field: field.into(), ..error.note() })).ok()
}

/// The step of that number; `None` for an empty field, a note for a number that is none.
fn step(field: &str, text: &str, tablet: &[f64], notes: &mut Vec<Note>) -> Option<usize> {
    nth(field, text, (1.0, tablet), notes).and_then(|n| n.checked_sub(1))
}

/// The same as its number, from `least` on.
fn nth(field: &str, text: &str, (least, tablet): (f64, &[f64]), notes: &mut Vec<Note>) -> Option<usize> {
    if text.trim().is_empty() {
        return None;
    }
    let range = Range { low: least, high: tablet.len() as f64 };
    let n = count(field, "The number of the step", text, range, notes)?.round();
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 61")]
    Some(n as usize)
}

/// The paper's side: the step print of this setup as read, or what eyes say of its black and white.
fn paper(ask: &Ask, notes: &mut Vec<Note>) -> Option<StepCurve> {
    let tablet = tablet(ask, notes)?;
    if !ask.steps.trim().is_empty() {
        return read("tablet.steps", &ask.steps, &tablet, notes);
    }
    // 0: even the clearest step is lighter than clear film.
    let black = nth("tablet.black", &ask.black, (0.0, &tablet), notes);
    let white = step("tablet.white", &ask.white, &tablet, notes);
    let (Some(black), Some(white)) = (black, white) else {
        notes.push(Note::error(
            "tablet.black",
            "The last black step and the first white one are not both given.",
            "Look at the step print in good light and type both numbers.",
        ));
        return None;
    };
    let last = black.checked_sub(1).map_or(0.0, |i| tablet[i]);
    let next = tablet.get(black).copied().unwrap_or(last);
    let before = if white > 0 { tablet[white - 1] } else { tablet[white] };
    StepCurve::by_eye((last, next), (before, tablet[white]))
        .map_err(|error| notes.push(Note { field: "tablet.white".into(), ..error.note() }))
        .ok()
}

/// The film's side: what ink holds back, seen or read beside the tablet.
pub(crate) fn film(ask: &Ask, from: &str, notes: &mut Vec<Note>) -> Option<FilmCurve> {
    let tablet = tablet(ask, notes)?;
    if from == "eyes" {
        let mut seen = Vec::new();
        for (i, (row, ink)) in ask.rows.iter().zip(USUAL).enumerate() {
            let darker = step(&format!("tablet.rows.{i}.darker"), &row.darker, &tablet, notes);
            let lighter = step(&format!("tablet.rows.{i}.lighter"), &row.lighter, &tablet, notes);
            if darker.is_some() || lighter.is_some() {
                let at = |n: Option<usize>| n.map(|n| tablet[n]);
                seen.push(Sighting { code: f64::from(ink) / 100.0, above: at(darker), below: at(lighter) });
            }
        }
        let sighted = Sighted::fit(&seen)
            .map_err(|error| notes.push(Note { field: "tablet.rows".into(), ..error.note() }))
            .ok()?;
        return FilmCurve::by_eye(&sighted).map_err(|error| notes.push(error.note())).ok();
    }
    let beside = if ask.beside.trim().is_empty() { &ask.steps } else { &ask.beside };
    let steps = read("tablet.beside", beside, &tablet, notes)?;
    let patches = exchange::read(&ask.patches, None, None);
    notes.extend(patches.notes().into_iter().map(|note| Note { field: "tablet.patches".into(), ..note }));
    let readings: Vec<Reading> = patches.readings();
    FilmCurve::fit(&steps, &readings)
        .map_err(|error| notes.push(Note { field: "tablet.patches".into(), ..error.note() }))
        .ok()
}

/// The response by tablet, with what there is to say; `None` where something is missing.
pub(crate) fn response(ask: &Ask, from: &str) -> (Option<Response>, Vec<Note>) {
    let mut notes = Vec::new();
    let (paper, film) = (paper(ask, &mut notes), film(ask, from, &mut notes));
    // Both ask for the tablet, and both say what is wrong with it.
    let mut once: Vec<Note> = Vec::new();
    for note in notes {
        if !once.contains(&note) {
            once.push(note);
        }
    }
    let (Some(paper), Some(film)) = (paper, film) else { return (None, once) };
    match film.through(&paper, 0.0) {
        Ok(response) => (Some(response), once),
        Err(error) => {
            once.push(error.note());
            (None, once)
        }
    }
}

/// Whether anything was entered that such a response could rest on.
pub(crate) fn begun(ask: &Ask, from: &str) -> bool {
    let seen = ask.rows.iter().any(|row| !row.darker.is_empty() || !row.lighter.is_empty());
    if from == "eyes" { seen } else { !ask.patches.trim().is_empty() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    /// Ink that holds back 0.05 + 1.9 c, seen on a tablet of 21 steps of 0.15 from 0.05 on.
    fn seen() -> Ask {
        let rows = USUAL
            .iter()
            .map(|ink| {
                let d = 1.9 * f64::from(*ink) / 100.0;
                let below = (d / 0.15).floor();
                EyeRow { darker: format!("{}", below + 1.0), lighter: format!("{}", below + 2.0) }
            })
            .collect();
        Ask { black: "2".into(), white: "14".into(), rows, ..Ask::default() }
    }

    #[test]
    fn seven_steps_seen_give_a_response() {
        let (response, notes) = response(&seen(), "eyes");
        let response = response.unwrap_or_else(|| panic!("{notes:?}"));
        assert!(response.at(1.0) - response.at(0.0) > 50.0);
        let view = answer(&seen(), "eyes", Units::default());
        assert!(view.full.contains("± "), "{}", view.full);
        assert_eq!(view.rows.len(), 7);
    }

    #[test]
    fn no_step_may_be_as_black_as_clear_film() {
        let none = Ask { black: "0".into(), ..seen() };
        let (with, without) = (response(&seen(), "eyes").0, response(&none, "eyes").0);
        let middle = |r: Option<Response>| r.map_or(0.0, |r| r.at(0.35));
        assert!(middle(without) > middle(with) + 1.0);
        let less = Ask { black: "-1".into(), ..seen() };
        assert!(response(&less, "eyes").1.iter().any(|n| n.field == "tablet.black"));
    }

    #[test]
    fn what_is_missing_is_named() {
        let bare = Ask { black: String::new(), ..seen() };
        let (none, notes) = response(&bare, "eyes");
        assert!(none.is_none());
        assert!(notes.iter().any(|n| n.field == "tablet.black"), "{notes:?}");
        let wrong = Ask { densities: "0.05 0.2 0.1".into(), ..seen() };
        assert!(response(&wrong, "eyes").1.iter().any(|n| n.field == "tablet.densities"));
        let beyond = Ask { white: "40".into(), ..seen() };
        assert!(response(&beyond, "eyes").1.iter().any(|n| n.field == "tablet.white"));
    }
}
