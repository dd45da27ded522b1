//! Book files of every schema there ever was open for ever. Each sample was written by the build that had that schema
//! (schema 1: by hand, with invented content) and is never changed afterwards.

use sorrel_core::book::exchange::{ImportError, Mode, import, read};
use sorrel_core::book::{Book, TicketKind};
use sorrel_core::show::{DecimalMark, LiquidUnit};
#[cfg(target_arch = "wasm32")]
use wasm_bindgen_test::wasm_bindgen_test as test;

#[test]
fn a_book_of_schema_1_opens() {
    let text = include_str!("books/schema-1.json");
    let incoming = read(serde_json::from_str(text).unwrap()).unwrap();
    assert_eq!(incoming.notes, []);
    assert_eq!((incoming.objects.len(), incoming.events.len()), (13, 1));
    assert_eq!((incoming.made, incoming.build.as_str()), (1_762_603_200_000, "sample-1"));

    let mut book = Book::fresh(1, 2);
    let plan = import(&incoming, &book, Mode::Replace, 3, 4);
    book.apply(plan.change, 3, "book/import");
    assert_eq!(book.stored().count(), 13);
    assert_eq!((book.desk().units.liquid, book.desk().units.mark), (LiquidUnit::Drops, DecimalMark::Comma));
    assert_eq!(book.desk().exported, 1_762_500_000_000);
    let ticket = book.ticket();
    assert_eq!((ticket.number, ticket.kind, ticket.title.as_str()), (2, TicketKind::Chart, "Chart for K7"));
    assert_eq!(book.setup().name, "Warm");
    assert_eq!(book.setup().tone.readings, "0 1.43\n100 0.10");
    assert_eq!(book.setup().corrections.len(), 1);
    let film = book.film("f1").unwrap();
    assert_eq!((film.number, film.correction, film.printed), (7, 2, 1_762_003_600_000));
    assert_eq!((film.plan.width_mm, film.plan.height_mm), (190.5, 254.0));
    let record = book.record("c1").unwrap();
    assert_eq!(record.strip[1], "1,20");
    assert_eq!(record.planned, [("Exposure".to_owned(), "6:40".to_owned())]);
    assert_eq!(record.ticket.film, "f1");
    assert_eq!(book.lane("n1").unwrap().steps[0].seconds, 400.5);
    assert_eq!(book.bottle("b1").unwrap().price, "152,00");
    assert_eq!(book.paper("p1").unwrap().lot, "K7");
    assert_eq!(book.stock("k1").unwrap().full_dry, "12");
    assert_eq!(book.lamp("l1").unwrap().hours, "330");
    assert_eq!(book.ink("i1").unwrap().name, "pigment set");
    assert_eq!(book.day("2025-11-08").unwrap().humidity, "44");
    assert_eq!(book.recipe("r1").unwrap().source, "own");
}

#[test]
fn a_book_of_a_schema_to_come_is_refused_by_its_number() {
    // Made up: whatever else it may hold, format and schema stay where they are.
    let text = r#"{"format":"sorrel-book","schema":4,"shelves":{"a":[1,2]},"objects":7}"#;
    let refused = read(serde_json::from_str(text).unwrap()).unwrap_err();
    assert_eq!(refused, ImportError::Newer { schema: 4 });
    assert!(refused.note().text.contains("version 4"));
}
