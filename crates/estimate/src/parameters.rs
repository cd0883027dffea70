//! How a family behaves, as text that a record keeps: so that an estimate can name what it rests on.
//!
//! Standard deviations and shares are written, not variances: `walk = "0.006"` is 0.6 % in the square root of a week.

use std::collections::BTreeMap;

use crate::joint::Behaviour;

/// A parameter: its name, whether it is kept as the square of what is written, and where it is.
struct Parameter {
    name: &'static str,
    squared: bool,
    of: fn(&mut Behaviour) -> &mut f64,
}

macro_rules! parameters {
    ($($name:literal, $squared:literal, $field:ident;)*) => {
        [$(Parameter { name: $name, squared: $squared, of: |behaviour| &mut behaviour.$field }),*]
    };
}

const PARAMETERS: [Parameter; 16] = parameters! {
    "walk", true, walk;
    "drift", false, drift;
    "machine-walk", true, machine_walk;
    "day", true, day;
    "person", true, person;
    "shock-chance", false, shock_chance;
    "shock", true, shock;
    "shared-chance", false, shared_chance;
    "shared-shock", true, shared_shock;
    "new-part", false, new_part;
    "new-part-spread", true, new_part_spread;
    "response", false, response;
    "response-spread", true, response_spread;
    "adjusting", true, adjusting;
    "cleaning", true, cleaning;
    "teaching", true, teaching;
};

impl Behaviour {
    /// Reads values as a record keeps them; what is not named stays at its stated prior.
    ///
    /// # Errors
    ///
    /// The first name that is none, or value that is no possible number, in words.
    pub fn from_values(values: &BTreeMap<String, String>) -> Result<Self, String> {
        let mut behaviour = Self::default();
        for (name, text) in values {
            let Some(parameter) = PARAMETERS.iter().find(|parameter| parameter.name == name) else {
                return Err(format!("`{name}` is no parameter of a family"));
            };
            let value: f64 = text.parse().map_err(|_| format!("{name}: `{text}` is no number"))?;
            let least = if parameter.squared || name.ends_with("chance") { 0.0 } else { -2.0 };
            if !(least..=2.0).contains(&value) {
                return Err(format!("{name}: {text} is beyond what a line can do"));
            }
            *(parameter.of)(&mut behaviour) = if parameter.squared { value * value } else { value };
        }
        Ok(behaviour)
    }

    /// All values as a record keeps them, to six significant digits.
    #[must_use]
    pub fn to_values(&self) -> BTreeMap<String, String> {
        let mut behaviour = self.clone();
        PARAMETERS
            .iter()
            .map(|parameter| {
                let value = *(parameter.of)(&mut behaviour);
                let value = if parameter.squared { value.sqrt() } else { value };
                (parameter.name.to_owned(), six(value))
            })
            .collect()
    }
}

fn six(value: f64) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    let places = (5.0 - libm::floor(libm::log10(value.abs()))).clamp(0.0, 12.0) as usize;
    let text = format!("{value:.places$}");
    match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.').to_owned(),
        false => text,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_is_read_again() {
        let values = Behaviour::default().to_values();
        assert_eq!(values["walk"], "0.006");
        assert_eq!(values["drift"], "-0.001");
        assert_eq!(values["shock"], "0.15");
        let again = Behaviour::from_values(&values).unwrap();
        assert_eq!(again.to_values(), values);
        assert!((again.walk / Behaviour::default().walk - 1.0).abs() < 1e-12);
    }

    #[test]
    fn what_is_left_out_stays_and_what_is_wrong_is_named() {
        let one = |name: &str, value: &str| {
            Behaviour::from_values(&BTreeMap::from([(name.to_owned(), value.to_owned())]))
        };
        assert_eq!(one("walk", "0").unwrap(), Behaviour { walk: 0.0, ..Behaviour::default() });
        for (name, value) in
            [("wlak", "0.1"), ("walk", "much"), ("walk", "-1"), ("day", "NaN"), ("shock", "inf")]
        {
            assert!(one(name, value).unwrap_err().contains(name), "{name} {value}");
        }
    }
}
