//! Estates for property tests: any that a person could have described.

use std::collections::BTreeMap;

use ouncewise_hygiene::label::Lubricate;
use ouncewise_measure::{Adjuster, DrawRead, Metering, Quantity, Unit};
use proptest::collection::{btree_map, vec};
use proptest::option;
use proptest::prelude::*;
use proptest::sample::{Index, select};
use rust_decimal::Decimal;

use crate::product::PlusMinus;
use crate::*;

fn key() -> impl Strategy<Value = Key> {
    // Few keys, so that two estates have things in common.
    prop_oneof![
        8 => select(&["a", "b", "c", "10", "2"][..]).prop_map(str::to_owned),
        1 => "[a-z0-9]{1,2}(-[a-z0-9]{1,2})?",
    ]
    .prop_map(|text| text.parse().unwrap())
}

fn text() -> impl Strategy<Value = String> {
    "[A-Za-z0-9é駅,;\"'#=\\\\|%-]([A-Za-z0-9 é,;\"'#=\\\\%-]{0,8}[A-Za-z\"é,;])?"
}

fn number(range: std::ops::Range<i64>) -> impl Strategy<Value = Decimal> {
    (range, 0u32..3).prop_map(|(n, scale)| Decimal::new(n, scale))
}

fn quantity(units: &'static [Unit]) -> impl Strategy<Value = Quantity> {
    (number(1..100_000), select(units)).prop_map(|(number, unit)| Quantity::new(number, unit))
}

const VOLUMES: &[Unit] = &[Unit::Millilitre, Unit::Litre, Unit::FluidOunceUs, Unit::GallonImperial];
const MASSES: &[Unit] = &[Unit::Gram, Unit::OunceWeight];
const DURATIONS: &[Unit] = &[Unit::Second, Unit::Millisecond];

fn percent() -> impl Strategy<Value = Percent> {
    number(1..49).prop_map(Percent)
}

fn jurisdiction() -> impl Strategy<Value = Option<Key>> {
    option::of(select(&["model-code", "california"][..]).prop_map(|id| id.parse().unwrap()))
}

fn group() -> impl Strategy<Value = Group> {
    let zones = select(&["Europe/Vienna", "America/New_York", "Etc/UTC"][..]);
    let currencies = select(&["EUR", "USD"][..]);
    let remade = option::of(number(0..9999));
    let more = (jurisdiction(), remade, any::<bool>());
    (text(), any::<bool>(), zones, currencies, percent(), more).prop_map(
        |(name, metric, zone, currency, risk, (jurisdiction, remade, ask_about_doubtful))| Group {
            name,
            units: if metric { Units::Metric } else { Units::Us },
            time_zone: zone.parse().unwrap(),
            currency: currency.parse().unwrap(),
            risk,
            remade,
            jurisdiction,
            ask_about_doubtful,
        },
    )
}

fn adjuster() -> impl Strategy<Value = Adjuster> {
    let range = || {
        (0u32..50, 1u32..100)
            .prop_map(|(low, more)| (f64::from(low), f64::from(low) + f64::from(more) / 4.0))
    };
    let step = || select(&[0.1, 0.5, 1.0][..]);
    prop_oneof![
        (option::of(percent()), any::<bool>(), 0u32..16).prop_map(
            |(per_turn, anticlockwise, slack)| {
                Adjuster::Screw {
                    per_turn: per_turn.map(Percent::fraction),
                    anticlockwise_gives_more: anticlockwise,
                    slack_turns: f64::from(slack) / 12.0,
                }
            }
        ),
        (percent(), text())
            .prop_map(|(p, more)| Adjuster::Notches { per_notch: p.fraction(), more }),
        (step(), range()).prop_map(|(step, range)| Adjuster::Number { step, range }),
        (step(), range()).prop_map(|(step, range)| Adjuster::Percent { step, range }),
        Just(Adjuster::Taught),
        Just(Adjuster::None),
    ]
}

fn timing() -> impl Strategy<Value = Timing> {
    prop_oneof![
        (quantity(DURATIONS), quantity(DURATIONS))
            .prop_map(|(spread, resolution)| Timing::Hand { spread, resolution }),
        quantity(DURATIONS).prop_map(|tolerance| Timing::Machine { tolerance }),
    ]
}

