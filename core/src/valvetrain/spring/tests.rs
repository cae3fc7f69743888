use super::*;
use crate::ErrorKind;
use crate::balance::drill::STEEL_DENSITY;
use crate::units::{Angle, AngularVelocity, Frequency, Mass, Pressure, Ratio, parse};
use crate::valvetrain::{CamAngle, Lift};
use approx::assert_relative_eq;
use core::f64::consts::{PI, TAU};
use proptest::prelude::*;

fn mm(x: f64) -> Length {
    Length::from_si(x / 1000.0)
}

fn newton(x: f64) -> Force {
    Force::from_si(x)
}

fn rpm(x: f64) -> AngularVelocity {
    AngularVelocity::from_si(x * PI / 30.0)
}

/// 40 N/mm, 300 N at 40 mm, solid at 26 mm.
fn outer() -> ValveSpring {
    ValveSpring::new(SpringRate::from_si(40e3), mm(40.0), newton(300.0), mm(26.0)).unwrap()
}

fn inner() -> ValveSpring {
    ValveSpring::from_readings((mm(37.0), newton(100.0)), (mm(27.0), newton(300.0)), mm(24.5)).unwrap()
}

fn set() -> SpringSet {
    let outer = InstalledSpring::new(outer(), mm(40.0)).unwrap();
    let inner = InstalledSpring::new(inner(), mm(37.0)).unwrap();
    SpringSet::of(&[outer, inner]).unwrap()
}

/// Shigley, Mechanical Engineering Design, the first worked example of chapter 10 (from memory): music wire 0.037 in, mean diameter
/// 0.400 in, 12 1/2 coils with squared ends, G = 11.85 Mpsi: C = 10.8, K_B = 1.124, k = 4.13 lbf/in. The other figures by the formulas
/// in inches.
#[test]
fn a_small_spring_in_inches() {
    let ratio = Ratio::from_si;
    let wire: Length = parse("0.037 in").unwrap();
    let mean: Length = parse("0.4 in").unwrap();
    let spring = HelicalSpring::new(wire, mean, ratio(10.5), ratio(12.5)).unwrap();
    assert_relative_eq!(spring.index().si(), 10.8, max_relative = 2e-3);
    assert_relative_eq!(spring.bergstraesser_factor().si(), 1.124, max_relative = 1e-3);
    let rate = spring.rate(parse("11850 ksi").unwrap()).unwrap();
    let lbf_in = 4.448_221_615_260_5 / 0.0254;
    assert_relative_eq!(rate.si() / lbf_in, 4.13, max_relative = 1e-3);
    // Solid height with ground ends 12.5 x 0.037 in.
    assert_relative_eq!(spring.solid_height().si(), 12.5 * 0.037 * 0.0254, max_relative = 1e-14);
    let stress = spring.shear_stress(parse("6.46 lbf").unwrap(), spring.bergstraesser_factor()).unwrap();
    let k = (4.0 * 0.4 / 0.037 + 2.0) / (4.0 * 0.4 / 0.037 - 3.0);
    let psi = k * 8.0 * 6.46 * 0.4 / (PI * 0.037f64.powi(3));
    assert_relative_eq!(stress.si(), psi * 4.448_221_615_260_5 / 0.0254f64.powi(2), max_relative = 1e-12);
}

#[test]
fn wahl_and_bergstraesser_are_near_each_other_and_exact_at_ten() {
    let of = |c: f64| HelicalSpring::squared_and_ground(mm(3.0), mm(3.0 * c), Ratio::from_si(6.0)).unwrap();
    assert_relative_eq!(of(10.0).wahl_factor().si(), 39.0 / 36.0 + 0.0615, max_relative = 1e-14);
    assert_relative_eq!(of(10.0).bergstraesser_factor().si(), 42.0 / 37.0, max_relative = 1e-14);
    for c in [4.0, 6.0, 8.0, 12.0] {
        assert_relative_eq!(
            of(c).wahl_factor().si(),
            of(c).bergstraesser_factor().si(),
            max_relative = 0.015
        );
    }
    let error = HelicalSpring::squared_and_ground(mm(3.0), mm(3.0), Ratio::from_si(6.0)).unwrap_err();
    assert!(error.to_string().contains("spring index above 1"));
    assert!(HelicalSpring::new(mm(3.0), mm(20.0), Ratio::from_si(6.0), Ratio::from_si(5.0)).is_err());
}

