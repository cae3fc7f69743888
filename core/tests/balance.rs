//! Shaking forces and moments against the tables of layouts, and what must always hold of them.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic, clippy::expect_used, missing_docs)]

use approx::assert_relative_eq;
use proptest::prelude::*;
use swept::balance::*;
use swept::geometry::{Cylinder, Station};
use swept::units::*;

const A: f64 = 0.1;

fn mm(x: f64) -> Length {
    Length::from_si(x / 1e3)
}

fn deg(x: f64) -> Angle {
    Angle::from_si(x.to_radians())
}

fn slider() -> Cylinder {
    Cylinder::new(mm(80.0), mm(80.0), mm(140.0), mm(0.0)).unwrap()
}

/// One cylinder of unit mass over radius, so that a force of the first order is 1.
fn cylinder(bank: f64, throw: f64, position: f64) -> ShakingCylinder {
    ShakingCylinder {
        cylinder: slider(),
        station: Station { bank_angle: deg(bank), throw_angle: deg(throw) },
        position: Length::from_si(position * A),
        reciprocating: Mass::from_si(1.0 / slider().crank_radius().si()),
    }
}

fn inline(throws: &[f64]) -> Vec<ShakingCylinder> {
    throws.iter().enumerate().map(|(i, t)| cylinder(0.0, *t, i as f64)).collect()
}

/// A vee with the even bank's pins turned by `split` against the odd bank's.
fn vee(angle: f64, throws: &[f64], split: f64) -> Vec<ShakingCylinder> {
    let pair = |(i, t): (usize, &f64)| {
        [cylinder(angle / 2.0, *t, i as f64), cylinder(-angle / 2.0, t + split, i as f64)]
    };
    throws.iter().enumerate().flat_map(pair).collect()
}

/// F1, M1, M1 forward, M1 backward, F2, F2 across, F2 along, M2, rotating force and moment, in the units of the tables.
fn figures(cylinders: Vec<ShakingCylinder>) -> [f64; 10] {
    let rotating = cylinders
        .iter()
        .map(|c| RotatingMass::new(Unbalance::from_si(1.0), c.station.throw_angle, c.position, 1).unwrap())
        .collect();
    let a2 = acceleration_harmonics(&slider())[1].re;
    let turning = ShakingEngine::new(Vec::new(), rotating).unwrap();
    let engine = ShakingEngine::new(cylinders, Vec::new()).unwrap();
    let middle = Length::from_si(0.0);
    let (f1, f2) = (engine.force(1).unwrap(), engine.force(2).unwrap());
    let (m1, m2) = (engine.moment(1, middle).unwrap(), engine.moment(2, middle).unwrap());
    let rotating_moment = turning.moment(1, middle).unwrap();
    [
        f1.greatest(),
        m1.greatest() / A,
        m1.forward.norm() / A,
        m1.backward.norm() / A,
        f2.greatest() / a2,
        f2.along(deg(90.0)) / a2,
        f2.along(deg(0.0)) / a2,
        m2.greatest() / A / a2,
        turning.force(1).unwrap().greatest(),
        rotating_moment.greatest() / A,
    ]
}

