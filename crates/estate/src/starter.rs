//! What a new lead starts from: a small example of every file, with comments, and the shipped families.

use crate::files::Files;

macro_rules! content {
    ($($name:literal from $path:literal;)*) => {
        [$(($name, include_str!(concat!("../../../content/", $path)))),*]
    };
}

/// The files by name, to be written into an empty folder. They have no fault.
#[must_use]
pub fn files() -> Files {
    content! {
        "README.md" from "starter/README.md";
        "estate.toml" from "starter/estate.toml";
        "products.toml" from "starter/products.toml";
        "measures.toml" from "starter/measures.toml";
        "sites.csv" from "starter/sites.csv";
        "machines.csv" from "starter/machines.csv";
        "lines.csv" from "starter/lines.csv";
        "families/screw-trim.toml" from "families/screw-trim.toml";
        "families/roller-pump.toml" from "families/roller-pump.toml";
        "families/ring-step.toml" from "families/ring-step.toml";
        "families/panel-number.toml" from "families/panel-number.toml";
        "families/panel-percent.toml" from "families/panel-percent.toml";
        "families/fixed-nozzle.toml" from "families/fixed-nozzle.toml";
        "families/twin-valve.toml" from "families/twin-valve.toml";
    }
    .into_iter()
    .map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec()))
    .collect()
}
