//! From a scan of our own chart to one reading a patch.

use super::area::{self, ALL, AreaReading, BLOCKS, flag};
use super::frame::{self, Frame};
use super::grid::Grid;
use super::size;
use sorrel_core::scan::Meaning;
use sorrel_core::scan::Surface;
use sorrel_core::scan::ordered::{ascending, median, median_of_ordered};
use sorrel_core::scan::tones::{Anchors, Claim, Tones, light, order_agreement, value};
use sorrel_core::scan::{Homography, Point};
use sorrel_core::scan::{Refusal, Remark};
use sorrel_core::tone::chart_plan::{Area, ChartPlan, Identity};
use sorrel_imaging::reduced::Reduced;

/// Part of a patch's side that is read: its middle 60 %.
const INNER: f64 = 0.6;
/// Pixels below which a patch is not read at all.
const FEWEST_PIXELS: usize = 60;
/// A block of a patch is left out when it is off by this many times the usual scatter of blocks …
const OFF: f64 = 5.0;
/// … and by this part of the scale (0.2 L*).
const OFF_FLOOR: f64 = 0.002;
/// Sound blocks a patch must have to be read without the others; with fewer it is marked as rough.
const SOUND: u32 = 10;
/// A patch is rough, too, when its pixels scatter this many times as much as usual …
const ROUGH: f64 = 3.0;
/// … and by this part of the scale (0.4 L*), so that a noiseless scan has no rough patches.
const ROUGH_FLOOR: f64 = 0.004;
/// L* by which the spot of clear film may be lighter than the black patches; coats differ by less across a sheet.
const FAR_FROM_BLACK: f64 = 12.0;
/// A masked spot whose blocks differ by more than this part of the scale (4 L*) was covered in part only.
const PARTLY: f64 = 0.04;
/// Bare paper may be this much darker, in light, than most of it, before it is taken for coat or shadow.
const PAPER: f64 = 0.92;
/// Order agreement between codes and lightness that a chart without readable squares must show.
const FOLLOWS: f64 = 0.75;
/// L* of black outside which the answer about the file's light is doubted: no platinum print is blacker than the first
/// (density 1.9), none that is worth calibrating lighter than the second (common practice, no source).
const BELIEVABLE_BLACK: (f64, f64) = (12.0, 48.0);

/// What is known about lightness in the picture.
#[derive(Clone, Copy, Debug, Default)]
pub enum Known<'a> {
    /// What the file says, or nothing.
    #[default]
    File,
    /// A grey scale that lies in the same picture, corners in pixels of the file, and the densities of its steps.
    GreyScale(&'a Grid, &'a [f64]),
    /// L* of the bare paper and of clear film, read elsewhere.
    PaperAndBlack(f64, f64),
    /// Tones of an earlier scan on the same scanner with the same settings.
    Tones(&'a Tones),
}

/// What is to be done with a scan.
#[derive(Clone, Copy, Debug)]
pub struct ChartAsk<'a> {
    /// The chart that was printed.
    pub plan: &'a ChartPlan,
    /// Corner marks placed by hand (upper left, upper right, lower right, lower left of the chart), in pixels of the file.
    pub corners: Option<[Point; 4]>,
    /// What lightness is measured against.
    pub known: Known<'a>,
    /// Shading of the scanner from a blank scan of the same size; `None`: from the bare paper around the chart, where
    /// there is enough of it.
    pub blank: Option<Surface>,
}

/// One patch, read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PatchReading {
    /// Number of the patch in the plan.
    pub index: usize,
    /// Its ink code.
    pub code: f64,
    /// Value in the scan, shading taken out, 0…1.
    pub value: f64,
    /// L*.
    pub lightness: f64,
    /// Standard deviation of a pixel, as a part of the scale.
    pub spread: f64,
    /// Pixels that were read.
    pub pixels: usize,
    /// Bits of [`flag`].
    pub flags: u8,
}

