//! Short names for what the page does most: find, read and write elements and listen to them.

use std::cell::RefCell;
use std::collections::BTreeMap;

use wasm_bindgen::prelude::*;
use web_sys::{Document, Element, Event, EventTarget, HtmlElement, Window};

/// The window. The page's module only ever runs in one.
pub(crate) fn window() -> Window {
    web_sys::window().unwrap_throw()
}

/// The document.
pub(crate) fn document() -> Document {
    window().document().unwrap_throw()
}

/// The first element that matches; `None` also for a selector that is none.
pub(crate) fn find(selector: &str) -> Option<Element> {
    document().query_selector(selector).ok().flatten()
}

/// The first element inside `root` that matches.
pub(crate) fn within(root: &Element, selector: &str) -> Option<Element> {
    root.query_selector(selector).ok().flatten()
}

/// Every element inside `root` that matches, in document order.
pub(crate) fn all(root: &Element, selector: &str) -> Vec<Element> {
    let Ok(list) = root.query_selector_all(selector) else { return Vec::new() };
    (0..list.length()).filter_map(|i| list.get(i)?.dyn_into().ok()).collect()
}

/// Every element of the document that matches.
pub(crate) fn everywhere(selector: &str) -> Vec<Element> {
    document().document_element().map_or_else(Vec::new, |root| all(&root, selector))
}

/// As [`everywhere`], for what is written in the page itself and neither comes nor goes: looked for once, because the page
/// is long and these are wanted at every keystroke.
pub(crate) fn written(selector: &str) -> Vec<Element> {
    thread_local! {
        static FOUND: RefCell<BTreeMap<String, Vec<Element>>> = const { RefCell::new(BTreeMap::new()) };
    }
    let there = |found: &Vec<Element>| !found.is_empty() && found.iter().all(|e| e.is_connected());
    FOUND.with_borrow_mut(|all| match all.get(selector).filter(|found| there(found)) {
        Some(found) => found.clone(),
        None => {
            let found = everywhere(selector);
            all.insert(selector.to_owned(), found.clone());
            found
        }
    })
}

/// The element an event is about.
pub(crate) fn target(event: &Event) -> Option<Element> {
    event.target()?.dyn_into().ok()
}

/// The nearest element around the event's target, itself included, that matches.
pub(crate) fn around(event: &Event, selector: &str) -> Option<Element> {
    target(event)?.closest(selector).ok().flatten()
}

/// Sets the text if it differs, so that nothing is announced or laid out twice.
pub(crate) fn set_text(element: &Element, text: &str) {
    if element.text_content().as_deref() != Some(text) {
        element.set_text_content(Some(text));
    }
}

/// Sets an attribute if it differs.
pub(crate) fn set_attribute(element: &Element, name: &str, value: &str) {
    if element.get_attribute(name).as_deref() != Some(value) {
        // Fails only for names that are none; ours are written here.
        let _ = element.set_attribute(name, value);
    }
}

/// Removes an attribute.
pub(crate) fn remove_attribute(element: &Element, name: &str) {
    if element.has_attribute(name) {
        let _ = element.remove_attribute(name);
    }
}

/// Shows or hides an element.
pub(crate) fn show(element: &Element, shown: bool) {
    if let Some(html) = element.dyn_ref::<HtmlElement>() {
        if html.hidden() == shown {
            html.set_hidden(!shown);
        }
    } else if shown {
        remove_attribute(element, "hidden");
    } else {
        set_attribute(element, "hidden", "");
    }
}

/// The `[data-text]` inside an element, or the element itself.
pub(crate) fn text_place(element: &Element) -> Element {
    within(element, "[data-text]").unwrap_or_else(|| element.clone())
}

/// Listens for as long as the page lives. The listener may be called again while it runs.
pub(crate) fn listen(target: &EventTarget, kind: &str, listener: impl Fn(Event) + 'static) {
    let listener = Closure::<dyn Fn(Event)>::new(listener);
    // Fails only for a null listener.
    let _ = target.add_event_listener_with_callback(kind, listener.as_ref().unchecked_ref());
    listener.forget();
}

/// As [`listen`], but before any listener further in, so that a button can be taken over.
pub(crate) fn listen_first(target: &EventTarget, kind: &str, listener: impl Fn(Event) + 'static) {
    let listener = Closure::<dyn Fn(Event)>::new(listener);
    let _ = target.add_event_listener_with_callback_and_bool(kind, listener.as_ref().unchecked_ref(), true);
    listener.forget();
}

/// Calls once, after so many milliseconds; the number ends it early through [`forget`].
pub(crate) fn after(milliseconds: i32, call: impl FnOnce() + 'static) -> i32 {
    let call = Closure::once_into_js(call);
    window()
        .set_timeout_with_callback_and_timeout_and_arguments_0(call.unchecked_ref(), milliseconds)
        .unwrap_or(0)
}

/// Ends a timer of [`after`] before its time.
pub(crate) fn forget(timer: i32) {
    window().clear_timeout_with_handle(timer);
}

/// A button with its text and what it does.
pub(crate) fn button(text: &str, press: impl Fn() + 'static) -> Option<Element> {
    let button = document().create_element("button").ok()?;
    set_attribute(&button, "type", "button");
    button.set_text_content(Some(text));
    listen(&button, "click", move |_| press());
    Some(button)
}
