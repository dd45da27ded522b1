//! Where a station's values stand on the page, and what was written there last.
//!
//! A station has hundreds of places, and every keystroke fills them all. They are looked for once, and again only when
//! rows come or go: nothing else on the page brings or takes any. What the binder wrote into an output, a chart or a
//! note is written by nobody else, so it is remembered here instead of being read back; what a person can change, a
//! control, is read each time.

use std::borrow::Borrow;
use std::cell::{Cell, RefCell};
use std::rc::Rc;

use sorrel_core::note::Severity;
use wasm_bindgen::prelude::*;
use web_sys::{Element, HtmlInputElement, HtmlSelectElement, HtmlTemplateElement, HtmlTextAreaElement};

use crate::dom;

/// What a control is, found out once.
pub(super) enum Kind {
    /// A tick.
    Tick(HtmlInputElement),
    /// One radio button of a group.
    Radio(HtmlInputElement),
    /// A field for a text; a file is never filled.
    Field(HtmlInputElement),
    /// Any other input, which only speaks.
    File(HtmlInputElement),
    /// A list to choose from.
    Select(HtmlSelectElement),
    /// A field of several lines.
    Area(HtmlTextAreaElement),
}

/// A control with a name.
pub(super) struct Control {
    /// Its field of the ask.
    pub(super) name: String,
    /// Itself.
    pub(super) element: Element,
    /// What it is.
    pub(super) kind: Kind,
}

impl Control {
    /// A control; `None` without a name.
    pub(super) fn of(element: Element) -> Option<Self> {
        let name = element.get_attribute("name")?;
        let kind = if let Some(input) = element.dyn_ref::<HtmlInputElement>() {
            let input = input.clone();
            match input.type_().as_str() {
                "checkbox" => Kind::Tick(input),
                "radio" => Kind::Radio(input),
                "file" => Kind::File(input),
                _ => Kind::Field(input),
            }
        } else if let Some(select) = element.dyn_ref::<HtmlSelectElement>() {
            Kind::Select(select.clone())
        } else {
            Kind::Area(element.dyn_ref::<HtmlTextAreaElement>()?.clone())
        };
        Some(Self { name, element, kind })
    }
}

/// A place that one value fills.
pub(super) struct Place<T> {
    /// Its field of the view, or of a note.
    pub(super) name: String,
    /// Itself.
    pub(super) element: Element,
    last: RefCell<Option<T>>,
}

impl<T> Place<T> {
    /// Whether this is not what was written last; from now on it is.
    pub(super) fn is_new<V: ToOwned<Owned = T> + PartialEq + ?Sized>(&self, value: &V) -> bool
    where
        T: Borrow<V>,
    {
        let new = self.last.borrow().as_ref().is_none_or(|last| last.borrow() != value);
        if new {
            self.last.replace(Some(value.to_owned()));
        }
        new
    }
}

/// A list whose rows the template makes.
pub(super) struct List {
    /// Its name.
    pub(super) name: String,
    /// Itself.
    pub(super) template: HtmlTemplateElement,
    /// How many rows there are.
    pub(super) rows: Cell<u32>,
}

/// Severity and text of the notes that stand at a place.
pub(super) type Lines = Vec<(Severity, String)>;

/// Every place of a station.
pub(super) struct Places {
    pub(super) lists: Vec<List>,
    pub(super) controls: Vec<Control>,
    pub(super) outputs: Vec<Place<String>>,
    pub(super) parts: Vec<Place<bool>>,
    pub(super) charts: Vec<Place<String>>,
    pub(super) workings: Vec<Place<()>>,
    pub(super) notes: Vec<Place<Lines>>,
    /// Where notes go that have no place of their own.
    pub(super) loose: Option<Place<Lines>>,
}

thread_local! {
    /// By the section they are in.
    static FOUND: RefCell<Vec<(Element, Rc<Places>)>> = const { RefCell::new(Vec::new()) };
}

impl Places {
    /// The places of a station, as they were found last.
    pub(super) fn of(station: &Element) -> Rc<Self> {
        let known = FOUND.with_borrow(|all| all.iter().find(|(s, _)| s == station).map(|(_, p)| p.clone()));
        known.unwrap_or_else(|| Self::again(station))
    }

    /// Looks for the places again: rows came or went.
    pub(super) fn again(station: &Element) -> Rc<Self> {
        let places = Rc::new(Self::find(station));
        FOUND.with_borrow_mut(|all| {
            if let Some(at) = all.iter().position(|(s, _)| s == station) {
                places.take_drawn(&all.swap_remove(at).1);
            }
            all.retain(|(s, _)| s.is_connected());
            all.push((station.clone(), places.clone()));
        });
        places
    }

    /// Charts that stay need not be drawn again.
    fn take_drawn(&self, before: &Self) {
        for chart in &self.charts {
            if let Some(same) = before.charts.iter().find(|c| c.element == chart.element) {
                chart.last.replace(same.last.take());
            }
        }
    }

    fn find(station: &Element) -> Self {
        let controls = dom::all(station, "input[name],select[name],textarea[name]");
        let lists = dom::all(station, "template[data-each]").into_iter();
        Self {
            lists: lists.filter_map(List::of).collect(),
            controls: controls.into_iter().filter_map(Control::of).collect(),
            outputs: places(station, "output[name]", "name"),
            parts: places(station, "[data-show]", "data-show"),
            charts: places(station, "[data-svg]", "data-svg"),
            workings: places(station, "[data-working]", "data-working"),
            notes: places(station, "[data-note]", "data-note"),
            loose: places(station, "[data-notes]", "data-notes").into_iter().next(),
        }
    }
}

impl List {
    fn of(element: Element) -> Option<Self> {
        let name = element.get_attribute("data-each")?;
        let template: HtmlTemplateElement = element.dyn_into().ok()?;
        let mut rows = 0;
        let mut next = template.next_element_sibling();
        while let Some(number) = next.as_ref().and_then(|row| super::rows::number(row, &name)) {
            rows = rows.max(number + 1);
            next = next.and_then(|row| row.next_element_sibling());
        }
        Some(Self { name, template, rows: Cell::new(rows) })
    }
}

fn places<T>(station: &Element, selector: &str, attribute: &str) -> Vec<Place<T>> {
    let place = |element: Element| {
        let name = element.get_attribute(attribute)?;
        Some(Place { name, element, last: RefCell::new(None) })
    };
    dom::all(station, selector).into_iter().filter_map(place).collect()
}
