//! The part of the light station about the air: humidity, salts, a hygrometer's error, how long paper takes.

use super::show::Shown;
use crate::climate::air::{self, Air};
use crate::climate::conditioning::{self, Course};
use crate::climate::salts::{self, SALTS};
use crate::entry::{self, Range};
use crate::fields;
use crate::note::Note;
use crate::quantity::Temperature;
use crate::show::{TemperatureUnit, Units};
use crate::tone::table;
use crate::working::Working;

/// Temperatures of a room, °C.
const ROOM: Range = Range { low: -10.0, high: 50.0 };
/// Relative humidities, %.
const HUMIDITY: Range = Range { low: 1.0, high: 100.0 };
/// A sheet is at rest when so much of the difference is left.
const REST: f64 = 0.05;

/// What was typed; it lies on the desk.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Ask {
    /// Temperature of the room.
    pub temperature: String,
    /// Its relative humidity, %.
    pub humidity: String,
    /// A temperature it may be warmed or cooled to.
    pub other: String,
    /// The humidity that is wanted, %.
    pub wish: String,
    /// What the hygrometer shows over magnesium chloride.
    pub dry_salt: String,
    /// What it shows over kitchen salt.
    pub wet_salt: String,
    /// Weighings of a sheet: minutes and grams, a line each.
    pub weighings: String,
}

fields!(Ask: temperature, humidity, other, wish, dry_salt, wet_salt, weighings);

/// A salt and its humidity.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SaltRow {
    /// Its name.
    pub name: String,
    /// Its humidity at the room's temperature.
    pub humidity: String,
}

fields!(out SaltRow: name, humidity);

/// What is shown.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct View {
    /// True humidity behind the hygrometer's reading.
    pub corrected: String,
    /// Dew point.
    pub dew: String,
    /// Water in the air.
    pub water: String,
    /// Humidity at the other temperature.
    pub other: String,
    /// Water in paper.
    pub paper: String,
    /// The salt for the wish.
    pub salt: String,
    /// All salts.
    pub salts: Vec<SaltRow>,
    /// The room's temperature is known.
    pub has_salts: bool,
    /// How long a sheet takes.
    pub course: String,
}

fields!(out View: corrected, dew, water, other, paper, salt, salts, has_salts, course);

impl Ask {
    /// Rewrites its temperatures, when the printer changes units.
    pub(crate) fn convert(&mut self, from: Units, to: Units) {
        for text in [&mut self.temperature, &mut self.other] {
            entry::convert_temperature(text, from, to);
        }
    }
}

/// A temperature of the room in °C; empty is `None`.
fn degrees(name: &str, label: &str, text: &str, units: Units, notes: &mut Vec<Note>) -> Option<f64> {
    entry::temperature(name, label, text, units, ROOM, notes).map(Temperature::to_celsius)
}

/// The relative humidity typed, corrected by the two salts if they were read.
pub(super) fn humidity(ask: &Ask, units: Units, notes: &mut Vec<Note>) -> Option<f64> {
    let of = |name: &str, label: &str, text: &str, notes: &mut Vec<Note>| {
        entry::optional(name, label, text, HUMIDITY, &["%"], notes)
    };
    let read = of("air.humidity", "The humidity", &ask.humidity, notes);
    let (low, high) = (
        of("air.dry_salt", "The hygrometer over magnesium chloride", &ask.dry_salt, notes),
        of("air.wet_salt", "The hygrometer over kitchen salt", &ask.wet_salt, notes),
    );
    let read = read?;
    let (Some(low), Some(high)) = (low, high) else { return Some(read) };
    let celsius = degrees("air.temperature", "", &ask.temperature, units, &mut Vec::new()).unwrap_or(20.0);
    let truth = |name: &str| SALTS.iter().find(|s| s.formula == name).and_then(|s| s.humidity(celsius));
    let corrected = truth("MgCl₂")
        .zip(truth("NaCl"))
        .and_then(|(dry, wet)| salts::corrected((low, dry), (high, wet), read));
    match corrected {
        Some(x) => Some(x.clamp(HUMIDITY.low, HUMIDITY.high)),
        None => {
            notes.push(Note::warning(
                "air.wet_salt",
                "The hygrometer hardly tells the two salts apart.",
                "Leave it in each closed box for some hours; if it stays so, do not trust it.",
            ));
            Some(read)
        }
    }
}

