//! What is shown of a scan in hand: what was read, what is odd about it, and where on the picture it lies.

use super::wish::{numbers, wish};
use super::{Ask, ODD, OddRow, ScanFound, ScanInHand, View, Wanted};
use crate::note::Note;
use crate::quantity::Length;
use crate::scan::Order;
use crate::scan::order::INNER;
use crate::scan::tones::order_agreement;
use crate::show::Units;
use crate::station::Scene;
use crate::svg::Svg;
use crate::tone::chart_plan::{Area, ChartPlan, ChartSpec, Identity};

/// Odd patches that are named one by one.
const NAMED: usize = 12;
/// Part by which the coat may differ from what the marks say: the marks are measured to a fortieth, and a chart laid out
/// for a coat that is off by less is still read inside its patches.
const OTHER_COAT: f64 = 0.08;
/// Agreement in order between numbers and lightness below which a chart of another make was misread.
const FOLLOWS: f64 = 0.75;

/// What is shown.
pub(in crate::tone::page) fn answer(
    ask: &Ask,
    chart: &super::super::chart::Ask,
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
    view.overlay = overlay("tone-scan", ask, &[], scan);
    let Some(found) = &scan.found else { return view };
    view.found = true;
    if !found.says_light && ask.light == "file" && found.claim == "order" {
        notes.push(Note::warning(
            "scan.light",
            "This file does not say how its numbers become light.",
            "Choose what the scanner wrote, or lay a grey scale beside the chart, and read it again.",
        ));
    }
    if let Wanted::Other(other) = &found.wish.wanted {
        let (all, read) = ((other.columns * other.rows) as usize, other.codes.len());
        if read < all {
            notes.push(Note::warning(
                "scan.numbers",
                format!("{read} numbers for {all} patches: the last {} are not read.", all - read),
                "Leave it so if the chart ends there; otherwise look for the number that is missing.",
            ));
        }
    }
    let misread = misread(found, units);
    let as_typed = read_as_typed(ask, chart, found, scene);
    view.fresh = as_typed && misread.is_none();
    view.stale = if !as_typed {
        "Something was changed since: read it again before these readings are taken.".into()
    } else if let Some(note) = &misread {
        format!("{} {}", note.text, note.mend)
    } else if view.by_scale && ask.scale.trim().is_empty() {
        "Place the four corners of the grey scale on the picture and read it again.".into()
    } else {
        String::new()
    };
    notes.extend(misread.filter(|_| as_typed));
    let name = if found.name.is_empty() { "The chart".to_owned() } else { format!("Chart {}", found.name) };
    view.title = format!("{name}: {} patches read", found.lightness.len());
    if found.scale > 0.0 {
        view.title += &format!(", {} px a mm", units.number(found.scale, 1));
    }
    view.claim = claim(found, units);
    view.spots = spots(found, units);
    view.odd = odd(found, units);
    view
}

/// What keeps readings from being taken: the patches lie elsewhere than the chart was said to have them.
pub(crate) fn misread(found: &ScanFound, units: Units) -> Option<Note> {
    if let (Some(seen), Wanted::Own { coat, .. }) = (found.coat_seen, &found.wish.wanted) {
        let off = |seen: f64, typed: f64| (seen / typed - 1.0).abs() > OTHER_COAT;
        if off(seen.0, coat.0) || off(seen.1, coat.1) {
            let size = |(w, h): (f64, f64)| {
                let [w, h] = [w, h].map(Length::from_mm);
                format!("{} × {}", units.length_field(w), units.length(h))
            };
            return Some(Note::error(
                "chart.width",
                format!(
                    "By the size of its marks the chart in the scan lies on a coat of about {}, not of {}.",
                    size((seen.0.round(), seen.1.round())),
                    size(*coat)
                ),
                "Type the size of the coat it was made for, and read the scan again.",
            ));
        }
    }
    let Wanted::Other(_) = found.wish.wanted else { return None };
    let agreement = order_agreement(&found.codes, &found.lightness);
    if agreement <= -FOLLOWS {
        return Some(Note::error(
            "scan.numbers",
            "The patches get darker where the chart's numbers say that they get lighter.",
            "Check what the numbers mean, and that the corners begin at the upper left one of the chart.",
        ));
    }
    (agreement < FOLLOWS).then(|| {
        Note::error(
            "scan.numbers",
            "The patches do not follow the chart's numbers.",
            "Check the corners, which begin at the upper left one of the chart, the order, and columns and rows.",
        )
    })
}