/// Tables of free forces and moments of the 1st and 2nd order: Bosch Automotive Handbook; Norton, Design of Machinery, chapter 14; Taylor, vol. 2,
/// chapter 8 (from memory); for the 60-degree V twin, the V4 and two of the V6 computed independently. Units: m r w^2, times lambda for the second order,
/// times the spacing for moments. Moments only where the force is nothing, so that they do not depend on the place.
#[test]
fn layouts_of_the_tables() {
    let s2 = 2f64.sqrt();
    let none = f64::NAN;
    let rows: Vec<(&str, Vec<ShakingCylinder>, [f64; 10])> = vec![
        ("in-line 2, 360", inline(&[0.0, 360.0]), [2.0, none, none, none, 2.0, 0.0, 2.0, none, 2.0, none]),
        ("in-line 2, 180", inline(&[0.0, 180.0]), [0.0, 1.0, 0.5, 0.5, 2.0, 0.0, 2.0, none, 0.0, 1.0]),
        (
            "in-line 5, 1-2-4-5-3",
            inline(&[0.0, 216.0, 144.0, 72.0, 288.0]),
            [0.0, 0.449_028, 0.224_514, 0.224_514, 0.0, 0.0, 0.0, 4.979_797, 0.0, 0.449_028],
        ),
        ("in-line 6", inline(&[0.0, 240.0, 120.0, 120.0, 240.0, 0.0]), [0.0; 10]),
        ("V2 90", vee(90.0, &[0.0], 0.0), [1.0, none, none, none, s2, s2, 0.0, none, 2.0, none]),
        (
            "V2 60",
            vee(60.0, &[0.0], 0.0),
            [1.5, none, none, none, 0.866_025, 0.866_025, 0.866_025, none, 2.0, none],
        ),
        (
            "V4 90",
            vee(90.0, &[0.0, 180.0], 0.0),
            [0.0, 1.0, 1.0, 0.0, 2.0 * s2, 2.0 * s2, 0.0, none, 0.0, 2.0],
        ),
        (
            "V6 90, three throws",
            vee(90.0, &[0.0, 120.0, 240.0], 0.0),
            [0.0, 1.732_051, 1.732_051, 0.0, 0.0, 0.0, 0.0, 2.449_49, 0.0, 3.464_102],
        ),
        (
            "V6 60, three throws",
            vee(60.0, &[0.0, 120.0, 240.0], 0.0),
            [0.0, 2.598_076, 1.732_051, 0.866_025, 0.0, 0.0, 0.0, 1.5, 0.0, 3.464_102],
        ),
        (
            "V6 60, six throws",
            vee(60.0, &[0.0, 120.0, 240.0], 60.0),
            [0.0, 1.5, 1.5, 0.0, 0.0, 0.0, 0.0, 1.5, 0.0, 3.0],
        ),
        (
            "V6 90, pins split by 30",
            vee(90.0, &[0.0, 120.0, 240.0], 30.0),
            [0.0, 2.121_32, 1.673_033, 0.448_288, 0.0, 0.0, 0.0, 2.121_32, 0.0, 3.346_065],
        ),
        (
            "V6 90, pins split by -30",
            vee(90.0, &[0.0, 120.0, 240.0], -30.0),
            [0.0, 2.121_32, 1.673_033, 0.448_288, 0.0, 0.0, 0.0, 2.121_32, 0.0, 3.346_065],
        ),
        (
            "V8 90, cross-plane",
            vee(90.0, &[0.0, 90.0, 270.0, 180.0], 0.0),
            [0.0, 3.162_278, 3.162_278, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 6.324_555],
        ),
    ];
    for (name, cylinders, expected) in rows {
        let found = figures(cylinders);
        for (i, (f, e)) in found.iter().zip(expected).enumerate() {
            assert!(e.is_nan() || (f - e).abs() < 2e-6, "{name}, figure {i}: {f} against {e}");
        }
    }
}

/// Exact Fourier coefficients; the series of Biezeno and Grammel (from memory) has the same leading terms.
#[test]
fn harmonics_of_the_slider_crank() {
    let r = 3.5;
    let cylinder = Cylinder::new(mm(80.0), mm(80.0), mm(40.0 * r), mm(0.0)).unwrap();
    let a = acceleration_harmonics(&cylinder);
    for (order, expected) in [(1, 1.0), (2, 0.29178), (3, 0.0), (4, -0.006211), (5, 0.0), (6, 0.000149)] {
        assert!(
            (a[order - 1].re - expected).abs() < 1e-6 && a[order - 1].im.abs() < 1e-12,
            "{order}: {}",
            a[order - 1]
        );
    }
    let series = 1.0 / r + 1.0 / (4.0 * r.powi(3)) + 15.0 / (128.0 * r.powi(5)) + 35.0 / (512.0 * r.powi(7));
    assert_relative_eq!(a[1].re, series, max_relative = 1e-4);
}

