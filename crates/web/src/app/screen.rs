//! What stands on the screen: the station, the strip, the notices.

use sorrel_core::station::TicketCell;
use sorrel_core::tree::{ToTree, Tree};
use wasm_bindgen::prelude::*;
use web_sys::{Element, HtmlElement, HtmlInputElement, HtmlProgressElement, HtmlSelectElement};

use super::{App, Msg, dispatch};
use crate::binder;
use crate::dom;
use crate::platform::{look, rest};
use crate::stations::{self, ROOMS};
use crate::store::Trouble;

impl App {
    /// The first showing: the station of the address, or the workroom if a lane is running.
    pub(super) fn arrive(&mut self, trouble: Option<Trouble>) {
        let linked = self.read_address().then(|| stations::place("book")).flatten();
        if let Some(trouble) = trouble {
            self.tell_trouble(&trouble);
        }
        self.notice("newer", self.read_only.then_some(""));
        let named = stations::place(&fragment());
        let running = self.running().then(|| stations::place("workroom")).flatten();
        self.go(linked.or(named).or(running).unwrap_or(0), false);
        self.show_units();
        self.show_look();
    }

    /// Shows a station and puts it into the address.
    pub(super) fn go(&mut self, station: usize, focus: bool) {
        let Some(room) = ROOMS.get(station) else { return };
        self.shown = station;
        for (i, other) in ROOMS.iter().enumerate() {
            if let Some(section) = section(i) {
                dom::show(&section, i == station);
            }
            for link in dom::everywhere(&format!("nav a[href=\"#{}\"]", other.id())) {
                if i == station {
                    dom::set_attribute(&link, "aria-current", "page");
                } else {
                    dom::remove_attribute(&link, "aria-current");
                }
            }
        }
        if fragment() != room.id() {
            let url = format!("#{}", room.id());
            if let Ok(history) = dom::window().history() {
                let _ = history.replace_state_with_url(&JsValue::NULL, "", Some(&url));
            }
        }
        self.refresh();
        if focus && let Some(section) = section(station) {
            let heading = dom::within(&section, "h2").unwrap_or(section);
            dom::set_attribute(&heading, "tabindex", "-1");
            if let Some(heading) = heading.dyn_ref::<HtmlElement>() {
                let _ = heading.focus();
            }
            dom::window().scroll_to_with_x_and_y(0.0, 0.0);
        }
    }

    /// Answers again whatever is on screen.
    pub(super) fn refresh(&mut self) {
        if rest::here() && self.shown == stations::FIRST {
            self.count();
        }
        let scene = self.scene();
        let mut cells: Vec<TicketCell> = Vec::new();
        for (i, room) in ROOMS.iter().enumerate() {
            if i == self.shown {
                let (mut shown, ticket) = room.show(&scene);
                if let Some((at, notes)) = &self.said
                    && *at == i
                {
                    shown.notes.extend(notes.iter().cloned());
                }
                if let Some(section) = section(i) {
                    binder::fill(&section, &shown);
                }
                cells.extend(ticket);
            } else if room.on_ticket() && rest::here() {
                cells.extend(room.ticket(&scene));
            }
        }
        strip(&cells);
        self.hand();
        self.show_job();
        self.notice("demo", self.device.demo.then_some(""));
        self.notice("update", (self.update && !self.running()).then_some(""));
        if rest::here() {
            self.draw();
        }
    }

    /// Ticket and setup in hand.
    fn hand(&self) {
        let ticket = self.book.ticket();
        let title: String = ticket.title.trim().chars().take(60).collect();
        let title = if title.is_empty() { "untitled" } else { &title };
        for place in dom::written("[data-hand=\"ticket\"]") {
            dom::set_text(&place, &format!("{}, {title}", ticket.number));
        }
        for place in dom::written("[data-hand=\"setup\"]") {
            dom::set_text(&place, &self.book.setup().name);
        }
    }

