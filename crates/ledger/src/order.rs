//! The order of events, and what corrections leave standing.
