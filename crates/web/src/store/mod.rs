//! Where the book is kept: IndexedDB, or nowhere (the demo, and browsers that refuse).
//!
//! One strict read-write transaction a commit: the touched revisions are read and compared, then everything is put,
//! all inside the transaction's own callbacks, so that it can never end half-way. What is put is made before.

mod idb;
mod merge;
mod request;
pub(crate) mod witness;

#[cfg(all(test, target_arch = "wasm32"))]
mod tests;

use std::cell::RefCell;
use std::rc::Rc;

use sorrel_core::book::{Commit, Event, Key, Stored};
use web_sys::IdbDatabase;

pub(crate) use merge::Queue;

/// What stands in the way of keeping something.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Trouble {
    /// Another tab has written the same objects since they were read.
    Stale,
    /// No room is left.
    Full,
    /// The book was written by a newer build.
    Newer,
    /// The browser refuses or fails; in its words.
    Refused(String),
}

/// What lies in the store at the start.
#[derive(Default)]
pub(crate) struct Loaded {
    /// The objects that were read.
    pub(crate) objects: Vec<(Key, Stored)>,
    /// These are only the desk, its ticket and setup, and the lanes; the rest is still to be read.
    pub(crate) first_only: bool,
    /// How many events there are.
    pub(crate) events: u32,
    /// A newer build has written the book: it is shown as far as it is understood, and not changed.
    pub(crate) newer: bool,
}

/// A store. Cloning gives another handle on the same one.
#[derive(Clone)]
pub(crate) enum Store {
    /// In the browser's database of that name.
    Idb {
        /// Name of the database.
        name: &'static str,
        /// The connection, while there is one.
        connection: Rc<RefCell<Option<IdbDatabase>>>,
    },
    /// Nowhere: everything succeeds and nothing is kept.
    Memory,
}

impl Store {
    /// The store of the printer's own book.
    pub(crate) fn own() -> Self {
        Self::named("sorrel")
    }

    /// A store of that name.
    pub(crate) fn named(name: &'static str) -> Self {
        Self::Idb { name, connection: Rc::default() }
    }

    /// Whether nothing was ever kept.
    ///
    /// # Errors
    /// What stands in the way.
    pub(crate) async fn is_empty(&self) -> Result<bool, Trouble> {
        match self {
            Self::Memory => Ok(true),
            Self::Idb { .. } => self.twice(async |db| idb::is_empty(db).await).await,
        }
    }

    /// Reads what the first screen needs; the whole book if it is small or incomplete.
    ///
    /// # Errors
    /// What stands in the way.
    pub(crate) async fn load(&self) -> Result<Loaded, Trouble> {
        match self {
            Self::Memory => Ok(Loaded::default()),
            Self::Idb { .. } => self.twice(async |db| idb::load(db).await).await,
        }
    }

    /// Reads every object.
    ///
    /// # Errors
    /// What stands in the way.
    pub(crate) async fn everything(&self) -> Result<Vec<(Key, Stored)>, Trouble> {
        match self {
            Self::Memory => Ok(Vec::new()),
            Self::Idb { .. } => self.twice(async |db| idb::everything(db).await).await,
        }
    }

    /// Reads some objects again; `None` for those that are gone.
    ///
    /// # Errors
    /// What stands in the way.
    pub(crate) async fn again(&self, keys: &[Key]) -> Result<Vec<(Key, Option<Stored>)>, Trouble> {
        match self {
            Self::Memory => Ok(Vec::new()),
            Self::Idb { .. } => self.twice(async |db| idb::again(db, keys).await).await,
        }
    }

    /// Reads every event, oldest first.
    ///
    /// # Errors
    /// What stands in the way.
    pub(crate) async fn events(&self) -> Result<Vec<Event>, Trouble> {
        match self {
            Self::Memory => Ok(Vec::new()),
            Self::Idb { .. } => self.twice(async |db| idb::events(db).await).await,
        }
    }

    /// Writes a commit, whole or not at all.
    ///
    /// # Errors
    /// What stands in the way; then nothing was written.
    pub(crate) async fn commit(&self, commit: &Commit) -> Result<(), Trouble> {
        match self {
            Self::Memory => Ok(()),
            Self::Idb { .. } => {
                let prepared = Rc::new(idb::Prepared::new(commit));
                self.twice(async |db| idb::write(db, &prepared).await).await
            }
        }
    }

    /// Does something with the connection; if it was lost meanwhile (WebKit drops it in the background), opens it
    /// anew and tries once more.
    async fn twice<T>(&self, work: impl AsyncFn(&IdbDatabase) -> Result<T, Trouble>) -> Result<T, Trouble> {
        let Self::Idb { name, connection } = self else { return Err(Trouble::Refused(String::new())) };
        let mut last = Trouble::Refused("no connection".into());
        for _ in 0..2 {
            let open = connection.borrow().clone();
            let db = match open {
                Some(db) => db,
                None => {
                    let db = idb::open(name, connection).await?;
                    *connection.borrow_mut() = Some(db.clone());
                    db
                }
            };
            match work(&db).await {
                Err(trouble @ Trouble::Refused(_)) => {
                    db.close();
                    *connection.borrow_mut() = None;
                    last = trouble;
                }
                other => return other,
            }
        }
        Err(last)
    }
}
