//! Fault finding against published networks, recomputed tables and brute force.

mod catalogues;
mod known;
mod nets;
mod orders;
mod strengths;

fn near(got: f64, want: f64, within: f64) {
    assert!((got - want).abs() <= within, "{got} {want}");
}

/// Numbers that look random and are the same everywhere (Knuth's multiplier).
fn shuffled(count: usize, seed: u64) -> Vec<f64> {
    let mut state = seed;
    core::iter::repeat_with(|| {
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 11) as f64 / (1u64 << 53) as f64
    })
    .take(count)
    .collect()
}
