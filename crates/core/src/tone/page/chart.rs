//! The part of the tone station that makes charts: which one, on which coat, at what cost and for what gain.

use crate::coat::Plan;
use crate::entry::Range;
use crate::fields;
use crate::negative::{PPI, length};
use crate::note::Note;
use crate::quantity::{Length, Volume};
use crate::show::Units;
use crate::station::Scene;
use crate::tone::Response;
use crate::tone::chart_plan::layout::{GROUND_CODE, GROUND_LIGHTNESS};
use crate::tone::chart_plan::{ChartSpec, Patches, RampPlan};
use crate::working::Working;

/// Sides of a coat, mm.
const COAT_MM: Range = Range { low: 20.0, high: 1000.0 };
/// Lengths of a ramp, mm.
const RAMP_MM: Range = Range { low: 40.0, high: 400.0 };

/// What was typed about charts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ask {
    /// How many patches: `41`, `65` or `114`.
    pub patches: String,
    /// Width of the coat; empty for the usual one.
    pub width: String,
    /// Height of the coat; empty for the usual one.
    pub height: String,
    /// Length of an ink ramp.
    pub ramp: String,
}

fields!(Ask: patches, width, height, ramp);

impl Default for Ask {
    fn default() -> Self {
        Self { patches: "41".into(), width: String::new(), height: String::new(), ramp: "130".into() }
    }
}

/// What is shown about charts.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct View {
    /// Size and area of the coat.
    pub coat: String,
    /// The least coat that holds so many patches.
    pub least: String,
    /// What it takes of the mix.
    pub volume: String,
    /// The error to expect of the next print.
    pub error: String,
    /// The ink between the patches.
    pub ground: String,
}

fields!(out View: coat, least, volume, error, ground);

/// A film of a chart or a ramp that is to be made.
#[derive(Clone, Debug, PartialEq)]
pub struct ChartFilm {
    /// What is on it.
    pub sheet: ChartSheet,
    /// Pixels per inch.
    pub ppi: u32,
    /// `tiff` or `png`.
    pub format: String,
    /// Name of the file.
    pub file_name: String,
    /// A line written on the film.
    pub label: String,
    /// What is written into the file's description.
    pub description: String,
}

/// What is on the film.
#[derive(Clone, Debug, PartialEq)]
pub enum ChartSheet {
    /// A tone chart.
    Chart(ChartSpec),
    /// An ink ramp of the usual steps, so long in mm.
    Ramp(f64),
}

fn patches(ask: &Ask) -> Patches {
    ask.patches.parse().ok().and_then(Patches::from_count).unwrap_or_default()
}

/// The coat as typed, or the usual one, in mm.
pub(super) fn coat(ask: &Ask, scene: &Scene<'_>, notes: &mut Vec<Note>) -> Option<(f64, f64)> {
    let usual = patches(ask).usual_coat();
    let units = scene.book.setup().units;
    let mut side = |name, label, text: &str, usual| {
        if text.trim().is_empty() {
            Some(usual)
        } else {
            length(name, label, text, units, COAT_MM, notes).map(|l| l.to_mm())
        }
    };
    let width = side("chart.width", "The width of the coat", &ask.width, usual.0);
    let height = side("chart.height", "The height of the coat", &ask.height, usual.1);
    Some((width?, height?))
}

/// Ink of the ground: what prints L* 55 once that is known.
fn ground(response: Option<&Response>) -> f64 {
    response.map_or(GROUND_CODE, |r| r.code_for(GROUND_LIGHTNESS)).clamp(0.05, 0.95)
}

fn spec(ask: &Ask, scene: &Scene<'_>, seed: u16, notes: &mut Vec<Note>) -> Option<ChartSpec> {
    let coat = coat(ask, scene, notes)?;
    let ground = ground(scene.tone.response.as_ref());
    let spec = ChartSpec { patches: patches(ask), seed, coat, ground };
    spec.check().map_err(|error| notes.push(error.note("chart.width"))).ok().map(|()| spec)
}

