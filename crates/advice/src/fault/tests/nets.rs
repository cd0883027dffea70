//! Posteriors: networks that others published, and noisy-ORs held against the sum over everything.

use super::super::*;
use super::{near, shuffled};

/// A network of things that are so or not: for each its parents, which stand before it, and the chance that it is so for each of
/// their states, the first parent being the lowest bit.
struct Net(Vec<(Vec<usize>, Vec<f64>)>);

impl Net {
    /// Sum of the probabilities of all states that a condition holds for.
    fn chance(&self, holds: impl Fn(&dyn Fn(usize) -> bool) -> bool) -> f64 {
        let states = 0u32..1 << self.0.len();
        states
            .filter_map(|state| {
                let is = |node: usize| state >> node & 1 == 1;
                let of = |(node, (parents, table)): (usize, &(Vec<usize>, Vec<f64>))| {
                    let row = parents.iter().enumerate().map(|(bit, p)| usize::from(is(*p)) << bit);
                    let chance = table[row.sum::<usize>()];
                    if is(node) { chance } else { 1.0 - chance }
                };
                holds(&is).then(|| self.0.iter().enumerate().map(of).product::<f64>())
            })
            .sum()
    }

    /// The chance of a thing given that others are so or not.
    fn given(&self, node: usize, evidence: &[(usize, bool)]) -> f64 {
        let fits = |is: &dyn Fn(usize) -> bool| evidence.iter().all(|(n, value)| is(*n) == *value);
        self.chance(|is| is(node) && fits(is)) / self.chance(fits)
    }
}

/// Lauritzen and Spiegelhalter 1988; values by two other programs.
#[test]
fn asia() {
    let (asia, tub, smoke, lung, bronc, either, xray, dysp) = (0, 1, 2, 3, 4, 5, 6, 7);
    let net = Net(vec![
        (vec![], vec![0.01]),
        (vec![asia], vec![0.01, 0.05]),
        (vec![], vec![0.5]),
        (vec![smoke], vec![0.01, 0.10]),
        (vec![smoke], vec![0.30, 0.60]),
        (vec![tub, lung], vec![0.0, 1.0, 1.0, 1.0]),
        (vec![either], vec![0.05, 0.98]),
        (vec![either, bronc], vec![0.1, 0.7, 0.8, 0.9]),
    ]);
    let none = [
        (tub, 0.0104),
        (lung, 0.055),
        (bronc, 0.45),
        (either, 0.064_828),
        (xray, 0.110_290),
        (dysp, 0.435_971),
    ];
    for (node, want) in none {
        near(net.given(node, &[]), want, 5.1e-7);
    }
    let rows: [(&[(usize, bool)], [f64; 3]); 4] = [
        (&[(dysp, true)], [0.018_845, 0.102_759, 0.833_967]),
        (&[(asia, true), (dysp, true)], [0.087_751, 0.099_525, 0.811_402]),
        (
            &[(asia, true), (dysp, true), (smoke, false), (xray, true)],
            [0.632_329, 0.126_466, 0.458_960],
        ),
        (&[(xray, true)], [0.092_411, 0.488_711, 0.506_326]),
    ];
    for (evidence, want) in rows {
        for (node, want) in [tub, lung, bronc].into_iter().zip(want) {
            near(net.given(node, evidence), want, 5.1e-7);
        }
    }
}

/// Two networks of textbooks; values by two other programs. One lecture prints 0.376 for the burglary given the alarm, with
/// other tables.
#[test]
fn sprinkler_and_burglary() {
    let (_, s, r, w) = (0, 1, 2, 3);
    let net = Net(vec![
        (vec![], vec![0.5]),
        (vec![0], vec![0.5, 0.1]),
        (vec![0], vec![0.2, 0.8]),
        (vec![s, r], vec![0.0, 0.9, 0.9, 0.99]),
    ]);
    near(net.given(w, &[]), 0.6471, 5e-5);
    near(net.given(s, &[(w, true)]), 0.429_764, 5.1e-7);
    near(net.given(r, &[(w, true)]), 0.707_928, 5.1e-7);
    near(net.given(s, &[(w, true), (r, true)]), 0.194_499, 5.1e-7);

    let (b, e, a, j, m) = (0, 1, 2, 3, 4);
    let net = Net(vec![
        (vec![], vec![0.001]),
        (vec![], vec![0.002]),
        (vec![b, e], vec![0.001, 0.94, 0.29, 0.95]),
        (vec![a], vec![0.05, 0.90]),
        (vec![a], vec![0.01, 0.70]),
    ]);
    near(net.given(b, &[(j, true), (m, true)]), 0.284_172, 5.1e-7);
    near(net.given(b, &[(a, true)]), 0.373_551, 5.1e-7);
    near(net.given(b, &[(a, true), (e, true)]), 0.003_268, 5.1e-7);
    near(net.chance(|is| is(j) && is(m) && is(a) && !is(b) && !is(e)), 0.000_628_111, 5e-10);
}

