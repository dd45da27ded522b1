//! What the buttons of the book station do.

use super::lists::{films, pick, records, setups, tickets, uses};
use super::{Ask, BookStation};
use crate::book::exchange::{Mode, import};
use crate::book::{Book, Change, Day, Key, Kind, Object, Setup, Ticket, date};
use crate::link;
use crate::note::Note;
use crate::station::{Act, Deed, Effect, Scene, Station};

pub(super) fn act(ask: &Ask, deed: Deed<'_>, scene: &Scene<'_>) -> Act {
    let book = scene.book;
    let at_setup = || pick(&setups(book), deed.place);
    let at_film = || pick(&films(book, ask), deed.place).or_else(|| open(&ask.film.id));
    match deed.verb {
        "ticket-new" => new_ticket(scene, &book.ticket().setup),
        "ticket-open" => pick(&tickets(book, ask), deed.place)
            .map(|id| Act::change(book.on_desk(|desk| desk.ticket = id)))
            .unwrap_or_default(),
        "setup-new" => {
            let setup = Setup { name: "New setup".into(), ..Setup::first() };
            new_setup(scene, setup)
        }
        "setup-copy" => at_setup().map(|id| copy_setup(scene, &id)).unwrap_or_default(),
        "setup-open" => lay_open(book, |ask| ask.setup.id = at_setup().unwrap_or_default()),
        "setup-close" => lay_open(book, |ask| ask.setup.id.clear()),
        "setup-choose" => at_setup().map(|id| choose_setup(book, &id)).unwrap_or_default(),
        "setup-ticket" => at_setup().map(|id| new_ticket(scene, &id)).unwrap_or_default(),
        "setup-delete" => at_setup().map(|id| delete_setup(book, &id)).unwrap_or_default(),
        "film-open" => lay_open(book, |ask| ask.film.id = at_film().unwrap_or_default()),
        "film-close" => lay_open(book, |ask| ask.film.id.clear()),
        "film-printed" => at_film().map(|id| film_printed(book, &id, scene.now)).unwrap_or_default(),
        "film-not-printed" => at_film().map(|id| film_printed(book, &id, 0)).unwrap_or_default(),
        "film-choose" => at_film().map(|id| choose_film(book, id)).unwrap_or_default(),
        "record-open" => lay_open(book, |own| {
            own.record.id = pick(&records(book, ask), deed.place).unwrap_or_default();
        }),
        "record-close" => lay_open(book, |ask| ask.record.id.clear()),
        "day-today" => today(scene),
        "export" => Act {
            change: Some(book.on_desk(|desk| desk.exported = scene.now)),
            effects: vec![Effect::Export],
            notes: vec![],
        },
        "import" => Act::effect(Effect::Import),
        "import-merge" => take_file(scene, Mode::Merge),
        "import-replace" => take_file(scene, Mode::Replace),
        "import-drop" => Act::effect(Effect::CloseIncoming { taken: false }),
        "link-use" => use_link(scene),
        "link-drop" => Act::effect(Effect::CloseLinked),
        "copy-link" => Act::effect(Effect::Copy(address(scene, &link::encode(book.setup()).fragment))),
        "ask-keep" => Act::effect(Effect::AskToKeep),
        "demo-open" => Act::effect(Effect::OpenDemo),
        "demo-close" => Act::effect(Effect::CloseDemo),
        "undo" => Act::effect(Effect::Undo),
        _ => Act::default(),
    }
}

/// The whole address of a link.
pub(super) fn address(scene: &Scene<'_>, fragment: &str) -> String {
    format!("{}#{fragment}", scene.device.address)
}

fn open(id: &str) -> Option<String> {
    (!id.is_empty()).then(|| id.to_owned())
}

fn lay_open(book: &Book, alter: impl FnOnce(&mut Ask)) -> Act {
    Act::change(book.on_desk(|desk| alter(&mut desk.book)))
}

/// A change that may bring texts in other units, followed by their conversion to the printer's.
fn in_own_units(book: &Book, change: Change) -> Change {
    let mut after = book.clone();
    after.apply(change.clone(), 0, "");
    change.and(after.in_units(book.desk().units))
}

fn new_ticket(scene: &Scene<'_>, setup_id: &str) -> Act {
    let book = scene.book;
    let Some(setup) = book.setup_of(setup_id) else { return Act::default() };
    let key = Key::fresh(Kind::Ticket, scene.now, scene.luck);
    let ticket = Ticket::new(book.next_ticket_number(), setup_id, setup, scene.now);
    let on_desk = book.on_desk(|desk| desk.ticket.clone_from(&key.id));
    Act {
        change: Some(Change::put(key, Object::Ticket(Box::new(ticket))).and(on_desk)),
        effects: vec![Effect::Go("negative")],
        notes: vec![],
    }
}

