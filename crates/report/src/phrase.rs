//! Short phrases that describe a line, its measure and a catch: `31 mL in 7.1 s`, `1 mL ± 0.5 mL`, `screw 20 %/turn`.

use std::fmt::{self, Display};
use std::str::FromStr;

use ouncewise_estate::{Density, Percent};
use ouncewise_measure::density::{Basis, of_product};
use ouncewise_measure::{
    Adjuster, Aim, Amount, AmountRead, Catch, Celsius, Draw, DrawRead, Grams, Measure, Metering,
    Millilitres, Quantity, Scale, Seconds, Setup, Target, Timer, Unit, Vessel,
};

use rust_decimal::prelude::ToPrimitive;
use schemars::JsonSchema;
use serde::Deserialize;

use crate::failure::{Exit, Failure};

/// What cannot be read: of which phrase, what is wrong, and how to mend it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Misphrased {
    /// Which phrase: `target`, `cup`, `catch`.
    pub field: &'static str,
    what: String,
    hint: Option<String>,
    exit: Exit,
}

impl Misphrased {
    pub(crate) fn new(field: &'static str, what: impl Into<String>) -> Self {
        Self { field, what: what.into(), hint: None, exit: Exit::Usage }
    }

    /// The phrase is a whole text of its own: its faults are those of data.
    pub(crate) fn of_data(self) -> Self {
        Self { exit: Exit::Data, ..self }
    }

    pub(crate) fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }

    /// As a failure; `dashes` stand before the names of options on a command line.
    #[must_use]
    pub fn failure(self, dashes: &str) -> Failure {
        // A catch is no option.
        let dashes = if self.field == "catch" { "" } else { dashes };
        let failure = Failure::new(self.exit, format!("{dashes}{}{}", self.field, self.what));
        match self.hint {
            Some(hint) => failure.hint(hint),
            None => failure,
        }
    }
}

impl fmt::Display for Misphrased {
    /// What is wrong, and how to mend it, without the name of the phrase.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.what.trim_start_matches([' ', ':']))?;
        match &self.hint {
            Some(hint) => write!(f, "; {hint}"),
            None => Ok(()),
        }
    }
}

/// A line and its measure, in phrases.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SetupWords {
    /// What the recipe asks, in its own draw: `30 mL in 7 s`, `40 g in 1 dose`.
    pub target: String,
    /// How far off still serves; `5 %` if left out.
    pub tolerance: Option<String>,
    /// On a ratio line: the water of the same draw and its tolerance: `150 mL ± 5 %`.
    pub water_target: Option<String>,
    /// A graduated cup: its division and the maker's tolerance: `1 mL ± 0.5 mL`. One of `cup`, `mark` and `scale`.
    pub cup: Option<String>,
    /// A cup with one mark: `30 mL ± 2 mL`.
    pub mark: Option<String>,
    /// A scale: its step, and its tolerance if it has one: `0.1 g ± 0.2 g`.
    pub scale: Option<String>,
    /// Film that stays in the vessel when it is emptied, if it is used wet and drained.
    pub film: Option<String>,
    /// Whether the empty vessel is weighed too.
    #[serde(default)]
    pub tared: bool,
    /// How the seconds were taken: `hand`, `hand 0.15 s`, `machine`, `machine ± 0.02 s`; `hand` if left out.
    pub timer: Option<String>,
    /// Density of the product: `1.27 ± 0.01 g/mL`, or its Brix: `62 ± 1 Brix`.
    pub density: Option<String>,
    /// Temperature of the product.
    pub temperature: Option<String>,
    /// Seconds of a draw that pour nothing.
    pub opening_offset: Option<String>,
    /// How the line is set: `screw`, `screw 20 %/turn`, `notches 3 %/notch`, `number`, `percent`, `taught` or `none`.
    pub adjuster: Option<String>,
    /// The panel's present number or percent.
    pub setting: Option<f64>,
    /// Probability of being wrong that the group accepts; `5 %` if left out.
    pub risk: Option<String>,
}

