use super::*;
use crate::ErrorKind;
use crate::units::Ratio;
use crate::valvetrain::Lift;
use approx::assert_relative_eq;
use core::f64::consts::PI;
use proptest::prelude::*;

fn mm(x: f64) -> Length {
    Length::from_si(x / 1000.0)
}

fn deg(x: f64) -> Angle {
    Angle::from_si(x.to_radians())
}

/// The rocker of the independent check, with its pivot at a height, mm.
fn rocker(height: f64) -> Rocker {
    let arm = RockerArm::new(mm(36.0), mm(9.0), mm(24.0), deg(170.0)).unwrap();
    let lifter = LifterSeat::new(mm(-24.0), mm(-190.0), deg(4.0)).unwrap();
    Rocker::new(arm, mm(35.5), mm(height), lifter).unwrap()
}

/// Independent check: mpmath, 50 digits: the constraint solved by findroot, the lift differentiated numerically; scipy's fsolve agrees
/// to 1e-17 m.
#[test]
fn lift_ratio_and_derivatives_of_an_independent_derivation() {
    let rocker = rocker(4.0);
    assert_relative_eq!(rocker.pushrod_length().si(), 0.194_844_472_242_710_4, max_relative = 1e-15);
    let expected = [
        (0.0, 0.0, 1.48276554257801, 10.8064861852167, 80.1362915516738),
        (3.0, 0.0044973470802804, 1.51562644220822, 11.1277491606783, 134.263967416267),
        (8.0, 0.012217889640108844, 1.57336558839202, 12.0625843524114, 249.456149785061),
    ];
    for (lifter, lift, first, second, third) in expected {
        assert_relative_eq!(rocker.valve_lift(mm(lifter)).unwrap().si(), lift, epsilon = 1e-16);
        let d = rocker.derivatives(mm(lifter)).unwrap();
        assert_relative_eq!(d.first, first, max_relative = 1e-12);
        assert_relative_eq!(d.second, second, max_relative = 1e-11);
        assert_relative_eq!(d.third, third, max_relative = 1e-10);
    }
    let places = [(0.0, 0.000_151_086_939_951_774_77), (0.012217889640108844, -0.000_231_004_137_582_688_7)];
    for (valve, place) in places {
        assert_relative_eq!(rocker.contact(Length::from_si(valve)).unwrap().si(), place, epsilon = 1e-16);
    }
}

/// Independent check: scipy, minimize_scalar over the pivot's height and brentq, on a sweep sampled at 4001 lifts.
#[test]
fn least_and_centred_sweep_of_an_independent_search() {
    let best = rocker(4.0).least_sweep(mm(8.0)).unwrap();
    let sweep = best.sweep(best.valve_lift(mm(8.0)).unwrap()).unwrap();
    assert_relative_eq!(best.height().si(), 0.0029237, max_relative = 1e-4);
    assert_relative_eq!(best.pushrod_length().si(), 0.1930421, max_relative = 1e-5);
    assert_relative_eq!(sweep.width().si(), 0.000516502, max_relative = 1e-4);
    assert_relative_eq!(sweep.middle().si(), 0.000241749, max_relative = 1e-3);
    // Square at half lift: both ends of the sweep alike.
    assert_relative_eq!(sweep.seated.si(), sweep.open.si(), epsilon = 1e-12);
    // From either side the nearer of the two solutions.
    for (from, height, pushrod) in [(1.0, 0.00057385028, 0.1890935549), (4.9, 0.0051389985, 0.19674762814)] {
        let centred = rocker(from).centred(mm(8.0)).unwrap();
        assert_relative_eq!(centred.height().si(), height, max_relative = 1e-6);
        assert_relative_eq!(centred.pushrod_length().si(), pushrod, max_relative = 1e-7);
        let sweep = centred.sweep(centred.valve_lift(mm(8.0)).unwrap()).unwrap();
        assert_relative_eq!(sweep.middle().si(), 0.0, epsilon = 1e-12);
    }
}

