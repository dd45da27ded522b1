//! The part of the light station about how even the light of the frame is.

use super::super::Ask as LightAsk;
use super::super::lamp::evenness::{Grid, TOLERANCE};
use super::super::lamp::geometry;
use super::super::paper::InUse;
use super::drawing;
use super::show::Shown;
use crate::entry::{self, Range};
use crate::exchange::OutFile;
use crate::fields;
use crate::math;
use crate::negative::length;
use crate::note::Note;
use crate::quantity::Length;
use crate::show::{Units, decimals};
use crate::tone::table;
use crate::working::Working;

/// Tolerances in stops.
const STOPS: Range = Range { low: 0.01, high: 2.0 };
/// Sides and distances, in mm.
const SIDE_MM: Range = Range { low: 5.0, high: 50_000.0 };
/// Tubes of a bank.
const TUBES: Range = Range { low: 1.0, high: 60.0 };

/// What was typed; it belongs to the setup.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ask {
    /// Readings, a line a row of the grid.
    pub readings: String,
    /// What they are: `levels` of a meter or `densities` of one flat print.
    pub of: String,
    /// Width of the frame.
    pub width: String,
    /// Its height.
    pub height: String,
    /// Tolerance in stops.
    pub tolerance: String,
    /// Number of tubes, for a first idea without readings.
    pub tubes: String,
    /// From tube to tube.
    pub pitch: String,
}

fields!(Ask: readings, of, width, height, tolerance, tubes, pitch);

impl Default for Ask {
    fn default() -> Self {
        Self {
            readings: String::new(),
            of: "levels".into(),
            width: String::new(),
            height: String::new(),
            tolerance: decimals(TOLERANCE.value, 1),
            tubes: String::new(),
            pitch: String::new(),
        }
    }
}

/// What is shown.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct View {
    /// There is a map.
    pub has_map: bool,
    /// The map.
    pub map: String,
    /// How even it is.
    pub evenness: String,
    /// The usable rectangle.
    pub usable: String,
    /// Where to lay this ticket's print.
    pub place: String,
    /// What the film would have to hold back.
    pub film: String,
    /// What tubes may be expected to do.
    pub expected: String,
}

fields!(out View: has_map, map, evenness, usable, place, film, expected);

/// The grid typed.
fn grid(ask: &Ask, curve: &InUse<'_>, notes: &mut Vec<Note>) -> Option<Grid> {
    if ask.readings.trim().is_empty() {
        return None;
    }
    let name = "known.even.readings";
    let mut rows: Vec<Vec<f64>> = Vec::new();
    for line in table::split(&ask.readings).lines {
        let mut row = Vec::new();
        for cell in line.cells.iter().filter(|c| !c.is_empty()) {
            match table::number(cell) {
                Ok(v) => row.push(v),
                Err(e) => {
                    let (what, mend) = e.words(cell);
                    notes.push(table::line_note(name, line.number, &what, mend));
                    return None;
                }
            }
        }
        rows.push(row);
    }
    if ask.of == "densities" {
        let paper = curve.paper();
        for d in rows.iter_mut().flatten() {
            let Some(x) = paper.log_exposure(*d) else {
                notes.push(Note::error(
                    name,
                    format!("Density {} is black or white and tells no light.", decimals(*d, 2)),
                    "Expose the flat print to a middle grey, density 0.4 to 1.0.",
                ));
                return None;
            };
            *d = math::exp10(x);
        }
    }
    let grid = Grid::new(&rows);
    if grid.is_none() {
        notes.push(Note::error(
            name,
            "The readings are no grid: rows of one length, two by two at least, all above zero.",
            "Type one line a row of places, from the far left corner on.",
        ));
    }
    grid
}

/// Width and height of the frame as typed.
fn sides(ask: &Ask, units: Units, notes: &mut Vec<Note>) -> Option<(Length, Length)> {
    let side = |name: &str, label: &str, text: &str, notes: &mut Vec<Note>| {
        if text.trim().is_empty() { None } else { length(name, label, text, units, SIDE_MM, notes) }
    };
    let width = side("known.even.width", "The width of the frame", &ask.width, notes);
    let height = side("known.even.height", "The height of the frame", &ask.height, notes);
    width.zip(height)
}