/// Reads one phrase; says which one a fault is in.
pub(crate) fn read<T>(name: &'static str, text: &str) -> Result<T, Misphrased>
where
    T: FromStr,
    T::Err: Display,
{
    text.trim().parse().map_err(|e: T::Err| Misphrased::new(name, format!(" `{text}`: {e}")))
}

/// `AMOUNT in DRAW`.
fn amount_in_draw(name: &'static str, text: &str) -> Result<(AmountRead, DrawRead), Misphrased> {
    // The last ` in ` counts: none of the amounts or draws has one of its own.
    let (amount, draw) = text.rsplit_once(" in ").ok_or_else(|| {
        let examples = match name {
            "target" => "`30 mL in 7 s` or `40 g in 1 dose`",
            _ => "`31 mL in 7.1 s`, `58 mL in 2 doses` or `over the 30 mL mark in 7 s`",
        };
        Misphrased::new(name, format!(" `{text}` does not say in how long, or in how many doses"))
            .hint(format!("write it as {examples}"))
    })?;
    Ok((read(name, amount)?, read(name, draw)?))
}

/// `VALUE ± LIMIT`; the limit may be left out where `optional`.
fn plus_minus<'a>(
    name: &'static str,
    text: &'a str,
    example: &str,
) -> Result<(&'a str, &'a str), Misphrased> {
    text.split_once('±').or_else(|| text.split_once("+/-")).ok_or_else(|| {
        Misphrased::new(name, format!(" `{text}` states no tolerance")).hint(format!(
            "write it as `{example}`; the maker's tolerance is on the vessel or in its papers"
        ))
    })
}

fn of<T>(name: &'static str, text: &str, what: &str, value: Option<T>) -> Result<T, Misphrased> {
    value.ok_or_else(|| {
        Misphrased::new(name, format!(" `{text}` is not {what}"))
            .hint("write a number and its unit: `0.3 mL`, `0.1 g`, `0.12 s`, `4 °C`")
    })
}

pub(crate) fn volume(name: &'static str, text: &str) -> Result<Millilitres, Misphrased> {
    of(name, text, "a volume", read::<Quantity>(name, text)?.volume())
}

fn mass(name: &'static str, text: &str) -> Result<Grams, Misphrased> {
    of(name, text, "a weight", read::<Quantity>(name, text)?.mass())
}

pub(crate) fn duration(name: &'static str, text: &str) -> Result<Seconds, Misphrased> {
    of(name, text, "a duration", read::<Quantity>(name, text)?.duration())
}

pub(crate) fn temperature(name: &'static str, text: &str) -> Result<Celsius, Misphrased> {
    of(name, text, "a temperature", read::<Quantity>(name, text)?.temperature())
}

pub(crate) fn percent(name: &'static str, text: &str) -> Result<f64, Misphrased> {
    let percent = read::<Percent>(name, text).map_err(|f| f.hint("write it as `5 %`"))?;
    Ok(percent.fraction())
}

/// A catch from its phrase, and the water that belongs to it.
pub fn catch(text: &str, water: Option<&str>) -> Result<Catch, Misphrased> {
    let computable = |name: &'static str, text: &str| -> Result<(Amount, Draw), Misphrased> {
        let (amount, draw) = amount_in_draw(name, text)?;
        let refuse = |e: &dyn Display| Misphrased::new(name, format!(" `{text}`: {e}"));
        Ok((amount.amount().map_err(|e| refuse(&e))?, draw.draw().map_err(|e| refuse(&e))?))
    };
    let (amount, draw) = computable("catch", text)?;
    let water = water.map(|text| computable("water", text)).transpose()?;
    Ok(Catch { amount, draw, temperature: None, water })
}

/// The setup that the options describe.
pub fn setup(args: &SetupWords) -> Result<Setup, Misphrased> {
    let temperature =
        args.temperature.as_deref().map(|t| temperature("temperature", t)).transpose()?;
    Ok(Setup {
        aim: aim(args)?,
        measure: measure(args)?,
        marked_in: marked_in(args),
        timer: timer(args.timer.as_deref().unwrap_or("hand"))?,
        density: args.density.as_deref().map(|t| self::density(t, temperature)).transpose()?,
        temperature,
        opening_offset: args
            .opening_offset
            .as_deref()
            .map(|t| duration("opening-offset", t))
            .transpose()?,
        // Where nobody says how it is set, advice is in percent: any adjuster that the crew can set will do.
        adjuster: args.adjuster.as_deref().map_or(Ok(screw(None)), adjuster)?,
        setting: args.setting,
        last_adjusted: None,
        risk: percent("risk", args.risk.as_deref().unwrap_or("5 %"))?,
    })
}

