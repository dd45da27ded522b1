//! CGATS tables to readings: which column is the ink code, which the reading, and what the device numbers mean.

use super::table::{self, Cgats, Table};
use super::write::NOTHING;
use crate::note::Note;
use crate::tone::columns::FIELD;
use crate::tone::instrument::{self, Instrument, Kind, PARTS};
use crate::tone::readings::{LineFault, Readings, Row};
use crate::tone::table::{Separator, number, shortened};
use crate::tone::{Quantity, lightness};

/// What the device numbers of a chart mean.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Codes {
    /// Ink: the largest number is full ink.
    Ink,
    /// Greys of the film file: the largest number is clear film.
    FilmGrey,
    /// Greys of the positive picture, which was inverted for the film: the largest number is paper white.
    PositiveGrey,
}

impl Codes {
    fn words(self) -> &'static str {
        match self {
            Self::Ink => "ink",
            Self::FilmGrey => "greys of the film",
            Self::PositiveGrey => "greys of the positive",
        }
    }
}

/// A column of device numbers: its name, full scale, and whether more of it is more black.
const CODES: [(&str, f64, bool); 8] = [
    ("X_INK", 100.0, true),
    ("RGB_R", 255.0, false),
    ("CMYK_K", 100.0, true),
    ("K", 100.0, true),
    ("INK", 100.0, true),
    ("GRAY", 255.0, false),
    ("GREY", 255.0, false),
    ("GRAY_K", 100.0, true),
];
/// Columns that must agree with RGB_R, or be zero beside CMYK_K.
const BESIDE: [(&str, &str); 5] = [
    ("RGB_R", "RGB_G"),
    ("RGB_R", "RGB_B"),
    ("CMYK_K", "CMYK_C"),
    ("CMYK_K", "CMYK_M"),
    ("CMYK_K", "CMYK_Y"),
];
/// Columns of readings, the better ones first.
const VALUES: [(&str, Quantity); 9] = [
    ("LAB_L", Quantity::Lightness),
    ("L*", Quantity::Lightness),
    ("L", Quantity::Lightness),
    ("XYZ_Y", Quantity::Lightness),
    ("D_VIS", Quantity::Density),
    ("D_V", Quantity::Density),
    ("VIS", Quantity::Density),
    ("VISUAL", Quantity::Density),
    ("DENSITY", Quantity::Density),
];
/// Columns that name the patch, and the sheet.
const NAMES: [&str; 4] = ["STRING", "SAMPLE_NAME", "SAMPLE_ID", "SAMPLE_LOC"];
/// The same for the sheet.
const SHEETS: [&str; 2] = ["X_SHEET", "SHEET"];

fn place(table: &Table, name: &str) -> Option<usize> {
    table.columns.iter().position(|c| c == name)
}

