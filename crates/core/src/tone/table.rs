//! Text to rows of cells: which sign parts the columns is found out, then RFC 4180 (2005) is followed, leniently.

use crate::note::Note;

/// What parts the columns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Separator {
    /// Tab stops.
    Tab,
    /// Semicolons.
    Semicolon,
    /// Commas.
    Comma,
    /// Blanks or tab stops, any number of them.
    Blank,
}

impl Separator {
    /// In the order in which they are preferred when two fit equally well.
    const ALL: [Self; 4] = [Self::Tab, Self::Semicolon, Self::Comma, Self::Blank];

    fn byte(self) -> Option<u8> {
        match self {
            Self::Tab => Some(b'\t'),
            Self::Semicolon => Some(b';'),
            Self::Comma => Some(b','),
            Self::Blank => None,
        }
    }
}

/// A row of cells.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// Line of the text where the row begins, from 1.
    pub number: usize,
    /// Its cells, blanks around them dropped.
    pub cells: Vec<String>,
}

/// Rows as they stand in the text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Table {
    /// What parted the columns.
    pub separator: Separator,
    /// Rows that hold anything.
    pub lines: Vec<Line>,
}

/// Splits a text into rows and cells. A byte order mark is dropped; lines may end in CR LF, LF or CR; cells may be
/// quoted. Any text gives some table.
pub fn split(text: &str) -> Table {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let separator = sniff(text);
    let mut lines = match separator.byte() {
        Some(byte) => quoted(text, byte),
        None => blanks(text),
    };
    lines.retain(|line| line.cells.iter().any(|c| !c.is_empty()));
    Table { separator, lines }
}

/// The separator under which the most cells are numbers and the fewest are not.
fn sniff(text: &str) -> Separator {
    /// Lines looked at; more would not change the answer.
    const LOOKED_AT: usize = 200;
    let mut best = (i64::MIN, Separator::Blank);
    for separator in Separator::ALL {
        let mut score = 0;
        for line in text.split(['\n', '\r']).filter(|l| !l.trim().is_empty()).take(LOOKED_AT) {
            let cells: Vec<&str> = match separator.byte() {
                Some(byte) => line.split(outside_quotes(byte)).map(str::trim).collect(),
                None => line.split_whitespace().collect(),
            };
            let numbers = cells.iter().filter(|c| number(c.trim_matches('"')).is_ok()).count();
            let others =
                cells.iter().filter(|c| !c.trim_matches('"').is_empty()).count().saturating_sub(numbers);
            // A heading tells nothing about columns of numbers; a lone number tells nothing about columns.
            if numbers > 0 && cells.len() > 1 {
                score += i64::try_from(numbers).unwrap_or(0) - 2 * i64::try_from(others).unwrap_or(0);
            } else if numbers > 0 || cells.len() == 1 {
                score -= 2;
            }
        }
        if score > best.0 {
            best = (score, separator);
        }
    }
    best.1
}

/// Finds separators, but not inside cells that begin with a quote.
fn outside_quotes(separator: u8) -> impl FnMut(char) -> bool {
    let (mut begins, mut quotes, mut inside) = (true, false, false);
    move |c| {
        quotes |= begins && c == '"';
        inside ^= quotes && c == '"';
        let parts = c == char::from(separator) && !inside;
        quotes &= !parts;
        begins = parts || (begins && c == ' ');
        parts
    }
}

fn quoted(text: &str, separator: u8) -> Vec<Line> {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(separator)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let mut lines = Vec::new();
    let mut counter = LineCounter { text, byte: 0, line: 1 };
    // Text is UTF-8 and lengths are free, so every record is readable; were one not, the others still count.
    for record in reader.records().flatten() {
        let byte = record.position().map_or(0, |p| usize::try_from(p.byte()).unwrap_or(usize::MAX));
        let number = counter.at(byte);
        lines.push(Line { number, cells: record.iter().map(str::to_owned).collect() });
    }
    lines
}

/// Counts lines up to ascending places; CR LF, LF and CR end a line each.
struct LineCounter<'a> {
    text: &'a str,
    byte: usize,
    line: usize,
}

impl LineCounter<'_> {
    fn at(&mut self, byte: usize) -> usize {
        let bytes = self.text.as_bytes();
        // The reader's places lie before the empty lines it skips.
        while self.byte < bytes.len()
            && (self.byte < byte || bytes[self.byte] == b'\n' || bytes[self.byte] == b'\r')
        {
            let ends = match bytes[self.byte] {
                b'\n' => true,
                b'\r' => bytes.get(self.byte + 1) != Some(&b'\n'),
                _ => false,
            };
            self.line += usize::from(ends);
            self.byte += 1;
        }
        self.line
    }
}

fn blanks(text: &str) -> Vec<Line> {
    let mut lines = Vec::new();
    let mut number = 1;
    let mut rest = text;
    loop {
        let end = rest.find(['\n', '\r']).unwrap_or(rest.len());
        let cells = rest[..end].split_whitespace().map(|c| c.trim_matches('"').to_owned()).collect();
        lines.push(Line { number, cells });
        number += 1;
        rest = &rest[end..];
        if rest.is_empty() {
            return lines;
        }
        rest = rest.strip_prefix("\r\n").unwrap_or_else(|| &rest[1..]);
    }
}

