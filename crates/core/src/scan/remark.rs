//! What is odd about a scan as a whole, though it was read. The texts are the page's: the worker sends numbers.

/// What is odd about the scan as a whole.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Remark {
    /// The picture shows the chart in a mirror: the film lay the wrong way up, or the picture was flipped. Readings hold.
    Mirrored,
    /// One corner was not seen and was taken from the other three.
    GuessedCorner,
    /// The squares could not be read; the patches follow the chart all the same.
    UnreadableSquares,
    /// Too little bare paper around the chart: the scanner's shading stays in.
    NoShading,
    /// Black is so black or so light that the file's light was probably taken wrongly (linear for gamma, or the reverse).
    DoubtfulLight,
    /// Patches were marked as rough.
    RoughPatches,
    /// The densities of the grey scale were given from its other end.
    GreyScaleTurned,
    /// The masked spot is as dark as clear film: the tape was forgotten.
    NoTape,
    /// The masked spot is light in one part and dark in another: the tape lay beside it.
    TapeBeside,
    /// The spots lie beside the coat: clear film does not print black there.
    OffCoat,
    /// The blank scan is of another size or was read another way than this one.
    OtherBlank,
}

impl Remark {
    /// All of them; their places are their codes.
    const ALL: [Self; 11] = [
        Self::Mirrored,
        Self::GuessedCorner,
        Self::UnreadableSquares,
        Self::NoShading,
        Self::DoubtfulLight,
        Self::RoughPatches,
        Self::GreyScaleTurned,
        Self::NoTape,
        Self::TapeBeside,
        Self::OffCoat,
        Self::OtherBlank,
    ];

    /// The number it goes by between worker and page.
    pub fn code(self) -> u8 {
        self as u8
    }

    /// The remark of that number.
    pub fn from_code(code: u8) -> Option<Self> {
        Self::ALL.get(usize::from(code)).copied()
    }

    /// What is the matter and what to do.
    pub fn text(self) -> &'static str {
        match self {
            Self::Mirrored => {
                "The picture shows the chart in a mirror; the readings hold. Was the film printed or laid the wrong way up?"
            }
            Self::GuessedCorner => {
                "One corner mark was not seen and was taken from the other three. Look at the overlay, or place the corners by hand."
            }
            Self::UnreadableSquares => {
                "The squares that name the chart could not be read; the patches follow its order. Check that film and scan belong together."
            }
            Self::NoShading => {
                "There is too little bare paper around the chart to take the scanner's shading out. Scan with a wider margin, or scan a blank sheet."
            }
            Self::DoubtfulLight => {
                "Black is not where a print has it: the file's light was probably taken wrongly. Choose between linear and gamma again, or put a grey scale beside the print."
            }
            Self::RoughPatches => "Some patches are streaked or stained and should not be trusted.",
            Self::GreyScaleTurned => "The densities of the grey scale were taken from its other end.",
            Self::NoTape => {
                "The spot for the tape is as dark as clear film, so the true white is not known. Cover it with opaque tape on the next print."
            }
            Self::TapeBeside => {
                "The spot for the tape is light in one part and dark in another, so the true white is not known. Cover all of it on the next print, and read the spot by itself on this one."
            }
            Self::OffCoat => {
                "Clear film does not print black at its spot beside the tape: the coat does not reach there, so the true white is not known. Coat the whole chart next time."
            }
            Self::OtherBlank => {
                "The scan of blank paper was left out: it has another size than this scan, or its numbers were read another way. Scan a blank sheet with the same frame and settings, and open it again."
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn codes_go_round() {
        for (i, remark) in Remark::ALL.into_iter().enumerate() {
            assert_eq!((usize::from(remark.code()), Remark::from_code(remark.code())), (i, Some(remark)));
            assert!(remark.text().ends_with(['.', '?']));
        }
        assert_eq!(Remark::from_code(11), None);
    }
}
