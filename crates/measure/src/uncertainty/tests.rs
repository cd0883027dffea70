//! The worked examples of JCGM 100:2008 and of EURACHEM/CITAC QUAM, and what must hold of every budget.
//! Values "computed" were computed with GTC, `uncertainties` and scipy, which agree to the digits shown.

mod budgets;
mod jcgm_100;
mod numerics;
mod quam;
mod readings;

/// Whether `value` is `expected` within `tolerance`; says both if not.
#[track_caller]
fn close(value: f64, expected: f64, tolerance: f64) {
    assert!((value - expected).abs() <= tolerance, "{value} is not {expected} ± {tolerance}");
}
