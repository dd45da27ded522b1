//! Readings as people type, paste or export them: text to rows of code and values.
//!
//! One row a patch: ink code in percent, then density or L*, then any repeats; a patch number or name may stand
//! before. Headings are understood where there are any, and what a column means is guessed, and said, where not.

use super::columns::{Columns, FIELD, REPEATS_APART, commas_within_numbers, guessed, headed, tells};
use super::instrument::Instrument;
use super::reading::{Quantity, Reading};
use super::refusal::WANTED;
use super::table::{self, Line, NotANumber, Separator};
use crate::note::Note;
use crate::show::{decimals, significant};

/// Values up to which a column without heading is taken for density.
const DENSITY_LIKE: f64 = 4.5;
/// Bad lines that get a note of their own.
const NOTED_LINES: usize = 12;

/// One patch.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Line of the text, from 1.
    pub line: usize,
    /// Number or name of the patch; may be empty.
    pub id: String,
    /// Number or name of the sheet, where there are several; may be empty.
    pub sheet: String,
    /// Ink code 0…1.
    pub code: f64,
    /// What was read, once or more.
    pub values: Vec<f64>,
}

/// What is wrong with a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LineFault {
    /// The line, from 1.
    pub line: usize,
    /// What is the matter, without a full stop.
    pub what: String,
    /// What to do.
    pub mend: String,
}

/// A text as it was understood.
#[derive(Clone, Debug, PartialEq)]
pub struct Readings {
    /// The good rows, in the order of the text.
    pub rows: Vec<Row>,
    /// What the values are; `None` only if there are none.
    pub quantity: Option<Quantity>,
    /// What it was read with, as far as that is said.
    pub instrument: Instrument,
    /// What parted the columns.
    pub separator: Separator,
    /// The bad lines and cells, in order; nothing good is lost to them.
    pub faults: Vec<LineFault>,
    pub(crate) remarks: Vec<Note>,
}

impl Readings {
    /// Every value as a reading of its own, so that repeats show their scatter. Empty without rows.
    pub fn readings(&self) -> Vec<Reading> {
        let Some(quantity) = self.quantity else { return Vec::new() };
        let one = |row: &Row, value: f64| Reading {
            code: row.code,
            value,
            quantity,
            weight: 1.0,
            id: row.id.clone(),
        };
        self.rows.iter().flat_map(|row| row.values.iter().map(|&v| one(row, v)).collect::<Vec<_>>()).collect()
    }

    /// How the text was understood, and every bad line (the first twelve in full).
    pub fn notes(&self) -> Vec<Note> {
        let mut notes = self.remarks.clone();
        notes.extend(
            self.faults.iter().take(NOTED_LINES).map(|f| table::line_note(FIELD, f.line, &f.what, &f.mend)),
        );
        if self.faults.len() > NOTED_LINES {
            notes.push(Note::error(
                FIELD,
                format!("{} more lines could not be read.", self.faults.len() - NOTED_LINES),
                "Mend the first ones; the others may have the same fault.",
            ));
        }
        notes
    }
}

/// Reads a text. `asked`: the quantity the printer chose; it goes before headings and guesses.
pub fn parse(text: &str, asked: Option<Quantity>) -> Readings {
    let table = table::split(text);
    let mut found = Readings {
        rows: Vec::new(),
        quantity: asked,
        instrument: Instrument::default(),
        separator: table.separator,
        faults: Vec::new(),
        remarks: Vec::new(),
    };
    let mut lines: &[Line] = &table.lines;
    let heading = lines.first().filter(|l| l.cells.iter().all(|c| table::number(c).is_err()));
    if heading.is_some() {
        lines = &lines[1..];
    }
    if found.separator == Separator::Comma && heading.is_none() && commas_within_numbers(lines) {
        for line in lines {
            found.fault(
                line.number,
                "commas part the columns and the decimals".into(),
                "Part the columns by semicolons, tabs or blanks, or write decimals with points.",
            );
        }
        return found;
    }
    let columns = heading
        .and_then(|h| headed(h, asked, &mut found.remarks))
        .unwrap_or_else(|| guessed(lines, &mut found.remarks));

    let mut commas = 0;
    for line in lines {
        if found.separator == Separator::Comma
            && line.cells.iter().any(|c| c.contains(',') && table::number(c).is_ok())
        {
            commas += 1;
        }
        if let Some(row) = found.row(line, &columns) {
            found.rows.push(row);
        }
    }
    // Words above readings are a heading, whatever they say; words alone are none.
    if let Some(line) = heading.filter(|h| found.rows.is_empty() && !tells(h)) {
        let words = table::shortened(&line.cells.join(" "));
        found.fault(line.number, format!("“{words}” holds no number"), WANTED);
    }
    if commas > 0 {
        found.remarks.push(Note::hint(FIELD, "Quoted numbers with a comma were read as decimals."));
    }
    found.settle_quantity(&columns);
    found.settle_codes(&columns);
    found.check_values();
    found.order_faults();
    found
}