fn aim(args: &SetupWords) -> Result<Aim, Misphrased> {
    let (amount, draw) = amount_in_draw("target", &args.target)?;
    let draw = draw.draw().map_err(|e| Misphrased::new("target", format!(": {e}")))?;
    let target = match amount.amount() {
        Ok(Amount::Volume(v)) => Target::Volume(v),
        Ok(Amount::Mass(m)) => Target::Mass(m),
        Ok(Amount::Mark(..)) => {
            return Err(Misphrased::new("target", format!(" `{}` is a mark", args.target))
                .hint("write the amount that the recipe asks: `30 mL in 7 s`"));
        }
        Err(e) => return Err(Misphrased::new("target", format!(": {e}"))),
    };
    let water = match &args.water_target {
        None => None,
        Some(text) => {
            let (amount, tolerance) = plus_minus("water-target", text, "150 mL ± 5 %")?;
            Some((volume("water-target", amount)?, percent("water-target", tolerance)?))
        }
    };
    let metering = match (water, draw) {
        (Some(_), _) => Metering::Ratio,
        (None, Draw::Time(_)) => Metering::Rate,
        (None, Draw::Doses(_)) => Metering::Dose,
    };
    Ok(Aim {
        metering,
        target,
        tolerance: percent("tolerance", args.tolerance.as_deref().unwrap_or("5 %"))?,
        draw,
        water,
    })
}

fn measure(args: &SetupWords) -> Result<Measure, Misphrased> {
    let refuse = |name: &'static str, e: &dyn Display| Misphrased::new(name, format!(": {e}"));
    let vessel = if let Some(text) = &args.cup {
        let (division, tolerance) = plus_minus("cup", text, "1 mL ± 0.5 mL")?;
        Vessel::graduated(volume("cup", division)?, volume("cup", tolerance)?)
            .map_err(|e| refuse("cup", &e))?
    } else if let Some(text) = &args.mark {
        let (mark, tolerance) = plus_minus("mark", text, "30 mL ± 2 mL")?;
        Vessel::one_mark(volume("mark", mark)?, volume("mark", tolerance)?)
            .map_err(|e| refuse("mark", &e))?
    } else {
        let Some(text) = args.scale.as_deref() else {
            return Err(Misphrased::new("cup", ": nothing says what it is read with")
                .hint("describe a cup, a cup with one mark, or a scale"));
        };
        let (step, tolerance) = match text.split_once('±').or_else(|| text.split_once("+/-")) {
            Some((step, tolerance)) => (mass("scale", step)?, mass("scale", tolerance)?),
            None => (mass("scale", text)?, Grams(0.0)),
        };
        let scale = Scale::new(step, tolerance).map_err(|e| refuse("scale", &e))?;
        return Ok(Measure::Scale(if args.tared { scale.tared() } else { scale }));
    };
    Ok(Measure::Vessel(match &args.film {
        Some(text) => vessel.with_film(volume("film", text)?).map_err(|e| refuse("film", &e))?,
        None => vessel,
    }))
}

/// The unit that the measure is described in.
fn marked_in(args: &SetupWords) -> Unit {
    let described = [&args.cup, &args.mark, &args.scale].into_iter().flatten().next();
    let step = described.and_then(|text| text.split(['±', '+']).next());
    let step = step.and_then(|text| text.trim().parse::<Quantity>().ok());
    step.map_or(Unit::Millilitre, |step| step.unit)
}

