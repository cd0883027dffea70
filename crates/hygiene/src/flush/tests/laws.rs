//! What must hold of any flush: monotony, scaling, limits.

use super::*;
use proptest::prelude::*;

const PLACES: [Place; 2] = [Place::Outlet, Place::Line];

fn want(place: Place, residue: f64) -> Want {
    if place == Place::Outlet { Want::outlet(residue) } else { Want::line(residue) }.unwrap()
}

proptest! {
    /// More volumes leave less, in every manner.
    #[test]
    fn residues_fall(log_tau in -7.0..1.5_f64, volumes in 0.0..60.0_f64, more in 1e-3..5.0_f64) {
        let flush = of_regime(10_f64.powf(log_tau));
        for place in PLACES {
            let (before, after) = (flush.residue(place, volumes), flush.residue(place, volumes + more));
            prop_assert!((SMALLEST_RESIDUE..=1.0).contains(&before));
            prop_assert!(after <= before * (1.0 + 1e-9), "{place:?}: {before} {after}");
        }
    }

    /// The volumes to a share leave that share, and a smaller share takes more.
    #[test]
    fn volumes_and_residues_are_inverse(log_tau in -7.0..1.5_f64, log_share in -5.0..-0.01_f64, flow in 0.5..60.0_f64) {
        let share = 10_f64.powf(log_share);
        for flush in [of_regime(10_f64.powf(log_tau)), flushed(&line(), flow, 5e-10)] {
            for place in PLACES {
                let volumes = flush.volumes_for(want(place, share));
                prop_assert!((flush.residue(place, volumes) / share - 1.0).abs() < 1e-6);
                let less = want(place, (0.9 * share).max(SMALLEST_RESIDUE));
                prop_assert!(flush.volumes_for(less) >= volumes);
            }
        }
    }

    /// The volumes of a laminar flush do not know the bore, and depend on length over flow alone; the seconds go with the
    /// volume over the flow.
    #[test]
    fn flushes_scale(bore in 2.0..12.0_f64, length in 0.5..5.0_f64, flow in 0.2..3.0_f64, scale in 0.3..3.0_f64, log_share in -4.0..-0.3_f64) {
        let share = 10_f64.powf(log_share);
        let of = |bore, length, flow| {
            let tube = Line::of_one_tube(Millimetres(bore), Metres(length));
            Flush::new(&tube, MlPerSecond(flow), Fluid::Water, thick(50.0), Celsius(20.0)).unwrap()
        };
        let one = of(bore, length, flow);
        for other in [of(scale * bore, length, flow), of(bore, scale * length, scale * flow)] {
            for place in PLACES {
                let volumes = (one.volumes_for(want(place, share)), other.volumes_for(want(place, share)));
                prop_assert!((volumes.0 / volumes.1 - 1.0).abs() < 1e-9, "{volumes:?}");
            }
        }
        let wider = of(scale * bore, length, flow);
        prop_assert!((wider.seconds(1.0).0 / one.seconds(1.0).0 / (scale * scale) - 1.0).abs() < 1e-9);
    }

    /// For ever less spreading, the convective limit; and never is it quicker than a piston by what is left in the line.
    #[test]
    fn limits(log_share in -2.0..-0.05_f64, log_tau in -9.0..1.5_f64) {
        let share = 10_f64.powf(log_share);
        for place in PLACES {
            let almost = of_regime(1e-12).volumes_for(want(place, share));
            let limit = volumes_when_convective(place, share);
            prop_assert!((almost / limit - 1.0).abs() < 5e-3, "{almost} {limit}");
        }
        let flush = of_regime(10_f64.powf(log_tau));
        prop_assert!(flush.volumes_for(want(Place::Line, share)) >= (1.0 - share) * (1.0 - 1e-9));
    }

    /// What is asked at its worst is as slow as any spreading up to it, as far as the tables' rows are close.
    #[test]
    fn the_worst_is_the_worst(log_d in -12.0..-8.0_f64, part in 0.0..1.0_f64, log_share in -4.0..-0.3_f64, flow in 0.3..11.0_f64) {
        let (most, share) = (10_f64.powf(log_d), 10_f64.powf(log_share));
        let any = flushed(&line(), flow, part * most);
        let worst = any.clone().spreading(Spreads::UpTo(Diffusivity(most))).unwrap();
        for place in PLACES {
            let want = want(place, share);
            prop_assert!(worst.volumes_for(want) >= any.volumes_for(want) * 0.98);
            prop_assert!(worst.residue(place, 3.0) >= any.residue(place, 3.0) * 0.96);
            prop_assert!(worst.least(want).at_best.0 <= any.least(want).at_best.0 * 1.02);
        }
    }

    /// The least time is never more than the advice, never zero, and the hard floor never more than the least.
    #[test]
    fn least_is_least(flow in 0.1..200.0_f64, bore in 2.0..15.0_f64, length in 0.2..20.0_f64, log_share in -4.9..-0.01_f64, brix in 0.0..70.0_f64) {
        let tube = Line::of_one_tube(Millimetres(bore), Metres(length));
        let flush = Flush::new(&tube, MlPerSecond(flow), Fluid::Syrup { brix }, Fluid::Water, Celsius(15.0)).unwrap();
        for place in PLACES {
            let want = want(place, 10_f64.powf(log_share));
            let least = flush.least(want);
            prop_assert!(least.hard.0 > 0.0 && least.hard <= least.at_best);
            prop_assert!(least.at_best.0 <= flush.seconds(flush.volumes_for(want)).0.max(least.hard.0) * (1.0 + 1e-9));
        }
    }

    /// Nothing that is given panics: it is answered with numbers, or refused.
    #[test]
    fn any_numbers_are_answered_or_refused(bore in any::<f64>(), length in any::<f64>(), flow in any::<f64>(), share in any::<f64>(), d in any::<f64>(), t in any::<f64>()) {
        let tube = Line::of_one_tube(Millimetres(bore), Metres(length)).that_drains();
        let flush = Flush::new(&tube, MlPerSecond(flow), Fluid::Syrup { brix: share }, Fluid::Water, Celsius(t));
        if let Ok(Ok(flush)) = flush.map(|flush| flush.spreading(Spreads::UpTo(Diffusivity(d))))
            && let Ok(want) = Want::line(share)
        {
            prop_assert!(flush.volumes_for(want).is_finite());
        }
        let known = flushed(&line().that_drains(), 5.0, 5e-10);
        for place in PLACES {
            let share = known.residue(place, share);
            prop_assert!((0.0..=1.0).contains(&share));
        }
        let allowed = Allowed { pause: Some(Seconds(t)), ..Allowed::default() };
        let advice = known.advise(Want::line(0.02).unwrap(), &allowed).unwrap();
        prop_assert!(advice.plans.iter().all(|plan| plan.takes.0.is_finite()));
    }
}

