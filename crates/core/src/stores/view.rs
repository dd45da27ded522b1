//! What is shown at the stores.

use crate::fields;

/// What a bottle comes to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct LevelRow {
    /// Its name.
    pub name: String,
    /// What is left.
    pub left: String,
    /// Price of a millilitre.
    pub per_ml: String,
    /// Prints it is enough for, mixed as on the ticket in hand.
    pub prints: String,
    /// That it is the oldest of its content.
    pub first: String,
    /// Since when it stands open and how long it keeps.
    pub keeps: String,
    /// What its dropper and its density were measured to be.
    pub dropper: String,
}

fields!(out LevelRow: name, left, per_ml, prints, first, keeps, dropper);

/// An iron solution and its tests.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct IronRow {
    /// Its name.
    pub name: String,
    /// What the tests said, the last one first.
    pub tests: String,
}

fields!(out IronRow: name, tests);

/// A line: what it is about, and what is said.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct LineRow {
    /// What it is about.
    pub name: String,
    /// What is said.
    pub text: String,
}

fields!(out LineRow: name, text);

/// What is shown.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct View {
    /// One line a bottle.
    pub levels: Vec<LevelRow>,
    /// The bottles as a drawing.
    pub drawing: String,
    /// There are bottles.
    pub has_bottles: bool,
    /// There are none yet.
    pub no_bottles: bool,
    /// Which solution of the mix runs out first.
    pub first_out: String,
    /// Iron solutions, oldest first.
    pub irons: Vec<IronRow>,
    /// There are some.
    pub has_irons: bool,
    /// Powders, with what is left and what a gram cost.
    pub powder_levels: Vec<LineRow>,
    /// There are some.
    pub has_powders: bool,
    /// What must not stand together.
    pub apart: Vec<LineRow>,
    /// Something must not.
    pub has_apart: bool,
}

fields!(
    out View:
    levels, drawing, has_bottles, no_bottles, first_out, irons, has_irons, powder_levels, has_powders, apart, has_apart,
);