/// Closed form: two equal arms in line and square to the valve when seated, the pushrod parallel to the valve when seated. At the turn
/// beta the cup stands a sin(beta) higher and a (1 - cos(beta)) nearer, so that s = a sin(beta) + L - sqrt(L^2 - a^2 (1 -
/// cos(beta))^2), while v = a sin(beta).
#[test]
fn symmetrical_rocker() {
    let (a, l) = (0.03, 0.15);
    let arm = RockerArm::new(mm(30.0), mm(8.0), mm(30.0), deg(180.0)).unwrap();
    let lifter = LifterSeat::new(mm(-30.0), mm(8.0 - 150.0), deg(0.0)).unwrap();
    let rocker = Rocker::new(arm, mm(30.0), mm(8.0), lifter).unwrap();
    assert_relative_eq!(rocker.pushrod_length().si(), l, max_relative = 1e-15);
    for i in 0..20 {
        let beta = f64::from(i) * 0.03;
        let aside = a * (1.0 - beta.cos());
        let s = Length::from_si(a * beta.sin() + l - (l * l - aside * aside).sqrt());
        let v = a * beta.sin();
        assert_relative_eq!(rocker.turned(s).unwrap().si(), beta, epsilon = 1e-13);
        assert_relative_eq!(rocker.valve_lift(s).unwrap().si(), v, epsilon = 1e-15);
        assert_relative_eq!(rocker.lifter_lift(Length::from_si(v)).unwrap().si(), s.si(), epsilon = 1e-15);
    }
    assert_relative_eq!(rocker.derivatives(mm(0.0)).unwrap().first, 1.0, max_relative = 1e-14);
}

#[test]
fn the_fixed_ratio_is_the_limit_of_long_arms() {
    let scaled = |by: f64| {
        let arm = RockerArm::new(mm(36.0 * by), mm(9.0), mm(24.0 * by), deg(180.0)).unwrap();
        let lifter = LifterSeat::new(mm(-24.0 * by), mm(9.0 - 190.0 * by), deg(0.0)).unwrap();
        Train::over(Rocker::new(arm, mm(36.0 * by), mm(9.0), lifter).unwrap())
    };
    let fixed = Train::ratio(Ratio::from_si(1.5)).unwrap();
    let off =
        |by: f64| (scaled(by).valve_lift(mm(8.0)).unwrap() - fixed.valve_lift(mm(8.0)).unwrap()).si().abs();
    assert!(off(1.0) > 1e-6);
    assert!(off(1000.0) < off(1.0) / 100.0 && off(1000.0) < 1e-7);
    let motion = Lift { lift: mm(8.0), velocity: mm(3.0), acceleration: mm(-9.0), jerk: mm(2.0) };
    let (long, short) = (scaled(1e5).valve(motion).unwrap(), fixed.valve(motion).unwrap());
    assert_relative_eq!(long.acceleration.si(), short.acceleration.si(), max_relative = 1e-4);
    assert_relative_eq!(short.jerk.si(), 0.003, max_relative = 1e-14);
}

#[test]
fn lash_is_taken_up_first() {
    let train = Train::over(rocker(4.0));
    let lash = mm(0.3);
    let opens = train.lifter_lift(lash).unwrap();
    let motion = |s: Length| Lift { lift: s, velocity: mm(2.0), acceleration: mm(5.0), jerk: mm(1.0) };
    assert_eq!(train.valve_with_lash(motion(opens * 0.999), lash).unwrap(), Lift::default());
    let open = train.valve_with_lash(motion(opens * 1.001), lash).unwrap();
    let free = train.valve(motion(opens * 1.001)).unwrap();
    assert!(open.lift.si() > 0.0 && open.lift < mm(0.001));
    assert_eq!(open, Lift { lift: free.lift - lash, ..free });
    assert_eq!(Train::direct().valve(motion(mm(3.0))).unwrap(), motion(mm(3.0)));
    assert!(train.valve_with_lash(motion(opens), mm(-0.1)).is_err());
}