/// What is shown, with notes and workings.
pub(super) fn answer(
    ask: &LightAsk,
    curve: &InUse<'_>,
    print: (Option<Length>, Option<Length>),
    units: Units,
    shown: &mut Shown,
) -> View {
    let even = &ask.known.even;
    let mut view = View::default();
    expected(ask, units, &mut view, &mut shown.notes);
    let tolerance = entry::optional(
        "known.even.tolerance",
        "The tolerance",
        &even.tolerance,
        STOPS,
        &["stop", "stops"],
        &mut shown.notes,
    )
    .unwrap_or(TOLERANCE.value);
    let sides = sides(even, units, &mut shown.notes);
    let Some(grid) = grid(even, curve, &mut shown.notes) else { return view };
    view.has_map = true;
    let e = grid.evenness();
    view.evenness = format!(
        "{} stop between the lightest and the darkest place; the least is {} % of the most",
        units.number(e.stops, 2),
        units.number(100.0 * e.least_over_most, 0)
    );
    let usable = grid.usable(tolerance);
    let (w, h) = sides.map_or((1.0, 1.0), |(w, h)| (w.to_mm(), h.to_mm()));
    if let Some(place) = usable {
        view.usable = match sides {
            Some(_) => format!(
                "{} × {}, from {} to the right and {} down",
                units.length(Length::from_mm(place.width * w)),
                units.length(Length::from_mm(place.height * h)),
                units.length(Length::from_mm(place.left * w)),
                units.length(Length::from_mm(place.top * h))
            ),
            None => format!(
                "{} % of the width and {} % of the height",
                units.number(100.0 * place.width, 0),
                units.number(100.0 * place.height, 0)
            ),
        };
    }
    let lain = match (sides, print) {
        (Some(_), (Some(pw), Some(ph))) => match grid.best_place(pw.to_mm() / w, ph.to_mm() / h) {
            Some((place, stops)) => {
                view.place = format!(
                    "{} × {}: {} from the left, {} from the far edge; {} stop across it",
                    units.length(pw),
                    units.length(ph),
                    units.length(Length::from_mm(place.left * w)),
                    units.length(Length::from_mm(place.top * h)),
                    units.number(stops, 2)
                );
                Some(place)
            }
            None => {
                view.place = "This ticket's picture is larger than the frame.".into();
                None
            }
        },
        _ => None,
    };
    let most = grid.film_density().into_iter().fold(0.0, f64::max);
    view.film = format!(
        "A film evens this out by up to {} D more where there is most light, and all of it needs {} % more time.",
        units.number(most, 2),
        units.number(100.0 * (1.0 / e.least_over_most - 1.0), 0)
    );
    view.map = drawing::frame(&grid, (w, h), usable, lain);
    let mut working = Working::new("even");
    working.step("Stops", "log₂(most ÷ least)", "", units.number(e.stops, 3));
    working.step("Least over mean", "least ÷ mean", "", units.number(e.least_over_mean, 3));
    working.constant("Tolerance, unless typed", &TOLERANCE);
    working.step("Film", "log₁₀(light ÷ least light)", "", format!("0 to {} D", units.number(most, 3)));
    shown.workings.push(working);
    view
}

fn expected(ask: &LightAsk, units: Units, view: &mut View, notes: &mut Vec<Note>) {
    let even = &ask.known.even;
    if ask.setup.kind != "tubes" || even.tubes.trim().is_empty() {
        return;
    }
    let tubes = entry::number("known.even.tubes", "The number of tubes", &even.tubes, TUBES, &[], notes);
    let pitch = length("known.even.pitch", "From tube to tube", &even.pitch, units, SIDE_MM, notes);
    let height =
        length("setup.distance", "The distance", &ask.setup.distance, units, SIDE_MM, &mut Vec::new());
    let (Some(tubes), Some(pitch), Some(height)) = (tubes, pitch, height) else { return };
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "1 to 60")]
    let n = tubes.round() as u32;
    let (pitch, height) = (pitch.to_mm(), height.to_mm());
    if !(pitch > 0.0 && height > 0.0) {
        return;
    }
    let at = |x: f64| geometry::bank(n, pitch, f64::INFINITY, height, x);
    let edge = pitch * f64::from(n.saturating_sub(1)) / 2.0;
    view.expected = format!(
        "Long tubes alone give the place below the outermost {} % of the middle; reflectors and ends change that.",
        units.number(100.0 * at(edge) / at(0.0), 0)
    );
}

/// The map as a file: what a film would have to hold back at each place.
pub(super) fn file(ask: &LightAsk, curve: &InUse<'_>) -> Result<OutFile, Vec<Note>> {
    let mut notes = Vec::new();
    let Some(grid) = grid(&ask.known.even, curve, &mut notes) else {
        if notes.is_empty() {
            notes.push(Note::error(
                "known.even.readings",
                "There is no map yet.",
                "Read the light on a grid first.",
            ));
        }
        return Err(notes);
    };
    let mut text = String::from("row,column,part of the width,part of the height,density to add\r\n");
    for (k, d) in grid.film_density().into_iter().enumerate() {
        let (i, j) = (k % grid.columns, k / grid.columns);
        let part = |i: usize, n: usize| decimals((i as f64 + 0.5) / n as f64, 4);
        text += &format!(
            "{},{},{},{},{}\r\n",
            j + 1,
            i + 1,
            part(i, grid.columns),
            part(j, grid.rows()),
            decimals(d, 4)
        );
    }
    Ok(OutFile { name: "evenness.csv".into(), media: "text/csv", bytes: text.into_bytes() })
}
