//! Which bottles of the stores a mix is drawn from, oldest first, and how it is put back.

use super::{Ask, CONTENTS, Content, Plan};
use crate::book::{Bottle, Change, IronTest, Key, Kind, Object, typed_day};
use crate::chemistry::concentration::{self, Facts, Missing, Way};
use crate::chemistry::{Formula, Strength, drop};
use crate::entry;
use crate::note::Note;
use crate::quantity::{Mass, Volume};
use crate::station::{Act, Scene};
use crate::stores::take;

/// Milliseconds of a day.
const DAY_MS: i64 = 86_400_000;

/// The number in a text of the stores, if it is one and above zero.
pub(crate) fn amount(text: &str) -> Option<f64> {
    entry::parse(text).ok().map(|t| t.value).filter(|&x| x > 0.0)
}

/// What is left in a bottle: as typed, else its size.
pub(crate) fn left(bottle: &Bottle) -> Option<Volume> {
    let text = if bottle.left.trim().is_empty() { &bottle.size } else { &bottle.left };
    entry::parse(text).ok().filter(|t| t.value >= 0.0).map(|t| Volume::from_ml(t.value))
}

/// How a strength is stated, by its word in the book; % w/v for any other.
#[must_use]
pub fn way(word: &str) -> Way {
    WAYS.iter().find(|(w, _)| *w == word).map_or(Way::PercentWv, |(_, way)| *way)
}

const WAYS: [(&str, Way); 4] = [
    ("weight", Way::PercentWw),
    ("litre", Way::GramsPerLitre),
    ("mol", Way::MolPerLitre),
    ("water", Way::PerHundredWater),
];

/// The formula that a bottle's strength counts.
pub(crate) fn salt(content: Content, bottle: &Bottle) -> &str {
    let typed = bottle.salt.trim();
    if typed.is_empty() { content.salt() } else { typed }
}

/// Strength of a bottle in % w/v.
///
/// # Errors
/// What is missing to count it, for a strength that is stated in another way; `None` if no strength can be read.
pub(crate) fn strength(content: Content, bottle: &Bottle) -> Result<Option<Strength>, Missing> {
    let Some(stated) = amount(&bottle.strength) else { return Ok(None) };
    let molar = Formula::parse(salt(content, bottle)).ok().map(|f| f.molar_mass());
    let facts = Facts { molar, solution: density(bottle), solute: None };
    concentration::strength(stated, way(&bottle.basis), &facts).map(Some)
}

/// Price of a millilitre.
pub(crate) fn price_per_ml(bottle: &Bottle) -> Option<f64> {
    Some(amount(&bottle.price)? / amount(&bottle.size)?).filter(|x| x.is_finite())
}

/// Grams in a millilitre: as typed, else from drops that were both measured and weighed.
pub(crate) fn density(bottle: &Bottle) -> Option<f64> {
    let weighed = || Some(amount(&bottle.count_g)? / amount(&bottle.count_ml)?);
    amount(&bottle.density).or_else(weighed).filter(|g| (0.5..=4.0).contains(g))
}

/// Drops a millilitre: as typed, else as counted into a cylinder, else as weighed.
pub(crate) fn drops_per_ml(bottle: &Bottle) -> Option<f64> {
    let counted = || {
        let n = amount(&bottle.count_drops)?;
        let by_volume = amount(&bottle.count_ml).and_then(|ml| drop::by_volume(n, Volume::from_ml(ml)));
        by_volume.or_else(|| drop::by_weight(n, Mass::from_g(amount(&bottle.count_g)?), density(bottle)?))
    };
    amount(&bottle.drops).or_else(counted).filter(|d| (5.0..=100.0).contains(d))
}

/// The day a bottle was opened or made, as a day number; else the day it was put down here.
pub(crate) fn since(id: &str, bottle: &Bottle) -> i64 {
    let put_down = || i64::from_str_radix(id.split('-').next()?, 16).ok().map(|ms| ms / DAY_MS);
    typed_day(&bottle.opened).or_else(put_down).unwrap_or(0)
}

