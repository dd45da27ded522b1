//! The permanent keys of a share link.
//!
//! A row is never changed, removed or used for something else; new keys are added at the end. The hash of the table
//! stands in DEVELOPERS.md, and a test compares.

use super::readings;
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

/// Every key that travels, in the order it is written. The exposure time is not among them: it belongs to a lamp, a
/// paper and a room.
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
    "near" "How near to the densest black counts as black", number("D", 0.001, 1.0), "0.03", Slot::Text(|s| &mut s.presets.light.closeness);
    "lamp" "The lamp", text(80), "", Slot::Text(|s| &mut s.presets.light.lamp);
    "ld" "The distance from lamp to frame", Form::Length { low: 1.0, high: 10000.0 }, "", Slot::Text(|s| &mut s.presets.light.distance);
    "sw" "The lamp's own switch", Form::Tick, "0", Slot::Tick(|s| &mut s.presets.light.own_switch);
    "tone" "The readings", Form::List { of: "d or l, then values in 0.01 D or 0.1 L*, evenly spaced or each behind code in 0.1 % and a colon" }, "", Slot::List { write: readings::write, read: readings::read };
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
