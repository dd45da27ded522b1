//! CGATS text to tables of cells.

use crate::tone::readings::LineFault;

/// A row of a table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Set {
    /// Line of the text where it begins, from 1.
    pub line: usize,
    /// One cell a column; `""` is missing.
    pub cells: Vec<String>,
}

/// One table.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Table {
    /// Keywords, in capitals, with their values; those of the tables before go on.
    pub head: Vec<(String, String)>,
    /// Names of the columns, in capitals.
    pub columns: Vec<String>,
    /// The rows.
    pub sets: Vec<Set>,
}

/// A text as it was understood.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Cgats {
    /// First line: `CGATS.17` and the like; may be empty.
    pub kind: String,
    /// The tables that hold columns or rows.
    pub tables: Vec<Table>,
    /// Rows that could not be read.
    pub faults: Vec<LineFault>,
    /// Where the text contradicts itself, without loss.
    pub remarks: Vec<LineFault>,
}

impl Table {
    /// Value of a keyword; empty if it is not there.
    pub fn value(&self, keyword: &str) -> &str {
        self.head.iter().rfind(|(k, _)| k == keyword).map_or("", |(_, v)| v)
    }
}

/// Whether a text is CGATS rather than plain columns.
pub fn looks_like(text: &str) -> bool {
    text.split(['\n', '\r']).any(|line| {
        let word = line.trim_start_matches('\u{feff}').split_whitespace().next().unwrap_or("");
        word.eq_ignore_ascii_case("BEGIN_DATA") || word.eq_ignore_ascii_case("BEGIN_DATA_FORMAT")
    })
}

/// Tables taken; a sheet read with five instruments has five.
const MOST_TABLES: usize = 50;

/// A piece of a line.
struct Token<'a> {
    text: &'a str,
    quoted: bool,
}

impl Token<'_> {
    fn is(&self, keyword: &str) -> bool {
        !self.quoted && self.text.eq_ignore_ascii_case(keyword)
    }
}

/// Where in the text the reader is.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Place {
    Head,
    Columns,
    Data,
}

struct Reader {
    found: Cgats,
    table: Table,
    place: Place,
    /// A row that may go on in the next line.
    row: Option<Set>,
    /// Rows of this table that were refused.
    refused: usize,
    /// Whether anything but empty lines was met.
    begun: bool,
    /// Whether tables were left out.
    cut: bool,
}

/// Reads a text. Any text gives some tables.
pub fn read(text: &str) -> Cgats {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut reader = Reader {
        found: Cgats::default(),
        table: Table::default(),
        place: Place::Head,
        row: None,
        refused: 0,
        begun: false,
        cut: false,
    };
    let mut number = 0;
    let mut rest = text;
    while !rest.is_empty() {
        number += 1;
        let end = rest.find(['\n', '\r']).unwrap_or(rest.len());
        reader.line(number, &rest[..end]);
        rest = &rest[end..];
        rest = rest.strip_prefix("\r\n").or_else(|| rest.get(1..)).unwrap_or("");
    }
    reader.end(number)
}

impl Reader {
    fn line(&mut self, number: usize, line: &str) {
        let tokens = tokens(line);
        let mut from = 0;
        for i in 0..tokens.len() {
            let next = match () {
                () if tokens[i].is("BEGIN_DATA_FORMAT") => Place::Columns,
                () if tokens[i].is("BEGIN_DATA") => Place::Data,
                () if tokens[i].is("END_DATA_FORMAT") || tokens[i].is("END_DATA") => Place::Head,
                () => continue,
            };
            self.pieces(number, line, &tokens[from..i], false);
            from = i + 1;
            self.go(number, next);
        }
        self.pieces(number, line, &tokens[from..], from == 0);
    }

    fn go(&mut self, number: usize, next: Place) {
        if self.place == Place::Data {
            self.drop_row();
            self.close(number);
        }
        if next == Place::Columns {
            self.table.columns.clear();
        }
        self.place = next;
    }

