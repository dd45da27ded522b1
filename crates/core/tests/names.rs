//! The names in the page's HTML are those of the stations' asks and views, both ways.
#![cfg(not(target_arch = "wasm32"))]

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use sorrel_core::station::Station;
use sorrel_core::tree::{ToTree, Tree};

/// Which names a value has, rows as `N`: texts, ticks and lists.
#[derive(Default)]
struct Names {
    texts: BTreeSet<String>,
    ticks: BTreeSet<String>,
    lists: BTreeSet<String>,
}

impl Names {
    fn of(value: &impl ToTree) -> Self {
        let mut names = Self::default();
        names.collect("", &value.to_tree());
        names
    }

    fn collect(&mut self, path: &str, value: &Tree) {
        match value {
            Tree::Map(fields) => {
                for (name, value) in fields {
                    let path = if path.is_empty() { name.to_string() } else { format!("{path}.{name}") };
                    self.collect(&path, value);
                }
            }
            Tree::List(rows) => {
                self.lists.insert(path.to_owned());
                let first = rows.first().unwrap_or_else(|| panic!("sample() has no row in {path}"));
                self.collect(&format!("{path}.N"), first);
            }
            Tree::Bool(_) => {
                self.ticks.insert(path.to_owned());
            }
            _ => {
                self.texts.insert(path.to_owned());
            }
        }
    }
}

/// A tag's name and its attributes.
type Tag = (String, BTreeMap<String, String>);

/// Every opening tag of an HTML text, in order.
fn tags(html: &str) -> Vec<Tag> {
    let mut all = Vec::new();
    let mut rest = html;
    while let Some(start) = rest.find('<') {
        rest = &rest[start + 1..];
        if rest.starts_with("!--") {
            rest = &rest[rest.find("-->").unwrap_or(0)..];
            continue;
        }
        if !rest.starts_with(|c: char| c.is_ascii_alphabetic()) {
            continue;
        }
        let end = rest.find('>').expect("a tag ends");
        let (tag, after) = (&rest[..end], &rest[end..]);
        let name = tag.split(|c: char| c.is_whitespace() || c == '/').next().unwrap_or_default();
        let mut attributes = BTreeMap::new();
        let mut inside = &tag[name.len()..];
        while let Some(at) = inside.find(|c: char| !c.is_whitespace() && c != '/') {
            inside = &inside[at..];
            let stop = inside.find(|c: char| c == '=' || c.is_whitespace()).unwrap_or(inside.len());
            let key = inside[..stop].to_owned();
            inside = &inside[stop..];
            let mut value = String::new();
            if let Some(quoted) = inside.strip_prefix("=\"") {
                let close = quoted.find('"').expect("a value ends");
                value = quoted[..close].to_owned();
                inside = &quoted[close + 1..];
            }
            attributes.insert(key, value);
        }
        all.push((name.to_owned(), attributes));
        rest = after;
    }
    all
}

/// Fields that stand in no HTML on purpose: station, name, reason.
const WITHOUT_PLACE: &[(&str, &str, &str)] = &[
    ("workroom", "hand", "which lane is in hand is chosen by a button"),
    ("light", "setup.settled", "the button that settles a time writes it"),
    ("tone", "scan.shading", "a blank scan gives it"),
    ("tone", "carry.proposed.key", "points are proposed by a button"),
    ("tone", "carry.proposed.points", "points are proposed by a button"),
    ("tone", "carry.proposed.worst", "points are proposed by a button"),
];

/// The faults of one station.
struct Faults(&'static str, Vec<String>);

impl Faults {
    fn unless(&mut self, fine: bool, what: &str, name: &str) {
        if !fine {
            self.1.push(format!("{}: {what} \"{name}\"", self.0));
        }
    }
}

/// The HTML of a station or of a part of one, with its parts in the places of their comments.
fn html(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("../../www/stations/{name}.html"));
    let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    let part = |line: &str| Some(html(line.strip_prefix("<!-- part: ")?.strip_suffix(" -->")?));
    text.lines().map(|line| part(line).unwrap_or_else(|| line.to_owned()) + "\n").collect()
}

fn check<S: Station>() -> Vec<String> {
    let html = html(S::ID);
    let (ask, view) = S::sample();
    let (ask, view) = (Names::of(&ask), Names::of(&view));
    let mut asked = BTreeSet::new();
    let mut shown = BTreeSet::new();
    let is_button = |name: &str| {
        tags(&html).iter().any(|(tag, a)| tag == "button" && a.get("name").is_some_and(|n| n == name))
    };
    let mut faults = Faults(S::ID, Vec::new());
    for (tag, attributes) in tags(&html) {
        let get = |key: &str| attributes.get(key).cloned();
        let control = matches!(tag.as_str(), "input" | "select" | "textarea");
        if control || tag == "output" {
            let id = get("id").unwrap_or_default();
            let Some(name) = get("name") else {
                faults.unless(false, "a control or output has no name; its id is", &id);
                continue;
            };
            if control {
                let tick = get("type").as_deref() == Some("checkbox");
                let fine = if tick { ask.ticks.contains(&name) } else { ask.texts.contains(&name) };
                faults.unless(fine, "a control has no field", &name);
                asked.insert(name);
            } else {
                faults.unless(view.texts.contains(&name), "an output has no field", &name);
                shown.insert(name);
            }
        }
        if let Some(name) = get("data-show") {
            // A text that is not empty says something, too.
            let fine = view.ticks.contains(&name) || view.texts.contains(&name);
            faults.unless(fine, "data-show has no flag or text", &name);
            shown.insert(name);
        }
        if let Some(name) = get("data-svg") {
            faults.unless(view.texts.contains(&name), "data-svg has no field", &name);
            shown.insert(name);
        }
        if let Some(name) = get("data-each") {
            let fine = view.lists.contains(&name) || ask.lists.contains(&name);
            faults.unless(fine, "data-each has no list", &name);
        }
        if let Some(name) = get("data-note") {
            // A button may say beside itself what it did.
            let field = [&ask.texts, &ask.ticks, &ask.lists].iter().any(|names| names.contains(&name));
            faults.unless(field || is_button(&name), "data-note has no field or button", &name);
        }
    }
    for (side, names, used) in [("ask", &ask, &asked), ("view", &view, &shown)] {
        for name in names.texts.iter().chain(&names.ticks) {
            let excused = WITHOUT_PLACE.iter().any(|(station, n, _)| *station == S::ID && n == name);
            let fine = used.contains(name) || excused;
            faults.unless(fine, &format!("the {side} has a field that stands nowhere in the HTML:"), name);
        }
    }
    faults.1
}

#[test]
fn the_page_and_the_stations_use_the_same_names() {
    let faults = [
        check::<sorrel_core::negative::Negative>(),
        check::<sorrel_core::tone::Tone>(),
        check::<sorrel_core::coat::Coat>(),
        check::<sorrel_core::stores::Stores>(),
        check::<sorrel_core::make::Make>(),
        check::<sorrel_core::light::Light>(),
        check::<sorrel_core::baths::Baths>(),
        check::<sorrel_core::workroom::Workroom>(),
        check::<sorrel_core::book::page::BookStation>(),
    ]
    .concat();
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}

#[test]
fn every_tag_is_found() {
    let text =
        "<p class=\"x\"><input name=\"a.N.b\" type=\"checkbox\" disabled><!-- <input name=\"no\"> --></p>";
    let found = tags(text);
    assert_eq!(found.len(), 2);
    assert_eq!(found[1].1.get("name").map(String::as_str), Some("a.N.b"));
    assert!(found[1].1.contains_key("disabled"));
}