/// A chart, read.
#[derive(Clone, Debug)]
pub struct ChartScan {
    /// Where it was found; corners in pixels of the file.
    pub frame: Frame,
    /// From mm of the chart to pixels of the file, for an overlay.
    pub map: Homography,
    /// Pixels of the file per mm.
    pub scale: f64,
    /// Width and height of the coat, mm, as the size of the corner marks tells them; `None` where they cannot be measured.
    pub coat: Option<(f64, f64)>,
    /// All patches of the plan, in its order.
    pub patches: Vec<PatchReading>,
    /// L* of the masked spot, of clear film, of bare paper; `None` where it does not lie in the picture or is not right.
    pub spots: [Option<f64>; 3],
    /// L* of the ground between patches: x, y in mm, L*.
    pub ground: Vec<(f64, f64, f64)>,
    /// What the L* may claim.
    pub claim: Claim,
    /// What is odd.
    pub remarks: Vec<Remark>,
}

/// Finds a chart and says which one it is, before its plan is known.
///
/// # Errors
/// [`Refusal::NoMarks`], [`Refusal::Cropped`] or [`Refusal::TooSmall`].
pub fn identify(picture: &Reduced) -> Result<Option<Identity>, Refusal> {
    Ok(frame::find(picture, None)?.identity)
}