/// Where in a table things stand.
struct Columns {
    code: (usize, &'static str, f64, bool),
    value: (usize, &'static str, Quantity),
}

fn columns(table: &Table, asked: Option<Quantity>) -> Option<Columns> {
    let code = CODES.iter().find_map(|&(name, full, ink)| Some((place(table, name)?, name, full, ink)))?;
    let all: Vec<_> =
        VALUES.iter().filter_map(|&(name, quantity)| Some((place(table, name)?, name, quantity))).collect();
    let value = all.iter().find(|v| asked == Some(v.2)).or(all.first())?;
    Some(Columns { code, value: *value })
}

fn instrument_of(table: &Table) -> Instrument {
    let parts = PARTS.map(|(keyword, _)| table.value(keyword).trim().to_owned());
    let said = Kind::from_words(table.value("X_READ_WITH"));
    let kind = if said == Kind::Unsaid && !parts[0].is_empty() { Kind::Instrument } else { said };
    Instrument { kind, parts }
}

/// Reads the readings of a CGATS text. `asked`: the quantity the printer chose; `codes`: what the device numbers mean; if
/// that is not said, it is told from where the print is light, and noted. Tables read with another instrument than the
/// first are left out, with an error that says so.
pub fn readings(text: &str, asked: Option<Quantity>, codes: Option<Codes>) -> Readings {
    let file = table::read(text);
    let mut found = Readings {
        rows: Vec::new(),
        quantity: asked,
        instrument: Instrument::default(),
        separator: Separator::Blank,
        faults: file.faults.clone(),
        remarks: Vec::new(),
    };
    for remark in &file.remarks {
        found.remarks.push(Note::warning(
            FIELD,
            format!("Line {}: {}.", remark.line, remark.what),
            remark.mend.clone(),
        ));
    }
    let mut taken: Option<Columns> = None;
    for table in &file.tables {
        let Some(here) = columns(table, asked) else { continue };
        let instrument = instrument_of(table);
        if let Some(first) = &taken {
            if first.code.1 != here.code.1 || first.value.2 != here.value.2 {
                found.remarks.push(Note::warning(
                    FIELD,
                    "A table with other columns than the first was left out.",
                    "Read it as a file of its own.",
                ));
                continue;
            }
            if let Some(note) = instrument::mixing(FIELD, &[&found.instrument, &instrument]) {
                found.remarks.push(note);
                continue;
            }
        } else {
            found.instrument = instrument;
        }
        rows(table, &here, &mut found);
        taken = taken.or(Some(here));
    }
    match taken {
        Some(columns) => {
            found.quantity = Some(columns.value.2);
            found.settle(&columns, asked, codes);
            found.check_values();
        }
        None => found.remarks.push(nothing(&file)),
    }
    found.order_faults();
    found
}

fn nothing(file: &Cgats) -> Note {
    let spectral =
        file.tables.iter().flat_map(|t| &t.columns).any(|c| c.starts_with("SPECTRAL") || c.starts_with("NM"));
    let text = if spectral {
        "The file holds spectra without density or L*."
    } else {
        "The file has no columns of device numbers with density or L*."
    };
    Note::error(
        FIELD,
        text,
        "Export it with LAB_L or D_VIS, and with RGB or CMYK numbers of the patches, or type the readings.",
    )
}

/// Adds the rows of a table, with codes as they stand there.
fn rows(table: &Table, columns: &Columns, found: &mut Readings) {
    let named = |names: &[&str]| names.iter().filter_map(|n| place(table, n)).collect::<Vec<_>>();
    let (ids, sheets) = (named(&NAMES), named(&SHEETS));
    let mut commas = false;
    for set in &table.sets {
        let cell = |i: usize| set.cells.get(i).map_or("", String::as_str);
        let words = |places: &[usize]| {
            places
                .iter()
                .map(|&i| cell(i))
                .find(|c| !c.is_empty() && *c != NOTHING)
                .map_or(String::new(), shortened)
        };
        let mut read = |i: usize, missing: &str, mend: &str| match number(cell(i)) {
            Ok(v) => {
                commas |= cell(i).contains(',');
                Some(v)
            }
            Err(_) if cell(i).is_empty() => {
                found.fault(set.line, missing.into(), mend);
                None
            }
            Err(e) => {
                let (what, mend) = e.words(cell(i));
                found.fault(set.line, what, mend);
                None
            }
        };
        let code = read(columns.code.0, "the device number is missing", "Type it, or leave the row out.");
        let value = read(columns.value.0, "the reading is missing", "Type it, or leave the row out.");
        let (Some(code), Some(value)) = (code, value) else { continue };
        let coloured = BESIDE.iter().any(|&(of, beside)| {
            let wanted = if of == "RGB_R" { code } else { 0.0 };
            of == columns.code.1
                && place(table, beside).is_some_and(|i| number(cell(i)).is_ok_and(|v| v != wanted))
        });
        if coloured {
            found.fault(set.line, "the patch is not a grey".into(), "Leave the coloured patches out.");
            continue;
        }
        let value = if columns.value.1 == "XYZ_Y" { lightness::from_factor(0.01 * value) } else { value };
        found.rows.push(Row {
            line: set.line,
            id: words(&ids),
            sheet: words(&sheets),
            code,
            values: vec![value],
        });
    }
    if commas {
        found.remarks.push(Note::hint(FIELD, "Numbers with a comma were read as decimals."));
    }
}

impl Readings {
    /// Turns device numbers into ink codes, and says how they were understood.
    fn settle(&mut self, columns: &Columns, asked: Option<Quantity>, codes: Option<Codes>) {
        let (_, name, mut full, black) = columns.code;
        let highest = self.rows.iter().map(|r| r.code).fold(0.0, f64::max);
        if name != "X_INK"
            && highest > 0.0
            && highest <= 1.0
            && self.rows.iter().any(|r| r.code.fract() != 0.0)
        {
            full = 1.0;
            self.remarks
                .push(Note::hint(FIELD, format!("No {name} is above 1: they were taken as parts of one.")));
        }
        let mut outside: Vec<LineFault> = Vec::new();
        self.rows.retain_mut(|row| {
            row.code /= full;
            let good = (0.0..=1.0).contains(&row.code);
            if !good {
                outside.push(LineFault {
                    line: row.line,
                    what: format!("{name} is outside 0 to {full}"),
                    mend: "Check the number of the patch.".into(),
                });
            }
            good
        });
        self.faults.append(&mut outside);

        let usual = if black { Codes::Ink } else { Codes::FilmGrey };
        // On paper, ink means light; numbers that rise with the darkness are greys of the film, or black of the positive.
        let rising = self.lightens_with_code();
        let meant = if name == "X_INK" { Some(Codes::Ink) } else { codes };
        let flip = match meant {
            Some(Codes::Ink) => false,
            Some(Codes::FilmGrey) => true,
            Some(Codes::PositiveGrey) => black,
            None => !rising.unwrap_or(usual == Codes::Ink),
        };
        if flip {
            for row in &mut self.rows {
                row.code = 1.0 - row.code;
            }
        }
        if meant.is_none() {
            let guessed = match (black, flip) {
                (true, false) => Codes::Ink,
                (false, true) => Codes::FilmGrey,
                _ => Codes::PositiveGrey,
            };
            self.remarks.push(Note::hint(
                FIELD,
                format!("{name} was taken for {}, by where the print is light.", guessed.words()),
            ));
        }
        if let Some(asked) = asked
            && asked != columns.value.2
        {
            self.remarks.push(Note::warning(
                FIELD,
                format!("The file holds {}, but {} was chosen.", columns.value.2.words(), asked.words()),
                "Choose the quantity the file holds, or export it with the other.",
            ));
        }
    }

    /// Whether L* rises with the code; `None` if that cannot be told.
    fn lightens_with_code(&self) -> Option<bool> {
        let quantity = self.quantity?;
        let n = self.rows.len() as f64;
        let (mut code, mut light) = (0.0, 0.0);
        let all =
            || self.rows.iter().flat_map(|r| r.values.first().map(|&v| (r.code, quantity.to_lightness(v))));
        for (c, l) in all() {
            code += c / n;
            light += l / n;
        }
        let together: f64 = all().map(|(c, l)| (c - code) * (l - light)).sum();
        (together.is_finite() && together != 0.0).then_some(together > 0.0)
    }
}
