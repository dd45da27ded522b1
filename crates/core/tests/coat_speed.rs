//! How long a complete mix takes with a thousand bottles and five thousand records in the book.
#![cfg(not(target_arch = "wasm32"))]
#![allow(clippy::disallowed_types, reason = "this is a clock's work")]

use std::time::{Duration, Instant};

use sorrel_core::book::{Book, Bottle, Change, Key, Kind, Object, Record};
use sorrel_core::coat::Coat;
use sorrel_core::station::{Device, Scene, Station};
use sorrel_core::tone::Solved;

/// The bar of a complete mix, native.
const BAR: Duration = Duration::from_millis(2);

fn best(book: &Book) -> Duration {
    let (tone, device) = (Solved::default(), Device::default());
    let scene =
        Scene { book, now: 1_764_000_000_000, zone_minutes: 0, luck: 3, tone: &tone, device: &device };
    let ask = Coat::load(book);
    let once = |_| {
        let began = Instant::now();
        let answer = Coat::answer(&ask, &scene);
        let took = began.elapsed();
        assert!(answer.view.has_mix);
        took
    };
    (0..200).map(once).min().unwrap_or(Duration::MAX)
}

fn large() -> Book {
    let mut book = Book::fresh(1, 2);
    let mut all = Vec::new();
    for i in 0..1000 {
        let content = ["iron", "palladium", "platinum", "agent", "surfactant"][i % 5];
        let bottle = Bottle {
            name: format!("{content}, lot {i}"),
            content: content.into(),
            strength: "15".into(),
            size: "50".into(),
            price: "26,50".into(),
            left: format!("{}.5", i % 40 + 1),
            opened: format!("2025-{:02}-{:02}", i % 12 + 1, i % 28 + 1),
            ..Bottle::default()
        };
        all.push(Change::put(Key::new(Kind::Bottle, format!("{i:x}-b")), Object::Bottle(Box::new(bottle))));
    }
    for i in 0..5000u32 {
        let record = Record { number: i + 1, rating: "4".into(), ..Record::default() };
        all.push(Change::put(Key::new(Kind::Record, format!("{i:x}-r")), Object::Record(Box::new(record))));
    }
    all.push(book.on_ticket(|t| {
        let ask = &mut t.asks.coat;
        (ask.width, ask.height, ask.edition) = ("203".into(), "254".into(), "12".into());
        (ask.setup.agent, ask.setup.surfactant) = (true, true);
    }));
    book.apply(Change::All(all), 2, "x");
    book
}

/// The best of many runs: what else the machine does only ever makes one slower.
#[test]
fn a_complete_mix_stays_below_its_bar() {
    let (small, large) = (best(&Book::fresh(1, 2)), best(&large()));
    println!(
        "a complete mix: {small:?} in an empty book, {large:?} with 1000 bottles and 5000 records, of {BAR:?}"
    );
    assert!(large <= BAR, "{large:?}");
}
