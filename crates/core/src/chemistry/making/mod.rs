//! Make a bottle: grams, order of work, and what to beware of, for the solutions a workroom makes up itself.

pub mod own;
pub mod palladium;
mod solution;
mod stock;

pub use solution::{Counted, From, Wish, make};
pub use stock::{STOCKS, Stock};

use super::hazard::{self, Kind};
use super::{Molarity, Strength};
use crate::constant::Constant;
use crate::note::Note;
use crate::quantity::{Mass, Volume};
use crate::show::Units;
use crate::working::Working;
use std::borrow::Cow;

/// One step of a balance, for the hint that little is weighed badly.
pub const BALANCE: Constant =
    Constant::choice(0.01, "g", 1, "one step of a balance that shows 0.01 g; no source");
/// A step of the balance may be so much of what is weighed, as a part of it.
const COARSE: f64 = 0.02;

/// A solid to weigh out.
#[derive(Clone, Debug, PartialEq)]
pub struct Weighed {
    /// What.
    pub name: Cow<'static, str>,
    /// As which formula; empty if it has none.
    pub formula: Cow<'static, str>,
    /// How much.
    pub mass: Mass,
}

/// A bottle to be made.
#[derive(Clone, Debug, PartialEq)]
pub struct Made {
    /// What it will hold.
    pub content: Cow<'static, str>,
    /// Grams of the counted form in 100 mL.
    pub strength: Strength,
    /// Formula the strength counts; empty if there is none.
    pub counted: Cow<'static, str>,
    /// Moles of the active part a litre, where there is a formula.
    pub molarity: Option<Molarity>,
    /// Its volume.
    pub volume: Volume,
    /// Solids.
    pub weighed: Vec<Weighed>,
    /// Stronger solution of the same, to be thinned.
    pub poured: Option<Volume>,
    /// Order of work.
    pub steps: Vec<String>,
    /// Temperature that helps.
    pub warm: Option<Constant>,
    /// What to beware of, in addition to [`hazard::ALWAYS`].
    pub cautions: Vec<&'static str>,
    /// Statement codes that were read for the solid; a solution may be classed lower.
    pub codes: &'static [&'static str],
    /// How long it keeps, as a starting value.
    pub keeps: &'static str,
    /// Remarks, each to the field it is about.
    pub notes: Vec<Note>,
    /// How it was computed.
    pub working: Working,
}

impl Made {
    /// The lines of its label: content, strength with its basis, and the codes with their words. Lot and date are the
    /// printer's.
    #[must_use]
    pub fn label(&self, units: Units) -> Vec<String> {
        let mut lines = vec![self.content.to_string()];
        lines.push(
            [&units.figures(self.strength.to_percent(), 3), " % w/v ", &self.counted]
                .concat()
                .trim()
                .to_owned(),
        );
        if let Some(m) = self.molarity {
            lines.push([&units.figures(m.to_mol_per_litre(), 3), " mol/L"].concat());
        }
        lines.extend(self.codes.iter().map(|code| [code, " ", hazard::statement(code)].concat()));
        lines
    }
}

/// Sees that a volume and a strength can be made at all.
///
/// # Errors
/// The note for the field.
fn sane(volume: Volume, strength: f64) -> Result<(), Note> {
    if !(volume.to_ml() > 0.0 && volume.to_litres() <= 100.0) {
        return Err(Note::error(
            "volume",
            "The volume is zero, below it, or beyond any tank.",
            "Type how many mL to make.",
        ));
    }
    if !(strength > 0.0 && strength < f64::MAX) {
        return Err(Note::error("strength", "The strength is zero or below.", "Type the strength you want."));
    }
    Ok(())
}

fn pure(field: &str, part: f64) -> Result<(), Note> {
    if part > 0.0 && part <= 1.0 {
        return Ok(());
    }
    Err(Note::error(
        field,
        "The purity is not between 0 and 100 %.",
        "Take it from the label; type 100 if none is given.",
    ))
}

/// The hint that a small mass is weighed badly.
fn weighing(weighed: &[Weighed], notes: &mut Vec<Note>) {
    if weighed.iter().any(|w| w.mass.to_g() * COARSE < BALANCE.value) {
        notes.push(Note::hint(
            "volume",
            "A balance that shows 0.01 g is off by 2 % or more here. Make more, or weigh to a milligram.",
        ));
    }
}

/// The first steps of any powder, and the last of any bottle.
fn begin(kind: Kind) -> String {
    match kind {
        Kind::Mild | Kind::Edta | Kind::Sulfite => "Put on gloves and goggles, and weigh the powder.",
        _ => "Put on gloves and goggles, stop draughts, and weigh the powder without raising dust.",
    }
    .to_owned()
}

fn make_up(volume: Volume, units: Units) -> String {
    [
        "Make up to ",
        &units.figures(volume.to_ml(), 3),
        " mL with distilled water, mix, and write the label at once.",
    ]
    .concat()
}
