//! Bottles and how full they are, as a drawing.

use crate::svg::{Anchor, Svg};

/// Height of one line.
const LINE: f64 = 30.0;
/// Length of a full bar.
const FULL: f64 = 200.0;

/// Draws one bar a bottle: its name, what is written beside it, and how full it is (0..1, `None` if not known).
/// Empty for no bottles.
#[must_use]
pub fn levels(bottles: &[(String, String, Option<f64>)]) -> String {
    if bottles.is_empty() {
        return String::new();
    }
    let lines = f64::from(u32::try_from(bottles.len()).unwrap_or(u32::MAX));
    let said: Vec<String> = bottles.iter().map(|(name, left, _)| format!("{name}: {left}")).collect();
    let view = [-1.0, 0.0, FULL + 2.0, LINE * lines];
    let mut svg = Svg::new("stores-levels", view, "How full the bottles are", &said.join("; "));
    let mut y = 0.0;
    for (name, left, part) in bottles {
        svg.label(0.0, y + 11.0, Anchor::Start, "label", name);
        svg.label(FULL, y + 11.0, Anchor::End, "label", left);
        svg.rect(0.0, y + 15.0, FULL, 8.0, "hair");
        if let Some(part) = part {
            svg.rect(0.0, y + 15.0, FULL * part.clamp(0.0, 1.0), 8.0, "fill-3");
        }
        y += LINE;
    }
    svg.finish()
}
