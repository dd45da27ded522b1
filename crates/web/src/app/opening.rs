//! From an empty page to one that answers.

use sorrel_core::book::{Book, Change, Commit, Key, Put, Stored};
use sorrel_core::light;
use sorrel_core::station::Device;
use sorrel_core::tone;
use wasm_bindgen_futures::spawn_local;

use super::screen::fragment;
use super::{APP, App, Msg, dispatch};
use crate::dom;
use crate::early;
use crate::platform::worker::Imaging;
use crate::platform::{clock, quota, random, rest, tabs::Tabs};
use crate::stations::{self, ROOMS};
use crate::store::{Loaded, Queue, Store, witness};

/// Opens the book and shows it. An empty book is answered at once; any other waits for the rest of the module.
///
/// # Errors
/// Why the rest of the module did not come.
pub(crate) async fn open() -> Result<(), String> {
    let store = Store::own();
    // A store that cannot be opened holds nothing either; loading says why.
    let first = first_look() && store.is_empty().await.unwrap_or(true);
    if !first {
        rest::come().await?;
    }
    let (loaded, trouble) = match store.load().await {
        Ok(loaded) => (loaded, None),
        Err(trouble) => (Loaded::default(), Some(trouble)),
    };
    let Loaded { objects, first_only, events, newer } = loaded;
    let found_lanes = reconciled(&objects);
    let (book, mended) = Book::open(objects, clock::now(), random::luck());
    let address = dom::window().location().href().unwrap_or_default();
    let address = address.split('#').next().unwrap_or_default().to_owned();
    let app = App {
        tone: (book.setup().tone.clone(), tone::solve(&book.setup().tone)),
        light: light::Rests::default(),
        book,
        own: None,
        store: store.clone(),
        queue: Queue::default(),
        tabs: Tabs::open(|keys| dispatch(Msg::OtherTab(keys))),
        shown: 0,
        device: Device { address, storing: trouble.is_none(), events, ..Device::default() },
        said: None,
        undo: Vec::new(),
        undo_number: 0,
        waiting: None,
        presses: 0,
        held: Vec::new(),
        early: Vec::new(),
        gone: Vec::new(),
        whole: !first_only,
        read_only: newer,
        imaging: Imaging::new(|said| dispatch(Msg::Worker(said))),
        job: None,
        picture: None,
        scan: None,
        update: false,
        drawn: None,
        demo_drawn: false,
        second: 0,
        signalled: Vec::new(),
    };
    APP.with_borrow_mut(|place| {
        let app = place.insert(app);
        let commit = as_commit(&mended, &app.book);
        app.send(commit);
        for (station, controls) in early::take() {
            if station != stations::FIRST && !rest::here() {
                app.hold(Msg::Input(station));
                continue;
            }
            let room = ROOMS[station];
            if let Ok(change) = room.typed_early(&controls, &app.book) {
                app.change(change, &format!("{}/type", room.id()), true);
            }
        }
        app.arrive(trouble);
        for (key, stored) in found_lanes {
            app.change(Change::put(key, stored.object), "open/witness", false);
        }
    });
    if first_only {
        spawn_local(async move {
            if let Ok(all) = store.everything().await {
                dispatch(Msg::Rest(all));
            }
        });
    }
    spawn_local(async { dispatch(Msg::Kept(quota::kept().await)) });
    Ok(())
}

/// Whether the address asks for nothing but the first station, and no lane was running when the page was last open.
fn first_look() -> bool {
    let asked = fragment();
    (asked.is_empty() || stations::place(&asked) == Some(stations::FIRST)) && !witness::any()
}

/// Running lanes that the second witness saw further on than the store: a commit that never reached the disk.
fn reconciled(objects: &[(Key, Stored)]) -> Vec<(Key, Stored)> {
    let mut seen = witness::read();
    seen.retain(|(key, theirs)| {
        let ours = objects.iter().find(|(k, _)| k == key).map_or(0, |(_, s)| s.rev);
        theirs.rev > ours
    });
    seen
}

/// What opening had to add, as a commit. The book has it already.
fn as_commit(change: &Change, book: &Book) -> Commit {
    let mut commit = Commit { puts: vec![], deletes: vec![], events: vec![], inverse: Change::None };
    let mut open = vec![change];
    while let Some(change) = open.pop() {
        match change {
            Change::All(all) => open.extend(all),
            Change::Put(key, _) => {
                let stored = book.stored().find(|(k, _)| *k == key).map(|(_, s)| s.clone());
                commit.puts.extend(stored.map(|stored| Put {
                    key: key.to_string(),
                    expect: stored.rev.saturating_sub(1),
                    from: None,
                    stored,
                }));
            }
            Change::None | Change::Delete(_) => {}
        }
    }
    commit
}
