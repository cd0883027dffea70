//! What cannot be computed, and why.

use ouncewise_measure::density::DensityError;

/// An answer that cannot be given.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum FlowError {
    /// The line is not known well enough: there is no least time, and it is not zero.
    #[error("no least time known: {what}: {mend}")]
    NotKnown {
        /// What is missing: `the bore of tube 2 is not given`.
        what: String,
        /// How to mend it.
        mend: &'static str,
    },
    /// Beyond what is covered, or no number.
    #[error("{what} of {value} {unit} is outside {from} to {to} {unit}: {mend}")]
    OutOfRange {
        /// What was given: `a bore`.
        what: &'static str,
        /// Its value.
        value: f64,
        /// Its unit.
        unit: &'static str,
        /// The smallest that is covered.
        from: f64,
        /// The largest that is covered.
        to: f64,
        /// How to mend it.
        mend: &'static str,
    },
    /// The flow would not be laminar, and the formula holds for laminar flow alone.
    #[error(
        "at a Reynolds number of {reynolds:.0} the flow is not laminar, and {what} holds below 2300 alone"
    )]
    NotLaminar {
        /// What was asked.
        what: &'static str,
        /// The Reynolds number that it would come to.
        reynolds: f64,
    },
    /// Dispersion by Taylor and Aris was asked where it does not hold.
    #[error(
        "dispersion by Taylor and Aris holds from a regime number of 0.3 on, and here it is {regime_number:.2e}"
    )]
    NotDispersed {
        /// π·D·L/Q.
        regime_number: f64,
    },
    /// A density that cannot be given.
    #[error(transparent)]
    Density(#[from] DensityError),
}

/// A closed range, with what to say outside it.
pub(crate) struct Span {
    pub(crate) what: &'static str,
    pub(crate) unit: &'static str,
    pub(crate) from: f64,
    pub(crate) to: f64,
    pub(crate) mend: &'static str,
}

impl Span {
    /// The value, if it lies in the range; NaN never does.
    pub(crate) fn check(&self, value: f64) -> Result<f64, FlowError> {
        if (self.from..=self.to).contains(&value) {
            return Ok(value);
        }
        let &Span { what, unit, from, to, mend } = self;
        Err(FlowError::OutOfRange { what, value, unit, from, to, mend })
    }
}
