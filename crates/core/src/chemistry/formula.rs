//! Chemical formulas as typed: `Fe2(C2O4)3·6H2O`, `K3[Fe(CN)6]`, `[PtCl4]2-`.

use std::collections::BTreeMap;

use super::{Element, MolarMass};
use crate::constant::Basis;
use crate::estimate::Estimate;
use crate::math::sqrt;
use crate::note::Note;

/// Longest text that is read, in signs.
const LONGEST: usize = 200;
/// Deepest nesting of brackets.
const DEEPEST: usize = 16;
/// Most atoms of one element.
const MOST: u64 = 1_000_000;

/// A formula: how many atoms of which element, and the charge.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Formula {
    atoms: BTreeMap<Element, u64>,
    charge: i32,
}

/// Why a text is no formula, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FormulaError {
    /// The sign at which reading stopped, counted from 1.
    pub place: usize,
    /// What is the matter there.
    pub fault: FormulaFault,
}

/// What is the matter with a formula.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FormulaFault {
    /// Nothing was typed, or a bracket, part or charge holds nothing.
    Empty,
    /// A symbol that is no element known here.
    UnknownElement(String),
    /// A sign that cannot stand here.
    Unexpected(char),
    /// An opening bracket that is never closed.
    Unclosed(char),
    /// A closing bracket that closes nothing, or another kind of bracket.
    Unopened(char),
    /// A count of zero, or one too large to be meant.
    Count,
    /// A digit before a bare sign of charge: it may count atoms or charges.
    AmbiguousCharge,
    /// The text is too long or nested too deep.
    TooLong,
}

impl FormulaError {
    /// The note for the field `name`, whose label is `label`.
    #[must_use]
    pub fn note(&self, name: &str, label: &str) -> Note {
        let at = self.place;
        let (what, mend) = match &self.fault {
            FormulaFault::Empty => {
                ("there is nothing to read".to_owned(), "Type a formula such as K2PtCl4 or Fe2(C2O4)3·6H2O.")
            }
            FormulaFault::UnknownElement(symbol) => (
                format!("{symbol} is no element known here"),
                "Check capitals and small letters, as in Pd or Cl.",
            ),
            FormulaFault::Unexpected(c) => (
                format!("the sign {c} cannot stand here"),
                "Leave it out, or put a dot before water of hydration.",
            ),
            FormulaFault::Unclosed(c) => (format!("the bracket {c} is not closed"), "Close it."),
            FormulaFault::Unopened(c) => {
                (format!("the bracket {c} closes nothing"), "Open the same kind of bracket before it.")
            }
            FormulaFault::Count => {
                ("the count is zero or too large".to_owned(), "Type a whole number from 1 to 1000000.")
            }
            FormulaFault::AmbiguousCharge => (
                "the digit may count atoms or charges".to_owned(),
                "Write the charge behind a caret, as in Fe^3+.",
            ),
            FormulaFault::TooLong => {
                ("the text is longer or deeper than any formula".to_owned(), "Type one formula alone.")
            }
        };
        Note::error(name, format!("{label}: at sign {at}, {what}."), mend)
    }
}

impl Formula {
    /// Reads a formula: symbols with counts (plain or lowered digits), nested brackets `()`, `[]`, `{}`, parts
    /// joined by a dot (`·`, `.`, `*`) with a factor before them, and a charge at the end: `^2-`, raised digits,
    /// a bare `+` or `-`, or digits and sign behind a closing bracket.
    ///
    /// # Errors
    /// Names the place in the text and what is the matter there; never panics.
    pub fn parse(text: &str) -> Result<Self, FormulaError> {
        let signs: Vec<char> = text.trim_end().chars().collect();
        if signs.len() > LONGEST {
            return Err(FormulaError { place: LONGEST + 1, fault: FormulaFault::TooLong });
        }
        Reader { signs, at: 0 }.formula()
    }

    /// From atoms and their numbers, without charge.
    #[must_use]
    pub fn of(atoms: &[(Element, u64)]) -> Self {
        let mut formula = Self::default();
        for &(element, n) in atoms.iter().filter(|(_, n)| *n > 0) {
            *formula.atoms.entry(element).or_default() += n;
        }
        formula
    }

    /// How many atoms of an element.
    #[must_use]
    pub fn count(&self, element: Element) -> u64 {
        self.atoms.get(&element).copied().unwrap_or(0)
    }

    /// Atoms and their numbers, lightest element first.
    pub fn atoms(&self) -> impl Iterator<Item = (Element, u64)> {
        self.atoms.iter().map(|(&e, &n)| (e, n))
    }