/// What is shown.
pub(super) fn answer(ask: &Ask, scene: &Scene<'_>, notes: &mut Vec<Note>) -> (View, Working) {
    let units = scene.units();
    let patches = patches(ask);
    let size = |(w, h): (f64, f64)| {
        format!("{} × {}", units.length_field(Length::from_mm(w)), units.length(Length::from_mm(h)))
    };
    let mut working = Working::new("chart");
    let fit = patches.fit_error();
    working.sourced(
        "Error of the next print",
        "√(curve² + process²)",
        format!("curve {} L*", units.number(fit.value, 2)),
        format!("{} L*", units.number(patches.next_print_error(), 2)),
        fit.source,
    );
    let mut view = View {
        least: size(patches.smallest_coat()),
        error: format!("± {} L*", units.number(2.0 * patches.next_print_error(), 1)),
        ground: format!("{} %", units.number(100.0 * ground(scene.tone.response.as_ref()), 0)),
        ..View::default()
    };
    if !ask.ramp.trim().is_empty() {
        ramp(ask, units, notes);
    }
    if let Some(chart) = spec(ask, scene, 0, notes) {
        let area = chart.coat_cm2();
        view.coat = format!("{}, {} cm²", size(chart.coat), units.number(area, 0));
        // The coverage of the ticket in hand; what it says about itself stands at the coat.
        let plan = Plan::read(&scene.book.ticket().asks.coat, scene.book, &mut Vec::new());
        if let (Some(poured), Some(coats)) = (plan.poured, plan.coats) {
            let volume = Volume::from_ml(poured.value.to_ml_per_m2() * area / 10_000.0 * coats);
            view.volume = units.ml(volume);
            working.step(
                "Sensitiser for the chart",
                "coverage as poured × area × coats",
                format!(
                    "{} mL/m², {} cm², {}",
                    units.number(poured.value.to_ml_per_m2(), 1),
                    units.number(area, 0),
                    units.number(coats, 0)
                ),
                view.volume.clone(),
            );
        }
    }
    (view, working)
}

/// The film of a chart, or what keeps it from being made.
pub(super) fn chart_film(ask: &Ask, scene: &Scene<'_>) -> Result<ChartFilm, Vec<Note>> {
    let mut notes = Vec::new();
    let seed = u16::try_from(scene.luck & 0xffff).unwrap_or(0);
    let spec = spec(ask, scene, seed, &mut notes);
    let ppi = ppi(scene, &mut notes);
    let (Some(spec), Some(ppi)) = (spec, ppi) else { return Err(notes) };
    let name = format!("tone-chart-{}-{seed}", spec.patches.count());
    Ok(film(ChartSheet::Chart(spec), &name, ppi, scene))
}

/// The length of an ink ramp as typed.
fn ramp(ask: &Ask, units: Units, notes: &mut Vec<Note>) -> Option<Length> {
    length("chart.ramp", "The length of the ramp", &ask.ramp, units, RAMP_MM, notes)
}

/// The film of an ink ramp, or what keeps it from being made.
pub(super) fn ramp_film(ask: &Ask, scene: &Scene<'_>) -> Result<ChartFilm, Vec<Note>> {
    let mut notes = Vec::new();
    let units = scene.book.setup().units;
    let long = ramp(ask, units, &mut notes);
    let ppi = ppi(scene, &mut notes);
    let (Some(long), Some(ppi)) = (long, ppi) else { return Err(notes) };
    if RampPlan::usual(long.to_mm()).is_none() {
        return Err(notes);
    }
    Ok(film(ChartSheet::Ramp(long.to_mm()), "ink-ramp", ppi, scene))
}

pub(super) fn ppi(scene: &Scene<'_>, notes: &mut Vec<Note>) -> Option<u32> {
    let text = &scene.book.ticket().asks.negative.setup.ppi;
    let ppi = crate::entry::number("", "The resolution at the negative", text, PPI, &["ppi", "dpi"], notes)?;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "240 to 1440")]
    Some(ppi.round() as u32)
}

fn film(sheet: ChartSheet, name: &str, ppi: u32, scene: &Scene<'_>) -> ChartFilm {
    let png = scene.book.ticket().asks.negative.setup.format == "png";
    let date = crate::book::date(scene.now, scene.zone_minutes);
    let setup = &scene.book.setup().name;
    ChartFilm {
        sheet,
        ppi,
        format: if png { "png" } else { "tiff" }.into(),
        file_name: format!("{name}.{}", if png { "png" } else { "tif" }),
        label: format!("{setup}  {date}"),
        description: format!(
            "Sorrel {name}. Setup {setup}; {date}. Raw ink, no correction. Mirrored; 0 = full ink."
        ),
    }
}
