//! Notes to their fields; those without a place of their own to `data-notes`.

use sorrel_core::note::{Note, Severity};
use web_sys::Element;

use super::places::{Lines, Place, Places};
use crate::dom;

/// The word of a severity in `data-severity`.
pub(crate) fn word(severity: Severity) -> &'static str {
    match severity {
        Severity::Hint => "hint",
        Severity::Warning => "warning",
        Severity::Error => "error",
        Severity::Danger => "danger",
    }
}

/// What a note says, in one line.
pub(crate) fn line(note: &Note) -> String {
    if note.mend.is_empty() { note.text.clone() } else { format!("{} {}", note.text, note.mend) }
}

/// Shows the notes of a station.
pub(super) fn all(station: &Element, places: &mut Places, notes: &[Note]) {
    let mut placed = vec![false; notes.len()];
    for place in &mut places.notes {
        let mine: Vec<&Note> = notes.iter().filter(|n| n.field == place.name).collect();
        for (note, done) in notes.iter().zip(&mut placed) {
            *done |= note.field == place.name;
        }
        if !lines(place, "span", &mine) {
            continue;
        }
        if place.element.id().is_empty() {
            place.element.set_id(&format!("{}-{}-note", station.id(), place.name.replace('.', "-")));
        }
        let id = place.element.id();
        for control in places.controls.iter().filter(|control| control.name == place.name) {
            describe(&control.element, &id, &mine);
        }
    }
    if let Some(place) = places.loose.first_mut() {
        let rest: Vec<&Note> =
            notes.iter().zip(&placed).filter(|(_, done)| !**done).map(|(n, _)| n).collect();
        lines(place, "p", &rest);
    }
}

/// One line a note into its place; `tag` is what a line is made of. Says whether they are others than before.
fn lines(place: &mut Place<Lines>, tag: &str, notes: &[&Note]) -> bool {
    let new: Lines = notes.iter().map(|note| (note.severity, line(note))).collect();
    if !place.is_new(new.as_slice()) {
        return false;
    }
    let place = &place.element;
    dom::set_attribute(place, "role", "status");
    while place.child_element_count() > u32::try_from(new.len()).unwrap_or(u32::MAX) {
        if let Some(last) = place.last_element_child() {
            last.remove();
        }
    }
    for (i, (severity, text)) in new.iter().enumerate() {
        let there = u32::try_from(i).ok().and_then(|i| place.children().item(i));
        let line_there = there.or_else(|| {
            let new = dom::document().create_element(tag).ok()?;
            place.append_child(&new).ok()?;
            Some(new)
        });
        if let Some(shown) = line_there {
            dom::set_text(&shown, text);
            dom::set_attribute(&shown, "data-severity", word(*severity));
        }
    }
    true
}

/// Ties a note to its control, beside what the HTML already says describes it.
fn describe(control: &Element, id: &str, notes: &[&Note]) {
    let wrong = notes.iter().any(|n| n.severity == Severity::Error);
    if wrong {
        dom::set_attribute(control, "aria-invalid", "true");
    } else {
        dom::remove_attribute(control, "aria-invalid");
    }
    let described = control.get_attribute("aria-describedby").unwrap_or_default();
    let mut ids: Vec<&str> = described.split_whitespace().filter(|i| *i != id).collect();
    if !notes.is_empty() {
        ids.push(id);
    }
    if ids.is_empty() {
        dom::remove_attribute(control, "aria-describedby");
    } else {
        dom::set_attribute(control, "aria-describedby", &ids.join(" "));
    }
}
