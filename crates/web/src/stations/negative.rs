//! The negative station.

use std::cell::Cell;
use std::rc::Rc;

use sorrel_core::entry;
use sorrel_core::negative::Negative;
use sorrel_core::show;
use wasm_bindgen::prelude::*;
use web_sys::{Element, Event, PointerEvent};

use super::{Of, of, pointing};
use crate::app::{Msg, dispatch};
use crate::dom;

pub(super) static ROOM: Of<Negative> = of(true, dress);

/// A finger's width round a corner of the frame, in CSS pixels.
const CORNER: f64 = 22.0;

/// A frame being dragged.
#[derive(Clone, Copy)]
struct Drag {
    /// The pointer that drags; other fingers do nothing.
    pointer: i32,
    /// Where it was put down.
    from: (f64, f64),
    /// The frame at that moment: its centre and half its sides, in CSS pixels of the window.
    centre: (f64, f64),
    half: (f64, f64),
    /// What stood in the field of the frame's share, in percent; `None` moves the frame, and leaves its size.
    share: Option<f64>,
}

/// The frame on the picture: dragging it only fills the three fields, as typing does.
fn dress(section: &Element) {
    let Some(field) = dom::within(section, "[data-draw=\"crop\"]") else { return };
    let drag = Rc::new(Cell::new(None::<Drag>));
    let section = section.clone();
    let (now, at) = (drag.clone(), (section.clone(), field.clone()));
    dom::listen(&field, "pointerdown", move |event| {
        if let (None, Some(begun)) = (now.get(), begin(&at.0, &at.1, &event)) {
            event.prevent_default();
            let _ = at.1.set_pointer_capture(begun.pointer);
            dispatch(Msg::Apart);
            now.set(Some(begun));
        }
    });
    let (now, at) = (drag.clone(), field.clone());
    dom::listen(&field, "pointermove", move |event| {
        if let Some(drag) = now.get() {
            go_on(drag, &section, &at, &event);
        }
    });
    for end in ["pointerup", "pointercancel"] {
        let drag = drag.clone();
        dom::listen(&field, end, move |event| {
            if drag.get().is_some_and(|d| pointer(&event).is_some_and(|p| p.pointer_id() == d.pointer)) {
                drag.set(None);
                dispatch(Msg::Apart);
            }
        });
    }
}

fn pointer(event: &Event) -> Option<&PointerEvent> {
    event.dyn_ref()
}

fn place(event: &PointerEvent) -> (f64, f64) {
    (f64::from(event.client_x()), f64::from(event.client_y()))
}

fn begin(section: &Element, field: &Element, event: &Event) -> Option<Drag> {
    let event = pointer(event).filter(|p| p.is_primary() && p.button() == 0)?;
    let frame = dom::within(field, ".frame")?.get_bounding_client_rect();
    let half = (frame.width() / 2.0, frame.height() / 2.0);
    let centre = (frame.left() + half.0, frame.top() + half.1);
    let from = place(event);
    let away = ((from.0 - centre.0).abs(), (from.1 - centre.1).abs());
    let corner = (away.0 - half.0).abs() < CORNER && (away.1 - half.1).abs() < CORNER;
    if !corner && (away.0 > half.0 || away.1 > half.1) {
        return None;
    }
    let share = || Some(entry::parse(&pointing::input(section, "frame")?.value()).ok()?.value);
    Some(Drag { pointer: event.pointer_id(), from, centre, half, share: if corner { share() } else { None } })
}

fn go_on(drag: Drag, section: &Element, field: &Element, event: &Event) {
    let Some(event) = pointer(event).filter(|p| p.pointer_id() == drag.pointer) else { return };
    let to = place(event);
    let whole = field.get_bounding_client_rect();
    let mut centre = drag.centre;
    if let Some(share) = drag.share {
        // The corner follows the pointer; the centre stays.
        let out = |a: f64, middle: f64, half: f64| (a - middle).abs() / half.max(1.0);
        let grown = out(to.0, drag.centre.0, drag.half.0).max(out(to.1, drag.centre.1, drag.half.1)) * share;
        put(section, "frame", grown.clamp(5.0, 100.0));
    } else {
        centre = (centre.0 + to.0 - drag.from.0, centre.1 + to.1 - drag.from.1);
    }
    // The centre's place is what the frame can really take, so that no field says what does not show.
    let percent = |a: f64, start: f64, size: f64, half: f64| {
        let half = if drag.share.is_some() { 0.0 } else { half.min(size / 2.0) };
        (a - start).max(half).min(size - half) / size.max(1.0) * 100.0
    };
    put(section, "across", percent(centre.0, whole.left(), whole.width(), drag.half.0));
    put(section, "down", percent(centre.1, whole.top(), whole.height(), drag.half.1));
    pointing::typed(section, "frame");
}

/// Writes a tenth of a percent into a field, with the printer's own decimal mark.
fn put(section: &Element, name: &str, percent: f64) {
    let mark = dom::find("[data-mark]").and_then(|m| m.text_content()).unwrap_or_else(|| ".".into());
    if let Some(field) = pointing::input(section, name) {
        let text = show::decimals(percent, 1);
        field.set_value(&text.strip_suffix(".0").map_or_else(|| text.replace('.', &mark), str::to_owned));
    }
}
