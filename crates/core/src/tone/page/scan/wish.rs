//! How a scan is to be read, from what was typed.

use super::{Ask, OtherChart, ScanWish, Wanted};
use crate::entry::Range;
use crate::note::Note;
use crate::station::Scene;
use crate::tone::chart_plan::Identity;
use crate::tone::table::number;

/// L* a reading may have.
const LIGHTNESS: Range = Range { low: 0.0, high: 105.0 };

/// Numbers parted by anything but what is part of a number; `None` if one of them is none.
pub(crate) fn numbers(text: &str) -> Option<Vec<f64>> {
    // A comma between digits may be a decimal comma only where something else parts the numbers.
    let blanks = text.split([';', ' ', '\t', '\n', '\r']).filter(|t| !t.is_empty());
    let cells: Vec<&str> = if text.contains([';', ' ', '\t', '\n']) {
        blanks.map(|t| t.trim_end_matches(',')).collect()
    } else {
        text.split(',').map(str::trim).filter(|t| !t.is_empty()).collect()
    };
    cells.into_iter().map(|cell| number(cell).ok()).collect()
}

/// Four corners as typed or tapped.
fn corners(name: &str, what: &str, text: &str, notes: &mut Vec<Note>) -> Option<Vec<f64>> {
    if text.trim().is_empty() {
        return Some(Vec::new());
    }
    match numbers(text) {
        Some(all) if all.len() == 8 => Some(all),
        found => {
            let n = found.map_or(0, |all| all.len() / 2);
            notes.push(Note::error(
                name,
                format!("{what} has {n} of its four corners."),
                "Tap upper left, upper right, lower right, lower left; or clear the field and begin again.",
            ));
            None
        }
    }
}

fn other(ask: &Ask, notes: &mut Vec<Note>) -> Option<OtherChart> {
    let side = Range { low: 1.0, high: 200.0 };
    let columns = crate::entry::count("scan.columns", "The number of columns", &ask.columns, side, notes);
    let rows = crate::entry::count("scan.rows", "The number of rows", &ask.rows, side, notes);
    let (columns, rows) = (columns?, rows?);
    let bad = |text: String, mend: &str| Note::error("scan.numbers", text, mend);
    let Some(all) = numbers(&ask.numbers) else {
        notes.push(bad("One of the chart's numbers is no number.".into(), "Give one number a patch."));
        return None;
    };
    // Percent, unless a number says that the scale is that of 8-bit grey.
    let full = if all.iter().any(|x| *x > 100.0) { 255.0 } else { 100.0 };
    if all.is_empty() || all.iter().any(|x| !(0.0..=full).contains(x)) {
        notes.push(bad(
            format!("The chart's numbers do not lie between 0 and {full}."),
            "Give percent, or grey from 0 to 255.",
        ));
        return None;
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "1 to 200")]
    let (columns, rows) = (columns.round() as u32, rows.round() as u32);
    if all.len() > (columns * rows) as usize {
        notes.push(bad(
            format!("{} numbers do not fit into {columns} × {rows} patches.", all.len()),
            "Count columns, rows and numbers again.",
        ));
        return None;
    }
    let code =
        |x: f64| if ask.meaning == "ink" || ask.meaning == "positive" { x / full } else { 1.0 - x / full };
    let codes = all.into_iter().map(code).collect();
    Some(OtherChart { columns, rows, order: ask.order.parse().unwrap_or(0).min(3), codes })
}

/// How the scan is to be read, or what keeps it from being read.
pub(crate) fn wish(
    ask: &Ask,
    chart: &super::super::chart::Ask,
    scene: &Scene<'_>,
) -> Result<ScanWish, Vec<Note>> {
    let mut notes = Vec::new();
    let (light, gamma) = match ask.light.as_str() {
        "linear" => ("linear", 1.0),
        "gamma18" => ("gamma", 1.8),
        "gamma22" => ("gamma", 2.2),
        "srgb" => ("srgb", 2.2),
        _ => ("file", 2.2),
    };
    let shading = numbers(&ask.shading).unwrap_or_default();
    let mut wish = ScanWish { light, gamma, shading, ..ScanWish::default() };
    let what = if ask.kind == "other" { "The chart" } else { "The chart's marks" };
    wish.marks = corners("scan.marks", what, &ask.marks, &mut notes).unwrap_or_default();
    if ask.kind == "other" {
        // Without its corners the picture is only opened; they are asked for when it can be seen.
        if let Some(other) = other(ask, &mut notes).filter(|_| !wish.marks.is_empty()) {
            wish.wanted = Wanted::Other(other);
        }
    } else {
        let named = Identity::parse(&ask.name);
        if named.is_none() && !ask.name.trim().is_empty() {
            notes.push(Note::error(
                "scan.name",
                "That is no name of a tone chart.",
                "It stands on the film, such as 41-777; leave the field empty to have it read from the squares.",
            ));
        }
        if let Some(coat) = super::super::chart::coat(chart, scene, &mut notes) {
            wish.wanted = Wanted::Own { named, coat };
        }
    }
    match ask.known.as_str() {
        "ends" => {
            let mut one =
                |name, label, text| crate::entry::number(name, label, text, LIGHTNESS, &[], &mut notes);
            let paper = one("scan.paper", "L* of the bare paper", &ask.paper);
            let black = one("scan.black", "L* of clear film", &ask.black);
            if let (Some(paper), Some(black)) = (paper, black) {
                wish.anchors = vec![paper, black];
            }
        }
        "scale" => {
            wish.scale = corners("scan.scale", "The grey scale", &ask.scale, &mut notes).unwrap_or_default();
            match numbers(&ask.densities) {
                Some(all) if all.len() >= 3 => wish.densities = all,
                _ => notes.push(Note::error(
                    "scan.densities",
                    "The grey scale needs the densities of at least three steps.",
                    "Type them in order, from the end where its first corner is.",
                )),
            }
            if wish.scale.is_empty() {
                // Without its corners it cannot be found yet; the picture is read by what the file says.
                wish.densities.clear();
            }
        }
        _ => {}
    }
    if notes.is_empty() { Ok(wish) } else { Err(notes) }
}
