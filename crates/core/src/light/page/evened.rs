//! What a film that evens out the light has to do with the time of its ticket.

use super::super::lamp::map::Lamp;
use super::super::{Ask, Change, Duration, Exposure, View, evening};
use super::show::Shown;
use crate::negative::print_size;
use crate::note::Note;
use crate::station::Scene;

/// Says it: of the film the ticket has, or of the one that would be made now.
pub(super) fn answer(
    ask: &Ask,
    exposure: Option<&Exposure>,
    scene: &Scene<'_>,
    view: &mut View,
    shown: &mut Shown,
) {
    let (book, units) = (scene.book, scene.units());
    let ticket = book.ticket();
    let Some(film) = evening::on_film(book, ticket) else {
        if ticket.asks.negative.setup.even && book.film(&ticket.film).is_none() {
            view.evened = next(exposure, scene);
        }
        return;
    };
    view.evened = format!(
        "This ticket's film evens the light by {}. Lay the picture {}: its dimmest place then gets what the setup's time gives.",
        film.by(units, scene.zone_minutes),
        film.lain(units)
    );
    let lamp = Lamp::of(&ask.setup, units);
    if !lamp.same(&film.map.lamp) {
        shown.notes.push(Note::warning(
            "setup.lamp",
            format!(
                "The film evens the light of {}, not of {}.",
                film.map.lamp.words(units),
                lamp.words(units)
            ),
            "Print it under its own lamp, or make another film.",
        ));
    }
    if !ask.patch_now.trim().is_empty() && !ask.patch_then.trim().is_empty() {
        shown.notes.push(Note::hint(
            "patch_now",
            format!(
                "The margin strip is raw ink and not evened: it got {} times the light of one behind a film that does not even. Compare it with a print from a film like this one.",
                units.figures(film.change().to_factor(), 3)
            ),
        ));
    }
}

/// Of the film that would be made now.
fn next(exposure: Option<&Exposure>, scene: &Scene<'_>) -> String {
    let Some(size) = print_size(scene.book.ticket()) else { return String::new() };
    match evening::evening(size, scene) {
        Ok(evening) => {
            let change: Change = evening.evened.change();
            if change.to_log().abs() < 0.005 {
                return "The film to be made evens the light; the time stays that of the setup.".into();
            }
            let stops = super::signed(scene.units(), change.to_stops(), 2);
            let time = exposure.map_or_else(String::new, |e| {
                let seconds = e.time.to_seconds() * change.to_factor();
                format!(", {}", Duration::from_seconds(seconds.round()).shown())
            });
            format!(
                "The film to be made evens the light; printed from it, the time is {} times that of the setup ({stops} stop){time}.",
                scene.units().figures(change.to_factor(), 3)
            )
        }
        Err(_) => "The film to be made will not even the light; the negative says why.".into(),
    }
}