/// Sarkar, Theory of Machines, chapter 12, illustration 1, as worked in an open textbook companion: what is left of one cylinder whose
/// counterweight carries two thirds of the reciprocating mass, at 30 degrees, 3264 N. The first order alone.
#[test]
fn a_single_cylinder_of_a_textbook() {
    let (mass, radius, speed) = (120.0, 0.09, AngularVelocity::from_si(250.0 * core::f64::consts::PI / 30.0));
    let long_rod = Cylinder::new(mm(100.0), mm(180.0), Length::from_si(500.0), mm(0.0)).unwrap();
    let piston = ShakingCylinder {
        cylinder: long_rod,
        station: Station { bank_angle: deg(0.0), throw_angle: deg(0.0) },
        position: mm(0.0),
        reciprocating: Mass::from_si(mass),
    };
    let balance = Unbalance::from_si(mass * 2.0 / 3.0 * radius);
    let weight = RotatingMass::new(balance, deg(180.0), mm(0.0), 1).unwrap();
    let engine = ShakingEngine::new(vec![piston], vec![weight]).unwrap();
    let left = engine.force(1).unwrap().at(deg(30.0));
    assert_relative_eq!(force_of(left.norm(), speed).si(), 3264.0, max_relative = 1e-3);
}

/// Khurmi and Gupta, Theory of Machines, chapter 22 (from memory): a 90-degree vee twin, greatest secondary force 836 N, with A2 = r/l.
#[test]
fn a_vee_twin_of_a_textbook() {
    let cylinder = Cylinder::new(mm(100.0), mm(150.0), mm(300.0), mm(0.0)).unwrap();
    let piston = |bank: f64| ShakingCylinder {
        cylinder,
        station: Station { bank_angle: deg(bank), throw_angle: deg(0.0) },
        position: mm(0.0),
        reciprocating: Mass::from_si(11.5),
    };
    let engine = ShakingEngine::new(vec![piston(45.0), piston(-45.0)], Vec::new()).unwrap();
    let speed = AngularVelocity::from_si(500.0 * core::f64::consts::PI / 30.0);
    let exact_over_first_term = acceleration_harmonics(&cylinder)[1].re * 4.0;
    let found = force_of(engine.force(2).unwrap().greatest(), speed).si() / exact_over_first_term;
    assert_relative_eq!(found, 836.0, max_relative = 1e-3);
}

/// Bevan, The Theory of Machines, chapter 14, example 5, as worked in an open textbook companion: 180 lb turn and 150 lb go up and down at a crank
/// radius of 7.5 in, half of the latter is balanced at 6 in: 318.8 lb there, and 1436 lbf (1436.8, cut off) are left at 300 rpm.
#[test]
fn half_the_reciprocating_mass_of_a_textbook() {
    let (pound, inch) = (0.45359237, 0.0254);
    let (rotating, reciprocating) = (180.0 * pound, 150.0 * pound);
    let slider =
        Cylinder::new(mm(100.0), Length::from_si(15.0 * inch), Length::from_si(500.0), mm(0.0)).unwrap();
    let station = Station { bank_angle: deg(0.0), throw_angle: deg(0.0) };
    let piston = ShakingCylinder {
        cylinder: slider,
        station,
        position: mm(0.0),
        reciprocating: Mass::from_si(reciprocating),
    };
    let pin = RotatingMass::on_crank(Mass::from_si(rotating), Length::from_si(7.5 * inch), deg(0.0), mm(0.0))
        .unwrap();
    let rods = [Mass::from_si(rotating)];
    let bob = bob_weight(&rods, &[Mass::from_si(reciprocating)], Ratio::from_si(0.5)).unwrap();
    let weight = bob.si() * 7.5 / 6.0;
    assert!((weight / pound - 318.8).abs() < 0.1);
    let weight =
        RotatingMass::on_crank(Mass::from_si(weight), Length::from_si(6.0 * inch), deg(180.0), mm(0.0))
            .unwrap();
    let engine = ShakingEngine::new(vec![piston], vec![pin, weight]).unwrap();
    let speed = AngularVelocity::from_si(300.0 * core::f64::consts::PI / 30.0);
    // The book's pound-force is a pound at 32.2 ft/s2.
    let pound_force = pound * 32.2 * 0.3048;
    let left = engine.force(1).unwrap();
    assert!((force_of(left.greatest(), speed).si() / pound_force - 1436.0).abs() < 1.0);
    // With half balanced, as much is left along the stroke as across it.
    assert_relative_eq!(left.greatest(), left.least(), max_relative = 1e-12);
}

