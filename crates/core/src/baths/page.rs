//! The baths station: what was typed, what is shown.

use super::amount::{Percent, Weighed, percents, weigh};
use super::caution::{cautions, refused};
use super::sequence::{Row, Step, rest, row_name, starting, steps};
use crate::book::{Book, Change};
use crate::chemistry::hazard;
use crate::chemistry::making::Stock;
use crate::entry::{self, Range};
use crate::fields;
use crate::light::Duration;
use crate::note::Note;
use crate::quantity::Volume;
use crate::show::{Units, unbroken};
use crate::station::{Act, Answer, Deed, Scene, Station, TicketCell};
use crate::working::Working;

/// Temperatures of a bath, in °C.
const CELSIUS: Range = Range { low: 0.0, high: 95.0 };
/// Volumes of a tray, in mL.
const TRAY: Range = Range { low: 10.0, high: 100_000.0 };
/// Most rows.
const MOST: usize = 30;

/// What the setup fixes here.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Preset {
    /// The baths, in order.
    pub rows: Vec<Row>,
    /// Minutes of rest after coating, if the lane is to count them.
    pub rest: String,
    /// Minutes of drying, if the lane is to count them.
    pub dry: String,
}

fields!(Preset: rows, rest, dry);

impl Default for Preset {
    fn default() -> Self {
        Self { rows: starting(), rest: String::new(), dry: String::new() }
    }
}

/// What was typed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Ask {
    /// What the setup fixes, as changed on this ticket.
    pub setup: Preset,
}

fields!(Ask: setup);

/// A bath as shown.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct BathRow {
    /// Its name.
    pub name: String,
    /// How long.
    pub time: String,
    /// When it ends, counted from the first pour.
    pub until: String,
    /// Strength and temperature.
    pub bath: String,
    /// What to weigh out for the tray.
    pub make: String,
    /// What to remember at the tray.
    pub remember: String,
}

fields!(out BathRow: name, time, until, bath, make, remember);

/// What one substance asks for.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct DangerRow {
    /// The substance.
    pub name: String,
    /// What to beware of.
    pub text: String,
    /// Statement codes with their words.
    pub codes: String,
}

fields!(out DangerRow: name, text, codes);

/// What is shown.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct View {
    /// The baths.
    pub baths: Vec<BathRow>,
    /// From the first pour to the end of the last bath.
    pub total: String,
    /// There are baths.
    pub any: bool,
    /// There are none.
    pub none: bool,
    /// Steps counted before the light.
    pub before: String,
    /// What to beware of in these baths, and the statement codes that were read.
    pub dangers: Vec<DangerRow>,
    /// This ticket differs from its setup.
    pub differs: bool,
}

fields!(out View: baths, total, any, none, before, dangers, differs);

/// The baths station.
#[derive(Clone, Copy, Debug)]
pub struct Baths;

/// The steps of a ticket before the light: rest and drying, where they are counted.
pub fn before(ask: &Ask, notes: &mut Vec<Note>) -> Vec<Step> {
    let rest_step = rest("setup.rest", "Rest after coating", &ask.setup.rest, notes);
    let dry_step = rest("setup.dry", "Drying", &ask.setup.dry, notes);
    rest_step.into_iter().chain(dry_step).collect()
}

/// The steps of a ticket after the light.
pub fn after(ask: &Ask, notes: &mut Vec<Note>) -> Vec<Step> {
    steps(&ask.setup.rows, notes)
}

impl Station for Baths {
    const ID: &'static str = "baths";
    type Ask = Ask;
    type View = View;

    fn load(book: &Book) -> Ask {
        book.ticket().asks.baths.clone()
    }

    fn keep(book: &Book, ask: Ask) -> Change {
        book.on_ticket(|t| t.asks.baths = ask)
    }

    fn answer(ask: &Ask, scene: &Scene<'_>) -> Answer<View> {
        answer(ask, scene)
    }

    fn act(ask: &Ask, deed: Deed<'_>, scene: &Scene<'_>) -> Act {
        act(ask, deed, scene)
    }

    fn convert(ask: &mut Ask, from: Units, to: Units) {
        for row in &mut ask.setup.rows {
            entry::convert_temperature(&mut row.temperature, from, to);
        }
    }

