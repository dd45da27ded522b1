//! Numbers that were not computed here, each with where it comes from.

/// How far a number may be trusted, and whose it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// True by definition or by arithmetic alone.
    Definition,
    /// Read in the source named beside it.
    Published,
    /// What the trade does; no source.
    CommonPractice,
    /// Remembered, not looked up.
    FromMemory,
    /// Our own choice, for want of anything better.
    Choice,
    /// Measured by the printer, from this many readings.
    Measured {
        /// How many readings stand behind it.
        n: u32,
    },
}

impl Basis {
    /// The words the page shows beside a number.
    #[must_use]
    pub fn words(self) -> String {
        match self {
            Self::Definition => "by definition".into(),
            Self::Published => "published".into(),
            Self::CommonPractice => "common practice".into(),
            Self::FromMemory => "from memory".into(),
            Self::Choice => "a starting value of ours".into(),
            Self::Measured { n: 1 } => "measured by you".into(),
            Self::Measured { n } => format!("measured by you ({n})"),
        }
    }
}

/// A number with its unit, its trust and its source.
///
/// `digits` is the count of significant figures the source gives; nothing derived from it is shown to more.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Constant {
    /// The number, in `unit`.
    pub value: f64,
    /// The unit as it is written, or an empty string for a pure number.
    pub unit: &'static str,
    /// Significant figures.
    pub digits: u8,
    /// How far it may be trusted.
    pub basis: Basis,
    /// Author, title, year, place; or why there is none.
    pub source: &'static str,
}

impl Constant {
    /// A number that is exact by definition.
    #[must_use]
    pub const fn exact(value: f64, unit: &'static str, source: &'static str) -> Self {
        Self { value, unit, digits: 15, basis: Basis::Definition, source }
    }

    /// A starting value of the trade, which the printer's own measurement replaces.
    #[must_use]
    pub const fn practice(value: f64, unit: &'static str, digits: u8, source: &'static str) -> Self {
        Self { value, unit, digits, basis: Basis::CommonPractice, source }
    }

    /// A number read in a published source.
    #[must_use]
    pub const fn published(value: f64, unit: &'static str, digits: u8, source: &'static str) -> Self {
        Self { value, unit, digits, basis: Basis::Published, source }
    }

    /// A starting value chosen by us.
    #[must_use]
    pub const fn choice(value: f64, unit: &'static str, digits: u8, why: &'static str) -> Self {
        Self { value, unit, digits, basis: Basis::Choice, source: why }
    }
}
