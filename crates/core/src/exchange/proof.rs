//! Three patches that show whether a correction went through another program as meant.

use super::carry::Carry;
use super::codes::sixteen;
use crate::show::decimals;

/// One patch of the proof picture.
#[derive(Clone, Debug, PartialEq)]
pub struct Patch {
    /// White, middle or black.
    pub name: &'static str,
    /// Its grey in the picture, 16 bits, in the encoding of the picture.
    pub grey: u16,
    /// Ink code 0…1 it must come out with.
    pub ink: f64,
    /// How it must look on the film.
    pub look: String,
}

/// White, middle (picture tone 0.5) and black, from left to right.
pub fn patches(carry: &Carry<'_>) -> [Patch; 3] {
    [("White", 1.0), ("Middle", 0.5), ("Black", 0.0)].map(|(name, tone)| {
        let ink = carry.correction.at(tone);
        let place = match name {
            "White" => "the darkest patch of the film",
            "Middle" => "between the other two",
            _ => "the clearest patch of the film",
        };
        let look = format!(
            "{name}: {place}, {} % ink, grey {} of 255 in the finished film file.",
            decimals(100.0 * ink, 1),
            decimals(255.0 * (1.0 - ink), 0)
        );
        Patch { name, grey: sixteen(carry.greys.grey(tone)), ink, look }
    })
}

/// What to see, and what has gone wrong if it is not seen.
pub fn words(carry: &Carry<'_>) -> String {
    let mut out = String::new();
    for patch in patches(carry) {
        out += &patch.look;
        out.push(' ');
    }
    out += "In the picture they stand white, middle, black from left to right; on the film, seen with its printed side up, \
            from right to left. If white is the clearest patch, the inversion is missing or was made twice; if white is on \
            the left, the mirroring is missing; if the middle is far off, the correction was applied to other greys.";
    out
}