/// Closed form: with rate and mass of the same wire, f = d / (2 pi D^2 n) sqrt(G / (2 rho)): coils drop out of all but n.
#[test]
fn surge_of_wire() {
    let spring = HelicalSpring::squared_and_ground(mm(4.0), mm(28.0), Ratio::from_si(5.0)).unwrap();
    let g = Pressure::from_si(78.5e9);
    let f = surge_frequency(spring.rate(g).unwrap(), spring.active_mass(STEEL_DENSITY).unwrap()).unwrap();
    let closed = 0.004 / (2.0 * PI * 0.028 * 0.028 * 5.0) * (78.5e9 / (2.0 * STEEL_DENSITY)).sqrt();
    assert_relative_eq!(f.si(), closed, max_relative = 1e-12);
    // Wire bent to n circles: the mass is its length times its section.
    let length = 5.0 * PI * 0.028;
    let mass = STEEL_DENSITY * length * PI * 0.002 * 0.002;
    assert_relative_eq!(spring.active_mass(STEEL_DENSITY).unwrap().si(), mass, max_relative = 1e-12);
    let order = harmonic_frequency_ratio(Frequency::from_si(500.0), rpm(6000.0), 1).unwrap();
    assert_relative_eq!(order.si(), 10.0, max_relative = 1e-14);
    let tenth = harmonic_frequency_ratio(Frequency::from_si(500.0), rpm(6000.0), 10).unwrap();
    assert_relative_eq!(tenth.si(), 1.0, max_relative = 1e-14);
    assert!(harmonic_frequency_ratio(Frequency::from_si(500.0), rpm(6000.0), 0).is_err());
}

#[test]
fn loads_heights_and_shims() {
    let spring = outer();
    assert_relative_eq!(spring.free_height().si(), 0.0475, max_relative = 1e-14);
    assert_relative_eq!(spring.load_at(mm(30.0)).unwrap().si(), 700.0, max_relative = 1e-13);
    assert_eq!(spring.load_at(spring.free_height()).unwrap(), newton(0.0));
    assert_relative_eq!(spring.height_at(newton(700.0)).unwrap().si(), 0.030, max_relative = 1e-13);
    let installed = InstalledSpring::new(spring, mm(41.0)).unwrap();
    assert_relative_eq!(installed.seat_load().si(), 260.0, max_relative = 1e-13);
    let shim = installed.shim_for(newton(320.0)).unwrap();
    assert_relative_eq!(shim.si(), 0.0015, max_relative = 1e-12);
    assert_relative_eq!(installed.shimmed(shim).unwrap().seat_load().si(), 320.0, max_relative = 1e-12);
    assert_relative_eq!(installed.open_height(mm(12.0)).unwrap().si(), 0.029, max_relative = 1e-14);
    assert_relative_eq!(installed.coil_bind_margin(mm(12.0)).unwrap().si(), 0.003, max_relative = 1e-12);
    assert_relative_eq!(installed.coil_bind_margin(mm(16.0)).unwrap().si(), -0.001, max_relative = 1e-12);
    let error = installed.load(mm(16.0)).unwrap_err();
    assert_eq!(error.kind(), ErrorKind::OutOfRange);
    assert!(error.to_string().contains("from solid to free, 26 mm to 47.5 mm"), "{error}");
    assert_relative_eq!(retainer_clearance(mm(13.0), mm(12.2)).unwrap().si(), 0.0008, max_relative = 1e-12);
}

#[test]
fn nested_springs_add_and_the_first_to_bind_stops_the_valve() {
    let set = set();
    assert_relative_eq!(set.rate().si(), 60e3, max_relative = 1e-13);
    assert_relative_eq!(set.seat_load().si(), 400.0, max_relative = 1e-13);
    assert_relative_eq!(set.lift_to_bind().si(), 0.0125, max_relative = 1e-13);
    assert_relative_eq!(set.load(mm(10.0)).unwrap().si(), 1000.0, max_relative = 1e-13);
    assert_relative_eq!(set.coil_bind_margin(mm(13.0)).unwrap().si(), -0.0005, max_relative = 1e-11);
    assert!(set.load(mm(12.6)).unwrap_err().to_string().contains("at most 12.5"));
    assert_eq!(SpringSet::of(&[]).unwrap_err().kind(), ErrorKind::WrongLength);
}

