//! Lives against the worked examples of the NIST/SEMATECH e-Handbook and figures of other programs.

use super::*;

/// 20 units on test for 500 hours, 10 failed: e-Handbook 8.4.1.3.
fn on_test() -> Vec<Life> {
    let failed = [54.0, 187.0, 216.0, 240.0, 244.0, 335.0, 361.0, 373.0, 375.0, 386.0];
    failed.map(Life::failed).into_iter().chain([Life::in_use(500.0); 10]).collect()
}

fn near(got: f64, want: f64, within: f64) {
    assert!((got - want).abs() <= within, "{got} {want}");
}

/// The page prints 606.5280, 1.7208, and the log-likelihood without its sign; more digits, errors and limits by other programs.
#[test]
fn weibull_of_8_4_1_3() {
    let fit = Weibull::fit(&on_test()).unwrap();
    near(fit.scale, 606.5275, 1e-3);
    near(fit.shape, 1.720_797_3, 1e-6);
    near(fit.log_likelihood, -75.134_618_2, 1e-6);
    near(fit.aic(), 154.269_236, 1e-5);
    near(fit.mean(), 540.737, 1e-2);
    near(fit.sd(), 323.806, 1e-2);
    near(fit.age_of(0.1), 164.0224, 1e-3);
    let (scale, shape) = fit.errors();
    near(scale, 124.9106, 1e-3);
    near(shape, 0.502_151, 1e-5);
    let (low, high) = fit.age_between(1.0 - libm::exp(-1.0), 0.95);
    near(low, 405.0893, 2e-3);
    near(high, 908.1348, 2e-3);
    let (low, high) = fit.shape_between(0.95);
    near(low, 0.971_266, 1e-5);
    near(high, 3.048_745, 1e-5);
    near(fit.surviving(fit.age_of(0.1)), 0.9, 1e-12);
    near(fit.fails_within(0.0, fit.age_of(0.1)), 0.1, 1e-12);
    near(fit.fails_within(200.0, 0.0), 0.0, 1e-12);
}

/// At the ends of a profile interval the likelihood is lower by half of χ²(0.95; 1) = 3.841459: held against the likelihood
/// written out anew.
#[test]
fn profiles_end_where_the_likelihood_says() {
    let lives = on_test();
    let fit = Weibull::fit(&lives).unwrap();
    let log_likelihood = |shape: f64, scale: f64| -> f64 {
        let of = |l: &Life| {
            let density = (shape / scale).ln() + (shape - 1.0) * (l.to / scale).ln();
            (if l.failed { density } else { 0.0 }) - (l.to / scale).powf(shape)
        };
        lives.iter().map(of).sum()
    };
    near(log_likelihood(fit.shape, fit.scale), fit.log_likelihood, 1e-9);
    let floor = fit.log_likelihood - 0.5 * 3.841_458_8;
    let (low, high) = fit.shape_profile(&lives, 0.95);
    for shape in [low, high] {
        let most = (1..20_000).map(|n| log_likelihood(shape, 200.0 + 0.1 * f64::from(n)));
        near(most.fold(f64::MIN, f64::max), floor, 1e-4);
    }
    assert!(low < fit.shape && high > fit.shape && low > 0.5 && high < 4.0);
    for share in [0.1, 1.0 - libm::exp(-1.0)] {
        let (low, high) = fit.age_profile(&lives, share, 0.95);
        assert!(low < fit.age_of(share) && high > fit.age_of(share));
        for age in [low, high] {
            let bend = -(-share).ln_1p();
            let most = (1..8000).map(|n| {
                let shape = 0.001 * f64::from(n);
                log_likelihood(shape, age / bend.powf(1.0 / shape))
            });
            near(most.fold(f64::MIN, f64::max), floor, 1e-4);
        }
    }
}

/// Times at which fifteen lasers would reach their limit, in whole hours as computed for the reference, all treated as failures.
#[test]
fn weibull_of_times_to_a_limit() {
    let times = [
        3308.0, 3613.0, 3707.0, 4173.0, 4781.0, 4948.0, 5066.0, 5268.0, 5433.0, 5621.0, 5819.0,
        5983.0, 6121.0, 6141.0, 6415.0,
    ];
    let fit = Weibull::fit(&times.map(Life::failed)).unwrap();
    near(fit.shape, 6.599_98, 2e-3);
    near(fit.scale, 5482.75, 0.2);
}

