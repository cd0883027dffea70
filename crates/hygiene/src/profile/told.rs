//! What a profile says of food, cleaning, allergens and lubricants, in words for people: each limit with its clause.

use ouncewise_measure::print::significant;

use super::{Basis, CleaningOf, Profile, TimeLimit};
use crate::label::{film_allowance, film_share};

/// One limit in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LimitTold {
    /// What it says, without a full stop.
    pub words: String,
    /// The clause of the code.
    pub clause: String,
    /// How its figure is known, in words.
    pub known: &'static str,
}

fn told(words: String, basis: &Basis) -> LimitTold {
    LimitTold { words, clause: basis.clause.clone(), known: basis.status.words() }
}

/// What a bag of 10 L of 65 °Bx may take of a lubricant in mg, and what a smear of 0.1 g comes to in it, in parts of a million
/// (HY-33, CALC).
fn of_a_bag(ppm: f64) -> (String, String) {
    // HY-77: 1.3164 g/mL at 20 °C.
    const BAG: f64 = 13_164.0;
    (significant(film_allowance(BAG, ppm), 3), significant(film_share(0.1, BAG), 2))
}

fn many(number: f64, what: &str) -> String {
    format!("{number} {what}{}", if (number - 1.0).abs() < f64::EPSILON { "" } else { "s" })
}

impl CleaningOf {
    /// What it is called for people.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::TcsSurface => "what food that must be kept cold or hot touches",
            Self::DrinkLine => "nozzles, and lines for drinks and syrups",
            Self::IcedTea => "dispensers of iced tea",
            Self::DispensingFreezer => "dispensers of soft frozen food",
        }
    }
}

impl Profile {
    /// Its limits of time and temperature for food, in words. Empty where it states none: then nothing is covered.
    #[must_use]
    pub fn holding_told(&self) -> Vec<LimitTold> {
        let holding = &self.holding;
        let cold = holding.cold.as_ref().map(|cold| {
            told(
                format!("food that must be kept cold is held at {} or under", cold.limit),
                &cold.basis,
            )
        });
        let hot = holding.hot.as_ref().map(|hot| {
            told(format!("food that is kept hot is held at {} or over", hot.limit), &hot.basis)
        });
        let out = holding.time.as_ref().map(|TimeLimit { value, basis }| {
            let hours = many(*value, "hour");
            told(format!("out of the cold by time alone, it is thrown away after {hours}"), basis)
        });
        let date = holding.date.as_ref().map(|TimeLimit { value, basis }| {
            let days = many(*value, "day");
            told(
                format!(
                    "once opened it is kept cold for {days}, the day of opening being the first"
                ),
                basis,
            )
        });
        [cold, hot, out, date].into_iter().flatten().collect()
    }

    /// All of it: food, how often things are cleaned, the allergens that it names, and lubricants.
    #[must_use]
    pub fn food_told(&self) -> Vec<LimitTold> {
        let mut all = self.holding_told();
        all.extend(self.cleaning.iter().map(|row| {
            let room = row.room_to.map_or_else(String::new, |to| format!(" in a room at {to} or under"));
            let often = match row.every_hours {
                Some(hours) => format!("at least every {}{room}", many(hours, "hour")),
                None => format!("as often as the machine’s maker says, or as it takes to keep soil and mould away{room}"),
            };
            told(format!("{} are cleaned {often}", row.of.words()).replace("touches are", "touches is"), &row.basis)
        }));
        all.extend(self.allergens.iter().map(|list| {
            told(format!("the allergens that it names: {}", list.names.join(", ")), &list.basis)
        }));
        all.extend(self.lubricants.iter().map(|limit| {
            let most = format!(
                "at most {} parts in a million of {} in food",
                limit.ppm_to, limit.lubricant
            );
            let (allowance, share) = of_a_bag(limit.ppm_to);
            told(
                format!("{most}: a thin film, no more than a sheen. A bag of 10 L of 65 °Bx may take {allowance} mg in all, and a smear of 0.1 g that all goes into it is {share} parts (computed)"),
                &limit.basis,
            )
        }));
        all
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // HY-18 to HY-20 (READ and READ-2): the model code's figures, each with its clause.
    #[test]
    fn what_a_code_says_of_food_is_told_with_its_clause() {
        let model = Profile::shipped("model-code").unwrap();
        let food: Vec<String> = model
            .holding_told()
            .into_iter()
            .map(|limit| format!("{} ({})", limit.words, limit.clause))
            .collect();
        assert_eq!(
            food,
            [
                "food that must be kept cold is held at 5 °C (41 °F) or under (3-501.16(A)(2))",
                "food that is kept hot is held at 57 °C (135 °F) or over (3-501.16(A)(1))",
                "out of the cold by time alone, it is thrown away after 4 hours (3-501.19)",
                "once opened it is kept cold for 7 days, the day of opening being the first (3-501.17)",
            ]
        );
        let all = model.food_told();
        // HY-15 (READ): no number is the code's own for lines of drinks.
        assert!(all.iter().any(|limit| {
            limit.words.starts_with("nozzles, and lines for drinks and syrups are cleaned as often as the machine’s maker says")
        }));
        // HY-33's limit, 21 CFR 178.3570 (READ), and its figures (CALC).
        let film = |part: &str| all.iter().any(|limit| limit.words.contains(part));
        assert!(film("a thin film") && film("may take 13.2 mg"), "{all:?}");
        assert!(
            film("may take 132 mg") && film("a smear of 0.1 g that all goes into it is 7.6 parts")
        );
    }

    #[test]
    fn every_profile_that_ships_tells_its_limits() {
        for (id, _) in Profile::all_shipped() {
            let profile = Profile::shipped(id).unwrap();
            assert!(profile.food_told().iter().all(|limit| !limit.clause.is_empty()), "{id}");
            assert!(!profile.holding_told().is_empty(), "{id}");
        }
    }
}
