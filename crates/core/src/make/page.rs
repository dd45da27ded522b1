//! The page where a bottle is made: what was typed, what is shown, what its buttons do.

use super::{shelf, show};
use crate::book::{Book, Change};
use crate::chemistry::making::palladium::EXCESS;
use crate::entry;
use crate::fields;
use crate::show::{TemperatureUnit, Units, significant};
use crate::station::{Act, Answer, Deed, Effect, Scene, Station};

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

/// A form of a solid that can be chosen.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FormRow {
    /// Its formula.
    pub formula: String,
}

fields!(out FormRow: formula);

/// A solid to weigh, or a liquid to pour.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct WeighRow {
    /// What.
    pub name: String,
    /// As which formula.
    pub formula: String,
    /// How much.
    pub amount: String,
}

fields!(out WeighRow: name, formula, amount);

/// A line of text.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct TextRow {
    /// The text.
    pub text: String,
}

fields!(out TextRow: text);

/// One label.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct LabelRow {
    /// What is in the bottle.
    pub content: String,
    /// How strong.
    pub strength: String,
    /// Moles, or iron.
    pub moles: String,
    /// Lot and volume.
    pub lot: String,
    /// The day it was made.
    pub made: String,
    /// Statement codes.
    pub codes: String,
    /// What to beware of.
    pub danger: String,
}

fields!(out LabelRow: content, strength, moles, lot, made, codes, danger);

/// What is shown.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct View {
    /// Palladium from its chloride is made.
    pub palladium: bool,
    /// A solid by its formula is made.
    pub own: bool,
    /// One of the list is made.
    pub stock: bool,
    /// It is made from powder.
    pub powder: bool,
    /// It is made from a stronger solution.
    pub bottle: bool,
    /// Iron(III) oxalate is made.
    pub ferric: bool,
    /// Ammonium iron(III) citrate is made.
    pub citrate: bool,
    /// There are several forms.
    pub several: bool,
    /// The forms.
    pub forms: Vec<FormRow>,
    /// The strength is typed in old measures.
    pub old: bool,
    /// The strength needs a density.
    pub needs_density: bool,
    /// Strength to begin with.
    pub usual: String,
    /// Density that is used if none is typed.
    pub density_start: String,
    /// The bottle can be made.
    pub made: bool,
    /// What to weigh and pour.
    pub weighed: Vec<WeighRow>,
    /// How strong it is, in several ways.
    pub strength: String,
    /// The same in moles, or its iron.
    pub moles: String,
    /// Moles are known.
    pub has_moles: bool,
    /// Order of work.
    pub steps: Vec<TextRow>,
    /// Warmth that helps.
    pub warm: String,
    /// It helps.
    pub has_warm: bool,
    /// How long it keeps.
    pub keeps: String,
    /// What is read on its solids' sheets.
    pub codes: Vec<TextRow>,
    /// Codes were read.
    pub has_codes: bool,
    /// What to beware of.
    pub cautions: Vec<TextRow>,
    /// What it must not meet.
    pub meets: Vec<TextRow>,
    /// There is something.
    pub has_meets: bool,
    /// What it will stand in the stores as.
    pub shelf: String,
    /// Labels.
    pub labels: Vec<LabelRow>,
}

fields!(
    out View:
    palladium, own, stock, powder, bottle, ferric, citrate, several, forms, old, needs_density, usual,
    density_start, made, weighed, strength, moles, has_moles, steps, warm, has_warm, keeps, codes,
    has_codes, cautions, meets, has_meets, shelf, labels,
);

/// The page where a bottle is made.
#[derive(Clone, Copy, Debug)]
pub struct Make;

impl Station for Make {
    const ID: &'static str = "make";
    type Ask = Ask;
    type View = View;

    fn load(book: &Book) -> Ask {
        book.desk().make.clone()
    }

    fn keep(book: &Book, ask: Ask) -> Change {
        book.on_desk(|desk| desk.make = ask)
    }

    fn answer(ask: &Ask, scene: &Scene<'_>) -> Answer<View> {
        show::answer(ask, scene)
    }

    fn act(ask: &Ask, deed: Deed<'_>, scene: &Scene<'_>) -> Act {
        match deed.verb {
            "shelve" => shelf::shelve(ask, scene).into(),
            "print" => Act::effect(Effect::Print),
            "to-stores" => Act::effect(Effect::Go("stores")),
            "fresh" => Act::change(Self::keep(scene.book, Ask::default())),
            _ => Act::default(),
        }
    }

    fn convert(ask: &mut Ask, from: Units, to: Units) {
        if from.temperature == to.temperature {
            return;
        }
        if let Ok(typed) = entry::parse(&ask.room)
            && typed.unit.is_empty()
        {
            let t = show::typed_temperature(typed.value, from);
            let degrees = match to.temperature {
                TemperatureUnit::C => t.to_celsius(),
                TemperatureUnit::F => t.to_fahrenheit(),
            };
            ask.room = to.figures(degrees, 3);
        }
    }

    fn sample() -> (Ask, View) {
        let view = View {
            forms: vec![FormRow::default()],
            weighed: vec![WeighRow::default()],
            steps: vec![TextRow::default()],
            codes: vec![TextRow::default()],
            cautions: vec![TextRow::default()],
            meets: vec![TextRow::default()],
            labels: vec![LabelRow::default()],
            ..View::default()
        };
        (Ask::default(), view)
    }
}
