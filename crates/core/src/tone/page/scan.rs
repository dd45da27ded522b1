//! The part of the tone station that reads a chart back from a scan or a photograph: how it is to be read, what was
//! found, and what becomes readings of it.

use crate::entry::Range;
use crate::fields;
use crate::negative::PictureFacts;
use crate::note::Note;
use crate::show::Units;
use crate::station::Scene;
use crate::svg::Svg;
use crate::tone::chart_plan::{ChartPlan, ChartSpec, Identity};
use crate::tone::table::number;

/// Odd patches that are named one by one.
const NAMED: usize = 12;
/// L* a reading may have.
const LIGHTNESS: Range = Range { low: 0.0, high: 105.0 };
/// What each bit of a patch's remarks says, and whether the patch is left out for it.
pub(super) const ODD: [(u8, &str, bool); 5] = [
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
    /// The scanner's shading from a scan of blank paper: ten numbers; empty: from the paper around the chart.
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
    /// From mm of the chart to pixels of the picture, row by row.
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
    /// What was read of each patch, as it lies on the picture; see [`ScanFound::outlined`].
    pub outlines: Vec<Vec<(f64, f64)>>,
}

impl ScanFound {
    /// The same with its outlines: once a reading, because the chart has to be laid out for them.
    #[must_use]
    pub fn outlined(self) -> Self {
        Self { outlines: outlines(&self), ..self }
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

/// Numbers parted by anything but what is part of a number; `None` if one of them is none.
fn numbers(text: &str) -> Option<Vec<f64>> {
    // A comma between digits may be a decimal comma only where something else parts the numbers.
    let blanks = text.split([';', ' ', '\t', '\n', '\r']).filter(|t| !t.is_empty());
    let cells: Vec<&str> = if text.contains([';', ' ', '\t', '\n']) {
        blanks.map(|t| t.trim_end_matches(',')).collect()
    } else {
        text.split(',').map(str::trim).filter(|t| !t.is_empty()).collect()
    };
    cells.into_iter().map(|cell| number(cell).ok()).collect()
}

/// Four corners as typed or tapped.
fn corners(name: &str, what: &str, text: &str, notes: &mut Vec<Note>) -> Option<Vec<f64>> {
    if text.trim().is_empty() {
        return Some(Vec::new());
    }
    match numbers(text) {
        Some(all) if all.len() == 8 => Some(all),
        found => {
            let n = found.map_or(0, |all| all.len() / 2);
            notes.push(Note::error(
                name,
                format!("{what} has {n} of its four corners."),
                "Tap upper left, upper right, lower right, lower left; or clear the field and begin again.",
            ));
            None
        }
    }
}

fn other(ask: &Ask, notes: &mut Vec<Note>) -> Option<OtherChart> {
    let side = Range { low: 1.0, high: 200.0 };
    let columns =
        crate::entry::number("scan.columns", "The number of columns", &ask.columns, side, &[], notes);
    let rows = crate::entry::number("scan.rows", "The number of rows", &ask.rows, side, &[], notes);
    let (columns, rows) = (columns?, rows?);
    let bad = |text: String, mend: &str| Note::error("scan.numbers", text, mend);
    let Some(all) = numbers(&ask.numbers) else {
        notes.push(bad("One of the chart's numbers is no number.".into(), "Give one number a patch."));
        return None;
    };
    // Percent, unless a number says that the scale is that of 8-bit grey.
    let full = if all.iter().any(|x| *x > 100.0) { 255.0 } else { 100.0 };
    if all.is_empty() || all.iter().any(|x| !(0.0..=full).contains(x)) {
        notes.push(bad(
            format!("The chart's numbers do not lie between 0 and {full}."),
            "Give percent, or grey from 0 to 255.",
        ));
        return None;
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "1 to 200")]
    let (columns, rows) = (columns.round() as u32, rows.round() as u32);
    if all.len() > (columns * rows) as usize {
        notes.push(bad(
            format!("{} numbers do not fit into {columns} × {rows} patches.", all.len()),
            "Count columns, rows and numbers again.",
        ));
        return None;
    }
    let code =
        |x: f64| if ask.meaning == "ink" || ask.meaning == "positive" { x / full } else { 1.0 - x / full };
    let codes = all.into_iter().map(code).collect();
    Some(OtherChart { columns, rows, order: ask.order.parse().unwrap_or(0).min(3), codes })
}

/// How the scan is to be read, or what keeps it from being read.
pub(super) fn wish(ask: &Ask, chart: &super::chart::Ask, scene: &Scene<'_>) -> Result<ScanWish, Vec<Note>> {
    let mut notes = Vec::new();
    let (light, gamma) = match ask.light.as_str() {
        "linear" => ("linear", 1.0),
        "gamma18" => ("gamma", 1.8),
        "gamma22" => ("gamma", 2.2),
        "srgb" => ("srgb", 2.2),
        _ => ("file", 2.2),
    };
    let shading = numbers(&ask.shading).unwrap_or_default();
    let mut wish = ScanWish { light, gamma, shading, ..ScanWish::default() };
    let what = if ask.kind == "other" { "The chart" } else { "The chart's marks" };
    wish.marks = corners("scan.marks", what, &ask.marks, &mut notes).unwrap_or_default();
    if ask.kind == "other" {
        // Without its corners the picture is only opened; they are asked for when it can be seen.
        if let Some(other) = other(ask, &mut notes).filter(|_| !wish.marks.is_empty()) {
            wish.wanted = Wanted::Other(other);
        }
    } else {
        let named = Identity::parse(&ask.name);
        if named.is_none() && !ask.name.trim().is_empty() {
            notes.push(Note::error(
                "scan.name",
                "That is no name of a tone chart.",
                "It stands on the film, such as 41-777; leave the field empty to have it read from the squares.",
            ));
        }
        if let Some(coat) = super::chart::coat(chart, scene, &mut notes) {
            wish.wanted = Wanted::Own { named, coat };
        }
    }
    match ask.known.as_str() {
        "ends" => {
            let mut one =
                |name, label, text| crate::entry::number(name, label, text, LIGHTNESS, &[], &mut notes);
            let paper = one("scan.paper", "L* of the bare paper", &ask.paper);
            let black = one("scan.black", "L* of clear film", &ask.black);
            if let (Some(paper), Some(black)) = (paper, black) {
                wish.anchors = vec![paper, black];
            }
        }
        "scale" => {
            wish.scale = corners("scan.scale", "The grey scale", &ask.scale, &mut notes).unwrap_or_default();
            match numbers(&ask.densities) {
                Some(all) if all.len() >= 3 => wish.densities = all,
                _ => notes.push(Note::error(
                    "scan.densities",
                    "The grey scale needs the densities of at least three steps.",
                    "Type them in order, from the end where its first corner is.",
                )),
            }
            if wish.scale.is_empty() {
                // Without its corners it cannot be found yet; the picture is read by what the file says.
                wish.densities.clear();
            }
        }
        _ => {}
    }
    if notes.is_empty() { Ok(wish) } else { Err(notes) }
}

/// What is shown.
pub(super) fn answer(
    ask: &Ask,
    chart: &super::chart::Ask,
    typed: &str,
    scene: &Scene<'_>,
    notes: &mut Vec<Note>,
) -> View {
    let units = scene.units();
    let mut view = View {
        own: ask.kind != "other",
        other: ask.kind == "other",
        ends: ask.known == "ends",
        by_scale: ask.known == "scale",
        shaded: !ask.shading.is_empty(),
        can_add: !typed.trim().is_empty(),
        ..View::default()
    };
    let Some(scan) = &scene.device.scan else { return view };
    let facts = &scan.facts;
    view.open = true;
    // A picture without a profile is shown as sRGB, but a scan without one says nothing.
    let profile =
        if facts.profile.contains("none embedded") { "no profile embedded" } else { &facts.profile };
    view.picture =
        format!("{}: {} × {} px, {} bit, {profile}", facts.name, facts.width, facts.height, facts.bits);
    view.overlay = overlay(ask, scan);
    let Some(found) = &scan.found else { return view };
    view.found = true;
    if !found.says_light && ask.light == "file" && found.claim == "order" {
        notes.push(Note::warning(
            "scan.light",
            "This file does not say how its numbers become light.",
            "Choose what the scanner wrote, or lay a grey scale beside the chart, and read it again.",
        ));
    }
    view.fresh = read_as_typed(ask, chart, found, scene);
    view.stale = if !view.fresh {
        "Something was changed since: read it again before these readings are taken.".into()
    } else if view.by_scale && ask.scale.trim().is_empty() {
        "Place the four corners of the grey scale on the picture and read it again.".into()
    } else {
        String::new()
    };
    let name = if found.name.is_empty() { "The chart".to_owned() } else { format!("Chart {}", found.name) };
    view.title =
        format!("{name}: {} patches read, {} px a mm", found.lightness.len(), units.number(found.scale, 1));
    view.claim = claim(found, units);
    view.spots = spots(found, units);
    view.odd = odd(found, units);
    view
}

/// Whether the scan would be read again just as it was.
fn read_as_typed(ask: &Ask, chart: &super::chart::Ask, found: &ScanFound, scene: &Scene<'_>) -> bool {
    let Ok(mut now) = wish(ask, chart, scene) else { return false };
    // The squares named the chart where the printer did not.
    if let (Wanted::Own { named: now, .. }, Wanted::Own { named: then, .. }) =
        (&mut now.wanted, &found.wish.wanted)
    {
        *now = now.or(*then);
    }
    now == found.wish
}

fn claim(found: &ScanFound, units: Units) -> String {
    let band = units.number(found.half_width, 1);
    match found.claim.as_str() {
        "grey-scale" => format!("L* by the grey scale in the picture, ± {band}"),
        "anchors" => format!("L* between paper and black as given, ± {band} between them"),
        "file" => format!(
            "L* as the file says ({}), ± {band}; stray light in the scanner is not known",
            found.profile
        ),
        _ => "Only the order of the patches is certain: the file does not say how its numbers become light"
            .into(),
    }
}

fn spots(found: &ScanFound, units: Units) -> String {
    let named = ["masked spot", "clear film", "bare paper"].into_iter().zip(found.spots);
    let all: Vec<String> =
        named.filter_map(|(name, l)| l.map(|l| format!("{name} L* {}", units.number(l, 1)))).collect();
    all.join(", ")
}

fn odd(found: &ScanFound, units: Units) -> Vec<OddRow> {
    let mut rows: Vec<OddRow> = found.remarks.iter().map(|text| OddRow { text: text.clone() }).collect();
    let mut more = 0;
    for (i, (flags, code)) in found.flags.iter().zip(&found.codes).enumerate() {
        let why: Vec<&str> =
            ODD.iter().filter(|(bit, ..)| flags & bit != 0).map(|(_, why, _)| *why).collect();
        if why.is_empty() {
            continue;
        }
        if rows.len() < NAMED {
            let text =
                format!("Patch {} ({} % ink): {}", i + 1, units.number(100.0 * code, 0), why.join("; "));
            rows.push(OddRow { text });
        } else {
            more += 1;
        }
    }
    if more > 0 {
        rows.push(OddRow { text: format!("{more} more patches are odd in the same ways.") });
    }
    rows
}

/// Outlines of what was read, or of the corners placed so far, in pixels of the picture.
fn overlay(ask: &Ask, scan: &ScanInHand) -> String {
    let (width, height) = (f64::from(scan.facts.width.max(1)), f64::from(scan.facts.height.max(1)));
    let (title, words) = match &scan.found {
        Some(found) => {
            ("What was read", format!("{} patches outlined on the picture.", found.lightness.len()))
        }
        None => ("The picture", "No chart read in it yet.".into()),
    };
    let mut svg = Svg::new("tone-scan", [0.0, 0.0, width, height], title, &words);
    if let Some(found) = &scan.found {
        for quad in &found.outlines {
            svg.polygon(quad, "outline");
        }
    }
    let dot = width.max(height) / 120.0;
    let used = scan.found.as_ref().map(|f| f.marks.clone()).filter(|m| !m.is_empty());
    for (placed, class) in [
        (used.or_else(|| numbers(&ask.marks)).unwrap_or_default(), "corner"),
        (numbers(&ask.scale).unwrap_or_default(), "corner-scale"),
    ] {
        for corner in placed.chunks_exact(2) {
            svg.circle(corner[0], corner[1], dot, class);
        }
    }
    svg.finish()
}

/// The plan of the chart that was found; `None` for another make.
pub(super) fn plan(found: &ScanFound) -> Option<ChartPlan> {
    let identity = Identity::parse(&found.name)?;
    let spec = ChartSpec { coat: found.coat, ..ChartSpec::usual(identity.patches, identity.seed) };
    ChartPlan::new(spec).ok()
}

/// What was read of each patch, as it lies on the picture.
fn outlines(found: &ScanFound) -> Vec<Vec<(f64, f64)>> {
    let (Some(plan), Ok(map)) = (plan(found), <[f64; 9]>::try_from(found.map.as_slice())) else {
        return Vec::new();
    };
    let place = |(x, y): (f64, f64)| {
        let w = map[6] * x + map[7] * y + map[8];
        ((map[0] * x + map[1] * y + map[2]) / w, (map[3] * x + map[4] * y + map[5]) / w)
    };
    plan.patches
        .iter()
        .map(|patch| {
            let a = patch.area.inner(0.6);
            [(a.x, a.y), (a.x + a.width, a.y), (a.x + a.width, a.y + a.height), (a.x, a.y + a.height)]
                .map(place)
                .to_vec()
        })
        .collect()
}
