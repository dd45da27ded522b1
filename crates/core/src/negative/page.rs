//! The negative station: what was typed, what is shown.

use super::ask::{Ask, BORDER_MM, PPI};
use super::size::{PrintSize, convert_length, length, print_size, turned, wanted_size};
use super::view::View;
use super::{plan, show};
use crate::book::{Book, Change, Film};
use crate::entry;
use crate::note::Note;
use crate::show::Units;
use crate::station::{Act, Answer, Deed, Effect, Scene, Station, TicketCell};
use crate::working::Working;

/// The negative station.
#[derive(Clone, Copy, Debug)]
pub struct Negative;

impl Station for Negative {
    const ID: &'static str = "negative";
    type Ask = Ask;
    type View = View;

    fn load(book: &Book) -> Ask {
        let ticket = book.ticket();
        Ask { title: ticket.title.clone(), ..ticket.asks.negative.clone() }
    }

    fn keep(book: &Book, ask: Ask) -> Change {
        book.on_ticket(|ticket| {
            ticket.title.clone_from(&ask.title);
            ticket.asks.negative = Ask { title: String::new(), ..ask };
        })
    }

    fn answer(ask: &Ask, scene: &Scene<'_>) -> Answer<View> {
        answer(ask, scene)
    }

    fn act(ask: &Ask, deed: Deed<'_>, scene: &Scene<'_>) -> Act {
        let book = scene.book;
        match deed.verb {
            "open" => Act::effect(Effect::OpenPicture),
            "cancel" => Act::effect(Effect::CancelJob),
            "turn" => Act::change(book.on_ticket(|t| {
                core::mem::swap(&mut t.asks.negative.width, &mut t.asks.negative.height);
            })),
            "make" => {
                let mut notes = Vec::new();
                match plan::plan(ask, scene, &mut notes) {
                    Some(plan) => Act::effect(Effect::MakeFilm(Box::new(plan))),
                    None => Act { notes, ..Act::default() },
                }
            }
            "printed" => Act::change(alter_film(book, |film| film.printed = scene.now)),
            "not-printed" => Act::change(alter_film(book, |film| film.printed = 0)),
            "other-film" => Act::change(book.on_ticket(|t| t.film.clear())),
            "keep-setup" => Act::change(book.on_setup(|s| s.presets.negative = ask.setup.clone())),
            "take-setup" => {
                let preset = book.setup().presets.negative.clone();
                Act::change(book.on_ticket(|t| t.asks.negative.setup = preset))
            }
            _ => Act::default(),
        }
    }

    fn convert(ask: &mut Ask, from: Units, to: Units) {
        for text in [
            &mut ask.width,
            &mut ask.height,
            &mut ask.setup.border,
            &mut ask.setup.sheet_width,
            &mut ask.setup.sheet_height,
        ] {
            convert_length(text, from, to);
        }
    }

    fn sample() -> (Ask, View) {
        (Ask::default(), View { tones: vec![super::view::ToneRow::default()], ..View::default() })
    }
}

fn alter_film(book: &Book, alter: impl FnOnce(&mut Film)) -> Change {
    let key = crate::book::Key::new(crate::book::Kind::Film, book.ticket().film.clone());
    match book.film(&key.id) {
        Some(film) => {
            let mut film = film.clone();
            alter(&mut film);
            Change::put(key, crate::book::Object::Film(Box::new(film)))
        }
        None => Change::None,
    }
}

fn answer(ask: &Ask, scene: &Scene<'_>) -> Answer<View> {
    let book = scene.book;
    let ticket = book.ticket();
    let units = ticket.units;
    let mut notes = Vec::new();
    let mut view = View { cropping: ask.fit == "crop", ..View::default() };
    let mut working = Working::new("film");

    let wanted = wanted_size(ask, units, &mut notes);
    let ppi = entry::number("setup.ppi", "The resolution", &ask.setup.ppi, PPI, &["ppi", "dpi"], &mut notes);
    let border = length("setup.border", "The border", &ask.setup.border, units, BORDER_MM, &mut notes);
    show::picture(&mut view, scene);

    let real = wanted.and(print_size(&with(ticket, ask)));
    if let Some(size) = real {
        view.size = format!("{} × {}", units.length_field(size.width), units.length(size.height));
        view.size_other = show::in_other_unit(units, size);
        if let Some(ppi) = ppi {
            show::pixels(&mut view, &mut working, ask, scene, size, ppi, &mut notes);
        }
        let picture = &ticket.picture;
        if !view.cropping
            && let Some(turned) =
                wanted.and_then(|w| turned(w, (picture.width.into(), picture.height.into())))
        {
            let by = |s: PrintSize| format!("{} × {}", units.length_field(s.width), units.length(s.height));
            notes.push(Note::hint(
                "width",
                format!(
                    "The picture lies the other way than this size. Swapped, it prints {} instead of {}.",
                    by(turned),
                    by(size)
                ),
            ));
        }
        if let Some(border) = border {
            show::check_sheet(ask, units, size, border, &mut notes);
        }
    }
    if view.cropping
        && let Some(size) = wanted
    {
        // Only for its notes: the preview takes the frame itself from `used_part`.
        let _ = plan::frame(ask, scene, size, &mut notes);
    }
    show::correction(&mut view, scene);
    if view.in_hand {
        view.tones = super::expected::rows(scene);
    }
    view.can_even = ask.setup.even || book.setup().map.made > 0;
    if let Some(size) = real
        && ask.setup.even
    {
        show::evened(&mut view, &mut working, size, scene, &mut notes);
    }
    let dry_notes = show::film(&mut view, ask, scene, &mut notes);

    view.working = scene.device.job.is_some();
    let sound = wanted.is_some() && ppi.is_some() && border.is_some();
    view.ready = view.in_hand && sound && !view.working;
    view.not_ready = !view.ready && !view.working;
    view.missing = if !view.has_picture {
        "Open a picture first.".into()
    } else if view.again {
        format!("Open {} again; the file itself is not kept here.", ticket.picture.name)
    } else if !sound {
        "Mend the fields with a note first.".into()
    } else {
        String::new()
    };
    view.differs = ask.setup != book.setup().presets.negative;

    let mut cells = Vec::new();
    cells.push(if view.has_picture {
        TicketCell::done(
            "picture",
            if ask.title.trim().is_empty() { &ticket.picture.name } else { ask.title.trim() },
        )
    } else {
        TicketCell::missing("picture", "open one")
    });
    cells.push(match real {
        Some(_) => TicketCell::done("size", view.size.clone()),
        None => TicketCell::missing("size", "type width and height"),
    });
    cells.push(match book.film(&ticket.film) {
        Some(film) => {
            let evened = if film.plan.even.is_some() { ", evened" } else { "" };
            TicketCell::done("film", format!("{}{evened}{dry_notes}", film.number))
        }
        None => TicketCell::missing("film", "make one"),
    });
    Answer { view, notes, workings: vec![working], ticket: cells }
}

/// The ticket as it will be when the ask is kept.
fn with(ticket: &crate::book::Ticket, ask: &Ask) -> crate::book::Ticket {
    let mut ticket = ticket.clone();
    ticket.asks.negative = ask.clone();
    ticket
}
