//! What the bottles come to: prints they are enough for, how old they are, how they were tested.

use super::ask::PRICE;
use super::{Ask, IronRow, LevelRow, View};
use super::{BottleRow, keeping, levels};
use crate::book::{Book, Bottle, Change, IronSeen, IronTest, Key, Kind, Object, date, today, typed_day};
use crate::chemistry::concentration::Missing;
use crate::chemistry::{Formula, solubility};
use crate::coat::{Content, Plan, density, drops_per_ml, since, strength};
use crate::entry::{self, Range};
use crate::note::Note;
use crate::quantity::{Temperature, Volume};
use crate::station::{Act, Scene};

const VOLUME: Range = Range { low: 0.0, high: 100_000.0 };
const PERCENT: Range = Range { low: 0.01, high: 100.0 };
const STATED: Range = Range { low: 0.0001, high: 2000.0 };
const CHLORATE: Range = Range { low: 0.0, high: 10.0 };
const DROPS: Range = Range { low: 5.0, high: 100.0 };
const COUNT: Range = Range { low: 1.0, high: 10_000.0 };
const MEASURED: Range = Range { low: 0.01, high: 1000.0 };
const DENSITY: Range = Range { low: 0.5, high: 4.0 };
const MONTHS: Range = Range { low: 0.0, high: 1200.0 };
/// Where the strength of a bottle is judged.
const ROOM: Temperature = Temperature::from_celsius(20.0);
/// Tests that are shown of a bottle; all are kept.
const TESTS: usize = 4;

/// A row of the list while it is put in order.
struct Level {
    line: LevelRow,
    part: Option<f64>,
    content: Option<Content>,
    day: i64,
    prints: Option<f64>,
    empty: bool,
}

/// Fills what is shown of the bottles, by content, oldest first.
pub(super) fn fill(ask: &Ask, scene: &Scene<'_>, view: &mut View, notes: &mut Vec<Note>) {
    let plan = Plan::read(&scene.book.ticket().asks.coat, scene.book, &mut Vec::new());
    let order = |l: &Level| (l.content.map_or(Content::ALL.len(), Content::index), l.day);
    let mut all: Vec<Level> = Vec::new();
    for (i, row) in ask.bottles.iter().enumerate() {
        let level = level(i, row, &plan, scene, notes);
        let place = all.partition_point(|l| order(l) <= order(&level));
        all.insert(place, level);
    }
    let mut least: Option<(f64, Content)> = None;
    for content in Content::ALL {
        let of = || all.iter().filter(move |l| l.content == Some(content) && !l.empty);
        if of().count() == 0 || of().any(|l| l.prints.is_none()) {
            continue;
        }
        let prints = of().filter_map(|l| l.prints).sum();
        if least.is_none_or(|(p, _)| prints < p) {
            least = Some((prints, content));
        }
    }
    let u = scene.units();
    if let Some((prints, content)) = least {
        view.first_out = format!(
            "{} runs out first, after {} prints mixed as on this ticket.",
            capital(content.name()),
            u.number(prints.floor(), 0)
        );
    }
    let mut bars = Vec::new();
    let mut before = None;
    let several = Content::ALL.map(|c| all.iter().filter(|l| l.content == Some(c) && !l.empty).count() > 1);
    for mut level in all {
        let alone = level.content.is_none_or(|c| !several[c.index()]);
        if !alone && !level.empty && level.content != before {
            level.line.first = "oldest: use it first".into();
            before = level.content;
        }
        let beside = match (level.line.prints.as_str(), level.line.left.as_str()) {
            ("", "") => String::new(),
            ("", left) => format!("{left} left"),
            (prints, _) => prints.to_owned(),
        };
        bars.push((level.line.name.clone(), beside, level.part));
        view.levels.push(level.line);
    }
    view.drawing = levels(&bars);
    view.has_bottles = !ask.bottles.is_empty();
    view.no_bottles = ask.bottles.is_empty();
    for (_, bottle) in irons(scene.book) {
        view.irons
            .push(IronRow { name: named(&bottle.name, Some(Content::Iron)), tests: said(bottle, scene) });
    }
    view.has_irons = !view.irons.is_empty();
}

