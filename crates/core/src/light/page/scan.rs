//! The part of the light station that reads a step print from a scan: the steps lie side by side between four corners that
//! are tapped on the picture. How the scanner's numbers become light is settled with the tone, for both.

use super::super::Ask as LightAsk;
use super::super::steps::values::densities;
use crate::fields;
use crate::note::Note;
use crate::show::{DecimalMark, Units};
use crate::station::{Act, Effect, Scene};
use crate::tone::lightness;
use crate::tone::page::scan::{self, ODD, ScanFound, ScanWish, Wanted};
use crate::tone::page::tablet;

/// What was typed about the scan of a step print.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ask {
    /// How the scan's numbers become light, as at the tone.
    pub light: String,
    /// What is known of lightness in it: `nothing`, `ends` or `scale`.
    pub known: String,
    /// L* of the lightest step.
    pub paper: String,
    /// L* of the darkest.
    pub black: String,
    /// Densities of the grey scale's steps.
    pub densities: String,
    /// Its corners.
    pub scale: String,
    /// Corners of the steps.
    pub marks: String,
    /// Two opposite corners of a box on the masked spot; empty: it is not in the picture.
    pub masked: String,
    /// What a tap places: `marks`, `scale` or `masked`.
    pub tap: String,
}

fields!(Ask: light, known, paper, black, densities, scale, marks, masked, tap);

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
            masked: String::new(),
            tap: "marks".into(),
        }
    }
}

/// What is shown of it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct View {
    /// A picture is in hand.
    pub open: bool,
    /// Steps were read in it.
    pub found: bool,
    /// Two ends are known.
    pub ends: bool,
    /// A grey scale is.
    pub by_scale: bool,
    /// The picture: name and size.
    pub picture: String,
    /// What was read.
    pub title: String,
    /// What the masked spot gave.
    pub white: String,
    /// What the L* may claim.
    pub claim: String,
    /// What is odd.
    pub odd: Vec<OddRow>,
    /// Corners over the picture.
    pub overlay: String,
    /// A scan of blank paper is used.
    pub shaded: bool,
    /// What was typed since is in these readings.
    pub fresh: bool,
    /// It is not, and what to do.
    pub stale: String,
}

fields!(out View: open, found, ends, by_scale, picture, title, white, claim, odd, overlay, shaded, fresh, stale);

/// Something odd in a scan.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct OddRow {
    /// What.
    pub text: String,
}

fields!(out OddRow: text);

/// The scan's questions as the tone station asks them, for one row of steps.
fn as_chart(own: &Ask, steps: usize, shading: &str) -> scan::Ask {
    let numbers: Vec<String> = (0..steps).map(|i| format!("{}", i % 100)).collect();
    let Ask { light, known, paper, black, densities, scale, marks, masked: _, tap } = own.clone();
    scan::Ask {
        kind: "other".into(),
        columns: steps.to_string(),
        rows: "1".into(),
        numbers: numbers.join(" "),
        shading: shading.into(),
        light,
        known,
        paper,
        black,
        densities,
        scale,
        marks,
        tap,
        ..scan::Ask::default()
    }
}

/// How many steps lie in the picture.
fn steps(ask: &LightAsk, notes: &mut Vec<Note>) -> Option<usize> {
    tablet::tablet(&ask.tablet.clone().over(&tablet::Ask::default()), notes).map(|t| t.len())
}

fn named(notes: Vec<Note>) -> Vec<Note> {
    let own = |note: Note| match note.field.strip_prefix("scan.") {
        Some(rest) => Note { field: format!("known.scan.{rest}"), ..note },
        None => note,
    };
    notes.into_iter().map(own).collect()
}

fn wish(ask: &LightAsk, scene: &Scene<'_>) -> Result<ScanWish, Vec<Note>> {
    let mut notes = Vec::new();
    let Some(n) = steps(ask, &mut notes) else { return Err(notes) };
    let tone = &scene.book.setup().tone;
    let wish =
        scan::wish(&as_chart(&ask.known.scan, n, &tone.scan.shading), &tone.chart, scene).map_err(named);
    let masked = spot(&ask.known.scan.masked).map_err(|note| vec![note]);
    Ok(ScanWish { masked: masked?, ..wish? })
}

/// The box on the masked spot: two opposite corners, or nothing.
fn spot(text: &str) -> Result<Vec<f64>, Note> {
    match scan::numbers(text) {
        Some(all) if all.is_empty() => Ok(all),
        Some(all) if all.len() == 4 && all[0] != all[2] && all[1] != all[3] => Ok(all),
        found => Err(Note::error(
            "known.scan.masked",
            format!(
                "The box on the masked spot has {} of its two corners.",
                found.map_or(0, |all| all.len() / 2)
            ),
            "Tap two opposite corners inside the spot; or clear the field and begin again.",
        )),
    }
}

/// The readings of the scan in hand, if they are of steps.
fn found<'a>(ask: &LightAsk, scene: &Scene<'a>) -> Option<&'a ScanFound> {
    let found = scene.device.scan.as_ref()?.found.as_ref()?;
    let n = steps(ask, &mut Vec::new())?;
    let of_steps = matches!(&found.wish.wanted, Wanted::Other(other) if other.rows == 1);
    (of_steps && found.lightness.len() == n).then_some(found)
}

