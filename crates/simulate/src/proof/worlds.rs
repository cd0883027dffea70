//! The three worlds.

use super::nature::Nature;
use super::shape::Shape;

impl Nature {
    /// Lines walk and wear, machines have a level and days of their own, readings have noise. No
    /// surprises: honest people, true measures, adjusters that do what is said, no faults.
    #[must_use]
    pub fn plain() -> Self {
        Self {
            name: "plain",
            line_walk: 0.005,
            walk_shape: Shape::Bell,
            line_start: 0.015,
            wear_valve: 0.0008,
            wear_pump: 0.0022,
            wear_spread: 0.4,
            wear_stops: (0.0, 1.0),
            life_shape: 2.5,
            life_weeks: 45.0,
            worn_out_factor: 1.0,
            new_part_spread: 0.012,
            machine_walk: 0.003,
            machine_day: 0.008,
            draw_spread: 0.006,
            thumb: 0.10,
            reading_share: 0.204,
            at_mark: 0.03,
            density_spread: 0.002,
            noise_shape: Shape::Bell,
            measure_errors: 0.0,
            person_bias: 0.0,
            one_mark: 0.0,
            scales: 1.0,
            opening_offset: (0.0, 0.0),
            offset_stated: 1.0,
            screw_response: 0.05,
            panel_response: 0.01,
            slack: (0.0, 0.0),
            wrong_way: 0.0,
            teach_spread: 0.010,
            clog: (0.0, (0.0, 0.0)),
            block: 0.0,
            air: (0.0, (0.0, 0.0)),
            empty: 0.0,
            wrong_product: (0.0, (0.0, 0.0)),
            split: (0.0, (0.0, 0.0)),
            split_spread: 1.0,
            supply: (0.0, (0.0, 0.0)),
            excursion: (0.0, (0.0, 0.0)),
            excursion_ends: 1.0,
            fault_scatter: 0.0,
            service_fails: 0.0,
            service_halves: 0.0,
            clean_spread: 0.003,
            missed_week: 0.0,
            hurried: 0.0,
            makers_up: 0.0,
            makes_up: 0.0,
            leaves: 0.01,
        }
    }

    /// All that goes wrong in real kitchens: biased cups and people, shared shifts, faults of every
    /// kind, screws of unknown effect with slack, late valves, missed weeks, services that half work,
    /// people in a hurry and people who make readings up.
    #[must_use]
    pub fn hard() -> Self {
        Self {
            name: "hard",
            worn_out_factor: 5.0,
            measure_errors: 1.0,
            person_bias: 0.03,
            one_mark: 0.15,
            scales: 0.6,
            opening_offset: (0.0, 0.4),
            offset_stated: 0.5,
            screw_response: 0.30,
            panel_response: 0.03,
            slack: (0.0, 0.025),
            wrong_way: 0.02,
            clog: (0.012, (0.08, 0.30)),
            block: 0.0008,
            air: (0.02, (0.05, 0.40)),
            empty: 0.015,
            wrong_product: (0.002, (0.05, 0.15)),
            split: (0.002, (0.05, 0.20)),
            split_spread: 3.0,
            supply: (0.004, (0.06, 0.14)),
            excursion: (0.01, (0.03, 0.08)),
            excursion_ends: 0.4,
            service_fails: 0.15,
            service_halves: 0.20,
            missed_week: 0.05,
            hurried: 0.25,
            makers_up: 0.10,
            makes_up: 0.6,
            leaves: 0.02,
            ..Self::plain()
        }
    }

    /// Unlike what a model of it would assume: steps with heavy tails, noise that leans to one side,
    /// wear that stops and starts, faults up to half as deep again or half as shallow.
    #[must_use]
    pub fn unlike() -> Self {
        Self {
            name: "unlike",
            walk_shape: Shape::Heavy,
            noise_shape: Shape::Leaning,
            // As long at rest as at work, so that it wears twice as fast when it does.
            wear_stops: (0.08, 0.08),
            wear_valve: 0.0016,
            wear_pump: 0.0044,
            fault_scatter: 0.5,
            ..Self::hard()
        }
    }

    /// All three.
    #[must_use]
    pub fn all() -> [Self; 3] {
        [Self::plain(), Self::hard(), Self::unlike()]
    }
}
