//! The permanent keys of a share link.
//!
//! A row is never changed, removed or used for something else; new keys are added at the end. The hash of the table
//! stands in DEVELOPERS.md, and a test compares.

use super::{baths, pairs, parts, readings};
use crate::book::Setup;

/// What a value must be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Form {
    /// A number in that unit.
    Number {
        /// The unit, fixed for ever.
        unit: &'static str,
        /// Least value.
        low: f64,
        /// Greatest value.
        high: f64,
    },
    /// A length in mm.
    Length {
        /// Least value.
        low: f64,
        /// Greatest value.
        high: f64,
    },
    /// A temperature in °C.
    Temperature {
        /// Least value.
        low: f64,
        /// Greatest value.
        high: f64,
    },
    /// Any text of so many characters.
    Text {
        /// Greatest length.
        most: usize,
    },
    /// One of these words.
    Word {
        /// The words.
        of: &'static [&'static str],
    },
    /// `1` or `0`.
    Tick,
    /// A list of its own making.
    List {
        /// What it lists, for the hash.
        of: &'static str,
    },
}

/// Where a value lives in a setup.
#[derive(Clone, Copy)]
pub(super) enum Slot {
    /// In a text.
    Text(fn(&mut Setup) -> &mut String),
    /// In a tick.
    Tick(fn(&mut Setup) -> &mut bool),
    /// In several; written and read as a whole. `read` is false if it cannot be read.
    List { write: fn(&Setup) -> String, read: fn(&str, &mut Setup) -> bool },
}

/// A key of the table.
#[derive(Clone, Copy)]
pub struct Field {
    /// The key.
    pub key: &'static str,
    /// What it is called in notes.
    pub what: &'static str,
    /// What its value must be.
    pub form: Form,
    /// What it is if the link does not say.
    pub default: &'static str,
    pub(super) slot: Slot,
}

const fn number(unit: &'static str, low: f64, high: f64) -> Form {
    Form::Number { unit, low, high }
}

const fn text(most: usize) -> Form {
    Form::Text { most }
}

/// One key a line: key, what it is called, what it must be, what it is if left out, where it lives.
macro_rules! table {
    ($($key:literal $what:literal, $form:expr, $default:literal, $slot:expr;)*) => {
        &[$(Field { key: $key, what: $what, form: $form, default: $default, slot: $slot }),*]
    };
}

