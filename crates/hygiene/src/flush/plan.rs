//! By which ways a line comes down to a wanted share, how long each takes and how much solution, in words for a crew.

use ouncewise_measure::{Celsius, Millilitres, Seconds};

use super::pause::{self, LONGEST_USEFUL_PAUSE, pause_number};
use super::words::{of_the_solution, percent, time, times, volumes as in_volumes};
use super::{Flush, Manner, Place, SMALLEST_RESIDUE, Spreads};
use crate::drain::{Drain, Drained, cycles_for, left_after};
use crate::fluid::Fluid;
use crate::line::{FlowError, MlPerSecond, Span, TURBULENT_FROM};
use crate::strength::MgPerLitre;

/// The most chlorine that drinking water may hold (HY-32, READ-2): the default of a purge.
pub const DRINKING_WATER: MgPerLitre = MgPerLitre(4.0);

const RESIDUE: Span = Span {
    what: "a share of old liquid",
    unit: "(as a fraction)",
    from: SMALLEST_RESIDUE,
    to: 0.99,
    mend: "give it as a fraction, such as 0.01 for 1 %; smaller shares are not computed",
};

/// A share of old liquid that is wanted, and where.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Want {
    place: Place,
    residue: f64,
}

impl Want {
    /// No more than this share in what comes out: 0.01 is 1 %.
    ///
    /// # Errors
    /// A share outside 0.00001 to 0.99.
    pub fn outlet(residue: f64) -> Result<Want, FlowError> {
        Ok(Want { place: Place::Outlet, residue: RESIDUE.check(residue)? })
    }

    /// No more than this share left in the line.
    ///
    /// # Errors
    /// As [`Want::outlet`].
    pub fn line(residue: f64) -> Result<Want, FlowError> {
        Ok(Want { place: Place::Line, residue: RESIDUE.check(residue)? })
    }

    /// A sanitiser purged until what comes out is no stronger than a figure: 100 mg/L to 4 mg/L takes 2.5 volumes in the
    /// convective limit (HY-128, CALC). How fast its actives spread is not known: ask with [`Spreads::UpTo`].
    ///
    /// # Errors
    /// Strengths whose ratio is outside that of [`Want::outlet`].
    pub fn purged(from: MgPerLitre, to: MgPerLitre) -> Result<Want, FlowError> {
        Want::outlet(to.0 / from.0)
    }

    /// No more sugar left in the line than this, in g/L. A test of sanitisers allows 10 g/L to interfere (HY-130, CALC):
    /// 1.17 % of 65 °Bx.
    ///
    /// # Errors
    /// A product whose sugar is not known, or of which that is more than 99 % or less than 0.001 %.
    pub fn sugar_left(
        grams_per_litre: f64,
        product: Fluid,
        temperature: Celsius,
    ) -> Result<Want, FlowError> {
        match product.sugar(temperature)? {
            Some(sugar) if sugar > 0.0 => Want::line(grams_per_litre / sugar),
            _ => Err(FlowError::NotKnown {
                what: "nobody said how much sugar is in the product".into(),
                mend: "give its strength in °Bx",
            }),
        }
    }

    /// Where.
    #[must_use]
    pub fn place(self) -> Place {
        self.place
    }

    /// The share.
    #[must_use]
    pub fn residue(self) -> f64 {
        self.residue
    }
}

/// One way to flush.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Way {
    /// Run without a stop.
    Run,
    /// Run half, wait, run the other half.
    RunPauseRun {
        /// The pause.
        pause: Seconds,
    },
    /// Let air in at the top, let the line run out, fill it again, and so on.
    DrainAndRefill {
        /// How often.
        cycles: u32,
    },
}

/// What the crew may do.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Allowed {
    /// The longest pause that there is time for, such as a contact time.
    pub pause: Option<Seconds>,
    /// How the line drains, if it does.
    pub drain: Drain,
}

/// A way, and what it takes.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// The way.
    pub way: Way,
    /// Line volumes that pass, or are filled in.
    pub volumes: f64,
    /// How long it takes, pauses and drains included.
    pub takes: Seconds,
    /// What flushes.
    pub solution: Millilitres,
    /// The share that is left then.
    pub residue: f64,
    /// What this rests on, in words.
    pub assumptions: Vec<String>,
    /// The way in words, with its time.
    pub words: String,
}

/// All the ways that a line allows.
#[derive(Debug, Clone, PartialEq)]
pub struct Advice {
    /// Running first, then the others.
    pub plans: Vec<Plan>,
    /// Ways that are not offered, and why.
    pub not_offered: Vec<String>,
    /// The flow from which on it swirls in every tube and little more than one volume does; nothing if it does already.
    pub swirls_from: Option<MlPerSecond>,
    /// One line for a crew: `run 95 s; or drain and refill twice: 40 s and half the solution`.
    pub words: String,
}

