//! What every page and every answer of the API is made from.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use jiff::Timestamp;
use ouncewise_store::{Clock, Store};

use crate::kept::Kept;
use crate::pages::Uploads;

/// The store, the clock, and where mappings of sheets are kept. Cheap to clone.
#[derive(Clone)]
pub struct App(Arc<Parts>);

struct Parts {
    store: Arc<Store>,
    clock: Clock,
    mappings: Option<PathBuf>,
    uploads: Uploads,
    kept: Kept,
}

impl App {
    /// Over a store. `mappings` is the folder in which readings of sheets are remembered, if they are.
    pub fn new(store: Arc<Store>, clock: Clock, mappings: Option<PathBuf>) -> Self {
        Self(Arc::new(Parts {
            store,
            clock,
            mappings,
            uploads: Uploads::default(),
            kept: Kept::default(),
        }))
    }

    /// The store.
    pub(crate) fn store(&self) -> &Store {
        &self.0.store
    }

    /// Now.
    pub(crate) fn now(&self) -> Timestamp {
        Timestamp::from_millisecond(self.0.clock.now_ms()).unwrap_or(Timestamp::MAX)
    }

    /// Now, as a record made at the desk spells it: in UTC, for a desk's own zone is nobody's business.
    pub(crate) fn now_at(&self) -> String {
        ouncewise_ledger::time::at(self.now(), jiff::tz::Offset::UTC)
    }

    /// The sheets that are on their way in.
    pub(crate) fn uploads(&self) -> &Uploads {
        &self.0.uploads
    }

    /// The pages that need not be made again.
    pub(crate) fn kept(&self) -> &Kept {
        &self.0.kept
    }

    /// Where readings of sheets are remembered.
    pub(crate) fn mappings(&self) -> Option<&Path> {
        self.0.mappings.as_deref()
    }
}