    /// Shows one of the page's notices with a text, or hides it.
    pub(super) fn notice(&self, name: &str, text: Option<&str>) {
        for place in dom::written(&format!("[data-notice=\"{name}\"]")) {
            dom::show(&place, text.is_some());
            if let (Some(text), Some(inside)) = (text, dom::within(&place, "[data-text]")) {
                dom::set_text(&inside, text);
            }
        }
    }

    /// Says something in the notice bar until something else is done.
    pub(super) fn say(&self, text: &str) {
        self.notice("message", (!text.is_empty()).then_some(text));
    }

    /// Says something with a button beside it.
    pub(super) fn say_with(&self, text: &str, button: &str, press: impl Fn() + 'static) {
        self.say(text);
        let Some(place) = dom::find("[data-notice=\"message\"] [data-text]") else { return };
        let pressed = move || {
            press();
            dispatch(Msg::Say(String::new()));
        };
        if let Some(button) = dom::button(button, pressed) {
            let _ = place.append_with_str_1(" ");
            let _ = place.append_child(&button);
        }
    }

    /// Shows or hides the undo button.
    pub(super) fn show_undo(&self, shown: bool) {
        for place in dom::everywhere("[data-undo]") {
            dom::show(&place, shown);
        }
    }

    /// The long job, if any.
    pub(super) fn show_job(&self) {
        for place in dom::written("[data-job]") {
            dom::show(&place, self.device.job.is_some());
            let Some((label, done)) = &self.device.job else { continue };
            dom::set_text(&dom::text_place(&place), label);
            let bar = dom::within(&place, "progress").and_then(|p| p.dyn_into::<HtmlProgressElement>().ok());
            if let Some(bar) = bar {
                bar.set_value(*done);
            }
        }
    }

    /// A button's change is being stored.
    pub(super) fn busy(&self, busy: bool) {
        if let Some(section) = section(self.shown) {
            if busy {
                dom::set_attribute(&section, "aria-busy", "true");
            } else {
                dom::remove_attribute(&section, "aria-busy");
            }
        }
    }

    /// Brings units, their switches and the signs of the page to the desk's.
    pub(super) fn show_units(&self) {
        let units = self.book.desk().units;
        binder::units(units);
        let words = units.to_tree();
        for switch in dom::everywhere("[data-units] input,[data-units] select,select[data-units]") {
            let family = switch.get_attribute("name").or_else(|| switch.get_attribute("data-units"));
            let Some(chosen) = words.at(family.as_deref().unwrap_or_default()).map(Tree::shown) else {
                continue;
            };
            if let Some(radio) = switch.dyn_ref::<HtmlInputElement>() {
                radio.set_checked(radio.value() == chosen);
            } else if let Some(select) = switch.dyn_ref::<HtmlSelectElement>() {
                select.set_value(&chosen);
            }
        }
        for mark in dom::everywhere("[data-mark]") {
            dom::set_text(&mark, &units.marked(".".into()));
        }
    }

    /// Brings the look's switches to the look in use.
    pub(super) fn show_look(&self) {
        let look = look::now();
        for switch in dom::everywhere("[data-look] input") {
            if let Some(radio) = switch.dyn_ref::<HtmlInputElement>() {
                radio.set_checked(radio.value() == look);
            }
        }
        for button in dom::everywhere("button[data-look]") {
            let pressed = button.get_attribute("data-look").as_deref() == Some(look);
            dom::set_attribute(&button, "aria-pressed", if pressed { "true" } else { "false" });
        }
    }
}

/// The section of a station.
pub(crate) fn section(station: usize) -> Option<Element> {
    dom::find(&format!("[data-station=\"{}\"]", ROOMS.get(station)?.id()))
}

/// The address's fragment without its sign.
pub(super) fn fragment() -> String {
    dom::window().location().hash().unwrap_or_default().trim_start_matches('#').to_owned()
}

/// The ticket strip.
fn strip(cells: &[TicketCell]) {
    for cell in cells {
        for place in dom::written(&format!("[data-cell=\"{}\"]", cell.slot)) {
            dom::set_attribute(&place, "data-done", if cell.done { "true" } else { "false" });
            dom::set_text(&dom::text_place(&place), &cell.text);
        }
    }
}
