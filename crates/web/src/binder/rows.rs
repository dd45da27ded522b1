//! `<template data-each="parts">`: one copy a row. Rows are re-used, so that focus and caret stay.

use sorrel_core::tree::Tree;
use wasm_bindgen::prelude::*;
use web_sys::{DocumentFragment, Element, HtmlElement, HtmlTemplateElement, Node};

use super::places::Places;
use crate::dom;

/// Marks the elements of a row with its list and number.
const ROW: &str = "data-row";
/// Attributes in which the letter N stands for the row's number.
const NUMBERED: [&str; 13] = [
    "name",
    "id",
    "for",
    "value",
    "data-note",
    "data-show",
    "data-svg",
    "data-each",
    "data-working",
    "data-draw",
    "aria-labelledby",
    "aria-describedby",
    "list",
];

/// Brings the rows of every list to the number in ask or view, and the places with them. A list inside a row comes after
/// it.
pub(super) fn all(places: &mut Places, ask: &Tree, view: &Tree) {
    let mut done = 0;
    while let Some(list) = places.lists.get_mut(done) {
        done += 1;
        let rows = ask.rows(&list.name).or_else(|| view.rows(&list.name));
        let wanted = rows.and_then(|n| u32::try_from(n).ok()).unwrap_or(0);
        if wanted == list.rows {
            continue;
        }
        let fewer = wanted < list.rows;
        list.rows = wanted;
        let new = one(&list.template, &list.name, wanted);
        if fewer {
            // Lists of rows that went stood behind theirs.
            places.forget_gone();
        }
        for row in new {
            places.add(&row);
        }
    }
}

/// Brings the rows of one list to the wanted number; what came new.
fn one(template: &HtmlTemplateElement, list: &str, wanted: u32) -> Vec<Element> {
    let mut new = Vec::new();
    let mut there = 0;
    let mut last: Node = template.clone().into();
    let mut next = template.next_element_sibling();
    let mut lost_focus = false;
    while let Some(element) = next {
        let Some(number) = number(&element, list) else { break };
        next = element.next_element_sibling();
        if number < wanted {
            there = there.max(number + 1);
            last = element.into();
        } else {
            lost_focus |= dom::document().active_element().is_some_and(|a| element.contains(Some(&a)));
            element.remove();
        }
    }
    for number in there..wanted {
        let Ok(copy) = dom::document().import_node_with_deep(&template.content(), true) else { break };
        let Ok(copy) = copy.dyn_into::<DocumentFragment>() else { break };
        let mut root = copy.first_element_child();
        while let Some(element) = root {
            root = element.next_element_sibling();
            dom::set_attribute(&element, ROW, &format!("{list}.{number}"));
            put_number(&element, number);
            new.push(element.clone());
            if let (Some(parent), Ok(node)) = (last.parent_node(), element.dyn_into::<Node>()) {
                let _ = parent.insert_before(&node, last.next_sibling().as_ref());
                last = node;
            }
        }
    }
    if lost_focus {
        keep_focus_near(template, &last);
    }
    new
}

/// The number of a row of this list; `None` for any other element.
pub(super) fn number(element: &Element, list: &str) -> Option<u32> {
    element.get_attribute(ROW)?.strip_prefix(list)?.strip_prefix('.')?.parse().ok()
}

/// The row with the focus went: the row before takes it, else the next button, so that the keyboard is not lost.
fn keep_focus_near(template: &HtmlTemplateElement, last: &Node) {
    let here = last.dyn_ref::<Element>().filter(|row| row.has_attribute(ROW));
    let place = here
        .and_then(|row| dom::within(row, "input,select,textarea,button"))
        .or_else(|| template.parent_element().and_then(|p| p.closest("[data-station]").ok().flatten()))
        .and_then(
            |e| if e.has_attribute("data-station") { dom::within(&e, "button,input") } else { Some(e) },
        );
    if let Some(place) = place.and_then(|e| e.dyn_into::<HtmlElement>().ok()) {
        let _ = place.focus();
    }
}

/// Writes the row's number for the first N of every attribute in this element and what it holds. Only elements that
/// have an N somewhere are looked at: a row may come and go with every keystroke.
fn put_number(element: &Element, number: u32) {
    let with_n: Vec<String> = NUMBERED.iter().map(|name| format!("[{name}*=N]")).collect();
    let with_n = with_n.join(",");
    if element.matches(&with_n).unwrap_or(false) {
        number_one(element, number);
    }
    for inner in dom::all(element, &with_n) {
        number_one(&inner, number);
    }
    for inner in dom::all(element, "template") {
        number_template(&inner, number);
    }
    number_template(element, number);
}

/// In a list inside a row, the first N is the outer row's.
fn number_template(element: &Element, number: u32) {
    let Some(template) = element.dyn_ref::<HtmlTemplateElement>() else { return };
    let mut root = template.content().first_element_child();
    while let Some(inner) = root {
        root = inner.next_element_sibling();
        put_number(&inner, number);
    }
}

fn number_one(element: &Element, number: u32) {
    for name in NUMBERED {
        if let Some(text) = element.get_attribute(name)
            && let Some(numbered) = numbered(&text, number)
        {
            let _ = element.set_attribute(name, &numbered);
        }
    }
}

/// The text with its first lone N replaced; `None` if it has none.
pub(super) fn numbered(text: &str, number: u32) -> Option<String> {
    let lone = |i: usize| {
        let before = text[..i].chars().next_back();
        let behind = text[i + 1..].chars().next();
        !before.is_some_and(char::is_alphanumeric) && !behind.is_some_and(char::is_alphanumeric)
    };
    let (at, _) = text.match_indices('N').find(|(i, _)| lone(*i))?;
    Some(format!("{}{number}{}", &text[..at], &text[at + 1..]))
}
