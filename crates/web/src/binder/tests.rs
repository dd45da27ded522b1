//! The binder in a real browser: what is typed arrives, what is shown stands, focus and rows stay.

#![expect(clippy::unwrap_used, reason = "a test stops where something is missing")]

use sorrel_core::fields;
use sorrel_core::note::Note;
use sorrel_core::tree::{ToTree, from_tree};
use sorrel_core::working::Working;
use wasm_bindgen::prelude::*;
use wasm_bindgen_test::{wasm_bindgen_test as test, wasm_bindgen_test_configure};
use web_sys::{Element, HtmlElement, HtmlInputElement};

use super::{Shown, fill, from_js, read, rows::numbered, to_js};
use crate::dom;

wasm_bindgen_test_configure!(run_in_browser);

#[derive(Clone, Debug, Default, PartialEq)]
struct Part {
    volume: String,
    on: bool,
}

fields!(Part: volume, on);

#[derive(Clone, Debug, Default, PartialEq)]
struct Preset {
    width: String,
}

fields!(Preset: width);

#[derive(Clone, Debug, Default, PartialEq)]
struct Ask {
    setup: Preset,
    kind: String,
    without_control: String,
    parts: Vec<Part>,
}

fields!(Ask: setup, kind, without_control, parts);

#[derive(Default)]
struct Line {
    text: String,
}

fields!(out Line: text);

#[derive(Default)]
struct View {
    total: String,
    ready: bool,
    chart: String,
    parts: Vec<Line>,
}

fields!(out View: total, ready, chart, parts);

const HTML: &str = r#"
  <div data-notes></div>
  <label for="t-width">Width</label>
  <input id="t-width" name="setup.width" aria-describedby="t-hint"><span data-note="setup.width"></span>
  <input type="radio" name="kind" value="a"><input type="radio" name="kind" value="b">
  <ul><template data-each="parts"><li>
    <label for="t-parts-N">Part</label><input id="t-parts-N" name="parts.N.volume">
    <input type="checkbox" name="parts.N.on"><span data-note="parts.N.volume"></span>
    <output name="parts.N.text"></output><button name="remove" value="N">remove</button>
  </li></template></ul>
  <output name="total"></output><p data-show="ready">ready</p><div data-svg="chart"></div>
  <details data-working="sum" open><summary>Working</summary></details>
"#;

