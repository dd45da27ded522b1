//! Powders: what is left of them, what a gram costs, and what a bottle takes.

use super::ask::PRICE;
use super::view::LineRow;
use super::{Ask, View};
use crate::book::{Book, Change, Key, Kind, Object, Powder, typed_day};
use crate::chemistry::{Formula, making::Weighed};
use crate::entry::{self, Range};
use crate::note::Note;
use crate::quantity::Mass;
use crate::show::Units;

const GRAMS: Range = Range { low: 0.0, high: 1_000_000.0 };
const PERCENT: Range = Range { low: 0.01, high: 100.0 };

fn amount(text: &str) -> Option<f64> {
    entry::parse(text).ok().map(|t| t.value).filter(|x| *x >= 0.0)
}

/// Grams left: as typed, else all that was bought.
fn left(powder: &Powder) -> Option<Mass> {
    let text = if powder.left.trim().is_empty() { &powder.size } else { &powder.left };
    amount(text).map(Mass::from_g)
}

/// Price of a gram.
fn price(powder: &Powder) -> Option<f64> {
    let each = amount(&powder.price)? / amount(&powder.size)?;
    each.is_finite().then_some(each)
}

/// Fills what is shown of the powders, with a note for every odd field.
pub(super) fn fill(ask: &Ask, u: Units, view: &mut View, notes: &mut Vec<Note>) {
    for (i, row) in ask.powders.iter().enumerate() {
        let mut read = |field: &str, label: &str, text: &str, range: Range, unit: &str| {
            let name = ["powders.", &i.to_string(), ".", field].concat();
            entry::optional(&name, label, text, range, &[unit], notes)
        };
        read("purity", "The purity", &row.purity, PERCENT, "%");
        let size = read("size", "The grams bought", &row.size, GRAMS, "g");
        let cost = read("price", "The price", &row.price, PRICE, "");
        let rest = read("left", "The grams left", &row.left, GRAMS, "g");
        if !row.salt.trim().is_empty()
            && let Err(e) = Formula::parse(row.salt.trim())
        {
            notes.push(e.note(&["powders.", &i.to_string(), ".salt"].concat(), "The formula"));
        }
        if !row.opened.trim().is_empty() && typed_day(&row.opened).is_none() {
            notes.push(Note::warning(
                ["powders.", &i.to_string(), ".opened"].concat(),
                "This date is not read.",
                "Type it as 2026-02-14 or 14.2.2026.",
            ));
        }
        let rest = if row.left.trim().is_empty() { size } else { rest };
        let mut said = rest.map_or_else(String::new, |g| [&u.figures(g, 4), " g left"].concat());
        if let (Some(size), Some(cost)) = (size.filter(|s| *s > 0.0), cost) {
            said.push_str(&[", ", &u.number(cost / size, 2), " a gram"].concat());
        }
        let name = [&row.name, &row.salt].into_iter().map(|t| t.trim()).find(|t| !t.is_empty());
        view.powder_levels.push(LineRow { name: name.unwrap_or("powder").into(), text: said });
    }
    view.has_powders = !view.powder_levels.is_empty();
}

/// What a bottle took from the powders on the shelf.
#[derive(Debug)]
pub(crate) struct Drawn {
    /// What changes in the stores.
    pub change: Change,
    /// What it cost, if every powder that was taken has a price.
    pub cost: Option<f64>,
    /// What was not there.
    pub notes: Vec<Note>,
}

/// Takes what was weighed from the powders of that formula, or of that name, the oldest first. What the stores do not
/// know is passed over.
pub(crate) fn draw(book: &Book, weighed: &[Weighed], u: Units) -> Drawn {
    let mut drawn = Drawn { change: Change::None, cost: Some(0.0), notes: vec![] };
    for w in weighed {
        let formula = Formula::parse(&w.formula).ok();
        let same = |p: &Powder| match (&formula, Formula::parse(p.salt.trim())) {
            (Some(f), Ok(of)) => *f == of,
            _ => p.name.trim().eq_ignore_ascii_case(&w.name),
        };
        let mut all: Vec<(&str, &Powder)> = Vec::new();
        for (id, powder) in book.powders().filter(|(_, p)| same(p)) {
            let day = |p: &Powder| typed_day(&p.opened).unwrap_or(i64::MAX);
            all.insert(all.partition_point(|(_, p)| day(p) <= day(powder)), (id, powder));
        }
        if all.is_empty() {
            drawn.cost = None;
            continue;
        }
        let mut missing = w.mass.to_g();
        for (id, powder) in all {
            let Some(held) = left(powder).map(Mass::to_g) else { continue };
            let part = held.min(missing);
            if part <= 0.0 {
                continue;
            }
            missing -= part;
            drawn.cost = drawn.cost.zip(price(powder)).map(|(sum, each)| sum + each * part);
            let rest = u.figures(held - part, 6);
            let powder = Powder { left: rest, ..powder.clone() };
            let key = Key::new(Kind::Powder, id);
            drawn.change = drawn.change.and(Change::put(key, Object::Powder(Box::new(powder))));
        }
        if missing > 0.0005 {
            drawn.cost = None;
            drawn.notes.push(Note::warning(
                "volume",
                ["The stores lack ", &u.figures(missing, 3), " g of ", &w.name, "."].concat(),
                "Look at the jar and correct its grams at the stores; it stands at zero now.",
            ));
        }
    }
    drawn
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    fn book(powders: &[(&str, &str, &str, &str, &str)]) -> Book {
        let mut book = Book::fresh(1, 2);
        for (id, salt, size, left, price) in powders {
            let [salt, size, left, price] = [salt, size, left, price].map(|t| (*t).to_owned());
            let powder =
                Powder { opened: ["2025-01-0", id].concat(), salt, size, left, price, ..Powder::default() };
            book.apply(Change::put(Key::new(Kind::Powder, *id), Object::Powder(Box::new(powder))), 1, "add");
        }
        book
    }

    fn weighed(g: f64) -> Vec<Weighed> {
        vec![Weighed {
            name: "palladium(II) chloride".into(),
            formula: "PdCl2".into(),
            mass: Mass::from_g(g),
        }]
    }

    #[test]
    fn the_oldest_jar_is_emptied_first() {
        let mut book = book(&[
            ("2", "PdCl2", "5", "", "300"),
            ("1", "Cl2Pd", "5", "1.5", "250"),
            ("3", "NaCl", "500", "", "4"),
        ]);
        let drawn = draw(&book, &weighed(4.0), Units::default());
        // 1.5 g at 50 a gram, 2.5 g at 60.
        assert_eq!((drawn.cost, drawn.notes.len()), (Some(225.0), 0));
        let undo = book.apply(drawn.change, 2, "x").inverse;
        let left = |book: &Book, id: &str| book.powder(id).unwrap().left.clone();
        assert_eq!(
            (left(&book, "1"), left(&book, "2"), left(&book, "3")),
            ("0".into(), "2.5".into(), String::new())
        );
        book.apply(undo, 3, "undo");
        assert_eq!(left(&book, "1"), "1.5");
    }

    #[test]
    fn nothing_goes_below_zero_without_a_note() {
        let book = book(&[("1", "PdCl2", "5", "", "300")]);
        let drawn = draw(&book, &weighed(7.0), Units::default());
        assert_eq!((drawn.cost, drawn.notes.len()), (None, 1));
        assert!(drawn.notes[0].text.contains("2 g"));
        let none = draw(&Book::fresh(1, 2), &weighed(7.0), Units::default());
        assert_eq!((none.change, none.cost, none.notes.len()), (Change::None, None, 0));
    }
}
