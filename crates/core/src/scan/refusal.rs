//! Why a scan gives no readings: one variant a culprit, each with what to do.

use crate::tone::chart_plan::Identity;

/// Why a chart could not be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// Fewer than four corner marks that belong together.
    NoMarks,
    /// A corner of the chart, or a patch, lies outside the picture.
    Cropped,
    /// The patches have too few pixels.
    TooSmall,
    /// The corners form no rectangle seen at a moderate angle.
    Skewed,
    /// The squares name another chart.
    OtherChart(Identity),
    /// The squares cannot be read, and the patches do not follow the chart's codes.
    NotThisChart,
    /// The light end of the scale is cut off in the file.
    WhiteClipped,
    /// The dark end is.
    BlackClipped,
    /// The grey scale's steps and its densities do not go together.
    GreyScale,
    /// The layout is in order of tone, so the coat's evenness and the curve cannot be told apart.
    Sequential,
    /// Rows, columns and numbers of a chart do not match.
    Counts,
}

impl Refusal {
    /// Is it what was asked for, and not the scan, that must be changed?
    pub fn blames_the_ask(self) -> bool {
        matches!(self, Self::Counts | Self::GreyScale | Self::Sequential)
    }

    /// What is the matter.
    pub fn text(self) -> String {
        match self {
            Self::NoMarks => "The four corner marks of the chart were not found in the picture.".into(),
            Self::Cropped => "A part of the chart lies outside the picture.".into(),
            Self::TooSmall => "The patches have too few pixels to be read.".into(),
            Self::Skewed => {
                "The chart is seen at too steep an angle, or the corners were placed in the wrong order."
                    .into()
            }
            Self::OtherChart(found) => {
                ["This is chart ", &found.text(), ", not the one that was chosen."].concat()
            }
            Self::NotThisChart => "The patches do not follow the order of this chart.".into(),
            Self::WhiteClipped => {
                "The lightest patches are cut off: the scan holds no difference above them.".into()
            }
            Self::BlackClipped => {
                "The darkest patches are cut off: the scan holds no difference below them.".into()
            }
            Self::GreyScale => "The steps of the grey scale do not follow its densities.".into(),
            Self::Sequential => {
                "The patches stand in order of tone, so an uneven coat looks like a bend of the curve.".into()
            }
            Self::Counts => "Rows, columns and the number of values do not match.".into(),
        }
    }

    /// What to do about it.
    pub fn mend(self) -> &'static str {
        match self {
            Self::NoMarks => {
                "Scan the whole print with some bare paper around it, clean the glass, or place the four corners by hand."
            }
            Self::Cropped => "Scan again with some bare paper on all four sides.",
            Self::TooSmall => "Scan at 300 pixels per inch, or photograph from nearer.",
            Self::Skewed => {
                "Lay the print flat, take the picture from straight above, or place the corners again, beginning at the one with the small square beside it."
            }
            Self::OtherChart(_) => {
                "Empty the field for the chart's name, so that it is read from the squares, or take another scan."
            }
            Self::NotThisChart => {
                "Check that the scan and the film belong together, and the order of rows and columns."
            }
            Self::WhiteClipped => {
                "Scan again with all automatic corrections off and the white point at its end."
            }
            Self::BlackClipped => {
                "Scan again with all automatic corrections off and the black point at its end."
            }
            Self::GreyScale => {
                "Check the corners of the grey scale, its number of steps, and the order of its densities."
            }
            Self::Sequential => "Leave the evenness out, or print a chart with shuffled patches.",
            Self::Counts => "Count the patches again; there must be one value for each.",
        }
    }
}