impl Readings {
    pub(crate) fn fault(&mut self, line: usize, what: String, mend: &str) {
        self.faults.push(LineFault { line, what, mend: mend.into() });
    }

    /// A row with its code as typed; cells that are no numbers become faults.
    fn row(&mut self, line: &Line, columns: &Columns) -> Option<Row> {
        let cell = |i: usize| line.cells.get(i).map_or("", String::as_str);
        let bad = |e: NotANumber, text: &str| e.words(text);
        let text = cell(columns.code);
        let code = match table::number(text) {
            Ok(code) => code,
            Err(_) if text.is_empty() => {
                self.fault(
                    line.number,
                    "the ink code is missing".into(),
                    "Type the ink code in percent, then the reading.",
                );
                return None;
            }
            Err(e) => {
                let (what, mend) = bad(e, text);
                self.fault(line.number, what, mend);
                return None;
            }
        };
        let mut values = Vec::new();
        let mut faulty = false;
        for &i in &columns.values {
            let text = cell(i);
            match table::number(text) {
                Ok(v) => values.push(v),
                Err(_) if text.is_empty() => {}
                Err(e) => {
                    let (what, mend) = bad(e, text);
                    self.fault(line.number, what, mend);
                    faulty = true;
                }
            }
        }
        if values.is_empty() {
            if !faulty {
                self.fault(
                    line.number,
                    "the reading is missing".into(),
                    "Type density or L* after the ink code.",
                );
            }
            return None;
        }
        let text = |place: Option<usize>| place.map_or(String::new(), |i| table::shortened(cell(i)));
        Some(Row { line: line.number, id: text(columns.id), sheet: text(columns.sheet), code, values })
    }

    /// Puts the faults in the order of the text. Stays one function: sorting is large code.
    #[inline(never)]
    pub(crate) fn order_faults(&mut self) {
        self.faults.sort_by_key(|f| f.line);
    }

    fn settle_quantity(&mut self, columns: &Columns) {
        if self.rows.is_empty() || self.quantity.is_some() {
            return;
        }
        self.quantity = columns.quantity.or_else(|| {
            let mut values: Vec<f64> = self.rows.iter().flat_map(|r| r.values.iter().copied()).collect();
            crate::math::sort(&mut values);
            let middle = values[values.len() / 2];
            let guess = if middle <= DENSITY_LIKE { Quantity::Density } else { Quantity::Lightness };
            self.remarks.push(Note::hint(
                FIELD,
                format!(
                    "The values were taken for {}, by their size. Choose the quantity if that is wrong.",
                    guess.words()
                ),
            ));
            Some(guess)
        });
    }

    fn settle_codes(&mut self, columns: &Columns) {
        let highest = self.rows.iter().map(|r| r.code).fold(0.0, f64::max);
        let parts = self.rows.iter().any(|r| r.code > 0.0 && r.code < 1.0);
        let fractions = !columns.percent && highest > 0.0 && highest <= 1.0 && parts;
        if fractions {
            self.remarks.push(Note::hint(
                FIELD,
                "No ink code is above 1: they were taken as parts of one, 1 being full ink.",
            ));
        }
        let scale = if fractions { 1.0 } else { 0.01 };
        let mut outside = Vec::new();
        self.rows.retain_mut(|row| {
            let typed = row.code;
            row.code *= scale;
            // 100 × 0.01 and its like are exact enough, but must not pass 1 by a last digit.
            let good = (0.0..=1.0).contains(&row.code);
            if !good {
                outside.push((row.line, typed));
            }
            good
        });
        for (line, typed) in outside {
            self.fault(
                line,
                format!("the ink code {} is outside 0 to 100 %", significant(typed, 5)),
                "Give ink codes in percent, 0 clear film to 100 full ink; divide 8-bit codes by 2.55.",
            );
        }
    }

