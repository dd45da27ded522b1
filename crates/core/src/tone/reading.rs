//! One measured patch.

use super::lightness;
use crate::show::{decimals, significant};

/// What an instrument said.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Quantity {
    /// Reflection density above a perfect white.
    Density,
    /// CIE L*, 0…100.
    Lightness,
}

impl Quantity {
    /// Lowest and highest value that is taken for a reading. A densitometer set to zero on paper may read a little
    /// below it, an instrument set on paper a little above L* 100.
    pub fn range(self) -> (f64, f64) {
        match self {
            Self::Density => (-0.1, 4.5),
            Self::Lightness => (0.0, 105.0),
        }
    }

    /// As it is written.
    pub fn words(self) -> &'static str {
        match self {
            Self::Density => "density",
            Self::Lightness => "L*",
        }
    }

    /// L* of a value in this quantity.
    pub fn to_lightness(self, value: f64) -> f64 {
        match self {
            Self::Density => lightness::from_density(value),
            Self::Lightness => value,
        }
    }
}

/// One reading of one patch.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// Ink code, 0 clear film … 1 full ink.
    pub code: f64,
    /// What the instrument said, in `quantity`.
    pub value: f64,
    /// Which quantity.
    pub quantity: Quantity,
    /// How many equal readings `value` is the mean of; 1 for a single one. Above 0.
    pub weight: f64,
    /// Number or name of the patch; may be empty.
    pub id: String,
}

/// What is wrong with a reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fault {
    /// The ink code is not a number between 0 and 1.
    Code(f64),
    /// The value is not a number in the range of its quantity.
    Value(f64, Quantity),
    /// The weight is not a number above 0 (and at most a million).
    Weight(f64),
}

/// Heaviest weight taken: more patches than fit on any sheet.
const HEAVIEST: f64 = 1e6;

impl Reading {
    /// A single density reading.
    pub fn density(code: f64, value: f64) -> Self {
        Self { code, value, quantity: Quantity::Density, weight: 1.0, id: String::new() }
    }

    /// A single L* reading.
    pub fn lightness(code: f64, value: f64) -> Self {
        Self { code, value, quantity: Quantity::Lightness, weight: 1.0, id: String::new() }
    }

    /// The same, as the mean of so many readings.
    #[must_use]
    pub fn weighing(self, weight: f64) -> Self {
        Self { weight, ..self }
    }

    /// The same, of a patch with this number or name.
    #[must_use]
    pub fn named(self, id: impl Into<String>) -> Self {
        Self { id: id.into(), ..self }
    }

    /// Its L*.
    pub fn to_lightness(&self) -> f64 {
        self.quantity.to_lightness(self.value)
    }

    /// What is wrong with it, if anything.
    pub fn fault(&self) -> Option<Fault> {
        let (low, high) = self.quantity.range();
        if !(0.0..=1.0).contains(&self.code) {
            Some(Fault::Code(self.code))
        } else if !(low..=high).contains(&self.value) {
            Some(Fault::Value(self.value, self.quantity))
        } else if !(self.weight > 0.0 && self.weight <= HEAVIEST) {
            Some(Fault::Weight(self.weight))
        } else {
            None
        }
    }
}

/// A reading in words: `Reading 18 (patch 17, 56.7 % ink)`; `index` counts from 0.
pub fn name(index: usize, id: &str, code: f64) -> String {
    let place = format!("{} % ink", decimals(100.0 * code, 1));
    let count = index + 1;
    match (id.is_empty(), code.is_finite()) {
        (true, true) => format!("Reading {count} ({place})"),
        (true, false) => format!("Reading {count}"),
        (false, true) => format!("Reading {count} (patch {id}, {place})"),
        (false, false) => format!("Reading {count} (patch {id})"),
    }
}

impl Fault {
    /// What is the matter, as the end of a sentence, and what to do.
    pub fn words(self) -> (String, &'static str) {
        let show = |x: f64| if x.is_finite() { significant(x, 4) } else { "not a number".into() };
        match self {
            Self::Code(c) if c.is_finite() => (
                format!("has the ink code {} %, outside 0 to 100 %", significant(100.0 * c, 4)),
                "Give the ink code in percent: 0 is clear film, 100 full ink.",
            ),
            Self::Code(_) => ("has an ink code that is not a number".into(), "Type its ink code in percent."),
            Self::Value(v, q) => {
                let (low, high) = q.range();
                (
                    format!(
                        "is {} in {}, outside {} to {}",
                        show(v),
                        q.words(),
                        significant(low, 3),
                        significant(high, 3)
                    ),
                    "Check the digits, and whether the column holds density or L*.",
                )
            }
            Self::Weight(w) => (
                format!("counts {} times", show(w)),
                "A reading counts once, or as often as it was repeated.",
            ),
        }
    }
}