/// A station in the document, as the page would have it.
fn station() -> Element {
    let body = dom::document().body().unwrap();
    for old in dom::everywhere("#t,template#working-step") {
        old.remove();
    }
    let step = dom::document().create_element("template").unwrap();
    step.set_id("working-step");
    step.set_inner_html(r#"<p><b data-part="label"></b><i data-part="result"></i></p>"#);
    body.append_child(&step).unwrap();
    let section = dom::document().create_element("section").unwrap();
    section.set_id("t");
    section.set_attribute("data-station", "t").unwrap();
    section.set_inner_html(HTML);
    body.append_child(&section).unwrap();
    section
}

fn shown(ask: &Ask, view: &View, notes: Vec<Note>) -> Shown {
    let mut sum = Working::new("sum");
    sum.step("Sum", "a + b", "1; 2", "3");
    Shown { ask: ask.to_tree(), view: view.to_tree(), notes, workings: vec![sum] }
}

fn input(station: &Element, selector: &str) -> HtmlInputElement {
    dom::within(station, selector).unwrap().unchecked_into()
}

fn ask(volumes: &[&str]) -> Ask {
    Ask {
        setup: Preset { width: "203,2".into() },
        kind: "b".into(),
        without_control: "stays".into(),
        parts: volumes.iter().map(|v| Part { volume: (*v).into(), on: true }).collect(),
    }
}

fn view(rows: usize) -> View {
    View {
        total: "3 mL".into(),
        ready: true,
        chart: "<svg xmlns='http://www.w3.org/2000/svg'><path d='M0 0'/></svg>".into(),
        parts: (0..rows).map(|i| Line { text: format!("row {i}") }).collect(),
    }
}

#[test]
fn what_is_filled_is_read_back() {
    let station = station();
    let ask = ask(&["1", "2 1/2"]);
    fill(&station, &shown(&ask, &view(2), vec![]));
    let blank = Ask {
        parts: vec![Part::default(), Part::default()],
        without_control: "stays".into(),
        ..Ask::default()
    };
    assert_eq!(from_tree::<Ask>(read(&station, &blank)), Ok(ask));
    assert_eq!(dom::within(&station, "output[name=total]").unwrap().text_content().unwrap(), "3 mL");
    assert_eq!(dom::within(&station, "[data-svg] path").unwrap().tag_name(), "path");
    assert_eq!(dom::within(&station, "#t-parts-1").unwrap().get_attribute("name").unwrap(), "parts.1.volume");
    assert_eq!(dom::within(&station, "[data-part=result]").unwrap().text_content().unwrap(), "3");
}

#[test]
fn focus_and_caret_stay_while_typing_and_rows_are_used_again() {
    let station = station();
    fill(&station, &shown(&ask(&["10", "20"]), &view(2), vec![]));
    let field = input(&station, "#t-parts-1");
    field.focus().unwrap();
    field.set_value("123");
    field.set_selection_range(1, 1).unwrap();
    fill(&station, &shown(&ask(&["10", "123", "30"]), &view(3), vec![]));
    assert!(field.is_same_node(Some(&dom::within(&station, "#t-parts-1").unwrap())));
    assert_eq!(dom::document().active_element().unwrap().id(), "t-parts-1");
    assert_eq!(field.selection_start().unwrap(), Some(1));
    assert_eq!(input(&station, "#t-parts-2").value(), "30");
}

#[test]
fn a_row_that_goes_leaves_the_focus_near() {
    let station = station();
    fill(&station, &shown(&ask(&["10", "20"]), &view(2), vec![]));
    let button: HtmlElement = dom::within(&station, "button[value='1']").unwrap().unchecked_into();
    button.focus().unwrap();
    fill(&station, &shown(&ask(&["10"]), &view(1), vec![]));
    assert!(dom::within(&station, "#t-parts-1").is_none());
    assert_eq!(dom::document().active_element().unwrap().id(), "t-parts-0");
}

#[test]
fn notes_reach_their_field_and_leave_it() {
    let station = station();
    let notes = vec![
        Note::error("setup.width", "Width is no number.", "Type digits."),
        Note::hint("setup.width", "Usually it is 20."),
        Note::error("parts.0.volume", "Row.", "Mend."),
        Note::warning("nowhere", "The whole.", "Do this."),
    ];
    fill(&station, &shown(&ask(&["x"]), &view(1), notes));
    let field = input(&station, "#t-width");
    assert_eq!(field.get_attribute("aria-invalid").unwrap(), "true");
    assert_eq!(field.get_attribute("aria-describedby").unwrap(), "t-hint t-setup-width-note");
    let place = dom::within(&station, "#t-setup-width-note").unwrap();
    // A line a note, each with its own weight.
    let lines: Vec<(String, String)> = dom::all(&place, "span")
        .iter()
        .map(|line| (line.text_content().unwrap(), line.get_attribute("data-severity").unwrap()))
        .collect();
    let said = |text: &str, severity: &str| (text.to_owned(), severity.to_owned());
    assert_eq!(lines, [said("Width is no number. Type digits.", "error"), said("Usually it is 20.", "hint")]);
    assert_eq!(place.get_attribute("role").unwrap(), "status");
    assert_eq!(input(&station, "#t-parts-0").get_attribute("aria-invalid").unwrap(), "true");
    assert_eq!(dom::within(&station, "[data-notes]").unwrap().text_content().unwrap(), "The whole. Do this.");
    fill(&station, &shown(&ask(&["1"]), &view(1), vec![]));
    assert!(!field.has_attribute("aria-invalid"));
    assert_eq!(field.get_attribute("aria-describedby").unwrap(), "t-hint");
    assert_eq!(place.text_content().unwrap(), "");
    assert_eq!(dom::within(&station, "[data-notes]").unwrap().text_content().unwrap(), "");
}

#[test]
fn a_control_that_leads_nowhere_makes_no_row() {
    let station = station();
    fill(&station, &shown(&ask(&["1", "2"]), &view(2), vec![]));
    let read: Ask = from_tree(read(&station, &ask(&["1"]))).unwrap();
    assert_eq!(read.parts.len(), 1);
}

#[test]
fn only_a_lone_n_is_a_row_number() {
    assert_eq!(numbered("parts.N.volume", 3).as_deref(), Some("parts.3.volume"));
    assert_eq!(numbered("N", 12).as_deref(), Some("12"));
    assert_eq!(numbered("lanes.N.steps.N.name", 1).as_deref(), Some("lanes.1.steps.N.name"));
    assert_eq!(numbered("coat-parts-N", 0).as_deref(), Some("coat-parts-0"));
    assert_eq!(numbered("Name", 0), None);
}

/// A hundred thousand numbers through the browser's own objects: every bit must come back.
#[test]
fn numbers_keep_every_bit() {
    let mut seed = 0x9e37_79b9_7f4a_7c15_u64;
    let numbers: Vec<f64> = (0..100_000)
        .map(|_| {
            seed ^= seed << 13;
            seed ^= seed >> 7;
            seed ^= seed << 17;
            f64::from_bits(seed)
        })
        .filter(|x| x.is_finite())
        .collect();
    let text = js_sys::JSON::stringify(&to_js(&numbers)).unwrap();
    let back: Vec<f64> = from_js(js_sys::JSON::parse(&String::from(text)).unwrap()).unwrap();
    let same =
        numbers.iter().zip(&back).filter(|(a, b)| a.to_bits() == b.to_bits() || (**a == 0.0 && **b == 0.0));
    assert_eq!(same.count(), numbers.len());
    assert!(numbers.len() > 99_000);
}
