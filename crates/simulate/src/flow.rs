//! What lines and machines really do. Levels are log(true portion / target).

use crate::chance::Chance;
use crate::world::World;

/// The part of a machine's state that all its lines share.
#[derive(Debug, Clone, Default)]
pub(crate) struct Shared {
    walk: f64,
    day: f64,
    /// Loss by a failing supply, and for how many weeks it has lasted.
    pub(crate) drop: f64,
    pub(crate) drop_age: u32,
}

impl Shared {
    /// Lets a week pass.
    pub(crate) fn pass_week(&mut self, world: &World, chance: &mut Chance) {
        self.walk += chance.normal(world.machine_walk);
        self.day = chance.normal(world.machine_day);
        let fails = chance.happens(world.drop_chance);
        let depth = chance.between(world.drop_depth.0, world.drop_depth.1);
        if self.drop > 0.0 {
            self.drop_age += 1;
        } else if fails {
            self.fail(depth);
        }
    }

    /// The supply loses `depth` for every line.
    pub(crate) fn fail(&mut self, depth: f64) {
        self.drop = depth;
        self.drop_age = 0;
    }

    /// Somebody mends the supply.
    pub(crate) fn mend(&mut self) {
        self.drop = 0.0;
        self.drop_age = 0;
    }

    /// What lasts beyond today.
    pub(crate) fn lasting(&self) -> f64 {
        self.walk - self.drop
    }

    /// What a catch meets today.
    pub(crate) fn today(&self) -> f64 {
        self.lasting() + self.day
    }
}

/// One line's own state.
#[derive(Debug, Clone)]
pub(crate) struct Flow {
    /// Where the adjuster stands.
    set: f64,
    walk: f64,
    /// Loss by wear since the part was new.
    wear: f64,
    wear_rate: f64,
    part_age: f64,
    part_life: f64,
    /// Loss by crust; 0 when clear.
    pub(crate) clog: f64,
    /// What a nominal change of one really does.
    response: f64,
    /// Direction of the last turn of a screw, for its slack.
    turned_up: bool,
    /// Level of the water, on ratio lines.
    pub(crate) water: f64,
}

impl Flow {
    /// A line as found at the start: set roughly right, with a part some way into its life.
    pub(crate) fn start(world: &World, wear_mean: f64, chance: &mut Chance) -> Self {
        let mut flow = Self {
            set: chance.normal(world.line_start),
            walk: 0.0,
            wear: 0.0,
            wear_rate: wear_mean * libm::exp(chance.normal(world.wear_spread)),
            part_age: 0.0,
            part_life: chance.weibull(world.life_shape, world.life_weeks),
            clog: 0.0,
            response: 1.0 + chance.normal(world.response_spread),
            turned_up: chance.happens(0.5),
            water: chance.normal(world.line_start),
        };
        // Wear so far has been adjusted away already.
        flow.part_age = chance.between(0.0, f64::from(world.part_weeks)).min(flow.part_life);
        flow
    }

    /// Lets a week pass.
    pub(crate) fn pass_week(&mut self, world: &World, chance: &mut Chance) {
        self.walk += chance.normal(world.line_walk);
        self.water += chance.normal(world.line_walk);
        self.part_age += 1.0;
        let worn_out = self.part_age > self.part_life;
        self.wear += self.wear_rate * if worn_out { world.worn_out_factor } else { 1.0 };
        let clogs = chance.happens(world.clog_chance);
        let blocks = chance.happens(world.block_chance);
        let depth = chance.between(world.clog_depth.0, world.clog_depth.1);
        if blocks {
            self.clog = Self::BLOCKED;
        } else if clogs {
            self.clog = self.clog.max(depth);
        }
    }

    /// Loss of a blocked line: about a quarter still flows.
    pub(crate) const BLOCKED: f64 = 1.4;

    /// The line's own lasting level.
    pub(crate) fn level(&self) -> f64 {
        self.set + self.walk - self.wear - self.clog
    }

    /// A clean disturbs the level a little, and often clears a clog.
    pub(crate) fn clean(&mut self, world: &World, chance: &mut Chance) {
        self.walk += chance.normal(world.clean_spread);
        let cured = chance.happens(world.clean_cures);
        if cured {
            self.clog = 0.0;
        }
    }

