//! What a cover sheet lets through, by wavelength. Typical values only: above 310 nm the maker of a glass matters most
//! (Ketola and Robbins, ASTM 1994), so the printer's own reading with and without the sheet outranks them.

use crate::constant::{Basis, Constant};

/// Wavelengths of the table, in nm.
pub const WAVELENGTHS: [u16; 4] = [365, 380, 395, 405];

/// A sheet and the parts it lets through at [`WAVELENGTHS`].
#[derive(Clone, Copy, Debug)]
pub struct Sheet {
    /// Its word in a form.
    pub word: &'static str,
    /// In words.
    pub name: &'static str,
    /// Parts let through.
    pub through: [Constant; 4],
}

const RUBIN: &str =
    "computed for straight light from n and k of Rubin, Solar Energy Materials 12:275–288 (1985)";
const APHALO: &str = "single sheet of 3 mm measured with a spectrophotometer; data set of Aphalo, 2015";

const fn sheet(word: &'static str, name: &'static str, parts: [f64; 4], source: &'static str) -> Sheet {
    let mut through = [Constant { value: 1.0, unit: "", digits: 3, basis: Basis::Published, source }; 4];
    let mut i = 0;
    while i < 4 {
        through[i].value = parts[i];
        i += 1;
    }
    Sheet { word, name, through }
}

/// Sheets that are known.
pub const SHEETS: [Sheet; 8] = [
    sheet("window-3", "clear window glass, 3 mm", [0.869, 0.861, 0.893, 0.896], RUBIN),
    sheet("window-6", "clear window glass, 6 mm", [0.827, 0.812, 0.872, 0.879], RUBIN),
    sheet("low-iron-3", "low-iron glass, 3 mm", [0.903, 0.902, 0.909, 0.910], RUBIN),
    sheet("low-iron-6", "low-iron glass, 6 mm", [0.893, 0.890, 0.905, 0.906], RUBIN),
    sheet("acrylic-extruded", "acrylic, extruded, 3 mm", [0.044, 0.532, 0.890, 0.917], APHALO),
    sheet("acrylic-cast", "acrylic, cast, 3 mm", [0.231, 0.716, 0.901, 0.913], APHALO),
    sheet("acrylic-clear", "acrylic made to pass ultraviolet, 3 mm", [0.899, 0.899, 0.902, 0.902], APHALO),
    sheet("acrylic-stop", "acrylic made to stop ultraviolet, 3 mm", [0.001, 0.055, 0.777, 0.902], APHALO),
];

/// The sheet of that word.
#[must_use]
pub fn of(word: &str) -> Option<&'static Sheet> {
    SHEETS.iter().find(|s| s.word == word)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;
    use serde_json::Value;

    #[test]
    fn parts_are_those_of_the_sources() {
        let all: Value = serde_json::from_str(include_str!(
            "../../../../../tests/reference/sheet_transmission/sheet_transmission.json"
        ))
        .unwrap();
        let rows = all["rows"].as_array().unwrap();
        for (word, material, mm) in [
            ("window-3", "clear soda-lime window glass", 3.0),
            ("window-6", "clear soda-lime window glass", 6.0),
            ("low-iron-3", "low-iron soda-lime glass", 3.0),
            ("low-iron-6", "low-iron soda-lime glass", 6.0),
            ("acrylic-extruded", "clear acrylic, extruded, ordinary", 3.0),
            ("acrylic-cast", "clear acrylic, cast, ordinary", 3.0),
            ("acrylic-clear", "clear acrylic, UV-transmitting grade", 3.0),
            ("acrylic-stop", "clear acrylic, UV-filtering grade", 3.0),
        ] {
            let row = rows
                .iter()
                .find(|r| r["material"] == material && r["thickness_mm"].as_f64() == Some(mm))
                .unwrap();
            for (nm, part) in WAVELENGTHS.iter().zip(of(word).unwrap().through) {
                let i = row["nm"]
                    .as_array()
                    .unwrap()
                    .iter()
                    .position(|x| x.as_u64() == Some(u64::from(*nm)))
                    .unwrap();
                assert!((part.value - row["T"][i].as_f64().unwrap()).abs() < 5e-4, "{word} {nm}");
            }
        }
        assert!(of("cardboard").is_none());
    }
}