    /// The charge in elementary charges.
    #[must_use]
    pub fn charge(&self) -> i32 {
        self.charge
    }

    /// Molar mass; the mass of electrons that a charge adds or takes is far below what is shown, and left out.
    #[must_use]
    pub fn molar_mass(&self) -> MolarMass {
        MolarMass::from_g_per_mol(self.atoms().map(|(e, n)| count(n) * e.weight().value).sum())
    }

    /// Molar mass in g/mol with the half widths of its elements added in quadrature.
    #[must_use]
    pub fn molar_mass_estimate(&self) -> Estimate {
        let square = |x: f64| x * x;
        let variance: f64 = self.atoms().map(|(e, n)| square(count(n) * e.half_width().value)).sum();
        Estimate::plus_minus(self.molar_mass().to_g_per_mol(), sqrt(variance), Basis::Published)
    }

    /// Part of the mass that is this element, 0..1; 0 for an empty formula.
    #[must_use]
    pub fn fraction(&self, element: Element) -> f64 {
        let whole = self.molar_mass().to_g_per_mol();
        if whole > 0.0 { count(self.count(element)) * element.weight().value / whole } else { 0.0 }
    }

    fn add(&mut self, other: &Self, factor: u64, place: usize) -> Result<(), FormulaError> {
        for (element, n) in other.atoms() {
            let sum = self.atoms.entry(element).or_default();
            *sum = n.checked_mul(factor).and_then(|n| sum.checked_add(n)).unwrap_or(u64::MAX);
            if *sum > MOST {
                return Err(FormulaError { place, fault: FormulaFault::Count });
            }
        }
        Ok(())
    }
}

/// Counts stay below a million, where every whole number is exact.
#[expect(clippy::cast_precision_loss, reason = "bounded by MOST")]
fn count(n: u64) -> f64 {
    n as f64
}

struct Reader {
    signs: Vec<char>,
    at: usize,
}

impl Reader {
    fn peek(&self) -> Option<char> {
        self.signs.get(self.at).copied()
    }

    fn fail<T>(&self, fault: FormulaFault) -> Result<T, FormulaError> {
        Err(FormulaError { place: self.at + 1, fault })
    }

    fn formula(mut self) -> Result<Formula, FormulaError> {
        let mut whole = Formula::default();
        while self.peek().is_some_and(char::is_whitespace) {
            self.at += 1;
        }
        loop {
            while self.peek() == Some(' ') {
                self.at += 1;
            }
            let place = self.at + 1;
            let factor = self.number()?.unwrap_or(1);
            let part = self.group(0)?;
            whole.add(&part, factor, place)?;
            match self.peek() {
                None => return Ok(whole),
                Some(c) if is_dot(c) => self.at += 1,
                Some(c) if is_charge(c) => {
                    whole.charge = self.charge()?;
                    return match self.peek() {
                        None => Ok(whole),
                        Some(c) => self.fail(FormulaFault::Unexpected(c)),
                    };
                }
                Some(c @ (')' | ']' | '}')) => return self.fail(FormulaFault::Unopened(c)),
                Some(c) => return self.fail(FormulaFault::Unexpected(c)),
            }
        }
    }

    /// Symbols and brackets up to what cannot belong to them.
    fn group(&mut self, depth: usize) -> Result<Formula, FormulaError> {
        if depth > DEEPEST {
            return self.fail(FormulaFault::TooLong);
        }
        let mut group = Formula::default();
        let start = self.at;
        while let Some(c) = self.peek() {
            let place = self.at + 1;
            let part = if c.is_ascii_uppercase() {
                self.symbol()?
            } else if let Some(closing) = closing(c) {
                self.at += 1;
                let inner = self.group(depth + 1)?;
                match self.peek() {
                    Some(found) if found == closing => self.at += 1,
                    Some(found @ (')' | ']' | '}')) => return self.fail(FormulaFault::Unopened(found)),
                    Some(found) => return self.fail(FormulaFault::Unexpected(found)),
                    None => return Err(FormulaError { place, fault: FormulaFault::Unclosed(c) }),
                }
                inner
            } else if c.is_alphabetic() {
                return self.fail(FormulaFault::UnknownElement(c.to_string()));
            } else {
                break;
            };
            let digits = self.at;
            let factor = self.number()?;
            if factor.is_some() && matches!(self.peek(), Some('+' | '-' | '−')) {
                if closing(c).is_some() && depth == 0 {
                    // `[PtCl4]2-`: behind a bracket the digit is the charge.
                    self.at = digits;
                    group.add(&part, 1, place)?;
                    break;
                }
                self.at = digits;
                return self.fail(FormulaFault::AmbiguousCharge);
            }
            group.add(&part, factor.unwrap_or(1), place)?;
        }
        if self.at == start { self.fail(FormulaFault::Empty) } else { Ok(group) }
    }