/// A name for a new setup that no other has: the same with the next free number behind it where it is taken.
pub(super) fn free_name(book: &Book, name: &str) -> String {
    let taken = |name: &str| book.setups().any(|(_, s)| s.name.trim() == name);
    let name = name.trim();
    if !taken(name) {
        return name.into();
    }
    // Among one number more than there are setups, one is free.
    let numbers = 2..=book.setups().count() + 2;
    numbers.map(|n| format!("{name} {n}")).find(|name| !taken(name)).unwrap_or_else(|| name.into())
}

/// Adds a setup under a name of its own and lays it open.
fn new_setup(scene: &Scene<'_>, setup: Setup) -> Act {
    let setup = Setup { name: free_name(scene.book, &setup.name), ..setup };
    let key = Key::fresh(Kind::Setup, scene.now, scene.luck);
    let on_desk = scene.book.on_desk(|desk| desk.book.setup.id.clone_from(&key.id));
    let change = Change::put(key, Object::Setup(Box::new(setup))).and(on_desk);
    Act::change(in_own_units(scene.book, change))
}

fn copy_setup(scene: &Scene<'_>, id: &str) -> Act {
    let Some(setup) = scene.book.setup_of(id) else { return Act::default() };
    // The films made so far belong to the one they were made for, and so do their corrections.
    let copy = Setup {
        name: format!("{}, copy", setup.name),
        origin: format!("Copied from {}.", setup.name),
        corrections: vec![],
        ..setup.clone()
    };
    new_setup(scene, copy)
}

fn choose_setup(book: &Book, id: &str) -> Act {
    let Some(setup) = book.setup_of(id) else { return Act::default() };
    Act::change(book.on_ticket(|ticket| {
        ticket.setup = id.into();
        ticket.take_presets(&setup.presets);
    }))
}

fn delete_setup(book: &Book, id: &str) -> Act {
    if uses(book, id) != (0, 0) || book.setups().count() < 2 {
        return Act::note(Note::error(
            "",
            "This setup is used by a ticket or a film, so it stays.",
            "Choose another setup for those first.",
        ));
    }
    Act::change(Change::Delete(Key::new(Kind::Setup, id)))
}

fn film_printed(book: &Book, id: &str, at: i64) -> Act {
    let Some(film) = book.film(id) else { return Act::default() };
    let mut film = film.clone();
    film.printed = at;
    Act::change(Change::put(Key::new(Kind::Film, id), Object::Film(Box::new(film))))
}

fn choose_film(book: &Book, id: String) -> Act {
    Act::change(book.on_ticket(|ticket| ticket.film = id))
}

fn today(scene: &Scene<'_>) -> Act {
    let book = scene.book;
    let id = date(scene.now, scene.zone_minutes);
    let mut change = book.on_ticket(|ticket| ticket.day.clone_from(&id));
    if book.day(&id).is_none() {
        let day = Day { date: id.clone(), ..Day::default() };
        change = change.and(Change::put(Key::new(Kind::Day, id), Object::Day(Box::new(day))));
    }
    Act::change(change)
}

fn take_file(scene: &Scene<'_>, mode: Mode) -> Act {
    let Some(Ok(incoming)) = &scene.device.incoming else {
        return Act::effect(Effect::CloseIncoming { taken: false });
    };
    let import = import(incoming, scene.book, mode, scene.now, scene.luck);
    Act {
        change: Some(import.change),
        effects: vec![Effect::CloseIncoming { taken: true }],
        notes: vec![Note::hint("import", "The file was taken. Undo takes it back.")],
    }
}

fn use_link(scene: &Scene<'_>) -> Act {
    let Some(linked) = scene.device.linked.as_ref().filter(|l| l.usable) else {
        return Act::effect(Effect::CloseLinked);
    };
    let mut setup = linked.setup.clone();
    if setup.name.trim().is_empty() {
        setup.name = "From a link".into();
    }
    let mut act = new_setup(scene, setup);
    act.effects.push(Effect::CloseLinked);
    act.effects.push(Effect::Go(BookStation::ID));
    act.notes.push(Note::hint(
        "link",
        "The setup was added. Nothing else was changed; choose it for a ticket when you want.",
    ));
    act
}
