//! Bolts against published figures; "from memory" where nobody saw the text.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic, clippy::expect_used, missing_docs)]

use approx::assert_relative_eq;
use proptest::prelude::*;
use swept::clearance::*;
use swept::units::*;

/// ISO 898-1:2013, tables 4 and 6, rounded to three digits (found for the coarse, from memory for the fine threads).
#[test]
fn stress_areas_of_metric_threads() {
    let rows = [
        ("M5", 14.2),
        ("M6", 20.1),
        ("M8", 36.6),
        ("M12", 84.3),
        ("M14", 115.0),
        ("M16", 157.0),
        ("M18", 192.0),
        ("M20", 245.0),
        ("M8x1", 39.2),
        ("M10x1.25", 61.2),
        ("M10x1", 64.5),
        ("M12x1.25", 92.1),
        ("M14x1.5", 125.0),
    ];
    for (thread, mm2) in rows {
        let area = Thread::parse(thread).unwrap().stress_area().si() * 1e6;
        assert_relative_eq!(area, mm2, max_relative = 4e-3);
    }
    assert_relative_eq!(Thread::parse("M5").unwrap().stress_area().si() * 1e6, 14.1825, max_relative = 1e-5);
}

/// ASME B1.1; Shigley, Mechanical Engineering Design, table 8-2 (from memory).
#[test]
fn stress_areas_of_unified_threads() {
    let rows = [
        ("1/4-20", 0.0318),
        ("1/4-28", 0.0364),
        ("5/16-18", 0.0524),
        ("3/8-16", 0.0775),
        ("3/8-24", 0.0878),
        ("7/16-14", 0.1063),
        ("7/16-20", 0.1187),
        ("9/16-12", 0.182),
        ("5/8-11", 0.226),
        ("3/4-10", 0.334),
    ];
    for (thread, in2) in rows {
        let area = Thread::parse(thread).unwrap().stress_area().si() / (0.0254 * 0.0254);
        assert_relative_eq!(area, in2, max_relative = 1.5e-3);
    }
}

/// ISO 898-1:2013, tables 5 and 7, to three digits (from memory; M10 found).
#[test]
fn proof_loads_to_three_digits() {
    use PropertyClass::{Class8_8, Class10_9, Class12_9};
    for (thread, class, newton) in [
        ("M6", Class8_8, 11658.0),
        ("M8", Class10_9, 30378.0),
        ("M10", Class8_8, 33640.0),
        ("M10", Class10_9, 48140.0),
        ("M10", Class12_9, 56260.0),
        ("M12", Class12_9, 81771.0),
        ("M14", Class8_8, 66700.0),
        ("M16", Class10_9, 130310.0),
    ] {
        let thread = Thread::parse(thread).unwrap();
        let load = thread.proof_load(class.proof_stress(thread.diameter())).unwrap().si();
        assert_relative_eq!(load, newton, max_relative = 4e-3);
    }
    let large = Thread::parse("M20").unwrap();
    assert_eq!(Class8_8.proof_stress(large.diameter()).si(), 600e6);
}

/// Shigley, example 8-3 (from memory): 3/4-16, 25,000 lbf, friction 0.15 in thread and collar, collar 1.25 d.
#[test]
fn torque_and_joint_of_a_textbook_bolt() {
    let thread = Thread::parse("3/4-16").unwrap();
    assert_relative_eq!(thread.pitch_diameter().si() / 0.0254, 0.7094, max_relative = 2e-4);
    let friction =
        BoltFriction::new(Ratio::from_si(0.15), Ratio::from_si(0.15), thread.diameter() * 1.25).unwrap();
    let preload: Force = parse("25000 lbf").unwrap();
    let torque = thread.torque_for(preload, &friction).unwrap();
    assert_relative_eq!(torque.si(), parse::<Torque>("3551 lbf in").unwrap().si(), max_relative = 1e-3);
    assert_relative_eq!(
        thread.preload_from_torque(torque, &friction).unwrap().si(),
        preload.si(),
        max_relative = 1e-12
    );
    let joint = BoltedJoint::new(preload, Ratio::from_si(6.5), Ratio::from_si(13.8)).unwrap();
    assert_relative_eq!(joint.load_share().si(), 0.32, max_relative = 2e-3);
    let load = joint.bolt_load(parse("6000 lbf").unwrap()).unwrap().si();
    let kpsi = load / thread.stress_area().si() / parse::<Pressure>("1 ksi").unwrap().si();
    assert_relative_eq!(kpsi, 72.17, max_relative = 3e-3);
}

