//! The working behind a result: what went in, by which formula, from which source.

use crate::constant::Constant;
use crate::show::significant;

/// The working of one result, as the page's "working" disclosure shows it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Working {
    /// Name of the result; the page's `data-working` slot of the same name shows it.
    pub id: String,
    /// One line a step, in order.
    pub steps: Vec<Step>,
}

/// One line of a working.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Step {
    /// What is computed.
    pub label: String,
    /// The formula in words and signs, e.g. `area × coverage`.
    pub formula: String,
    /// The numbers that went in, with units, e.g. `612 cm²; 40 mL/m²`.
    pub inputs: String,
    /// The result, with its unit.
    pub result: String,
    /// Whose number or method it is; empty when it is plain arithmetic.
    pub source: String,
}

impl Working {
    /// An empty working for the named result.
    #[must_use]
    pub fn new(id: &str) -> Self {
        Self { id: id.into(), steps: Vec::new() }
    }

    /// Adds a step of plain arithmetic.
    pub fn step(&mut self, label: &str, formula: &str, inputs: impl Into<String>, result: impl Into<String>) {
        self.sourced(label, formula, inputs, result, "");
    }

    /// Adds a step whose method or number has a source.
    pub fn sourced(
        &mut self,
        label: &str,
        formula: &str,
        inputs: impl Into<String>,
        result: impl Into<String>,
        source: impl Into<String>,
    ) {
        self.steps.push(Step {
            label: label.into(),
            formula: formula.into(),
            inputs: inputs.into(),
            result: result.into(),
            source: source.into(),
        });
    }

    /// Adds a line for a constant that was used.
    pub fn constant(&mut self, label: &str, c: &Constant) {
        let value = significant(c.value, usize::from(c.digits.min(6)));
        let result = if c.unit.is_empty() { value } else { format!("{value} {}", c.unit) };
        let basis = c.basis.words();
        let source =
            if c.source.starts_with(&basis) { c.source.into() } else { format!("{basis}: {}", c.source) };
        self.sourced(label, "", "", result, source);
    }
}
