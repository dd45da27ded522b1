//! What the page asks of a scan, from plain data to plain data.

use super::area::AreaReading;
use super::grid::Grid;
use super::read::{ChartAsk, ChartScan, Known, Shade, blank, identify, read_chart};
use crate::chart::ask::plan;
use sorrel_core::scan::tones::{Anchors, Claim, Tones};
use sorrel_core::scan::{Homography, Meaning, Order, Point, Refusal, Remark, Surface};
use sorrel_core::tone::chart_plan::layout::GROUND_CODE;
use sorrel_imaging::fault::Fault;
use sorrel_imaging::film::Progress;
use sorrel_imaging::job::{Field, ScanAsk, ScanDone};
use sorrel_imaging::reduced::Reduced;
use sorrel_imaging::source::{Encoding, Picture};

/// Exponents that a scanner or a camera may use.
const GAMMA: core::ops::RangeInclusive<f64> = 0.5..=4.0;
/// Part by which the sides of a blank scan may differ from those of the chart's: a frame drawn twice by hand.
const SAME_SIZE: f64 = 0.02;

/// Reads what is asked for.
///
/// # Errors
/// Whatever opening meets, and each [`Refusal`] as a fault.
pub fn read(picture: Picture<'_>, ask: &ScanAsk, progress: Progress<'_>) -> Result<ScanDone, Fault> {
    let says_light = picture.says_light();
    if ask.light == "gamma" && !GAMMA.contains(&ask.gamma) {
        return Err(Fault::caller(
            "The gamma of the scan makes no sense.",
            "Give the scanner's setting, usually 1.8 or 2.2.",
        ));
    }
    let encoding = match ask.light.as_str() {
        "linear" => Some(Encoding::Linear),
        "srgb" => Some(Encoding::Srgb),
        "gamma" => Some(Encoding::Gamma(ask.gamma)),
        // Nothing is known about light: nothing is guessed.
        _ if !says_light => Some(Encoding::Code),
        _ => None,
    };
    let meaning = if encoding == Some(Encoding::Code) { Meaning::Code } else { Meaning::Lightness };
    let picture = match encoding {
        Some(encoding) => picture.encoded(encoding),
        None => picture,
    };
    let profile = if meaning == Meaning::Code { String::new() } else { picture.facts().profile.clone() };
    let scan = Reduced::read(picture.into_rows()?, meaning, progress)?;
    let done = match ask.what.as_str() {
        "name" => {
            let name = identify(&scan)?.map_or_else(String::new, |i| i.text());
            ScanDone { name, ..ScanDone::default() }
        }
        "blank" => {
            let surface = blank(&scan).ok_or_else(|| {
                Fault::file(
                    "This scan is not of blank paper.",
                    "Scan a white sheet alone, at the size of the chart's scan.",
                )
            })?;
            ScanDone { shading: flat(&surface, &scan), ..ScanDone::default() }
        }
        "field" => field(&scan, ask)?,
        _ => chart(&scan, ask)?,
    };
    Ok(ScanDone { says_light, profile, ..done })
}

fn chart(scan: &Reduced, ask: &ScanAsk) -> Result<ScanDone, Fault> {
    let plan = plan(ask.patches, ask.seed, (ask.width_mm, ask.height_mm), GROUND_CODE)?;
    let grid = grid_of(&ask.grey_scale);
    let corners = if ask.marks.is_empty() { None } else { Some(points(&ask.marks).ok_or(Refusal::Skewed)?) };
    let known = known(ask, grid.as_ref());
    let (blank, other_blank) = surface(&ask.shading, scan);
    let read = read_chart(scan, &ChartAsk { plan: &plan, corners, known, blank })?;
    let mut out = done(&read);
    out.remarks.extend(other_blank.then_some(Remark::OtherBlank.code()));
    Ok(out)
}

fn done(read: &ChartScan) -> ScanDone {
    let [masked, clear, paper] = read.spots;
    let mut out = ScanDone {
        name: read.frame.identity.map_or_else(String::new, |i| i.text()),
        marks: read.frame.corners.iter().flat_map(|p| [p.0, p.1]).collect(),
        map: read.map.0.to_vec(),
        scale: read.scale,
        coat: read.coat.map_or_else(Vec::new, |(w, h)| vec![w, h]),
        turns: read.frame.turns(),
        masked,
        clear,
        paper,
        ground: read.ground.iter().flat_map(|g| [g.0, g.1, g.2]).collect(),
        remarks: read.remarks.iter().map(|r| r.code()).collect(),
        ..ScanDone::default()
    };
    claim(&mut out, read.claim);
    for p in &read.patches {
        out.codes.push(p.code);
        out.values.push(p.value);
        out.lightness.push(p.lightness);
        out.spread.push(p.spread);
        out.flags.push(p.flags);
    }
    out
}

fn claim(out: &mut ScanDone, claim: Claim) {
    out.half_width = claim.half_width();
    out.claim = match claim {
        Claim::GreyScale => "grey-scale",
        Claim::Anchors => "anchors",
        Claim::File => "file",
        Claim::Order => "order",
    }
    .to_owned();
}

