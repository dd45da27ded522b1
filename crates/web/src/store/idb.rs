//! The database: `objects` by text key, `events` in order, `meta` with schema and revision.

use std::cell::{Cell, RefCell};
use std::rc::Rc;

use js_sys::{Array, Promise, Reflect};
use sorrel_core::book::{Commit, Event, Key, Kind, Object, SCHEMA, Stored};
use wasm_bindgen::prelude::*;
use web_sys::{
    IdbDatabase, IdbFactory, IdbKeyRange, IdbObjectStore, IdbObjectStoreParameters, IdbTransaction,
};

use super::request::{error_of, once, result, strict, trouble};
use super::{Loaded, Trouble};
use crate::binder::{from_js, to_js, tree};
use crate::platform::wait;

const OBJECTS: &str = "objects";
const EVENTS: &str = "events";
const META: &str = "meta";
/// Up to so many objects the whole book is read at once; above, the first screen does not wait for the rest.
const SMALL: f64 = 400.0;

fn stores() -> Array {
    [OBJECTS, EVENTS, META].into_iter().map(JsValue::from_str).collect()
}

/// Opens the database, making it if it is not there and raising it if an older build wrote it. `lost` is emptied when the browser closes the connection.
pub(super) async fn open(
    name: &str,
    lost: &Rc<RefCell<Option<IdbDatabase>>>,
) -> Result<IdbDatabase, Trouble> {
    // Read by name: in some private windows even looking at it throws.
    let factory = Reflect::get(&js_sys::global(), &"indexedDB".into()).map_err(|e| trouble(&e))?;
    let factory: IdbFactory =
        factory.dyn_into().map_err(|_| Trouble::Refused("this browser has no database".into()))?;
    let request = factory.open_with_u32(name, 1).map_err(|e| trouble(&e))?;
    let making = request.clone();
    request.set_onupgradeneeded(Some(&once(move |_| {
        let Ok(Ok(db)) = making.result().map(JsCast::dyn_into::<IdbDatabase>) else { return };
        let numbered = IdbObjectStoreParameters::new();
        numbered.set_auto_increment(true);
        // If one of these fails, the opening as a whole fails and says so.
        let _ = db.create_object_store(OBJECTS);
        let _ = db.create_object_store_with_optional_parameters(EVENTS, &numbered);
        if let Ok(meta) = db.create_object_store(META) {
            let _ = meta.put_with_key(&0.into(), &"rev".into());
        }
        if let Some(transaction) = making.transaction() {
            let _ = raise(&transaction);
        }
    })));
    let db: IdbDatabase = result(&request).await?.unchecked_into();
    if schema(&reading(&db)?).await?.is_none_or(|found| found < f64::from(SCHEMA)) {
        let transaction = strict(&db, &stores())?;
        let end = end_of(&transaction);
        raise(&transaction).map_err(|e| trouble(&e))?;
        wait(end).await.map_err(|e| trouble(&e))?;
    }
    let (closing, lost_here) = (db.clone(), lost.clone());
    db.set_onversionchange(Some(&once(move |_| closing.close())));
    db.set_onclose(Some(&once(move |_| *lost_here.borrow_mut() = None)));
    Ok(db)
}

/// The only place that writes the schema, in a transaction that may write: a database that was just made or is of an older
/// schema gets that of this build, a newer one stays as it is. The number of the database itself never changes, because
/// older builds could then not even show it.
///
/// A schema that changes what lies in the store lifts it here, before the new number is put.
fn raise(transaction: &IdbTransaction) -> Result<(), JsValue> {
    let meta = transaction.object_store(META)?;
    let request = meta.get(&"schema".into())?;
    let read = request.clone();
    request.set_onsuccess(Some(&once(move |_| {
        // Read again here: another tab may have raised it meanwhile.
        let found = read.result().ok().and_then(|schema| schema.as_f64());
        if found.is_none_or(|found| found < f64::from(SCHEMA)) {
            // A failed put ends the transaction, which is heard.
            let _ = meta.put_with_key(&SCHEMA.into(), &"schema".into());
        }
    })));
    Ok(())
}

/// The schema the store says it has.
async fn schema(transaction: &IdbTransaction) -> Result<Option<f64>, Trouble> {
    let request = store(transaction, META)?.get(&"schema".into()).map_err(|e| trouble(&e))?;
    Ok(result(&request).await?.as_f64())
}

fn reading(db: &IdbDatabase) -> Result<IdbTransaction, Trouble> {
    db.transaction_with_str_sequence(&stores()).map_err(|e| trouble(&e))
}

fn store(transaction: &IdbTransaction, name: &str) -> Result<IdbObjectStore, Trouble> {
    transaction.object_store(name).map_err(|e| trouble(&e))
}

