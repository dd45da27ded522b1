//! Where every part of a tone chart lies, in mm on the print.
//!
//! From the edge of the coat inwards: 5 mm that nothing depends on, because brushed edges are ragged; the corner marks,
//! between them above the label and the check bar, below the row of squares and the spots; in the middle the patches.

use super::identity::{Identity, SQUARES};
use super::{Patches, order};
use crate::note::Note;
use crate::show::decimals;

/// Free of everything that is read, along the edge of the coat, mm.
const EDGE: f64 = 5.0;
/// Side of a corner mark, mm: four squares of half of it, two dark, two light.
const MARK: f64 = 8.0;
/// Between marks, field and bands, mm.
const QUIET: f64 = 2.0;
/// Between patches, mm.
const GAP: f64 = 2.0;
/// Smallest side of a patch on a hand-coated sheet, mm (common practice, no source).
pub const PATCH_MIN: f64 = 8.0;
/// Largest side of a coat, mm.
const COAT_MAX: f64 = 1000.0;
/// The check bar, mm.
const BAR: (f64, f64) = (50.0, 1.5);
/// Height of the row of squares, mm.
const SQUARE_HEIGHT: f64 = 4.0;
/// Where the row begins and ends, as parts of the way from the lower left to the lower right mark. Parts instead of mm, so
/// that it can be found before the size of the chart is known.
pub const SQUARES_SPAN: (f64, f64) = (0.10, 0.55);
/// Widest spot, mm.
const SPOT_MAX: f64 = 16.0;
/// From the edge of the coat to the middle of a piece of bare paper, mm: a coat laid a little too large stays clear of it.
const BARE_OUT: f64 = 12.0;
/// Side of a piece of bare paper, mm.
const BARE_SIDE: f64 = 5.0;
/// Height of capitals of the label, and from line to line, mm.
pub const LABEL: (f64, f64) = (2.0, 3.0);
/// Ink code of the ground until a response says which one prints L* 55.
pub const GROUND_CODE: f64 = 0.30;
/// Lightness the ground should have on the print, L*: the middle of what a print reaches, so that stray light in a scanner
/// is much the same behind every patch.
pub const GROUND_LIGHTNESS: f64 = 55.0;

/// A rectangle in mm, from the upper left corner of the coat as the print shows it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Area {
    /// Left edge.
    pub x: f64,
    /// Upper edge.
    pub y: f64,
    /// Width.
    pub width: f64,
    /// Height.
    pub height: f64,
}

impl Area {
    /// Its middle.
    pub fn middle(&self) -> (f64, f64) {
        (self.x + self.width / 2.0, self.y + self.height / 2.0)
    }

    /// A rectangle around a middle.
    pub fn around((x, y): (f64, f64), width: f64, height: f64) -> Self {
        Self { x: x - width / 2.0, y: y - height / 2.0, width, height }
    }

    /// The middle part of it, `part` (0…1) of each side.
    #[must_use]
    pub fn inner(&self, part: f64) -> Self {
        Self::around(self.middle(), self.width * part, self.height * part)
    }
}

/// What a chart should be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChartSpec {
    /// How many patches.
    pub patches: Patches,
    /// Seed of the shuffle; it is printed on the chart.
    pub seed: u16,
    /// Width and height of the coat, mm; the chart lies on it whole.
    pub coat: (f64, f64),
    /// Ink code of the ground, 0.05…0.95.
    pub ground: f64,
}

impl ChartSpec {
    /// The usual chart of so many patches on its usual coat, until a response exists.
    pub fn usual(patches: Patches, seed: u16) -> Self {
        Self { patches, seed, coat: patches.usual_coat(), ground: GROUND_CODE }
    }

    /// Whether a chart can be laid out so; laying it out takes longer than a keystroke should.
    ///
    /// # Errors
    /// [`ChartError`] when the coat does not hold it or the ground makes no sense.
    pub fn check(&self) -> Result<(), ChartError> {
        let (width, height) = self.coat;
        if !(width > 0.0 && height > 0.0 && width <= COAT_MAX && height <= COAT_MAX) {
            return Err(ChartError::CoatTooLarge);
        }
        let (least_width, least_height) = self.patches.smallest_coat();
        if width < least_width || height < least_height {
            return Err(ChartError::CoatTooSmall(least_width, least_height));
        }
        if !(0.05..=0.95).contains(&self.ground) {
            return Err(ChartError::Ground(self.ground));
        }
        Ok(())
    }

