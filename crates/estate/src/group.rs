//! The group: all sites under one lead, and what holds for all of them.

use crate::key::Key;
use crate::money::Currency;
use crate::percent::Percent;
use crate::zone::Zone;

/// Which units are printed where nobody wrote any.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Units {
    /// Millilitres, grams, °C.
    Metric,
    /// US fluid ounces, ounces, °F.
    Us,
}

/// The group and its settings.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Group {
    /// Its name.
    pub name: String,
    /// Units printed by default.
    pub units: Units,
    /// Time zone of a site that states none.
    pub time_zone: Zone,
    /// Currency in which money is printed.
    pub currency: Currency,
    /// Probability below which the group will not act as if on target; `risk.fraction()` is 0.05 by default.
    pub risk: Percent,
    /// Key of the jurisdiction profile of a site that states none.
    pub jurisdiction: Option<Key>,
}

impl Default for Group {
    fn default() -> Self {
        Self {
            name: String::new(),
            units: Units::Metric,
            time_zone: Zone::utc(),
            currency: "EUR".parse().expect("EUR is a currency"),
            risk: Percent(5.into()),
            jurisdiction: None,
        }
    }
}