/// Iron solutions, oldest first, with their identities.
fn irons(book: &Book) -> Vec<(&str, &Bottle)> {
    let mut all: Vec<(&str, &Bottle)> = Vec::new();
    for (id, bottle) in book.bottles().filter(|(_, b)| Content::of(&b.content) == Some(Content::Iron)) {
        let day = since(id, bottle);
        all.insert(all.partition_point(|(id, bottle)| since(id, bottle) <= day), (id, bottle));
    }
    all
}

/// Writes a test into the iron bottle of that row.
pub(super) fn tested(row: Option<usize>, seen: IronSeen, scene: &Scene<'_>) -> Act {
    let irons = irons(scene.book);
    let Some((id, bottle)) = row.and_then(|row| irons.get(row)) else { return Act::default() };
    let mut bottle = Bottle::clone(bottle);
    bottle.tests.push(IronTest { at: scene.now, seen });
    Act::change(Change::put(Key::new(Kind::Bottle, *id), Object::Bottle(Box::new(bottle))))
}

/// What the tests of a bottle said.
fn said(bottle: &Bottle, scene: &Scene<'_>) -> String {
    if bottle.tests.is_empty() {
        return "not tested yet".into();
    }
    let one = |test: &IronTest| {
        let seen = match test.seen {
            IronSeen::Good => "good",
            IronSeen::BlueAtOnce => "blue before light",
            IronSeen::NeverBlue => "no blue after light",
        };
        format!("{}: {seen}", date(test.at, scene.zone_minutes))
    };
    let shown: Vec<String> = bottle.tests.iter().rev().take(TESTS).map(one).collect();
    let more = bottle.tests.len().saturating_sub(TESTS);
    let more = if more > 0 { format!("; {more} earlier") } else { String::new() };
    format!("{}{more}", shown.join("; "))
}

