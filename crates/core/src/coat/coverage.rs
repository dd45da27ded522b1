//! How much solution is poured on a coated area, to begin with.

use crate::constant::Constant;

/// Whose figures these are: amounts for a nominal picture, brought to its coated area with a 10 mm margin.
const POURED: &str = "common practice, no source; agrees with amounts published for 8 × 10 in";

/// What the coating is spread with, and on what.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Tool {
    /// Glass rod on smooth, hard-sized paper.
    Rod,
    /// Brush on the same paper.
    #[default]
    Brush,
    /// Brush on absorbent or textured paper.
    Absorbent,
}

/// A coverage to begin with, and how far others lie from it; as poured for the coated area, loss included.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Start {
    /// To begin with.
    pub value: Constant,
    /// What few printers stay below.
    pub low: Constant,
    /// What few printers go beyond.
    pub high: Constant,
}

const fn start(low: f64, value: f64, high: f64) -> Start {
    Start {
        value: Constant::practice(value, "mL/m²", 2, POURED),
        low: Constant::practice(low, "mL/m²", 2, POURED),
        high: Constant::practice(high, "mL/m²", 2, POURED),
    }
}

impl Tool {
    /// From its word in the page; a word that is not known is the brush.
    #[must_use]
    pub fn of(word: &str) -> Self {
        match word {
            "rod" => Self::Rod,
            "absorbent" => Self::Absorbent,
            _ => Self::Brush,
        }
    }

    /// As a working says it.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Rod => "rod",
            Self::Brush => "brush",
            Self::Absorbent => "brush on absorbent paper",
        }
    }

    /// The coverage to begin with.
    #[must_use]
    pub const fn start(self) -> Start {
        match self {
            Self::Rod => start(21.0, 27.0, 30.0),
            Self::Brush => start(34.0, 40.0, 46.0),
            Self::Absorbent => start(46.0, 55.0, 68.0),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::coat::Sheet;
    use crate::quantity::{Coverage, Length};
    use crate::testing::test;

    #[test]
    fn eight_by_ten_inches_take_what_was_published() {
        let v: serde_json::Value =
            serde_json::from_str(include_str!("../../../../tests/reference/coating-volumes/vectors.json"))
                .unwrap();
        let n = |v: &serde_json::Value| v.as_f64().unwrap();
        let none = Length::from_mm(0.0);
        let sheet = Sheet {
            width: Length::from_inches(n(&v["picture_inches"][0])),
            height: Length::from_inches(n(&v["picture_inches"][1])),
            border: none,
            strip: none,
            margin: Length::from_mm(n(&v["margin_mm"])),
            round: false,
        };
        for (tool, key) in [(Tool::Brush, "brush_ml"), (Tool::Rod, "rod_ml")] {
            let ml = (Coverage::from_ml_per_m2(tool.start().value.value) * sheet.coated()).to_ml();
            assert!(ml >= n(&v[key][0]) && ml <= n(&v[key][1]), "{key}: {ml}");
        }
        for row in v["as_stated"].as_array().unwrap() {
            let square =
                row["square_inches"].as_f64().unwrap_or_else(|| n(&row["inches"][0]) * n(&row["inches"][1]));
            let area = Length::from_inches(square) * Length::from_inches(1.0);
            assert!((n(&row["ml"]) / area.to_m2() - n(&row["ml_per_m2"])).abs() < 0.05, "{row}");
        }
    }

    #[test]
    fn starts_lie_in_their_ranges() {
        for tool in [Tool::Rod, Tool::Brush, Tool::Absorbent] {
            let s = tool.start();
            assert!(s.low.value < s.value.value && s.value.value < s.high.value);
        }
    }
}
