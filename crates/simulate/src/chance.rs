//! Seeded chance: one independent stream per site, so that a site's story does
//! not depend on how many neighbours it has.

use rand::{Rng, RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::StandardNormal;

/// Source of all randomness of one site.
pub(crate) struct Chance(ChaCha8Rng);

impl Chance {
    /// The stream that belongs to `name` under `seed`.
    pub(crate) fn new(seed: u64, name: &str) -> Self {
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        rng.set_stream(fnv1a(name.as_bytes()));
        Self(rng)
    }

    /// Goes to a numbered place in the stream: what is drawn from there on does not depend on what
    /// was drawn before.
    pub(crate) fn go_to(&mut self, place: u64) {
        self.0.set_word_pos(u128::from(place) * 256);
    }

    /// Normal with mean zero.
    pub(crate) fn normal(&mut self, sd: f64) -> f64 {
        sd * self.0.sample::<f64, _>(StandardNormal)
    }

    /// Uniform in `[low, high)`.
    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.0.random::<f64>()
    }

    /// True with probability `p`.
    pub(crate) fn happens(&mut self, p: f64) -> bool {
        self.0.random::<f64>() < p
    }

    /// Weibull distributed life (inverse transform of the survival function).
    pub(crate) fn weibull(&mut self, shape: f64, scale: f64) -> f64 {
        let survival = 1.0 - self.0.random::<f64>();
        scale * libm::pow(-libm::log(survival), 1.0 / shape)
    }

    /// A whole number below `n`.
    pub(crate) fn below(&mut self, n: usize) -> usize {
        self.0.random_range(0..n.max(1))
    }

    /// One of `items`, which must not be empty.
    pub(crate) fn pick<'a, T>(&mut self, items: &'a [T]) -> &'a T {
        let index = self.below(items.len());
        &items[index]
    }

    /// Ten bytes for an identifier.
    pub(crate) fn ten_bytes(&mut self) -> [u8; 10] {
        let mut bytes = [0; 10];
        self.0.fill_bytes(&mut bytes);
        bytes
    }
}

/// FNV-1a, 64 bit (Fowler, Noll, Vo; from memory): spreads names over streams.
fn fnv1a(bytes: &[u8]) -> u64 {
    bytes.iter().fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    // Published test vectors of FNV-1a 64 (from memory): "" and "a".
    #[test]
    fn names_are_hashed_by_fnv1a() {
        assert_eq!(fnv1a(b""), 0xcbf2_9ce4_8422_2325);
        assert_eq!(fnv1a(b"a"), 0xaf63_dc4c_8601_ec8c);
    }

    #[test]
    fn the_same_name_and_seed_give_the_same_stream() {
        let draw = |seed, name| {
            let mut chance = Chance::new(seed, name);
            (0..8).map(|_| chance.normal(1.0)).collect::<Vec<_>>()
        };
        assert_eq!(draw(7, "fernhollow"), draw(7, "fernhollow"));
        assert_ne!(draw(7, "fernhollow"), draw(7, "mossgate"));
        assert_ne!(draw(7, "fernhollow"), draw(8, "fernhollow"));
    }

    #[test]
    fn a_place_in_a_stream_is_the_same_whatever_was_drawn_before() {
        let mut chance = Chance::new(7, "places");
        chance.go_to(12);
        let first = chance.normal(1.0);
        for _more in 0..50 {
            assert_ne!(chance.normal(1.0).to_bits(), first.to_bits());
        }
        chance.go_to(13);
        assert_ne!(chance.normal(1.0).to_bits(), first.to_bits());
        chance.go_to(12);
        assert_eq!(chance.normal(1.0).to_bits(), first.to_bits());
    }

    // Mean and variance of a Weibull: scale Γ(1+1/k), and shape 2 gives Γ(1.5) = √π/2.
    #[test]
    fn weibull_lives_have_the_mean_of_the_formula() {
        let mut chance = Chance::new(1, "lives");
        let n = 40_000;
        let mean = (0..n).map(|_| chance.weibull(2.0, 10.0)).sum::<f64>() / f64::from(n);
        let expected = 10.0 * std::f64::consts::PI.sqrt() / 2.0;
        let sd = 10.0 * (1.0 - std::f64::consts::PI / 4.0).sqrt();
        assert!((mean - expected).abs() < 4.0 * sd / f64::from(n).sqrt());
    }
}