fn named(name: &str, content: Option<Content>) -> String {
    match (name.trim(), content) {
        ("", Some(content)) => content.name().into(),
        ("", None) => "bottle".into(),
        (name, _) => name.into(),
    }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// What one bottle comes to, and how full it is.
fn level(i: usize, row: &BottleRow, plan: &Plan, scene: &Scene<'_>, notes: &mut Vec<Note>) -> Level {
    let u = scene.units();
    let mut read = |field: &str, label: &str, text: &str, range: Range, units: &[&str]| {
        entry::optional(&format!("bottles.{i}.{field}"), label, text, range, units, notes)
    };
    let stated = if row.basis.is_empty() { PERCENT } else { STATED };
    read("strength", "The strength", &row.strength, stated, &["%", "%w/v", "%w/w", "g/l", "mol/l"]);
    read("chlorate", "The chlorate", &row.chlorate, CHLORATE, &["%", "%w/v"]);
    read("drops", "The drop count", &row.drops, DROPS, &["drops", "drops/ml"]);
    read("count_drops", "The number of drops counted", &row.count_drops, COUNT, &["drops"]);
    read("count_ml", "Their volume", &row.count_ml, MEASURED, &["ml"]);
    read("count_g", "Their weight", &row.count_g, MEASURED, &["g"]);
    read("density", "The density", &row.density, DENSITY, &["g/ml"]);
    read("keeps", "How long it keeps", &row.keeps, MONTHS, &["months"]);
    let size = read("size", "The size", &row.size, VOLUME, &["ml"]);
    let price = read("price", "The price", &row.price, PRICE, &[]);
    let left = read("left", "What is left", &row.left, VOLUME, &["ml"]);
    let left = if row.left.trim().is_empty() { size } else { left };
    let content = Content::of(&row.content);
    let mut line = LevelRow { name: named(&row.name, content), ..LevelRow::default() };
    let bottle = row.bottle();
    if content.is_none() {
        notes.push(Note::error(
            format!("bottles.{i}.content"),
            format!("Nobody can tell what {} holds.", line.name),
            "Choose its content.",
        ));
    }
    labelled(i, content, &bottle, notes);
    if let (Some(size), Some(left)) = (size, left)
        && left > size
    {
        notes.push(Note::warning(
            format!("bottles.{i}.left"),
            format!("{} holds more than its size.", line.name),
            "Check both figures; the price of a millilitre counts by the size.",
        ));
    }
    if row.left.trim().is_empty() && (row.size.trim().is_empty() || size == Some(0.0)) {
        line.prints = "size not known".into();
        notes.push(Note::hint(
            format!("bottles.{i}.size"),
            "Without a size nobody can count what is left and what it costs. Type the mL that were bought or made.",
        ));
    }
    let mut prints = None;
    if let Some(left) = left.filter(|_| line.prints.is_empty()) {
        line.left = u.ml(Volume::from_ml(left));
        let used = content.and_then(|c| Some(plan.mix?.volume(c) / plan.sheets?));
        if let Some(used) = used.map(Volume::to_ml).filter(|&v| v > 0.0) {
            let enough = (left / used) + 1e-9;
            let whole = enough.floor();
            let word = if whole == 1.0 { "print" } else { "prints" };
            line.prints = format!("{} {word}", u.number(whole, 0));
            prints = Some(enough);
        }
    }
    if let (Some(size), Some(price)) = (size, price)
        && size > 0.0
    {
        line.per_ml = u.number(price / size, 2);
    }
    line.dropper = dropper(&bottle, scene);
    line.keeps = age(i, content, &bottle, scene, notes);
    let part = match (size, left) {
        (Some(size), Some(left)) if size > 0.0 => Some((left / size).min(1.0)),
        _ => None,
    };
    let empty = left == Some(0.0);
    Level { line, part, content, day: since(&row.id, &bottle), prints, empty }
}

/// Whether what its label says can be counted with.
fn labelled(i: usize, content: Option<Content>, bottle: &Bottle, notes: &mut Vec<Note>) {
    if !bottle.salt.trim().is_empty()
        && let Err(e) = Formula::parse(bottle.salt.trim())
    {
        notes.push(e.note(&format!("bottles.{i}.salt"), "The formula"));
        return;
    }
    let Some(content) = content else { return };
    let stated = strength(content, bottle);
    let salt = if bottle.salt.trim().is_empty() { content.salt() } else { bottle.salt.trim() };
    let most = solubility::limit(salt, ROOM).map(|l| l.high);
    if let (Ok(Some(stated)), Some(most)) = (&stated, most)
        && *stated > most
    {
        notes.push(Note::warning(
            format!("bottles.{i}.strength"),
            "No bottle holds that much at 20 °C; the rest lies as crystals at its bottom.",
            "Check the label and how its strength is stated, or warm the bottle before use.",
        ));
    }
    if let Err(missing) = stated {
        let field = if missing == Missing::SolutionDensity { "density" } else { "basis" };
        notes.push(missing.note(&format!("bottles.{i}.{field}")));
    }
}

/// What was measured of a bottle's dropper.
fn dropper(bottle: &Bottle, scene: &Scene<'_>) -> String {
    let u = scene.units();
    let drops = drops_per_ml(bottle).map(|d| format!("{} drops/mL", u.figures(d, 3)));
    let density = density(bottle).map(|d| format!("{} g/mL", u.figures(d, 3)));
    [drops, density].into_iter().flatten().collect::<Vec<_>>().join(", ")
}

/// How old a bottle is and how long it keeps.
fn age(
    i: usize,
    content: Option<Content>,
    bottle: &Bottle,
    scene: &Scene<'_>,
    notes: &mut Vec<Note>,
) -> String {
    let (field, today) = (format!("bottles.{i}.opened"), today(scene.now, scene.zone_minutes));
    let Some(opened) = typed_day(&bottle.opened) else {
        if !bottle.opened.trim().is_empty() {
            notes.push(Note::error(
                field,
                "This date is not read.",
                "Type it as 2026-02-14 or 14.2.2026, and age and order come from it.",
            ));
        }
        return String::new();
    };
    if opened > today {
        notes.push(Note::warning(
            field,
            "This date lies in the future.",
            "Check the year; until then the bottle counts as the newest.",
        ));
        return String::new();
    }
    let days = today - opened;
    let old = format!("{days} {} old", if days == 1 { "day" } else { "days" });
    let Some(content) = content else { return old };
    match keeping::over(content, bottle, today) {
        Some(over) if over > 0 => {
            notes.push(Note::warning(
                format!("bottles.{i}.keeps"),
                format!("{} is {over} days older than it keeps.", named(&bottle.name, Some(content))),
                "Test it, make a new one, or change how long it keeps.",
            ));
            format!("{old}, past its time")
        }
        Some(over) => format!("{old}, keeps about {} days more", -over),
        None => format!("{old}, keeps in the dark"),
    }
}