/// What is shown, with notes and workings.
pub(super) fn answer(ask: &Ask, units: Units, shown: &mut Shown) -> View {
    let mut view = View::default();
    let celsius = degrees("air.temperature", "The temperature", &ask.temperature, units, &mut shown.notes);
    let humidity = humidity(ask, units, &mut shown.notes);
    let other = degrees("air.other", "The other temperature", &ask.other, units, &mut shown.notes);
    let wish =
        entry::optional("air.wish", "The humidity wanted", &ask.wish, HUMIDITY, &["%"], &mut shown.notes);
    let temperature = |t: f64| {
        let t = Temperature::from_celsius(t);
        match units.temperature {
            TemperatureUnit::C => format!("{} °C", units.number(t.to_celsius(), 1)),
            TemperatureUnit::F => format!("{} °F", units.number(t.to_fahrenheit(), 0)),
        }
    };
    if let (Some(celsius), Some(humidity)) = (celsius, humidity) {
        let air = Air { celsius, humidity };
        if !ask.dry_salt.trim().is_empty() && !ask.wet_salt.trim().is_empty() {
            view.corrected = format!("{} %, by the two salts", units.number(humidity, 1));
        }
        let dew = air.dew_point();
        view.dew = if dew < 0.0 { format!("{} over water", temperature(dew)) } else { temperature(dew) };
        view.water = format!("{} g/m³", units.number(air.water(), 1));
        if let Some(other) = other {
            let rh = air.at(other);
            view.other = if rh > 100.0 {
                format!("At {} it dews.", temperature(other))
            } else {
                format!("{} % at {}, with the same water in it", units.number(rh, 0), temperature(other))
            };
        }
        if let Some(water) = conditioning::water(humidity) {
            view.paper = format!("about {} %, as a trade guide has it", units.number(water, 1));
        }
        let mut working = Working::new("air");
        working.sourced(
            "Vapour at saturation",
            "A·e^(B·t/(C + t))",
            temperature(celsius),
            format!("{} Pa", units.figures(air::saturation(celsius), 4)),
            air::A.source,
        );
        working.step(
            "Dew point",
            "C·x/(B − x), x = ln(e/A)",
            format!("{} %", units.number(humidity, 1)),
            view.dew.clone(),
        );
        working.step("Humidity elsewhere", "vapour ÷ saturation there", "", view.other.clone());
        shown.workings.push(working);
    }
    if let Some(celsius) = celsius {
        for salt in &SALTS {
            if let Some(h) = salt.humidity(celsius) {
                view.salts.push(SaltRow {
                    name: format!("{}, {}", salt.name, salt.formula),
                    humidity: format!("{} % ± {}", units.number(h, 1), units.number(salt.doubt.value, 1)),
                });
            }
        }
        view.has_salts = !view.salts.is_empty();
        if let Some(wish) = wish {
            view.salt = match salts::nearest(wish, celsius) {
                Some((salt, h)) => format!(
                    "{} ({}): {} % at {}",
                    salt.name,
                    salt.formula,
                    units.number(h, 1),
                    temperature(celsius)
                ),
                None => "Salts are tabled here from 15 to 30 °C.".into(),
            };
        }
    }
    course(ask, units, &mut view, shown);
    view
}

fn course(ask: &Ask, units: Units, view: &mut View, shown: &mut Shown) {
    if ask.weighings.trim().is_empty() {
        return;
    }
    let name = "air.weighings";
    let mut all = Vec::new();
    for line in table::split(&ask.weighings).lines {
        let cells: Vec<f64> =
            line.cells.iter().filter(|c| !c.is_empty()).filter_map(|c| table::number(c).ok()).collect();
        let [minutes, grams] = cells[..] else {
            shown.notes.push(table::line_note(
                name,
                line.number,
                "there are not two numbers",
                "Type the minutes, then the grams.",
            ));
            return;
        };
        all.push((minutes, grams));
    }
    match Course::fit(&all) {
        Some(course) => {
            view.course = format!(
                "{} min until a twentieth of the difference is left; it rests at {} g",
                units.figures(course.minutes_to(REST), 2),
                units.number(course.rest, 2)
            );
            let mut working = Working::new("course");
            working.step(
                "Time constant τ of the weight",
                "rest + (start − rest)·e^(−t/τ), least squares",
                format!("{} weighings", all.len()),
                format!("{} min", units.figures(course.tau, 2)),
            );
            shown.workings.push(working);
        }
        None => shown.notes.push(Note::warning(
            name,
            "The weighings do not yet slow down towards a rest.",
            "Weigh on until two weighings an hour apart agree within a quarter of a percent.",
        )),
    }
}
