//! Bottles and how full they are, as a drawing.

use crate::svg::{Anchor, Svg};

/// Width of the drawing: room for a long name in the letters that stay readable on a narrow page.
const WIDTH: f64 = 420.0;
/// Height of one bottle: its name, and below it the bar with what is left.
const LINE: f64 = 56.0;
/// Length of a full bar; what is left stands to its right.
const FULL: f64 = 270.0;

/// Draws one bar a bottle: its name, what is written beside it, and how full it is (0..1, `None` if not known).
/// Empty for no bottles.
#[must_use]
pub fn levels(bottles: &[(String, String, Option<f64>)]) -> String {
    if bottles.is_empty() {
        return String::new();
    }
    let lines = f64::from(u32::try_from(bottles.len()).unwrap_or(u32::MAX));
    let said: Vec<String> = bottles.iter().map(|(name, left, _)| format!("{name}: {left}")).collect();
    let view = [-1.0, 0.0, WIDTH + 2.0, LINE * lines];
    let mut svg = Svg::new("stores-levels", view, "How full the bottles are", &said.join("; "));
    let mut y = 0.0;
    for (name, left, part) in bottles {
        svg.label(0.0, y + 18.0, Anchor::Start, "label", name);
        svg.rect(0.0, y + 28.0, FULL, 14.0, "hair");
        if let Some(part) = part {
            svg.rect(0.0, y + 28.0, FULL * part.clamp(0.0, 1.0), 14.0, "mark");
        }
        svg.label(WIDTH, y + 42.0, Anchor::End, "label", left);
        y += LINE;
    }
    svg.finish()
}