#[test]
fn springs_that_cannot_be_are_refused() {
    let k = SpringRate::from_si(40e3);
    assert!(ValveSpring::new(k, mm(-40.0), newton(300.0), mm(26.0)).is_err());
    assert!(ValveSpring::new(k, mm(40.0), newton(-1.0), mm(26.0)).is_err());
    assert!(ValveSpring::new(k, mm(25.0), newton(300.0), mm(26.0)).is_err());
    assert!(ValveSpring::new(SpringRate::from_si(f64::NAN), mm(40.0), newton(300.0), mm(26.0)).is_err());
    assert!(InstalledSpring::new(outer(), mm(50.0)).is_err());
    assert!(InstalledSpring::new(outer(), mm(25.0)).is_err());
    assert!(rate_from_readings((mm(40.0), newton(300.0)), (mm(40.0), newton(300.0))).is_err());
    assert!(rate_from_readings((mm(40.0), newton(300.0)), (mm(30.0), newton(200.0))).is_err());
    assert!(outer().height_at(newton(900.0)).is_err());
}

#[test]
fn masses_are_those_of_the_kinetic_energy() {
    let gram = |x: f64| Mass::from_si(x / 1000.0);
    let tip = mass_at_tip(6.48e-5, mm(36.0)).unwrap();
    assert_relative_eq!(tip.si(), 0.05, max_relative = 1e-12);
    let masses =
        TrainMasses::new(gram(100.0), gram(30.0), gram(90.0), tip, gram(180.0), Ratio::from_si(1.5)).unwrap();
    assert_relative_eq!(masses.effective().si(), 0.100 + 0.030 + 0.030 + 0.050 + 0.080, max_relative = 1e-12);
    // The energies at a valve velocity of 3 m/s: the lifter goes at 2 m/s, the rocker turns at 3 / 0.036 rad/s.
    let energy = 0.5 * (0.130 + 0.030) * 9.0 + 0.5 * 6.48e-5 * (3.0f64 / 0.036).powi(2) + 0.5 * 0.180 * 4.0;
    assert_relative_eq!(masses.effective().si() * 9.0 / 2.0, energy, max_relative = 1e-12);
    assert!(TrainMasses::new(gram(0.0), gram(1.0), gram(1.0), tip, gram(1.0), Ratio::from_si(1.5)).is_err());
    assert!(mass_at_tip(-1.0, mm(36.0)).is_err());
}

/// Lift h (1 + cos t), mm: negative acceleration about the nose.
fn circle(h: f64) -> impl Fn(CamAngle) -> Result<Lift> {
    move |angle| {
        let (s, c) = angle.on_cam().si().sin_cos();
        Ok(Lift { lift: mm(h * (1.0 + c)), velocity: mm(-h * s), acceleration: mm(-h * c), jerk: mm(h * s) })
    }
}

/// Closed form: F / (-m a) = (F_0 + k h (1 + c)) / (m h c) falls with c and is least at the nose, (F_0 + 2 k h) / (m h).
#[test]
fn the_speed_of_float_of_a_harmonic_motion() {
    let control = SpringControl::new(set(), Mass::from_si(0.25)).unwrap();
    let found = control.float_speed(circle(5.0)).unwrap();
    assert_relative_eq!(found.force.si(), 1000.0, max_relative = 1e-12);
    assert_relative_eq!(found.angle.on_cam().si(), 0.0, epsilon = 1e-7);
    let cam = (1000.0f64 / (0.25 * 0.005)).sqrt();
    assert_relative_eq!(found.crank.si(), 2.0 * cam, max_relative = 1e-12);
    let margin = control.least_margin(circle(5.0), found.crank).unwrap();
    assert_relative_eq!(margin.forces.margin().si(), 0.0, epsilon = 1e-9);
    // Two thirds of the speed need 4/9 of the force.
    let nose = circle(5.0)(CamAngle::of_cam(Angle::from_si(0.0))).unwrap();
    let slower = control.forces(nose, found.crank * (2.0 / 3.0)).unwrap();
    assert_relative_eq!(slower.needed.si(), 1000.0 * 4.0 / 9.0, max_relative = 1e-12);
}

#[test]
fn contact_and_need_at_the_flank() {
    let control = SpringControl::new(set(), Mass::from_si(0.25)).unwrap();
    let rising = Lift { lift: mm(1.0), acceleration: mm(10.0), ..Lift::default() };
    let forces = control.forces(rising, rpm(6000.0)).unwrap();
    let omega: f64 = 3000.0 * PI / 30.0;
    assert_eq!(forces.needed, newton(0.0));
    assert_relative_eq!(forces.contact.si(), 460.0 + 0.25 * 0.010 * omega * omega, max_relative = 1e-12);
    let falling = control.forces(Lift { acceleration: mm(-10.0), ..rising }, rpm(6000.0)).unwrap();
    assert_relative_eq!(falling.contact.si(), falling.margin().si(), max_relative = 1e-12);
}

