//! What is shown where a bottle is made.

use crate::fields;

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
    /// There is one.
    pub has_usual: bool,
    /// Density that is used if none is typed.
    pub density_start: String,
    /// The bottle can be made.
    pub made: bool,
    /// It cannot, for want of something that was asked.
    pub stuck: bool,
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
    palladium, own, stock, powder, bottle, ferric, citrate, several, forms, old, needs_density, usual, has_usual,
    density_start, made, stuck, weighed, strength, moles, has_moles, steps, warm, has_warm, keeps, codes,
    has_codes, cautions, meets, has_meets, shelf, labels,
);