/// What an object of the store holds; an entry that cannot be read is left where it is and skipped.
#[inline(never)] // a gate: an empty book has none
fn stored(value: JsValue) -> Option<Stored> {
    Stored::from_tree(tree(value)).ok()
}

async fn get(objects: &IdbObjectStore, key: &Key) -> Result<Option<Stored>, Trouble> {
    let request = objects.get(&JsValue::from_str(&key.to_string())).map_err(|e| trouble(&e))?;
    result(&request).await.map(stored)
}

/// All objects in a range of keys, or all there are.
async fn range(
    objects: &IdbObjectStore,
    from_to: Option<IdbKeyRange>,
) -> Result<Vec<(Key, Stored)>, Trouble> {
    let range = from_to.map_or(JsValue::UNDEFINED, Into::into);
    // Both requests are made at once: between them the transaction could end.
    let keys = objects.get_all_keys_with_key(&range).map_err(|e| trouble(&e))?;
    let values = objects.get_all_with_key(&range).map_err(|e| trouble(&e))?;
    let values = result(&values).await?;
    let keys = keys.result().map_err(|e| trouble(&e))?;
    let (keys, values) = (Array::from(&keys), Array::from(&values));
    let pairs = keys.iter().zip(values.iter());
    Ok(pairs.filter_map(|(k, v)| Some((Key::parse(&k.as_string()?)?, stored(v)?))).collect())
}

/// See [`super::Store::is_empty`].
pub(super) async fn is_empty(db: &IdbDatabase) -> Result<bool, Trouble> {
    let count = store(&reading(db)?, OBJECTS)?.count().map_err(|e| trouble(&e))?;
    Ok(result(&count).await?.as_f64() == Some(0.0))
}

/// See [`super::Store::load`].
pub(super) async fn load(db: &IdbDatabase) -> Result<Loaded, Trouble> {
    let transaction = reading(db)?;
    let objects = store(&transaction, OBJECTS)?;
    let count = objects.count().map_err(|e| trouble(&e))?;
    let events = store(&transaction, EVENTS)?.count().map_err(|e| trouble(&e))?;
    let newer = schema(&transaction).await?.is_some_and(|found| found > f64::from(SCHEMA));
    let count = count.result().ok().and_then(|n| n.as_f64()).unwrap_or(0.0);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a count")]
    let events = events.result().ok().and_then(|n| n.as_f64()).unwrap_or(0.0) as u32;
    if count > SMALL
        && let Some(objects) = first(db).await?
    {
        return Ok(Loaded { objects, first_only: true, events, newer });
    }
    Ok(Loaded { objects: everything(db).await?, first_only: false, events, newer })
}

/// The desk, its ticket, the ticket's setup, and every lane; `None` if one of the three is missing.
async fn first(db: &IdbDatabase) -> Result<Option<Vec<(Key, Stored)>>, Trouble> {
    let objects = store(&reading(db)?, OBJECTS)?;
    let Some(desk) = get(&objects, &Key::desk()).await? else { return Ok(None) };
    let Object::Desk(on_desk) = &desk.object else { return Ok(None) };
    let ticket_key = Key::new(Kind::Ticket, on_desk.ticket.clone());
    let Some(ticket) = get(&store(&reading(db)?, OBJECTS)?, &ticket_key).await? else { return Ok(None) };
    let Object::Ticket(in_hand) = &ticket.object else { return Ok(None) };
    let setup_key = Key::new(Kind::Setup, in_hand.setup.clone());
    let Some(setup) = get(&store(&reading(db)?, OBJECTS)?, &setup_key).await? else { return Ok(None) };
    let lanes = IdbKeyRange::bound(&"lane/".into(), &"lane/{".into()).map_err(|e| trouble(&e))?;
    let mut all = range(&store(&reading(db)?, OBJECTS)?, Some(lanes)).await?;
    all.extend([(Key::desk(), desk), (ticket_key, ticket), (setup_key, setup)]);
    Ok(Some(all))
}

/// See [`super::Store::everything`].
pub(super) async fn everything(db: &IdbDatabase) -> Result<Vec<(Key, Stored)>, Trouble> {
    range(&store(&reading(db)?, OBJECTS)?, None).await
}

/// See [`super::Store::again`].
pub(super) async fn again(db: &IdbDatabase, keys: &[Key]) -> Result<Vec<(Key, Option<Stored>)>, Trouble> {
    let mut found = Vec::new();
    for key in keys {
        found.push((key.clone(), get(&store(&reading(db)?, OBJECTS)?, key).await?));
    }
    Ok(found)
}

