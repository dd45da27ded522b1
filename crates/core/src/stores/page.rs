//! The stores station: what was typed, what is shown, what its buttons do.

use super::ask::PRICE;
use super::view::LineRow;
use super::{
    Ask, BottleRow, InkRow, IronRow, LampRow, LevelRow, PaperRow, PowderRow, StockRow, View, level, powder,
};
use crate::book::{Book, Bottle, Change, IronSeen, Key, Kind, Object};
use crate::chemistry::together;
use crate::coat::{self, Content};
use crate::entry::{self, Range};
use crate::station::{Act, Answer, Deed, Scene, Station};

/// The stores station.
#[derive(Clone, Copy, Debug)]
pub struct Stores;

impl Station for Stores {
    const ID: &'static str = "stores";
    type Ask = Ask;
    type View = View;

    fn load(book: &Book) -> Ask {
        Ask {
            bottles: book.bottles().map(|(id, x)| BottleRow::of(id, x)).collect(),
            powders: book.powders().map(|(id, x)| PowderRow::of(id, x)).collect(),
            papers: book.papers().map(|(id, x)| PaperRow::of(id, x)).collect(),
            stocks: book.stocks().map(|(id, x)| StockRow::of(id, x)).collect(),
            inks: book.inks().map(|(id, x)| InkRow::of(id, x)).collect(),
            lamps: book.lamps().map(|(id, x)| LampRow::of(id, x)).collect(),
        }
    }

    fn keep(book: &Book, ask: Ask) -> Change {
        let mut all: Vec<Change> = ask.bottles.iter().map(|r| r.keep(book)).collect();
        all.extend(ask.powders.iter().map(|r| r.keep(book)));
        all.extend(ask.papers.iter().map(|r| r.keep(book)));
        all.extend(ask.stocks.iter().map(|r| r.keep(book)));
        all.extend(ask.inks.iter().map(|r| r.keep(book)));
        all.extend(ask.lamps.iter().map(|r| r.keep(book)));
        Change::All(all)
    }

    fn answer(ask: &Ask, scene: &Scene<'_>) -> Answer<View> {
        answer(ask, scene)
    }

    fn act(ask: &Ask, deed: Deed<'_>, scene: &Scene<'_>) -> Act {
        let fresh = |kind| Key::fresh(kind, scene.now, scene.luck);
        let put = |kind, object| Act::change(Change::put(fresh(kind), object));
        let row = deed.place.parse::<usize>().ok();
        let delete = |kind, id: Option<&String>| match id {
            Some(id) => Act::change(Change::Delete(Key::new(kind, id.clone()))),
            None => Act::default(),
        };
        match deed.verb {
            "add-bottle" => match Content::of(deed.place) {
                Some(content) => put(Kind::Bottle, Object::Bottle(Box::new(new_bottle(content)))),
                None => Act::default(),
            },
            "seen-good" => level::tested(row, IronSeen::Good, scene),
            "seen-blue" => level::tested(row, IronSeen::BlueAtOnce, scene),
            "seen-never" => level::tested(row, IronSeen::NeverBlue, scene),
            "add-powder" => put(Kind::Powder, Object::Powder(Box::default())),
            "add-paper" => put(Kind::Paper, Object::Paper(Box::default())),
            "add-stock" => put(Kind::Stock, Object::Stock(Box::default())),
            "add-ink" => put(Kind::Ink, Object::Ink(Box::default())),
            "add-lamp" => put(Kind::Lamp, Object::Lamp(Box::default())),
            "remove-bottle" => delete(Kind::Bottle, row.and_then(|i| ask.bottles.get(i)).map(|r| &r.id)),
            "remove-powder" => delete(Kind::Powder, row.and_then(|i| ask.powders.get(i)).map(|r| &r.id)),
            "remove-paper" => delete(Kind::Paper, row.and_then(|i| ask.papers.get(i)).map(|r| &r.id)),
            "remove-stock" => delete(Kind::Stock, row.and_then(|i| ask.stocks.get(i)).map(|r| &r.id)),
            "remove-ink" => delete(Kind::Ink, row.and_then(|i| ask.inks.get(i)).map(|r| &r.id)),
            "remove-lamp" => delete(Kind::Lamp, row.and_then(|i| ask.lamps.get(i)).map(|r| &r.id)),
            _ => Act::default(),
        }
    }