/// Reads a chart.
///
/// # Errors
/// A [`Refusal`] that names the culprit.
pub fn read_chart(picture: &Reduced, ask: &ChartAsk<'_>) -> Result<ChartScan, Refusal> {
    let plan = ask.plan;
    let factor = picture.factor as f64;
    let frame = match ask.corners {
        Some(given) => frame::by_hand(picture, Some(plan), given.map(|p| (p.0 / factor, p.1 / factor)))?,
        None => frame::find(picture, Some(plan))?,
    };
    if let Some(found) = frame.identity
        && found != plan.identity()
    {
        return Err(Refusal::OtherChart(found));
    }
    let map = Homography::new(&plan.marks, &frame.corners).ok_or(Refusal::Skewed)?;
    let back = map.inverse().ok_or(Refusal::Skewed)?;
    if !frame::evenly_seen(plan, &frame.corners) {
        return Err(Refusal::Skewed);
    }
    let mut remarks = Vec::new();
    if frame.mirrored {
        remarks.push(Remark::Mirrored);
    }
    if frame.guessed.is_some() {
        remarks.push(Remark::GuessedCorner);
    }
    let look = |area: Area| area::read(picture, &map, &back, area, ALL);

    let bare: Vec<AreaReading> = plan.bare().into_iter().filter_map(look).collect();
    let paper = paper_of(picture.meaning, &bare);
    let surface = ask.blank.or_else(|| {
        let points: Vec<_> = paper.iter().map(|(at, light)| (at.0, at.1, *light)).collect();
        Surface::fit(&points)
    });
    let middle = map.map((plan.spec.coat.0 / 2.0, plan.spec.coat.1 / 2.0));
    let shade = Shade::new(surface, middle, picture.meaning);
    if shade.surface.is_none() {
        remarks.push(Remark::NoShading);
    }

    let raw: Option<Vec<AreaReading>> = plan.patches.iter().map(|p| look(p.area.inner(INNER))).collect();
    let mut raw = raw.ok_or(Refusal::Cropped)?;
    if raw.iter().any(|r| r.pixels < FEWEST_PIXELS) {
        return Err(Refusal::TooSmall);
    }
    check_clipping(plan, &raw)?;
    let middle_of =
        |all: &[AreaReading], what: fn(&AreaReading) -> f64| median(all.iter().map(what)).unwrap_or(0.0);
    let tolerance = (OFF * middle_of(&raw, AreaReading::patchiness)).max(OFF_FLOOR);
    let sound: Vec<u32> = raw
        .iter_mut()
        .zip(&plan.patches)
        .map(|(reading, patch)| {
            let mask = reading.sound(tolerance);
            let sound = mask.count_ones();
            if mask != ALL
                && sound >= SOUND
                && let Some(again) = area::read(picture, &map, &back, patch.area.inner(INNER), mask)
            {
                *reading = again;
            }
            sound
        })
        .collect();
    let rough = (ROUGH * middle_of(&raw, |r| r.spread)).max(ROUGH_FLOOR);
    let white = mean(paper.iter().map(|(at, l)| value(picture.meaning, l / shade.at(*at))));
    let clear = raw.iter().zip(&plan.patches).filter(|(_, p)| p.code == 0.0).map(|(r, _)| shade.corrected(r));
    let (tones, turned) = tones_of(picture, ask, &shade, white, mean(clear))?;
    if turned {
        remarks.push(Remark::GreyScaleTurned);
    }
    let blocks = u32::try_from(BLOCKS).unwrap_or(u32::MAX);
    let patches: Vec<PatchReading> = raw
        .iter()
        .zip(&plan.patches)
        .enumerate()
        .map(|(index, (r, patch))| {
            let value = shade.corrected(r);
            let (lightness, beyond) = tones.lightness(value);
            let mut flags = r.flags(beyond);
            if r.spread > rough || sound[index] < SOUND {
                flags |= flag::ROUGH;
            } else if sound[index] < blocks {
                flags |= flag::CLEANED;
            }
            PatchReading {
                index,
                code: patch.code,
                value,
                lightness,
                spread: r.spread,
                pixels: r.pixels,
                flags,
            }
        })
        .collect();
    if patches.iter().any(|p| p.flags & flag::ROUGH != 0) {
        remarks.push(Remark::RoughPatches);
    }
    if frame.identity.is_none() {
        let (codes, lights): (Vec<f64>, Vec<f64>) = patches.iter().map(|p| (p.code, p.lightness)).unzip();
        if order_agreement(&codes, &lights) < FOLLOWS {
            return Err(Refusal::NotThisChart);
        }
        remarks.push(Remark::UnreadableSquares);
    }
    let black = mean(patches.iter().filter(|p| p.code == 0.0).map(|p| p.lightness));
    let mut claim = tones.claim();
    if claim == Claim::File && black.is_some_and(|b| !(BELIEVABLE_BLACK.0..=BELIEVABLE_BLACK.1).contains(&b))
    {
        remarks.push(Remark::DoubtfulLight);
        claim = Claim::Order;
    }
    let tone = |r: &AreaReading| tones.lightness(shade.corrected(r)).0;
    let under_tape = look(plan.masked.inner(INNER));
    let clear = look(plan.clear.inner(INNER)).map(|r| tone(&r));
    let mut masked = under_tape.as_ref().map(tone);
    if let (Some(c), Some(b)) = (clear, black)
        && c - b > FAR_FROM_BLACK
    {
        remarks.push(Remark::OffCoat);
        masked = None;
    } else if let (Some(m), Some(c)) = (masked, clear)
        && m - c < 5.0
    {
        remarks.push(Remark::NoTape);
        masked = None;
    } else if under_tape.is_some_and(|r| r.sound(tolerance.max(PARTLY)).count_ones() < SOUND) {
        remarks.push(Remark::TapeBeside);
        masked = None;
    }
    let bare = white.map(|w| tones.lightness(w).0);
    let ground = plan.gaps().into_iter().filter_map(|gap| {
        let (x, y) = gap.middle();
        look(gap).map(|r| (x, y, tones.lightness(shade.corrected(&r)).0))
    });
    let ground = ground.collect();
    let coat = size::coat(picture, plan, &map);
    let to_file = |p: Point| (p.0 * factor, p.1 * factor);
    let frame = Frame { corners: frame.corners.map(to_file), ..frame };
    let map = Homography::new(&plan.marks, &frame.corners).ok_or(Refusal::Skewed)?;
    let scale = map.scale_at((plan.spec.coat.0 / 2.0, plan.spec.coat.1 / 2.0));
    Ok(ChartScan { frame, map, scale, coat, patches, spots: [masked, clear, bare], ground, claim, remarks })
}

/// The tones to read by; the flag says that a grey scale was given from its other end.
fn tones_of(
    picture: &Reduced,
    ask: &ChartAsk<'_>,
    shade: &Shade,
    white: Option<f64>,
    clear: Option<f64>,
) -> Result<(Tones, bool), Refusal> {
    match ask.known {
        Known::File => Ok((Tones::File(picture.meaning), false)),
        Known::Tones(tones) => Ok((tones.clone(), false)),
        Known::PaperAndBlack(paper, black) => {
            let (Some(white), Some(clear)) = (white, clear) else { return Err(Refusal::Cropped) };
            let anchors = Anchors { black: (clear, black), white: (white, paper) };
            Ok((Tones::anchored(picture.meaning, anchors)?, false))
        }
        Known::GreyScale(grid, densities) => {
            let factor = picture.factor as f64;
            let grid = Grid { corners: grid.corners.map(|p| (p.0 / factor, p.1 / factor)), ..*grid };
            let steps = grid.read(picture, densities.len())?;
            let values: Vec<f64> = steps.iter().map(|s| shade.corrected(s)).collect();
            Tones::grey_scale(&values, densities)
        }
    }
}

