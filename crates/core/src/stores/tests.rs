//! The stores as a printer meets them.

use super::*;
use crate::book::{Book, Change};
use crate::station::{Act, Answer, Deed, Device, Scene, Station};
use crate::testing::test;
use crate::tone::Solved;

fn with<T>(book: &Book, luck: u64, run: impl FnOnce(&Scene<'_>) -> T) -> T {
    let (tone, device) = (Solved::default(), Device::default());
    run(&Scene { book, now: 5, zone_minutes: 0, luck, tone: &tone, device: &device })
}

fn answer(book: &Book, ask: &Ask) -> Answer<View> {
    with(book, 1, |scene| Stores::answer(ask, scene))
}

fn act(book: &Book, luck: u64, verb: &str, place: &str) -> Act {
    with(book, luck, |scene| Stores::act(&Stores::load(book), Deed { verb, place }, scene))
}

/// A palladium bottle of the invented harbour series: 50 mL for 152.00, 11.4 mL left.
fn stocked() -> Book {
    let mut book = Book::fresh(1, 2);
    book.apply(act(&book, 1, "add-bottle", "palladium").change.unwrap(), 2, "x");
    let mut ask = Stores::load(&book);
    ask.bottles[0].name = "palladium, lot Pd-9".into();
    ask.bottles[0].size = "50".into();
    ask.bottles[0].price = "152,00".into();
    ask.bottles[0].left = "11.4 mL".into();
    book.apply(Stores::keep(&book, ask), 3, "x");
    book
}

#[test]
fn adding_typing_removing_and_taking_back() {
    let mut book = Book::fresh(1, 2);
    let start = book.clone();
    let mut undo = Vec::new();
    for (i, verb) in ["add-bottle", "add-paper", "add-stock", "add-ink", "add-lamp"].into_iter().enumerate() {
        let change = act(&book, i as u64, verb, "iron").change.unwrap();
        undo.push(book.apply(change, 2, verb).inverse);
    }
    let mut ask = Stores::load(&book);
    let counts = [ask.bottles.len(), ask.papers.len(), ask.stocks.len(), ask.inks.len(), ask.lamps.len()];
    assert_eq!(counts, [1; 5]);
    assert_eq!((ask.bottles[0].content.as_str(), ask.bottles[0].strength.as_str()), ("iron", "27"));
    ask.papers[0].name = "cotton 300 gsm".into();
    ask.lamps[0].hours = "212".into();
    undo.push(book.apply(Stores::keep(&book, ask.clone()), 3, "type").inverse);
    assert_eq!(Stores::load(&book), ask);
    for verb in ["remove-bottle", "remove-paper", "remove-stock", "remove-ink", "remove-lamp"] {
        undo.push(book.apply(act(&book, 9, verb, "0").change.unwrap(), 4, verb).inverse);
        assert_eq!(act(&book, 9, verb, "0"), Act::default());
        assert_eq!(act(&book, 9, verb, "x"), Act::default());
    }
    assert_eq!(Stores::load(&book), Ask::default());
    // A row of an object that is gone meanwhile brings nothing back.
    assert!(book.apply(Stores::keep(&book, ask), 5, "late").is_empty());
    while let Some(inverse) = undo.pop() {
        book.apply(inverse, 6, "undo");
    }
    assert_eq!(book, start);
    assert_eq!(act(&book, 9, "add-bottle", "gold").change, None);
}

#[test]
fn a_bottle_counts_in_prints_and_money() {
    let mut book = stocked();
    let change: Change = book.on_ticket(|t| {
        t.asks.coat.width = "203".into();
        t.asks.coat.height = "254".into();
        t.asks.coat.strip = "without".into();
        t.asks.coat.setup.margin = "0".into();
        t.asks.coat.setup.coverage = "46.5".into();
        t.asks.coat.sheets = "3".into();
    });
    book.apply(change, 4, "x");
    let a = answer(&book, &Stores::load(&book));
    let row = &a.view.levels[0];
    assert_eq!((row.left.as_str(), row.per_ml.as_str(), row.prints.as_str()), ("11.40 mL", "3.04", "9"));
    assert_eq!(a.notes, []);
    // 11.4 of 50 mL: 0.228 of the full bar.
    assert!(a.view.drawing.contains("width=\"61.56\""), "{}", a.view.drawing);
}

#[cfg(not(target_arch = "wasm32"))]
mod native {
    use super::*;
    use expect_test::expect;
    use proptest::prelude::*;

    #[test]
    fn notes() {
        let book = stocked();
        let mut ask = Stores::load(&book);
        ask.papers.push(PaperRow { price: "dear".into(), ..PaperRow::default() });
        ask.bottles[0].left = "60".into();
        ask.bottles[0].content = "gold".into();
        ask.bottles[0].drops = "2".into();
        let seen: Vec<String> = answer(&book, &ask)
            .notes
            .iter()
            .map(|n| format!("{} [{:?}] {} {}", n.field, n.severity, n.text, n.mend))
            .collect();
        expect![[r#"
            bottles.0.drops [Error] Drops in a millilitre is 2, outside 5 to 100. Check the digits and the unit beside the field.
            bottles.0.content [Error] Nobody can tell what palladium, lot Pd-9 holds. Choose its content.
            bottles.0.left [Warning] palladium, lot Pd-9 holds more than its size. Check both figures; the price of a millilitre counts by the size.
            papers.0.price [Error] The price is not a number. Type digits with comma or point, or a fraction such as 8 1/2."#]].assert_eq(&seen.join("\n"));
    }

    proptest! {
        #[test]
        fn never_panics_on_any_text(texts in proptest::collection::vec(".{0,10}|[0-9]{0,9}[.,]?[0-9]{0,3}", 40)) {
            let book = stocked();
            let mut ask = serde_json::to_value(Stores::sample().0).unwrap();
            let mut next = texts.iter();
            for list in ask.as_object_mut().unwrap().values_mut() {
                for field in list[0].as_object_mut().unwrap().values_mut() {
                    *field = next.next().unwrap().clone().into();
                }
            }
            let ask: Ask = serde_json::from_value(ask).unwrap();
            let answered = answer(&book, &ask);
            let shown = serde_json::to_string(&answered.view).unwrap() + &format!("{:?}", answered.notes);
            prop_assert!(!shown.contains("NaN") && !shown.contains("\"inf"));
            prop_assert!(book.clone().apply(Stores::keep(&book, ask), 1, "x").is_empty());
        }
    }
}