    fn symbol(&mut self) -> Result<Formula, FormulaError> {
        let start = self.at;
        let mut symbol = String::new();
        while let Some(c) = self.peek() {
            let first = symbol.is_empty();
            if (first && c.is_ascii_uppercase()) || (!first && c.is_ascii_lowercase()) {
                symbol.push(c);
                self.at += 1;
            } else {
                break;
            }
        }
        match Element::of(&symbol) {
            Some(element) => Ok(Formula::of(&[(element, 1)])),
            None => Err(FormulaError { place: start + 1, fault: FormulaFault::UnknownElement(symbol) }),
        }
    }

    /// A whole number of plain or lowered digits, if one stands here.
    fn number(&mut self) -> Result<Option<u64>, FormulaError> {
        let start = self.at;
        let mut n: u64 = 0;
        while let Some(digit) = self.peek().and_then(|c| c.to_digit(10).or_else(|| lowered(c))) {
            n = n.saturating_mul(10).saturating_add(u64::from(digit));
            self.at += 1;
        }
        if self.at == start {
            return Ok(None);
        }
        if n == 0 || n > MOST {
            return Err(FormulaError { place: start + 1, fault: FormulaFault::Count });
        }
        Ok(Some(n))
    }

    fn charge(&mut self) -> Result<i32, FormulaError> {
        if self.peek() == Some('^') {
            self.at += 1;
        }
        let mut n: i32 = 0;
        let start = self.at;
        while let Some(digit) = self.peek().and_then(|c| c.to_digit(10).or_else(|| raised(c))) {
            n = n.saturating_mul(10).saturating_add(i32::try_from(digit).unwrap_or(0));
            self.at += 1;
        }
        if self.at == start {
            n = 1;
        }
        if n == 0 || n > 20 {
            return Err(FormulaError { place: start + 1, fault: FormulaFault::Count });
        }
        let sign = match self.peek() {
            Some('+' | '⁺') => 1,
            Some('-' | '−' | '⁻') => -1,
            Some(c) => return self.fail(FormulaFault::Unexpected(c)),
            None => return self.fail(FormulaFault::Empty),
        };
        self.at += 1;
        Ok(sign * n)
    }
}

fn closing(c: char) -> Option<char> {
    match c {
        '(' => Some(')'),
        '[' => Some(']'),
        '{' => Some('}'),
        _ => None,
    }
}

fn is_dot(c: char) -> bool {
    matches!(c, '·' | '.' | '*' | '•' | '⋅' | '∙')
}

fn is_charge(c: char) -> bool {
    matches!(c, '^' | '+' | '-' | '−' | '⁺' | '⁻') || c.is_ascii_digit() || raised(c).is_some()
}

fn lowered(c: char) -> Option<u32> {
    ('₀'..='₉').contains(&c).then(|| u32::from(c) - u32::from('₀'))
}