fn mean(values: impl Iterator<Item = f64>) -> Option<f64> {
    let (mut n, mut sum) = (0.0, 0.0);
    for v in values {
        n += 1.0;
        sum += v;
    }
    (n > 0.0).then(|| sum / n)
}

/// A scan is refused when most of the lightest or most of the darkest patches are cut off.
fn check_clipping(plan: &ChartPlan, raw: &[AreaReading]) -> Result<(), Refusal> {
    for (code, refusal) in [(1.0, Refusal::WhiteClipped), (0.0, Refusal::BlackClipped)] {
        let ends = plan.patches.iter().zip(raw).filter(|(p, _)| p.code == code);
        let (all, cut) = ends.fold((0, 0), |(n, k), (_, r)| (n + 1, k + usize::from(r.clipped > 0.5)));
        if 2 * cut > all {
            return Err(refusal);
        }
    }
    Ok(())
}

/// The places that are bare paper: light as most of them are, and even. (place, light)
fn paper_of(meaning: Meaning, bare: &[AreaReading]) -> Vec<(Point, f64)> {
    let mut lights: Vec<f64> = bare.iter().map(|b| light(meaning, b.value)).collect();
    ascending(&mut lights);
    // The upper quarter is paper if anything is: coat, shadow and the scanner's lid are darker, or the lid a little lighter.
    let Some(usual) = lights.get(lights.len() * 2 / 3).copied() else { return Vec::new() };
    bare.iter()
        .map(|b| (b, light(meaning, b.value)))
        .filter(|(b, l)| *l > PAPER * usual && *l < usual / PAPER && b.clipped < area::CLIPPED)
        .map(|(b, l)| (b.at, l))
        .collect()
}

/// The scanner's shading as a factor, 1 in the middle of the chart.
pub(super) struct Shade {
    surface: Option<Surface>,
    middle: f64,
    meaning: Meaning,
}

impl Shade {
    pub(super) fn new(surface: Option<Surface>, middle: Point, meaning: Meaning) -> Self {
        let there = surface.map_or(1.0, |s| s.at(middle));
        let surface = surface.filter(|_| there > 0.0);
        Self { surface, middle: there, meaning }
    }

    fn at(&self, place: Point) -> f64 {
        let factor = self.surface.map_or(1.0, |s| s.at(place) / self.middle);
        if (0.5..2.0).contains(&factor) { factor } else { 1.0 }
    }

    pub(super) fn corrected(&self, reading: &AreaReading) -> f64 {
        value(self.meaning, light(self.meaning, reading.value) / self.at(reading.at))
    }
}

/// The shading of a scanner from a scan of blank paper, for charts scanned at the same place and size: a surface over
/// pixels of the reduced picture. `None` when it is too uneven to be blank.
pub fn blank(picture: &Reduced) -> Option<Surface> {
    let mut points = Vec::new();
    let (w, h) = (picture.width, picture.height);
    // Blocks of a 24 × 24 grid, without the outermost, where the paper may end.
    for j in 1..23 {
        for i in 1..23 {
            let (x, y) = (i * w / 24, j * h / 24);
            let mut values: Vec<f64> = Vec::new();
            for row in y..y + (h / 24).max(1) {
                let part = picture.part(row, x, (x + (w / 24).max(1)).min(w));
                values.extend(part.iter().step_by(3).map(|v| f64::from(*v) / 65_535.0));
            }
            ascending(&mut values);
            let middle = median_of_ordered(&values)?;
            let at = (x as f64 + w as f64 / 48.0, y as f64 + h as f64 / 48.0);
            points.push((at.0, at.1, light(picture.meaning, middle)));
        }
    }
    let surface = Surface::fit(&points)?;
    let mut off: Vec<f64> = points.iter().map(|p| (p.2 / surface.at((p.0, p.1)) - 1.0).abs()).collect();
    ascending(&mut off);
    (off[off.len() * 9 / 10] < 0.03).then_some(surface)
}
