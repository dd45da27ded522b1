//! From a link to a setup. A link is a stranger's text: everything in it is checked, nothing in it is obeyed.

use super::percent::unescape;
use super::table::{Field, Form, Slot, TABLE};
use super::values::{fit_text, in_range, unprintable};
use super::{ORIGIN, VERSION};
use crate::book::Setup;
use crate::entry;
use crate::note::Note;

/// Bytes a link may have; longer ones are cut by mail and chat anyway.
pub const LONGEST: usize = 8_000;

/// Remarks about single pairs before the rest is summed up.
const NAMED: usize = 6;

/// What a link brought.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Linked {
    /// A new setup, in millimetres and degrees Celsius, its exposure time empty.
    pub setup: Setup,
    /// There is something in it worth using.
    pub usable: bool,
    /// What could not be taken, and that it was not measured here.
    pub notes: Vec<Note>,
}

/// Reads the fragment of an address, with or without its `#`.
#[must_use]
#[inline(never)] // the page loads it when an address carries a setup
pub fn decode(fragment: &str) -> Linked {
    let fragment = fragment.strip_prefix('#').unwrap_or(fragment);
    let mut linked = Linked { setup: blank(), ..Linked::default() };
    if fragment.len() > LONGEST {
        linked.notes.push(Note::error(
            "link",
            format!("This link is {} characters long; a share link has at most {LONGEST}.", fragment.len()),
            "Ask for it again, or for the setup as a book file.",
        ));
        return linked;
    }
    let mut pairs = fragment.split('&');
    match pairs.next().and_then(|p| p.strip_prefix("v=")).map(str::parse::<u32>) {
        Some(Ok(VERSION)) => {}
        Some(Ok(newer)) if newer > VERSION => {
            linked.notes.push(Note::error(
                "link",
                format!("This link has version {newer}; this page reads version {VERSION}."),
                "Bring Sorrel up to date on this device, then open the link again.",
            ));
            return linked;
        }
        _ => {
            linked.notes.push(Note::error(
                "link",
                "This is not a share link of Sorrel.",
                "Ask for it again; a link made here contains #v=1.",
            ));
            return linked;
        }
    }
    let mut remarks = Vec::new();
    let mut seen: Vec<&str> = Vec::new();
    let mut count = 1_usize;
    let mut whole = false;
    for pair in pairs {
        let (key, value) = pair.split_once('=').unwrap_or((pair, ""));
        if whole {
            remarks.push(Note::hint("link", "There is more behind the end of the link; it is passed over."));
            break;
        }
        if key == "z" {
            whole = value.parse() == Ok(count);
            if whole {
                continue;
            }
            break;
        }
        count += 1;
        if seen.contains(&key) {
            remarks.push(Note::warning(
                "link",
                format!("{} stands in the link twice; the first is taken.", called(key)),
                "Compare with the sender.",
            ));
            continue;
        }
        seen.push(key);
        match TABLE.iter().find(|f| f.key == key) {
            None => remarks.push(Note::hint(
                "link",
                format!("The link has “{}”, which is not known here; it is passed over.", shown(key)),
            )),
            Some(field) => match take(field, value, &mut linked.setup) {
                true => linked.usable = true,
                false => remarks.push(Note::warning(
                    "link",
                    format!("{} in the link is not what it should be; the usual value is taken.", field.what),
                    "Compare with the sender.",
                )),
            },
        }
    }
    if linked.usable {
        linked.notes.push(Note::warning(
            "link",
            "This setup came with a link: a starting point, not measured in your room.",
            "Find your own exposure time at the light station; it is left empty. Read a chart of your own before you trust the curve.",
        ));
    } else {
        linked.notes.push(Note::error(
            "link",
            "This link holds nothing that can be used.",
            "Ask for it again, or for the setup as a book file.",
        ));
    }
    if !whole {
        linked.notes.push(Note::warning(
            "link",
            "The end of this link is missing or does not fit: it was cut or changed on its way.",
            "Ask for it again, or compare the values with the sender.",
        ));
    }
    let more = remarks.len().saturating_sub(NAMED);
    linked.notes.extend(remarks.into_iter().take(NAMED));
    if more > 0 {
        linked.notes.push(Note::hint("link", format!("{more} more things in the link could not be taken.")));
    }
    linked
}

/// A setup in which every field of the table has the table's own default.
fn blank() -> Setup {
    let mut setup = Setup { origin: ORIGIN.into(), ..Setup::default() };
    setup.presets.light.time.clear();
    for field in TABLE {
        put(field, field.default, &mut setup);
    }
    setup
}

/// Puts a value as it stands in the link where it belongs; false if it is not what it should be.
fn take(field: &Field, value: &str, setup: &mut Setup) -> bool {
    unescape(value).is_some_and(|value| put(field, &value, setup))
}

fn put(field: &Field, value: &str, setup: &mut Setup) -> bool {
    match field.slot {
        Slot::Tick(place) => match value {
            "0" | "1" => {
                *place(setup) = value == "1";
                true
            }
            _ => false,
        },
        Slot::List { read, .. } => read(value, setup),
        Slot::Text(place) => match fitted(field.form, value, field.default) {
            Some(text) => {
                *place(setup) = text;
                true
            }
            None => false,
        },
    }
}

/// The value as it is put into the setup, if it fits.
fn fitted(form: Form, value: &str, default: &str) -> Option<String> {
    if value.is_empty() && default.is_empty() {
        return Some(String::new());
    }
    match form {
        Form::Text { most } => fit_text(value.trim(), most),
        Form::Word { of } => of.contains(&value).then(|| value.into()),
        Form::Number { low, high, .. } | Form::Length { low, high } | Form::Temperature { low, high } => {
            let typed = entry::parse(value).ok().filter(|t| t.unit.is_empty())?;
            in_range(typed.value, low, high)
        }
        Form::Tick | Form::List { .. } => None,
    }
}

/// What a key is called, or the key itself.
fn called(key: &str) -> String {
    match TABLE.iter().find(|f| f.key == key) {
        Some(field) => field.what.into(),
        None => format!("“{}”", shown(key)),
    }
}

/// A stranger's word, short and without what is not printed.
fn shown(key: &str) -> String {
    key.chars().filter(|c| !unprintable(*c)).take(20).collect()
}
