//! Numbers as the page shows them: no more digits than they deserve, in the printer's own units and marks.

use crate::quantity::{Length, Temperature, Volume};
use crate::{decimal, fields, words};

/// A number to so many significant figures, plain, without exponent, trailing zeros after the mark dropped.
#[must_use]
pub fn significant(x: f64, digits: usize) -> String {
    if x == 0.0 || !x.is_finite() {
        return "0".into();
    }
    let magnitude = x.abs();
    let mut before: i32 = 0;
    let mut scale = 1.0;
    while magnitude >= scale * 10.0 && before < 300 {
        scale *= 10.0;
        before += 1;
    }
    while magnitude < scale && before > -300 {
        scale /= 10.0;
        before -= 1;
    }
    let after = i32::try_from(digits).unwrap_or(6) - 1 - before;
    decimal::short(x, usize::try_from(after).unwrap_or(0))
}

/// A figure to be read, with a true minus (U+2212); fields read it as well.
#[must_use]
pub fn true_minus(figure: &str) -> String {
    figure.replace('-', "\u{2212}")
}

/// A number with exactly so many decimals.
#[must_use]
pub fn decimals(x: f64, places: usize) -> String {
    let text = decimal::fixed(x, places);
    // "-0.00" says something that is not so.
    if text.trim_start_matches('-').chars().all(|c| c == '0' || c == '.') {
        text.replace('-', "")
    } else {
        text
    }
}

/// Length unit of the page.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum LengthUnit {
    /// Millimetres.
    #[default]
    Mm,
    /// Inches.
    Inch,
}

words!(LengthUnit: Mm "mm", Inch "inch");

impl LengthUnit {
    /// The length that a figure in this unit is.
    #[must_use]
    pub fn length(self, figure: f64) -> Length {
        match self {
            Self::Mm => Length::from_mm(figure),
            Self::Inch => Length::from_inches(figure),
        }
    }

    /// The figure of a length in this unit.
    #[must_use]
    pub fn figure(self, length: Length) -> f64 {
        match self {
            Self::Mm => length.to_mm(),
            Self::Inch => length.to_inches(),
        }
    }

    /// Whether two figures of this unit are the same thousandth of an inch, the least that is typed.
    fn are_alike(self, a: f64, b: f64) -> bool {
        self.length((a - b).abs()).to_inches() < 0.0005
    }

    /// A figure of this unit in another one: the fewest decimals that come back as the same figure. So 210 mm are
    /// 8.268 in and 210 mm again, and 3/8 in are 9.52 mm and 0.375 in again.
    #[must_use]
    pub fn carried(self, figure: f64, to: Self) -> f64 {
        let there = to.figure(self.length(figure));
        let scales: &[f64] = if to == Self::Mm { &[1.0, 10.0, 100.0] } else { &[1.0, 10.0, 100.0, 1000.0] };
        let round = |scale: &f64| (there * scale).round() / scale;
        let same = |x: &f64| self.are_alike(self.figure(to.length(*x)), figure);
        scales.iter().map(round).find(same).unwrap_or(there)
    }
}

/// How amounts of solution are counted first.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum LiquidUnit {
    /// Millilitres.
    #[default]
    Ml,
    /// Whole drops.
    Drops,
}

words!(LiquidUnit: Ml "ml", Drops "drops");

/// Temperature unit of the page.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum TemperatureUnit {
    /// Degrees Celsius.
    #[default]
    C,
    /// Degrees Fahrenheit.
    F,
}

impl TemperatureUnit {
    /// A temperature as typed: in what stands behind the number, `c` or `f` with or without a degree sign, else in this
    /// unit. `None` with any other unit.
    #[must_use]
    pub fn typed(self, value: f64, unit: &str) -> Option<Temperature> {
        match (unit, self) {
            ("c" | "°c", _) | ("", Self::C) => Some(Temperature::from_celsius(value)),
            ("f" | "°f", _) | ("", Self::F) => Some(Temperature::from_fahrenheit(value)),
            _ => None,
        }
    }
}

words!(TemperatureUnit: C "c", F "f");

/// The sign between whole and decimals in what is shown; typed numbers may use either.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum DecimalMark {
    /// 2.4
    #[default]
    Point,
    /// 2,4
    Comma,
}

words!(DecimalMark: Point "point", Comma "comma");

/// The units and marks a printer works in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Units {
    /// For sizes and distances.
    pub length: LengthUnit,
    /// For solutions.
    pub liquid: LiquidUnit,
    /// For baths and rooms.
    pub temperature: TemperatureUnit,
    /// In what is shown.
    pub mark: DecimalMark,
}

fields!(Units: length, liquid, temperature, mark);

impl Units {
    /// The text with the printer's decimal mark. Give it numbers only, never sentences.
    #[must_use]
    pub fn marked(&self, text: String) -> String {
        match self.mark {
            DecimalMark::Point => text,
            DecimalMark::Comma => text.replace('.', ","),
        }
    }