fn timer(text: &str) -> Result<Timer, Misphrased> {
    let name = "timer";
    let refuse = |e: &dyn Display| Misphrased::new(name, format!(": {e}"));
    let (who, rest) = text.trim().split_once(' ').unwrap_or((text.trim(), ""));
    let rest = rest.trim_start_matches('±').trim();
    match (who, rest) {
        ("hand", "") => Ok(Timer::by_hand()),
        ("hand", spread) => {
            Timer::hand(duration(name, spread)?, Seconds(0.01)).map_err(|e| refuse(&e))
        }
        ("machine", "") => Timer::machine(Seconds(0.0)).map_err(|e| refuse(&e)),
        ("machine", limit) => Timer::machine(duration(name, limit)?).map_err(|e| refuse(&e)),
        _ => Err(Misphrased::new(name, format!(" `{text}` is not a way to time"))
            .hint("write `hand`, `hand 0.15 s`, `machine` or `machine ± 0.02 s`")),
    }
}

fn density(text: &str, temperature: Option<Celsius>) -> Result<(f64, f64), Misphrased> {
    let number = |d: rust_decimal::Decimal| d.to_f64().unwrap_or(f64::NAN);
    let refused = |f: Misphrased| f.hint("write it as `1.27 ± 0.01 g/mL` or `62 ± 1 Brix`");
    let basis = match read::<Density>("density", text).map_err(refused)? {
        Density::Stated(read) => Basis::Stated {
            density: number(read.value),
            standard_uncertainty: read.standard_uncertainty(),
            at: None,
        },
        Density::Brix(read) => Basis::Brix {
            brix: number(read.value),
            standard_uncertainty: read.within.map(|_| read.standard_uncertainty()),
        },
    };
    of_product(basis, temperature)
        .map_err(|e| Misphrased::new("density", format!(" `{text}`: {e}")))
}

fn adjuster(text: &str) -> Result<Adjuster, Misphrased> {
    let (kind, rest) = text.trim().split_once(' ').unwrap_or((text.trim(), ""));
    let fraction = |suffix: &str| {
        let number = rest.trim().strip_suffix(suffix).ok_or_else(|| {
            Misphrased::new(
                "adjuster",
                format!(" `{text}` does not say how much one {} does", &suffix[1..]),
            )
            .hint(format!("write it as `{kind} 5 %{suffix}`"))
        })?;
        percent("adjuster", number)
    };
    match (kind, rest) {
        ("screw", "") => Ok(screw(None)),
        ("screw", _) => Ok(screw(Some(fraction("/turn")?))),
        ("notches", _) => {
            Ok(Adjuster::Notches { per_notch: fraction("/notch")?, more: "up".to_owned() })
        }
        ("number", "") => Ok(Adjuster::Number { step: 1.0, range: (0.0, 999.0) }),
        ("percent", "") => Ok(Adjuster::Percent { step: 1.0, range: (50.0, 150.0) }),
        ("taught", "") => Ok(Adjuster::Taught),
        ("none", "") => Ok(Adjuster::None),
        _ => Err(Misphrased::new("adjuster", format!(" `{text}` is not a way to set a line")).hint(
            "write `screw`, `screw 20 %/turn`, `notches 3 %/notch`, `number`, `percent`, `taught` or `none`",
        )),
    }
}

fn screw(per_turn: Option<f64>) -> Adjuster {
    Adjuster::Screw { per_turn, anticlockwise_gives_more: true, slack_turns: 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_catch_phrase_may_be_a_mark_or_doses() {
        let amount = |text| catch(text, None).unwrap().amount;
        assert_eq!(amount("31,5 ml in 7.1s"), Amount::Volume(Millilitres(31.5)));
        assert_eq!(amount("40 g in 2 doses"), Amount::Mass(Grams(40.0)));
        assert!(matches!(amount("over the 30 mL mark in 7 s"), Amount::Mark(..)));
        for bad in ["", "31 mL", "31 in 7 s", "in 7 s", "31 mL in", "31 oz in 7 s", "31 mL in -1 s"]
        {
            assert!(catch(bad, None).is_err(), "{bad}");
        }
    }

    #[test]
    fn an_adjuster_phrase_says_what_one_step_does() {
        assert_eq!(adjuster("screw 20 %/turn").unwrap(), screw(Some(0.2)));
        assert_eq!(adjuster("taught").unwrap(), Adjuster::Taught);
        for bad in ["", "screw 20", "notches", "taught 3", "lever"] {
            assert!(adjuster(bad).is_err(), "{bad}");
        }
    }
}
