//! Tables to CSV, after RFC 4180 (2005): commas, CR LF, quotes where needed, decimal points.

use super::carry::Carry;
use super::points::Proposal;
use crate::show::decimals;
use crate::tone::Quantity;
use crate::tone::readings::Row;
use crate::tone::table::number;

/// Adds a line. A text that a spreadsheet would take for a formula gets an apostrophe in front; numbers never do.
pub fn line(out: &mut String, cells: &[&str]) {
    for (i, cell) in cells.iter().enumerate() {
        if i > 0 {
            out.push(',');
        }
        let formula = cell.starts_with(['=', '+', '-', '@', '\t', '\r']) && number(cell).is_err();
        if formula || cell.contains([',', '"', '\r', '\n']) || cell.trim() != *cell {
            out.push('"');
            if formula {
                out.push('\'');
            }
            *out += &cell.replace('"', "\"\"");
            out.push('"');
        } else {
            *out += cell;
        }
    }
    *out += "\r\n";
}

/// Readings, one line each, in a form that is read again as they are.
pub fn readings(rows: &[Row], quantity: Quantity) -> String {
    let mut out = String::new();
    line(&mut out, &["sheet", "patch", "ink %", quantity.words()]);
    for row in rows {
        for &value in &row.values {
            line(&mut out, &[&row.sheet, &row.id, &decimals(100.0 * row.code, 4), &decimals(value, 4)]);
        }
    }
    out
}

/// The correction at every 8-bit grey.
pub fn correction(carry: &Carry<'_>) -> String {
    let mut out = String::new();
    line(&mut out, &["grey in", "grey in %", "grey out", "grey out %", "ink %", "print L*"]);
    for i in 0..=255_u8 {
        let grey = f64::from(i) / 255.0;
        let (value, tone) = (carry.at(grey), carry.greys.tone(grey));
        line(
            &mut out,
            &[
                &i.to_string(),
                &decimals(100.0 * grey, 3),
                &decimals(255.0 * value, 2),
                &decimals(100.0 * value, 3),
                &decimals(100.0 * carry.correction.at(tone), 3),
                &decimals(carry.correction.expected_lightness(tone), 2),
            ],
        );
    }
    out
}

/// Points for a curve dialog.
pub fn points(proposal: &Proposal) -> String {
    let mut out = String::new();
    line(&mut out, &["point", "in", "out"]);
    for (i, point) in proposal.points.iter().enumerate() {
        line(&mut out, &[&(i + 1).to_string(), &point.input.to_string(), &point.output.to_string()]);
    }
    out
}