/// The last test of an iron bottle.
pub(crate) fn last_test(bottle: &Bottle) -> Option<&IronTest> {
    bottle.tests.iter().max_by_key(|t| t.at)
}

/// A bottle on the shelf.
#[derive(Clone, Copy, Debug)]
pub struct Standing<'a> {
    /// Identity.
    pub id: &'a str,
    /// The bottle.
    pub bottle: &'a Bottle,
    /// What is left, if that is known.
    pub left: Option<Volume>,
    day: i64,
}

/// The bottles that hold something or might, by content, oldest first. One look at every bottle of the book.
#[derive(Clone, Debug, Default)]
pub struct Shelf<'a> {
    rows: [Vec<Standing<'a>>; CONTENTS],
}

impl<'a> Shelf<'a> {
    /// Puts the bottles in order. An empty one is left out, unless it was chosen.
    pub fn of(ask: &Ask, bottles: impl Iterator<Item = (&'a str, &'a Bottle)>) -> Self {
        let mut shelf = Self::default();
        for (id, bottle) in bottles {
            let Some(content) = Content::of(&bottle.content) else { continue };
            let left = left(bottle);
            if left.is_none_or(|v| v.to_ml() > 0.0) || ask.bottle(content) == id {
                let day = since(id, bottle);
                let row = &mut shelf.rows[content.index()];
                // Put in its place rather than sorted: a sort costs the page's module four kilobytes.
                let place = row.partition_point(|s| s.day <= day);
                row.insert(place, Standing { id, bottle, left, day });
            }
        }
        shelf
    }

    /// The same of what the mix of a ticket can take alone: a large store costs no time for what is not mixed.
    pub fn for_mix(ask: &Ask, bottles: impl Iterator<Item = (&'a str, &'a Bottle)>) -> Self {
        let wanted = Content::ALL.map(|c| ask.may_mix(c));
        Self::of(ask, bottles.filter(|(_, b)| Content::of(&b.content).is_some_and(|c| wanted[c.index()])))
    }

    /// The bottles of a content, oldest first.
    #[must_use]
    pub fn row(&self, content: Content) -> &[Standing<'a>] {
        &self.rows[content.index()]
    }

    /// The bottle chosen on a ticket for a content; else the oldest.
    #[must_use]
    pub fn chosen(&self, ask: &Ask, content: Content) -> Option<Standing<'a>> {
        let (row, wanted) = (self.row(content), ask.bottle(content));
        row.iter().find(|s| s.id == wanted).or(row.first()).copied()
    }

    /// All that is left of a content.
    #[must_use]
    pub fn left(&self, content: Content) -> Volume {
        self.row(content).iter().filter_map(|s| s.left).sum()
    }
}

/// How the amounts taken are kept on the ticket: bottle, its volume as typed before, as written after, mL taken.
struct Took<'a> {
    id: &'a str,
    before: &'a str,
    after: &'a str,
    ml: f64,
}

/// Parts one bottle from the next, and one value from the next; neither can be part of a number.
const MARKS: [char; 2] = [';', '|'];

fn read_took(text: &str) -> impl Iterator<Item = Took<'_>> {
    text.split(MARKS[0]).filter_map(|one| {
        let all: Vec<&str> = one.split(MARKS[1]).collect();
        let [id, before, after, ml] = all[..] else { return None };
        Some(Took { id, before, after, ml: ml.parse().ok()? })
    })
}