    /// A thorough strip-down clears any clog.
    pub(crate) fn strip(&mut self) {
        self.clog = 0.0;
    }

    /// The part's life ends now, and the wear of its last weeks shows at once.
    pub(crate) fn wear_out(&mut self) {
        self.part_life = self.part_age - 1.0;
        self.wear += 0.05;
    }

    /// Whether the part is past its life.
    pub(crate) fn worn_out(&self) -> bool {
        self.part_age > self.part_life
    }

    /// Weeks since the part was new.
    pub(crate) fn part_age(&self) -> f64 {
        self.part_age
    }

    /// A new part restores the flow; its own piece-to-piece spread stays.
    pub(crate) fn replace_part(&mut self, world: &World, chance: &mut Chance) {
        self.wear = 0.0;
        self.walk += chance.normal(world.new_part_spread);
        self.part_age = 0.0;
        self.part_life = chance.weibull(world.life_shape, world.life_weeks);
    }

    /// A nominal change of the setting, as a fraction, where the adjuster has slack worth
    /// `slack` (a fraction) when its direction changes.
    pub(crate) fn adjust(&mut self, change: f64, slack: f64) {
        let up = change > 0.0;
        let lost = if up == self.turned_up { 0.0 } else { slack.min(change.abs()) };
        let effective = (change.abs() - lost).copysign(change) * self.response;
        self.set += libm::log1p(effective.max(-0.95));
        self.turned_up = up;
    }

    /// Sets the adjuster so that the line's own level is `level`.
    pub(crate) fn set_to(&mut self, level: f64) {
        self.set += level - self.level();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn quiet() -> World {
        World {
            clog_chance: 0.0,
            block_chance: 0.0,
            wear_spread: 0.0,
            life_weeks: 1e9,
            ..World::default()
        }
    }

    // Random walk: after n weeks the variance is n q; the wear is n times its rate.
    #[test]
    fn a_line_walks_and_wears_as_configured() {
        let world = quiet();
        let mut chance = Chance::new(3, "walk");
        let (lines, weeks) = (4000, 40);
        let ends: Vec<f64> = (0..lines)
            .map(|_| {
                let mut flow = Flow::start(&world, 0.001, &mut chance);
                let begin = flow.level();
                (0..weeks).for_each(|_| flow.pass_week(&world, &mut chance));
                flow.level() - begin
            })
            .collect();
        let n = f64::from(lines);
        let mean = ends.iter().sum::<f64>() / n;
        let variance = ends.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / (n - 1.0);
        let expected = world.line_walk.powi(2) * f64::from(weeks);
        assert!((mean + 0.001 * f64::from(weeks)).abs() < 4.0 * (expected / n).sqrt(), "{mean}");
        // Standard error of a variance of normal values: σ² √(2/(n−1)).
        assert!((variance / expected - 1.0).abs() < 4.0 * (2.0 / (n - 1.0)).sqrt(), "{variance}");
    }

    #[test]
    fn slack_is_lost_only_when_the_direction_changes() {
        let mut flow = Flow::start(&quiet(), 0.0, &mut Chance::new(1, "slack"));
        flow.response = 1.0;
        flow.turned_up = true;
        let begin = flow.level();
        flow.adjust(0.05, 0.02);
        assert!((flow.level() - begin - 1.05_f64.ln()).abs() < 1e-12);
        let middle = flow.level();
        flow.adjust(-0.05, 0.02);
        assert!((flow.level() - middle - 0.97_f64.ln()).abs() < 1e-12);
    }

    #[test]
    fn a_new_part_takes_the_wear_away_and_a_strip_the_clog() {
        let world = World { new_part_spread: 0.0, line_walk: 0.0, ..quiet() };
        let mut chance = Chance::new(1, "part");
        let mut flow = Flow::start(&world, 0.01, &mut chance);
        let begin = flow.level();
        (0..10).for_each(|_| flow.pass_week(&world, &mut chance));
        flow.clog = Flow::BLOCKED;
        assert!(flow.level() < begin + 0.5_f64.ln());
        flow.strip();
        flow.replace_part(&world, &mut chance);
        assert!((flow.level() - begin).abs() < 1e-12);
    }
}