    fn sample() -> (Ask, View) {
        let ask = Ask { setup: Preset { rows: vec![Row::default()], ..Preset::default() } };
        let view =
            View { baths: vec![BathRow::default()], dangers: vec![DangerRow::default()], ..View::default() };
        (ask, view)
    }
}

fn act(ask: &Ask, deed: Deed<'_>, scene: &Scene<'_>) -> Act {
    let book = scene.book;
    let place: Option<usize> = deed.place.parse().ok().filter(|&i| i < ask.setup.rows.len());
    let alter = |f: &dyn Fn(&mut Vec<Row>)| {
        Act::change(book.on_ticket(|t| {
            t.asks.baths.setup.rows.clone_from(&ask.setup.rows);
            f(&mut t.asks.baths.setup.rows);
        }))
    };
    match (deed.verb, place) {
        ("add", _) if ask.setup.rows.len() >= MOST => Act::note(Note::error(
            "",
            format!("A sequence has {MOST} baths at most."),
            "Remove one that is not used.",
        )),
        ("add", _) => alter(&|rows| rows.push(Row::default())),
        ("remove", Some(i)) => alter(&|rows| {
            rows.remove(i);
        }),
        ("up", Some(i)) if i > 0 => alter(&|rows| rows.swap(i, i - 1)),
        ("down", Some(i)) if i + 1 < ask.setup.rows.len() => alter(&|rows| rows.swap(i, i + 1)),
        ("starting", _) => alter(&|rows| *rows = starting()),
        ("keep-setup", _) => Act::change(book.on_setup(|s| s.presets.baths = ask.setup.clone())),
        ("take-setup", _) => {
            let preset = book.setup().presets.baths.clone();
            Act::change(book.on_ticket(|t| t.asks.baths.setup = preset))
        }
        _ => Act::default(),
    }
}

fn answer(ask: &Ask, scene: &Scene<'_>) -> Answer<View> {
    let mut out = Answer::<View>::default();
    let units = scene.units();
    out.view.differs = ask.setup != scene.book.setup().presets.baths;
    let rests = before(ask, &mut out.notes);
    out.view.before =
        rests.iter().map(|s| format!("{} {}", s.name, s.time.shown())).collect::<Vec<_>>().join(", ");
    let mut notes = Vec::new();
    let all = after(ask, &mut notes);
    let readable = notes.is_empty();
    out.notes.append(&mut notes);
    out.view.any = !all.is_empty();
    out.view.none = all.is_empty();
    let mut sum = Duration::default();
    let mut working = Working::new("amounts");
    for (i, (row, step)) in ask.setup.rows.iter().zip(&all).enumerate() {
        sum = sum + step.time;
        let unknown = step.time.to_seconds() == 0.0;
        let shown = bath(i, row, scene, &mut out.notes, &mut working);
        out.view.baths.push(BathRow {
            name: step.name.clone(),
            time: if unknown { String::new() } else { step.time.shown() },
            remember: row.remark.trim().to_owned(),
            until: if unknown || !readable { String::new() } else { sum.shown() },
            ..shown
        });
    }
    if working.steps.is_empty() {
        working.step("Weight", "strength × volume ÷ 100", "no volume typed yet", "");
    }
    out.workings.push(working);
    if readable && !all.is_empty() {
        out.view.total = sum.shown();
    }
    out.notes.extend(cautions(&ask.setup.rows));
    out.view.dangers = dangers(&ask.setup.rows);
    out.ticket.push(match (all.len(), readable) {
        (0, _) => TicketCell::missing("baths", "no baths yet"),
        (_, false) => TicketCell::missing("baths", "time of a bath"),
        (n, true) => {
            let minutes = units.figures(sum.to_minutes(), 3);
            TicketCell::done("baths", format!("{n} {}, {minutes} min", if n == 1 { "bath" } else { "baths" }))
        }
    });
    out
}

/// What to beware of in the substances that are known by their names.
fn dangers(rows: &[Row]) -> Vec<DangerRow> {
    let mut all: Vec<DangerRow> = Vec::new();
    for name in rows.iter().flat_map(|r| r.contents.split('+')).map(str::trim) {
        let Some(stock) = Stock::named(name).filter(|s| !all.iter().any(|d| d.name == s.name)) else {
            continue;
        };
        let codes = hazard::gravest(stock.forms.iter().flat_map(|f| hazard::codes(f)).copied());
        let codes: Vec<String> = codes.iter().map(|c| [c, " ", hazard::statement(c)].concat()).collect();
        all.push(DangerRow {
            name: stock.name.into(),
            text: stock.kind.caution().into(),
            codes: codes.join("; "),
        });
    }
    all
}

