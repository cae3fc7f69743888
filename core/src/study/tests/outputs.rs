//! What outputs come to, and the declared directions over random designs.

use super::*;

#[test]
fn shaking_forces_are_those_of_the_textbooks() {
    use crate::geometry::{Cycle, Layout};
    use crate::units::{Angle, Dimensioned};
    let degrees = |all: &[f64]| all.iter().map(|d| Angle::from_si(d.to_radians())).collect::<Vec<_>>();
    // In-line four: no first order, the second of all four pistons. Vee twin of 90 deg on one pin: a first order that turns, the
    // second across the middle of the banks, sqrt 2 of one cylinder's (Bevan, Theory of Machines, 14.6 and 14.11; from memory).
    let four =
        order_factors(&Layout::inline(&degrees(&[0.0, 180.0, 180.0, 0.0]), Cycle::FourStroke).unwrap())
            .unwrap();
    assert!(four[0].abs() < 1e-12 && (four[1] - 4.0).abs() < 1e-12, "{four:?}");
    let right = Angle::from_si(core::f64::consts::FRAC_PI_2);
    let twin = order_factors(&Layout::vee(right, &degrees(&[0.0]), Cycle::FourStroke).unwrap()).unwrap();
    assert!((twin[0] - 1.0).abs() < 1e-12 && (twin[1] - 2f64.sqrt()).abs() < 1e-12, "{twin:?}");
    use Figure as F;
    let fixed = [
        (F::Stroke, 80.0),
        (F::RodLength, 140.0),
        (F::Speed, 600.0),
        (F::ReciprocatingMass, 0.5),
        (F::SecondOrderFactor, four[1]),
    ];
    let study = Study::new(&fixed, Vec::new(), Vec::new()).unwrap();
    let (first, r) = (0.5 * 40.0 * 600.0 * 600.0, 140.0 / 40.0f64);
    let second = 4.0
        * first
        * (1.0 / r + 1.0 / (4.0 * r.powi(3)) + 15.0 / (128.0 * r.powi(5)) + 35.0 / (512.0 * r.powi(7)));
    assert!((study.output_of(0, Output::FirstOrderForce).unwrap() / first - 1.0).abs() < 1e-12);
    assert!((study.output_of(0, Output::SecondOrderForce).unwrap() / second - 1.0).abs() < 1e-5);
}
/// A random design of any figures.
fn design() -> impl Strategy<Value = [f64; Figure::ALL.len()]> {
    let lengths = (60.0..130.0f64, 50.0..130.0f64, 1.4..2.4f64, -2.0..3.0f64, 25.0..50.0f64);
    let head = (0.3..3.0f64, 1.0..1.1f64, 20e3..90e3f64, -8e3..30e3f64, 0.0..2e3f64);
    let rest = (90.0..150.0f64, 100.0..900.0f64, -30.0..80.0f64, 0.2..1.2f64);
    let valve = || (-2.0..10.0f64, 0.0..15.0f64, 150.0..340.0f64, 90.0..125.0f64, 0.0..40.0f64);
    (lengths, head, rest, valve(), valve(), -20.0..20.0f64).prop_map(
        |((b, s, n, deck, comp), (gt, gb, ch, crown, crevice), (sp, w, ivc, m), intake, exhaust, advance)| {
            let rod = s * n;
            [
                b,
                s,
                rod,
                0.0,
                s / 2.0 + rod + comp + deck,
                deck,
                comp,
                gt,
                gb * b,
                ch,
                crown,
                crevice,
                sp,
                4.0,
                w,
                ivc,
                m,
                4.0 * m,
                2.0 + m,
                advance,
                intake.0,
                intake.1,
                intake.2,
                intake.3,
                intake.4,
                exhaust.0,
                exhaust.1,
                exhaust.2,
                -exhaust.3,
                exhaust.4,
            ]
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]
    #[test]
    fn outputs_move_as_declared(figures in design(), which in 0usize..Figure::ALL.len(), more in 1e-6..0.02f64, follows: bool, offset in -1.0..1.0f64, pin: bool) {
        let shape = plan::Shape { offset: pin, deck_follows: follows };
        let mut figures = figures;
        figures[Figure::PinOffset.index()] = if pin { offset } else { 0.0 };
        let mut moved = figures;
        moved[which] += more * figures[which].abs().max(1.0);
        let figure = Figure::ALL[which];
        prop_assume!(figure != Figure::PinOffset);
        for output in Output::ALL {
            let bounded = boxes::Bounded::new(output, shape);
            let of = |f: &[f64; Figure::ALL.len()]| Program::of(output, shape).run(f);
            let (before, after) = (of(&figures), of(&moved));
            let bare = figures[9] + figures[10] + figures[11] + Value::GasketVolume.one(shape, &[figures[8], figures[7]]);
            if output.is_a_compression_ratio() && (bare <= 0.0 || before.is_nan() || after.is_nan()) {
                continue;
            }
            let slack = 1e-12 * before.abs();
            match bounded.direction(figure) {
                Direction::Still => prop_assert_eq!(before, after, "{:?} {:?}", output, figure),
                Direction::Rises => prop_assert!(after >= before - slack, "{output:?} {figure:?} {before} {after}"),
                Direction::Falls => prop_assert!(after <= before + slack, "{output:?} {figure:?} {before} {after}"),
                Direction::Either => {}
            }
            if output.is_monotone_to_the_bit(shape.offset) {
                match bounded.direction(figure) {
                    Direction::Rises => prop_assert!(after >= before),
                    Direction::Falls => prop_assert!(after <= before),
                    _ => {}
                }
            }
        }
    }
}
