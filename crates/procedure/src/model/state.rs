//! The state of a machine: small, copied whole, compared whole.

use std::hash::Hasher;

use rustc_hash::FxHasher;

use crate::family::{Family, Isolation};
use crate::phrase::Supply;
use crate::procedure::Kind;

/// A set of parts, by their place in the family.
pub(crate) type Mask = u16;

/// What holds of the parts of a line, or of those that all lines share.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) struct Parts {
    pub(crate) off: Mask,
    /// Facts since a part came off; they end when it is refitted.
    pub(crate) seen: Mask,
    pub(crate) worn: Mask,
    pub(crate) washed: Mask,
    pub(crate) greased: Mask,
    pub(crate) spare: Mask,
    /// What the procedure owes of a part was done: renewed, or of a clean, looked at and refitted. Kept only where it is owed.
    pub(crate) done: Mask,
}

/// What a solution left that was not cleared.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Trace {
    None,
    Detergent,
    Sanitiser,
}

/// What is known of the portion.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Portion {
    /// As at the last round, and nothing changed since.
    Standing,
    /// Something could have changed it.
    Lost,
    On,
    Off,
    Undecided,
}

/// What a strip showed at the outlet of what fills the line now.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Outlet {
    Unread,
    Right,
    Wrong,
}

/// No stage: the line has come to its end.
pub(crate) const END: u8 = u8::MAX;

/// One line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Line {
    /// Which stage it is in, or waits for; [`END`] when it is through.
    pub(crate) stage: u8,
    /// Its next step within the stage.
    pub(crate) step: u8,
    /// How often each of four steps led back: four bits each.
    pub(crate) loops: u16,
    /// What fills it. [`Supply::None`] is air.
    pub(crate) holds: Supply,
    pub(crate) feed: Supply,
    pub(crate) trace: Trace,
    pub(crate) portion: Portion,
    pub(crate) outlet: Outlet,
    pub(crate) withheld: bool,
    pub(crate) tagged: bool,
    /// Given back to service in this procedure.
    pub(crate) released: bool,
    pub(crate) pressure: bool,
    pub(crate) open: bool,
    /// Air may be in it.
    pub(crate) air: bool,
    /// Detergent ran since product did.
    pub(crate) washed: bool,
    /// The contact time was reached, and nothing opened since.
    pub(crate) sanitised: bool,
    /// Put together, while tagged, in a way that may not serve.
    pub(crate) unfit: bool,
    /// A step was left out here, where a proposal is tried.
    pub(crate) left_out: bool,
    pub(crate) parts: Parts,
}

/// Who soiled a thing that lines share: nobody, a line (from 1), or several.
pub(crate) type Soil = u8;
pub(crate) const SEVERAL: Soil = u8::MAX;

/// Sanitiser in its bucket.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Mixed {
    None,
    Untested,
    Right,
    Wrong,
}

/// What the machine has once.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Shared {
    pub(crate) stage: u8,
    /// The next step of a stage over the machine.
    pub(crate) step: u8,
    pub(crate) loops: u16,
    /// It was sent to the stage that it is in.
    pub(crate) sent: bool,
    pub(crate) power: bool,
    pub(crate) open: bool,
    pub(crate) sanitiser: Mixed,
    pub(crate) detergent: bool,
    /// A step over the machine was left out, where a proposal is tried.
    pub(crate) left_out: bool,
    pub(crate) brush: Soil,
    pub(crate) basin: Soil,
    pub(crate) nozzle: Soil,
    pub(crate) parts: Parts,
}

impl Shared {
    /// All of it in three words.
    fn packed(&self) -> [u64; 3] {
        let flags = [self.sent, self.power, self.open, self.detergent, self.left_out];
        let flags = flags.iter().fold(0u64, |word, flag| word << 1 | u64::from(*flag));
        let place =
            u64::from(self.stage) << 24 | u64::from(self.step) << 16 | u64::from(self.loops);
        let soils = [self.brush, self.basin, self.nozzle];
        let soils =
            soils.iter().fold(self.sanitiser as u64, |word, soil| word << 8 | u64::from(*soil));
        let [one, two] = self.parts.packed();
        [place << 32 | flags << 26 | soils & 0x03FF_FFFF, one, two]
    }
}

/// A machine of so many lines.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct State<const N: usize> {
    pub(crate) shared: Shared,
    pub(crate) lines: [Line; N],
}

