//! How a bottle that was made comes to stand in the stores, and what it takes from the powders there.

use super::{Ask, read};
use crate::book::{Bottle, Change, Key, Kind, Object, date};
use crate::entry;
use crate::note::Note;
use crate::show::Units;
use crate::station::{Act, Scene};
use crate::stores;

/// Where the button says what it did: beside itself.
const PLACE: &str = "shelve";

/// The bottle as the stores keep it: full, made today, at the strength in % w/v.
pub(super) fn bottle(ask: &Ask, b: &super::Bottled, units: Units, today: String) -> Bottle {
    let name = match ask.lot.trim() {
        "" => b.made.content.to_string(),
        lot => [&b.made.content, ", lot ", lot].concat(),
    };
    let mut made_of: Vec<String> = Vec::new();
    for w in &b.made.weighed {
        let what = if w.formula.is_empty() { &w.name } else { &w.formula };
        made_of.push([&units.figures(w.mass.to_g(), 4), " g ", what].concat());
    }
    if let Some(poured) = b.made.poured {
        made_of.push([&units.ml(poured), " of a stronger solution"].concat());
    }
    let mut remarks = ["made of ", &made_of.join(", ")].concat();
    if let Some(percent) = b.iron_percent {
        remarks.push_str(&["; label: ", &units.figures(percent, 3), " % iron"].concat());
    }
    Bottle {
        name,
        content: b.content.word().into(),
        strength: units.figures(b.made.strength.to_percent(), 4),
        salt: b.made.counted.to_string(),
        chlorate: b.chlorate.map_or_else(String::new, |c| units.figures(c.to_percent(), 4)),
        lot: ask.lot.trim().into(),
        size: units.figures(b.made.volume.to_ml(), 4),
        price: ask.price.trim().into(),
        opened: today,
        remarks,
        ..Bottle::default()
    }
}

/// Puts it on the shelf.
pub(super) fn shelve(ask: &Ask, scene: &Scene<'_>) -> Result<Act, Vec<Note>> {
    let units = scene.units();
    let mut notes = Vec::new();
    if !ask.price.trim().is_empty()
        && let Err(e) = entry::parse(&ask.price)
    {
        return Err(vec![
            e.note("price", "The price"),
            Note::error(PLACE, "It is not on the shelf yet.", "Mend the price, or empty its field."),
        ]);
    }
    let Some(b) = read::read(ask, units, &mut notes) else {
        return Err(vec![Note::error(
            PLACE,
            "There is no bottle yet to put on the shelf.",
            "Mend the fields with a note first.",
        )]);
    };
    let mut bottle = bottle(ask, &b, units, date(scene.now, scene.zone_minutes));
    let drawn = stores::draw(scene.book, &b.made.weighed, PLACE, units);
    if let Some(cost) = drawn.cost.filter(|_| bottle.price.is_empty() && b.made.poured.is_none()) {
        bottle.price = units.number(cost, 2);
    }
    let said = ["It stands in the stores now: ", &bottle.name, ", ", &bottle.size, " mL."].concat();
    let key = Key::fresh(Kind::Bottle, scene.now, scene.luck);
    let change = Change::put(key, Object::Bottle(Box::new(bottle)));
    let mut notes = vec![Note::hint(PLACE, said)];
    notes.extend(drawn.notes);
    Ok(Act { notes, ..Act::change(change.and(drawn.change)) })
}