fn raised(c: char) -> Option<u32> {
    match c {
        '⁰' => Some(0),
        '¹' => Some(1),
        '²' => Some(2),
        '³' => Some(3),
        '⁴'..='⁹' => Some(u32::from(c) - u32::from('⁰')),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    fn fault(text: &str) -> (usize, FormulaFault) {
        let e = Formula::parse(text).expect_err(text);
        (e.place, e.fault)
    }

    #[test]
    fn molar_masses_and_fractions_of_the_published_weights() {
        let table: serde_json::Value =
            serde_json::from_str(include_str!("../../../../tests/reference/molar-masses/compounds.json"))
                .unwrap();
        let tolerance = table["tolerance_rel"].as_f64().unwrap();
        let compounds = table["compounds"].as_array().unwrap();
        assert!(compounds.len() > 60);
        for c in compounds {
            let text = c["formula"].as_str().unwrap();
            let formula = Formula::parse(text).expect(text);
            let atoms: BTreeMap<String, u64> =
                formula.atoms().map(|(e, n)| (e.symbol().to_owned(), n)).collect();
            let expected: BTreeMap<String, u64> = c["composition"]
                .as_object()
                .unwrap()
                .iter()
                .map(|(k, v)| (k.clone(), v.as_u64().unwrap()))
                .collect();
            assert_eq!(atoms, expected, "{text}");
            let mass = c["M_g_per_mol"].as_f64().unwrap();
            let found = formula.molar_mass_estimate();
            // Two programs that count by other tables agree within the relative tolerance of the vectors.
            for other in ["M_g_per_mol", "M_molmass", "M_periodictable"] {
                let other = c[other].as_f64().unwrap();
                assert!((found.value / other - 1.0).abs() < tolerance, "{text}: {} {other}", found.value);
            }
            assert!((found.value - mass).abs() < 6e-4, "{text}: {} {mass}", found.value);
            let half = c["M_pm_quadrature"].as_f64().unwrap();
            assert!((found.high - found.value - half).abs() < 6e-5, "{text}: {found:?} {half}");
            if let Some(metal) = c["metal"].as_str() {
                let part = c["metal_mass_fraction"].as_f64().unwrap();
                let metal = Element::of(metal).unwrap();
                assert!((formula.fraction(metal) - part).abs() < 1e-6, "{text}");
            }
        }
    }

    #[test]
    fn one_compound_in_many_spellings() {
        let plain = Formula::parse("Fe2(C2O4)3·6H2O").unwrap();
        for text in ["Fe2(C2O4)3*6H2O", " Fe2[C2O4]3.6H2O ", "Fe₂(C₂O₄)₃ · 6H₂O", "Fe2{(CO2)2}3•6 H2O"]
        {
            let spaced = text.replace(" · ", "·").replace("6 H", "6H");
            assert_eq!(Formula::parse(&spaced).as_ref(), Ok(&plain), "{text}");
        }
        assert_eq!(Formula::parse("2H2O").unwrap().count(Element::H), 4);
    }

    #[test]
    fn charges() {
        let charge = |text| Formula::parse(text).map(|f| f.charge());
        assert_eq!(charge("PtCl4^2-"), Ok(-2));
        assert_eq!(charge("[PtCl4]2-"), Ok(-2));
        assert_eq!(charge("[Fe(C2O4)3]³⁻"), Ok(-3));
        assert_eq!(charge("Fe^3+"), Ok(3));
        assert_eq!(charge("Cl-"), Ok(-1));
        assert_eq!(charge("K2PtCl4"), Ok(0));
        assert_eq!(Formula::parse("[PtCl4]2-").unwrap().count(Element::Cl), 4);
        assert_eq!(fault("Fe3+"), (3, FormulaFault::AmbiguousCharge));
    }

    #[test]
    fn errors_name_the_place() {
        assert_eq!(fault(""), (1, FormulaFault::Empty));
        assert_eq!(fault("K2PtCl4·"), (9, FormulaFault::Empty));
        assert_eq!(fault("K2Xx"), (3, FormulaFault::UnknownElement("Xx".into())));
        assert_eq!(fault("K2ptCl4"), (3, FormulaFault::UnknownElement("p".into())));
        assert_eq!(fault("Fe2(C2O4"), (4, FormulaFault::Unclosed('(')));
        assert_eq!(fault("Fe2(C2O4]3"), (9, FormulaFault::Unopened(']')));
        assert_eq!(fault("Fe2)"), (4, FormulaFault::Unopened(')')));
        assert_eq!(fault("Fe2()3"), (5, FormulaFault::Empty));
        assert_eq!(fault("H0"), (2, FormulaFault::Count));
        assert_eq!(fault("H99999999999999999999"), (2, FormulaFault::Count));
        assert_eq!(fault("(H1000)1000000"), (1, FormulaFault::Count));
        assert_eq!(fault("H2 O!"), (3, FormulaFault::Unexpected(' ')));
        assert_eq!(fault("H2^"), (4, FormulaFault::Empty));
        assert_eq!(fault("H2^2-x"), (6, FormulaFault::Unexpected('x')));
        assert_eq!(fault(&"(".repeat(50)), (18, FormulaFault::TooLong));
        assert_eq!(fault(&"H".repeat(201)), (201, FormulaFault::TooLong));
    }
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod laws {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn never_panics(text in ".{0,60}", close in "[A-Za-z0-9()\\[\\]·.^+-]{0,40}") {
            for text in [text, close] {
                match Formula::parse(&text) {
                    Ok(f) => prop_assert!(f.molar_mass().to_g_per_mol() > 0.0),
                    Err(e) => {
                        prop_assert!(e.place >= 1 && e.place <= text.chars().count() + 1);
                        prop_assert!(!e.note("x", "Formula").mend.is_empty());
                    }
                }
            }
        }

        #[test]
        fn water_adds_its_mass(n in 1u32..40) {
            let dry = Formula::parse("Na2PdCl4").unwrap().molar_mass();
            let wet = Formula::parse(&format!("Na2PdCl4·{n}H2O")).unwrap().molar_mass();
            let water = Formula::parse("H2O").unwrap().molar_mass();
            prop_assert!(((wet - dry) / water - f64::from(n)).abs() < 1e-9);
        }
    }
}
