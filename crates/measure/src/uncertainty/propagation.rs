//! From the inputs of a model to its results: JCGM 100:2008, clause 5, and whether its first order is enough.

use crate::monte_carlo::numerical_tolerance;

/// Covariance matrix of inputs that do not go together.
pub fn uncorrelated<const N: usize>(uncertainties: &[f64; N]) -> [[f64; N]; N] {
    let mut covariance = [[0.0; N]; N];
    for (i, u) in uncertainties.iter().enumerate() {
        covariance[i][i] = u * u;
    }
    covariance
}

/// Covariance matrix of `M` results, first order, from their sensitivities to `N` inputs and the inputs' covariance
/// (5.2.2 (13), H.2.3 (H.9)). The standard uncertainty of result `k` is the root of entry `[k][k]`.
pub fn propagate<const N: usize, const M: usize>(
    sensitivities: &[[f64; N]; M],
    covariance: &[[f64; N]; N],
) -> [[f64; M]; M] {
    let mut results = [[0.0; M]; M];
    for (row, a) in results.iter_mut().zip(sensitivities) {
        for (entry, b) in row.iter_mut().zip(sensitivities) {
            for (i, from) in covariance.iter().enumerate() {
                for (j, c) in from.iter().enumerate() {
                    *entry += a[i] * c * b[j];
                }
            }
        }
    }
    results
}

/// How far a model is from a straight line over the width of its inputs' uncertainties. 5.1.2 note.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Linearity {
    /// Standard uncertainty by first-order terms alone.
    pub first_order: f64,
    /// Standard uncertainty with the second-order terms.
    pub second_order: f64,
    /// How far the mean of the result lies from the model's value at the inputs' means.
    pub shift: f64,
}

impl Linearity {
    /// Whether first order gives the ends of a 95 % interval to so many significant digits of the uncertainty: the test of
    /// JCGM 101, clause 8, with the second order in place of draws.
    ///
    /// At a stationary point first order sees no uncertainty at all (JCGM 101, 9.4): never enough.
    pub fn first_order_is_enough(&self, digits: u32) -> bool {
        if self.second_order == 0.0 {
            return true;
        }
        let off = self.shift.abs() + 2.0 * (self.second_order - self.first_order).abs();
        off <= numerical_tolerance(self.second_order, digits)
    }

    /// The linearity of a quotient of two uncorrelated values, from its value and their relative standard uncertainties.
    pub fn of_quotient(value: f64, over: f64, under: f64) -> Self {
        let (a, b) = (over * over, under * under);
        let first = a + b;
        // Terms of 5.1.2 note for x/y, each over (x/y)²: 8 b² from y alone, 3 a b from both.
        let second = first + 8.0 * b * b + 3.0 * a * b;
        let size = value.abs();
        Self {
            first_order: size * libm::sqrt(first),
            second_order: size * libm::sqrt(second),
            shift: value * b,
        }
    }

    /// The linearity of any model of uncorrelated inputs, by differences over a tenth of each input's standard uncertainty.
    pub fn of<const N: usize>(
        model: impl Fn(&[f64; N]) -> f64,
        at: &[f64; N],
        uncertainties: &[f64; N],
    ) -> Self {
        // In steps of h·u each derivative comes out as its term of the series; the steps are small enough for the series to
        // hold, and large enough not to drown in rounding.
        const H: f64 = 0.1;
        let moved = |steps: &[(usize, f64)]| {
            let mut inputs = *at;
            for &(i, step) in steps {
                inputs[i] += step * H * uncertainties[i];
            }
            model(&inputs)
        };
        let middle = moved(&[]);
        let mut first = 0.0;
        let mut second = 0.0;
        let mut shift = 0.0;
        for i in 0..N {
            let (up, down) = (moved(&[(i, 1.0)]), moved(&[(i, -1.0)]));
            let (up2, down2) = (moved(&[(i, 2.0)]), moved(&[(i, -2.0)]));
            let slope = (8.0 * (up - down) - (up2 - down2)) / (12.0 * H);
            let bend = (16.0 * (up + down) - (up2 + down2) - 30.0 * middle) / (12.0 * H * H);
            let twist = (up2 - down2 - 2.0 * (up - down)) / (2.0 * H * H * H);
            first += slope * slope;
            shift += 0.5 * bend;
            second += 0.5 * bend * bend + slope * twist;
            for j in (0..N).filter(|&j| j != i) {
                let corner = |a: f64, b: f64| moved(&[(i, a), (j, b)]);
                let (pp, pm, mp, mm) =
                    (corner(1.0, 1.0), corner(1.0, -1.0), corner(-1.0, 1.0), corner(-1.0, -1.0));
                let cross = (pp - pm - mp + mm) / (4.0 * H * H);
                // ∂³f / ∂xᵢ ∂xⱼ².
                let twist = (pp + pm - mp - mm - 2.0 * (up - down)) / (2.0 * H * H * H);
                second += 0.5 * cross * cross + slope * twist;
            }
        }
        Self {
            first_order: libm::sqrt(first),
            second_order: libm::sqrt((first + second).max(0.0)),
            shift,
        }
    }
}