/// What a button of this part does.
pub(super) fn act(verb: &str, ask: &LightAsk, scene: &Scene<'_>) -> Option<Act> {
    let effect = |effect: fn(Box<ScanWish>) -> Effect| -> Act {
        wish(ask, scene).map(|wish| Act::effect(effect(Box::new(wish)))).into()
    };
    Some(match verb {
        "scan-open" => effect(Effect::OpenScan),
        "scan-again" => effect(Effect::ReadScan),
        "scan-blank" => effect(Effect::OpenBlank),
        "scan-clear" => {
            let mut ask = ask.clone();
            ask.known.scan.marks.clear();
            ask.known.scan.scale.clear();
            ask.known.scan.masked.clear();
            Act::change(ask.keep(scene.book))
        }
        "scan-close" => Act::effect(Effect::CloseScan),
        "scan-take" => {
            let found = found(ask, scene)?;
            let text = column(&found.lightness, scene.units());
            let mut ask = ask.clone();
            ask.tablet.steps = text;
            ask.known.steps.from = "readings".into();
            if !found.white.is_empty() {
                ask.known.steps.masked = column(&found.white, scene.units());
            }
            Act::change(ask.keep(scene.book))
        }
        _ => return None,
    })
}

/// What the masked spot gave: mean and spread of its fields, in density.
fn white(all: &[f64], units: Units) -> String {
    let all: Vec<f64> = all.iter().filter_map(|l| lightness::to_density(*l)).collect();
    if all.len() < 2 {
        return String::new();
    }
    let n = all.len() as f64;
    let mean = all.iter().sum::<f64>() / n;
    let squares: f64 = all.iter().map(|d| (d - mean) * (d - mean)).sum();
    format!(
        "White by the masked spot: D {}, spread {}, {} fields",
        units.number(mean, 3),
        units.number(crate::math::sqrt(squares / (n - 1.0)), 3),
        all.len()
    )
}

/// Densities of a list of L*, one a line, as they are typed.
fn column(all: &[f64], units: Units) -> String {
    let cell = |l: &f64| units.number(lightness::to_density(*l).unwrap_or(3.0), 3);
    all.iter().map(cell).collect::<Vec<_>>().join("\n")
}

/// The readings in a text file, one a line.
///
/// # Errors
/// That there are none; what was typed stays.
pub(super) fn from_text(text: &str, units: Units) -> Result<String, Note> {
    let units = Units { mark: DecimalMark::Point, ..units };
    match densities(text) {
        Ok(all) => Ok(all.iter().map(|d| units.number(*d, 3)).collect::<Vec<_>>().join("\n")),
        Err(_) => Err(Note::error(
            "tablet.steps",
            "There are no readings of steps in that file; those typed here stay.",
            "Choose a text file with a line a step, or a CGATS file with D_VIS or LAB_L.",
        )),
    }
}

/// What is shown.
pub(super) fn answer(ask: &LightAsk, scene: &Scene<'_>, notes: &mut Vec<Note>) -> View {
    let units = scene.units();
    let own = &ask.known.scan;
    let mut view = View {
        ends: own.known == "ends",
        by_scale: own.known == "scale",
        shaded: !scene.book.setup().tone.scan.shading.is_empty(),
        ..View::default()
    };
    let Some(scan) = &scene.device.scan else { return view };
    view.open = true;
    view.picture = format!(
        "{}: {} × {} px, {} bit",
        scan.facts.name, scan.facts.width, scan.facts.height, scan.facts.bits
    );
    let marked = spot(&own.masked);
    view.overlay =
        scan::overlay("light-scan", &as_chart(own, 1, ""), marked.as_deref().unwrap_or_default(), scan);
    // Half placed it is no mistake yet; with readings it is one that keeps them from being read again.
    if let Err(note) = marked
        && scan.found.is_some()
    {
        notes.push(note);
    }
    let Some(found) = found(ask, scene) else { return view };
    view.found = true;
    if !found.says_light && own.light == "file" && found.claim == "order" {
        notes.push(Note::warning(
            "known.scan.light",
            "This file does not say how its numbers become light.",
            "Choose what the scanner wrote, or lay a grey scale beside the print, and read it again.",
        ));
    }
    view.fresh = wish(ask, scene).is_ok_and(|now| now == found.wish);
    view.stale = if view.fresh && scan::misread(found, units).is_some() {
        view.fresh = false;
        "The steps do not get lighter along the row: tap the corners from the clear end on, and check the number of steps."
            .into()
    } else if !view.fresh {
        "Something was changed since: read it again before these readings are taken.".into()
    } else if view.by_scale && own.scale.trim().is_empty() {
        view.fresh = false;
        "Place the four corners of the grey scale on the picture and read it again.".into()
    } else {
        String::new()
    };
    view.title = format!("{} steps read", found.lightness.len());
    view.white = white(&found.white, units);
    view.claim = scan::claim(found, units);
    view.odd = found.remarks.iter().map(|text| OddRow { text: text.clone() }).collect();
    for (i, flags) in found.flags.iter().enumerate() {
        let why: Vec<&str> =
            ODD.iter().filter(|(bit, ..)| flags & bit != 0).map(|(_, why, _)| *why).collect();
        if !why.is_empty() {
            view.odd.push(OddRow { text: format!("Step {}: {}", i + 1, why.join("; ")) });
        }
    }
    view
}