    /// Area of the coat, cm².
    pub fn coat_cm2(&self) -> f64 {
        self.coat.0 * self.coat.1 / 100.0
    }
}

impl Patches {
    /// Smallest coat that holds the chart, width and height in mm.
    pub fn smallest_coat(self) -> (f64, f64) {
        let (columns, rows) = self.grid();
        let side = |n: usize| n as f64 * (PATCH_MIN + GAP) - GAP;
        ((side(columns) + 2.0 * EDGE).max(MIN_WIDTH), side(rows) + 2.0 * (EDGE + MARK + QUIET))
    }

    /// The coat of a usual sheet that holds it: 4 × 5 or 5 × 7 inches, lying, in mm.
    pub fn usual_coat(self) -> (f64, f64) {
        match self {
            Self::P41 | Self::P65 => (127.0, 101.6),
            Self::P114 => (177.8, 127.0),
        }
    }
}

/// Narrowest coat, mm: check bar and way-up mark have to lie between the upper marks.
const MIN_WIDTH: f64 = 2.0 * (EDGE + MARK + QUIET) + MARK / 2.0 + QUIET + BAR.0 + 4.0;

/// Why a chart cannot be laid out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ChartError {
    /// The coat does not hold the patches; width and height that do, mm.
    CoatTooSmall(f64, f64),
    /// The coat is larger than 1 m, or no number.
    CoatTooLarge,
    /// The ground is no ink code between 5 and 95 %.
    Ground(f64),
}

impl ChartError {
    /// The note for the page, about a field of that name.
    pub fn note(&self, field: &str) -> Note {
        let (text, mend) = match *self {
            Self::CoatTooSmall(w, h) => (
                "The coat does not hold so many patches of 8 mm.".to_owned(),
                format!("Coat at least {} × {} mm, or print fewer patches.", decimals(w, 0), decimals(h, 0)),
            ),
            Self::CoatTooLarge => (
                "The coat is larger than a chart can be, or not a number.".to_owned(),
                "Give both sides in mm, below 1000.".to_owned(),
            ),
            Self::Ground(c) => (
                if c.is_finite() {
                    format!("The ground of the chart has {} % ink.", decimals(100.0 * c, 0))
                } else {
                    "The ink of the chart's ground is not a number.".to_owned()
                },
                "Take between 5 and 95 %, best the ink that prints L* 55.".to_owned(),
            ),
        };
        Note::error(field, text, mend)
    }
}

/// One patch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Patch {
    /// Ink code, 0 clear film … 1 full ink.
    pub code: f64,
    /// Its level, from 0 = clear film.
    pub level: usize,
    /// Column of the field, from 0.
    pub column: usize,
    /// Row of the field, from 0.
    pub row: usize,
    /// Where it lies.
    pub area: Area,
}

/// A laid out tone chart.
#[derive(Clone, Debug, PartialEq)]
pub struct ChartPlan {
    /// What was asked for.
    pub spec: ChartSpec,
    /// The patches, row by row from the upper left.
    pub patches: Vec<Patch>,
    /// Middles of the corner marks: upper left, upper right, lower right, lower left.
    pub marks: [(f64, f64); 4],
    /// Side of a corner mark, mm.
    pub mark: f64,
    /// The way-up mark beside the upper left corner mark: a light square with a dark middle.
    pub way_up: Area,
    /// The row of squares; `true` is light.
    pub squares: Vec<(Area, bool)>,
    /// The spot that is covered with opaque tape; clear film under the tape, so that a forgotten tape is seen.
    pub masked: Area,
    /// A spot of clear film.
    pub clear: Area,
    /// The check bar of 50 mm.
    pub bar: Area,
    /// Room for two lines of label above the bar.
    pub label: Area,
}