/// One tube, or nothing, so that what a line states fits what its family does.
fn tubing() -> impl Strategy<Value = Tubing> {
    let of = |texts: &'static [&'static str]| option::of(select(texts).prop_map(str::to_owned));
    (
        of(&["6 mm", "1/4 in", "?"]),
        of(&["2.4 m", "10 ft"]),
        of(&["4 mL", "2 x 1.5 mL; 3 mL dead end"]),
        of(&["25 mL/s", "250 mL in 10 s"]),
    )
        .prop_map(|(bore, length, fittings, flush_flow)| Tubing {
            bore,
            length,
            fittings,
            flush_flow,
        })
}

fn family() -> impl Strategy<Value = Family> {
    let life = prop_oneof![
        (1u32..99).prop_map(Life::Weeks),
        (1u32..99).prop_map(Life::Days),
        Just(Life::Months(1))
    ];
    let touches = select(&[Touches::Line, Touches::AllLines, Touches::Nothing][..]);
    let lubricate = option::of(select(&[Lubricate::Must, Lubricate::May, Lubricate::Never][..]));
    let part = (text(), option::of(text()), option::of(life), touches, lubricate).prop_map(
        |(name, number, life, touches, lubricate)| Part { name, number, life, touches, lubricate },
    );
    let metering = select(&[Metering::Rate, Metering::Dose, Metering::Ratio][..]);
    let offset =
        option::of((-999i64..999).prop_map(|n| Quantity::new(Decimal::new(n, 2), Unit::Second)));
    let notes = option::of("[a-z\"\\\\]([a-z \n\"\\\\]{0,9}[a-z\"\\\\])?");
    (
        text(),
        metering,
        (adjuster(), option::of(select(crate::family::CAUSES).prop_map(|(_, id)| id))),
        offset,
        timing(),
        btree_map(key(), part, 0..3),
        notes,
        any::<bool>(),
        tubing(),
    )
        .prop_map(
            |(
                name,
                metering,
                (adjuster, faults),
                opening_offset,
                timing,
                parts,
                notes,
                retired,
                tubing,
            )| {
                Family {
                    name,
                    metering,
                    adjuster,
                    faults,
                    opening_offset,
                    timing,
                    tubing,
                    parts,
                    notes,
                    retired,
                }
            },
        )
}

fn product() -> impl Strategy<Value = Product> {
    let within = || option::of((1i64..9).prop_map(|n| Decimal::new(n, 2)));
    let density = prop_oneof![
        (700i64..1600, within()).prop_map(|(n, within)| Density::Stated(PlusMinus {
            value: Decimal::new(n, 3),
            within
        })),
        (0i64..760, within())
            .prop_map(|(n, within)| Density::Brix(PlusMinus { value: Decimal::new(n, 1), within })),
    ];
    let temperature = (0i64..100).prop_map(|n| Quantity::new(n.into(), Unit::Celsius));
    let cost = (number(0..9999), any::<bool>()).prop_map(|(amount, litre)| Cost {
        amount,
        currency: "EUR".parse().unwrap(),
        per: if litre { Per::Litre } else { Per::Kilogram },
    });
    let words = vec("[a-z]{1,6}", 0..3);
    (text(), option::of(density), option::of(temperature), words, option::of(cost), any::<bool>())
        .prop_map(|(name, density, temperature, allergens, cost, retired)| Product {
            name,
            density,
            temperature,
            allergens,
            cost,
            retired,
        })
}

fn measure_kind() -> impl Strategy<Value = MeasureKind> {
    let vessel =
        (quantity(VOLUMES), any::<bool>(), quantity(VOLUMES), option::of(quantity(VOLUMES)))
            .prop_map(|(at, one, tolerance, film)| Reads::Vessel {
                marks: if one { MarksRead::One(at) } else { MarksRead::Every(at) },
                tolerance,
                film,
            });
    let scale = (quantity(MASSES), quantity(MASSES), any::<bool>())
        .prop_map(|(resolution, tolerance, tared)| Reads::Scale { resolution, tolerance, tared });
    let vessel = (text(), vessel, option::of(quantity(VOLUMES)), any::<bool>());
    let scale = (text(), scale, option::of(quantity(MASSES)), any::<bool>());
    let make = |(name, reads, capacity, retired)| MeasureKind { name, reads, capacity, retired };
    prop_oneof![vessel.prop_map(make), scale.prop_map(make)]
}

/// A line before it knows what there is to name.
type Bare =
    (Option<String>, Index, i64, Percent, u32, Option<Index>, Option<Decimal>, Tubing, bool);
