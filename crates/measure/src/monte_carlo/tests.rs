//! Published worked examples.
