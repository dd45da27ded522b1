//! Controls -> Ask.

use sorrel_core::tree::{ToTree, Tree};

use super::places::{Control, Kind};

/// What a control holds.
enum Held {
    /// A text as typed or chosen.
    Text(String),
    /// A tick.
    Tick(bool),
    /// A radio button that is not the chosen one: its group speaks through another.
    Silent,
}

/// What a control holds now.
fn held(control: &Control) -> Held {
    match &control.kind {
        Kind::Tick(input) => Held::Tick(input.checked()),
        Kind::Radio(input) if !input.checked() => Held::Silent,
        Kind::Radio(input) | Kind::Field(input) | Kind::File(input) => Held::Text(input.value()),
        Kind::Select(select) => Held::Text(select.value()),
        // What may only be one line can still be pasted as several.
        Kind::Area(area) if area.rows() == 1 => Held::Text(area.value().replace('\n', " ")),
        Kind::Area(area) => Held::Text(area.value()),
    }
}

/// Lays what the controls hold over the ask.
pub(super) fn controls(controls: &[Control], ask: &mut Tree) {
    for control in controls {
        match held(control) {
            Held::Text(text) => ask.put(&control.name, text.to_tree()),
            Held::Tick(on) => ask.put(&control.name, Tree::Bool(on)),
            Held::Silent => {}
        }
    }
}
