//! Round trips, hostile files, and what every note says.

use expect_test::expect;
use proptest::prelude::*;

use super::*;
use crate::book::{Bottle, Film, Record, Ticket};

#[expect(clippy::unwrap_used, reason = "a helper of tests; clippy only knows the tests themselves")]
fn text(book: &Book) -> String {
    serde_json::to_string(&export(book, vec![], 5, "test")).unwrap()
}

fn open(text: &str) -> Result<Incoming, ImportError> {
    let tree: Tree = serde_json::from_str(text).map_err(|_| ImportError::not_json(text))?;
    read(tree)
}

fn into_fresh(incoming: &Incoming, mode: Mode) -> Book {
    let mut book = Book::fresh(99, 3);
    let import = import(incoming, &book, mode, 100, 4);
    book.apply(import.change, 100, "book/import");
    book
}

/// What a book holds, without revisions, which are each device's own.
fn objects(book: &Book) -> BTreeMap<Key, Object> {
    book.stored().map(|(k, s)| (k.clone(), s.object.clone())).collect()
}

fn said(notes: &[Note]) -> String {
    notes.iter().map(|n| format!("{} {}\n", n.text, n.mend)).collect()
}

/// Books with some of every kind whose fields this folder owns, and any text and number in them.
fn any_book() -> impl Strategy<Value = Book> {
    let typed = any::<String>();
    let finite = prop::num::f64::NORMAL | prop::num::f64::SUBNORMAL | prop::num::f64::ZERO;
    let film = (typed, finite, any::<u32>(), any::<i32>()).prop_map(|(title, x, number, ms)| {
        let mut film = Film { title, number, made: i64::from(ms) * 1_000, ..Film::default() };
        film.plan.width_mm = x;
        film.plan.crop = Some([x, -x, 1.0, 0.5]);
        Object::Film(Box::new(film))
    });
    let bottle = (typed, typed)
        .prop_map(|(name, lot)| Object::Bottle(Box::new(Bottle { name, lot, ..Bottle::default() })));
    let record =
        (typed, prop::collection::vec(typed, 0..8), any::<bool>()).prop_map(|(remarks, strip, reference)| {
            let planned = strip.iter().map(|s| (s.clone(), remarks.clone())).collect();
            Object::Record(Box::new(Record { remarks, strip, reference, planned, ..Record::default() }))
        });
    let ticket = typed.prop_map(|title| {
        Object::Ticket(Box::new(Ticket { title, setup: "none".into(), ..Ticket::default() }))
    });
    let one = prop_oneof![film, bottle, record, ticket];
    prop::collection::vec(("[a-z0-9-]{1,64}", one, 1..1000_u32), 0..30).prop_map(|all| {
        let mut book = Book::fresh(1_000, 7);
        for (id, object, rev) in all {
            book.adopt(Key::new(object.kind(), id), Some(Stored { rev, object }));
        }
        book
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn out_and_in_again_is_the_same_book(book in any_book()) {
        let incoming = open(&text(&book)).unwrap();
        prop_assert_eq!(&incoming.notes, &vec![]);
        prop_assert_eq!(incoming.objects.len(), book.stored().count());
        prop_assert!(book.stored().all(|(k, s)| incoming.objects.get(k) == Some(s)), "revisions travel too");
        prop_assert_eq!(objects(&into_fresh(&incoming, Mode::Replace)), objects(&book));
    }

    #[test]
    fn merging_loses_nothing_that_is_here(book in any_book(), other in any_book()) {
        let incoming = open(&text(&other)).unwrap();
        let plan = import(&incoming, &book, Mode::Merge, 100, 4);
        let mut merged = book.clone();
        let commit = merged.apply(plan.change.clone(), 100, "book/import");
        prop_assert!(commit.deletes.is_empty());
        prop_assert!(book.stored().all(|(k, _)| merged.object(k).is_some()));
        prop_assert!(other.stored().all(|(k, _)| merged.object(k).is_some()));
        prop_assert_eq!(merged.desk(), book.desk());
        let total = plan.total();
        prop_assert_eq!(commit.puts.len(), total.added + total.replaced);
        merged.apply(commit.inverse, 101, "undo");
        // Every object is as it was; its revision goes on rising, because other tabs go by it.
        prop_assert!(merged.stored().map(|(k, s)| (k, &s.object)).eq(book.stored().map(|(k, s)| (k, &s.object))));
        let risen = |(a, b): ((&Key, &Stored), (&Key, &Stored))| a.1.rev >= b.1.rev;
        prop_assert!(merged.stored().zip(book.stored()).all(risen));
    }

    #[test]
    fn a_cut_file_is_refused_and_never_panics(book in any_book(), at in 0.0..1.0f64) {
        let whole = text(&book);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a fraction of a length")]
        let mut end = (whole.len() as f64 * at) as usize;
        while !whole.is_char_boundary(end) {
            end -= 1;
        }
        prop_assert!(open(&whole[..end]).is_err());
    }

    #[test]
    fn no_text_panics(text in ".{0,200}") {
        let _ = open(&text);
    }

    #[test]
    fn no_damage_panics(book in any_book(), at in any::<prop::sample::Index>(), with in "[\\[\\]{}\",:0-9a-z-]{1,3}") {
        let mut whole: Vec<char> = text(&book).chars().collect();
        let at = at.index(whole.len());
        whole.splice(at..at + 1, with.chars());
        if let Ok(incoming) = open(&whole.into_iter().collect::<String>()) {
            let book = into_fresh(&incoming, Mode::Replace);
            prop_assert!(book.object(&book.ticket_key()).is_some());
            prop_assert!(book.object(&book.setup_key()).is_some());
        }
    }
}

#[test]
fn a_hundred_thousand_numbers_keep_their_bits() {
    // A linear congruence over all bits (Knuth's MMIX constants); what is not finite is passed over.
    let mut state = 0x5eed_u64;
    let mut films = Vec::new();
    while films.len() < 25_000 {
        let mut crop = [0.0; 4];
        for x in &mut crop {
            loop {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                *x = f64::from_bits(state ^ (state >> 29));
                if x.is_finite() {
                    break;
                }
            }
        }
        films.push(crop);
    }
    let mut book = Book::fresh(1, 1);
    for (i, crop) in films.iter().enumerate() {
        let mut film = Film::default();
        film.plan.crop = Some(*crop);
        let object = Object::Film(Box::new(film));
        book.adopt(Key::new(Kind::Film, format!("{i:05}")), Some(Stored { rev: 1, object }));
    }
    let incoming = open(&text(&book)).unwrap();
    let back = into_fresh(&incoming, Mode::Replace);
    for ((_, film), crop) in back.films().zip(&films) {
        assert_eq!(film.plan.crop.map(|c| c.map(f64::to_bits)), Some(crop.map(f64::to_bits)));
    }
    assert_eq!(back.films().count(), films.len());
}

#[test]
fn an_import_without_a_desk_still_leaves_a_whole_book() {
    let incoming = open(
        r#"{"format":"sorrel-book","schema":1,"objects":[{"key":"bottle/a","rev":1,"object":{"bottle":{"name":"iron"}}}]}"#,
    )
    .unwrap();
    let book = into_fresh(&incoming, Mode::Replace);
    assert_eq!(book.bottle("a").map(|b| b.name.as_str()), Some("iron"));
    assert!(book.object(&book.setup_key()).is_some());
}

#[test]
fn the_file_wins_where_it_was_changed_more_often() {
    let bottle = |name: &str| Object::Bottle(Box::new(Bottle { name: name.into(), ..Bottle::default() }));
    let key = Key::new(Kind::Bottle, "a");
    let mut here = Book::fresh(1, 1);
    here.adopt(key.clone(), Some(Stored { rev: 3, object: bottle("here") }));
    for (rev, expect) in [(2, "here"), (3, "here"), (4, "there")] {
        let mut there = here.clone();
        there.adopt(key.clone(), Some(Stored { rev, object: bottle("there") }));
        let incoming = open(&text(&there)).unwrap();
        let mut book = here.clone();
        book.apply(import(&incoming, &here, Mode::Merge, 9, 9).change, 9, "book/import");
        assert_eq!(book.bottle("a").map(|b| b.name.as_str()), Some(expect), "revision {rev}");
    }
}

#[test]
fn a_merge_that_doubles_numbers_says_so() {
    let film = |number| Object::Film(Box::new(Film { number, ..Film::default() }));
    let (mut here, mut there) = (Book::fresh(1, 1), Book::fresh(2, 2));
    here.adopt(Key::new(Kind::Film, "a"), Some(Stored { rev: 1, object: film(7) }));
    there.adopt(Key::new(Kind::Film, "b"), Some(Stored { rev: 1, object: film(7) }));
    let plan = import(&open(&text(&there)).unwrap(), &here, Mode::Merge, 9, 9);
    expect![[r#"
        After this, two films share a number: 7. Tell them apart by title and date; new ones get numbers above all of these.
    "#]]
    .assert_eq(&said(&plan.notes));
}

#[test]
fn what_cannot_be_read_is_named_and_the_rest_opens() {
    let long = "x".repeat(LONGEST + 1);
    let file = format!(
        r#"{{"format":"sorrel-book","schema":1,"made":5,"build":"b","objects":[
            {{"key":"bottle/a","rev":1,"object":{{"bottle":{{"name":"iron","colour of the cap":"red"}}}}}},
            {{"key":"bottle/a","rev":1,"object":{{"bottle":{{"name":"iron again"}}}}}},
            {{"key":"telescope/1","rev":1,"object":{{"telescope":{{}}}}}},
            {{"key":"film/../../etc","rev":1,"object":{{"film":{{}}}}}},
            {{"key":"film/b","rev":1,"object":{{"ticket":{{}}}}}},
            {{"key":"film/c","rev":-1,"object":{{"film":{{"number":"seven"}}}}}},
            {{"key":"film/d","rev":1,"object":{{"film":{{"title":"{long}"}}}}}},
            {{"key":"film/e","rev":1}},
            7, null, "<script>", []
        ],"events":[{{"at":1,"verb":"coat/type","keys":["bottle/a"]}},"no event"]}}"#
    );
    let incoming = open(&file).unwrap();
    assert_eq!(incoming.objects.len(), 1);
    assert_eq!(incoming.events.len(), 1);
    expect![[r#"
        bottle/a stands in the file twice; the later one is taken. Look at it after importing.
        telescope/1 is left out: this page does not know that kind of thing. Bring Sorrel up to date on this device, then open the file again.
        film/../../etc is left out: it has no proper name in the file. The file was changed by hand or damaged; compare with an older one.
        film/b is left out: it holds another kind of thing than its name says. The file was changed by hand or damaged; compare with an older one.
        film/c is left out: it cannot be read (number: a text instead of a whole number in its range). The file was changed by hand or damaged; compare with an older one.
        film/d is left out: it cannot be read (title: a text that is too long instead of a text). The file was changed by hand or damaged; compare with an older one.
        film/e is left out: it cannot be read (nothing instead of one value named by its kind). The file was changed by hand or damaged; compare with an older one.
        number 9 is left out: it has no proper name in the file. The file was changed by hand or damaged; compare with an older one.
        3 more are left out for the same kinds of reasons. Compare with an older file before you replace your book.
    "#]].assert_eq(&said(&incoming.notes));
}

#[test]
fn what_is_no_book_is_refused_with_a_mend() {
    let many = format!(r#"{{"format":"sorrel-book","schema":1,"objects":[{}0]}}"#, "0,".repeat(MOST));
    let mut all = String::new();
    for file in [
        "",
        "\u{feff}  ",
        "GIF89a",
        "[1,2",
        r#"{"format":"sorrel-book","schema":1,"objects":[{"key":"desk/de"#,
        "[]",
        "7",
        r#"{"format":"someone-else"}"#,
        r#"{"format":"sorrel-book"}"#,
        r#"{"format":"sorrel-book","schema":"one"}"#,
        r#"{"format":"sorrel-book","schema":-3}"#,
        r#"{"format":"sorrel-book","schema":2,"things":[]}"#,
        r#"{"format":"sorrel-book","schema":1}"#,
        r#"{"format":"sorrel-book","schema":1,"objects":[]}"#,
        &many,
    ] {
        let shown: String = file.chars().take(48).collect();
        let note = open(file).unwrap_err().note();
        all.push_str(&format!("{shown:?}\n  {} {}\n", note.text, note.mend));
    }
    let note = check_size(LARGEST + 1).unwrap_err().note();
    all.push_str(&format!("large\n  {} {}\n", note.text, note.mend));
    expect![[r#"
        ""
          This file is empty. Copy it again from where it was saved, or choose an older file. Your book here is unchanged.
        "\u{feff}  "
          This file is empty. Copy it again from where it was saved, or choose an older file. Your book here is unchanged.
        "GIF89a"
          This file is not a Sorrel book. Choose the file that “Save the book as a file” made; its name begins with sorrel-book.
        "[1,2"
          This file is not a Sorrel book. Choose the file that “Save the book as a file” made; its name begins with sorrel-book.
        "{\"format\":\"sorrel-book\",\"schema\":1,\"objects\":[{\""
          This book file is cut off or damaged: its end cannot be read. Copy it again from where it was saved, or choose an older file. Your book here is unchanged.
        "[]"
          This file holds data, but not a Sorrel book. Choose the file that “Save the book as a file” made; its name begins with sorrel-book.
        "7"
          This file holds data, but not a Sorrel book. Choose the file that “Save the book as a file” made; its name begins with sorrel-book.
        "{\"format\":\"someone-else\"}"
          This file holds data, but not a Sorrel book. Choose the file that “Save the book as a file” made; its name begins with sorrel-book.
        "{\"format\":\"sorrel-book\"}"
          This book file does not say which version it has (it says 0). The file was changed by hand or damaged; choose an older one.
        "{\"format\":\"sorrel-book\",\"schema\":\"one\"}"
          This book file does not say which version it has (it says 0). The file was changed by hand or damaged; choose an older one.
        "{\"format\":\"sorrel-book\",\"schema\":-3}"
          This book file does not say which version it has (it says -3). The file was changed by hand or damaged; choose an older one.
        "{\"format\":\"sorrel-book\",\"schema\":2,\"things\":[]}"
          This book file has version 2; this page reads up to version 1. Bring Sorrel up to date on this device, then open the file again.
        "{\"format\":\"sorrel-book\",\"schema\":1}"
          This book file holds nothing that can be read. Copy it again from where it was saved, or choose an older file. Your book here is unchanged.
        "{\"format\":\"sorrel-book\",\"schema\":1,\"objects\":[]}"
          This book file holds nothing that can be read. Copy it again from where it was saved, or choose an older file. Your book here is unchanged.
        "{\"format\":\"sorrel-book\",\"schema\":1,\"objects\":[0,"
          This book file lists 100001 things; a book has at most 100000. The file was damaged or made by something else; choose an older one.
        large
          This file has 65 MB; a book file has at most 64 MB. Choose a file whose name begins with sorrel-book.
    "#]].assert_eq(&all);
}
