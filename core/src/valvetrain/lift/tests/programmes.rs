use super::*;

/// A rise of 10 mm in 80 degrees, with an unlike fall after it.
fn rise(programme: Programme) -> LiftCurve {
    lobe(10.0, flank(programme, 80.0), flank(Programme::Harmonic, 100.0), 0.0)
}

/// Lift and derivatives of the rise with height and length 1, at x from 0 to 1.
fn normalised(programme: Programme, x: f64) -> [f64; 4] {
    let l = 80f64.to_radians();
    let Lift { lift, velocity, acceleration, jerk } = rise(programme).at(cam(l * (x - 1.0)));
    [lift.si(), velocity.si() * l, acceleration.si() * l * l, jerk.si() * l * l * l].map(|v| v / 0.01)
}

/// Greatest velocity, acceleration and jerk (without sign) of a rise of 1 over a length of 1. Norton, Cam Design and Manufacturing Handbook,
/// table of peak factors (from memory), where jerk of simple harmonic is 15.5; more digits by dense scanning of the closed forms with numpy.
#[test]
fn peak_factors_are_the_published_ones() {
    let published = [
        (Programme::Polynomial345, [1.875, 5.773_502_691_9, 60.0]),
        (Programme::Polynomial4567, [2.1875, 7.513_188_404_4, 52.5]),
        (Programme::Cycloidal, [2.0, TAU, 39.478_417_604_4]),
        (Programme::Harmonic, [core::f64::consts::FRAC_PI_2, 4.934_802_200_5, 15.503_138_340_1]),
    ];
    for (programme, factors) in published {
        let mut most = [0f64; 3];
        // Not up to the nose itself, which is of the other flank.
        for i in 0..20_000 {
            let [_, v, a, j] = normalised(programme, f64::from(i) / 20_000.0);
            for (most, value) in most.iter_mut().zip([v, a, j]) {
                *most = most.max(value.abs());
            }
        }
        for (found, factor) in most.iter().zip(factors) {
            assert_relative_eq!(*found, factor, max_relative = 1e-7);
        }
        let found = rise(programme).extremes();
        let l = 80f64.to_radians();
        assert_relative_eq!(found.greatest_velocity.value.si() * l / 0.01, factors[0], max_relative = 1e-10);
        assert_relative_eq!(
            found.greatest_acceleration.value.si() * l * l / 0.01,
            factors[1],
            max_relative = 1e-10
        );
    }
}

/// The closed forms at x = 1/8, differentiated and evaluated with sympy.
#[test]
fn values_are_those_of_the_closed_forms() {
    let by_sympy = [
        (Programme::Polynomial345, [0.016_052_246_093_75, 0.358_886_718_75, 4.921_875, 20.625]),
        (
            Programme::Polynomial4567,
            [0.006_238_937_377_929_68, 0.183_181_762_695_312, 3.768_310_546_875, 41.630_859_375],
        ),
        (
            Programme::Cycloidal,
            [0.012_460_460_480_361_7, 0.292_893_218_813_452, 4.442_882_938_158_36, 27.915_456_798_555_5],
        ),
        (
            Programme::Harmonic,
            [0.038_060_233_744_356_6, 0.601_117_729_884_346, 4.559_162_750_074_88, -5.932_794_192_439_38],
        ),
    ];
    for (programme, expected) in by_sympy {
        // Each is symmetrical about its middle: s(1 - x) = 1 - s(x), and so on.
        let [s, v, a, j] = normalised(programme, 0.875);
        let mirrored = [1.0 - s, v, -a, j];
        for ((found, mirrored), expected) in normalised(programme, 0.125).iter().zip(mirrored).zip(expected) {
            assert_relative_eq!(*found, expected, max_relative = 1e-11);
            assert_relative_eq!(mirrored, expected, max_relative = 1e-11);
        }
    }
}

#[test]
fn what_vanishes_at_the_foot_and_what_does_not() {
    let near = 1e-9;
    for (programme, acceleration, jerk) in [
        (Programme::Polynomial345, 0.0, 60.0),
        (Programme::Polynomial4567, 0.0, 0.0),
        (Programme::Cycloidal, 0.0, 39.478_417_604_4),
        (Programme::Harmonic, 4.934_802_200_5, 0.0),
    ] {
        let [s, v, a, j] = normalised(programme, near);
        assert!(s.abs() < 1e-16 && v.abs() < 1e-7);
        assert!((a - acceleration).abs() < 1e-6 && (j - jerk).abs() < 1e-5, "{programme:?}: {a}, {j}");
    }
}

/// On a ramp of 0.3 mm over 20 degrees the velocity builds up over the first 5, and stays.
#[test]
fn a_ramp_builds_up_and_goes_on_at_its_velocity() {
    for programme in PROGRAMMES {
        let curve = lobe(10.0, ramped(programme, 60.0, 0.3, 20.0), ramped(programme, 60.0, 0.3, 20.0), 0.0);
        // 0.3 mm over 17.5 degrees: the mean velocity over the build-up is half.
        let v = 0.3e-3 / 17.5f64.to_radians();
        assert_relative_eq!(Ramp::new(mm(0.3), deg(20.0)).unwrap().velocity().si(), v, max_relative = 1e-14);
        for (angle, gained) in [(-75.0, 2.5), (-70.0, 7.5), (-62.0, 15.5), (-60.0, 17.5)] {
            let at = curve.at(deg(angle + 1e-9));
            assert_relative_eq!(at.lift.si(), v * f64::to_radians(gained), max_relative = 1e-8);
            assert_relative_eq!(at.velocity.si(), v, max_relative = 1e-7);
            let closing = curve.at(deg(-angle - 1e-9));
            assert_relative_eq!(closing.lift.si(), at.lift.si(), max_relative = 1e-12);
            assert_relative_eq!(closing.velocity.si(), -v, max_relative = 1e-7);
        }
        assert_relative_eq!(curve.at(deg(-77.5)).velocity.si(), v / 2.0, max_relative = 1e-12);
        assert!(curve.at(deg(-65.0)).acceleration.si().abs() < 1e-15);
        assert_eq!(curve.at(deg(-80.5)), Lift::default());
    }
}

/// Halfway up the flank: height + v L (1/2 - I) + rise / 2, with I the integral of the programme from 0 to 1/2, by sympy.
#[test]
fn a_flank_on_a_ramp_halfway() {
    let integrals = [5.0 / 64.0, 35.0 / 512.0, 0.074_339_408_178_831_1, 0.090_845_056_908_104_6];
    for (programme, integral) in PROGRAMMES.into_iter().zip(integrals) {
        let curve = lobe(10.0, ramped(programme, 60.0, 0.3, 20.0), flank(programme, 60.0), 0.0);
        let along = 0.3e-3 / 17.5 * 60.0;
        let rise = 10e-3 - 0.3e-3 - along / 2.0;
        let expected = 0.3e-3 + along * (0.5 - integral) + rise / 2.0;
        assert_relative_eq!(curve.lift(deg(-30.0)).si(), expected, max_relative = 1e-12);
    }
}
