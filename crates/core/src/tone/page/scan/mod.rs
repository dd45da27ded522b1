//! The part of the tone station that reads a chart back from a scan or a photograph: how it is to be read, what was
//! found, and what becomes readings of it.

mod shown;
mod wish;

use crate::fields;
use crate::negative::PictureFacts;
use crate::tone::chart_plan::Identity;
pub(super) use shown::{answer, plan};
pub(crate) use shown::{claim, misread, overlay};
pub(crate) use wish::{numbers, wish};

/// What each bit of a patch's remarks says, and whether the patch is left out for it.
pub(crate) const ODD: [(u8, &str, bool); 5] = [
    (1, "too few pixels to be sure", false),
    (2, "uneven: a streak, a stain or a hair", false),
    (4, "cut off at the end of the scan's scale", true),
    (8, "beyond the last step of the grey scale", false),
    (16, "a part of it was off and was left out", false),
];

/// What was typed about reading a scan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ask {
    /// How the scan's numbers become light: `file`, `linear`, `gamma18`, `gamma22` or `srgb`.
    pub light: String,
    /// What is known of lightness in it: `nothing`, `ends` or `scale`.
    pub known: String,
    /// L* of the bare paper.
    pub paper: String,
    /// L* of clear film.
    pub black: String,
    /// Densities of the grey scale's steps.
    pub densities: String,
    /// Corners of the grey scale in the picture: x and y, four times.
    pub scale: String,
    /// Corner marks of the chart placed by hand: x and y, four times; empty: they are searched.
    pub marks: String,
    /// What a tap on the picture places: `marks` or `scale`.
    pub tap: String,
    /// The scanner's shading from a scan of blank paper: thirteen numbers; empty: from the paper around the chart.
    pub shading: String,
    /// The print's own unevenness is taken out, by the ground between the patches.
    pub even: bool,
    /// Version of the correction that the film was printed through, by mistake or to check it; empty for raw ink.
    pub through: String,
    /// Which chart it is, if its squares cannot be read: `41-777`.
    pub name: String,
    /// Another chart than ours: `own` or `other`.
    pub kind: String,
    /// Its columns.
    pub columns: String,
    /// Its rows.
    pub rows: String,
    /// Its order: `0` along the rows, `1` down the columns, `2` and `3` the same to and fro.
    pub order: String,
    /// Its numbers, patch by patch.
    pub numbers: String,
    /// What they mean: `ink`, `positive` or `film`.
    pub meaning: String,
}

fields!(
    Ask: light, known, paper, black, densities, scale, marks, tap, shading, even, through, name, kind, columns, rows, order, numbers, meaning
);

impl Default for Ask {
    fn default() -> Self {
        Self {
            light: "file".into(),
            known: "nothing".into(),
            paper: String::new(),
            black: String::new(),
            densities: String::new(),
            scale: String::new(),
            marks: String::new(),
            tap: "marks".into(),
            shading: String::new(),
            even: false,
            through: String::new(),
            name: String::new(),
            kind: "own".into(),
            columns: String::new(),
            rows: String::new(),
            order: "0".into(),
            numbers: String::new(),
            meaning: "ink".into(),
        }
    }
}

/// How a scan is to be read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ScanWish {
    /// `file`, `linear`, `srgb`, or `gamma` with the exponent in `gamma`.
    pub light: &'static str,
    /// See `light`.
    pub gamma: f64,
    /// Which chart.
    pub wanted: Wanted,
    /// Corner marks placed by hand, or none; of another chart its outer corners.
    pub marks: Vec<f64>,
    /// Densities of the grey scale's steps, or none.
    pub densities: Vec<f64>,
    /// Its outer corners.
    pub scale: Vec<f64>,
    /// L* of bare paper and of clear film, or none.
    pub anchors: Vec<f64>,
    /// The scanner's shading, or none.
    pub shading: Vec<f64>,
    /// A masked spot beside a step print: two opposite corners of a box, or none.
    pub masked: Vec<f64>,
}

impl ScanWish {
    /// All four corners of the box on the masked spot: upper left, upper right, lower right, lower left; empty without one.
    #[must_use]
    pub fn masked_corners(&self) -> Vec<f64> {
        let [a, b, c, d] = self.masked[..] else { return Vec::new() };
        let (left, right, top, bottom) = (a.min(c), a.max(c), b.min(d), b.max(d));
        vec![left, top, right, top, right, bottom, left, bottom]
    }
}

