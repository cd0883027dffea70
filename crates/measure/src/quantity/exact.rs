//! Exact rational numbers, just wide enough for any quantity that can be written.

use rust_decimal::Decimal;

/// An exact rational number in lowest terms; the denominator is positive.
///
/// Every [`Quantity`](super::Quantity) fits: a decimal of 96 bits over at most
/// 10^28, times a unit factor of at most 29 bits over at most 27 bits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Exact {
    numerator: i128,
    denominator: i128,
}

impl Exact {
    /// `numerator / denominator` in lowest terms, or `None` for a denominator that is not positive.
    #[must_use]
    pub fn new(numerator: i128, denominator: i128) -> Option<Exact> {
        if denominator <= 0 || numerator == i128::MIN {
            return None;
        }
        let divisor = common_divisor(numerator.unsigned_abs(), denominator.unsigned_abs());
        let divisor = i128::try_from(divisor).expect("it divides a positive i128");
        Some(Exact { numerator: numerator / divisor, denominator: denominator / divisor })
    }

    /// The numerator, in lowest terms; carries the sign.
    #[must_use]
    pub fn numerator(self) -> i128 {
        self.numerator
    }

    /// The denominator, in lowest terms; positive.
    #[must_use]
    pub fn denominator(self) -> i128 {
        self.denominator
    }

    /// `(number − offset) · numerator / denominator`, or `None` where the factor does not fit (no unit's factor does that).
    pub(super) fn scaled(
        number: Decimal,
        (offset, numerator, denominator): (i128, i128, i128),
    ) -> Option<Exact> {
        let one = 10_i128.checked_pow(number.scale())?;
        let shifted = number.mantissa().checked_sub(offset.checked_mul(one)?)?;
        Exact::new(shifted.checked_mul(numerator)?, one.checked_mul(denominator)?)
    }

    /// The nearest `f64`, ties to even: one rounding, from the exact value.
    #[must_use]
    pub fn to_f64(self) -> f64 {
        let denominator = self.denominator.unsigned_abs();
        // Nearly all that people write: two whole numbers that an `f64` holds, whose division rounds once.
        const WHOLE: u128 = 1 << f64::MANTISSA_DIGITS;
        if self.numerator.unsigned_abs() <= WHOLE && denominator <= WHOLE {
            #[expect(clippy::cast_precision_loss, reason = "both are within what an `f64` holds")]
            return self.numerator as f64 / denominator as f64;
        }
        let mut quotient = self.numerator.unsigned_abs() / denominator;
        let mut rest = self.numerator.unsigned_abs() % denominator;
        if quotient == 0 && rest == 0 {
            return 0.0;
        }
        // Long division, a bit at a time, until the quotient holds at least two bits more than a
        // significand. `rest < 2^127`, so doubling it fits.
        let mut halvings = 0;
        while quotient < 1 << 55 {
            rest <<= 1;
            quotient <<= 1;
            if rest >= denominator {
                rest -= denominator;
                quotient |= 1;
            }
            halvings += 1;
        }
        // What is left over only matters as "a bit more", so it is folded into the last bit;
        // the conversion then rounds once, and scaling by a power of two is exact.
        if rest != 0 {
            quotient |= 1;
        }
        #[expect(
            clippy::cast_precision_loss,
            reason = "the one intended rounding, to nearest, ties to even"
        )]
        let magnitude = libm::scalbn(quotient as f64, -halvings);
        if self.numerator < 0 { -magnitude } else { magnitude }
    }
}

/// Greatest common divisor by Euclid; of zero and n it is n.
fn common_divisor(mut a: u128, mut b: u128) -> u128 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rounds_once_to_nearest_even() {
        let half_way = (1_i128 << 53) + 1;
        for (numerator, denominator, expected) in [
            (1, 3, 1.0 / 3.0),
            (-1, 10, -0.1),
            (0, 7, 0.0),
            (half_way, 1, 9_007_199_254_740_992.0),
            (half_way + 2, 1, 9_007_199_254_740_996.0),
            (half_way * 3 + 1, 3, 9_007_199_254_740_994.0),
            (473_176_473, 16_000_000, 29.573_529_562_5),
        ] {
            let exact = Exact::new(numerator, denominator).unwrap();
            assert_eq!(
                exact.to_f64().to_bits(),
                f64::to_bits(expected),
                "{numerator}/{denominator}"
            );
        }
    }

    #[test]
    fn a_denominator_must_be_positive() {
        assert_eq!(Exact::new(1, 0), None);
        assert_eq!(Exact::new(1, -2), None);
        assert_eq!(Exact::new(-2, 4), Exact::new(-1, 2));
    }
}