/// Every key that travels, in the order it is written. What belongs to the sender's own room stays at home: the exposure
/// time, the droppers, the trays.
pub const TABLE: &[Field] = table! {
    "name" "The name", text(60), "", Slot::Text(|s| &mut s.name);
    "ppi" "The resolution", number("ppi", 240.0, 1440.0), "360", Slot::Text(|s| &mut s.presets.negative.ppi);
    "file" "The film's file", Form::Word { of: &["tiff", "png"] }, "tiff", Slot::Text(|s| &mut s.presets.negative.format);
    "strip" "The margin strip", Form::Tick, "1", Slot::Tick(|s| &mut s.presets.negative.strip);
    "mask" "The masked border", Form::Tick, "0", Slot::Tick(|s| &mut s.presets.negative.masked_border);
    "edge" "The border of film", Form::Length { low: 0.0, high: 100.0 }, "6", Slot::Text(|s| &mut s.presets.negative.border);
    "fw" "The width of a sheet of film", Form::Length { low: 10.0, high: 5000.0 }, "210", Slot::Text(|s| &mut s.presets.negative.sheet_width);
    "fh" "The height of a sheet of film", Form::Length { low: 10.0, high: 5000.0 }, "297", Slot::Text(|s| &mut s.presets.negative.sheet_height);
    "film" "The film stock", text(80), "", Slot::Text(|s| &mut s.presets.negative.stock);
    "ink" "The ink", text(80), "", Slot::Text(|s| &mut s.presets.negative.ink);
    "drv" "The printer", text(120), "", Slot::Text(|s| &mut s.presets.negative.printer);
    "lim" "The ink limit", text(40), "", Slot::Text(|s| &mut s.presets.negative.ink_limit);
    "td" "The time until touch-dry", number("h", 0.0, 1000.0), "1", Slot::Text(|s| &mut s.presets.negative.touch_dry);
    "fd" "The time until fully dry", number("h", 0.0, 1000.0), "12", Slot::Text(|s| &mut s.presets.negative.full_dry);
    "tool" "The tool", Form::Word { of: &["brush", "rod", "absorbent"] }, "brush", Slot::Text(|s| &mut s.presets.coat.tool);
    "cov" "The coverage", number("mL/m²", 5.0, 300.0), "", Slot::Text(|s| &mut s.presets.coat.coverage);
    "coats" "The number of coats", number("", 1.0, 4.0), "1", Slot::Text(|s| &mut s.presets.coat.coats);
    "cb" "The black border", Form::Length { low: 0.0, high: 200.0 }, "0", Slot::Text(|s| &mut s.presets.coat.border);
    "cm" "The coated margin", Form::Length { low: 0.0, high: 200.0 }, "10", Slot::Text(|s| &mut s.presets.coat.margin);
    "ratio" "Iron to metal", number("", 0.1, 10.0), "1", Slot::Text(|s| &mut s.presets.coat.ratio);
    "pt" "The share of platinum", number("%", 0.0, 100.0), "0", Slot::Text(|s| &mut s.presets.coat.share);
    "sfe" "The strength of the iron", number("%", 0.1, 60.0), "27", Slot::Text(|s| &mut s.presets.coat.iron);
    "spd" "The strength of the palladium", number("%", 0.1, 60.0), "15", Slot::Text(|s| &mut s.presets.coat.palladium);
    "spt" "The strength of the platinum", number("%", 0.1, 60.0), "20", Slot::Text(|s| &mut s.presets.coat.platinum);
    "ca" "The contrast agent", Form::Tick, "0", Slot::Tick(|s| &mut s.presets.coat.agent);
    "caby" "How the contrast agent is counted", Form::Word { of: &["amount", "drops"] }, "amount", Slot::Text(|s| &mut s.presets.coat.agent_by);
    "cam" "The amount of contrast agent", number("µmol/mL", 0.01, 100.0), "2", Slot::Text(|s| &mut s.presets.coat.agent_amount);
    "cad" "The drops of contrast agent", number("", 0.1, 100.0), "1", Slot::Text(|s| &mut s.presets.coat.agent_drops);
    "cas" "The strength of the contrast agent", number("%", 0.1, 60.0), "5", Slot::Text(|s| &mut s.presets.coat.agent_strength);
    "caf" "The form of the contrast agent", Form::Word { of: &["unknown", "dry", "hydrate"] }, "unknown", Slot::Text(|s| &mut s.presets.coat.agent_form);
    "su" "The surfactant", Form::Tick, "0", Slot::Tick(|s| &mut s.presets.coat.surfactant);
    "sum" "The surfactant in the mix", number("%", 0.01, 5.0), "0.2", Slot::Text(|s| &mut s.presets.coat.surfactant_share);
    "sus" "The strength of the surfactant", number("%", 0.1, 100.0), "10", Slot::Text(|s| &mut s.presets.coat.surfactant_strength);
    "rest" "The rest after coating", number("min", 0.0, 1440.0), "", Slot::Text(|s| &mut s.presets.baths.rest);
    "dry" "The drying", number("min", 0.0, 1440.0), "", Slot::Text(|s| &mut s.presets.baths.dry);
    "baths" "The baths", Form::List { of: "six texts a bath, parted by ~: name, contents, strength, °C, min, remark" }, "Developer~potassium oxalate~25–30~20~2~Pour in one motion: a pause prints a line~Acid clearing~citric acid~1–2~~5~~Clearing, first~tetrasodium EDTA + sodium sulfite~3 + 1.5–3~~5~~Clearing, second~tetrasodium EDTA + sodium sulfite~3 + 1.5–3~~5~~Wash~running water~~~30~", Slot::List { write: baths::write, read: baths::read };
    "near" "How near to the densest black counts as black", number("D", 0.001, 1.0), "0.03", Slot::Text(|s| &mut s.presets.light.closeness);
    "lamp" "The lamp", text(80), "", Slot::Text(|s| &mut s.presets.light.lamp);
    "ld" "The distance from lamp to frame", Form::Length { low: 1.0, high: 10000.0 }, "", Slot::Text(|s| &mut s.presets.light.distance);
    "sw" "The lamp's own switch", Form::Tick, "0", Slot::Tick(|s| &mut s.presets.light.own_switch);
    "tone" "The readings", Form::List { of: "d or l, then values in 0.01 D or 0.1 L*, evenly spaced or each behind code in 0.1 % and a colon" }, "", Slot::List { write: readings::write, read: readings::read };
    "aim" "The aim", Form::Word { of: &["linear-lightness", "as-on-screen", "linear-density", "own"] }, "linear-lightness", Slot::Text(|s| &mut s.tone.aim);
    "pairs" "The aim's own pairs", Form::List { of: "L* of the picture, a colon, L* of the print; rising" }, "", Slot::List { write: pairs::write, read: pairs::read };
    "toe" "Keeping the lightest tones", Form::Tick, "0", Slot::Tick(|s| &mut s.tone.toe);
    "round" "The shape of the picture", Form::Word { of: &["rectangle", "round"] }, "rectangle", Slot::Text(|s| &mut s.presets.coat.shape);
    "c2" "What a further coat takes", number("%", 1.0, 200.0), "", Slot::Text(|s| &mut s.presets.coat.second);
    "rec" "The recipe", text(80), "", Slot::Text(|s| &mut s.presets.coat.recipe);
    "parts" "The parts of the recipe", Form::List { of: "five texts a part, parted by ~: content, formula, strength, % or mol, volumes" }, "", Slot::List { write: parts::write, read: parts::read };
    "chs" "The share of iron with chlorate", number("%", 0.0, 100.0), "", Slot::Text(|s| &mut s.presets.coat.chlorate_share);
    "chk" "The chlorate in it", number("%", 0.001, 10.0), "", Slot::Text(|s| &mut s.presets.coat.chlorate_strength);
    "dml" "The dichromate in the developer", number("mL/L", 0.001, 500.0), "", Slot::Text(|s| &mut s.presets.coat.dichromate_ml);
    "dst" "The strength of the dichromate", number("%", 0.01, 15.0), "5", Slot::Text(|s| &mut s.presets.coat.dichromate_stock);
};

/// A number that changes with every change of the table's keys, forms and defaults; what keys are called in notes may
/// change. FNV-1a, 64 bits (G. Fowler, L. C. Noll, K.-P. Vo; from memory).
#[must_use]
pub fn table_hash() -> u64 {
    let mut hash = 0xcbf2_9ce4_8422_2325_u64;
    for field in TABLE {
        for byte in format!("{}|{:?}|{}\n", field.key, field.form, field.default).bytes() {
            hash = (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3);
        }
    }
    hash
}