/// Whether the scan would be read again just as it was.
fn read_as_typed(ask: &Ask, chart: &super::super::chart::Ask, found: &ScanFound, scene: &Scene<'_>) -> bool {
    let Ok(mut now) = wish(ask, chart, scene) else { return false };
    // The squares named the chart where the printer did not.
    if let (Wanted::Own { named: now, .. }, Wanted::Own { named: then, .. }) =
        (&mut now.wanted, &found.wish.wanted)
    {
        *now = now.or(*then);
    }
    now == found.wish
}

/// What the L* may claim, in words.
pub(crate) fn claim(found: &ScanFound, units: Units) -> String {
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

/// Outlines of what was read, or of the corners placed so far, in pixels of the picture; `spot`: opposite corners of a box
/// on a masked spot, or nothing; `id` must be unique on the page.
pub(crate) fn overlay(id: &str, ask: &Ask, spot: &[f64], scan: &ScanInHand) -> String {
    let (width, height) = (f64::from(scan.facts.width.max(1)), f64::from(scan.facts.height.max(1)));
    let (title, words) = match &scan.found {
        Some(found) => {
            ("What was read", format!("{} patches outlined on the picture.", found.lightness.len()))
        }
        None => ("The picture", "No chart read in it yet.".into()),
    };
    let mut svg = Svg::new(id, [0.0, 0.0, width, height], title, &words);
    if let Some(found) = &scan.found {
        for quad in &found.outlines {
            svg.polygon(quad, "outline");
        }
    }
    if let [a, b, c, d] = *spot {
        svg.polygon(&[(a, b), (c, b), (c, d), (a, d)], "outline");
    }
    let dot = width.max(height) / 120.0;
    let used = scan.found.as_ref().map(|f| f.marks.clone()).filter(|m| !m.is_empty());
    for (placed, class) in [
        (used.or_else(|| numbers(&ask.marks)).unwrap_or_default(), "corner"),
        (numbers(&ask.scale).unwrap_or_default(), "corner-scale"),
        (spot.to_vec(), "corner-scale"),
    ] {
        for corner in placed.chunks_exact(2) {
            svg.circle(corner[0], corner[1], dot, class);
        }
    }
    svg.finish()
}

/// The plan of the chart that was found; `None` for another make.
pub(in crate::tone::page) fn plan(found: &ScanFound) -> Option<ChartPlan> {
    let identity = Identity::parse(&found.name)?;
    let spec = ChartSpec { coat: found.coat, ..ChartSpec::usual(identity.patches, identity.seed) };
    ChartPlan::new(spec).ok()
}

/// What was read of each patch, as it lies on the picture; of our chart the masked spot as well.
pub(super) fn outlines(found: &ScanFound) -> Vec<Vec<(f64, f64)>> {
    let Ok(map) = <[f64; 9]>::try_from(found.map.as_slice()) else { return Vec::new() };
    let place = |(x, y): (f64, f64)| {
        let w = map[6] * x + map[7] * y + map[8];
        ((map[0] * x + map[1] * y + map[2]) / w, (map[3] * x + map[4] * y + map[5]) / w)
    };
    let outline = |area: Area| {
        let a = area.inner(INNER);
        [(a.x, a.y), (a.x + a.width, a.y), (a.x + a.width, a.y + a.height), (a.x, a.y + a.height)]
            .map(place)
            .to_vec()
    };
    if let Wanted::Other(other) = &found.wish.wanted {
        let (order, columns, rows) =
            (Order::from_number(other.order), other.columns as usize, other.rows as usize);
        let cell = |i| {
            let (column, row) = order.place(columns, rows, i);
            outline(Area { x: column as f64, y: row as f64, width: 1.0, height: 1.0 })
        };
        return (0..other.codes.len()).map(cell).collect();
    }
    let Some(plan) = plan(found) else { return Vec::new() };
    plan.patches.iter().map(|patch| patch.area).chain([plan.masked]).map(outline).collect()
}
