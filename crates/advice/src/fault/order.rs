//! In which order to try acts, so that a line works again at the least expected cost.

/// What is known of how many faults there are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Faults {
    /// Exactly one. Chances are those given that it failed; they are taken as parts of their sum.
    One,
    /// Any number, each by itself, and the line works only when all are mended. Chances are those before it was seen to fail.
    Several,
}

/// An act that may be tried. It mends what it mends for sure, and whether the line works is seen after it.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// What it costs: minutes or money, but one of them throughout.
    pub cost: f64,
    /// The faults that it mends.
    pub mends: Vec<usize>,
    /// What must be opened for it, once for all acts that share it.
    pub access: Option<usize>,
}

/// Faults and the acts against them.
#[derive(Debug, Clone, PartialEq)]
pub struct Task {
    /// What is known of how many there are.
    pub faults: Faults,
    /// The chance of each.
    pub chances: Vec<f64>,
    /// The acts.
    pub steps: Vec<Step>,
    /// What each access costs to open.
    pub access: Vec<f64>,
}

/// An order of acts.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// The acts in their order; those that mend nothing that others before them do not are left out.
    pub order: Vec<usize>,
    /// What it costs on average until the line works, or all has been tried.
    pub cost: f64,
    /// Whether it is the least of all orders. Otherwise it follows an index, and may not be where acts share faults or access.
    pub exact: bool,
}

/// Most acts of which all orders are gone through (by way of the sets of acts already done, which are fewer).
const MOST_EXACT: usize = 12;

/// What has been done so far.
#[derive(Clone)]
struct Done {
    mended: Vec<bool>,
    opened: Vec<bool>,
}

impl Task {
    fn start(&self) -> Done {
        Done { mended: vec![false; self.chances.len()], opened: vec![false; self.access.len()] }
    }

    /// What the act costs now.
    fn cost(&self, done: &Done, step: &Step) -> f64 {
        let is_shut = |access: &usize| done.opened.get(*access) == Some(&false);
        step.cost + step.access.filter(is_shut).map_or(0.0, |access| self.access[access])
    }

    fn mends_more(done: &Done, step: &Step) -> bool {
        step.mends.iter().any(|fault| done.mended.get(*fault) == Some(&false))
    }

    fn after(done: &Done, step: &Step) -> Done {
        let mut done = done.clone();
        for fault in &step.mends {
            if let Some(mended) = done.mended.get_mut(*fault) {
                *mended = true;
            }
        }
        if let Some(opened) = step.access.and_then(|access| done.opened.get_mut(access)) {
            *opened = true;
        }
        done
    }

    /// The chance that the line still fails, given that it failed at first.
    fn still_fails(&self, done: &Done) -> f64 {
        let left = || self.chances.iter().zip(&done.mended).filter(|(_, m)| !**m).map(|(p, _)| *p);
        let (left, all) = match self.faults {
            Faults::One => (left().sum(), self.chances.iter().sum()),
            Faults::Several => {
                let any = |works: f64| 1.0 - works;
                (
                    any(left().map(|p| 1.0 - p).product()),
                    any(self.chances.iter().map(|p| 1.0 - p).product()),
                )
            }
        };
        if all > 0.0 { left / all } else { 0.0 }
    }

    /// What an order costs on average until the line works or the order ends. Acts that do not exist are passed over.
    #[must_use]
    pub fn expected_cost(&self, order: &[usize]) -> f64 {
        let mut done = self.start();
        let mut total = 0.0;
        for step in order.iter().filter_map(|place| self.steps.get(*place)) {
            total += self.cost(&done, step) * self.still_fails(&done);
            done = Self::after(&done, step);
        }
        total
    }

    /// The order of least expected cost: of all orders where there are at most twelve acts, else by an index that fits.
    ///
    /// With one fault the index is chance over cost (Kadane and Simon 1977); with several it is odds over cost, which follows
    /// by exchanging two neighbours; acts that share an access are taken as a block, by the best start of it (Ottosen and Jensen
    /// 2010). Where acts share faults the index is taken anew after each, which need not be best.
    #[must_use]
    pub fn best(&self) -> Plan {
        let exact = self.steps.len() <= MOST_EXACT;
        let order = if exact { self.least() } else { self.by_index() };
        Plan { cost: self.expected_cost(&order), order, exact }
    }

