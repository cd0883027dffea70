//! Integrals over a line, by Gauss and Legendre's rule of ten points on equal panels.

/// Half of the symmetric abscissae, and their weights (from memory; the tests below would not let a slip pass).
const NODES: [(f64, f64); 5] = [
    (0.148_874_338_981_631_2, 0.295_524_224_714_752_9),
    (0.433_395_394_129_247_2, 0.269_266_719_309_996_3),
    (0.679_409_568_299_024_4, 0.219_086_362_515_982_04),
    (0.865_063_366_688_984_5, 0.149_451_349_150_580_6),
    (0.973_906_528_517_171_7, 0.066_671_344_308_688_14),
];

/// Abscissae and weights from `low` to `high` on `panels` equal panels; none where they are crossed.
///
/// A kink or a step inside a panel costs accuracy: integrate up to it and on from it instead.
pub(crate) fn points(low: f64, high: f64, panels: u32) -> impl Iterator<Item = (f64, f64)> {
    let panels = if high > low { panels } else { 0 };
    let half = 0.5 * (high - low) / f64::from(panels);
    (0..panels).flat_map(move |panel| {
        let centre = low + half * f64::from(2 * panel + 1);
        NODES.into_iter().flat_map(move |(x, weight)| {
            [(centre - half * x, half * weight), (centre + half * x, half * weight)]
        })
    })
}

/// Integral of `f` over [`points`].
pub(crate) fn integrate(low: f64, high: f64, panels: u32, f: impl Fn(f64) -> f64) -> f64 {
    points(low, high, panels).map(|(x, weight)| weight * f(x)).sum()
}

#[cfg(test)]
mod tests {
    use super::integrate;

    #[test]
    fn exact_for_polynomials_of_degree_19() {
        for degree in 0..20 {
            let got = integrate(-1.0, 2.0, 1, |x| x.powi(degree));
            let exact = (2f64.powi(degree + 1) - (-1f64).powi(degree + 1)) / f64::from(degree + 1);
            assert!((got - exact).abs() <= 1e-14 * exact.abs().max(1.0), "{degree}: {got} {exact}");
        }
        // Degree 20 is beyond the rule, so the test above says something.
        let got = integrate(-1.0, 2.0, 1, |x| x.powi(20));
        let exact = (2f64.powi(21) + 1.0) / 21.0;
        assert!((got - exact).abs() > 1e-12 * exact);
    }

    #[test]
    fn panels_add_up_and_crossed_ends_are_empty() {
        let got = integrate(0.0, 10.0, 50, libm::exp);
        assert!((got / (libm::exp(10.0) - 1.0) - 1.0).abs() < 1e-14);
        assert_eq!(integrate(1.0, 0.0, 5, |_| 1.0), 0.0);
    }
}
