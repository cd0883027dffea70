//! What a store is asked gives one of these.

use std::pin::Pin;

use crate::error::StoreError;

/// An answer to come. It is boxed so that SQL is compiled here, once, and not again in every crate that awaits it.
pub type Answer<'a, T> = Pin<Box<dyn Future<Output = Result<T, StoreError>> + Send + 'a>>;