/// Wentzell, Machine Design, examples 6.1 and 6.2, as worked in an open textbook companion.
#[test]
fn stretch_and_turn_of_a_textbook_bolt() {
    let area: Area = parse("0.334 in2").unwrap();
    let step = ShankStep { length: parse("5 in").unwrap(), area };
    let young: Pressure = parse("30000 ksi").unwrap();
    let preload: Force = parse("24131.5 lbf").unwrap();
    let stretch = stretch_for(preload, &[step], young).unwrap();
    assert_relative_eq!(stretch.si() / 0.0254, 0.0120417, max_relative = 1e-5);
    assert_relative_eq!(
        preload_from_stretch(stretch, &[step], young).unwrap().si(),
        preload.si(),
        max_relative = 1e-12
    );
    let turn = turn_for(stretch, Length::from_si(0.0), parse("0.1 in").unwrap()).unwrap();
    assert_relative_eq!(turn.si().to_degrees(), 43.35, max_relative = 1e-4);
}

#[test]
fn an_angled_bolt_clamps_less_and_pulls_sideways() {
    let (clamp, side) =
        angled_clamp(Force::from_si(50e3), Angle::from_si(std::f64::consts::FRAC_PI_6)).unwrap();
    assert_relative_eq!(clamp.si(), 50e3 * 0.75f64.sqrt(), max_relative = 1e-12);
    assert_relative_eq!(side.si(), 25e3, max_relative = 1e-12);
    assert!(angled_clamp(Force::from_si(1.0), Angle::from_si(1.6)).is_err());
}

#[test]
fn what_is_no_bolt_is_refused() {
    assert!(PropertyClass::named("11.1").unwrap_err().to_string().contains("10.9"));
    assert!(PropertyClass::ALL.iter().all(|c| PropertyClass::named(c.name()).unwrap() == *c));
    for text in ["", "M", "M10x", "M10x6", "Mx1", "M11", "10-", "1/0-20", "M10x-1", "Mnan", "7/16"] {
        assert!(Thread::parse(text).is_err(), "{text}");
    }
    let steps: [ShankStep; 0] = [];
    assert!(stretch_for(Force::from_si(1.0), &steps, Pressure::from_si(2e11)).is_err());
    assert!(BoltFriction::new(Ratio::from_si(-0.1), Ratio::from_si(0.1), Length::from_si(0.01)).is_err());
    let steep = BoltFriction::new(Ratio::from_si(100.0), Ratio::from_si(0.1), Length::from_si(0.01)).unwrap();
    assert!(Thread::parse("M10").unwrap().torque_for(Force::from_si(1e4), &steep).is_err());
}

proptest! {
    #[test]
    fn the_joint_balances(f in 1e3..1e5f64, kb in 0.1..10.0f64, km in 0.1..10.0f64, p in 0.0..2e5f64) {
        let joint = BoltedJoint::new(Force::from_si(f), Ratio::from_si(kb), Ratio::from_si(km)).unwrap();
        let outer = Force::from_si(p);
        let (bolt, clamp) = (joint.bolt_load(outer).unwrap(), joint.clamp_load(outer).unwrap());
        prop_assert!((bolt - clamp - outer).si().abs() <= 1e-9 * (f + p));
    }

    #[test]
    fn more_friction_gives_less_preload(mu in 0.05..0.3f64, more in 0.01..0.1f64) {
        let t = Thread::parse("M10x1.25").unwrap();
        let at = |mu: f64| {
            let friction = BoltFriction::new(Ratio::from_si(mu), Ratio::from_si(mu), Length::from_si(0.013)).unwrap();
            t.preload_from_torque(Torque::from_si(60.0), &friction).unwrap()
        };
        prop_assert!(at(mu + more) < at(mu));
    }
}

/// Wileman, Choudhury, Green, Computation of Member Stiffness in Bolted Connections (1991), k = E d A exp(B d / l) with A = 0.78715,
/// B = 0.62873 for steel, a fit to finite elements (from memory): the frusta agree within 8 % from a grip of one and a half
/// to three diameters; beyond, they are softer than the fit.
#[test]
fn the_frusta_agree_with_finite_elements() {
    let (d, young) = (0.010, 207e9);
    for grip in [0.015, 0.02, 0.03] {
        let found =
            parts_stiffness(Length::from_si(grip), Length::from_si(d), Pressure::from_si(young)).unwrap();
        let fit = young * d * 0.78715 * (0.62873 * d / grip).exp();
        assert!((found / fit - 1.0).abs() < 0.08, "{grip}: {}", found / fit);
    }
}

/// The turn that stretches bolt and parts under a preload gives that preload back.
#[test]
fn turn_and_preload_are_inverse() {
    let (preload, pitch) = (Force::from_si(40e3), Length::from_si(1.5e-3));
    let (bolt, parts) = (2.0e8, 9.0e8);
    let give = |k: f64| Length::from_si(preload.si() / k);
    let turn = turn_for(give(bolt), give(parts), pitch).unwrap();
    let back = preload_from_turn(turn, pitch, bolt, Some(parts)).unwrap();
    assert!((back.si() / preload.si() - 1.0).abs() < 1e-12);
    assert!(preload_from_turn(turn, pitch, bolt, None).unwrap() > preload, "rigid parts give nothing");
    assert!(preload_from_turn(turn, pitch, 0.0, None).is_err());
}