/// A point of a chart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moment {
    /// Since the start.
    pub at: Seconds,
    /// The share of old liquid left in the line.
    pub residue: f64,
}

impl Flush {
    /// The ways that this line allows to come down to a wanted share.
    ///
    /// # Errors
    /// A time of a drain that no drain takes.
    pub fn advise(&self, want: Want, allowed: &Allowed) -> Result<Advice, FlowError> {
        let run = self.run(want);
        let mut not_offered = Vec::new();
        let mut words = run.words.clone();
        let mut others = Vec::new();
        match allowed.pause.map(|pause| self.with_pause(want, pause)) {
            Some(Ok(plan)) => others.push(plan),
            Some(Err(why)) => not_offered.push(format!("no pause: {why}")),
            None => {}
        }
        match &self.why_not_drained {
            None => others.push(self.drained(want, &allowed.drain)?),
            Some(why) => not_offered.push(format!("not drained: {why}")),
        }
        for plan in &others {
            let ratio = of_the_solution(plan.solution.0 / run.solution.0);
            words += &format!("; or {} and {ratio}", plan.words);
        }
        let swirls_from = (!matches!(self.manner(), Manner::Turbulent { .. })).then(|| {
            let flow = |of| self.geometry.flow_for_reynolds(TURBULENT_FROM, of).0;
            MlPerSecond(flow(&self.wash).max(flow(&self.old)))
        });
        let plans = core::iter::once(run).chain(others).collect();
        Ok(Advice { plans, not_offered, swirls_from, words })
    }

    fn run(&self, want: Want) -> Plan {
        let volumes = self.volumes_for(want);
        let takes = self.seconds(volumes);
        Plan {
            way: Way::Run,
            volumes,
            takes,
            solution: self.solution(volumes),
            residue: want.residue,
            assumptions: self.assumptions(),
            words: format!("run {}", time(takes)),
        }
    }

    fn solution(&self, volumes: f64) -> Millilitres {
        Millilitres(volumes * self.geometry.volume.0)
    }

