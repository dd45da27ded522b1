//! What is typed where a bottle is made.

use crate::chemistry::making::palladium::EXCESS;
use crate::fields;
use crate::show::significant;

/// What was typed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ask {
    /// What to make: `palladium`, the name of a stock, or `own`.
    pub what: String,
    /// What the printer calls a solid of its own.
    pub name: String,
    /// Its formula.
    pub formula: String,
    /// What it is made from: `powder`, or `bottle` for a stronger solution.
    pub from: String,
    /// Which chloride takes palladium(II) chloride into solution: `sodium`, `lithium`, `ammonium`, `potassium`.
    pub chloride: String,
    /// The palladium(II) chloride: `dry` or `wet`, with two waters.
    pub source: String,
    /// What the label of the powder says: its `purity`, or how much `metal` it holds.
    pub label_says: String,
    /// That, in percent; empty for pure.
    pub purity: String,
    /// Chloride beyond what the reaction needs, in percent.
    pub excess: String,
    /// Which of the stock's forms is weighed, by its place from 0.
    pub form: String,
    /// Which form the strength counts, by its place; `sold` for the one that is weighed.
    pub counted: String,
    /// Waters in iron(III) oxalate; empty if nobody knows.
    pub waters: String,
    /// Iron in percent on the label of ammonium iron(III) citrate.
    pub iron_percent: String,
    /// Potassium chlorate in the iron solution, % w/v; empty for none.
    pub chlorate: String,
    /// Oxalic acid dihydrate in the iron solution, % w/v; empty for none.
    pub acid: String,
    /// Strength of the stronger solution, % w/v.
    pub have: String,
    /// Strength wanted; empty for the usual one.
    pub strength: String,
    /// How it is stated: `percent`, `weight`, `litre`, `mol`, `water` or `old`.
    pub way: String,
    /// Whose ounces: `imperial` or `us`.
    pub system: String,
    /// Density of the solution, g/mL, where a percentage by weight needs it.
    pub density: String,
    /// Volume to make.
    pub volume: String,
    /// How cold the bottle will stand; empty for 20 °C.
    pub room: String,
    /// Its lot, for label and shelf.
    pub lot: String,
    /// What it cost.
    pub price: String,
    /// How many labels.
    pub labels: String,
    /// What is printed: `labels` or `sheet`.
    pub sheet: String,
}

fields!(
    Ask:
    what, name, formula, from, chloride, source, label_says, purity, excess, form, counted, waters,
    iron_percent, chlorate, acid, have, strength, way, system, density, volume, room, lot, price,
    labels, sheet,
);

impl Default for Ask {
    fn default() -> Self {
        let empty = String::new;
        Self {
            what: "palladium".into(),
            name: empty(),
            formula: empty(),
            from: "powder".into(),
            chloride: "sodium".into(),
            source: "dry".into(),
            label_says: "purity".into(),
            purity: empty(),
            excess: significant(EXCESS.value, usize::from(EXCESS.digits)),
            form: "0".into(),
            counted: "sold".into(),
            waters: empty(),
            iron_percent: empty(),
            chlorate: empty(),
            acid: empty(),
            have: empty(),
            strength: empty(),
            way: "percent".into(),
            system: "imperial".into(),
            density: empty(),
            volume: "50".into(),
            room: empty(),
            lot: empty(),
            price: empty(),
            labels: "1".into(),
            sheet: "sheet".into(),
        }
    }
}