    /// A pure number with so many decimals, with a true minus (U+2212), which fields read as well.
    #[must_use]
    pub fn number(&self, x: f64, places: usize) -> String {
        self.marked(true_minus(&decimals(x, places)))
    }

    /// A pure number to so many significant figures, with a true minus.
    #[must_use]
    pub fn figures(&self, x: f64, digits: usize) -> String {
        self.marked(true_minus(&significant(x, digits)))
    }

    /// The sign of the length unit: `mm` or `in`.
    #[must_use]
    pub fn length_sign(&self) -> &'static str {
        match self.length {
            LengthUnit::Mm => "mm",
            LengthUnit::Inch => "in",
        }
    }

    /// A length as typed in a field: whole tenths of a millimetre, or thousandths of an inch, zeros dropped.
    #[must_use]
    pub fn length_field(&self, l: Length) -> String {
        self.marked(match self.length {
            LengthUnit::Mm => decimal::short(l.to_mm(), 1),
            LengthUnit::Inch => decimal::short(l.to_inches(), 3),
        })
    }

    /// A length with its unit.
    #[must_use]
    pub fn length(&self, l: Length) -> String {
        format!("{} {}", true_minus(&self.length_field(l)), self.length_sign())
    }

    /// A volume in millilitres, to the hundredth, with its unit.
    #[must_use]
    pub fn ml(&self, v: Volume) -> String {
        format!("{} mL", self.number(v.to_ml(), 2))
    }

    /// A volume that is foretold, not poured, with its unit: three figures, none finer than a hundredth.
    #[must_use]
    pub fn ml_foretold(&self, v: Volume) -> String {
        let ml = v.to_ml();
        let places = match ml.abs() {
            x if x < 9.995 => 2,
            x if x < 99.95 => 1,
            _ => 0,
        };
        format!("{} mL", self.number(ml, places))
    }

    /// A temperature as typed in a field: whole tenths of a degree, zeros dropped.
    #[must_use]
    pub fn temperature_field(&self, t: Temperature) -> String {
        let degrees = match self.temperature {
            TemperatureUnit::C => t.to_celsius(),
            TemperatureUnit::F => t.to_fahrenheit(),
        };
        self.marked(decimal::short(degrees, 1))
    }

    /// A temperature with its unit.
    #[must_use]
    pub fn temperature(&self, t: Temperature) -> String {
        match self.temperature {
            TemperatureUnit::C => format!("{} °C", self.figures(t.to_celsius(), 3)),
            TemperatureUnit::F => format!("{} °F", self.figures(t.to_fahrenheit(), 3)),
        }
    }
}

/// A date, a number of the book or a range that a line does not break at its hyphens and dashes: a word joiner (U+2060)
/// follows each.
#[must_use]
pub fn unbroken(text: &str) -> String {
    text.replace('-', "-\u{2060}").replace('–', "–\u{2060}")
}

/// Seconds as `m:ss` or `h:mm:ss`, rounded to the second.
#[must_use]
pub fn clock(seconds: f64) -> String {
    #[expect(clippy::cast_possible_truncation, reason = "clamped to a range far inside i64")]
    let all = seconds.clamp(0.0, 1.0e9).round() as i64;
    let (h, m, s) = (all / 3600, all / 60 % 60, all % 60);
    if h > 0 { format!("{h}:{m:02}:{s:02}") } else { format!("{m}:{s:02}") }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn figures_are_counted_from_the_first_digit() {
        assert_eq!(significant(0.012_345, 3), "0.0123");
        assert_eq!(significant(1234.5, 2), "1234");
        assert_eq!(significant(2.40, 3), "2.4");
        assert_eq!(significant(0.0, 3), "0");
        assert_eq!(significant(-7.126, 3), "-7.13");
    }

    #[test]
    fn a_foretold_volume_has_three_figures() {
        let u = Units::default();
        for (ml, shown) in [
            (0.0, "0.00 mL"),
            (1.1988, "1.20 mL"),
            (9.996, "10.0 mL"),
            (23.06, "23.1 mL"),
            (99.96, "100 mL"),
            (461.3, "461 mL"),
        ] {
            assert_eq!(u.ml_foretold(Volume::from_ml(ml)), shown);
        }
    }

    #[test]
    fn no_negative_zero() {
        assert_eq!(decimals(-0.001, 2), "0.00");
        assert_eq!(decimals(-0.01, 2), "-0.01");
    }

    #[test]
    fn times() {
        assert_eq!(clock(59.6), "1:00");
        assert_eq!(clock(360.0), "6:00");
        assert_eq!(clock(3_725.0), "1:02:05");
        assert_eq!(clock(-4.0), "0:00");
    }
}
