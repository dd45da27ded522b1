//! Time of a complete mix, as after every keystroke at the coat: in a new book, and in one with 1,000 bottles and 5,000
//! records.

#![allow(clippy::unwrap_used, missing_docs, reason = "a bench, whose entry points a macro writes")]

#[cfg(not(target_arch = "wasm32"))]
mod native {
    use criterion::{Criterion, criterion_group};
    use sorrel_core::book::{Book, Bottle, Change, Key, Kind, Object, Record};
    use sorrel_core::coat::Coat;
    use sorrel_core::station::{Device, Scene, Station};
    use sorrel_core::tone::Solved;

    fn book(bottles: u32, records: u32) -> Book {
        let mut book = Book::fresh(1, 2);
        for i in 0..bottles {
            let bottle = Bottle {
                content: if i % 2 == 0 { "iron" } else { "palladium" }.into(),
                size: "50".into(),
                price: "26,50".into(),
                opened: "2025-10-19".into(),
                ..Bottle::default()
            };
            let key = Key::new(Kind::Bottle, format!("{i:x}-b"));
            book.apply(Change::put(key, Object::Bottle(Box::new(bottle))), 1, "x");
        }
        for number in 0..records {
            let record = Record { number, rating: "4".into(), ..Record::default() };
            let key = Key::new(Kind::Record, format!("{number:x}-r"));
            book.apply(Change::put(key, Object::Record(Box::new(record))), 1, "x");
        }
        book
    }

    fn mixes(c: &mut Criterion) {
        for (bottles, records) in [(3, 10), (1_000, 5_000)] {
            let book = book(bottles, records);
            let (tone, device) = (Solved::default(), Device::default());
            let scene = Scene { book: &book, now: 5, zone_minutes: 0, luck: 3, tone: &tone, device: &device };
            let mut ask = Coat::load(&book);
            ask.edition = "12".into();
            (ask.setup.agent, ask.setup.surfactant) = (true, true);
            for (row, [poured, black]) in
                ask.setup.strips.iter_mut().zip([["15", "1.29"], ["30", "1.52"], ["60", "1.57"]])
            {
                (row.poured, row.black) = (poured.into(), black.into());
            }
            c.bench_function(&format!("mix, {bottles} bottles, {records} records"), |b| {
                b.iter(|| Coat::answer(&ask, &scene));
            });
        }
    }

    criterion_group!(benches, mixes);
}

#[cfg(not(target_arch = "wasm32"))]
criterion::criterion_main!(native::benches);

#[cfg(target_arch = "wasm32")]
fn main() {}