#[test]
fn hot_lash_of_named_growths() {
    let growths = TrainGrowths { engine: mm(0.4), pushrod: mm(0.2), head: mm(0.05), valve: mm(0.15) };
    let hot = hot_lash(mm(0.25), Ratio::from_si(1.5), growths).unwrap();
    assert_relative_eq!(hot.si(), 0.25e-3 + 1.5 * 0.2e-3 + 0.05e-3 - 0.15e-3, max_relative = 1e-12);
    let none = hot_lash(mm(0.25), Ratio::from_si(1.5), TrainGrowths::default()).unwrap();
    assert_eq!(none, mm(0.25));
    assert!(hot_lash(mm(0.25), Ratio::from_si(0.0), growths).is_err());
    let broken = TrainGrowths { head: mm(f64::NAN), ..growths };
    assert!(hot_lash(mm(0.25), Ratio::from_si(1.5), broken).is_err());
}

#[test]
fn rockers_that_cannot_be_are_refused() {
    assert!(RockerArm::new(mm(0.0), mm(9.0), mm(24.0), deg(170.0)).is_err());
    assert!(RockerArm::new(mm(36.0), mm(9.0), mm(24.0), deg(360.0)).is_err());
    assert!(LifterSeat::new(mm(-24.0), mm(-190.0), deg(90.0)).is_err());
    let good = rocker(4.0);
    let error = good.with_height(mm(50.0)).unwrap_err();
    assert_eq!(error.allowed().as_deref(), Some("between -27 mm and 45 mm, to meet the stem"));
    // The cup on the side of the valve: the pushrod would close it.
    let wrong = RockerArm::new(mm(36.0), mm(9.0), mm(24.0), deg(10.0)).unwrap();
    assert!(Rocker::new(wrong, mm(35.5), mm(4.0), *good.lifter()).is_err());
    let error = good.valve_lift(mm(60.0)).unwrap_err();
    assert_eq!((error.kind(), error.value().as_deref()), (ErrorKind::OutOfRange, Some("60 mm")));
    assert!(good.valve_lift(mm(-0.1)).is_err());
    assert!(good.derivatives(mm(f64::NAN)).is_err());
    assert!(good.contact(mm(60.0)).is_err());
    // An arm too short for the stem is never centred; its pushrod cannot be of any length.
    let short = Rocker::new(*good.arm(), mm(36.5), mm(4.0), *good.lifter()).unwrap();
    let error = short.centred(mm(8.0)).unwrap_err();
    assert!(error.to_string().contains("it lies -0.75"), "{error}");
    assert_eq!(good.with_pushrod(mm(400.0)).unwrap_err().kind(), ErrorKind::NoSolution);
}