/// Bevan, chapter 14, example 12, as worked in an open textbook companion: three cylinders at 120 degrees about one pin, 4 lb of reciprocating mass each, 5 in stroke,
/// 9 in rods, 1500 rpm: 4.29 lb at 3.5 in balance the first order; 266 lbf of the second order are left, with A2 = r/l.
#[test]
fn three_cylinders_about_one_pin_of_a_textbook() {
    let (pound, inch) = (0.45359237, 0.0254);
    let inches = |x: f64| Length::from_si(x * inch);
    let cylinder = Cylinder::new(mm(100.0), inches(5.0), inches(9.0), mm(0.0)).unwrap();
    let piston = |bank: f64| ShakingCylinder {
        cylinder,
        station: Station { bank_angle: deg(bank), throw_angle: deg(0.0) },
        position: mm(0.0),
        reciprocating: Mass::from_si(4.0 * pound),
    };
    let engine = ShakingEngine::new([0.0, 120.0, 240.0].map(piston).to_vec(), Vec::new()).unwrap();
    let [weight, none] = engine.counterweights(mm(0.0), mm(50.0)).unwrap();
    assert!((weight.unbalance.si() / inches(3.5).si() / pound - 4.29).abs() < 0.005);
    assert_relative_eq!(weight.angle.si(), core::f64::consts::PI, max_relative = 1e-12);
    assert!(none.unbalance.si() < 1e-12);
    let balanced = engine.with(&[weight]).unwrap();
    assert!(balanced.force(1).unwrap().greatest() < 1e-12);
    let exact_over_first_term = acceleration_harmonics(&cylinder)[1].re * 9.0 / 2.5;
    let speed = AngularVelocity::from_si(1500.0 * core::f64::consts::PI / 30.0);
    let second = force_of(engine.force(2).unwrap().greatest(), speed).si() / exact_over_first_term;
    assert!((second / (pound * 32.2 * 0.3048) - 266.0).abs() < 0.5);
}

#[test]
fn what_cannot_be_is_refused() {
    assert!(ShakingEngine::new(Vec::new(), Vec::new()).is_err());
    let engine = ShakingEngine::new(inline(&[0.0]), Vec::new()).unwrap();
    assert!(engine.force(0).is_err() && engine.force(7).is_err());
    assert!(engine.counterweights(mm(5.0), mm(5.0)).is_err());
    assert!(RotatingMass::new(Unbalance::from_si(1.0), deg(0.0), mm(0.0), 0).is_err());
    assert!(RotatingMass::new(Unbalance::from_si(-1.0), deg(0.0), mm(0.0), 1).is_err());
    assert!(engine.force_at(deg(f64::NAN), AngularVelocity::from_si(1.0)).is_err());
}

fn any_engine() -> impl Strategy<Value = ShakingEngine> {
    let one = (-180.0..180.0f64, 0.0..360.0f64, -2.0..2.0f64, 0.1..2.0f64, -1.0..1.0f64);
    let cylinders = proptest::collection::vec(one, 1..6).prop_map(|rows| {
        let make = |(bank, throw, position, mass, offset): &(f64, f64, f64, f64, f64)| ShakingCylinder {
            cylinder: Cylinder::new(mm(80.0), mm(80.0), mm(140.0), mm(*offset)).unwrap(),
            reciprocating: Mass::from_si(*mass),
            ..cylinder(*bank, *throw, *position)
        };
        rows.iter().map(make).collect::<Vec<_>>()
    });
    let mass =
        (0.001..0.05f64, 0.0..360.0f64, -2.0..2.0f64, prop_oneof![Just(-2), Just(-1), Just(1), Just(2)]);
    let masses = proptest::collection::vec(mass, 0..4).prop_map(|rows| {
        let make = |(u, angle, position, turns): &(f64, f64, f64, i32)| {
            RotatingMass::new(Unbalance::from_si(*u), deg(*angle), Length::from_si(position * A), *turns)
                .unwrap()
        };
        rows.iter().map(make).collect::<Vec<_>>()
    });
    (cylinders, masses).prop_map(|(c, m)| ShakingEngine::new(c, m).unwrap())
}

