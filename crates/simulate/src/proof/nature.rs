//! The numbers of a world in which practices are tried. Each says where it comes from; "assumed"
//! means that no published figure was found.

use super::shape::Shape;

/// A world as numbers.
///
/// Levels are natural logarithms of portion over target, so 0.01 is one percent; chances are per
/// week. Pairs are the least and the most of what is drawn evenly.
#[derive(Debug, Clone, PartialEq)]
pub struct Nature {
    /// What it is called.
    pub name: &'static str,

    /// Standard deviation of a line's own random walk, per square root of a week. Assumed.
    pub line_walk: f64,
    /// Its shape.
    pub walk_shape: Shape,
    /// Standard deviation of the set-up error that a line starts with. Assumed.
    pub line_start: f64,
    /// Mean loss by wear, per week, of rate-metered lines. Assumed.
    pub wear_valve: f64,
    /// Mean loss by wear, per week, of dose-metered lines: a squeezed tube takes a set and delivers
    /// less over weeks (general pump-tube literature; the size is assumed).
    pub wear_pump: f64,
    /// Spread of the wear rate between lines: standard deviation of its logarithm. Assumed.
    pub wear_spread: f64,
    /// Chance that a line's wear stops, and that one that has stopped goes on. Assumed.
    pub wear_stops: (f64, f64),
    /// Shape of a wear part's Weibull life. 2.5 is a common wear-out shape (from memory).
    pub life_shape: f64,
    /// Scale of that life, weeks. Assumed.
    pub life_weeks: f64,
    /// How many times faster a part wears once its life is over. Assumed.
    pub worn_out_factor: f64,
    /// Standard deviation of the level that a new part brings. Assumed.
    pub new_part_spread: f64,
    /// Standard deviation of a machine's slow walk, shared by its lines, per square root of a week.
    /// Assumed.
    pub machine_walk: f64,
    /// Standard deviation of a machine's effect of the day. That there is one is seen in real timed
    /// deliveries; its size is assumed.
    pub machine_day: f64,

    /// Standard deviation of one draw about its line's level. Assumed.
    pub draw_spread: f64,
    /// Standard deviation of start and stop together, seconds, one thumb on a stopwatch
    /// (Am. J. Phys. 87(2) 110, 2019: 0.10 s).
    pub thumb: f64,
    /// Reading error as a share of a division, standard deviation: a triangle of half a division
    /// either way, 0.5/√6 (JCGM 100, 4.3.9).
    pub reading_share: f64,
    /// How near to its only mark a cup must stand to be called "at" it, as a share of the mark.
    /// Assumed.
    pub at_mark: f64,
    /// Relative standard deviation of density between containers of one product. Assumed.
    pub density_spread: f64,
    /// Shape of the noise of draws, thumbs and eyes.
    pub noise_shape: Shape,
    /// How much of the maker's tolerance the measures' own errors fill: 1 is all of it, evenly
    /// (rectangular, JCGM 100, 4.3.7).
    pub measure_errors: f64,
    /// Standard deviation of a person's persistent timing error, seconds. That people with one
    /// stopwatch differ is seen in NIST's hand-timed funnel runs; the size is assumed.
    pub person_bias: f64,
    /// Chance that a machine's usual cup has one mark only. Assumed.
    pub one_mark: f64,
    /// Chance that there is a scale. Assumed.
    pub scales: f64,
    /// Seconds of a draw that pour nothing, where a valve opens late. Assumed.
    pub opening_offset: (f64, f64),
    /// Chance that the family states that offset. Assumed.
    pub offset_stated: f64,

    /// Standard deviation of the logarithm of what a turn of a screw really does, over what a person
    /// thinks; none is further out than twice this. Assumed.
    pub screw_response: f64,
    /// The same of notches and panels. Assumed.
    pub panel_response: f64,
    /// What a screw loses when it is turned the other way. Assumed.
    pub slack: (f64, f64),
    /// Chance that an adjustment goes the wrong way. Assumed.
    pub wrong_way: f64,
    /// Standard deviation of the level after teaching a draw to the mark. Assumed.
    pub teach_spread: f64,

    /// Chance that crust begins to narrow a line, and what it takes away. Assumed.
    pub clog: (f64, (f64, f64)),
    /// Chance that a line is blocked: about a quarter still flows. Assumed.
    pub block: f64,
    /// Chance that a line holds air at the round, and what that takes away. Assumed.
    pub air: (f64, (f64, f64)),
    /// Chance that a container runs out at the round. Assumed.
    pub empty: f64,
    /// Chance that a wrong product is put on, and how far that moves the line, either way. Assumed.
    pub wrong_product: (f64, (f64, f64)),
    /// Chance that a valve or tube splits, and what it then gives too much; ten times as likely once
    /// the part's life is over. Assumed.
    pub split: (f64, (f64, f64)),
    /// How many times wider a split line's draws spread. Assumed.
    pub split_spread: f64,
    /// Chance that a machine's supply fails in part, and what that takes away. Assumed.
    pub supply: (f64, (f64, f64)),
    /// Chance that a machine grows warm or cold, and how far that moves all its lines. Assumed.
    pub excursion: (f64, (f64, f64)),
    /// Chance that such an excursion ends. Assumed.
    pub excursion_ends: f64,
    /// How far a fault's depth may lie from the stated, as a share of it. Assumed.
    pub fault_scatter: f64,

    /// Chance that a service (a clean, a new part, a technician) does nothing. Assumed.
    pub service_fails: f64,
    /// Chance that a service takes only half of the trouble away. Assumed.
    pub service_halves: f64,
    /// Disturbance of the level by a thorough clean, standard deviation. Assumed.
    pub clean_spread: f64,

    /// Chance that a round is missed. Assumed.
    pub missed_week: f64,
    /// Share of people who are in a hurry. Assumed.
    pub hurried: f64,
    /// Share of people who make readings up. Assumed.
    pub makers_up: f64,
    /// How often they do. Assumed.
    pub makes_up: f64,
    /// Chance that one of a machine's people leaves. Assumed.
    pub leaves: f64,
}
