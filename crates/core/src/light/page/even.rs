//! The part of the light station about how even the light of the frame is.

use super::super::Ask as LightAsk;
use super::super::lamp::evenness::{Grid, Place, TOLERANCE};
use super::super::lamp::geometry;
use super::super::lamp::lie::{Lie, Top};
use super::super::lamp::map::{Lamp, Map};
use super::super::lamp::smooth::Smooth;
use super::super::paper::InUse;
use super::super::{Change, evening};
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
use crate::station::Scene;
use crate::tone::table;
use crate::working::Working;

/// Tolerances in stops.
const STOPS: Range = Range { low: 0.01, high: 2.0 };
/// Sides and distances, in mm.
const SIDE_MM: Range = Range { low: 5.0, high: 50_000.0 };
/// Density, and log exposure, that nobody sees: a sixtieth of a stop.
const NOTHING: f64 = 0.005;
/// Places in the frame, in mm.
const PLACE_MM: Range = Range { low: 0.0, high: 50_000.0 };
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
    /// Where a print is laid: `even` where the light is most even, `middle`, or `typed`.
    pub lie: String,
    /// Its left edge from the frame's, if typed.
    pub left: String,
    /// Its far edge from the frame's, if typed.
    pub down: String,
    /// Where its top points: `far`, `right`, `near` or `left`.
    pub top: String,
    /// Where the setup's time was found: in the `middle`, where there is `most` light or `least`.
    pub found: String,
}

fields!(Ask: readings, of, width, height, tolerance, tubes, pitch, lie, left, down, top, found);

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
            lie: "even".into(),
            left: String::new(),
            down: String::new(),
            top: "far".into(),
            found: "middle".into(),
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
    /// The place of the print is typed.
    pub typed: bool,
    /// The map can be taken for films.
    pub can_use: bool,
    /// The map that films are evened by.
    pub in_use: String,
}

fields!(out View: has_map, map, evenness, usable, place, film, expected, typed, can_use, in_use);

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

/// Checks what is not in use for the way the print is laid and the lamp at hand.
fn unused(ask: &Ask, units: Units, notes: &mut Vec<Note>) {
    entry::unused(notes, |more| {
        let fields = [
            ("known.even.left", "The place from the left", &ask.left, PLACE_MM),
            ("known.even.down", "The place from the far edge", &ask.down, PLACE_MM),
            ("known.even.pitch", "The distance from tube to tube", &ask.pitch, SIDE_MM),
        ];
        for (name, label, text, range) in fields {
            if !text.trim().is_empty() {
                length(name, label, text, units, range, more);
            }
        }
        entry::optional_count("known.even.tubes", "The number of tubes", &ask.tubes, TUBES, more);
    });
}

/// Why a print cannot be laid.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::light) enum NoLie {
    /// It is larger than the frame.
    Larger,
    /// Where it is to be laid, it reaches beyond.
    Beyond,
}

/// How a print of these sides lies in a frame (both in mm) of that light, as asked for.
pub(in crate::light) fn lie(
    ask: &Ask,
    grid: &Grid,
    frame: (f64, f64),
    print: (f64, f64),
    units: Units,
    notes: &mut Vec<Note>,
) -> Result<Lie, NoLie> {
    let top = Top::of(&ask.top);
    let (width, height) = top.taken(print.0, print.1);
    let (width, height) = (width / frame.0, height / frame.1);
    if !(width <= 1.0 && height <= 1.0) {
        return Err(NoLie::Larger);
    }
    let corner = match ask.lie.as_str() {
        "typed" => {
            let from = |name: &str, label: &str, text: &str, notes: &mut Vec<Note>| {
                length(name, label, text, units, PLACE_MM, notes).map(Length::to_mm).ok_or(NoLie::Beyond)
            };
            let left = from("known.even.left", "The place from the left", &ask.left, notes);
            let down = from("known.even.down", "The place from the far edge", &ask.down, notes);
            (left? / frame.0, down? / frame.1)
        }
        "middle" => ((1.0 - width) / 2.0, (1.0 - height) / 2.0),
        _ => {
            let (place, _) = grid.best_place(width, height).ok_or(NoLie::Larger)?;
            (place.left, place.top)
        }
    };
    if corner.0 + width > 1.0 + 1e-9 || corner.1 + height > 1.0 + 1e-9 {
        notes.push(Note::warning(
            "known.even.left",
            "Laid there the print reaches beyond the frame.",
            "Type a smaller distance, or turn the print.",
        ));
        return Err(NoLie::Beyond);
    }
    Ok(Lie { place: Place { left: corner.0, top: corner.1, width, height }, top })
}