proptest! {
    /// The orders added up are the exact force and moment, but for orders above the sixth.
    #[test]
    fn orders_add_up_to_the_exact_resultant(engine in any_engine(), crank in 0.0..360.0f64) {
        let (crank, speed) = (deg(crank), AngularVelocity::from_si(100.0));
        let (along, across) = engine.force_at(crank, speed).unwrap();
        let sum: num_complex::Complex64 = (1..=6).map(|n| engine.force(n).unwrap().at(crank)).sum();
        let size: f64 = engine.cylinders().iter().map(|c| c.reciprocating.si() * 0.04 * 1e4).sum();
        prop_assert!((along.si() - sum.re * 1e4).abs() < 1e-4 * size && (across.si() - sum.im * 1e4).abs() < 1e-4 * size);
        let about = mm(13.0);
        let (of_along, of_across) = engine.moment_at(crank, speed, about).unwrap();
        let sum: num_complex::Complex64 = (1..=6).map(|n| engine.moment(n, about).unwrap().at(crank)).sum();
        prop_assert!((of_along.si() - sum.re * 1e4).abs() < 1e-4 * size && (of_across.si() - sum.im * 1e4).abs() < 1e-4 * size);
    }

    /// The engine turned as a whole shakes as before, turned; its amounts do not change.
    #[test]
    fn turning_the_engine_turns_its_forces(engine in any_engine(), turn in -180.0..180.0f64) {
        let turn = deg(turn);
        let station = |c: &ShakingCylinder| Station { bank_angle: c.station.bank_angle + turn, throw_angle: c.station.throw_angle + turn };
        let cylinders = engine.cylinders().iter().map(|c| ShakingCylinder { station: station(c), ..*c }).collect();
        // A shaft against the crank turns back as the crank turns on, seen from banks that have turned with it: only its start turns.
        let masses = engine.rotating().iter().map(|m| RotatingMass { angle: m.angle + turn, ..*m }).collect();
        let turned = ShakingEngine::new(cylinders, masses).unwrap();
        for order in 1..=6 {
            let (before, after) = (engine.force(order).unwrap(), turned.force(order).unwrap());
            prop_assert!((before.greatest() - after.greatest()).abs() < 1e-12 && (before.least() - after.least()).abs() < 1e-12);
        }
    }

    /// Where no force is left, the moment is the same about every point; else it moves by force times distance.
    #[test]
    fn a_moment_moves_with_the_force(engine in any_engine(), by in -0.5..0.5f64) {
        for order in 1..=6 {
            let here = engine.moment(order, mm(0.0)).unwrap();
            let there = engine.moment(order, Length::from_si(by)).unwrap();
            let force = engine.force(order).unwrap();
            prop_assert!((here.forward - force.forward * by - there.forward).norm() < 1e-12);
            prop_assert!((here.backward - force.backward * by - there.backward).norm() < 1e-12);
        }
    }

    /// The counterweights take away all of the first order that turns with the crank, and nothing else.
    #[test]
    fn counterweights_leave_only_what_turns_against_the_crank(engine in any_engine(), first in -0.4..0.0f64, span in 0.05..0.5f64) {
        let planes = (Length::from_si(first), Length::from_si(first + span));
        let weights = engine.counterweights(planes.0, planes.1).unwrap();
        let balanced = engine.with(&weights).unwrap();
        let scale = 1.0 + engine.force(1).unwrap().greatest() + engine.moment(1, planes.0).unwrap().greatest() / span;
        prop_assert!(balanced.force(1).unwrap().forward.norm() < 1e-12 * scale);
        prop_assert!(balanced.moment(1, mm(0.0)).unwrap().forward.norm() < 1e-12 * scale);
        prop_assert!((balanced.force(1).unwrap().backward - engine.force(1).unwrap().backward).norm() < 1e-15 * scale);
        prop_assert!((balanced.force(2).unwrap().greatest() - engine.force(2).unwrap().greatest()).abs() < 1e-15 * scale);
    }
}
