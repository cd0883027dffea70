//! The path of one product from its container to its nozzle, and what the recipe asks of it.

use crate::fields::{Define, Definition, Described, Field, Fields, RETIRED, Shape};
use ouncewise_measure::quantity::Dimension;
use ouncewise_measure::{DrawRead, Quantity};
use rust_decimal::Decimal;

use crate::key::Key;
use crate::money;
use crate::percent::Percent;
use crate::tubing::{BORE, FITTINGS, FLUSH_FLOW, LENGTH, Tubing};

/// One line of a machine.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Line {
    /// What the crew calls it, where that is not its product's name.
    pub name: Option<String>,
    /// Key of the product that it carries.
    pub product: Key,
    /// The portion that the recipe asks for, as written: mL or grams. On a ratio line: the syrup of one drink.
    pub target: Quantity,
    /// How far off still serves, of the target.
    pub tolerance: Percent,
    /// The recipe's own draw: seconds of a rate line, doses of a dose line.
    pub draw: DrawRead,
    /// On a ratio line: the water that belongs to the same draw.
    pub water: Option<Water>,
    /// Key of the site's measure that is usually used.
    pub measure: Option<Key>,
    /// The panel's present number or percent, where the adjuster has one and it is known.
    pub setting: Option<Decimal>,
    /// How many portions it pours in a usual week, where somebody stated that.
    pub portions: Option<Decimal>,
    /// Its own tubes, where they are not those of its family.
    pub tubing: Tubing,
    /// No longer in use.
    pub retired: bool,
}

/// The water of a ratio line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Water {
    /// How much of it, by volume, as written.
    pub target: Quantity,
    /// How far off it may be.
    pub tolerance: Percent,
}

const PORTION: &[Dimension] = &[Dimension::Volume, Dimension::Mass];
const VOLUME: &[Dimension] = &[Dimension::Volume];

impl Described for Line {
    const NAME: &'static str = "line";
    const FIELDS: &'static [Field] = &[
        Field::must("site", Shape::Key, "the site", "fernhollow"),
        Field::must("machine", Shape::Key, "the machine's key at the site", "counter-1"),
        Field::must("line", Shape::Key, "the line's key on the machine", "3"),
        Field::may(
            "name",
            Shape::Text,
            "what the crew calls it, if not by its product",
            "far left",
        ),
        Field::must("product", Shape::Key, "the product that it carries", "gooseberry"),
        Field::must(
            "target",
            Shape::Quantity(PORTION),
            "the portion that the recipe asks for, by volume or by weight; on a ratio line the syrup of one drink",
            "30 mL",
        ),
        Field::must("tolerance", Shape::Percent, "how far off still serves, plus or minus", "5 %"),
        Field::must(
            "draw",
            Shape::Draw,
            "the recipe's own draw: seconds of a rate line, doses of a dose line",
            "7 s",
        ),
        Field::may(
            "water",
            Shape::Quantity(VOLUME),
            "ratio lines: the water of the same draw",
            "150 mL",
        ),
        Field::may(
            "water_tolerance",
            Shape::Percent,
            "ratio lines: how far off the water may be; as `tolerance` if left out",
            "5 %",
        ),
        Field::may("measure", Shape::Key, "the site's measure that is usually used", "cup-a"),
        Field::may(
            "setting",
            Shape::Number,
            "the number or percent that the panel shows now, where it has one",
            "57",
        ),
        Field::may(
            "portions",
            Shape::Number,
            "how many portions it pours in a usual week; money is reckoned only where this is stated",
            "700",
        ),
        BORE,
        LENGTH,
        FITTINGS,
        FLUSH_FLOW,
        RETIRED,
    ];

    fn read(f: &mut Fields<'_>) -> Option<Self> {
        let name = f.text("name");
        let product = f.of("product");
        let target = f.positive("target", PORTION);
        let tolerance = f.percent("tolerance", 50);
        let draw = f.draw("draw");
        let water = f.positive("water", VOLUME);
        let water_tolerance = f.percent("water_tolerance", 50);
        if f.has("water_tolerance") {
            f.need("water", "say how much water belongs to the draw");
        }
        let measure = f.of("measure");
        let setting = f.number("setting");
        let portions = money::not_negative(f, "portions", 1_000_000);
        let tubing = Tubing::read(f);
        let retired = f.flag("retired");
        let tolerance = tolerance?;
        Some(Self {
            name,
            product: product?,
            target: target?,
            tolerance,
            draw: draw?,
            water: water
                .map(|target| Water { target, tolerance: water_tolerance.unwrap_or(tolerance) }),
            measure,
            setting,
            portions,
            tubing: tubing.unwrap_or_default(),
            retired: retired.unwrap_or(false),
        })
    }

    fn define(&self) -> Definition {
        let define = Define::default()
            .maybe("name", self.name.as_ref())
            .text("product", &self.product)
            .text("target", self.target)
            .text("tolerance", self.tolerance)
            .text("draw", self.draw)
            .maybe("water", self.water.map(|w| w.target))
            .maybe("water_tolerance", self.water.map(|w| w.tolerance))
            .maybe("measure", self.measure.as_ref())
            .maybe("setting", self.setting)
            .maybe("portions", self.portions);
        self.tubing.add_to(define).done()
    }
}