#[test]
fn motions_without_answer_are_refused() {
    let control = SpringControl::new(set(), Mass::from_si(0.25)).unwrap();
    let still = |_: CamAngle| Ok(Lift::default());
    assert_eq!(control.float_speed(still).unwrap_err().field(), Some("acceleration of the valve"));
    assert!(control.float_speed(circle(7.0)).unwrap_err().to_string().contains("at most 12.5"));
    let broken = |_: CamAngle| Ok(Lift { acceleration: mm(f64::NAN), ..Lift::default() });
    assert_eq!(control.float_speed(broken).unwrap_err().kind(), ErrorKind::NotFinite);
    assert!(control.least_margin(circle(5.0), rpm(0.0)).is_err());
    assert!(SpringControl::new(set(), Mass::from_si(0.0)).is_err());
}

#[test]
fn stiffness_of_the_train() {
    let k = SpringRate::from_si(10e6);
    assert_relative_eq!(train_deflection(newton(1500.0), k).unwrap().si(), 0.00015, max_relative = 1e-13);
    let f = train_frequency(k, Mass::from_si(0.25)).unwrap();
    assert_relative_eq!(f.si() * TAU, (40e6f64).sqrt(), max_relative = 1e-13);
    // 6000 rpm: the cam turns 50 times a second; a third of its turn lasts 1/150 s.
    let duration = CamAngle::of_cam(Angle::from_si(TAU / 3.0));
    let event = SpringControl::event_frequency(duration, rpm(6000.0)).unwrap();
    assert_relative_eq!(event.si(), 150.0, max_relative = 1e-13);
    assert!(SpringControl::event_frequency(CamAngle::of_cam(Angle::from_si(7.0)), rpm(6000.0)).is_err());
}

proptest! {
    #[test]
    fn load_and_height_are_inverse_and_the_rate_comes_back(k in 10e3..80e3f64, load in 50.0..400.0f64, lift in 0.5..13.0f64) {
        let spring = ValveSpring::new(SpringRate::from_si(k), mm(40.0), newton(load), mm(26.0)).unwrap();
        let open = spring.load_at(mm(40.0 - lift)).unwrap();
        prop_assert!((spring.height_at(open).unwrap() - mm(40.0 - lift)).si().abs() < 1e-12);
        let rate = rate_from_readings((mm(40.0), newton(load)), (mm(40.0 - lift), open)).unwrap();
        prop_assert!((rate.si() / k - 1.0).abs() < 1e-9);
    }

    #[test]
    fn at_the_speed_of_float_nothing_is_left_and_just_below_something(h in 2.0..6.0f64, mass in 0.1..0.5f64, lash in 0.0..0.5f64) {
        // A lobe of its own with lash: narrow, h (1 + cos 2t) within a quarter turn.
        let lobe = |angle: CamAngle| {
            let t = angle.wrapped().on_cam().si();
            if t.abs() >= PI / 2.0 { return Ok(Lift::default()); }
            let (s, c) = (2.0 * t).sin_cos();
            let lift = mm(h * (1.0 + c) - lash);
            if lift.si() <= 0.0 { return Ok(Lift::default()); }
            Ok(Lift { lift, velocity: mm(-2.0 * h * s), acceleration: mm(-4.0 * h * c), jerk: mm(8.0 * h * s) })
        };
        let control = SpringControl::new(set(), Mass::from_si(mass)).unwrap();
        let float = control.float_speed(lobe).unwrap();
        let margin = |speed: AngularVelocity| control.least_margin(lobe, speed).unwrap().forces.margin().si();
        prop_assert!(margin(float.crank).abs() < 1e-6);
        prop_assert!(margin(float.crank * 0.99) > 0.0);
        prop_assert!(margin(float.crank * 1.01) < 0.0);
        // Four times the mass floats at half the speed.
        let heavier = SpringControl::new(set(), Mass::from_si(mass * 4.0)).unwrap().float_speed(lobe).unwrap();
        prop_assert!((heavier.crank.si() * 2.0 / float.crank.si() - 1.0).abs() < 1e-9);
    }
}
