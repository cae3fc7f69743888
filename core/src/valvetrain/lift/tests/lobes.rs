use super::*;

/// Differences over a small step of each figure against the derivative stated.
#[test]
fn each_derivative_is_that_of_the_figure_before_it() {
    let h: f64 = 1e-5;
    for (curve, joints) in curves() {
        let scale = curve.maximum().si();
        for angle in scan(&curve, 400) {
            if joints.iter().any(|j| (j - angle).abs() < 2.0 * h.to_degrees()) {
                continue;
            }
            let rad = angle.to_radians();
            let (low, here, high) = (curve.at(cam(rad - h)), curve.at(cam(rad)), curve.at(cam(rad + h)));
            let slope = |of: fn(Lift) -> Length| (of(high).si() - of(low).si()) / (2.0 * h);
            for (found, stated) in [
                (slope(|l| l.lift), here.velocity),
                (slope(|l| l.velocity), here.acceleration),
                (slope(|l| l.acceleration), here.jerk),
            ] {
                assert!((found - stated.si()).abs() < 1e-5 * scale, "{found} {} at {angle}", stated.si());
            }
        }
    }
}

#[test]
fn lift_and_velocity_are_continuous_where_pieces_meet() {
    let step = 1e-8;
    for (curve, joints) in curves() {
        for joint in joints {
            let (before, after) = (curve.at(deg(joint - step)), curve.at(deg(joint + step)));
            let scale = curve.maximum().si();
            assert!((before.lift - after.lift).si().abs() < 1e-8 * scale, "{joint}");
            assert!((before.velocity - after.velocity).si().abs() < 1e-7 * scale, "{joint}");
        }
    }
}

/// Programmes that start and end without acceleration join ramps, dwell and base circle without a jump of it.
#[test]
fn acceleration_is_continuous_where_the_programme_has_none_at_its_ends() {
    for programme in [Programme::Polynomial345, Programme::Polynomial4567, Programme::Cycloidal] {
        let curve = lobe(9.0, ramped(programme, 50.0, 0.3, 24.0), ramped(programme, 64.0, 0.2, 32.0), 6.0);
        for joint in [-77.0, -71.0, -53.0, -3.0, 3.0, 67.0, 91.0, 99.0] {
            let (before, after) = (curve.at(deg(joint - 1e-8)), curve.at(deg(joint + 1e-8)));
            assert!((before.acceleration - after.acceleration).si().abs() < 1e-8, "{programme:?} {joint}");
        }
    }
}

#[test]
fn what_jumps_is_that_of_the_following_piece_and_zero_at_the_end() {
    let curve = lobe(10.0, flank(Programme::Harmonic, 60.0), flank(Programme::Harmonic, 80.0), 0.0);
    let jump = |length: f64| 0.01 * core::f64::consts::PI.powi(2) / 2.0 / length.to_radians().powi(2);
    assert_relative_eq!(curve.at(deg(-60.0)).acceleration.si(), jump(60.0), max_relative = 1e-12);
    assert_relative_eq!(curve.at(deg(0.0)).acceleration.si(), -jump(80.0), max_relative = 1e-12);
    assert_eq!(curve.at(cam(curve.closes)), Lift::default());
    assert_eq!(curve.at(deg(-60.000_001)), Lift::default());
    // Around a whole turn the next piece is the first one again.
    let round = lobe(10.0, flank(Programme::Harmonic, 160.0), flank(Programme::Harmonic, 200.0), 0.0);
    assert_relative_eq!(round.at(deg(200.0)).acceleration.si(), jump(160.0), max_relative = 1e-9);
}

/// Simpson's rule over the lobe.
#[test]
fn area_is_the_integral_of_the_lift() {
    for (curve, _) in curves() {
        let (n, from, length) = (20_000, curve.opens, curve.closes - curve.opens);
        let at = |i: i32| curve.lift(cam(from + length * f64::from(i) / f64::from(n))).si();
        let sum: f64 = (1..n).map(|i| at(i) * if i % 2 == 1 { 4.0 } else { 2.0 }).sum();
        let expected = (sum + at(0) + at(n)) * length / f64::from(n) / 3.0;
        assert_relative_eq!(curve.area().si(), expected, max_relative = 1e-9);
    }
    // The programmes are symmetrical: each flank has half its box, and the dwell all of its.
    let plain = lobe(8.0, flank(Programme::Cycloidal, 50.0), flank(Programme::Harmonic, 70.0), 10.0);
    assert_relative_eq!(plain.area().si(), 0.008 * 70f64.to_radians(), max_relative = 1e-12);
}

#[test]
fn extremes_are_those_of_a_dense_scan() {
    for (curve, _) in curves() {
        let found = curve.extremes();
        let scanned: Vec<Lift> = scan(&curve, 200_000).map(|a| curve.at(deg(a))).collect();
        let most = |of: fn(&Lift) -> Length| scanned.iter().map(|l| of(l).si()).fold(0.0, f64::max);
        let least = |of: fn(&Lift) -> Length| scanned.iter().map(|l| of(l).si()).fold(0.0, f64::min);
        for (extreme, scanned) in [
            (found.greatest_velocity, most(|l| l.velocity)),
            (found.least_velocity, least(|l| l.velocity)),
            (found.greatest_acceleration, most(|l| l.acceleration)),
            (found.least_acceleration, least(|l| l.acceleration)),
        ] {
            let value = extreme.value.si();
            assert!(value.abs() >= scanned.abs() * (1.0 - 1e-12), "{value} {scanned}");
            assert_relative_eq!(value, scanned, max_relative = 1e-4);
        }
        // Each value stands where it is said to stand, on one side of a jump at least.
        let beside = |extreme: Extreme, of: fn(Lift) -> Length| {
            let rad = extreme.angle.on_cam().si();
            [-1e-9, 0.0, 1e-9].into_iter().any(|d| {
                (of(curve.at(cam(rad + d))) - extreme.value).si().abs() <= 1e-6 * extreme.value.si().abs()
            })
        };
        assert!(
            beside(found.greatest_velocity, |l| l.velocity) && beside(found.least_velocity, |l| l.velocity)
        );
        assert!(beside(found.greatest_acceleration, |l| l.acceleration));
        assert!(beside(found.least_acceleration, |l| l.acceleration));
    }
}