/// Fever by cold, flu and malaria, each failing with 0.6, 0.2 and 0.1 (Russell and Norvig).
#[test]
fn fever() {
    let strengths = vec![0.4, 0.8, 0.9];
    let rows: [(&[f64; 3], f64); 8] = [
        (&[0.0, 0.0, 0.0], 0.0),
        (&[1.0, 0.0, 0.0], 0.4),
        (&[0.0, 1.0, 0.0], 0.8),
        (&[0.0, 0.0, 1.0], 0.9),
        (&[1.0, 1.0, 0.0], 0.88),
        (&[1.0, 0.0, 1.0], 0.94),
        (&[0.0, 1.0, 1.0], 0.98),
        (&[1.0, 1.0, 1.0], 0.988),
    ];
    for (there, want) in rows {
        let sign = OrSign { leak: 0.0, strengths: strengths.clone() };
        let model = NoisyOr { priors: there.to_vec(), signs: vec![sign] };
        match model.posterior(&[Seen::Yes]) {
            Ok(posterior) => near(posterior.evidence, want, 1e-12),
            Err(error) => assert!(error == PosteriorError::Impossible && want == 0.0),
        }
        near(model.posterior(&[Seen::No]).unwrap().evidence, 1.0 - want, 1e-12);
    }
}

fn four_by_three() -> NoisyOr {
    let sign = |leak, strengths: [f64; 4]| OrSign { leak, strengths: strengths.to_vec() };
    NoisyOr {
        priors: vec![0.05, 0.08, 0.03, 0.10],
        signs: vec![
            sign(0.01, [0.8, 0.0, 0.6, 0.2]),
            sign(0.02, [0.1, 0.7, 0.0, 0.5]),
            sign(0.005, [0.0, 0.4, 0.9, 0.0]),
        ],
    }
}

/// Four faults and three findings, invented for the reference, by enumeration there.
#[test]
fn leaky_noisy_or() {
    use Seen::{No, Unknown, Yes};
    let rows = [
        ([Yes, Unknown, Unknown], [0.474_068, 0.080_000, 0.220_483, 0.296_775], 0.085_373),
        ([Yes, No, Yes], [0.094_081, 0.056_741, 0.953_586, 0.066_369], 0.015_435_077),
        ([Yes, Yes, Yes], [0.307_481, 0.666_942, 0.569_077, 0.426_782], 0.004_026_928),
    ];
    for (seen, causes, evidence) in rows {
        let got = four_by_three().posterior(&seen).unwrap();
        for (got, want) in got.causes.iter().zip(causes) {
            near(*got, want, 5.1e-7);
        }
        near(got.evidence, evidence, 5.1e-7);
    }
}

/// The trap: the same numbers taken as asked with the leak at work give another posterior, as another program's default does.
#[test]
fn strengths_asked_with_the_leak() {
    let mut model = four_by_three();
    for sign in &mut model.signs {
        for strength in sign.strengths.iter_mut().filter(|s| **s > 0.0) {
            let asked = *strength;
            *strength = strength_alone(asked, sign.leak);
            near(strength_with_leak(*strength, sign.leak), asked, 1e-15);
        }
    }
    let got = model.posterior(&[Seen::Yes, Seen::No, Seen::Yes]).unwrap();
    for (got, want) in got.causes.iter().zip([0.096_460, 0.057_992, 0.952_633, 0.067_254]) {
        near(*got, want, 5.1e-7);
    }
    assert_eq!(strength_alone(0.01, 0.02), 0.0);
}

/// A made model with so many causes and signs.
fn made(causes: usize, signs: usize, seed: u64) -> NoisyOr {
    let priors = shuffled(causes, seed).iter().map(|x| 0.3 * x).collect();
    let sign = |sign: usize| {
        let numbers = shuffled(causes + 1, seed + 100 + sign as u64);
        let strengths = numbers[1..].iter().map(|x| if *x < 0.4 { 0.0 } else { *x }).collect();
        OrSign { leak: 0.05 * numbers[0] + 0.001, strengths }
    };
    NoisyOr { priors, signs: (0..signs).map(sign).collect() }
}