impl ChartPlan {
    /// Lays a chart out.
    ///
    /// # Errors
    /// [`ChartError`] when the coat does not hold it or the ground makes no sense.
    pub fn new(spec: ChartSpec) -> Result<Self, ChartError> {
        spec.check()?;
        let (width, height) = spec.coat;
        let (left, right) = (EDGE + MARK / 2.0, width - EDGE - MARK / 2.0);
        let (top, bottom) = (EDGE + MARK / 2.0, height - EDGE - MARK / 2.0);
        let beside = EDGE + MARK + QUIET;
        let way_up = Area::around((beside + MARK / 4.0, top), MARK / 2.0, MARK / 2.0);
        let text = way_up.x + way_up.width + QUIET;
        let label = Area { x: text, y: EDGE, width: width - beside - text, height: LABEL.0 + LABEL.1 };
        let bar = Area { x: text, y: EDGE + MARK - BAR.1, width: BAR.0, height: BAR.1 };

        let span = right - left;
        let place = |part: f64| left + part * span;
        let (from, to) = SQUARES_SPAN;
        let step = (to - from) * span / SQUARES as f64;
        let identity = Identity { patches: spec.patches, seed: spec.seed };
        let squares = identity.squares().into_iter().enumerate().map(|(i, light)| {
            let x = place(from) + i as f64 * step;
            (Area { x, y: bottom - SQUARE_HEIGHT / 2.0, width: step, height: SQUARE_HEIGHT }, light)
        });
        let spots = (place(to) + QUIET, width - beside);
        let side = ((spots.1 - spots.0 - QUIET) / 2.0).min(SPOT_MAX);
        let spot = |n: f64| {
            let x = spots.1 - side - n * (side + QUIET);
            Area { x, y: height - EDGE - MARK, width: side, height: MARK }
        };
        Ok(Self {
            spec,
            patches: field(&spec),
            marks: [(left, top), (right, top), (right, bottom), (left, bottom)],
            mark: MARK,
            way_up,
            squares: squares.collect(),
            masked: spot(1.0),
            clear: spot(0.0),
            bar,
            label,
        })
    }

    /// Size and seed.
    pub fn identity(&self) -> Identity {
        Identity { patches: self.spec.patches, seed: self.spec.seed }
    }

    /// Ground between four patches: middles of small areas that show the coat's evenness.
    pub fn gaps(&self) -> Vec<Area> {
        let (columns, rows) = self.spec.patches.grid();
        let mut out = Vec::with_capacity((columns + 1) * (rows - 1));
        let (w, _, step) = cell(&self.spec);
        let (x0, y0) = (EDGE, EDGE + MARK + QUIET);
        // Along the middle of each horizontal gap, a third of a patch wide: far from the dark edge of either neighbour.
        for row in 1..rows {
            for column in 0..columns {
                let x = x0 + column as f64 * step.0 + w / 2.0;
                let y = y0 + row as f64 * step.1 - GAP / 2.0;
                out.push(Area::around((x, y), w / 3.0, GAP * 0.5));
            }
        }
        out
    }

    /// Pieces of bare paper around the coat, for the white of the paper and the evenness of a scanner. What does not lie
    /// in a picture is not read.
    pub fn bare(&self) -> Vec<Area> {
        let (width, height) = self.spec.coat;
        let mut out = Vec::new();
        let mut add = |x: f64, y: f64| out.push(Area::around((x, y), BARE_SIDE, BARE_SIDE));
        for i in 0..=8 {
            let part = f64::from(i) / 8.0;
            let x = -BARE_OUT + part * (width + 2.0 * BARE_OUT);
            add(x, -BARE_OUT);
            add(x, height + BARE_OUT);
        }
        for i in 1..6 {
            let y = -BARE_OUT + f64::from(i) / 6.0 * (height + 2.0 * BARE_OUT);
            add(-BARE_OUT, y);
            add(width + BARE_OUT, y);
        }
        out
    }
}

/// Width and height of a patch, and from patch to patch.
fn cell(spec: &ChartSpec) -> (f64, f64, (f64, f64)) {
    let (columns, rows) = spec.patches.grid();
    let (columns, rows) = (columns as f64, rows as f64);
    let w = (spec.coat.0 - 2.0 * EDGE - (columns - 1.0) * GAP) / columns;
    let h = (spec.coat.1 - 2.0 * (EDGE + MARK + QUIET) - (rows - 1.0) * GAP) / rows;
    (w, h, (w + GAP, h + GAP))
}