impl Parts {
    /// Puts parts back: what was a fact while they were off ends.
    pub(crate) fn fit(&mut self, mask: Mask) {
        for facts in [
            &mut self.off,
            &mut self.seen,
            &mut self.worn,
            &mut self.washed,
            &mut self.greased,
            &mut self.spare,
        ] {
            *facts &= !mask;
        }
    }

    /// Those of a set that a phrase with `all` is about: what is in is removed, all else is done with what is off.
    pub(crate) fn meant(&self, remove: bool, mask: Mask, all: bool) -> Mask {
        match (all, remove) {
            (false, _) => mask,
            (true, true) => mask & !self.off,
            (true, false) => mask & self.off,
        }
    }
}

impl Parts {
    /// All of it in two words.
    fn packed(&self) -> [u64; 2] {
        let word =
            |masks: [Mask; 4]| masks.iter().fold(0, |word, mask| word << 16 | u64::from(*mask));
        [
            word([self.off, self.seen, self.worn, self.washed]),
            word([self.greased, self.spare, self.done, 0]),
        ]
    }
}

impl Line {
    /// All of it in three words.
    fn packed(&self) -> [u64; 3] {
        let flags = [
            self.withheld,
            self.tagged,
            self.released,
            self.pressure,
            self.open,
            self.air,
            self.washed,
            self.sanitised,
            self.unfit,
            self.left_out,
        ];
        let flags = flags.iter().fold(0u64, |word, flag| word << 1 | u64::from(*flag));
        let kinds = [
            self.outlet as u64,
            self.holds as u64,
            self.feed as u64,
            self.trace as u64,
            self.portion as u64,
        ];
        let kinds = kinds.iter().fold(0, |word, kind| word << 3 | kind);
        let place =
            u64::from(self.stage) << 24 | u64::from(self.step) << 16 | u64::from(self.loops);
        let [one, two] = self.parts.packed();
        [place << 32 | kinds << 12 | flags, one, two]
    }

    /// How a procedure of this kind finds a line.
    fn found(kind: Kind, family: &Family) -> Self {
        let new = kind == Kind::StartUp;
        let filled = if new { Supply::None } else { Supply::Product };
        Self {
            stage: 0,
            step: 0,
            loops: 0,
            holds: filled,
            feed: filled,
            trace: Trace::None,
            outlet: Outlet::Unread,
            portion: match kind {
                Kind::Calibrate | Kind::StartUp | Kind::Change => Portion::Lost,
                Kind::Clean | Kind::Renew | Kind::TakeOut => Portion::Standing,
            },
            withheld: new,
            tagged: new,
            released: false,
            pressure: family.pressure && !new,
            open: false,
            air: new,
            washed: false,
            sanitised: matches!(kind, Kind::Calibrate | Kind::Renew | Kind::TakeOut),
            unfit: false,
            left_out: false,
            parts: Parts::default(),
        }
    }

    /// The product that it may serve.
    pub(crate) fn own(&self, kind: Kind) -> Supply {
        if kind == Kind::Change && self.released { Supply::NewProduct } else { Supply::Product }
    }
}

impl<const N: usize> State<N> {
    /// All of it in one number, for a table of states.
    pub(crate) fn packed(&self) -> u64 {
        let mut hasher = FxHasher::default();
        for word in self.shared.packed() {
            hasher.write_u64(word);
        }
        for word in self.lines.iter().flat_map(Line::packed) {
            hasher.write_u64(word);
        }
        hasher.finish()
    }

    /// How a procedure of this kind finds the machine.
    pub(crate) fn found(kind: Kind, family: &Family) -> Self {
        let new = kind == Kind::StartUp;
        let powered = family.isolation != Isolation::None;
        let cut = new && matches!(family.isolation, Isolation::Plug | Isolation::Switch);
        Self {
            shared: Shared {
                stage: 0,
                step: 0,
                loops: 0,
                sent: false,
                power: powered && !cut,
                open: false,
                sanitiser: Mixed::None,
                detergent: false,
                left_out: false,
                brush: 0,
                basin: 0,
                nozzle: if new { 0 } else { SEVERAL },
                parts: Parts::default(),
            },
            lines: [Line::found(kind, family); N],
        }
    }

    /// Whether the hands may be in something: a part off or a cover open, anywhere.
    pub(crate) fn opened(&self) -> bool {
        self.shared.open
            || self.shared.parts.off != 0
            || self.lines.iter().any(|line| line.open || line.parts.off != 0)
    }
}
