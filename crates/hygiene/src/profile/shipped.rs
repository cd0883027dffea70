//! The profiles that ship, from `content/profiles`.

macro_rules! profiles {
    ($($id:literal;)*) => {
        &[$(($id, include_str!(concat!("../../../../content/profiles/", $id, ".toml")))),*]
    };
}

/// Id and text of each.
pub(super) const PROFILES: &[(&str, &str)] = profiles! {
    "model-code";
    "california";
    "new-york";
    "uk-rinse";
};
