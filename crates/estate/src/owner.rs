//! Who a site belongs to: the group itself, or a franchisee.

/// An owner of sites.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Owner {
    /// Its name.
    pub name: String,
    /// No longer in use.
    pub retired: bool,
}