proptest! {
    #[test]
    fn the_derivatives_are_those_of_finite_differences(
        height in -4.0..8.0f64, lean in -8.0..8.0f64, included in 150.0..190.0f64, x in -30.0..-18.0f64, s in 0.2..8.0f64,
    ) {
        let arm = RockerArm::new(mm(36.0), mm(9.0), mm(24.0), deg(included)).unwrap();
        let lifter = LifterSeat::new(mm(x), mm(-190.0), deg(lean)).unwrap();
        let train = Train::over(Rocker::new(arm, mm(35.5), mm(height), lifter).unwrap());
        let h = 1e-5;
        let at = |ds: f64| train.derivatives(Length::from_si(s / 1000.0 + ds)).unwrap();
        let lift = |ds: f64| train.valve_lift(Length::from_si(s / 1000.0 + ds)).unwrap().si();
        let d = at(0.0);
        prop_assert!(((lift(h) - lift(-h)) / (2.0 * h) - d.first).abs() < 1e-6);
        prop_assert!(((at(h).first - at(-h).first) / (2.0 * h) - d.second).abs() < 1e-3);
        prop_assert!(((at(h).second - at(-h).second) / (2.0 * h) - d.third).abs() < 1.0 + d.third.abs() * 1e-4);
        let back = train.lifter_lift(train.valve_lift(mm(s)).unwrap()).unwrap();
        prop_assert!((back - mm(s)).si().abs() < 1e-14);
    }

    #[test]
    fn the_valves_motion_is_the_derivative_of_its_lift(t in 0.1..1.4f64) {
        // The lifter's s = 8 mm sin^2(t), with all derivatives.
        let lifter = |t: f64| Lift {
            lift: mm(8.0 * t.sin().powi(2)),
            velocity: mm(8.0 * (2.0 * t).sin()),
            acceleration: mm(16.0 * (2.0 * t).cos()),
            jerk: mm(-32.0 * (2.0 * t).sin()),
        };
        let train = Train::over(rocker(4.0));
        let at = |t: f64| train.valve(lifter(t)).unwrap();
        let (h, here) = (1e-4, at(t));
        let slope = |of: fn(Lift) -> Length| (of(at(t + h)) - of(at(t - h))).si() / (2.0 * h);
        prop_assert!((slope(|l| l.lift) - here.velocity.si()).abs() < 1e-8);
        prop_assert!((slope(|l| l.velocity) - here.acceleration.si()).abs() < 1e-7);
        prop_assert!((slope(|l| l.acceleration) - here.jerk.si()).abs() < 1e-6);
    }

    #[test]
    fn the_sweep_holds_every_contact_and_no_more(height in -2.0..8.0f64, valve in 1.0..14.0f64, share in 0.0..1.0f64) {
        let rocker = rocker(height);
        let sweep = rocker.sweep(mm(valve)).unwrap();
        let place = rocker.contact(mm(valve * share)).unwrap();
        prop_assert!(place.si() >= sweep.inner.si() - 1e-15 && place.si() <= sweep.outer.si() + 1e-15);
        prop_assert!(sweep.inner == sweep.seated || sweep.inner == sweep.open);
    }

    #[test]
    fn a_pushrod_asked_for_is_the_one_set(height in -4.0..8.0f64, length in 186.0..198.0f64) {
        let set = rocker(height).with_pushrod(mm(length)).unwrap();
        prop_assert!((set.pushrod_length() - mm(length)).si().abs() < 1e-14);
        prop_assert!(set.with_pushrod(mm(length + 1.0)).unwrap().height() > set.height());
    }

    #[test]
    fn least_sweep_is_least(lifter in 4.0..9.0f64, other in 0.02..3.0f64, lower in proptest::bool::ANY) {
        let best = rocker(4.0).least_sweep(mm(lifter)).unwrap();
        let width = |r: &Rocker| r.sweep(r.valve_lift(mm(lifter)).unwrap()).unwrap().width();
        let beside = best.with_height(best.height() + mm(if lower { -other } else { other })).unwrap();
        prop_assert!(width(&beside) > width(&best));
    }

    #[test]
    fn the_closing_angle_of_the_arms_is_free(included in 140.0..200.0f64) {
        // At no lift the ratio is the arms' over the pushrod's lever: x / (cup arm x sin of its angle to the pushrod), with a pushrod
        // along the lifter's axis.
        let arm = RockerArm::new(mm(36.0), mm(9.0), mm(24.0), deg(included)).unwrap();
        let angle = included.to_radians();
        let cup = mm(24.0 * angle.cos());
        let lifter = LifterSeat::new(cup, mm(-180.0), deg(0.0)).unwrap();
        let rocker = Rocker::new(arm, mm(36.0), mm(9.0), lifter).unwrap();
        let ratio = rocker.derivatives(mm(0.0)).unwrap().first;
        prop_assert!((ratio - 36.0 / (24.0 * (PI - angle).cos())).abs() < 1e-12);
    }
}