type BareMachine = (Option<String>, Index, Option<String>, State, BTreeMap<Key, Bare>);
type BareSite = (
    Option<String>,
    Option<Index>,
    Option<Key>,
    BTreeMap<Key, (Index, bool)>,
    BTreeMap<Key, BareMachine>,
    bool,
);

fn site() -> impl Strategy<Value = BareSite> {
    let line = (
        option::of(text()),
        any::<Index>(),
        1i64..9999,
        percent(),
        1u32..5,
        option::of(any::<Index>()),
        option::of(number(1..40)),
        tubing(),
        any::<bool>(),
    );
    let state = select(&[State::Open, State::Idle, State::Paused, State::Removed][..]);
    let machine = (
        option::of(text()),
        any::<Index>(),
        option::of(text()),
        state,
        btree_map(key(), line, 0..3),
    );
    let pieces = btree_map(key(), (any::<Index>(), any::<bool>()), 0..3);
    let machines = btree_map(key(), machine, 0..3);
    (
        option::of(text()),
        option::of(any::<Index>()),
        jurisdiction(),
        pieces,
        machines,
        any::<bool>(),
    )
}

/// Any estate in which every name that is used is there, and every recipe fits its family.
pub(crate) fn estate() -> impl Strategy<Value = Estate> {
    let owner =
        (text(), any::<bool>(), any::<bool>()).prop_map(|(name, ask_about_doubtful, retired)| {
            Owner { name, ask_about_doubtful, retired }
        });
    (
        group(),
        btree_map(key(), owner, 0..3),
        btree_map(key(), family(), 1..4),
        btree_map(key(), product(), 1..4),
        btree_map(key(), measure_kind(), 1..3),
        btree_map(key(), site(), 0..4),
    )
        .prop_map(|(group, owners, families, products, measures, sites)| {
            let mut estate =
                Estate { group, owners, families, products, measures, ..Estate::default() };
            for (key, bare) in sites {
                let site = make_site(&estate, &key, bare);
                estate.sites.insert(key, site);
            }
            estate
        })
}

fn pick<T>(things: &BTreeMap<Key, T>, index: Index) -> Option<Key> {
    (!things.is_empty()).then(|| things.keys().nth(index.index(things.len())).unwrap().clone())
}

fn make_site(
    estate: &Estate,
    key: &Key,
    (name, owner, jurisdiction, pieces, machines, retired): BareSite,
) -> Site {
    let piece = |(key, (kind, retired))| {
        (key, Piece { kind: pick(&estate.measures, kind).unwrap(), retired })
    };
    let measures: BTreeMap<Key, Piece> = pieces.into_iter().map(piece).collect();
    let machine = |(key, (name, family, serial, state, lines)): (Key, BareMachine)| {
        let family = pick(&estate.families, family).unwrap();
        let of = &estate.families[&family];
        let line = |(key, bare)| (key, make_line(estate, of, &measures, bare));
        let lines = lines.into_iter().map(line).collect();
        let name = name.unwrap_or_else(|| key.to_string());
        (key, Machine { name, family, serial, state, lines })
    };
    Site {
        name: name.unwrap_or_else(|| key.to_string()),
        owner: owner.and_then(|o| pick(&estate.owners, o)),
        time_zone: None,
        jurisdiction,
        machines: machines.into_iter().map(machine).collect(),
        measures,
        retired,
    }
}

fn make_line(
    estate: &Estate,
    family: &Family,
    measures: &BTreeMap<Key, Piece>,
    (name, product, target, tolerance, doses, measure, setting, tubing, retired): Bare,
) -> Line {
    let ratio = family.metering == Metering::Ratio;
    let amount = |n: i64| Quantity::new(Decimal::new(n, 1), Unit::Millilitre);
    let seconds = Quantity::new(Decimal::new(doses.into(), 1), Unit::Second);
    let panel = matches!(family.adjuster, Adjuster::Number { .. } | Adjuster::Percent { .. });
    Line {
        name,
        product: pick(&estate.products, product).unwrap(),
        target: amount(target),
        tolerance,
        draw: if family.metering == Metering::Dose {
            DrawRead::Doses(doses)
        } else {
            DrawRead::Time(seconds)
        },
        water: ratio.then(|| Water { target: amount(target * 5), tolerance }),
        measure: measure.and_then(|m| pick(measures, m)),
        setting: setting.filter(|_| panel),
        portions: setting.map(|n| n.abs()),
        tubing,
        retired,
    }
}
