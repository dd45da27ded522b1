//! Keeping, opening and sharing: what the book station shows of files, links and the browser's promise.

use super::Ask;
use super::acts::address;
use super::view::{ImportRow, View};
use super::words::{basis, joined, plural};
use crate::book::exchange::{Counts, Import, Mode, import};
use crate::book::{Kind, date_time, days_since};
use crate::link;
use crate::note::Note;
use crate::station::Scene;

/// Days after which a book with new work in it should be saved as a file again.
const STALE_DAYS: i64 = 14;

pub(super) fn keeping(view: &mut View, scene: &Scene<'_>, notes: &mut Vec<Note>) {
    let (book, device) = (scene.book, scene.device);
    view.demo = device.demo;
    view.own = !device.demo;
    view.counts = joined([
        plural(book.tickets().count(), "ticket", "tickets"),
        plural(book.setups().count(), "setup", "setups"),
        plural(book.films().count(), "film", "films"),
        plural(book.records().count(), "record", "records"),
        plural(book.days().count(), "day", "days"),
        plural(device.events as usize, "change so far", "changes so far"),
    ]);
    view.kept = match device.kept {
        Some(true) => "yes",
        Some(false) => "no",
        None => "not known",
    }
    .into();
    view.can_ask = device.kept != Some(true) && !device.demo;
    let exported = book.desk().exported;
    let age = days_since(exported, scene.now, scene.zone_minutes);
    view.last_file = match (exported, age) {
        (0, _) => "never".into(),
        (_, 0) => "today".into(),
        (_, 1) => "yesterday".into(),
        (_, n) => format!("{n} days ago"),
    };
    if device.demo {
        return;
    }
    if !device.storing {
        notes.push(Note::error(
            "export",
            "This browser does not store the book at present.",
            "Go on working, and save the book as a file before you close the page; free some space, or leave the private window.",
        ));
    } else if view.has_records && (exported == 0 || age > STALE_DAYS) {
        notes.push(Note::warning(
            "export",
            if exported == 0 {
                "The book was never saved as a file.".into()
            } else {
                format!("The last file of the book is {age} days old.")
            },
            "Save it as a file and keep that on another device.",
        ));
    }
}

/// What a kind is called in the plural.
fn kinds(kind: Kind) -> &'static str {
    match kind {
        Kind::Desk => "the desk (units, what lies open)",
        Kind::Setup => "setups",
        Kind::Ticket => "tickets",
        Kind::Film => "films",
        Kind::Day => "days",
        Kind::Record => "records",
        Kind::Lane => "running prints",
        Kind::Paper => "papers",
        Kind::Stock => "film stocks",
        Kind::Ink => "inks",
        Kind::Lamp => "lamps",
        Kind::Powder => "powders",
        Kind::Bottle => "bottles",
        Kind::Recipe => "recipes",
    }
}

pub(super) fn importing(view: &mut View, scene: &Scene<'_>, notes: &mut Vec<Note>) {
    let incoming = match &scene.device.incoming {
        None => return,
        Some(Err(error)) => {
            view.import_failed = true;
            notes.push(error.note());
            return;
        }
        Some(Ok(incoming)) => incoming,
    };
    view.importing = true;
    view.import_title = format!(
        "A book file of {}, with {}.",
        date_time(incoming.made, scene.zone_minutes),
        plural(incoming.objects.len(), "thing", "things")
    );
    let merge = import(incoming, scene.book, Mode::Merge, scene.now, scene.luck);
    let replace = import(incoming, scene.book, Mode::Replace, scene.now, scene.luck);
    view.import_rows = merge
        .counts
        .iter()
        .map(|(kind, counts)| ImportRow {
            kind: kinds(*kind).into(),
            merge: fate(*counts, Mode::Merge),
            replace: fate(of(&replace, *kind), Mode::Replace),
        })
        .collect();
    notes.extend(incoming.notes.iter().cloned());
    notes.extend(merge.notes);
}

fn of(import: &Import, kind: Kind) -> Counts {
    import.counts.iter().find(|(k, _)| *k == kind).map(|(_, c)| *c).unwrap_or_default()
}

fn fate(counts: Counts, mode: Mode) -> String {
    let some = |n: usize, what: &str| if n == 0 { String::new() } else { format!("{n} {what}") };
    joined(match mode {
        Mode::Merge => [
            some(counts.added, "new"),
            some(counts.replaced, "changed to the file's"),
            some(
                counts.kept,
                if counts.kept == 1 { "differs, and stays as here" } else { "differ, and stay as here" },
            ),
            some(counts.same + counts.only_here, "unchanged"),
        ],
        Mode::Replace => [
            some(counts.added, "new"),
            some(counts.replaced, "changed to the file's"),
            some(counts.only_here, "removed"),
            some(counts.same, "unchanged"),
        ],
    })
}

pub(super) fn linked(view: &mut View, scene: &Scene<'_>, notes: &mut Vec<Note>) {
    let Some(linked) = &scene.device.linked else { return };
    view.linked = true;
    view.linked_usable = linked.usable;
    if linked.usable {
        let name = linked.setup.name.trim();
        let name =
            if name.is_empty() { "a setup without a name".into() } else { format!("the setup “{name}”") };
        view.linked_title = format!("A link brought {name}: {}.", basis(&linked.setup));
    } else {
        view.linked_title = "A link was opened, but cannot be used.".into();
    }
    notes.extend(linked.notes.iter().cloned());
}

pub(super) fn sharing(view: &mut View, ask: &Ask, scene: &Scene<'_>, notes: &mut Vec<Note>) {
    if !ask.share {
        return;
    }
    view.sharing = true;
    let out = link::encode(scene.book.setup());
    view.link = address(scene, &out.fragment);
    let at_share = |note: Note| Note { field: "share".into(), ..note };
    notes.extend(out.notes.into_iter().map(at_share));
    match link::qr("book-qr", &view.link) {
        Ok(qr) => {
            view.link_size = format!(
                "{} characters; print the code at least {} wide.",
                view.link.chars().count(),
                scene.units().length(crate::quantity::Length::from_mm(qr.least_mm.ceil()))
            );
            view.qr = qr.svg;
        }
        Err(error) => notes.push(at_share(error.note())),
    }
}
