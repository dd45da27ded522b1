//! The store in a real browser, each test in a database of its own.

#![expect(clippy::unwrap_used, reason = "a test stops where something is missing")]

use sorrel_core::book::{Book, Bottle, Change, Commit, Key, Kind, Object, SCHEMA};
use wasm_bindgen_test::wasm_bindgen_test as test;
use web_sys::IdbObjectStore;

use super::request::{result, strict};
use super::{Store, Trouble};

fn bottle(id: &str, name: &str) -> Change {
    let bottle = Bottle { name: name.into(), strength: "12,5".into(), ..Bottle::default() };
    Change::put(Key::new(Kind::Bottle, id), Object::Bottle(Box::new(bottle)))
}

/// A name no earlier run has used.
fn fresh(name: &str) -> &'static str {
    Box::leak(format!("test-{name}-{:x}", crate::platform::random::luck()).into_boxed_str())
}

/// Where a store that was opened keeps its schema.
fn meta(store: &Store) -> IdbObjectStore {
    let Store::Idb { connection, .. } = store else { panic!("no database") };
    let db = connection.borrow().clone().unwrap();
    strict(&db, &"meta".into()).unwrap().object_store("meta").unwrap()
}

async fn schema(store: &Store) -> Option<f64> {
    result(&meta(store).get(&"schema".into()).unwrap()).await.unwrap().as_f64()
}

fn all_of(book: &Book) -> Commit {
    let mut copy = Book::fresh(1, 1);
    let everything =
        book.stored().map(|(k, s)| Change::put(k.clone(), s.object.clone())).fold(Change::None, Change::and);
    let mut commit = copy.apply(everything, 5, "test/all");
    for put in &mut commit.puts {
        put.expect = 0;
    }
    commit
}

#[test]
async fn what_is_written_is_read_again_by_another_connection() {
    let name = fresh("again");
    let store = Store::named(name);
    assert_eq!(store.load().await.unwrap().objects.len(), 0);
    let mut book = Book::fresh(1_700_000_000_000, 7);
    let commit = book.apply(bottle("a", "iron"), 3, "stores/add");
    store.commit(&all_of(&book)).await.unwrap();
    let other = Store::named(name).load().await.unwrap();
    let (reopened, mended) = Book::open(other.objects, 9, 9);
    assert_eq!(mended, Change::None);
    let objects = |b: &Book| b.stored().map(|(k, s)| (k.clone(), s.object.clone())).collect::<Vec<_>>();
    assert_eq!(objects(&reopened), objects(&book));
    assert!(!other.newer && !other.first_only);
    assert_eq!(other.events, 1);
    assert_eq!(commit.events.len(), 1);
}

#[test]
async fn an_older_revision_is_refused_and_nothing_of_it_is_written() {
    let store = Store::named(fresh("stale"));
    let mut here = Book::fresh(1, 7);
    let mut there = here.clone();
    store.commit(&here.apply(bottle("a", "here"), 1, "x/y")).await.unwrap();
    let both = bottle("a", "there").and(bottle("b", "new"));
    let refused = store.commit(&there.apply(both, 2, "x/y")).await;
    assert_eq!(refused, Err(Trouble::Stale));
    let kept = store.again(&[Key::new(Kind::Bottle, "a"), Key::new(Kind::Bottle, "b")]).await.unwrap();
    assert!(matches!(&kept[0].1, Some(s) if matches!(&s.object, Object::Bottle(b) if b.name == "here")));
    assert_eq!(kept[1].1, None, "whole or not at all");
    assert_eq!(store.events().await.unwrap().len(), 1);
}

#[test]
async fn removing_and_events() {
    let store = Store::named(fresh("remove"));
    let mut book = Book::fresh(1, 7);
    store.commit(&book.apply(bottle("a", "iron"), 1, "stores/add")).await.unwrap();
    let removed = book.apply(Change::Delete(Key::new(Kind::Bottle, "a")), 2, "stores/remove");
    store.commit(&removed).await.unwrap();
    assert_eq!(store.everything().await.unwrap().len(), 0);
    let verbs: Vec<String> = store.events().await.unwrap().into_iter().map(|e| e.verb).collect();
    assert_eq!(verbs, ["stores/add", "stores/remove"]);
}

#[test]
async fn a_large_book_shows_its_first_screen_before_the_rest() {
    let store = Store::named(fresh("large"));
    let mut book = Book::fresh(1, 7);
    let many = (0..500).map(|i| bottle(&format!("b{i}"), "x")).fold(Change::None, Change::and);
    book.apply(many, 2, "x/y");
    store.commit(&all_of(&book)).await.unwrap();
    let loaded = store.load().await.unwrap();
    assert!(loaded.first_only);
    assert_eq!(loaded.objects.len(), 3, "desk, ticket, setup");
    assert_eq!(store.everything().await.unwrap().len(), 503);
}

#[test]
async fn a_book_of_an_older_schema_is_raised_when_it_is_opened_and_a_newer_one_stays() {
    let name = fresh("schema");
    let store = Store::named(name);
    assert!(store.is_empty().await.unwrap());
    assert_eq!(schema(&store).await, Some(f64::from(SCHEMA)), "a database that was just made");
    for (found, then) in [(Some(SCHEMA - 1), SCHEMA), (None, SCHEMA), (Some(SCHEMA + 1), SCHEMA + 1)] {
        let request = match found {
            Some(number) => meta(&store).put_with_key(&number.into(), &"schema".into()).unwrap(),
            None => meta(&store).delete(&"schema".into()).unwrap(),
        };
        result(&request).await.unwrap();
        let again = Store::named(name);
        assert_eq!(again.load().await.unwrap().newer, then > SCHEMA, "{found:?}");
        assert_eq!(schema(&again).await, Some(f64::from(then)), "{found:?}");
    }
}
