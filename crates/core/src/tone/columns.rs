//! Which column is what: by its heading, or by what stands in it.

use super::reading::Quantity;
use super::table::{self, Line};
use crate::note::Note;

/// Field of the tone station the notes are about.
pub(crate) const FIELD: &str = "readings";
/// L* that repeats of one patch may differ by before the row is refused.
pub(super) const REPEATS_APART: f64 = 20.0;

/// What the columns are.
pub(super) struct Columns {
    /// Number or name of the patch.
    pub(super) id: Option<usize>,
    /// Number or name of the sheet.
    pub(super) sheet: Option<usize>,
    /// Ink code.
    pub(super) code: usize,
    /// Readings, one column a repeat.
    pub(super) values: Vec<usize>,
    /// What the heading says they are.
    pub(super) quantity: Option<Quantity>,
    /// Whether the heading says percent.
    pub(super) percent: bool,
}

/// What a heading says a column is.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Heading {
    Id,
    Sheet,
    Code,
    Value(Quantity),
    Remark,
    Unknown,
}

fn heading(cell: &str) -> Heading {
    let word: String =
        cell.to_lowercase().chars().filter(|c| c.is_alphanumeric() || matches!(c, '*' | '%' | '#')).collect();
    // "density 2" and "L* b" are repeats of the same thing.
    let stem = word.trim_end_matches(|c: char| c.is_ascii_digit());
    match stem {
        "#" | "no" | "nr" | "patch" | "patchno" | "id" | "name" | "label" | "sample" | "sampleid" => {
            Heading::Id
        }
        "sheet" | "sheetno" | "sheetid" => Heading::Sheet,
        "%" | "ink%" | "code%" | "percent" => Heading::Code,
        "note" | "notes" | "remark" | "remarks" | "comment" => Heading::Remark,
        "d" | "dv" | "dvis" | "visual" => Heading::Value(Quantity::Density),
        "l" | "l*" | "ciel*" | "lstar" | "lightness" => Heading::Value(Quantity::Lightness),
        _ if stem.contains("density") => Heading::Value(Quantity::Density),
        _ if stem.contains("l*") || stem.contains("lightness") => Heading::Value(Quantity::Lightness),
        _ if stem.contains("ink") || stem.contains("code") => Heading::Code,
        _ => Heading::Unknown,
    }
}

/// Whether a line of words tells an ink or a reading.
pub(super) fn tells(line: &Line) -> bool {
    line.cells.iter().any(|c| matches!(heading(c), Heading::Code | Heading::Value(_)))
}

/// Columns by their headings; `None` where they name no code or no value.
pub(super) fn headed(line: &Line, asked: Option<Quantity>, remarks: &mut Vec<Note>) -> Option<Columns> {
    let kinds: Vec<Heading> = line.cells.iter().map(|c| heading(c)).collect();
    let first = |kind: Heading| kinds.iter().position(|k| *k == kind);
    let id = first(Heading::Id);
    let sheet = first(Heading::Sheet);
    let of =
        |q: Quantity| -> Vec<usize> { (0..kinds.len()).filter(|&i| kinds[i] == Heading::Value(q)).collect() };
    let (densities, lightnesses) = (of(Quantity::Density), of(Quantity::Lightness));
    let (values, quantity) = match (densities.is_empty(), lightnesses.is_empty(), asked) {
        (false, false, Some(Quantity::Density)) | (false, true, _) => (densities, Some(Quantity::Density)),
        (true, true, _) => (Vec::new(), None),
        (_, false, _) => (lightnesses, Some(Quantity::Lightness)),
    };
    if kinds.contains(&Heading::Value(Quantity::Density))
        && kinds.contains(&Heading::Value(Quantity::Lightness))
    {
        remarks.push(Note::hint(
            FIELD,
            format!("Of density and L* the {} was taken.", quantity.map_or("", Quantity::words)),
        ));
    } else if let (Some(asked), Some(said)) = (asked, quantity)
        && asked != said
    {
        remarks.push(Note::warning(
            FIELD,
            format!("The heading says {}, but {} was chosen.", said.words(), asked.words()),
            "Choose the quantity the heading says, or mend the heading.",
        ));
    }
    // Without a heading that says code, it is the first column that is nothing else.
    let code = first(Heading::Code).or_else(|| first(Heading::Unknown))?;
    let unknown: Vec<usize> =
        (0..kinds.len()).filter(|&i| kinds[i] == Heading::Unknown && i != code).collect();
    let (values, ignored) = if values.is_empty() { (unknown, Vec::new()) } else { (values, unknown) };
    if values.is_empty() {
        return None;
    }
    let names: Vec<String> =
        ignored.iter().map(|&i| table::shortened(&line.cells[i])).filter(|n| !n.is_empty()).collect();
    if !names.is_empty() {
        remarks.push(Note::hint(FIELD, format!("Not used: {}.", names.join(", "))));
    }
    Some(Columns { id, sheet, code, values, quantity, percent: line.cells[code].contains('%') })
}

