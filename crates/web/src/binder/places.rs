//! Where a station's values stand on the page, and what was written there last.
//!
//! A station has hundreds of places, and every keystroke fills them all. They are looked for once; rows bring theirs when
//! they come and take them when they go, and nothing else on the page does. What the binder wrote into an output, a chart
//! or a note is written by nobody else, so it is remembered here instead of being read back; what a person can change, a
//! control, is read each time.

use std::borrow::Borrow;
use std::cell::RefCell;

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
    /// A field for a text.
    Field(HtmlInputElement),
    /// A file to choose: it is never filled.
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
    last: Option<T>,
}

impl<T> Place<T> {
    /// Whether this is not what was written last; from now on it is.
    pub(super) fn is_new<V: ToOwned<Owned = T> + PartialEq + ?Sized>(&mut self, value: &V) -> bool
    where
        T: Borrow<V>,
    {
        let new = self.last.as_ref().is_none_or(|last| last.borrow() != value);
        if new {
            self.last = Some(value.to_owned());
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
    pub(super) rows: u32,
}

/// Severity and text of the notes that stand at a place.
pub(super) type Lines = Vec<(Severity, String)>;

/// Every place of a station.
#[derive(Default)]
pub(super) struct Places {
    pub(super) lists: Vec<List>,
    pub(super) controls: Vec<Control>,
    pub(super) outputs: Vec<Place<String>>,
    pub(super) parts: Vec<Place<()>>,
    pub(super) charts: Vec<Place<String>>,
    pub(super) workings: Vec<Place<()>>,
    pub(super) notes: Vec<Place<Lines>>,
    /// Where notes go that have no place of their own.
    pub(super) loose: Vec<Place<Lines>>,
}

thread_local! {
    /// By the section they are in.
    static FOUND: RefCell<Vec<(Element, Places)>> = const { RefCell::new(Vec::new()) };
}

impl Places {
    /// Does something with the places of a station, as they were found last.
    pub(super) fn with<T>(station: &Element, act: impl FnOnce(&mut Self) -> T) -> T {
        // Taken out meanwhile: what is done may lead to another look, which then looks for itself.
        let known = FOUND.with_borrow_mut(|all| {
            let at = all.iter().position(|(s, _)| s == station)?;
            Some(all.swap_remove(at).1)
        });
        let mut places = known.unwrap_or_else(|| {
            let mut places = Self::default();
            places.add(station);
            places
        });
        let done = act(&mut places);
        FOUND.with_borrow_mut(|all| {
            all.retain(|(s, _)| s != station && s.is_connected());
            all.push((station.clone(), places));
        });
        done
    }

    /// Adds what is in an element, and the element itself.
    pub(super) fn add(&mut self, root: &Element) {
        let lists = found(root, "template[data-each]").into_iter();
        self.lists.extend(lists.filter_map(List::of));
        let controls = found(root, "input[name],select[name],textarea[name]").into_iter();
        self.controls.extend(controls.filter_map(Control::of));
        add(&mut self.outputs, root, "output[name]", "name");
        add(&mut self.parts, root, "[data-show]", "data-show");
        add(&mut self.charts, root, "[data-svg]", "data-svg");
        add(&mut self.workings, root, "[data-working]", "data-working");
        add(&mut self.notes, root, "[data-note]", "data-note");
        add(&mut self.loose, root, "[data-notes]", "data-notes");
    }

    /// Forgets what is no longer on the page.
    pub(super) fn forget_gone(&mut self) {
        fn keep<T>(places: &mut Vec<Place<T>>) {
            places.retain(|place| place.element.is_connected());
        }
        self.lists.retain(|list| list.template.is_connected());
        self.controls.retain(|control| control.element.is_connected());
        keep(&mut self.outputs);
        keep(&mut self.parts);
        keep(&mut self.charts);
        keep(&mut self.workings);
        keep(&mut self.notes);
        keep(&mut self.loose);
    }
}

/// What matches in an element, itself included.
fn found(root: &Element, selector: &str) -> Vec<Element> {
    let mut all = dom::all(root, selector);
    if root.matches(selector).unwrap_or(false) {
        all.insert(0, root.clone());
    }
    all
}

fn add<T>(places: &mut Vec<Place<T>>, root: &Element, selector: &str, attribute: &str) {
    places.extend(found(root, selector).into_iter().filter_map(|element| {
        let name = element.get_attribute(attribute)?;
        Some(Place { name, element, last: None })
    }));
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
        Some(Self { name, template, rows })
    }
}