    /// Takes pieces of a line; `whole` if they are all of it.
    fn pieces(&mut self, number: usize, line: &str, tokens: &[Token<'_>], whole: bool) {
        let Some(first) = tokens.first() else { return };
        match self.place {
            Place::Head => {
                let value: Vec<&str> = tokens[1..].iter().map(|t| t.text).collect();
                if !self.begun && value.is_empty() {
                    self.found.kind = first.text.into();
                } else {
                    self.table.head.push((first.text.to_ascii_uppercase(), value.join(" ")));
                }
                self.begun = true;
            }
            Place::Columns => self.table.columns.extend(tokens.iter().map(|t| t.text.to_ascii_uppercase())),
            Place::Data => self.set(number, line, tokens, whole),
        }
    }

    fn set(&mut self, number: usize, line: &str, tokens: &[Token<'_>], whole: bool) {
        let columns = self.table.columns.len();
        let mut cells: Vec<String> = tokens.iter().map(|t| t.text.to_owned()).collect();
        if cells.len() != columns && whole && line.contains('\t') {
            // A name with a blank and no quotes, or an empty cell, where tabs part the columns.
            let parts: Vec<String> =
                without_comment(line).split('\t').map(|c| c.trim().trim_matches('"').to_owned()).collect();
            if parts.len() == columns {
                cells = parts;
            }
        }
        let mut row = match self.row.take() {
            Some(mut row) if row.cells.len() + cells.len() <= columns => {
                row.cells.append(&mut cells);
                row
            }
            Some(short) => {
                self.row = Some(short);
                self.drop_row();
                Set { line: number, cells }
            }
            None => Set { line: number, cells },
        };
        if row.cells.len() < columns {
            self.row = Some(row);
        } else if row.cells.len() == columns {
            self.table.sets.push(row);
        } else {
            row.cells.truncate(0);
            self.refuse(row.line, tokens.len());
        }
    }

    /// Refuses a row that never came to its end.
    fn drop_row(&mut self) {
        if let Some(row) = self.row.take() {
            self.refuse(row.line, row.cells.len());
        }
    }

    fn refuse(&mut self, line: usize, cells: usize) {
        self.refused += 1;
        self.found.faults.push(LineFault {
            line,
            what: format!("there are {cells} values for {} columns", self.table.columns.len()),
            mend: "Put names with blanks in quotes, and \"\" for what is missing.".into(),
        });
    }

    /// Finishes a table at this line.
    fn close(&mut self, line: usize) {
        if self.found.tables.len() == MOST_TABLES {
            if !self.table.sets.is_empty() && !self.cut {
                self.cut = true;
                self.found.remarks.push(LineFault {
                    line,
                    what: format!("there are more than {MOST_TABLES} tables; the rest was left out"),
                    mend: "Split the file.".into(),
                });
            }
            self.table.sets.clear();
            return;
        }
        let (columns, sets) = (self.table.columns.len(), self.table.sets.len() + self.refused);
        for (keyword, there, what) in
            [("NUMBER_OF_FIELDS", columns, "columns"), ("NUMBER_OF_SETS", sets, "rows")]
        {
            if let Ok(said) = self.table.value(keyword).parse::<usize>()
                && said != there
            {
                self.found.remarks.push(LineFault {
                    line,
                    what: format!("the file says {said} {what}, there are {there}"),
                    mend: "Check that nothing is missing, at the end above all.".into(),
                });
            }
        }
        self.refused = 0;
        // Keywords and columns go on until the next table says otherwise; its counts do not.
        let mut next =
            Table { head: self.table.head.clone(), columns: self.table.columns.clone(), sets: Vec::new() };
        next.head.retain(|(k, _)| !matches!(k.as_str(), "NUMBER_OF_FIELDS" | "NUMBER_OF_SETS"));
        self.found.tables.push(core::mem::replace(&mut self.table, next));
    }

    fn end(mut self, line: usize) -> Cgats {
        if self.place == Place::Data {
            self.drop_row();
            self.found.remarks.push(LineFault {
                line,
                what: "the end of the data is missing".into(),
                mend: "Check that the file is whole; it may have been cut off.".into(),
            });
            self.close(line);
        }
        self.found
    }
}

/// The line up to its comment.
fn without_comment(line: &str) -> &str {
    let mut quoted = false;
    for (i, c) in line.char_indices() {
        match c {
            '"' => quoted = !quoted,
            '#' if !quoted => return &line[..i],
            _ => {}
        }
    }
    line
}

fn tokens(line: &str) -> Vec<Token<'_>> {
    let mut tokens = Vec::new();
    let mut rest = without_comment(line).trim_start();
    while !rest.is_empty() {
        if let Some(inner) = rest.strip_prefix('"') {
            let end = inner.find('"').unwrap_or(inner.len());
            tokens.push(Token { text: &inner[..end], quoted: true });
            rest = inner.get(end + 1..).unwrap_or("").trim_start();
        } else {
            let end = rest.find(|c: char| c.is_whitespace() || c == '"').unwrap_or(rest.len());
            tokens.push(Token { text: &rest[..end], quoted: false });
            rest = rest[end..].trim_start();
        }
    }
    tokens
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn rows_may_be_broken_and_share_lines_with_keywords() {
        let text = "CGATS.17\nBEGIN_DATA_FORMAT A B C END_DATA_FORMAT\nBEGIN_DATA 1 2 3\n4\n5 6 # seven\n\
                    7 8\n9 10 11 END_DATA\nNAME x y\nBEGIN_DATA\n1 2 3\n";
        let found = read(text);
        let cells: Vec<Vec<Vec<String>>> =
            found.tables.iter().map(|t| t.sets.iter().map(|s| s.cells.clone()).collect()).collect();
        assert_eq!(
            cells,
            [
                vec![vec!["1", "2", "3"], vec!["4", "5", "6"], vec!["9", "10", "11"]],
                vec![vec!["1", "2", "3"]]
            ]
        );
        assert_eq!(found.faults.iter().map(|f| f.line).collect::<Vec<_>>(), [6]);
        assert_eq!(found.tables[0].sets[1].line, 4);
        assert_eq!(found.tables[1].value("NAME"), "x y");
        assert_eq!(found.remarks.len(), 1, "the second table has no end");
    }

    #[test]
    fn what_looks_like_it() {
        assert!(looks_like("\u{feff}CGATS.17\r\nBEGIN_DATA_FORMAT\r\n"));
        assert!(looks_like("  begin_data\n"));
        assert!(!looks_like("ink,density\n0,1.4\n"));
    }
}