/// What is shown, with notes and workings.
pub(super) fn answer(
    ask: &LightAsk,
    curve: &InUse<'_>,
    print: (Option<Length>, Option<Length>),
    scene: &Scene<'_>,
    shown: &mut Shown,
) -> View {
    let units = scene.units();
    let even = &ask.known.even;
    let map = &scene.book.setup().map;
    let mut view = View { typed: even.lie == "typed", ..View::default() };
    if map.made > 0 {
        view.in_use = format!(
            "Films can be evened by the map of {}, under {}: tick it at the negative.",
            crate::book::date(map.made, scene.zone_minutes),
            map.lamp.words(units)
        );
    }
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
    let grid = grid(even, curve, &mut shown.notes);
    unused(even, units, &mut shown.notes);
    let Some(grid) = grid else { return view };
    view.has_map = true;
    view.can_use = sides.is_some_and(|sides| !map.is_of(&grid, sides, &Lamp::of(&ask.setup, units)));
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
    let surface = Smooth::fit(&grid);
    odd(&surface, units, &mut shown.notes);
    let on_film = evening::on_film(scene.book, scene.book.ticket());
    let mut working = Working::new("even");
    working.step("Stops", "log₂(most ÷ least)", "", units.number(e.stops, 3));
    working.step("Least over mean", "least ÷ mean", "", units.number(e.least_over_mean, 3));
    working.constant("Tolerance, unless typed", &TOLERANCE);
    working.step(
        "Smooth surface through the readings",
        "log₁₀ of the light, order chosen by leaving readings out",
        "",
        format!("a reading is missed by {} log exposure", units.number(surface.missed, 3)),
    );
    let mut lain = None;
    if let (Some(_), (Some(pw), Some(ph))) = (sides, print) {
        let lie = match on_film {
            Some(film) => Ok(film.lie()),
            None => lie(even, &grid, (w, h), (pw.to_mm(), ph.to_mm()), units, &mut shown.notes),
        };
        match lie {
            Ok(lie) => {
                view.place = format!(
                    "{} × {}: {}; {} stop across it",
                    units.length_field(pw),
                    units.length(ph),
                    evening::lain(&lie, (w, h), units),
                    units.number(grid.stops_within(lie.place), 2)
                );
                film(&surface, &lie, even, units, &mut view, &mut working);
                lain = Some(lie.place);
            }
            Err(NoLie::Larger) => view.place = "This ticket's picture is larger than the frame.".into(),
            Err(NoLie::Beyond) => view.place = "Not there: it would reach beyond the frame.".into(),
        }
    }
    view.map = drawing::frame(&grid, (w, h), usable, lain);
    shown.workings.push(working);
    view
}

/// What a film evens out at a place, and what that costs.
fn film(surface: &Smooth, lie: &Lie, even: &Ask, units: Units, view: &mut View, working: &mut Working) {
    let (net, dimmest) = evening::net(surface, lie);
    let most = net.into_iter().fold(0.0, f64::max);
    let change = Change::from_log(evening::found(surface, &even.found) - dimmest);
    view.film = if most < NOTHING && change.to_log().abs() < NOTHING {
        "There is nothing for a film to even out here.".into()
    } else {
        format!(
            "A film evens this out by up to {} D more ink where there is most light; the time is then {} times that of the setup ({} stop).",
            units.number(most, 2),
            units.figures(change.to_factor(), 3),
            super::signed(units, change.to_stops(), 2)
        )
    };
    working.step(
        "Ink added on a film",
        "log₁₀(light ÷ light at the dimmest place of the print)",
        "",
        format!("0 to {} D", units.number(most, 3)),
    );
    working.step(
        "Time",
        "light where the setup's time was found ÷ light at the dimmest place of the print",
        format!(
            "{} log; {} log",
            units.number(evening::found(surface, &even.found), 3),
            units.number(dimmest, 3)
        ),
        format!("× {}", units.figures(change.to_factor(), 4)),
    );
}

/// A reading that the others do not bear out.
fn odd(surface: &Smooth, units: Units, notes: &mut Vec<Note>) {
    if let Some(odd) = surface.odd {
        notes.push(Note::warning(
            "known.even.readings",
            format!(
                "Row {}, place {} reads {} stop {} than the others let expect.",
                odd.row + 1,
                odd.column + 1,
                units.number(odd.by.abs() / core::f64::consts::LOG10_2, 2),
                if odd.by > 0.0 { "more" } else { "less" }
            ),
            "Read it again; until then it is left out of what a film evens.",
        ));
    }
}

/// The map as it is typed, for films; with notes where it is none.
pub(super) fn map(ask: &LightAsk, curve: &InUse<'_>, scene: &Scene<'_>) -> Result<Map, Vec<Note>> {
    let mut notes = Vec::new();
    let units = scene.units();
    let (sides, grid) = (sides(&ask.known.even, units, &mut notes), grid(&ask.known.even, curve, &mut notes));
    let (Some((width, height)), Some(grid)) = (sides, grid) else {
        if notes.is_empty() {
            notes.push(Note::error(
                "known.even.width",
                "Films need the readings and the size of the frame.",
                "Type the width and the height that the readings cover.",
            ));
        }
        return Err(notes);
    };
    Ok(Map {
        made: scene.now,
        columns: u32::try_from(grid.columns).unwrap_or(0),
        levels: grid.levels,
        width_mm: width.to_mm(),
        height_mm: height.to_mm(),
        lamp: Lamp::of(&ask.setup, units),
    })
}

fn expected(ask: &LightAsk, units: Units, view: &mut View, notes: &mut Vec<Note>) {
    let even = &ask.known.even;
    if ask.setup.kind != "tubes" || even.tubes.trim().is_empty() {
        return;
    }
    let tubes = entry::count("known.even.tubes", "The number of tubes", &even.tubes, TUBES, notes);
    let pitch =
        length("known.even.pitch", "The distance from tube to tube", &even.pitch, units, SIDE_MM, notes);
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
