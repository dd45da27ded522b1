//! The three looks. `look.js` sets the class before the first paint; here it changes on a tap.

use crate::dom;

/// Where `look.js` finds it.
const KEY: &str = "sorrel-look";
/// The looks, in the order of darkness.
const LOOKS: [&str; 3] = ["paper", "amber", "red"];

/// Takes on a look and keeps it for the next start. Unknown words change nothing.
pub(crate) fn take(look: &str) {
    let Some(root) = dom::document().document_element() else { return };
    if !LOOKS.contains(&look) {
        return;
    }
    for one in LOOKS {
        let _ = root.class_list().toggle_with_force(&format!("look-{one}"), one == look);
    }
    if let Ok(Some(storage)) = dom::window().local_storage() {
        // Refused in some private windows; the look then lasts as long as the page.
        let _ = storage.set_item(KEY, look);
    }
}

/// The look in use.
pub(crate) fn now() -> &'static str {
    let classes = dom::document().document_element().map(|root| root.class_list());
    LOOKS
        .into_iter()
        .find(|look| classes.as_ref().is_some_and(|c| c.contains(&format!("look-{look}"))))
        .unwrap_or(LOOKS[0])
}

/// Whether the system's own keyboard and pickers would light up the room.
pub(crate) fn dark() -> bool {
    now() != LOOKS[0]
}
