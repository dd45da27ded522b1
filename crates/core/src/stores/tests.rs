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
    for (i, verb) in
        ["add-bottle", "add-powder", "add-paper", "add-stock", "add-ink", "add-lamp"].into_iter().enumerate()
    {
        let change = act(&book, i as u64, verb, "iron").change.unwrap();
        undo.push(book.apply(change, 2, verb).inverse);
    }
    let mut ask = Stores::load(&book);
    let counts = [
        ask.bottles.len(),
        ask.powders.len(),
        ask.papers.len(),
        ask.stocks.len(),
        ask.inks.len(),
        ask.lamps.len(),
    ];
    assert_eq!(counts, [1; 6]);
    assert_eq!((ask.bottles[0].content.as_str(), ask.bottles[0].strength.as_str()), ("iron", "27"));
    ask.papers[0].name = "cotton 300 gsm".into();
    ask.lamps[0].hours = "212".into();
    undo.push(book.apply(Stores::keep(&book, ask.clone()), 3, "type").inverse);
    assert_eq!(Stores::load(&book), ask);
    for verb in
        ["remove-bottle", "remove-powder", "remove-paper", "remove-stock", "remove-ink", "remove-lamp"]
    {
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
    assert_eq!(
        (row.left.as_str(), row.per_ml.as_str(), row.prints.as_str()),
        ("11.40 mL", "3.04", "9 prints")
    );
    assert_eq!(a.notes, []);
    // 11.4 of 50 mL: 0.228 of the full bar.
    assert!(a.view.drawing.contains("width=\"61.56\""), "{}", a.view.drawing);
}

#[test]
fn what_must_not_meet_is_said() {
    let mut book = Book::fresh(1, 2);
    for (luck, content) in [(1, "chlorate"), (2, "ammonium-iron")] {
        book.apply(act(&book, luck, "add-bottle", content).change.unwrap(), 2, "x");
    }
    let v = answer(&book, &Stores::load(&book)).view;
    assert!(v.has_apart && v.apart[0].name.contains("ammonium chlorate"), "{:?}", v.apart);
    book.apply(act(&book, 9, "remove-bottle", "0").change.unwrap(), 3, "x");
    assert!(!answer(&book, &Stores::load(&book)).view.has_apart);
}

#[test]
fn tests_of_the_iron_are_kept_with_their_dates() {
    let mut book = Book::fresh(1, 2);
    for (luck, content) in [(1, "palladium"), (2, "iron")] {
        book.apply(act(&book, luck, "add-bottle", content).change.unwrap(), 2, "x");
    }
    assert_eq!(answer(&book, &Stores::load(&book)).view.irons[0].tests, "not tested yet");
    let commit = book.apply(act(&book, 3, "seen-good", "0").change.unwrap(), 3, "test");
    book.apply(act(&book, 3, "seen-blue", "0").change.unwrap(), 3, "test");
    let shown = answer(&book, &Stores::load(&book)).view.irons;
    assert_eq!(shown.len(), 1);
    assert_eq!(shown[0].tests, "1970-01-01: blue before light; 1970-01-01: good");
    // Typing at the stores leaves the tests alone.
    let mut ask = Stores::load(&book);
    ask.bottles[1].remarks = "brown glass".into();
    book.apply(Stores::keep(&book, ask), 4, "type");
    assert_eq!(book.bottles().map(|(_, b)| b.tests.len()).sum::<usize>(), 2);
    book.apply(commit.inverse, 5, "undo");
    assert_eq!(answer(&book, &Stores::load(&book)).view.irons[0].tests, "not tested yet");
    for place in ["1", "x", ""] {
        assert_eq!(act(&book, 3, "seen-good", place), Act::default());
    }
}

