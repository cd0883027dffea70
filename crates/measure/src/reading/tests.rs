//! What people write for an amount and a draw, and what is refused.