#[test]
fn opening_closing_and_duration_at_a_lift() {
    for (curve, joints) in curves() {
        let top = curve.maximum();
        for share in [0.001, 0.02, 0.3, 0.5, 0.9, 0.999] {
            let (opens, closes) =
                (curve.opening_at(top * share).unwrap(), curve.closing_at(top * share).unwrap());
            assert!(opens < closes);
            for angle in [opens, closes] {
                assert_relative_eq!(curve.lift(angle).si(), (top * share).si(), max_relative = 1e-11);
            }
            let duration = curve.duration_at(top * share).unwrap();
            assert_eq!(duration.on_cam(), closes.on_cam() - opens.on_cam());
            assert_eq!(duration.on_crank(), duration.on_cam() * 2.0);
        }
        let whole = curve.duration_at(mm(0.0)).unwrap();
        assert_relative_eq!(degrees_of(whole), joints[joints.len() - 1] - joints[0], max_relative = 1e-9);
        assert!(curve.opening_at(top).unwrap().on_cam().si() <= 0.0);
    }
    let with_dwell = lobe(9.0, flank(Programme::Harmonic, 50.0), flank(Programme::Harmonic, 60.0), 6.0);
    assert_relative_eq!(degrees_of(with_dwell.duration_at(mm(9.0)).unwrap()), 6.0, max_relative = 1e-12);
    // Half the lift is halfway up each flank, and a third of a harmonic one is at acos(1/3) / pi of it.
    assert_relative_eq!(degrees_of(with_dwell.duration_at(mm(4.5)).unwrap()), 61.0, max_relative = 1e-12);
    let third = -53.0 + 50.0 * (1f64 / 3.0).acos() / core::f64::consts::PI;
    assert_relative_eq!(degrees_of(with_dwell.opening_at(mm(3.0)).unwrap()), third, max_relative = 1e-12);
}

fn any_flank() -> impl Strategy<Value = Flank> {
    let ramp = proptest::option::of((0.05..0.5f64, 5.0..40.0f64));
    (0usize..4, 30.0..120.0f64, ramp).prop_map(|(p, length, ramp)| match ramp {
        None => flank(PROGRAMMES[p], length),
        Some((height, over)) => ramped(PROGRAMMES[p], length, height, over),
    })
}

proptest! {
    #[test]
    fn any_lobe_rises_to_its_nose_and_falls(
        opening in any_flank(), closing in any_flank(), dwell in 0.0..40.0f64, lift in 4.0..15.0f64, share in 0.0..1.0f64,
        turns in -3i8..=3,
    ) {
        // A ramp so fast that it would carry the flank above the nose is refused.
        let Ok(curve) = LiftCurve::of_flanks(mm(lift), opening, closing, deg(dwell)) else { return Ok(()) };
        assert_one_hump(&curve);
        prop_assert_eq!(curve.lift(deg(0.0)), mm(lift));
        prop_assert!(curve.at(cam(curve.opens)).lift.si() == 0.0 && curve.at(cam(curve.closes)).lift.si() == 0.0);
        let at = curve.closing_at(mm(lift * share)).unwrap().on_cam().si();
        prop_assert!((curve.lift(cam(at)).si() - lift * share / 1e3).abs() < 1e-12);
        let later = curve.lift(cam(at + f64::from(turns) * TAU)).si();
        prop_assert!((later - lift * share / 1e3).abs() < 1e-11);
        let area = curve.area().si();
        prop_assert!(area > 0.0 && area < lift / 1e3 * (curve.closes - curve.opens));
    }

    #[test]
    fn the_lift_of_any_turn_is_that_of_the_first(angle in -180.0..180.0f64, turns in -1000i32..1000) {
        for (curve, _) in curves() {
            let rad = angle.to_radians();
            let (first, later) = (curve.at(cam(rad)), curve.at(cam(rad + TAU * f64::from(turns))));
            prop_assert!((first.lift - later.lift).si().abs() < 1e-13);
            prop_assert!((first.velocity - later.velocity).si().abs() < 1e-11);
        }
    }
}

/// Degrees of a whole turn do not add up to the last bit: 16 and 344 are above 2 pi.
#[test]
fn a_lobe_may_take_a_whole_turn() {
    for opening in 10..=350 {
        let whole = lobe(
            10.0,
            flank(Programme::Cycloidal, f64::from(opening)),
            flank(Programme::Cycloidal, f64::from(360 - opening)),
            0.0,
        );
        assert!(whole.lift(deg(f64::from(360 - opening))).si() < 1e-15);
        assert!(whole.lift(deg(-f64::from(opening))).si() < 1e-15);
    }
}