#[test]
fn age_and_order() {
    let mut book = Book::fresh(1, 2);
    for luck in 1..4 {
        book.apply(act(&book, luck, "add-bottle", "iron").change.unwrap(), 2, "x");
    }
    let mut ask = Stores::load(&book);
    for (row, opened) in ask.bottles.iter_mut().zip(["1970-01-01", "1.3.1969", "1969-12-01"]) {
        (row.opened, row.size, row.name) = (opened.into(), "50".into(), opened.into());
    }
    let levels = answer(&book, &ask).view.levels;
    let shown: Vec<_> =
        levels.iter().map(|l| (l.name.as_str(), l.keeps.as_str(), l.first.is_empty())).collect();
    assert_eq!(
        shown,
        [
            ("1.3.1969", "306 days old, past its time", false),
            ("1969-12-01", "31 days old, keeps about 152 days more", true),
            ("1970-01-01", "0 days old, keeps about 183 days more", true)
        ]
    );
    ask.bottles[1].keeps = "12".into();
    assert_eq!(answer(&book, &ask).view.levels[0].keeps, "306 days old, keeps about 59 days more");
    assert!(answer(&book, &ask).view.first_out.starts_with("Iron(III) oxalate runs out first"));
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
        ask.powders.push(PowderRow {
            salt: "Xy".into(),
            purity: "120".into(),
            size: "-1".into(),
            opened: "soon".into(),
            ..PowderRow::default()
        });
        ask.bottles.push(BottleRow {
            content: "iron".into(),
            strength: "1,2".into(),
            basis: "mol".into(),
            ..BottleRow::default()
        });
        ask.bottles.push(BottleRow {
            content: "ferricyanide".into(),
            strength: "60".into(),
            ..BottleRow::default()
        });
        ask.papers.push(PaperRow { price: "dear".into(), ..PaperRow::default() });
        ask.bottles[0].left = "60".into();
        ask.bottles[0].content = "gold".into();
        ask.bottles[0].drops = "2".into();
        for (content, opened) in [("iron", "3000-01-01"), ("iron", "11/8/1969"), ("iron", "1969-01-01")] {
            ask.bottles.push(BottleRow {
                content: content.into(),
                opened: opened.into(),
                ..BottleRow::default()
            });
        }
        let seen: Vec<String> = answer(&book, &ask)
            .notes
            .iter()
            .map(|n| format!("{} [{:?}] {} {}", n.field, n.severity, n.text, n.mend))
            .collect();
        expect![[r#"
            bottles.0.drops [Error] The drop count is 2, outside 5 to 100. Check the digits and the unit beside the field.
            bottles.0.content [Error] Nobody can tell what palladium, lot Pd-9 holds. Choose its content.
            bottles.0.left [Warning] palladium, lot Pd-9 holds more than its size. Check both figures; the price of a millilitre counts by the size.
            bottles.1.basis [Error] Moles cannot be counted without a formula. Type the formula on the label, or state the strength in percent.
            bottles.1.size [Hint] Without a size nobody can count what is left and what it costs. Type the mL that were bought or made. 
            bottles.2.strength [Warning] No bottle holds that much at 20 °C; the rest lies as crystals at its bottom. Check the label and how its strength is stated, or warm the bottle before use.
            bottles.2.size [Hint] Without a size nobody can count what is left and what it costs. Type the mL that were bought or made. 
            bottles.3.size [Hint] Without a size nobody can count what is left and what it costs. Type the mL that were bought or made. 
            bottles.3.opened [Warning] This date lies in the future. Check the year; until then the bottle counts as the newest.
            bottles.4.size [Hint] Without a size nobody can count what is left and what it costs. Type the mL that were bought or made. 
            bottles.4.opened [Error] This date is not read. Type it as 2026-02-14 or 14.2.2026, and age and order come from it.
            bottles.5.size [Hint] Without a size nobody can count what is left and what it costs. Type the mL that were bought or made. 
            bottles.5.keeps [Warning] iron(III) oxalate is 182 days older than it keeps. Test it, make a new one, or change how long it keeps.
            powders.0.purity [Error] The purity is 120, outside 0.01 to 100. Check the digits and the unit beside the field.
            powders.0.size [Error] The amount bought is −1, outside 0 to 1000000. Check the digits and the unit beside the field.
            powders.0.salt [Error] The formula: at sign 1, Xy is no element known here. Check capitals and small letters, as in Pd or Cl.
            powders.0.opened [Error] This date is not read. Type it as 2026-02-14 or 14.2.2026.
            papers.0.price [Error] The price is not a number. Type digits with comma or point, or a fraction such as 8 1/2."#]].assert_eq(&seen.join("\n"));
    }

    proptest! {
        #[test]
        fn never_panics_on_any_text(texts in proptest::collection::vec(".{0,10}|[0-9]{0,9}[.,]?[0-9]{0,3}", 90)) {
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