    fn sample() -> (Ask, View) {
        let ask = Ask {
            bottles: vec![BottleRow::default()],
            powders: vec![PowderRow::default()],
            papers: vec![PaperRow::default()],
            stocks: vec![StockRow::default()],
            inks: vec![InkRow::default()],
            lamps: vec![LampRow::default()],
        };
        let view = View {
            levels: vec![LevelRow::default()],
            irons: vec![IronRow::default()],
            powder_levels: vec![LineRow::default()],
            apart: vec![LineRow::default()],
            ..View::default()
        };
        (ask, view)
    }
}

/// A bottle as it is first put down: named by its content, at the strength a new setup plans with.
fn new_bottle(content: Content) -> Bottle {
    let preset = coat::Preset::default();
    let strength = match content {
        Content::Iron => preset.iron,
        Content::Palladium => preset.palladium,
        Content::Platinum => preset.platinum,
        Content::Agent => preset.agent_strength,
        Content::Surfactant => preset.surfactant_strength,
        Content::Chlorate => preset.iron,
        _ => String::new(),
    };
    Bottle { name: content.name().into(), content: content.word().into(), strength, ..Bottle::default() }
}

/// What stands on the shelf and must not meet.
fn apart(ask: &Ask, view: &mut View) {
    let bottles = ask.bottles.iter().map(|b| {
        let content = Content::of(&b.content).map_or("", Content::name);
        [content, " ", &b.name, " ", &b.salt].concat()
    });
    let powders = ask.powders.iter().map(|p| [p.name.as_str(), " ", &p.salt].concat());
    let mut names: Vec<String> = Vec::new();
    for name in bottles.chain(powders) {
        if !names.contains(&name) {
            names.push(name);
        }
    }
    for meeting in together::meetings(names.iter().map(String::as_str)).into_iter().filter(|m| m.on_shelf()) {
        view.apart.push(LineRow { name: meeting.text.into(), text: meeting.mend.into() });
    }
    view.has_apart = !view.apart.is_empty();
}

const SHEETS: Range = Range { low: 0.0, high: 100_000.0 };
const HOURS: Range = Range { low: 0.0, high: 1_000_000.0 };

fn answer(ask: &Ask, scene: &Scene<'_>) -> Answer<View> {
    let mut notes = Vec::new();
    let mut view = View::default();
    level::fill(ask, scene, &mut view, &mut notes);
    powder::fill(ask, scene.units(), &mut view, &mut notes);
    apart(ask, &mut view);
    let mut check = |list: &str, i: usize, field: &str, label: &str, text: &str, range: Range| {
        let _ = entry::optional(&format!("{list}.{i}.{field}"), label, text, range, &["h"], &mut notes);
    };
    for (i, row) in ask.papers.iter().enumerate() {
        check("papers", i, "price", "The price", &row.price, PRICE);
        check("papers", i, "left", "The number of sheets", &row.left, SHEETS);
    }
    for (i, row) in ask.stocks.iter().enumerate() {
        check("stocks", i, "price", "The price", &row.price, PRICE);
        check("stocks", i, "left", "The number of sheets", &row.left, SHEETS);
        check("stocks", i, "touch_dry", "The drying time", &row.touch_dry, HOURS);
        check("stocks", i, "full_dry", "The drying time", &row.full_dry, HOURS);
    }
    for (i, row) in ask.lamps.iter().enumerate() {
        check("lamps", i, "hours", "The hour count", &row.hours, HOURS);
    }
    Answer { view, notes, workings: vec![], ticket: vec![] }
}
