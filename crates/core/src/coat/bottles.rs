//! Which bottle of the stores a mix is drawn from.

use super::{Ask, Content};
use crate::book::{Book, Bottle, Key, Kind, Object};
use crate::entry;
use crate::quantity::Volume;
use crate::station::{Act, Scene};
use crate::{book::Change, note::Note};

/// The number in a text of the stores, if it is one and above zero.
pub(crate) fn amount(text: &str) -> Option<f64> {
    entry::parse(text).ok().map(|t| t.value).filter(|&x| x > 0.0)
}

/// What is left in a bottle: as typed, else its size.
pub(crate) fn left(bottle: &Bottle) -> Option<Volume> {
    let text = if bottle.left.trim().is_empty() { &bottle.size } else { &bottle.left };
    entry::parse(text).ok().filter(|t| t.value >= 0.0).map(|t| Volume::from_ml(t.value))
}

/// Price of a millilitre.
pub(crate) fn price_per_ml(bottle: &Bottle) -> Option<f64> {
    Some(amount(&bottle.price)? / amount(&bottle.size)?).filter(|x| x.is_finite())
}

/// The bottle chosen on a ticket for a content, with its identity; else the oldest of that content that is not empty.
#[must_use]
pub fn chosen<'a>(ask: &Ask, book: &'a Book, content: Content) -> Option<(&'a str, &'a Bottle)> {
    let fits = |b: &Bottle| Content::of(&b.content) == Some(content);
    let wanted = ask.bottle(content);
    let by_name = book.bottles().find(|(id, b)| *id == wanted && fits(b));
    by_name.or_else(|| book.bottles().find(|(_, b)| fits(b) && left(b).is_none_or(|v| v.to_ml() > 0.0)))
}

/// Takes the planned volumes out of the chosen bottles, once a ticket.
pub(super) fn draw_from(ask: &Ask, scene: &Scene<'_>) -> Act {
    let book = scene.book;
    if !ask.drawn.is_empty() {
        return Act::note(Note::warning(
            "drawn",
            "This ticket's mix was drawn from the bottles already.",
            "Undo that first, or correct the bottles at the stores.",
        ));
    }
    let plan = super::Plan::read(ask, book, &mut Vec::new());
    let Some(mix) = plan.mix else {
        return Act::note(Note::error(
            "drawn",
            "The mix is not known yet, so nothing was drawn.",
            "Mend the fields with a note first.",
        ));
    };
    let units = book.ticket().units;
    let (mut change, mut drawn) = (Change::None, Vec::new());
    for (content, volume) in mix.parts() {
        let Some((id, bottle)) = chosen(ask, book, content) else { continue };
        let Some(before) = left(bottle) else { continue };
        let mut bottle = bottle.clone();
        bottle.left = units.number((before - volume).to_ml().max(0.0), 2);
        drawn.push(format!("{} {}", units.ml(volume), content.name()));
        change = change.and(Change::put(Key::new(Kind::Bottle, id), Object::Bottle(Box::new(bottle))));
    }
    if drawn.is_empty() {
        return Act::note(Note::hint(
            "drawn",
            "No bottle of the stores holds what this mix needs. Add bottles with their volumes at the stores.",
        ));
    }
    Act::change(change.and(book.on_ticket(|t| t.asks.coat.drawn = drawn.join(", "))))
}
