//! Machines and lines of a site as they go through the weeks.

use ouncewise_measure::Metering;

use crate::chance::Chance;
use crate::flow::{Flow, Shared};
use crate::plant::{LinePlan, MachinePlan};
use crate::world::World;

/// A machine with what goes on inside.
pub(crate) struct Machine {
    pub(crate) plan: MachinePlan,
    pub(crate) shared: Shared,
    /// Weeks that it stays out of use.
    pub(crate) paused: u32,
    pub(crate) lines: Vec<Line>,
    /// What a technician will mend before the next week: the supply, or one line.
    pub(crate) called: Vec<Repair>,
}

/// What a technician mends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Repair {
    Supply,
    Line(usize),
}

/// A line with what goes on inside.
pub(crate) struct Line {
    pub(crate) plan: LinePlan,
    pub(crate) flow: Flow,
    /// The panel's number or percent.
    pub(crate) setting: Option<f64>,
    /// Density of the present container over the stated one.
    pub(crate) container: f64,
    /// Weeks until the container is empty.
    pub(crate) container_left: f64,
    /// Rounds in a row that read well off target.
    pub(crate) off_rounds: u32,
}

impl Machine {
    pub(crate) fn new(mut plan: MachinePlan, world: &World, chance: &mut Chance) -> Self {
        let wear = Self::wear(plan.metering, world);
        let lines = std::mem::take(&mut plan.lines);
        let lines = lines.into_iter().map(|line| Line::new(line, wear, world, chance)).collect();
        let paused = if plan.open { 0 } else { u32::MAX };
        Self { plan, shared: Shared::default(), paused, lines, called: Vec::new() }
    }

    fn wear(metering: Metering, world: &World) -> f64 {
        match metering {
            Metering::Dose => world.wear_pump,
            Metering::Rate | Metering::Ratio => world.wear_valve,
        }
    }

    /// Another machine comes into this position: everything starts anew.
    pub(crate) fn swap(&mut self, world: &World, chance: &mut Chance) {
        self.shared = Shared::default();
        self.called.clear();
        let wear = Self::wear(self.plan.metering, world);
        for line in &mut self.lines {
            line.flow = Flow::start(world, wear, chance);
            line.off_rounds = 0;
        }
    }

    /// The technician comes, and a week passes.
    pub(crate) fn pass_week(&mut self, world: &World, chance: &mut Chance) {
        for repair in std::mem::take(&mut self.called) {
            match repair {
                Repair::Supply => self.shared.mend(),
                Repair::Line(index) => {
                    let line = &mut self.lines[index];
                    line.flow.strip();
                    line.flow.set_to(chance.normal(world.teach_spread));
                    line.off_rounds = 0;
                }
            }
        }
        self.shared.pass_week(world, chance);
        for line in &mut self.lines {
            line.flow.pass_week(world, chance);
            line.container_left -= 1.0;
        }
    }
}

impl Line {
    fn new(plan: LinePlan, wear: f64, world: &World, chance: &mut Chance) -> Self {
        Self {
            setting: plan.setting,
            flow: Flow::start(world, wear, chance),
            container: 1.0 + chance.normal(world.density_spread),
            container_left: chance.between(0.0, 2.0 * world.container_weeks),
            off_rounds: 0,
            plan,
        }
    }

    /// Another container of the same product is put on.
    pub(crate) fn new_container(&mut self, world: &World, chance: &mut Chance) {
        self.container = 1.0 + chance.normal(world.density_spread);
        self.container_left = world.container_weeks * chance.between(0.6, 1.4);
    }

    /// The line carries another product, of stated density `density`: it is set anew, roughly.
    pub(crate) fn change_product(
        &mut self,
        product: &str,
        density: f64,
        world: &World,
        chance: &mut Chance,
    ) {
        product.clone_into(&mut self.plan.product);
        self.plan.density = density;
        self.flow.strip();
        self.flow.set_to(chance.normal(2.0 * world.line_start));
        self.new_container(world, chance);
    }
}