    /// The least of all orders, from the end: what a set of acts already done leaves to do does not depend on their order.
    fn least(&self) -> Vec<usize> {
        let sets = 1usize << self.steps.len();
        let mut cost = vec![0.0; sets];
        let mut first = vec![None; sets];
        for set in (0..sets).rev() {
            let within = |place: &usize| set >> place & 1 == 1;
            let done = (0..self.steps.len())
                .filter(within)
                .fold(self.start(), |done, place| Self::after(&done, &self.steps[place]));
            let fails = self.still_fails(&done);
            let best = (0..self.steps.len())
                .filter(|place| !within(place) && Self::mends_more(&done, &self.steps[*place]))
                .map(|place| {
                    let step = self.cost(&done, &self.steps[place]) * fails;
                    (step + cost[set | 1 << place], place)
                })
                .min_by(|a, b| a.0.total_cmp(&b.0));
            if let Some((least, place)) = best {
                (cost[set], first[set]) = (least, Some(place));
            }
        }
        let mut set = 0;
        core::iter::from_fn(|| {
            let place = first[set]?;
            set |= 1 << place;
            Some(place)
        })
        .collect()
    }

    /// By the index, taken anew after each act.
    fn by_index(&self) -> Vec<usize> {
        let mut done = self.start();
        let mut order = Vec::new();
        let mut left: Vec<usize> = (0..self.steps.len()).collect();
        loop {
            left.retain(|place| Self::mends_more(&done, &self.steps[*place]));
            let best = left
                .iter()
                .map(|place| (self.index(&done, &left, *place), *place))
                .max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)));
            let Some((_, place)) = best else { return order };
            done = Self::after(&done, &self.steps[place]);
            left.retain(|other| *other != place);
            order.push(place);
        }
    }

    /// The index of an act to come next: its own, or that of the best run of acts that it opens an access for.
    fn index(&self, done: &Done, left: &[usize], place: usize) -> f64 {
        let ratio = |done: &Done, place: usize, cost: f64| self.gain(done, place) / cost;
        let step = &self.steps[place];
        let (mut gain, mut cost) = (self.gain(done, place), self.cost(done, step));
        let mut best = gain / cost;
        let Some(access) = step.access.filter(|a| done.opened.get(*a) == Some(&false)) else {
            return best;
        };
        let mut now = Self::after(done, step);
        let mut block: Vec<usize> = left
            .iter()
            .copied()
            .filter(|p| *p != place && self.steps[*p].access == Some(access))
            .collect();
        while !block.is_empty() {
            let next = block
                .iter()
                .enumerate()
                .map(|(at, p)| (ratio(&now, *p, self.steps[*p].cost), at))
                .max_by(|a, b| a.0.total_cmp(&b.0));
            let Some((_, at)) = next else { break };
            let place = block.swap_remove(at);
            gain = match self.faults {
                Faults::One => gain + self.gain(&now, place),
                // Odds multiply: (1 + a) (1 + b) − 1.
                Faults::Several => (1.0 + gain) * (1.0 + self.gain(&now, place)) - 1.0,
            };
            cost += self.steps[place].cost;
            best = best.max(gain / cost);
            now = Self::after(&now, &self.steps[place]);
        }
        best
    }

    /// What an act gains: the chance of the faults that it mends, or their odds.
    fn gain(&self, done: &Done, place: usize) -> f64 {
        let mended = self.steps[place]
            .mends
            .iter()
            .enumerate()
            .filter(|(at, fault)| !self.steps[place].mends[..*at].contains(fault))
            .filter(|(_, fault)| done.mended.get(**fault) == Some(&false))
            .map(|(_, fault)| self.chances[*fault]);
        match self.faults {
            Faults::One => mended.sum(),
            Faults::Several => 1.0 / mended.map(|p| 1.0 - p).product::<f64>() - 1.0,
        }
    }
}