    /// Drops, and names, values that cannot be and repeats that do not belong together.
    pub(crate) fn check_values(&mut self) {
        let Some(quantity) = self.quantity else { return };
        let (low, high) = quantity.range();
        let mut faults = Vec::new();
        self.rows.retain_mut(|row| {
            row.values.retain(|&v| {
                let good = (low..=high).contains(&v);
                if !good {
                    faults.push(LineFault {
                        line: row.line,
                        what: format!(
                            "{} is outside {} to {} for {}",
                            significant(v, 5),
                            significant(low, 3),
                            significant(high, 3),
                            quantity.words()
                        ),
                        mend: "Check the digits, and whether these are densities or L*.".into(),
                    });
                }
                good
            });
            let l = row.values.iter().map(|&v| quantity.to_lightness(v));
            let (darkest, lightest) = l.fold((f64::MAX, f64::MIN), |(a, b), v| (a.min(v), b.max(v)));
            let apart = lightest - darkest;
            if apart > REPEATS_APART {
                faults.push(LineFault {
                    line: row.line,
                    what: format!("the repeats are {} L* apart", decimals(apart, 0)),
                    mend: "Check the columns; if the comma is the decimal sign, part the columns by semicolons or tabs.".into(),
                });
            }
            !row.values.is_empty() && apart <= REPEATS_APART
        });
        self.faults.append(&mut faults);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    fn pairs(r: &Readings) -> Vec<(f64, Vec<f64>)> {
        r.rows.iter().map(|r| (r.code, r.values.clone())).collect()
    }

    #[test]
    fn plain_columns_with_repeats() {
        let r = parse("0 1.43 1.44\n3,3 1,41\n\n100 0.10 0.10", None);
        assert_eq!(r.quantity, Some(Quantity::Density));
        assert_eq!(pairs(&r), vec![(0.0, vec![1.43, 1.44]), (0.033, vec![1.41]), (1.0, vec![0.1, 0.1])]);
        assert_eq!(r.readings().len(), 5);
        assert!(r.faults.is_empty());
    }

    #[test]
    fn patch_numbers_are_told_from_codes() {
        let text = "0 0.0 1.43 1.44\n1 50 0.3 0.3\n2 100 0.1 0.1\n";
        let r = parse(text, None);
        assert_eq!(r.rows[1].id, "1");
        assert_eq!(pairs(&r)[1], (0.5, vec![0.3, 0.3]));
        // Codes in whole percent with two repeats stay codes.
        let text: String = (0..=100).map(|i| format!("{i} {}.5 {}.1\n", 20 + i / 2, 20 + i / 2)).collect();
        let r = parse(&text, None);
        assert_eq!(r.rows[100].code, 1.0);
        assert_eq!(r.rows[100].values.len(), 2);
    }

    #[test]
    fn headings_choose_the_columns() {
        let r = parse("Patch;Ink %;a*;L* 1;L* 2;Note\nA1;0;1,2;24,1;24,3;dark\nA2;100;0,2;94;;\n", None);
        assert_eq!(r.quantity, Some(Quantity::Lightness));
        assert_eq!(pairs(&r), vec![(0.0, vec![24.1, 24.3]), (1.0, vec![94.0])]);
        assert_eq!(r.rows[0].id, "A1");
        let r = parse("ink,density,L*\n0,1.4,23\n100,0.1,92", Some(Quantity::Density));
        assert_eq!(pairs(&r), vec![(0.0, vec![1.4]), (1.0, vec![0.1])]);
        let r = parse("ink,a,b\n0,1.4,1.41\n100,0.1,0.1", None);
        assert_eq!(pairs(&r)[0], (0.0, vec![1.4, 1.41]));
    }

    #[test]
    fn parts_of_one_are_codes_too() {
        assert_eq!(pairs(&parse("0 90\n0.5 60\n1 20", None))[1].0, 0.5);
        assert_eq!(pairs(&parse("ink %,L*\n0,90\n0.5,60\n1,20", None))[1].0, 0.005);
    }

    #[test]
    fn bad_lines_are_named_and_the_good_ones_kept() {
        let text = "ink,density\n0,1.4\n10,abc\n20\n130,0.5\n40,0.4\n50,77\n,0.3\n60,\"1.234,5\"\n";
        let r = parse(text, None);
        assert_eq!(r.rows.len(), 2);
        assert_eq!(r.faults.iter().map(|f| f.line).collect::<Vec<_>>(), vec![3, 4, 5, 7, 8, 9]);
    }

    #[test]
    fn decimal_commas_between_commas_do_not_pass_unseen() {
        let r = parse("3,3,1,41\n6,7,1,35\n10,0,1,29\n", None);
        assert!(r.rows.is_empty());
        assert_eq!(r.faults.len(), 3);
    }

    #[test]
    fn nothing_is_nothing() {
        for text in ["", "\n\n", "\u{feff}", "ink,density\n", "hello"] {
            let r = parse(text, None);
            assert!(r.rows.is_empty() && r.readings().is_empty(), "{text:?}");
        }
    }

    #[test]
    fn words_alone_are_named_with_what_is_wanted() {
        let faults = |text: &str| {
            let all = parse(text, None).faults;
            all.iter().map(|f| format!("{} {}", f.line, f.what)).collect::<Vec<_>>()
        };
        assert_eq!(faults("\nhello"), ["2 “hello” holds no number"]);
        assert_eq!(
            faults("to be read\ntomorrow"),
            ["1 “to be read” holds no number", "2 “tomorrow” is not a number"]
        );
        assert!(parse("hello", None).notes()[0].mend.contains("ink in %, then density or L*"));
        // A heading above readings is passed over, whatever it says; one that is understood is no fault.
        assert!(faults("morning print\n0 1.4\n100 0.1").is_empty());
        assert!(faults("ink,density\n").is_empty());
    }

    #[test]
    fn many_bad_lines_make_few_notes() {
        let text = "x y\n".repeat(500) + "1 2\n";
        assert!(parse(&text, None).notes().len() <= NOTED_LINES + 3);
    }
}
