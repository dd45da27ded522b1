//! Powders: what is left of them, what a gram costs, and what a bottle takes.

use super::ask::PRICE;
use super::view::LineRow;
use super::{Ask, View};
use crate::book::{Book, Change, Key, Kind, Object, Powder, typed_day};
use crate::chemistry::Formula;
use crate::chemistry::making::{Stock, Weighed};
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
        let size = read("size", "The amount bought", &row.size, GRAMS, "g");
        let cost = read("price", "The price", &row.price, PRICE, "");
        let rest = read("left", "The grams left", &row.left, GRAMS, "g");
        if !row.salt.trim().is_empty()
            && let Err(e) = Formula::parse(row.salt.trim())
        {
            notes.push(e.note(&["powders.", &i.to_string(), ".salt"].concat(), "The formula"));
        }
        if !row.opened.trim().is_empty() && typed_day(&row.opened).is_none() {
            notes.push(Note::error(
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

/// How a jar of the stores goes with what was weighed.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Match {
    /// By its formula; or by its name, where what was weighed has no formula.
    Sure,
    /// By its name alone, though what was weighed has a formula.
    ByName,
    /// The same solid with more or less water than was weighed.
    OtherForm,
    /// Not at all.
    Not,
}

/// A name without case, blanks, hyphens and the two ways of spelling sulfur.
fn bare(name: &str) -> String {
    let letters = name.chars().filter(|c| !c.is_whitespace() && !matches!(c, '-' | '‐' | '–'));
    letters.flat_map(char::to_lowercase).collect::<String>().replace("sulph", "sulf")
}

/// A name may be a formula, too, where no other was typed.
fn matching(powder: &Powder, w: &Weighed) -> Match {
    let text = if powder.salt.trim().is_empty() { &powder.name } else { &powder.salt };
    let named = bare(&powder.name) == bare(&w.name);
    let parse = |text: &str| Formula::parse(text.trim()).ok();
    match (parse(&w.formula), parse(text)) {
        (Some(wanted), Some(of)) if wanted == of => Match::Sure,
        (Some(_), Some(of)) => {
            let forms = Stock::named(&w.name).map_or(&[][..], |s| s.forms);
            let kin = forms.iter().any(|f| parse(f).is_some_and(|f| f == of));
            if named || kin { Match::OtherForm } else { Match::Not }
        }
        (Some(_), None) if named => Match::ByName,
        (None, _) if named => Match::Sure,
        _ => Match::Not,
    }
}

/// Why nothing was taken for what was weighed; `None` if no powders are kept here at all.
fn passed_over(book: &Book, w: &Weighed, place: &str) -> Option<Note> {
    book.powders().next()?;
    let what: &str = if w.formula.is_empty() { &w.name } else { &w.formula };
    Some(match book.powders().find(|(_, p)| matching(p, w) == Match::OtherForm) {
        Some((_, jar)) => Note::warning(
            place,
            [
                "The stores hold ",
                w.name.as_ref(),
                " as ",
                [&jar.salt, &jar.name].into_iter().map(|t| t.trim()).find(|t| !t.is_empty()).unwrap_or(""),
                ", and ",
                what,
                " was weighed: nothing was taken from it.",
            ]
            .concat(),
            "Choose that form above and weigh again, or correct the formula at the stores.",
        ),
        None => Note::hint(
            place,
            [
                "No powder in the stores is ",
                w.name.as_ref(),
                if w.formula.is_empty() { "" } else { ", " },
                &w.formula,
                ": nothing was taken for it.",
            ]
            .concat(),
        ),
    })
}

/// Takes what was weighed from the powders of that formula, or of that name, the oldest first. Notes, to the place given,
/// say where the match is not sure and what was not found, unless the stores keep no powders.
pub(crate) fn draw(book: &Book, weighed: &[Weighed], place: &str, u: Units) -> Drawn {
    let mut drawn = Drawn { change: Change::None, cost: Some(0.0), notes: vec![] };
    for w in weighed {
        let mut all: Vec<(&str, &Powder)> = Vec::new();
        let found = |p: &Powder| matches!(matching(p, w), Match::Sure | Match::ByName);
        for (id, powder) in book.powders().filter(|(_, p)| found(p)) {
            let day = |p: &Powder| typed_day(&p.opened).unwrap_or(i64::MAX);
            all.insert(all.partition_point(|(_, p)| day(p) <= day(powder)), (id, powder));
        }
        if all.is_empty() {
            drawn.cost = None;
            drawn.notes.extend(passed_over(book, w, place));
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
            if matching(powder, w) == Match::ByName {
                drawn.notes.push(Note::warning(
                    place,
                    [powder.name.trim(), " was taken for ", &w.formula, " by its name alone."].concat(),
                    "If it is another form, undo this and type the formula of its label at the stores.",
                ));
            }
            drawn.cost = drawn.cost.zip(price(powder)).map(|(sum, each)| sum + each * part);
            let rest = u.figures(held - part, 6);
            let powder = Powder { left: rest, ..powder.clone() };
            let key = Key::new(Kind::Powder, id);
            drawn.change = drawn.change.and(Change::put(key, Object::Powder(Box::new(powder))));
        }
        if missing > 0.0005 {
            drawn.cost = None;
            drawn.notes.push(Note::warning(
                place,
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
        let drawn = draw(&book, &weighed(4.0), "shelve", Units::default());
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
        let drawn = draw(&book, &weighed(7.0), "shelve", Units::default());
        assert_eq!((drawn.cost, drawn.notes.len()), (None, 1));
        assert!(drawn.notes[0].text.contains("2 g"));
        let none = draw(&Book::fresh(1, 2), &weighed(7.0), "shelve", Units::default());
        assert_eq!((none.change, none.cost, none.notes.len()), (Change::None, None, 0));
    }

    fn jar(name: &str, salt: &str) -> Book {
        let mut book = Book::fresh(1, 2);
        let [name, salt, size] = [name, salt, "500"].map(str::to_owned);
        let powder = Powder { name, salt, size, ..Powder::default() };
        book.apply(Change::put(Key::new(Kind::Powder, "1"), Object::Powder(Box::new(powder))), 1, "add");
        book
    }

    fn oxalate(formula: &'static str) -> Vec<Weighed> {
        vec![Weighed { name: "potassium oxalate".into(), formula: formula.into(), mass: Mass::from_g(25.0) }]
    }

    #[test]
    fn a_jar_is_known_by_its_formula_or_a_name_in_any_case() {
        for (name, salt, sure) in [
            ("", "K2C2O4·H2O", true),
            ("Jar 3", " K2C2O4.H2O ", true),
            ("K2C2O4·H2O", "", true),
            (" Potassium  Oxalate ", "", false),
            ("POTASSIUM-OXALATE", "what the label says", false),
        ] {
            let book = jar(name, salt);
            let drawn = draw(&book, &oxalate("K2C2O4·H2O"), "shelve", Units::default());
            assert_ne!(drawn.change, Change::None, "{name} {salt}");
            // A name alone does not tell the water in it, so that is said.
            let said: Vec<&str> = drawn.notes.iter().map(|n| n.text.as_str()).collect();
            assert_eq!(said.iter().filter(|t| t.contains("by its name alone")).count(), usize::from(!sure));
            assert_eq!(said.len(), usize::from(!sure), "{said:?}");
        }
        assert_eq!(bare("Sodium Sulphite"), bare("sodium sulfite"));
    }

    #[test]
    fn what_is_not_taken_is_said() {
        let said = |book: &Book, weighed: &[Weighed]| {
            let drawn = draw(book, weighed, "shelve", Units::default());
            assert_eq!((drawn.change, drawn.cost), (Change::None, None));
            drawn.notes.into_iter().map(|n| n.text).collect::<Vec<_>>().join(" ")
        };
        // The dry salt is not the monohydrate: a tenth of the grams would be wrong.
        for name in ["potassium oxalate", "jar 3"] {
            let other = said(&jar(name, "K2C2O4"), &oxalate("K2C2O4·H2O"));
            assert!(other.contains("as K2C2O4, and K2C2O4·H2O was weighed"), "{other}");
        }
        let none = said(&jar("sodium sulfite", ""), &oxalate("K2C2O4·H2O"));
        assert!(none.starts_with("No powder in the stores is potassium oxalate, K2C2O4·H2O"), "{none}");
        let ferric =
            [Weighed { name: "iron(III) oxalate".into(), formula: "".into(), mass: Mass::from_g(1.0) }];
        let drawn = draw(&jar("Iron(III) Oxalate", "Fe2(C2O4)3·6H2O"), &ferric, "shelve", Units::default());
        assert!(drawn.change != Change::None && drawn.notes.is_empty());
    }
}