/// What stands in place of grams where no strength was read.
fn unweighed(row: &Row) -> &'static str {
    let contents = row.contents.trim().to_lowercase();
    match (contents.as_str(), row.strength.trim()) {
        ("", _) => "Type what it holds.",
        (water, "") if water.contains("water") => "Nothing to weigh.",
        (_, "") => "Type its strength for the grams.",
        _ => "Mend its strength first.",
    }
}

/// What is shown of one bath beside its time; its step of the working.
fn bath(i: usize, row: &Row, scene: &Scene<'_>, notes: &mut Vec<Note>, working: &mut Working) -> BathRow {
    let units = scene.units();
    let name = row_name(row, i);
    let strengths = strength(i, row, &name, notes);
    let field = format!("setup.rows.{i}.temperature");
    let label = format!("The temperature of {name}");
    let warm =
        entry::temperature(&field, &label, &row.temperature, scene.book.ticket().units, CELSIUS, notes);
    let field = format!("setup.rows.{i}.tray");
    let label = format!("The volume of {name}");
    let tray = entry::optional(&field, &label, &row.tray, TRAY, &["ml"], notes).map(Volume::from_ml);
    let percent = |p: &Percent| {
        if p.low < p.high {
            unbroken(&format!("{}–{} %", units.figures(p.low, 3), units.figures(p.high, 3)))
        } else {
            format!("{} %", units.figures(p.low, 3))
        }
    };
    let contents: Vec<&str> = row.contents.split('+').map(str::trim).collect();
    let mut parts: Vec<String> = contents
        .iter()
        .enumerate()
        .filter(|(_, c)| !c.is_empty())
        .map(|(k, c)| strengths.get(k).map_or_else(|| (*c).to_owned(), |p| format!("{c} {}", percent(p))))
        .collect();
    parts.extend(warm.map(|t| units.temperature(t)));
    let grams = |volume: Volume| {
        let one = |w: &Weighed| {
            let (low, high) = (units.figures(w.low.to_g(), 3), units.figures(w.high.to_g(), 3));
            if low == high {
                format!("{low}\u{a0}g {}", w.content)
            } else {
                format!("{}\u{a0}g {}", unbroken(&format!("{low}–{high}")), w.content)
            }
        };
        weigh(&row.contents, &strengths, volume).iter().map(one).collect::<Vec<_>>().join(" and ")
    };
    let make = match tray {
        _ if refused(row).is_some() => "Not to be made up: see its warning.".into(),
        _ if strengths.is_empty() => unweighed(row).into(),
        None => format!("{} in each 100 mL", grams(Volume::from_ml(100.0))),
        Some(volume) => {
            let grams = grams(volume);
            working.sourced(
                &name,
                "strength × volume ÷ 100",
                format!(
                    "{}; {} mL",
                    strengths.iter().map(percent).collect::<Vec<_>>().join(" + "),
                    units.figures(volume.to_ml(), 5)
                ),
                grams.clone(),
                "percent of this trade: grams of the solid named, made up to 100 mL",
            );
            format!("{grams}, with water to {} L", units.figures(volume.to_litres(), 3))
        }
    };
    BathRow { bath: parts.join(", "), make, ..BathRow::default() }
}

/// The strengths of a row; a note if they cannot be read or do not fit the contents.
fn strength(i: usize, row: &Row, name: &str, notes: &mut Vec<Note>) -> Vec<Percent> {
    let field = format!("setup.rows.{i}.strength");
    if row.strength.trim().is_empty() {
        return Vec::new();
    }
    match percents(&row.strength) {
        Ok(all) if all.len() <= row.contents.split('+').count() => all,
        Ok(_) => {
            notes.push(Note::error(
                field,
                format!("{name} has more strengths than contents."),
                "Put a + between the contents too, in the same order.",
            ));
            Vec::new()
        }
        Err(_) => {
            notes.push(Note::error(
                field,
                format!("The strength of {name} is not a percentage."),
                "Type 25, a range such as 25–30, or two with + between; 0 to 100.",
            ));
            Vec::new()
        }
    }
}

#[cfg(test)]
mod notes;
#[cfg(test)]
mod tests;