/// Which chart is to be read.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Wanted {
    /// None yet: the picture is only opened, so that corners can be placed on it.
    #[default]
    Look,
    /// A tone chart of ours.
    Own {
        /// Which; `None` if its squares are to say it.
        named: Option<Identity>,
        /// The coat it lies on, mm.
        coat: (f64, f64),
    },
    /// Another one.
    Other(OtherChart),
}

/// A chart of another make: a regular field of patches.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct OtherChart {
    /// Columns.
    pub columns: u32,
    /// Rows.
    pub rows: u32,
    /// See [`Ask::order`].
    pub order: u8,
    /// Ink codes, patch by patch.
    pub codes: Vec<f64>,
}

/// What was found in a scan. Lists stand patch by patch.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ScanFound {
    /// Name of the file.
    pub file: String,
    /// Which chart; empty for another make.
    pub name: String,
    /// The coat it was read on, mm.
    pub coat: (f64, f64),
    /// The coat it lies on by the size of its marks, mm; `None` where that was not measured.
    pub coat_seen: Option<(f64, f64)>,
    /// From mm of our chart, or from columns and rows of another, to pixels of the picture, row by row.
    pub map: Vec<f64>,
    /// Pixels a mm.
    pub scale: f64,
    /// The corners that were used.
    pub marks: Vec<f64>,
    /// Ink codes.
    pub codes: Vec<f64>,
    /// L*.
    pub lightness: Vec<f64>,
    /// Remarks as bits, see `sorrel_imaging::scan::flag`.
    pub flags: Vec<u8>,
    /// L* of the masked spot, of clear film, of bare paper.
    pub spots: [Option<f64>; 3],
    /// The ground between the patches: x and y in mm, L*.
    pub ground: Vec<(f64, f64, f64)>,
    /// What the L* may claim.
    pub claim: String,
    /// The band that leaves open, half its width in L*.
    pub half_width: f64,
    /// What is odd about the whole.
    pub remarks: Vec<String>,
    /// How code was taken for light.
    pub profile: String,
    /// The file itself says how its code becomes light.
    pub says_light: bool,
    /// How it was read.
    pub wish: ScanWish,
    /// L* of four fields of the masked spot, if it was marked.
    pub white: Vec<f64>,
    /// What was read of each patch, as it lies on the picture; see [`ScanFound::outlined`].
    pub outlines: Vec<Vec<(f64, f64)>>,
}

impl ScanFound {
    /// The same with its outlines: once a reading, because the chart has to be laid out for them.
    #[must_use]
    pub fn outlined(self) -> Self {
        Self { outlines: shown::outlines(&self), ..self }
    }
}

/// A scan in hand.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ScanInHand {
    /// What its head said.
    pub facts: PictureFacts,
    /// What was found in it; `None` until it was read.
    pub found: Option<ScanFound>,
}

/// What is shown.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct View {
    /// A picture is in hand.
    pub open: bool,
    /// A chart was read in it.
    pub found: bool,
    /// Our own chart is looked for.
    pub own: bool,
    /// Another one.
    pub other: bool,
    /// Two ends are known.
    pub ends: bool,
    /// A grey scale is.
    pub by_scale: bool,
    /// The picture: name and size.
    pub picture: String,
    /// What was read.
    pub title: String,
    /// What the L* may claim.
    pub claim: String,
    /// The spots.
    pub spots: String,
    /// What is odd.
    pub odd: Vec<OddRow>,
    /// Outlines over the picture.
    pub overlay: String,
    /// A scan of blank paper is used.
    pub shaded: bool,
    /// What was typed since is in these readings.
    pub fresh: bool,
    /// It is not, and what to do.
    pub stale: String,
    /// There are readings already, so these can be added.
    pub can_add: bool,
}

fields!(
    out View: open, found, own, other, ends, by_scale, picture, title, claim, spots, odd, overlay, shaded, fresh, stale, can_add
);

/// Something odd in a scan.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct OddRow {
    /// What.
    pub text: String,
}

fields!(out OddRow: text);

/// One row in every list, so that the names can be checked.
pub(super) fn sample() -> View {
    View { odd: vec![OddRow::default()], ..View::default() }
}
