//! Units, quantities as people type them, and what is refused.
