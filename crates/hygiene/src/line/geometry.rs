//! Volume and length of a line, and the manner of the flow in it.

use core::f64::consts::PI;

use ouncewise_measure::Millilitres;

use super::{FlowError, Line, Metres, MetresPerSecond, Millimetres, MlPerSecond, Span};
use crate::fluid::Properties;

pub(super) const BORE: Span = Span {
    what: "a bore",
    unit: "mm",
    from: 0.5,
    to: 100.0,
    mend: "give the inner diameter in mm; 1/4 inch is 6.35 mm",
};
pub(super) const LENGTH: Span = Span {
    what: "a length",
    unit: "m",
    from: 0.01,
    to: 200.0,
    mend: "give it in m, from the inlet to the outlet",
};
pub(super) const HELD: Span = Span {
    what: "what a fitting holds",
    unit: "mL",
    from: 0.0,
    to: 10_000.0,
    mend: "give it in mL for one of them",
};
pub(super) const FLOW: Span = Span {
    what: "a flow",
    unit: "mL/s",
    from: 0.01,
    to: 10_000.0,
    mend: "catch for some seconds, and give the millilitres over the seconds",
};

/// A line whose every measure is known.
#[derive(Debug, Clone, PartialEq)]
pub struct Geometry {
    /// What its tubes hold, and the fittings that the flow goes through, as far as that is stated: at least this.
    pub volume: Millilitres,
    /// The length of its tubes.
    pub length: Metres,
    /// The narrowest bore.
    pub narrowest: Millimetres,
    /// The widest bore.
    pub widest: Millimetres,
    /// Whether there are fittings of which nobody said what they hold.
    pub fittings_not_known: bool,
    /// Whether there are fittings at all.
    pub fitted: bool,
    /// Whether something is fitted that the flow passes by.
    pub dead_ends: bool,
    /// Bore and length of each tube, in m.
    tubes: Vec<(f64, f64)>,
}

impl Geometry {
    pub(super) fn of(line: &Line) -> Result<Geometry, FlowError> {
        let missing = |what: String, mend| Err(FlowError::NotKnown { what, mend });
        if line.tubes.is_empty() {
            return missing(
                "the line has no tube".into(),
                "give the bore and the length of each tube",
            );
        }
        let mut tubes = Vec::with_capacity(line.tubes.len());
        for (tube, number) in line.tubes.iter().zip(1..) {
            let Some(bore) = tube.bore else {
                let mend = "measure the inner diameter, or read it off the tube";
                return missing(format!("the bore of tube {number} is not given"), mend);
            };
            let Some(length) = tube.length else {
                let mend = "measure it along the tube, from joint to joint";
                return missing(format!("the length of tube {number} is not given"), mend);
            };
            tubes.push((1e-3 * BORE.check(bore.0)?, LENGTH.check(length.0)?));
        }
        let mut volume = 1e6 * tubes.iter().map(|(bore, length)| area(*bore) * length).sum::<f64>();
        for fitting in &line.fittings {
            let holds = HELD.check(fitting.holds.map_or(0.0, |holds| holds.0))?;
            if !fitting.dead_end {
                volume += f64::from(fitting.count) * holds;
            }
        }
        let present = || line.fittings.iter().filter(|fitting| fitting.count > 0);
        let bores = || tubes.iter().map(|(bore, _)| 1e3 * bore);
        Ok(Geometry {
            volume: Millilitres(volume),
            length: Metres(tubes.iter().map(|(_, length)| length).sum()),
            narrowest: Millimetres(bores().fold(f64::INFINITY, f64::min)),
            widest: Millimetres(bores().fold(0.0, f64::max)),
            fittings_not_known: present().any(|fitting| fitting.holds.is_none()),
            fitted: present().next().is_some(),
            dead_ends: present().any(|fitting| fitting.dead_end),
            tubes,
        })
    }

    /// Bore and length of each tube, in m.
    pub(crate) fn tubes(&self) -> impl Iterator<Item = (f64, f64)> {
        self.tubes.iter().copied()
    }

    /// The bore that the line ends with.
    pub(crate) fn outlet_bore(&self) -> Millimetres {
        self.tubes.last().map_or(self.narrowest, |(bore, _)| Millimetres(1e3 * bore))
    }

    /// The time in which a flow passes the line's own volume once, in s.
    ///
    /// # Errors
    /// A flow that is out of range.
    pub fn seconds_per_volume(&self, flow: MlPerSecond) -> Result<f64, FlowError> {
        Ok(self.volume.0 / FLOW.check(flow.0)?)
    }

    /// The smallest and the largest Reynolds number among the tubes.
    ///
    /// # Errors
    /// A flow that is out of range.
    pub fn reynolds(&self, flow: MlPerSecond, fluid: &Properties) -> Result<(f64, f64), FlowError> {
        let flow = FLOW.check(flow.0)?;
        let of = |bore: Millimetres| reynolds(1e-6 * flow, 1e-3 * bore.0, fluid);
        Ok((of(self.widest), of(self.narrowest)))
    }

    /// The flow that has at least this Reynolds number in every tube. From 4000 on it is turbulent, below 2300 laminar:
    /// 11.5 and 20.0 mL/s for water of 20 °C in 6.35 mm (HY-102, PKG).
    #[must_use]
    pub fn flow_for_reynolds(&self, reynolds: f64, fluid: &Properties) -> MlPerSecond {
        MlPerSecond(1e6 * reynolds * PI * 1e-3 * self.widest.0 * fluid.kinematic() / 4.0)
    }

    /// The flow that has at least this speed in every tube. A handbook on cleaning in place asks for 1.5 m/s (HY-100,
    /// READ): 47.5 mL/s in 6.35 mm.
    #[must_use]
    pub fn flow_at(&self, speed: MetresPerSecond) -> MlPerSecond {
        MlPerSecond(1e6 * speed.0 * area(1e-3 * self.widest.0))
    }
}

/// The cross-section of a bore, both in m.
pub(crate) fn area(bore: f64) -> f64 {
    0.25 * PI * bore * bore
}

/// Reynolds number of a flow in m³/s through a bore in m.
pub(crate) fn reynolds(flow: f64, bore: f64, fluid: &Properties) -> f64 {
    4.0 * flow / (PI * bore * fluid.kinematic())
}
