//! The group: all sites under one lead, and what holds for all of them.

pub use ouncewise_measure::print::Units;
use rust_decimal::Decimal;

use crate::fields::{Define, Definition, Described, Field, Fields, Shape};
use crate::key::Key;
use crate::money::{self, Currency};
use crate::percent::Percent;
use crate::zone::Zone;

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
    /// What a drink costs that is made again, in the currency, with what goodwill the lead puts on it.
    pub remade: Option<Decimal>,
    /// Key of the jurisdiction profile of a site that states none.
    pub jurisdiction: Option<Key>,
    /// Whether doubtful records of the group's own sites are asked about.
    pub ask_about_doubtful: bool,
}

impl Default for Group {
    fn default() -> Self {
        Self {
            name: String::new(),
            units: Units::Metric,
            time_zone: Zone::utc(),
            currency: "EUR".parse().expect("EUR is a currency"),
            risk: Percent(5.into()),
            remade: None,
            jurisdiction: None,
            ask_about_doubtful: false,
        }
    }
}

const UNITS: &[(&str, Units)] = &[("metric", Units::Metric), ("us", Units::Us)];

impl Described for Group {
    const NAME: &'static str = "the group";
    const FIELDS: &'static [Field] = &[
        Field::must("name", Shape::Text, "what the group is called", "Larkfield Counters"),
        Field::may(
            "units",
            Shape::Choice(&["metric", "us"]),
            "units that are printed where nobody wrote any; metric if left out",
            "metric",
        ),
        Field::must(
            "time_zone",
            Shape::Zone,
            "time zone of every site that states none, by its IANA name",
            "Europe/Vienna",
        ),
        Field::must("currency", Shape::Currency, "currency in which money is printed", "EUR"),
        Field::may(
            "risk",
            Shape::Percent,
            "how unsure a verdict may be: at 5 %, on target needs 95 %; 5 % if left out",
            "5 %",
        ),
        Field::may(
            "remade",
            Shape::Number,
            "what a drink costs that is made again, in that currency, with what you put on the guest’s goodwill; what short portions cost is reckoned only where this is stated",
            "1.40",
        ),
        Field::may(
            "jurisdiction",
            Shape::Key,
            "whose food code holds at every site that states none: a profile that ships, or one in `profiles`",
            "model-code",
        ),
        Field::may(
            "ask_about_doubtful",
            Shape::Flag,
            "doubtful records of the group's own sites are asked about; not if left out; owners agree for theirs",
            "true",
        ),
    ];

    fn read(f: &mut Fields<'_>) -> Option<Self> {
        let other = Self::default();
        let name = f.text("name");
        let units = f.choice("units", UNITS);
        let time_zone = f.of("time_zone");
        let currency = f.of("currency");
        // At 50 % and more a verdict says nothing.
        let risk = f.percent("risk", 49);
        let remade = money::not_negative(f, "remade", 1_000_000);
        let jurisdiction = f.of("jurisdiction");
        let ask_about_doubtful = f.flag("ask_about_doubtful").unwrap_or(other.ask_about_doubtful);
        Some(Self {
            name: name?,
            units: units.unwrap_or(other.units),
            time_zone: time_zone?,
            currency: currency?,
            risk: risk.unwrap_or(other.risk),
            remade,
            jurisdiction,
            ask_about_doubtful,
        })
    }

    fn define(&self) -> Definition {
        let units = UNITS.iter().find(|(_, u)| *u == self.units);
        let define = Define::default()
            .text("name", &self.name)
            .maybe("units", units.map(|(word, _)| word))
            .text("time_zone", &self.time_zone)
            .text("currency", self.currency)
            .text("risk", self.risk)
            .maybe("remade", self.remade)
            .maybe("jurisdiction", self.jurisdiction.as_ref());
        if self.ask_about_doubtful {
            define.value("ask_about_doubtful", true).done()
        } else {
            define.done()
        }
    }
}