/// Columns by what stands in them.
pub(super) fn guessed(lines: &[Line], remarks: &mut Vec<Note>) -> Columns {
    let width = lines.iter().map(|l| l.cells.len()).max().unwrap_or(0);
    let column = |i: usize| -> Vec<f64> {
        lines.iter().filter_map(|l| l.cells.get(i)).filter_map(|c| table::number(c).ok()).collect()
    };
    let filled = |i: usize| lines.iter().filter(|l| l.cells.get(i).is_some_and(|c| !c.is_empty())).count();
    let mut numeric: Vec<usize> = (0..width).filter(|&i| 2 * column(i).len() > filled(i)).collect();
    let mut id = (0..width).find(|i| !numeric.contains(i) && numeric.first().is_some_and(|f| i < f));
    if let [first, second, _, ..] = numeric[..]
        && counts_up(&column(first))
        && could_be_codes(&column(second))
    {
        remarks.push(Note::hint(FIELD, "The first column counts up and was taken for patch numbers."));
        id = Some(first);
        numeric.remove(0);
    }
    let code = numeric.first().copied().unwrap_or(0);
    let values = if numeric.len() > 1 { numeric[1..].to_vec() } else { vec![code + 1] };
    Columns { id, sheet: None, code, values, quantity: None, percent: false }
}

/// Whether rows of whole numbers only are decimals torn apart: always an even count, and repeats nowhere near each other.
pub(super) fn commas_within_numbers(lines: &[Line]) -> bool {
    let whole = |c: &String| !c.is_empty() && c.chars().all(|c| c.is_ascii_digit());
    let torn = |l: &&Line| {
        let values: Vec<f64> = l.cells[1..].iter().filter_map(|c| table::number(c).ok()).collect();
        let (low, high) = values.iter().fold((f64::MAX, f64::MIN), |(a, b), &v| (a.min(v), b.max(v)));
        high - low > REPEATS_APART
    };
    lines.iter().all(|l| l.cells.len() >= 4 && l.cells.len() % 2 == 0 && l.cells.iter().all(whole))
        && 2 * lines.iter().filter(torn).count() > lines.len()
}

/// Whole numbers, each one more than the last, not ending at 100 as codes would.
fn counts_up(column: &[f64]) -> bool {
    column.len() > 2
        && column[0].fract() == 0.0
        && column.windows(2).all(|w| w[1] == w[0] + 1.0)
        && column[column.len() - 1] != 100.0
}

/// Within 0…100 and over half of it.
fn could_be_codes(column: &[f64]) -> bool {
    let (low, high) = column.iter().fold((f64::MAX, f64::MIN), |(a, b), &v| (a.min(v), b.max(v)));
    low >= 0.0 && high <= 100.0 && high - low >= 50.0
}
