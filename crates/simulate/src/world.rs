//! The numbers that a virtual estate is made with. Each says where it comes
//! from; "assumed" means that no published figure was found.

/// How lines, machines, measures and people behave.
///
/// Levels are natural logarithms of flow, so 0.01 is one percent.
#[derive(Debug, Clone, PartialEq)]
pub struct World {
    /// Standard deviation of a line's own random walk, per square root of a week. Assumed.
    pub line_walk: f64,
    /// Standard deviation of the set-up error that a line starts with. Assumed.
    pub line_start: f64,
    /// Mean loss of flow by wear, per week, of lines metered by rate or ratio. Assumed.
    pub wear_valve: f64,
    /// Mean loss of flow by wear, per week, of lines metered by dose: a squeezed tube takes a
    /// set and delivers less over weeks (general pump-tube literature; the size is assumed).
    pub wear_pump: f64,
    /// Spread of the wear rate between lines: standard deviation of its logarithm. Assumed.
    pub wear_spread: f64,
    /// Shape of a wear part's Weibull life. 2.5 is a common wear-out shape (from memory).
    pub life_shape: f64,
    /// Scale of a wear part's Weibull life, weeks. Assumed.
    pub life_weeks: f64,
    /// How many times faster a part wears once its life is over. Assumed.
    pub worn_out_factor: f64,
    /// Standard deviation of the level that a new part brings. Assumed.
    pub new_part_spread: f64,
    /// Chance per line and week that crust begins to narrow it. Assumed.
    pub clog_chance: f64,
    /// Least and most loss by a clog. Assumed.
    pub clog_depth: (f64, f64),
    /// Chance that a weekly clean removes a clog. Assumed.
    pub clean_cures: f64,
    /// Chance per line and week of a blockage (less than half flows). Assumed.
    pub block_chance: f64,
    /// Disturbance of the level by a clean, standard deviation. Assumed.
    pub clean_spread: f64,
    /// Standard deviation of a machine's slow walk, shared by its lines, per square root of a week. Assumed.
    pub machine_walk: f64,
    /// Standard deviation of a machine's effect of the day (supply, temperature). The presence of
    /// such an effect is seen in real timed deliveries; its size here is assumed.
    pub machine_day: f64,
    /// Chance per machine and week that its supply fails in part. Assumed.
    pub drop_chance: f64,
    /// Least and most loss by a failing supply. Assumed.
    pub drop_depth: (f64, f64),
    /// Standard deviation of one draw about the line's level. Assumed.
    pub draw_spread: f64,
    /// Standard deviation of start and stop together, seconds, one thumb on a stopwatch
    /// (Am. J. Phys. 87(2) 110, 2019: 0.10 s).
    pub thumb: f64,
    /// Standard deviation of a person's persistent timing error, seconds. That people with one
    /// stopwatch differ is seen in NIST's hand-timed funnel runs; the size is assumed.
    pub person_bias: f64,
    /// Standard deviation of how far from the recipe's seconds a draw by hand is stopped. Assumed.
    pub stop_spread: f64,
    /// Reading error as a share of a division, standard deviation: a triangle of half a division
    /// either way, 0.5/√6 (JCGM 100, 4.3.9).
    pub reading_share: f64,
    /// How near to its only mark a vessel must stand to be called "at" it, as a share of the mark. Assumed.
    pub at_mark: f64,
    /// What a reader takes "over" or "under" a mark to mean, as a share of the mark. Assumed.
    pub mark_means: f64,
    /// Relative standard deviation of density between containers of one product. Assumed.
    pub density_spread: f64,
    /// Weeks that a container lasts, mean. Assumed.
    pub container_weeks: f64,
    /// Share of people who adjust whenever a reading is off by more than [`World::fiddle_at`]. Assumed.
    pub fiddlers: f64,
    /// Relative deviation at which those people adjust. Assumed.
    pub fiddle_at: f64,
    /// Chance that an adjustment goes the wrong way. Assumed.
    pub wrong_way: f64,
    /// Relative standard deviation of what a turn, a notch or a step really does. Assumed.
    pub response_spread: f64,
    /// Standard deviation of the level after teaching a draw to the mark. Assumed.
    pub teach_spread: f64,
    /// Chance that a site misses a week. Assumed.
    pub missed_week: f64,
    /// Chance that a round is not finished. Assumed.
    pub unfinished: f64,
    /// Chance that a catch is typed wrongly and corrected next day. Assumed.
    pub typo: f64,
    /// Chance that a catch is written under a line that was not caught, and withdrawn next day. Assumed.
    pub wrong_line: f64,
    /// Chance that a round carries a note. Assumed.
    pub note: f64,
    /// Chance that a line is caught again after its clean. Assumed.
    pub caught_after_clean: f64,
    /// Weeks between planned part changes at sites that plan them. Assumed.
    pub part_weeks: u32,
    /// Share of sites that plan their part changes. Assumed.
    pub planners: f64,
    /// Share of sites that read every fourth round with the best measure they have. Assumed.
    pub checks: f64,
    /// Share of sites whose log before a given week says only "OK". Assumed.
    pub paper_sites: f64,
    /// Chance per machine and week of being swapped for another. Assumed.
    pub swap_chance: f64,
    /// Chance per machine and week of being paused for some weeks. Assumed.
    pub pause_chance: f64,
    /// Chance per line and week of carrying another product. Assumed.
    pub product_chance: f64,
}

impl Default for World {
    fn default() -> Self {
        Self {
            line_walk: 0.005,
            line_start: 0.015,
            wear_valve: 0.0008,
            wear_pump: 0.0022,
            wear_spread: 0.4,
            life_shape: 2.5,
            life_weeks: 45.0,
            worn_out_factor: 5.0,
            new_part_spread: 0.012,
            clog_chance: 0.012,
            clog_depth: (0.08, 0.30),
            clean_cures: 0.6,
            block_chance: 0.0008,
            clean_spread: 0.003,
            machine_walk: 0.003,
            machine_day: 0.008,
            drop_chance: 0.004,
            drop_depth: (0.06, 0.14),
            draw_spread: 0.006,
            thumb: 0.10,
            person_bias: 0.03,
            stop_spread: 0.15,
            reading_share: 0.204,
            at_mark: 0.03,
            mark_means: 0.06,
            density_spread: 0.002,
            container_weeks: 2.5,
            fiddlers: 0.3,
            fiddle_at: 0.025,
            wrong_way: 0.02,
            response_spread: 0.12,
            teach_spread: 0.010,
            missed_week: 0.05,
            unfinished: 0.05,
            typo: 0.0015,
            wrong_line: 0.0004,
            note: 0.03,
            caught_after_clean: 0.8,
            part_weeks: 26,
            planners: 0.5,
            checks: 0.5,
            paper_sites: 0.15,
            swap_chance: 0.0006,
            pause_chance: 0.0008,
            product_chance: 0.0008,
        }
    }
}