/// Takes the planned volumes out of the bottles, the chosen one first and then the oldest, once a ticket.
pub(super) fn draw_from(ask: &Ask, scene: &Scene<'_>) -> Act {
    let book = scene.book;
    if !ask.drawn.is_empty() {
        return Act::note(Note::warning(
            "drawn",
            "This ticket's mix was drawn from the bottles already.",
            "Put it back first, or correct the bottles at the stores.",
        ));
    }
    let shelf = Shelf::for_mix(ask, book.bottles());
    let plan = Plan::with(ask, book, &shelf, &mut Vec::new());
    let Some(mix) = plan.mix else {
        return Act::note(Note::error(
            "drawn",
            "The mix is not known yet, so nothing was drawn.",
            "Mend the fields with a note first.",
        ));
    };
    let units = book.ticket().units;
    let (mut change, mut drawn, mut took, mut notes) = (Change::None, Vec::new(), Vec::new(), Vec::new());
    let mut lacking = Vec::new();
    for (content, volume) in mix.parts() {
        let Some(first) = shelf.chosen(ask, content) else {
            lacking.push(content.name());
            continue;
        };
        let others = shelf.row(content).iter().filter(|s| s.id != first.id);
        let row: Vec<Standing<'_>> =
            core::iter::once(first).chain(others.copied()).filter(|s| s.left.is_some()).collect();
        if first.left.is_none() || row.is_empty() {
            continue;
        }
        let taken = take(&row.iter().filter_map(|s| s.left).collect::<Vec<_>>(), volume);
        let mut from = 0;
        for (standing, part) in row.iter().zip(&taken.each).filter(|(_, part)| part.to_ml() > 0.0) {
            let mut bottle = standing.bottle.clone();
            let rest = standing.left.unwrap_or_default() - *part;
            let before = core::mem::replace(&mut bottle.left, units.number(rest.to_ml(), 2));
            took.push(format!(
                "{}|{}|{}|{}",
                standing.id,
                before.replace(MARKS, ""),
                bottle.left,
                part.to_ml()
            ));
            let key = Key::new(Kind::Bottle, standing.id);
            change = change.and(Change::put(key, Object::Bottle(Box::new(bottle))));
            from += 1;
        }
        let there = volume - taken.missing;
        let of = if from > 1 { format!(" from {from} bottles") } else { String::new() };
        drawn.push(format!("{} {}{of}", units.ml(there), content.name()));
        if taken.missing.to_ml() > 0.005 {
            notes.push(Note::warning(
                "drawn",
                format!(
                    "The stores held {} {} and the mix took {}.",
                    units.ml(there),
                    content.name(),
                    units.ml(volume)
                ),
                "Look at the bottle and correct what is left at the stores; it stands at zero now.",
            ));
        }
    }
    if drawn.is_empty() {
        return Act::note(Note::hint(
            "drawn",
            "No bottle of the stores holds what this mix needs. Add bottles with their volumes at the stores.",
        ));
    }
    if !lacking.is_empty() {
        let lacking = lacking.join(" and ");
        notes.push(Note::warning(
            "drawn",
            ["The stores hold no ", &lacking, ", so none was drawn."].concat(),
            "Put the bottle you used into the stores, and it is counted next time.",
        ));
    }
    let change = change.and(book.on_ticket(|t| {
        t.asks.coat.drawn = drawn.join(", ");
        t.asks.coat.took = took.join(";");
    }));
    Act { notes, ..Act::change(change) }
}

/// Puts back what was drawn for this ticket: exactly, where the bottle still stands as it was left; else as an amount.
pub(super) fn put_back(ask: &Ask, scene: &Scene<'_>) -> Act {
    let book = scene.book;
    let units = book.ticket().units;
    let (mut change, mut notes) = (Change::None, Vec::new());
    for took in read_took(&ask.took) {
        let Some(bottle) = book.bottle(took.id) else {
            notes.push(Note::hint(
                "drawn",
                "A bottle that the mix was drawn from is no longer in the stores.",
            ));
            continue;
        };
        let mut bottle = bottle.clone();
        bottle.left = if bottle.left == took.after {
            took.before.into()
        } else {
            let now = left(&bottle).unwrap_or_default();
            units.number(now.to_ml() + took.ml, 2)
        };
        let key = Key::new(Kind::Bottle, took.id);
        change = change.and(Change::put(key, Object::Bottle(Box::new(bottle))));
    }
    if ask.took.is_empty() {
        notes.push(Note::warning(
            "drawn",
            "What this mix took was not written down, so nothing was put back.",
            "Correct the bottles at the stores.",
        ));
    }
    let change = change.and(book.on_ticket(|t| {
        t.asks.coat.drawn.clear();
        t.asks.coat.took.clear();
    }));
    Act { notes, ..Act::change(change) }
}
