//! How a print lies in the frame: where, and which way its top points.
//!
//! Frame and print are both seen from the lamp, looking onto the coated side, so that what is left in the frame is left on
//! the print. A film lies there ink side down and shows the same way round, although its file is mirrored.

use super::evenness::Place;

/// Where the top of the picture points.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Top {
    /// To the far edge of the frame.
    #[default]
    Far,
    /// To the right.
    Right,
    /// To the near edge.
    Near,
    /// To the left.
    Left,
}

impl Top {
    /// Of its word in a form; the far edge for any other.
    #[must_use]
    pub fn of(word: &str) -> Self {
        match word {
            "right" => Self::Right,
            "near" => Self::Near,
            "left" => Self::Left,
            _ => Self::Far,
        }
    }

    /// Its word in a form.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Far => "far",
            Self::Right => "right",
            Self::Near => "near",
            Self::Left => "left",
        }
    }

    /// In a sentence: "its top to …".
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Far => "the far edge",
            Self::Right => "the right",
            Self::Near => "the near edge",
            Self::Left => "the left",
        }
    }

    /// The corner of the print that lies far left in the frame: whether it is one of its right corners, and one of its
    /// lower.
    #[must_use]
    pub const fn far_left(self) -> (bool, bool) {
        match self {
            Self::Far => (false, false),
            Self::Right => (false, true),
            Self::Near => (true, true),
            Self::Left => (true, false),
        }
    }

    /// Width and height that a print of these sides takes in the frame.
    #[must_use]
    pub fn taken<T>(self, width: T, height: T) -> (T, T) {
        match self {
            Self::Far | Self::Near => (width, height),
            Self::Right | Self::Left => (height, width),
        }
    }
}

/// A print in the frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lie {
    /// The rectangle it covers, in parts of the frame.
    pub place: Place,
    /// Which way it lies.
    pub top: Top,
}

impl Lie {
    /// The place in the frame of a place on the print; both in parts, from the far left corner and from the picture's
    /// upper left.
    #[must_use]
    pub fn on_frame(&self, (u, v): (f64, f64)) -> (f64, f64) {
        let (x, y) = match self.top {
            Top::Far => (u, v),
            Top::Right => (1.0 - v, u),
            Top::Near => (1.0 - u, 1.0 - v),
            Top::Left => (v, 1.0 - u),
        };
        (self.place.left + self.place.width * x, self.place.top + self.place.height * y)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn the_four_ways_to_lay_a_print() {
        let place = Place { left: 0.1, top: 0.2, width: 0.4, height: 0.6 };
        // The picture's upper left and upper right corner: a sheet that is turned keeps its hands.
        for (top, first, second) in [
            (Top::Far, (0.1, 0.2), (0.5, 0.2)),
            (Top::Right, (0.5, 0.2), (0.5, 0.8)),
            (Top::Near, (0.5, 0.8), (0.1, 0.8)),
            (Top::Left, (0.1, 0.8), (0.1, 0.2)),
        ] {
            let lie = Lie { place, top };
            for (corner, at) in [((0.0, 0.0), first), ((1.0, 0.0), second)] {
                let (x, y) = lie.on_frame(corner);
                assert!((x - at.0).abs() < 1e-12 && (y - at.1).abs() < 1e-12, "{top:?} {corner:?}: {x} {y}");
            }
            assert_eq!(Top::of(top.word()), top);
            let (right, lower) = top.far_left();
            let (x, y) = lie.on_frame((f64::from(u8::from(right)), f64::from(u8::from(lower))));
            assert!((x - 0.1).abs() < 1e-12 && (y - 0.2).abs() < 1e-12, "{top:?}: {x} {y} is not far left");
        }
        assert_eq!(Top::Left.taken(3, 2), (2, 3));
        assert_eq!(Top::of("sideways"), Top::Far);
    }
}