/// A part that was watched from an age on says nothing of the time before. With a shape of 1 that time could be left out
/// altogether: failures over time watched, exactly. For any shape the score is zero at the estimate.
#[test]
fn parts_watched_late() {
    let late: Vec<Life> = on_test()
        .into_iter()
        .enumerate()
        .map(|(place, life)| if place % 2 == 1 { life.since(50.0) } else { life })
        .collect();
    let (fit, naive) = (Weibull::fit(&late).unwrap(), Weibull::fit(&on_test()).unwrap());
    assert!(fit.surviving(50.0) < naive.surviving(50.0), "{fit:?}");
    let log_likelihood = |shape: f64, scale: f64| -> f64 {
        let of = |l: &Life| {
            let density = (shape / scale).ln() + (shape - 1.0) * (l.to / scale).ln();
            (if l.failed { density } else { 0.0 }) - (l.to / scale).powf(shape)
                + (l.from / scale).powf(shape)
        };
        late.iter().map(of).sum()
    };
    near(log_likelihood(fit.shape, fit.scale), fit.log_likelihood, 1e-9);
    for (shape, scale) in [(1.001, 1.0), (0.999, 1.0), (1.0, 1.001), (1.0, 0.999)] {
        let other = log_likelihood(fit.shape * shape, fit.scale * scale);
        assert!(other < fit.log_likelihood);
    }
    // Errors are those of the curvature, by differences.
    let h: f64 = 1e-4;
    let at = |a: f64, b: f64| log_likelihood(fit.shape * b.exp(), fit.scale * a.exp());
    let top = fit.log_likelihood;
    let aa = -(at(h, 0.0) + at(-h, 0.0) - 2.0 * top) / (h * h);
    let bb = -(at(0.0, h) + at(0.0, -h) - 2.0 * top) / (h * h);
    let ab = -(at(h, h) - at(h, -h) - at(-h, h) + at(-h, -h)) / (4.0 * h * h);
    let (scale, shape) = fit.errors();
    near(scale / fit.scale, (bb / (aa * bb - ab * ab)).sqrt(), 1e-4);
    near(shape / fit.shape, (aa / (aa * bb - ab * ab)).sqrt(), 1e-4);
}

#[test]
fn lives_that_say_nothing() {
    assert_eq!(Weibull::fit(&[]), Err(WearError::NoFailure));
    assert_eq!(Weibull::fit(&[Life::in_use(3.0)]), Err(WearError::NoFailure));
    assert_eq!(Weibull::fit(&[Life::failed(3.0); 4]), Err(WearError::NoSpread));
    assert_eq!(Weibull::fit(&[Life::failed(3.0), Life::failed(0.0)]), Err(WearError::Life(1)));
    assert_eq!(survival(&[Life::failed(3.0).since(5.0)]), Err(WearError::Life(0)));
    assert_eq!(survival(&[Life::failed(f64::NAN)]), Err(WearError::Life(0)));
    assert_eq!(survival(&[]), Ok(Vec::new()));
    assert!(WearError::Life(1).to_string().starts_with("life number 2 "));
    // Two failures are enough, however many still run.
    let mut few = vec![Life::failed(40.0), Life::failed(60.0)];
    few.extend([Life::in_use(30.0); 500]);
    let fit = Weibull::fit(&few).unwrap();
    assert!(fit.shape > 1.0 && fit.scale > 50.0 && fit.scale < 80.0, "{fit:?}");
    assert!(fit.shape_profile(&few, 0.95).0 < fit.shape_between(0.95).1);
}

/// e-Handbook 8.2.1.5, and the cumulative hazards by another program. The parts removed at 50 … count until just then.
#[test]
fn survival_of_8_2_1_5() {
    let failed = [10.0, 32.0, 56.0, 98.0, 122.0, 181.0].map(Life::failed);
    let removed = [50.0, 100.0, 125.0, 150.0].map(Life::in_use);
    let lives: Vec<Life> =
        failed.into_iter().chain(removed).chain([Life::in_use(200.0); 10]).collect();
    let steps = survival(&lives).unwrap();
    let rows = [
        (10.0, 20, 0.95, 0.05),
        (32.0, 19, 0.90, 0.1026),
        (56.0, 17, 0.8471, 0.1615),
        (98.0, 16, 0.7941, 0.2240),
        (122.0, 14, 0.7374, 0.2954),
        (181.0, 11, 0.6704, 0.3863),
    ];
    assert_eq!(steps.len(), rows.len());
    for (step, (age, at_risk, surviving, hazard)) in steps.iter().zip(rows) {
        assert_eq!((step.age, step.at_risk, step.failed), (age, at_risk, 1));
        near(step.surviving, surviving, 1e-4);
        near(step.hazard, hazard, 1e-4);
    }
    // With none taken out, Greenwood's formula is the binomial standard error.
    near(steps[1].surviving_sd, f64::sqrt(0.9 * 0.1 / 20.0), 1e-12);
    let (low, high) = steps[1].between(1.959_964).unwrap();
    assert!(low > 0.6 && low < 0.9 && high > 0.9 && high < 1.0);
    // Where the last one failed none survives.
    let last = *survival(&[Life::failed(1.0), Life::failed(2.0)]).unwrap().last().unwrap();
    assert_eq!((last.surviving, last.surviving_sd, last.hazard), (0.0, 0.0, 1.5));
    assert_eq!(last.between(1.96), None);
    // One watched from 15 on is not at risk at 10.
    let late: Vec<Life> =
        lives.iter().map(|l| if l.to == 200.0 { l.since(15.0) } else { *l }).collect();
    let steps = survival(&late).unwrap();
    assert_eq!((steps[0].at_risk, steps[1].at_risk), (10, 19));
}

