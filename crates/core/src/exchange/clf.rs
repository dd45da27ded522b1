//! Common LUT Format, version 3 (Academy S-2014-006): one table for all channels, straight between its entries.

use crate::show::decimals;

/// Characters of a description or descriptor.
const LONGEST: usize = 200;

/// A CLF file of a table: outputs 0…1 at equal steps of the input 0…1, 2…65536 of them.
pub fn write(values: &[f64], title: &str, description: &str, greys: &str, output: &str) -> String {
    let mut out = String::from("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<ProcessList id=\"sorrel-");
    out += &fingerprint(values);
    out += "\" name=\"";
    escape(&mut out, title);
    out += "\" compCLFversion=\"3.0\">\n";
    for (element, words) in
        [("Description", description), ("InputDescriptor", greys), ("OutputDescriptor", output)]
    {
        out += "    <";
        out += element;
        out.push('>');
        escape(&mut out, words);
        out += "</";
        out += element;
        out += ">\n";
    }
    out +=
        "    <LUT1D inBitDepth=\"32f\" outBitDepth=\"32f\" interpolation=\"linear\">\n        <Array dim=\"";
    out += &values.len().to_string();
    out += " 1\">\n";
    for &value in values {
        out += &decimals(value, 8);
        out.push('\n');
    }
    out += "        </Array>\n    </LUT1D>\n</ProcessList>\n";
    out
}

/// Equal tables have equal names: FNV-1a (Fowler, Noll, Vo) over the values in 32 bits.
fn fingerprint(values: &[f64]) -> String {
    let mut hash: u64 = 0xcbf2_9ce4_8422_2325;
    for &value in values {
        #[expect(clippy::cast_possible_truncation, reason = "32 bits is what the file holds")]
        for byte in (value as f32).to_le_bytes() {
            hash = (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3);
        }
    }
    format!("{hash:016x}")
}

fn escape(out: &mut String, text: &str) {
    for c in text.chars().take(LONGEST) {
        match c {
            '<' => *out += "&lt;",
            '>' => *out += "&gt;",
            '&' => *out += "&amp;",
            '"' => *out += "&quot;",
            // XML 1.0 allows no controls, and neither of the two non-characters.
            c if c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}') => out.push(' '),
            c => out.push(c),
        }
    }
}