/// See [`super::Store::events`].
pub(super) async fn events(db: &IdbDatabase) -> Result<Vec<Event>, Trouble> {
    let request = store(&reading(db)?, EVENTS)?.get_all().map_err(|e| trouble(&e))?;
    let all = Array::from(&result(&request).await?);
    Ok(all.iter().filter_map(|event| from_js(event).ok()).collect())
}

/// A commit as the database takes it, made before any transaction is open.
pub(super) struct Prepared {
    /// Key, expected revision, and the object to put or `None` to remove.
    objects: Vec<(JsValue, u32, Option<JsValue>)>,
    events: Vec<JsValue>,
}

impl Prepared {
    /// Everything turned into plain objects.
    pub(super) fn new(commit: &Commit) -> Self {
        let puts = commit.puts.iter().map(|p| (JsValue::from_str(&p.key), p.expect, Some(to_js(&p.stored))));
        let deletes = commit.deletes.iter().map(|d| (JsValue::from_str(&d.key), d.expect, None));
        Self {
            objects: puts.chain(deletes).collect(),
            events: commit.events.iter().map(|e| to_js(e)).collect(),
        }
    }
}

/// See [`super::Store::commit`].
pub(super) async fn write(db: &IdbDatabase, prepared: &Rc<Prepared>) -> Result<(), Trouble> {
    let transaction = strict(db, &stores())?;
    let why = Rc::new(RefCell::new(None));
    let promise = end_of(&transaction);
    if let Err(error) = compare_then_put(&transaction, prepared, &why) {
        let _ = transaction.abort();
        let _ = wait(promise).await;
        return Err(error);
    }
    match wait(promise).await {
        Ok(_) => Ok(()),
        // Ended here: the transaction itself knows no reason.
        Err(error) => Err(why.take().unwrap_or_else(|| trouble(&error))),
    }
}

/// Kept when the transaction is complete, broken when it was ended before.
fn end_of(transaction: &IdbTransaction) -> Promise {
    Promise::new(&mut |resolve, reject| {
        transaction.set_oncomplete(Some(&once(move |_| {
            let _ = resolve.call0(&JsValue::NULL);
        })));
        let failed = transaction.clone();
        transaction.set_onabort(Some(&once(move |_| {
            let _ = reject.call1(&JsValue::NULL, &error_of(&failed));
        })));
    })
}

/// Reads the touched revisions; the last answer compares them and puts everything, in the same callback.
fn compare_then_put(
    transaction: &IdbTransaction,
    prepared: &Rc<Prepared>,
    why: &Rc<RefCell<Option<Trouble>>>,
) -> Result<(), Trouble> {
    let objects = store(transaction, OBJECTS)?;
    let waiting = Rc::new(Cell::new(prepared.objects.len()));
    if prepared.objects.is_empty() {
        return put_all(transaction, prepared).map_err(|e| trouble(&e));
    }
    for (key, expect, _) in &prepared.objects {
        let request = objects.get(key).map_err(|e| trouble(&e))?;
        let (answered, expect) = (request.clone(), *expect);
        let (transaction, prepared) = (transaction.clone(), prepared.clone());
        let (waiting, why) = (waiting.clone(), why.clone());
        request.set_onsuccess(Some(&once(move |_| {
            let found = answered.result().unwrap_or(JsValue::UNDEFINED);
            let rev = Reflect::get(&found, &"rev".into()).ok().and_then(|r| r.as_f64()).unwrap_or(0.0);
            if (rev - f64::from(expect)).abs() > 0.5 {
                *why.borrow_mut() = Some(Trouble::Stale);
            }
            waiting.set(waiting.get() - 1);
            if waiting.get() > 0 {
                return;
            }
            if why.borrow().is_none()
                && let Err(error) = put_all(&transaction, &prepared)
            {
                *why.borrow_mut() = Some(trouble(&error));
            }
            if why.borrow().is_some() {
                let _ = transaction.abort();
            }
        })));
    }
    Ok(())
}

fn put_all(transaction: &IdbTransaction, prepared: &Prepared) -> Result<(), JsValue> {
    let objects = transaction.object_store(OBJECTS)?;
    for (key, _, object) in &prepared.objects {
        match object {
            Some(object) => objects.put_with_key(object, key)?,
            None => objects.delete(key)?,
        };
    }
    let events = transaction.object_store(EVENTS)?;
    for event in &prepared.events {
        events.add(event)?;
    }
    let meta = transaction.object_store(META)?;
    let request = meta.get(&"rev".into())?;
    let read = request.clone();
    request.set_onsuccess(Some(&once(move |_| {
        let rev = read.result().ok().and_then(|r| r.as_f64()).unwrap_or(0.0);
        // A failed put ends the transaction, which is heard.
        let _ = meta.put_with_key(&(rev + 1.0).into(), &"rev".into());
    })));
    Ok(())
}