/// Any other chart.
fn field(scan: &Reduced, ask: &ScanAsk) -> Result<ScanDone, Fault> {
    let factor = scan.factor as f64;
    let to_reduced = |g: Grid| Grid { corners: g.corners.map(|p| (p.0 / factor, p.1 / factor)), ..g };
    let grid = to_reduced(grid_of(&ask.field).ok_or(Refusal::Counts)?);
    let patches = grid.read(scan, ask.count as usize)?;
    let (blank, other_blank) = surface(&ask.shading, scan);
    let shade = Shade::new(blank, grid.corners[0], scan.meaning);
    let values: Vec<f64> = patches.iter().map(|p| shade.corrected(p)).collect();
    let grey = grid_of(&ask.grey_scale).map(to_reduced);
    let mut turned = false;
    let tones = match known(ask, grey.as_ref()) {
        Known::GreyScale(grid, densities) => {
            let steps: Vec<AreaReading> = grid.read(scan, densities.len())?;
            let values: Vec<f64> = steps.iter().map(|s| shade.corrected(s)).collect();
            let (tones, other_end) = Tones::grey_scale(&values, densities)?;
            turned = other_end;
            tones
        }
        Known::PaperAndBlack(paper, black) => {
            let low = values.iter().copied().fold(f64::INFINITY, f64::min);
            let high = values.iter().copied().fold(0.0, f64::max);
            Tones::anchored(scan.meaning, Anchors { black: (low, black), white: (high, paper) })?
        }
        _ => Tones::File(scan.meaning),
    };
    // Of the spot's four fields each is read by itself, so that their spread is known.
    let spot = points(&ask.masked).map(|corners| to_reduced(Grid { corners, columns: 2, rows: 2, ..grid }));
    let white = spot.map_or(Ok(Vec::new()), |spot| spot.read(scan, 4))?;
    let mut out = ScanDone {
        white: white.iter().map(|p| tones.lightness(shade.corrected(p)).0).collect(),
        lightness: values.iter().map(|v| tones.lightness(*v).0).collect(),
        spread: patches.iter().map(|p| p.spread).collect(),
        flags: patches.iter().zip(&values).map(|(p, v)| p.flags(tones.lightness(*v).1)).collect(),
        values,
        map: grid.map().map_or_else(Vec::new, |map| in_file(&map, factor)),
        ..ScanDone::default()
    };
    let remarks = [(turned, Remark::GreyScaleTurned), (other_blank, Remark::OtherBlank)];
    out.remarks = remarks.iter().filter(|(there, _)| *there).map(|(_, r)| r.code()).collect();
    claim(&mut out, tones.claim());
    Ok(out)
}

fn known<'a>(ask: &'a ScanAsk, grid: Option<&'a Grid>) -> Known<'a> {
    match (grid, ask.anchors.as_slice()) {
        (Some(grid), _) if !ask.densities.is_empty() => Known::GreyScale(grid, &ask.densities),
        (_, [paper, black]) => Known::PaperAndBlack(*paper, *black),
        _ => Known::File,
    }
}

fn grid_of(field: &Field) -> Option<Grid> {
    let order = Order::from_number(field.order);
    let corners = points(&field.corners)?;
    (field.columns > 0).then_some(Grid {
        corners,
        columns: field.columns as usize,
        rows: field.rows as usize,
        order,
    })
}

fn points(numbers: &[f64]) -> Option<[Point; 4]> {
    let pairs: [f64; 8] = numbers.try_into().ok()?;
    Some(core::array::from_fn(|i| (pairs[2 * i], pairs[2 * i + 1])))
}

/// The map of a field to the pixels of the file.
fn in_file(map: &Homography, factor: f64) -> Vec<f64> {
    map.0.iter().enumerate().map(|(i, v)| if i < 6 { v * factor } else { *v }).collect()
}

/// A surface as thirteen numbers: its own ten, places as parts of the picture's width; then what it was read from: width
/// and height in pixels of the file, and whether its values are light (1) or plain code (0).
fn flat(surface: &Surface, scan: &Reduced) -> Vec<f64> {
    let width = scan.width as f64;
    let places = [surface.middle.0, surface.middle.1, surface.half.0, surface.half.1];
    let places = places.map(|p| p / width);
    surface.terms.into_iter().chain(places).chain(read_from(scan)).collect()
}

fn read_from(scan: &Reduced) -> [f64; 3] {
    let size = |n: usize| (n * scan.factor) as f64;
    [size(scan.width), size(scan.height), f64::from(u8::from(scan.meaning == Meaning::Lightness))]
}

/// The surface of a blank scan for this scan, and whether there is one that does not suit it: its factors hold for the
/// same part of the glass, and for values of one kind.
fn surface(numbers: &[f64], scan: &Reduced) -> (Option<Surface>, bool) {
    let Some(([a, b, c, d, e, f, x, y, u, v], from)) = numbers.split_first_chunk::<10>() else {
        return (None, false);
    };
    let near = |(a, b): (&f64, f64)| (a - b).abs() <= SAME_SIZE * b;
    if !from.iter().zip(read_from(scan)).all(near) {
        return (None, true);
    }
    let width = scan.width as f64;
    let sound = numbers.iter().all(|n| n.is_finite()) && *u > 0.0 && *v > 0.0;
    let surface = sound.then_some(Surface {
        terms: [*a, *b, *c, *d, *e, *f],
        middle: (x * width, y * width),
        half: (u * width, v * width),
    });
    (surface, false)
}