/// Why a cell is no number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NotANumber {
    /// Letters or signs.
    Signs,
    /// Both comma and point.
    TwoMarks,
    /// Too large to hold.
    TooLarge,
}

impl NotANumber {
    /// What is the matter with the cell, and what to do.
    pub fn words(self, cell: &str) -> (String, &'static str) {
        let cell = shortened(cell);
        match self {
            Self::Signs => (format!("“{cell}” is not a number"), "Type digits with comma or point."),
            Self::TwoMarks => {
                (format!("“{cell}” has both comma and point"), "Leave out the sign that parts the thousands.")
            }
            Self::TooLarge => (format!("“{cell}” is too large"), "Check the digits."),
        }
    }
}

/// The beginning of a cell, for a message.
pub fn shortened(cell: &str) -> String {
    /// Characters shown.
    const SHOWN: usize = 20;
    if cell.chars().count() <= SHOWN {
        cell.into()
    } else {
        format!("{}…", cell.chars().take(SHOWN).collect::<String>())
    }
}

/// A number as instruments and spreadsheets write it: comma or point, sign, exponent, a percent sign behind.
///
/// # Errors
/// Says why the cell is no number; the answer is always finite.
pub fn number(cell: &str) -> Result<f64, NotANumber> {
    let cell = cell.trim();
    let cell = cell.strip_suffix('%').unwrap_or(cell).trim_end();
    let plain =
        cell.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ',' | '+' | '-' | '−' | 'e' | 'E'));
    // "e5" would be read by nobody as a number; nor would a lone sign.
    if !plain || !cell.starts_with(|c: char| !matches!(c, 'e' | 'E')) {
        return Err(NotANumber::Signs);
    }
    let cell = cell.replace('−', "-");
    if cell.contains(',') && cell.contains('.') {
        return Err(NotANumber::TwoMarks);
    }
    match cell.replace(',', ".").parse::<f64>() {
        Ok(v) if v.is_finite() => Ok(v),
        Ok(_) => Err(NotANumber::TooLarge),
        Err(_) => Err(NotANumber::Signs),
    }
}

/// A cell's fault as a note of a line.
pub fn line_note(field: &str, line: usize, what: &str, mend: &str) -> Note {
    Note::error(field, format!("Line {line}: {what}."), mend)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    fn rows(text: &str) -> Vec<(usize, Vec<String>)> {
        split(text).lines.into_iter().map(|l| (l.number, l.cells)).collect()
    }

    fn row(number: usize, cells: &[&str]) -> (usize, Vec<String>) {
        (number, cells.iter().map(|c| (*c).to_owned()).collect())
    }

    #[test]
    fn lines_are_counted_over_empty_ones_and_all_line_ends() {
        let want = vec![row(1, &["ink", "L"]), row(4, &["0", "94"]), row(5, &["5", "90"])];
        for text in ["ink,L\n\n\n0,94\n5,90", "ink,L\r\n\r\n\r\n0,94\r\n5,90\r\n", "ink,L\r\r\r0,94\r5,90\r"]
        {
            assert_eq!(rows(text), want, "{text:?}");
            assert_eq!(rows(&text.replace(',', " ")), want, "{text:?} with blanks");
        }
    }

    #[test]
    fn a_break_inside_quotes_is_counted_too() {
        assert_eq!(
            rows("1,\"a\nb\",2\n3,4,5\n"),
            vec![row(1, &["1", "a\nb", "2"]), row(3, &["3", "4", "5"])]
        );
    }

    #[test]
    fn separators_are_found() {
        for (text, separator) in [
            ("0\t94\n5\t90", Separator::Tab),
            ("ink;L\n1,5;2,5", Separator::Semicolon),
            ("0,94.0\n5, 90.0", Separator::Comma),
            ("0 94\n5   90", Separator::Blank),
            ("56,7 0,19\n60,0 0,20", Separator::Blank),
            ("56,7\t0,19", Separator::Tab),
            ("1\t0\t94\tgood patch", Separator::Tab),
            ("patch,ink %,L*\n\"a;b;c, d\",1.5,94.0", Separator::Comma),
            ("", Separator::Tab),
        ] {
            assert_eq!(split(text).separator, separator, "{text:?}");
        }
    }

    #[test]
    fn numbers() {
        for (cell, value) in
            [("1,5", 1.5), (" 94.0 ", 94.0), ("1e2", 100.0), ("50 %", 50.0), ("−0.02", -0.02), ("+3", 3.0)]
        {
            assert_eq!(number(cell), Ok(value), "{cell}");
        }
        for cell in ["", "=1+1", "NaN", "inf", "e5", "-", "1.2.3", "0x10", "12 3"] {
            assert_eq!(number(cell), Err(NotANumber::Signs), "{cell}");
        }
        assert_eq!(number("1.234,5"), Err(NotANumber::TwoMarks));
        assert_eq!(number("1e999"), Err(NotANumber::TooLarge));
    }
}
