//! The work card: coat, light and baths of one ticket on one page.
//!
//! Nothing is written for it that stands elsewhere: the stations answer as on the screen, and the style for paper chooses of
//! them what the card holds, as long as the page is marked. On the screen nothing changes.

use std::cell::Cell;

use wasm_bindgen::JsCast;
use web_sys::{Element, HtmlDetailsElement};

use super::App;
use super::screen::section;
use crate::binder;
use crate::dom;
use crate::stations::{self, ROOMS};

/// The mark on the page's root: what is printed now is the card.
const MARK: &str = "data-card";
/// The stations it is made of.
const PARTS: [&str; 4] = ["coat", "light", "baths", "workroom"];
/// Cautions that are printed even where they were left closed on the screen.
const CLOSED: &str =
    "#light > .answers > details.caution:not([open]), #baths > .answers > details.caution:not([open])";
/// The mark of those that were opened for the card.
const OPENED: &str = "data-card-opened";

thread_local! {
    static LISTENING: Cell<bool> = const { Cell::new(false) };
}

impl App {
    /// Prints the card of the ticket on the desk.
    pub(super) fn print_card(&self) {
        let scene = self.scene();
        for station in PARTS.into_iter().filter_map(stations::place) {
            if let Some(section) = section(station) {
                binder::fill(&section, &ROOMS[station].show(&scene).0);
            }
        }
        let Some(root) = dom::document().document_element() else { return };
        dom::set_attribute(&root, MARK, "");
        for details in dom::everywhere(CLOSED) {
            dom::set_attribute(&details, OPENED, "");
            unfold(&details, true);
        }
        // Some browsers return at once and draw the page later, so the mark stays until somebody touches the page again.
        if !LISTENING.replace(true) {
            for touch in ["pointerdown", "keydown"] {
                dom::listen_first(&dom::document(), touch, |_| away());
            }
        }
        // Fails only where a page may not print at all.
        let _ = dom::window().print();
    }
}

/// What is printed from now on is the page as it is shown.
pub(super) fn away() {
    if let Some(root) = dom::document().document_element() {
        dom::remove_attribute(&root, MARK);
    }
    for details in dom::everywhere(&format!("[{OPENED}]")) {
        dom::remove_attribute(&details, OPENED);
        unfold(&details, false);
    }
}

fn unfold(details: &Element, open: bool) {
    if let Some(details) = details.dyn_ref::<HtmlDetailsElement>() {
        details.set_open(open);
    }
}
