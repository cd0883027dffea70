//! What a machine may be in while a procedure is followed, and what each step makes of it.

pub(crate) mod acts;
pub(crate) mod explore;
pub(crate) mod program;
pub(crate) mod seen;
pub(crate) mod state;
pub(crate) mod walk;
