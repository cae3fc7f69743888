use super::*;

/// The conditions at the end solved, and the lobe evaluated at x = 3/10, with sympy.
#[test]
fn coefficients_are_those_of_the_conditions_at_the_end() {
    let by_sympy: [(&[u8], [f64; 4], f64); 3] = [
        (&[2, 4, 6], [0.753_571, -1.490_58, -3.003, 18.36], 16.0 / 35.0),
        (
            &[2, 6, 10, 14],
            [0.804_711_952_265_528, -1.280_863_891_858_68, -3.851_157_455_543_12, 6.882_037_528_275],
            16.0 / 33.0,
        ),
        (
            &[2, 3, 5, 9, 14, 20],
            [0.541_886_442_539_608, -2.156_377_967_572_48, 1.041_537_332_688_53, 42.513_107_604_530_3],
            1.0 / 3.0,
        ),
    ];
    let half = 70f64.to_radians();
    for (exponents, expected, area) in by_sympy {
        let curve = LiftCurve::polynomial(exponents, mm(12.0), deg(70.0)).unwrap();
        let Lift { lift, velocity, acceleration, jerk } = curve.at(deg(21.0));
        let found =
            [lift.si(), velocity.si() * half, acceleration.si() * half * half, jerk.si() * half.powi(3)];
        for (found, expected) in found.into_iter().zip(expected) {
            assert_relative_eq!(found / 0.012, expected, max_relative = 1e-11);
        }
        // The opening flank is the mirror.
        let opening = curve.at(deg(-21.0));
        assert_eq!((opening.lift, opening.acceleration), (lift, acceleration));
        assert_eq!((opening.velocity, opening.jerk), (-velocity, -jerk));
        assert_relative_eq!(curve.area().si(), 2.0 * 0.012 * half * area, max_relative = 1e-12);
    }
}

/// With n exponents lift and n - 1 derivatives vanish at the end.
#[test]
fn three_exponents_leave_jerk_at_the_end_and_four_none() {
    let per = 70f64.to_radians();
    let at_end = |exponents: &[u8]| {
        let at = LiftCurve::polynomial(exponents, mm(1.0), deg(70.0)).unwrap().at(deg(70.0 - 1e-7));
        [at.lift.si(), at.velocity.si() * per, at.acceleration.si() * per * per, at.jerk.si() * per.powi(3)]
            .map(|v| v * 1e3)
    };
    let [s, v, a, j] = at_end(&[2, 4, 6]);
    assert!(s.abs() < 1e-12 && v.abs() < 1e-12 && a.abs() < 1e-6);
    assert_relative_eq!(j, -48.0, max_relative = 1e-6);
    let [s, v, a, j] = at_end(&[2, 6, 10, 14]);
    assert!(s.abs() < 1e-12 && v.abs() < 1e-12 && a.abs() < 1e-11 && j.abs() < 1e-4, "{j}");
}

proptest! {
    /// No exponents that are taken give a lobe below zero, or one that turns back.
    #[test]
    fn any_exponents_give_one_hump(
        steps in proptest::collection::vec(1u8..16, 3..=6), first in 1u8..4, half in 20.0..180.0f64,
    ) {
        let mut e = first;
        let exponents: Vec<u8> = steps.iter().map(|s| { e += s; e }).collect();
        let curve = LiftCurve::polynomial(&exponents, mm(10.0), deg(half)).unwrap();
        let mut before = 0.010_000_1;
        for i in 0..=500 {
            let at = curve.at(deg(half * f64::from(i) / 500.0));
            prop_assert!(at.lift.si() >= 0.0 && at.lift.si() <= before + 1e-9, "{:?} {} {}", exponents, before, i);
            before = at.lift.si();
        }
    }
}