    /// Half, a pause, half.
    fn with_pause(&self, want: Want, pause: Seconds) -> Result<Plan, &'static str> {
        let Spreads::At(diffusivity) = self.spreads else {
            return Err("how fast the old content spreads is not known");
        };
        if want.place == Place::Outlet {
            return Err("what it does is computed for what is left in the line alone");
        }
        if matches!(self.manner(), Manner::Turbulent { .. } | Manner::Between) {
            return Err("the flow mixes by itself");
        }
        let useful =
            LONGEST_USEFUL_PAUSE / pause_number(Seconds(1.0), self.geometry.widest, diffusivity);
        let pause = Seconds(pause.0.min(useful));
        let number = pause_number(pause, self.geometry.widest, diffusivity);
        let volumes = pause::volumes(self.regime_number(), number, want.residue).ok_or(
            "it is computed from 30 % to 0.1 % left, and for regime numbers from 1e-5 to 0.1",
        )?;
        let half = self.seconds(0.5 * volumes);
        let takes = Seconds(2.0 * half.0 + pause.0);
        let mut assumptions = self.assumptions();
        assumptions.push("nothing moves in the pause".into());
        let (half, pause_words) = (time(half), time(pause));
        Ok(Plan {
            way: Way::RunPauseRun { pause },
            volumes,
            takes,
            solution: self.solution(volumes),
            residue: want.residue,
            assumptions,
            words: format!("run {half}, wait {pause_words}, run {half}: {}", time(takes)),
        })
    }

    /// The first drain is of the old liquid, the others of what it was filled with.
    fn drains(&self, drain: &Drain) -> Result<(Drained, Drained), FlowError> {
        Ok((drain.of(&self.geometry, &self.old)?, drain.of(&self.geometry, &self.wash)?))
    }

    fn drained(&self, want: Want, drain: &Drain) -> Result<Plan, FlowError> {
        let (first, others) = self.drains(drain)?;
        let cycles = cycles_for(first.film, others.film, want.residue);
        let refill = self.seconds(1.0).0;
        let takes =
            first.takes.0 + f64::from(cycles - 1) * others.takes.0 + f64::from(cycles) * refill;
        let mut assumptions = vec![
            "each refill picks up the film and mixes it".to_owned(),
            "the line falls all the way, and no dip keeps liquid: at best".to_owned(),
        ];
        if drain.takes.is_none() {
            assumptions.push(
                "air follows at 0.1 m/s, which nobody timed; what drains faster leaves more".into(),
            );
        }
        if self.old.tension_assumed {
            assumptions.push("the surface tension of the product is assumed".into());
        }
        assumptions.extend(self.fitting_notes());
        Ok(Plan {
            way: Way::DrainAndRefill { cycles },
            volumes: f64::from(cycles),
            takes: Seconds(takes),
            solution: self.solution(f64::from(cycles)),
            residue: left_after(first.film, others.film, cycles),
            assumptions,
            words: format!("drain and refill {}: {}", times(cycles), time(Seconds(takes))),
        })
    }

    /// What is assumed of a flush that runs, in words.
    #[must_use]
    pub fn assumptions(&self) -> Vec<String> {
        let mut notes = vec![match self.manner() {
            Manner::Turbulent { .. } => "turbulent in every tube: at best".to_owned(),
            Manner::Between => {
                "straight tube, equal viscosity: at best; between laminar and turbulent, counted as laminar".to_owned()
            }
            _ => "straight tube, equal viscosity: at best".to_owned(),
        }];
        let thicker = self.old.viscosity.0 / self.wash.viscosity.0;
        if thicker > 1.5 {
            notes.push(format!(
                "what is in the line is {thicker:.0} times as thick as what flushes it, which runs through its middle and leaves more"
            ));
        }
        match self.spreads {
            Spreads::At(d) if d.0 > 0.0 && !matches!(self.manner(), Manner::Turbulent { .. }) => {
                notes.push(format!("the old content spreads at {:.1e} m²/s", d.0));
            }
            Spreads::UpTo(d) => {
                notes.push(format!(
                    "the old content spreads at whatever is worst up to {:.1e} m²/s",
                    d.0
                ));
            }
            Spreads::At(_) => {}
        }
        let (narrow, wide) = (self.geometry.narrowest.0, self.geometry.widest.0);
        if narrow < wide {
            notes.push(
                "tubes of different bores count as one of their volume and length, at its slowest"
                    .into(),
            );
        }
        notes.extend(self.fitting_notes());
        notes
    }

    fn fitting_notes(&self) -> Vec<String> {
        let mut notes = Vec::new();
        if self.geometry.fitted {
            notes.push("valve bodies and joints are slower than tube".to_owned());
        }
        if self.geometry.fittings_not_known {
            notes.push(
                "nobody said what some fittings hold: the line's volume is more than is counted"
                    .into(),
            );
        }
        if self.geometry.dead_ends {
            notes.push("a dead end is not flushed: take it apart".into());
        }
        notes
    }

    /// How the share in the line falls with time by one way, as points from its start to its end; running goes on until
    /// `until`.
    ///
    /// Between the pause and the end of the second half the course is drawn, not computed; its ends are computed.
    ///
    /// # Errors
    /// A time of a drain that no drain takes.
    pub fn course(
        &self,
        plan: &Plan,
        drain: &Drain,
        until: Seconds,
        points: usize,
    ) -> Result<Vec<Moment>, FlowError> {
        let per_volume = self.seconds(1.0).0;
        let points = points.max(2);
        let part = |at: usize| at as f64 / (points - 1) as f64;
        let running = |seconds: f64| self.residue(Place::Line, seconds / per_volume);
        let moment = |at: f64, residue: f64| Moment { at: Seconds(at), residue };
        Ok(match plan.way {
            Way::Run => {
                let at = |point| part(point) * until.0.max(0.0);
                (0..points).map(|point| moment(at(point), running(at(point)))).collect()
            }
            Way::RunPauseRun { pause } => {
                let half = 0.5 * plan.volumes * per_volume;
                let gain = libm::log(plan.residue / running(2.0 * half));
                let first = (0..points)
                    .map(|point| moment(part(point) * half, running(part(point) * half)));
                let second = (0..points).map(|point| {
                    let more = part(point);
                    let residue = running((1.0 + more) * half) * libm::exp(more * gain);
                    moment((1.0 + more) * half + pause.0, residue)
                });
                first.chain(second).collect()
            }
            Way::DrainAndRefill { cycles } => {
                let (first, others) = self.drains(drain)?;
                let mut at = 0.0;
                let mut course = vec![moment(at, 1.0)];
                for cycle in 1..=cycles {
                    let left = left_after(first.film, others.film, cycle);
                    at += if cycle == 1 { first.takes.0 } else { others.takes.0 };
                    course.push(moment(at, left));
                    at += per_volume;
                    course.push(moment(at, left));
                }
                course
            }
        })
    }

    /// What is said of a wish: `1 % left in the line takes 5 volumes`.
    #[must_use]
    pub fn said(&self, want: Want) -> String {
        let place = match want.place {
            Place::Outlet => "in what comes out",
            Place::Line => "left in the line",
        };
        format!("{} {place} takes {}", percent(want.residue), in_volumes(self.volumes_for(want)))
    }
}
