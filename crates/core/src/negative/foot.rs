//! What lies on a film below the picture: margin strip, label, check bar; and the mark in its border. The film is drawn by
//! these lengths, the sheet is checked and the coating measured by the heights.

use crate::constant::Constant;
use crate::quantity::Length;

/// Between picture, strip, label and bar.
pub const GAP: Constant = Constant::choice(3.0, "mm", 1, "enough for a pencil line; nothing depends on it");
/// Height of the margin strip.
pub const STRIP: Constant =
    Constant::choice(10.0, "mm", 2, "the round opening of a hand-held densitometer and its ring fit in");
/// Height of capital letters.
pub const CAPITAL: Constant = Constant::choice(2.4, "mm", 2, "read at arm's length");
/// From line to line of the label.
pub const LINE: Constant =
    Constant::choice(4.2, "mm", 2, "capitals and a little more than half as much between them");
/// Length of the check bar.
pub const BAR: Constant = Constant::choice(50.0, "mm", 2, "a ruler reads it to half a percent");
/// Thickness of the check bar.
pub const BAR_HEIGHT: Constant = Constant::choice(1.5, "mm", 2, "seen, and no patch");

/// Legs of the filled corner that shows how a film that evens the light lies in the frame.
pub const CORNER: Constant = Constant::choice(4.0, "mm", 1, "found at once, and no part of the picture");
/// The narrowest border with room for it.
pub const CORNER_BORDER: Constant = Constant::choice(2.0, "mm", 1, "below it the mark would be a speck");

/// Room below the picture for strip, a label of so many lines, and the bar with its words.
#[must_use]
pub fn height(strip: bool, lines: u32) -> Length {
    let strip = if strip { GAP.value + STRIP.value } else { 0.0 };
    let label = match lines {
        0 => 0.0,
        n => GAP.value + LINE.value * f64::from(n - 1) + CAPITAL.value,
    };
    Length::from_mm(strip + label + GAP.value + CAPITAL.value)
}
