//! From a setup to a link.

use super::VERSION;
use super::percent::escape;
use super::table::{Field, Form, Slot, TABLE};
use super::values::{celsius, fit_text, in_range, length_mm};
use crate::book::Setup;
use crate::entry::{self, Typed};
use crate::note::Note;

/// A link to be sent.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Outgoing {
    /// The fragment, without `#`.
    pub fragment: String,
    /// What could not be put into it.
    pub notes: Vec<Note>,
}

/// The link that carries a setup's preset values and its readings.
#[must_use]
pub fn encode(setup: &Setup) -> Outgoing {
    let mut setup = setup.clone();
    let mut out = Outgoing { fragment: format!("v={VERSION}"), notes: Vec::new() };
    let mut pairs = 1;
    for field in TABLE {
        let value = match written(field, &mut setup) {
            Some(value) => value,
            None => {
                out.notes.push(Note::hint(
                    "link",
                    format!("{} cannot travel in the link, because it is not what it should be.", field.what),
                ));
                continue;
            }
        };
        if value != field.default {
            out.fragment.push('&');
            out.fragment.push_str(field.key);
            out.fragment.push('=');
            escape(&value, &mut out.fragment);
            pairs += 1;
        }
    }
    out.fragment.push_str(&format!("&z={pairs}"));
    out
}

/// A field's value as it stands in a link, before escaping; `None` if what was typed does not fit.
fn written(field: &Field, setup: &mut Setup) -> Option<String> {
    let units = setup.units;
    match field.slot {
        Slot::Tick(place) => Some(if *place(setup) { "1" } else { "0" }.into()),
        Slot::List { write, .. } => Some(write(setup)),
        Slot::Text(place) => {
            let typed = place(setup).trim();
            if typed.is_empty() {
                let says_nothing = matches!(field.form, Form::Text { .. });
                return Some(if says_nothing { "" } else { field.default }.into());
            }
            match field.form {
                Form::Text { most } => fit_text(typed, most),
                Form::Word { of } => of.contains(&typed).then(|| typed.into()),
                Form::Number { unit, low, high } => {
                    let Typed { value, unit: behind } = entry::parse(typed).ok()?;
                    (behind.is_empty() || behind == unit.to_lowercase()).then_some(value)?;
                    in_range(value, low, high)
                }
                Form::Length { low, high } => in_range(length_mm(typed, units)?, low, high),
                Form::Temperature { low, high } => in_range(celsius(typed, units)?, low, high),
                Form::Tick | Form::List { .. } => None,
            }
        }
    }
}
