//! Tables against their sources, and limits that cannot be.
