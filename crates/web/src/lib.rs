//! The page: the only crate beside the worker that knows a browser.
//!
//! `start()` opens the book, binds the static HTML and from then on everything is a [`app::Msg`] through one
//! `dispatch`. The stations' own attributes stand in DEVELOPERS.md. Beside them the page has a few names of its own:
//!
//! | name | on | meaning |
//! |---|---|---|
//! | `data-cell="mix"` | element of the ticket strip | cell `picture`, `size`, `film`, `mix`, `time` or `baths`; its `[data-text]` (or itself) gets the text, `data-done` is `true` or `false` |
//! | `href="#coat"` | links of the `nav` | the link of the station shown gets `aria-current="page"` |
//! | `data-unit="length"` | `span` | filled with `mm` or `in`; `temperature`: `°C` or `°F`; `liquid`: `mL` or `drops` |
//! | `data-units` | any element | inside, radio groups and selects named `length` (`mm`, `inch`), `liquid` (`ml`, `drops`), `temperature` (`c`, `f`) and `mark` (`point`, `comma`) change units |
//! | `data-look="amber"` | `button` | the look `paper`, `amber` or `red`; the one in use gets `aria-pressed="true"` |
//! | `data-hand="ticket"` | any element | number and title of the ticket in hand; `setup`: the setup's name |
//! | `data-notice="message"` | any element, hidden at first | what the page has to say, in its `[data-text]`; also `demo`, `update`, `newer`, `storing`, each shown while it holds |
//! | `name="close-demo"` | `button` outside stations | also `use-update` and `export` |
//! | `data-undo` | button, or an element around one, hidden at first | shown for ten seconds after a change that can be taken back |
//! | `data-mark` | any element | the printer's decimal mark |
//! | `data-job` | one element, hidden at first | the long job: `[data-text]`, `progress`, `button` that cancels |
//! | `data-offline` | any element | says whether the site lies complete on this device |
//! | `data-canvas="print"` | `canvas` | expected print of the picture in hand; `film`: the film, ink side as it leaves the printer; `whole`: the print without its frame |
//! | `data-keypad` | `input` of the workroom | typed through the page's own keypad in the dark looks |
//! | `dialog#keypad` | one | `[data-text]` names the field, `output` shows what is typed, buttons `data-key="7"`, `.`, `/`, `back`, `clear`, `done` |
//! | `data-hold` | `button[name]` | acts only after 0.8 s of holding; carries `data-holding` meanwhile |
//! | `template#working-step` | one | one step of a working: `[data-part="label"]`, `formula`, `inputs`, `result`, `source` |
//! | `data-draw="crop"` | any element | pointer work of a station (see `stations/`), which only sets named fields |
//!
//! A station whose button is being stored carries `aria-busy="true"`, at most 250 ms long.

mod app;
#[cfg(feature = "test-clock")]
mod bench;
mod binder;
mod dom;
mod early;
mod events;
mod hold;
mod keypad;
mod platform;
mod preview;
mod stations;
mod store;
#[cfg(feature = "test-clock")]
mod testing;

use js_sys::{Function, Reflect};
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::spawn_local;

/// Starts the page. Called by the module's glue as soon as it is loaded.
#[wasm_bindgen(start)]
pub fn start() {
    // Tests of this crate load the module without the page.
    if dom::find("[data-station]").is_none() {
        return;
    }
    std::panic::set_hook(Box::new(|info| {
        app::die();
        dead(&info.to_string());
    }));
    #[cfg(feature = "test-clock")]
    {
        platform::clock::test::install(|| app::dispatch(app::Msg::Tick));
        testing::install();
    }
    early::listen();
    spawn_local(async {
        if let Err(why) = app::open().await {
            app::die();
            dead(&why);
            return;
        }
        for (i, room) in stations::ROOMS.iter().enumerate() {
            if let Some(section) = app::section(i) {
                room.dress(&section);
            }
        }
        events::listen();
        // From here on the page answers; page tests and measurements wait for it.
        if let Some(page) = dom::document().document_element() {
            dom::set_attribute(&page, "data-page", "ready");
        }
    });
}

/// Lets the page say that it has stopped, and why.
fn dead(why: &str) {
    let dead = Reflect::get(&dom::window(), &"sorrelDead".into()).ok();
    if let Some(dead) = dead.and_then(|f| f.dyn_into::<Function>().ok()) {
        let _ = dead.call1(&JsValue::UNDEFINED, &JsValue::from_str(why));
    }
}