/// Three units, by hand.
#[test]
fn repairs_that_come_again() {
    let unit = |repairs: &[f64], until| Unit { repairs: repairs.to_vec(), until };
    let units = [unit(&[3.0, 5.0, 5.0, 99.0], 8.0), unit(&[5.0], 6.0), unit(&[], 4.0)];
    let steps = mean_cumulative(&units);
    assert_eq!(steps.len(), 2);
    assert_eq!((steps[0].age, steps[0].watched), (3.0, 3));
    near(steps[0].repairs, 1.0 / 3.0, 1e-12);
    // At 5 two are watched, and had three repairs.
    assert_eq!((steps[1].age, steps[1].watched), (5.0, 2));
    near(steps[1].repairs, 1.0 / 3.0 + 1.5, 1e-12);
    // Beyond the mean: (1 − 1/3)/3 + (2 − 1.5)/2, −1/9 + (1 − 1.5)/2, and −1/9.
    let beyond = [2.0 / 9.0 + 0.25, -1.0 / 9.0 - 0.25, -1.0 / 9.0];
    near(steps[1].sd, beyond.iter().map(|b| b * b).sum::<f64>().sqrt(), 1e-12);
    assert!(mean_cumulative(&[]).is_empty());
    assert!(mean_cumulative(&[unit(&[f64::NAN], 4.0)]).is_empty());
}

/// Computed for the reference by numeric minimisation of the model of Barlow and Hunter.
#[test]
fn the_replacement_age_of_least_cost() {
    let rows = [
        (2.5, 1000.0, 1.0, 5.0, 493.0470, 0.003_462_04, 1e-3),
        (2.0, 100.0, 1.0, 5.0, 51.065_52, 0.040_852_42, 1e-5),
        (3.0, 1.0, 1.0, 10.0, 0.382_455_5, 3.949_350, 1e-6),
        (2.0, 1.0, 1.0, 4.0, 0.593_877_0, 3.563_262, 1e-6),
    ];
    for (shape, scale, planned, failed, age, cost, within) in rows {
        let got = replacement_age(shape, scale, planned, failed).unwrap();
        near(got.age, age, within);
        near(got.cost / cost, 1.0, 2e-6);
        assert!(got.cost < got.run_to_failure);
    }
    let got = replacement_age(2.5, 1000.0, 1.0, 5.0).unwrap();
    near(got.run_to_failure, 0.005_635_30, 1e-8);
}

#[test]
fn no_replacement_age_where_waiting_is_as_good() {
    for shape in [0.5, 1.0] {
        assert_eq!(replacement_age(shape, 100.0, 1.0, 50.0), None);
    }
    assert_eq!(replacement_age(3.0, 100.0, 5.0, 5.0), None);
    assert_eq!(replacement_age(3.0, 100.0, 0.0, 5.0), None);
    assert_eq!(replacement_age(f64::NAN, 100.0, 1.0, 5.0), None);
    assert_eq!(replacement_age(1.000_01, 100.0, 1.0, 1.000_01), None);
}

#[test]
fn lives_are_pooled_by_key() {
    let pools = pooled([
        ("seal", Life::failed(30.0)),
        ("ring", Life::in_use(9.0)),
        ("seal", Life::failed(41.0)),
    ]);
    assert_eq!(pools["seal"].len(), 2);
    assert_eq!(pools["ring"], [Life::in_use(9.0)]);
    assert!(Weibull::fit(&pools["seal"]).is_ok());
    assert_eq!(Weibull::fit(&pools["ring"]), Err(WearError::NoFailure));
}
