//! The baths station: what was typed, what is shown.

use super::amount::{Percent, percents, weigh};
use super::caution::{cautions, refused};
use super::sequence::{Row, Step, rest, row_name, starting, steps};
use crate::book::{Book, Change};
use crate::chemistry::hazard;
use crate::chemistry::making::Stock;
use crate::entry::{self, Range};
use crate::fields;
use crate::light::Duration;
use crate::note::Note;
use crate::quantity::{Temperature, Volume};
use crate::show::{TemperatureUnit, Units};
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
}

fields!(out BathRow: name, time, until, bath, make);

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
        if from.temperature == to.temperature {
            return;
        }
        for row in &mut ask.setup.rows {
            if let Ok(typed) = entry::parse(&row.temperature)
                && typed.unit.is_empty()
            {
                let degrees = match to.temperature {
                    TemperatureUnit::C => in_unit(typed.value, from).to_celsius(),
                    TemperatureUnit::F => in_unit(typed.value, from).to_fahrenheit(),
                };
                let text = crate::show::decimals(degrees, 1);
                row.temperature = to.marked(text.trim_end_matches('0').trim_end_matches('.').into());
            }
        }
    }

    fn sample() -> (Ask, View) {
        let ask = Ask { setup: Preset { rows: vec![Row::default()], ..Preset::default() } };
        let view =
            View { baths: vec![BathRow::default()], dangers: vec![DangerRow::default()], ..View::default() };
        (ask, view)
    }
}

fn in_unit(value: f64, units: Units) -> Temperature {
    match units.temperature {
        TemperatureUnit::C => Temperature::from_celsius(value),
        TemperatureUnit::F => Temperature::from_fahrenheit(value),
    }
}