fn field(spec: &ChartSpec) -> Vec<Patch> {
    let (columns, _) = spec.patches.grid();
    let (width, height, step) = cell(spec);
    order::shuffled(spec.patches, spec.seed)
        .into_iter()
        .enumerate()
        .filter_map(|(i, level)| {
            let level = level?;
            let (column, row) = (i % columns, i / columns);
            let x = EDGE + column as f64 * step.0;
            let y = EDGE + MARK + QUIET + row as f64 * step.1;
            let area = Area { x, y, width, height };
            Some(Patch { code: spec.patches.code(level), level, column, row, area })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    fn parts(plan: &ChartPlan) -> Vec<Area> {
        let mut all: Vec<Area> = plan.patches.iter().map(|p| p.area).collect();
        all.extend(plan.marks.map(|m| Area::around(m, plan.mark, plan.mark)));
        all.extend([plan.way_up, plan.masked, plan.clear, plan.bar, plan.label]);
        let (first, last) = (plan.squares[0].0, plan.squares[SQUARES - 1].0);
        all.push(Area { width: last.x + last.width - first.x, ..first });
        all
    }

    #[test]
    fn nothing_touches_and_all_lies_on_the_coat() {
        for patches in Patches::ALL {
            for coat in [patches.smallest_coat(), patches.usual_coat(), (203.2, 254.0), (300.0, 200.0)] {
                let plan = ChartPlan::new(ChartSpec { coat, ..ChartSpec::usual(patches, 7) }).unwrap();
                assert_eq!(plan.patches.len(), patches.count());
                let all = parts(&plan);
                for (i, a) in all.iter().enumerate() {
                    let inside = a.x >= EDGE - 1e-9
                        && a.y >= EDGE - 1e-9
                        && a.x + a.width <= coat.0 - EDGE + 1e-9
                        && a.y + a.height <= coat.1 - EDGE + 1e-9;
                    assert!(inside, "{coat:?} {a:?}");
                    for b in &all[i + 1..] {
                        let apart = |p: f64, pw: f64, q: f64, qw: f64| p + pw < q - 0.4 || q + qw < p - 0.4;
                        assert!(
                            apart(a.x, a.width, b.x, b.width) || apart(a.y, a.height, b.y, b.height),
                            "{coat:?} {a:?} {b:?}"
                        );
                    }
                }
                for p in &plan.patches {
                    assert!(p.area.width > PATCH_MIN - 1e-9 && p.area.height > PATCH_MIN - 1e-9);
                }
                // A gap that is measured lies in no patch.
                for gap in plan.gaps() {
                    let (x, y) = gap.middle();
                    assert!(plan.patches.iter().all(|p| {
                        let a = p.area;
                        x < a.x || x > a.x + a.width || y < a.y - 0.1 || y > a.y + a.height + 0.1
                    }));
                }
                for bare in plan.bare() {
                    let (x, y) = bare.middle();
                    assert!(
                        x < -BARE_SIDE || y < -BARE_SIDE || x > coat.0 + BARE_SIDE || y > coat.1 + BARE_SIDE
                    );
                }
            }
        }
    }

    #[test]
    fn usual_coats_hold_their_charts_and_41_fits_on_four_by_five() {
        for patches in Patches::ALL {
            let (w, h) = patches.smallest_coat();
            let (uw, uh) = patches.usual_coat();
            assert!(w <= uw && h <= uh, "{patches:?} {w} {h}");
        }
        assert_eq!(Patches::P41.usual_coat(), (5.0 * 25.4, 4.0 * 25.4));
        assert!((ChartSpec::usual(Patches::P41, 1).coat_cm2() - 129.032).abs() < 1e-9);
    }

    #[test]
    fn odd_wishes_are_refused_with_a_mend() {
        let usual = ChartSpec::usual(Patches::P114, 3);
        for (spec, expected) in [
            (
                ChartSpec { coat: (127.0, 101.6), ..usual },
                "Coat at least 138 × 118 mm, or print fewer patches.",
            ),
            (ChartSpec { coat: (f64::NAN, 100.0), ..usual }, "Give both sides in mm, below 1000."),
            (ChartSpec { coat: (5000.0, 100.0), ..usual }, "Give both sides in mm, below 1000."),
            (ChartSpec { ground: 0.0, ..usual }, "Take between 5 and 95 %, best the ink that prints L* 55."),
            (
                ChartSpec { ground: f64::NAN, ..usual },
                "Take between 5 and 95 %, best the ink that prints L* 55.",
            ),
        ] {
            let note = ChartPlan::new(spec).unwrap_err().note("coat");
            assert_eq!(note.mend, expected);
            assert!(!note.text.is_empty());
        }
    }
}
