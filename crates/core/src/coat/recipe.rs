//! A recipe: what a sensitiser is mixed from.

use crate::fields;

/// A recipe the printer can name and change.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Recipe {
    /// Its name.
    pub name: String,
    /// What the coat station starts from.
    pub preset: super::Preset,
    /// Where its numbers come from.
    pub source: String,
    /// Developer and clearing that belong to it.
    pub baths: Vec<crate::baths::Row>,
}

fields!(Recipe: name, preset, source, baths);
