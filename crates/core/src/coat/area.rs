//! The coated area: picture, border, margin strip, margin.

use core::f64::consts::PI;

use crate::constant::Constant;
use crate::negative::foot;
use crate::quantity::{Area, Length};

/// Height that the margin strip takes under the picture, with its gap.
pub const STRIP: Constant =
    Constant::choice(foot::GAP.value + foot::STRIP.value, "mm", 2, "gap and patches, as on the film");

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
    /// The picture is round (or oval), and so is what is coated around it; the strip stays a rectangle below.
    pub round: bool,
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
        if self.round {
            let oval = self.coated_width() * (self.coated_height() - self.strip) * (PI / 4.0);
            oval + self.width * self.strip
        } else {
            self.coated_width() * self.coated_height()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn a_round_picture_takes_a_circle() {
        let mm = Length::from_mm;
        let mut sheet = Sheet {
            width: mm(180.0),
            height: mm(180.0),
            border: mm(0.0),
            strip: mm(0.0),
            margin: mm(10.0),
            round: true,
        };
        assert!((sheet.coated().to_cm2() - PI * 100.0).abs() < 1e-9);
        sheet.strip = mm(13.0);
        assert!((sheet.coated().to_cm2() - PI * 100.0 - 18.0 * 1.3).abs() < 1e-9);
        sheet.round = false;
        assert!((sheet.coated().to_cm2() - 20.0 * 21.3).abs() < 1e-9);
    }
}