/// The change of manner, by Reynolds and regime number.
#[test]
fn manners_by_their_numbers() {
    let water = |flow| flushed(&line(), flow, Diffusivity::SUCROSE.0).manner();
    assert_eq!((water(11.0), water(15.0)), (Manner::Diffusing, Manner::Between));
    assert!(matches!(water(21.0), Manner::Turbulent { .. }));
    assert_eq!(of_regime(9e-6).manner(), Manner::Convective);
    assert_eq!(of_regime(0.31).manner(), Manner::Dispersed);
    // Turbulent in a narrow tube and laminar in a wide one counts as laminar, and says so.
    let mut two = line();
    two.tubes.extend(Line::of_one_tube(Millimetres(25.0), Metres(1.0)).tubes);
    let mixed = flushed(&two, 21.0, Diffusivity::SUCROSE.0);
    assert_eq!(mixed.manner(), Manner::Between);
    assert!(mixed.assumptions()[0].contains("counted as laminar"));
    assert!(mixed.assumptions().iter().any(|note| note.contains("different bores")));
    assert!(matches!(flushed(&two, 100.0, 5e-10).manner(), Manner::Turbulent { .. }));
}

/// A line of which nothing is known has no least time.
#[test]
fn an_unknown_line_has_no_least_time() {
    let refused =
        Flush::new(&Line::default(), MlPerSecond(5.0), Fluid::Water, Fluid::Water, Celsius(20.0));
    let said = refused.unwrap_err().to_string();
    assert!(said.starts_with("no least time known"), "{said}");
}