/// A temperature typed in the ticket's unit, or with `°C` or `°F` behind it; empty is `None`.
fn temperature(
    field: &str,
    label: &str,
    text: &str,
    units: Units,
    notes: &mut Vec<Note>,
) -> Option<Temperature> {
    if text.trim().is_empty() {
        return None;
    }
    let typed = match entry::parse(text) {
        Ok(typed) => typed,
        Err(e) => {
            notes.push(e.note(field, label));
            return None;
        }
    };
    let t = match typed.unit.as_str() {
        "" => in_unit(typed.value, units),
        "°c" | "c" => Temperature::from_celsius(typed.value),
        "°f" | "f" => Temperature::from_fahrenheit(typed.value),
        other => {
            notes.push(Note::error(
                field,
                format!("{label} has a unit that is not known here: {other}."),
                "Type °C, °F or the number alone.",
            ));
            return None;
        }
    };
    let celsius = t.to_celsius();
    if (CELSIUS.low..=CELSIUS.high).contains(&celsius) {
        return Some(t);
    }
    let ends = [CELSIUS.low, CELSIUS.high].map(|c| units.temperature(Temperature::from_celsius(c)));
    notes.push(Note::error(
        field,
        format!("{label} is {}, outside {} to {}.", units.temperature(t), ends[0], ends[1]),
        "Check the digits and the unit.",
    ));
    None
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

/// What is shown of one bath beside its time; its step of the working.
fn bath(i: usize, row: &Row, scene: &Scene<'_>, notes: &mut Vec<Note>, working: &mut Working) -> BathRow {
    let units = scene.units();
    let name = row_name(row, i);
    let strengths = strength(i, row, &name, notes);
    let field = format!("setup.rows.{i}.temperature");
    let label = format!("The temperature of {name}");
    let warm = temperature(&field, &label, &row.temperature, scene.book.ticket().units, notes);
    let field = format!("setup.rows.{i}.tray");
    let label = format!("The volume of {name}");
    let tray = entry::optional(&field, &label, &row.tray, TRAY, &["ml"], notes).map(Volume::from_ml);
    let percent = |p: &Percent| {
        if p.low < p.high {
            format!("{}–{} %", units.figures(p.low, 3), units.figures(p.high, 3))
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
    let mut make = String::new();
    if let Some(volume) = tray
        && !strengths.is_empty()
        && refused(row).is_none()
    {
        let grams: Vec<String> = weigh(&row.contents, &strengths, volume)
            .iter()
            .map(|w| {
                let (low, high) = (units.figures(w.low.to_g(), 3), units.figures(w.high.to_g(), 3));
                if low == high {
                    format!("{low} g {}", w.content)
                } else {
                    format!("{low}–{high} g {}", w.content)
                }
            })
            .collect();
        let litres = format!("{} L", units.figures(volume.to_litres(), 3));
        make = format!("{}, with water to {litres}", grams.join(" and "));
        working.sourced(
            &name,
            "strength × volume ÷ 100",
            format!(
                "{}; {} mL",
                strengths.iter().map(percent).collect::<Vec<_>>().join(" + "),
                units.figures(volume.to_ml(), 5)
            ),
            grams.join(" and "),
            "percent of this trade: grams of the solid named, made up to 100 mL",
        );
    }
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
mod tests {
    use super::*;
    use crate::station::Device;
    use crate::testing::test;
    use crate::tone::Solved;

    fn with<T>(f: impl FnOnce(&Scene<'_>) -> T) -> T {
        let book = Book::fresh(1_000, 7);
        let (tone, device) = (Solved::default(), Device::default());
        f(&Scene { book: &book, now: 1_000, zone_minutes: 0, luck: 1, tone: &tone, device: &device })
    }

    #[test]
    fn the_starting_sequence_is_answered_whole() {
        with(|scene| {
            let out = answer(&Ask::default(), scene);
            assert_eq!(out.ticket[0], TicketCell::done("baths", "5 baths, 47 min"));
            assert_eq!(out.view.total, "47:00");
            assert_eq!(out.view.baths[0].bath, "potassium oxalate 25–30 %, 20 °C");
            assert_eq!(out.view.baths[4].until, "47:00");
        });
    }

    #[test]
    fn a_tray_is_weighed_out() {
        with(|scene| {
            let mut ask = Ask::default();
            ask.setup.rows[2].tray = "1500 mL".into();
            let out = answer(&ask, scene);
            let wanted = "45 g tetrasodium EDTA and 22.5–45 g sodium sulfite, with water to 1.5 L";
            assert_eq!(out.view.baths[2].make, wanted);
            assert!(out.view.baths[0].make.is_empty());
        });
    }

    #[test]
    fn what_hurts_at_once_is_not_weighed_out_and_the_rest_is_said() {
        with(|scene| {
            let mut ask = Ask::default();
            ask.setup.rows[1].tray = "1000".into();
            assert!(!answer(&ask, scene).view.baths[1].make.is_empty());
            ask.setup.rows[1].contents = "citric acid + bleach".into();
            ask.setup.rows[1].strength = "2 + 5".into();
            let out = answer(&ask, scene);
            assert!(out.view.baths[1].make.is_empty());
            let danger = |n: &&Note| n.field == "setup.rows.1.contents" && n.text.contains("chlorine");
            assert_eq!(
                out.notes.iter().find(danger).map(|n| n.severity),
                Some(crate::note::Severity::Danger)
            );
            let names: Vec<&str> = out.view.dangers.iter().map(|d| d.name.as_str()).collect();
            assert_eq!(names, ["potassium oxalate", "citric acid", "tetrasodium EDTA", "sodium sulfite"]);
            assert!(out.view.dangers[2].codes.starts_with("H318 Causes serious eye damage"));
        });
    }

    #[test]
    fn one_odd_time_withholds_only_the_sums() {
        with(|scene| {
            let mut ask = Ask::default();
            ask.setup.rows[1].minutes = "a while".into();
            let out = answer(&ask, scene);
            assert!(!out.ticket[0].done && out.view.total.is_empty());
            assert_eq!(out.view.baths[0].time, "2:00");
            assert!(out.notes.iter().any(|n| n.field == "setup.rows.1.minutes"));
        });
    }

    #[test]
    fn rows_are_added_moved_and_removed() {
        with(|scene| {
            let names = |verb: &str, place: &str| {
                let mut book = scene.book.clone();
                let act = Baths::act(&Ask::default(), Deed { verb, place }, scene);
                book.apply(act.change.unwrap_or(Change::None), 1, verb);
                Baths::load(&book).setup.rows.iter().map(|r| r.name.clone()).collect::<Vec<_>>().join("|")
            };
            let start = "Developer|Acid clearing|Clearing, first|Clearing, second|Wash";
            assert_eq!(names("up", "1"), "Acid clearing|Developer|Clearing, first|Clearing, second|Wash");
            assert_eq!(names("down", "0"), "Acid clearing|Developer|Clearing, first|Clearing, second|Wash");
            assert_eq!(names("remove", "4"), "Developer|Acid clearing|Clearing, first|Clearing, second");
            assert_eq!(names("add", ""), format!("{start}|"));
            for (verb, place) in [("up", "0"), ("down", "4"), ("remove", "9"), ("remove", "x"), ("up", "-1")]
            {
                assert_eq!(names(verb, place), start);
            }
        });
    }

    #[test]
    fn temperatures_follow_the_unit() {
        let mut ask = Ask::default();
        let c = Units::default();
        let f = Units { temperature: TemperatureUnit::F, ..c };
        Baths::convert(&mut ask, c, f);
        assert_eq!(ask.setup.rows[0].temperature, "68");
        Baths::convert(&mut ask, f, c);
        assert_eq!(ask, Ask::default());
    }
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod notes {
    use super::*;
    use crate::station::Device;
    use crate::tone::Solved;
    use expect_test::expect;
    use proptest::prelude::*;

    fn with<T>(f: impl FnOnce(&Scene<'_>) -> T) -> T {
        let book = Book::fresh(1_000, 7);
        let (tone, device) = (Solved::default(), Device::default());
        f(&Scene { book: &book, now: 1_000, zone_minutes: 0, luck: 1, tone: &tone, device: &device })
    }

    #[test]
    fn every_note() {
        let row = |strength: &str, temperature: &str, minutes: &str, tray: &str| Row {
            name: "Wash".into(),
            contents: "water".into(),
            strength: strength.into(),
            temperature: temperature.into(),
            minutes: minutes.into(),
            tray: tray.into(),
            remark: String::new(),
        };
        let rows = vec![
            row("much", "hot", "soon", "big"),
            row("1 + 2", "300", "", "5"),
            row("", "20 K", "0", "2 L"),
            row("", "-3 °C", "99999", ""),
        ];
        let ask = Ask { setup: Preset { rows, rest: "x".into(), dry: "y".into() } };
        let full = Ask { setup: Preset { rows: vec![Row::default(); MOST], ..Preset::default() } };
        let line = |n: &Note| format!("{} {:?}: {} {}\n", n.field, n.severity, n.text, n.mend);
        let text: String = with(|scene| {
            let more = act(&full, Deed { verb: "add", place: "" }, scene).notes;
            answer(&ask, scene).notes.iter().chain(&more).map(line).collect()
        });
        expect![[r#"
            setup.rest Error: The time of Rest after coating is not a time. Type a plain number of minutes such as 5, or 5:30.
            setup.dry Error: The time of Drying is not a time. Type a plain number of minutes such as 5, or 5:30.
            setup.rows.0.minutes Error: The time of Wash is not a time. Type a plain number of minutes such as 5, or 5:30.
            setup.rows.1.minutes Error: The time of Wash is empty. Type a number, with comma or point.
            setup.rows.2.minutes Error: The time of Wash is 0:00, outside 0:01 to 48:00:00. Check it: 6:00 is six minutes.
            setup.rows.3.minutes Error: The time of Wash is 1666:39:00, outside 0:01 to 48:00:00. Check it: 6:00 is six minutes.
            setup.rows.0.strength Error: The strength of Wash is not a percentage. Type 25, a range such as 25–30, or two with + between; 0 to 100.
            setup.rows.0.temperature Error: The temperature of Wash is not a number. Type digits with comma or point, or a fraction such as 8 1/2.
            setup.rows.0.tray Error: The volume of Wash is not a number. Type digits with comma or point, or a fraction such as 8 1/2.
            setup.rows.1.strength Error: Wash has more strengths than contents. Put a + between the contents too, in the same order.
            setup.rows.1.temperature Error: The temperature of Wash is 300 °C, outside 0 °C to 95 °C. Check the digits and the unit.
            setup.rows.1.tray Error: The volume of Wash is 5, outside 10 to 100000. Check the digits and the unit beside the field.
            setup.rows.2.temperature Error: The temperature of Wash has a unit that is not known here: k. Type °C, °F or the number alone.
            setup.rows.2.tray Error: The volume of Wash has a unit that is not known here: l. Type the number alone; its unit stands beside the field.
            setup.rows.3.temperature Error: The temperature of Wash is -3 °C, outside 0 °C to 95 °C. Check the digits and the unit.
             Error: A sequence has 30 baths at most. Remove one that is not used.
        "#]].assert_eq(&text);
    }

    proptest! {
        #[test]
        fn any_typing_is_answered(
            texts in prop::collection::vec(prop::array::uniform7("(\\PC{0,8}|[0-9.,:/+–-]{0,6}|edta|hcl)"), 0..6),
            rest in "\\PC{0,6}", verb in "(add|remove|up|down|starting)", place in "(\\PC{0,3}|[0-9])",
        ) {
            let rows: Vec<Row> = texts.into_iter().map(|[name, contents, strength, temperature, minutes, tray, remark]| {
                Row { name, contents, strength, temperature, minutes, tray, remark }
            }).collect();
            let ask = Ask { setup: Preset { rows, dry: rest.clone(), rest } };
            with(|scene| {
                let out = answer(&ask, scene);
                assert_eq!(out.view.baths.len(), ask.setup.rows.len());
                let _ = act(&ask, Deed { verb: &verb, place: &place }, scene);
                let mut other = ask.clone();
                Baths::convert(&mut other, Units::default(), Units { temperature: TemperatureUnit::F, ..Units::default() });
            });
        }
    }
}
