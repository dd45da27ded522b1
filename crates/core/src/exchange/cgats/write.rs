//! Readings to CGATS text: counts before what they count, every text in quotes, points in decimals.

use crate::show::decimals;
use crate::tone::Quantity;
use crate::tone::instrument::{Instrument, Kind, PARTS};
use crate::tone::readings::Row;

/// Longest text of a keyword or cell, characters; parsers hold at least 255 bytes.
const LONGEST: usize = 80;

/// What stands over the readings.
#[derive(Clone, Copy, Debug)]
pub struct Head<'a> {
    /// What was read: setup, sheets.
    pub description: &'a str,
    /// The day, `2026-11-25`.
    pub created: &'a str,
    /// How it was printed: paper, exposure time, humidity; may be empty.
    pub conditions: &'a str,
    /// What it was read with.
    pub instrument: &'a Instrument,
}

/// Written where a text is missing, and read as that.
pub(super) const NOTHING: &str = "-";

/// Writes readings, one set each, repeats after one another; RGB holds the greys of the film file, 0 full ink.
pub fn write(head: &Head<'_>, rows: &[Row], quantity: Quantity) -> String {
    let sheets = rows.iter().any(|r| !r.sheet.is_empty());
    let mut out = String::from("CGATS.17\r\n");
    let mut keyword = |name: &str, value: &str| {
        if !value.is_empty() {
            out += name;
            out.push('\t');
            quote(&mut out, value);
            out += "\r\n";
        }
    };
    keyword("ORIGINATOR", "Sorrel");
    // Required, even if there is nothing to say.
    keyword(
        "FILE_DESCRIPTOR",
        if head.description.is_empty() { "Readings of a print" } else { head.description },
    );
    keyword("CREATED", if head.created.is_empty() { "unknown" } else { head.created });
    for ((name, _), value) in PARTS.iter().zip(&head.instrument.parts) {
        keyword(name, value);
    }
    keyword("PRINT_CONDITIONS", head.conditions);
    if head.instrument.kind != Kind::Unsaid {
        keyword("KEYWORD", "X_READ_WITH");
        keyword("X_READ_WITH", head.instrument.kind.words());
    }
    keyword("DATA_FORMAT_IDENTIFIER", "X_INK");
    if sheets {
        keyword("DATA_FORMAT_IDENTIFIER", "X_SHEET");
    }
    let fields: usize = if sheets { 8 } else { 7 };
    let column = match quantity {
        Quantity::Density => "D_VIS",
        Quantity::Lightness => "LAB_L",
    };
    let count: usize = rows.iter().map(|r| r.values.len()).sum();
    out += "NUMBER_OF_FIELDS\t";
    out += &fields.to_string();
    out += "\r\nBEGIN_DATA_FORMAT\r\nSAMPLE_ID\tSTRING\tX_INK\tRGB_R\tRGB_G\tRGB_B\t";
    out += column;
    out += if sheets { "\tX_SHEET" } else { "" };
    out += "\r\nEND_DATA_FORMAT\r\nNUMBER_OF_SETS\t";
    out += &count.to_string();
    out += "\r\nBEGIN_DATA\r\n";
    let mut number = 0_usize;
    for row in rows {
        let grey = decimals(255.0 * (1.0 - row.code), 4);
        for &value in &row.values {
            number += 1;
            let place = number.to_string();
            out += &place;
            out.push('\t');
            // An empty cell is a trap: the reference parser gives its neighbour's text for it.
            quote(&mut out, if row.id.is_empty() { &place } else { &row.id });
            for cell in [&decimals(100.0 * row.code, 4), &grey, &grey, &grey, &decimals(value, 4)] {
                out.push('\t');
                out += cell;
            }
            if sheets {
                out.push('\t');
                quote(&mut out, if row.sheet.is_empty() { NOTHING } else { &row.sheet });
            }
            out += "\r\n";
        }
    }
    out += "END_DATA\r\n";
    out
}

/// A text in quotes; what would end them, or the line, is replaced.
fn quote(out: &mut String, text: &str) {
    out.push('"');
    out.extend(text.chars().take(LONGEST).map(|c| match c {
        '"' => '\'',
        c if c.is_control() => ' ',
        c => c,
    }));
    out.push('"');
}
