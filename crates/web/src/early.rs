//! What was typed before the book was open: the page can be used from its first paint, and nothing typed is lost.

use std::cell::RefCell;

use wasm_bindgen::prelude::*;
use web_sys::{Element, HtmlInputElement, HtmlTextAreaElement};

use crate::{dom, stations};

thread_local! {
    /// The controls typed in; `None` once the book is open.
    static TYPED: RefCell<Option<Vec<Element>>> = const { RefCell::new(Some(Vec::new())) };
}

/// Starts noticing. What was typed before even that is seen by the field that has the focus: the others hold either
/// what the page was written with or what a browser filled in by itself.
pub(crate) fn listen() {
    if let Some(field) = dom::document().active_element().filter(differs) {
        note(field);
    }
    dom::listen(&dom::document(), "input", |event| {
        if let Some(control) = dom::target(&event) {
            note(control);
        }
    });
}

fn differs(field: &Element) -> bool {
    let input = field.dyn_ref::<HtmlInputElement>();
    let area = field.dyn_ref::<HtmlTextAreaElement>();
    input.is_some_and(|i| i.value() != i.default_value())
        || area.is_some_and(|a| a.default_value().is_ok_and(|written| a.value() != written))
}

fn note(control: Element) {
    TYPED.with_borrow_mut(|typed| {
        if let Some(typed) = typed
            && control.has_attribute("name")
        {
            typed.push(control);
        }
    });
}

/// The controls typed in so far, by station; from now on nothing is noticed here.
pub(crate) fn take() -> Vec<(usize, Vec<Element>)> {
    let typed = TYPED.take().unwrap_or_default();
    let at = |control: &Element| {
        let station = control.closest("[data-station]").ok().flatten()?;
        stations::place(&station.get_attribute("data-station")?)
    };
    let mut by_station: Vec<(usize, Vec<Element>)> = Vec::new();
    for control in typed {
        let Some(station) = at(&control) else { continue };
        match by_station.iter_mut().find(|(i, _)| *i == station) {
            Some((_, controls)) => controls.push(control),
            None => by_station.push((station, vec![control])),
        }
    }
    by_station
}
