//! The coated area: picture, border, margin strip, margin.

use crate::constant::Constant;
use crate::quantity::{Area, Length};

/// Height that the margin strip takes under the picture, with its gap.
pub const STRIP: Constant =
    Constant::choice(13.0, "mm", 2, "3 mm of gap and 10 mm of patches, as on the film");

/// A sheet as it is coated. Lengths are not negative.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sheet {
    /// Width of the picture.
    pub width: Length,
    /// Height of the picture.
    pub height: Length,
    /// Printed black around the picture, each side.
    pub border: Length,
    /// Height of the margin strip below; zero if there is none.
    pub strip: Length,
    /// Coated beyond all that, each side.
    pub margin: Length,
}

impl Sheet {
    /// Width of the coating.
    #[must_use]
    pub fn coated_width(&self) -> Length {
        self.width + (self.border + self.margin) * 2.0
    }

    /// Height of the coating.
    #[must_use]
    pub fn coated_height(&self) -> Length {
        self.height + self.strip + (self.border + self.margin) * 2.0
    }

    /// Area of the coating.
    #[must_use]
    pub fn coated(&self) -> Area {
        self.coated_width() * self.coated_height()
    }
}