/// Sum over all states of causes, signs written as a table: no step shared with what is tested.
#[test]
fn posteriors_are_the_sum_over_everything() {
    let model = made(5, 4, 3);
    let mut nodes: Vec<(Vec<usize>, Vec<f64>)> =
        model.priors.iter().map(|p| (vec![], vec![*p])).collect();
    for sign in &model.signs {
        let table = (0u32..32).map(|state| {
            let missing = sign.strengths.iter().enumerate().filter(|(c, _)| state >> c & 1 == 1);
            1.0 - (1.0 - sign.leak) * missing.map(|(_, s)| 1.0 - s).product::<f64>()
        });
        nodes.push(((0..5).collect(), table.collect()));
    }
    let net = Net(nodes);
    for pattern in 0..81 {
        let seen: Vec<Seen> = (0..4)
            .map(|sign| [Seen::Yes, Seen::No, Seen::Unknown][pattern / 3usize.pow(sign) % 3])
            .collect();
        let evidence: Vec<(usize, bool)> = seen
            .iter()
            .enumerate()
            .filter(|(_, s)| **s != Seen::Unknown)
            .map(|(sign, s)| (5 + sign, *s == Seen::Yes))
            .collect();
        let got = model.posterior(&seen).unwrap();
        let single = model.single(&seen).unwrap();
        let one = |is: &dyn Fn(usize) -> bool| (0..5).filter(|c| is(*c)).count() == 1;
        let fits = |is: &dyn Fn(usize) -> bool| evidence.iter().all(|(n, v)| is(*n) == *v);
        near(got.evidence, net.chance(fits), 1e-12);
        near(single.evidence, net.chance(|is| one(is) && fits(is)) / net.chance(one), 1e-12);
        for cause in 0..5 {
            near(got.causes[cause], net.given(cause, &evidence), 1e-12);
            let alone = net.chance(|is| is(cause) && one(is) && fits(is));
            near(single.causes[cause], alone / net.chance(|is| one(is) && fits(is)), 1e-12);
        }
    }
}

/// Sets of causes against sets of signs: thirteen causes are counted the one way; with nine more that are never there, which
/// change nothing, only the other is left.
#[test]
fn both_ways_of_counting_agree() {
    let model = made(13, 6, 11);
    let seen = [Seen::Yes, Seen::Yes, Seen::No, Seen::Yes, Seen::Unknown, Seen::Yes];
    let by_causes = model.posterior(&seen).unwrap();
    let mut longer = model.clone();
    longer.priors.extend([0.0; 9]);
    longer.signs.iter_mut().for_each(|sign| sign.strengths.extend([0.5; 9]));
    let by_signs = longer.posterior(&seen).unwrap();
    near(by_causes.evidence, by_signs.evidence, 1e-12);
    for (a, b) in by_causes.causes.iter().zip(&by_signs.causes) {
        near(*a, *b, 1e-9);
    }
    assert_eq!(by_signs.causes[13..], [0.0; 9]);
}

#[test]
fn what_cannot_be_computed_says_so() {
    let model = four_by_three();
    assert_eq!(model.posterior(&[Seen::Yes]), Err(PosteriorError::Shape));
    assert_eq!(model.single(&[]), Err(PosteriorError::Shape));
    let mut odd = model.clone();
    odd.priors[0] = 1.5;
    assert_eq!(odd.posterior(&[Seen::Yes; 3]), Err(PosteriorError::Shape));
    let mut short = model.clone();
    short.signs[1].strengths.pop();
    assert_eq!(short.posterior(&[Seen::Yes; 3]), Err(PosteriorError::Shape));
    let sure =
        NoisyOr { priors: vec![0.5], signs: vec![OrSign { leak: 1.0, strengths: vec![0.0] }] };
    assert_eq!(sure.posterior(&[Seen::No]), Err(PosteriorError::Impossible));
    assert_eq!(sure.single(&[Seen::No]), Err(PosteriorError::Impossible));
    assert_eq!(made(21, 13, 5).posterior(&[Seen::Yes; 13]), Err(PosteriorError::TooMany));
    assert!(made(21, 12, 5).posterior(&[Seen::Yes; 12]).is_ok());
    assert!(PosteriorError::Impossible.to_string().contains("leak"));
}
