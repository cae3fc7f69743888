use super::*;
use crate::ErrorKind;
use crate::units::Angle;
use crate::valvetrain::{CamAngle, Lift};
use approx::assert_relative_eq;
use core::f64::consts::PI;
use proptest::prelude::*;

fn mm(x: f64) -> Length {
    Length::from_si(x / 1000.0)
}

fn cam(rad: f64) -> CamAngle {
    CamAngle::of_cam(Angle::from_si(rad))
}

fn lift_mm([s, v, a, j]: [f64; 4]) -> Lift {
    Lift { lift: mm(s), velocity: mm(v), acceleration: mm(a), jerk: mm(j) }
}

/// A lobe with all derivatives: a (1 + cos t) + b (1 - cos 2t), mm; one peak while b is small.
fn lobe(a: f64, b: f64) -> impl Fn(CamAngle) -> Lift {
    move |angle| {
        let t = angle.on_cam().si();
        let (s1, c1, s2, c2) = (t.sin(), t.cos(), (2.0 * t).sin(), (2.0 * t).cos());
        lift_mm([
            a * (1.0 + c1) + b * (1.0 - c2),
            -a * s1 + 2.0 * b * s2,
            -a * c1 + 4.0 * b * c2,
            a * s1 - 8.0 * b * s2,
        ])
    }
}

/// A narrow lobe, h cos^8(t), zero beyond a quarter turn either way, mm.
fn narrow(h: f64) -> impl Fn(CamAngle) -> Lift {
    move |angle| {
        let (s, c) = angle.wrapped().on_cam().si().sin_cos();
        if c <= 0.0 {
            return Lift::default();
        }
        let jerk = -8.0 * s * c.powi(5) * (42.0 - 64.0 * c * c);
        lift_mm([
            h * c.powi(8),
            -8.0 * h * c.powi(7) * s,
            h * (56.0 * c.powi(6) - 64.0 * c.powi(8)),
            h * jerk,
        ])
    }
}

/// Closed form: a circle of radius `big` turning `c` off its centre under a roller, mm. The pitch curve is a circle of K = big +
/// roller; with the offset e, (e + c sin t)^2 + (h - c cos t)^2 = K^2 gives the height h of the roller's centre.
fn eccentric_roller(big: f64, roller: f64, c: f64, e: f64) -> impl Fn(f64) -> [f64; 3] {
    let k = big + roller;
    move |t: f64| {
        let (s, cos) = t.sin_cos();
        let w = e + c * s;
        let g = (k * k - w * w).sqrt();
        // g g' = -w w', g'^2 + g g'' = -(w'^2 + w w'')
        let (w1, w2) = (c * cos, -c * s);
        let g1 = -w * w1 / g;
        let g2 = -(w1 * w1 + w * w2 + g1 * g1) / g;
        [c * cos + g, -c * s + g1, -c * cos + g2]
    }
}

#[test]
fn an_eccentric_circle_under_a_flat_face_has_its_own_radius_everywhere() {
    let (big, c) = (20.0, 4.0);
    let circle = lobe(c, 0.0);
    let follower = FlatFollower::new(mm(big - c)).unwrap();
    for i in 0..36 {
        let angle = cam(f64::from(i) * PI / 18.0);
        let lift = circle(angle);
        assert_relative_eq!(follower.radius_of_curvature(lift).si(), 0.020, max_relative = 1e-13);
        let p = follower.profile(angle, lift);
        // The circle's centre stands on the nose's side of the axis.
        assert_relative_eq!(p.x.si().hypot(p.y.si() - 0.004), 0.020, max_relative = 1e-13);
    }
    let face = follower.face(&circle).unwrap();
    assert_relative_eq!(face.width(mm(2.0)).unwrap().si(), 0.010, max_relative = 1e-12);
    assert_relative_eq!(face.diameter(mm(2.0)).unwrap().si(), 0.010, max_relative = 1e-12);
    // The contact is at positive x before the nose.
    assert_relative_eq!(face.opening.angle.on_cam().si(), -PI / 2.0, max_relative = 1e-6);
    assert_relative_eq!(face.closing.value.si(), -0.004, max_relative = 1e-12);
    let p = follower.profile(cam(0.0), circle(cam(-0.5)));
    assert!(p.x.si() > 0.0);
}

/// With the nose up and turning counter-clockwise the flank on the left has passed the follower already: it is the one that opened.
#[test]
fn the_flank_that_opens_is_drawn_at_negative_x() {
    let curve = narrow(8.0);
    let (flat, roller) =
        (FlatFollower::new(mm(80.0)).unwrap(), RollerFollower::new(mm(80.0), mm(9.0), mm(2.0)).unwrap());
    for rad in [-1.2, -0.8, -0.3] {
        let (opening, closing) = (curve(cam(rad)), curve(cam(-rad)));
        assert!(opening.velocity.si() > 0.0 && flat.contact(opening).si() > 0.0);
        for (x, other) in [
            (flat.profile(cam(rad), opening).x, flat.profile(cam(-rad), closing).x),
            (roller.profile(cam(rad), opening).x, roller.profile(cam(-rad), closing).x),
        ] {
            assert!(x.si() < 0.0 && other.si() > 0.0, "{rad}: {x:?} {other:?}");
        }
    }
}

#[test]
fn an_eccentric_circle_under_a_roller_has_its_own_radius_everywhere() {
    for e in [0.0, 6.0, -6.0] {
        let (big, roller, c) = (20.0, 9.0, 4.0);
        let height = eccentric_roller(big, roller, c, e);
        let base = 15.0;
        let from = ((base + roller) * (base + roller) - e * e).sqrt();
        let follower = RollerFollower::new(mm(base), mm(roller), mm(e)).unwrap();
        for i in 0..36 {
            let t = f64::from(i) * PI / 18.0;
            let [h, v, a] = height(t);
            let lift = lift_mm([h - from, v, a, 0.0]);
            assert_relative_eq!(follower.pitch_radius_of_curvature(lift).si(), 0.029, max_relative = 1e-12);
            assert_relative_eq!(follower.radius_of_curvature(lift).si(), 0.020, max_relative = 1e-12);
            let p = follower.profile(cam(t), lift);
            assert_relative_eq!(p.x.si().hypot(p.y.si() - 0.004), 0.020, max_relative = 1e-12);
            // The push goes from the circle's centre, seen along the travel, to the roller's: sin(phi) = -(e + c sin t) / K.
            let sine = follower.pressure_angle(lift).si().sin();
            assert_relative_eq!(sine, -(e + c * t.sin()) / (big + roller), epsilon = 1e-13);
        }
    }
}

#[test]
fn undercutting_is_refused_with_the_radius_that_would_do() {
    let curve = narrow(10.0);
    let small = FlatFollower::new(mm(15.0)).unwrap();
    let error = small.check_curvature(&curve, mm(2.0)).unwrap_err();
    assert_eq!(error.kind(), ErrorKind::OutOfRange);
    // Closed form: s + s'' = h c^6 (56 - 63 c^2), least at the nose: -7 h.
    assert_eq!(error.value().as_deref(), Some("-55 mm"));
    let text = error.to_string();
    assert!(text.contains("0.000 deg of the cam") && text.contains("at least 72 mm would do"), "{text}");
    let enough = FlatFollower::new(FlatFollower::base_radius_for(&curve, mm(2.0)).unwrap()).unwrap();
    assert_relative_eq!(
        enough.check_curvature(&curve, mm(2.0 - 1e-9)).unwrap().value.si(),
        0.002,
        max_relative = 1e-9
    );
}

#[test]
fn a_roller_cam_undercut_is_refused_with_the_radius_that_would_do() {
    let curve = narrow(10.0);
    let follower = RollerFollower::new(mm(15.0), mm(9.0), mm(0.0)).unwrap();
    let error = follower.check_curvature(&curve, mm(3.0)).unwrap_err();
    // Closed form at the nose: h^2 / (h - s'') with h = 15 + 9 + 10, s'' = -80, less the roller's 9.
    let nose: f64 = 34.0 * 34.0 / (34.0 + 80.0) - 9.0;
    let found = follower.least_radius_of_curvature(&curve).unwrap();
    assert_relative_eq!(found.value.si() * 1000.0, nose, max_relative = 1e-9);
    assert!(nose > 0.0 && error.to_string().contains("at least 3 mm (it is at 0.000 deg"), "{error}");
    // h^2 = 12 (h + 80) at the nose.
    let height = 6.0 + (36.0f64 + 960.0).sqrt();
    let base = follower.base_radius_for_curvature(&curve, mm(3.0)).unwrap();
    assert_relative_eq!(base.si() * 1000.0, height - 19.0, max_relative = 1e-9);
    // Sharper than the roller: undercut at any allowance.
    let undercut = RollerFollower::new(mm(8.0), mm(9.0), mm(0.0)).unwrap();
    let figure = undercut.least_radius_of_curvature(&curve).unwrap().value;
    assert!(figure.si() < 0.0);
    assert!(undercut.check_curvature(&curve, mm(0.0)).unwrap_err().to_string().contains("above 0 mm"));
}

#[test]
fn a_hollow_flank_limits_the_grinding_wheel_and_not_the_roller() {
    let curve = narrow(10.0);
    let follower = RollerFollower::new(mm(16.0), mm(9.0), mm(0.0)).unwrap();
    let hollow = follower.greatest_wheel_radius(&curve).unwrap().unwrap();
    assert!(hollow.value > follower.roller_radius());
    let there = follower.radius_of_curvature(curve(hollow.angle));
    assert_relative_eq!(there.si(), -hollow.value.si(), max_relative = 1e-12);
    assert!(follower.check_wheel(&curve, hollow.value * 0.99).is_ok());
    let error = follower.check_wheel(&curve, hollow.value * 1.01).unwrap_err();
    assert!(error.to_string().contains("hollow of the flank"));
    // A circle has no hollow.
    assert_eq!(follower.greatest_wheel_radius(lobe(1.0, 0.0)).unwrap(), None);
}

#[test]
fn pressure_angle_is_refused_with_the_radius_that_would_do() {
    let curve = narrow(10.0);
    for offset in [0.0, 3.0, -3.0] {
        let follower = RollerFollower::new(mm(14.0), mm(8.0), mm(offset)).unwrap();
        let most = Angle::from_si(0.45);
        let base = follower.base_radius_for_pressure_angle(&curve, most).unwrap();
        let set = RollerFollower::new(base, mm(8.0), mm(offset)).unwrap();
        let found = set.greatest_pressure_angle(&curve).unwrap();
        assert_relative_eq!(found.value.si().abs(), 0.45, max_relative = 1e-9);
        assert!(follower.check_pressure_angle(&curve, most).is_err());
        assert!(set.check_pressure_angle(&curve, most + Angle::from_si(1e-9)).is_ok());
    }
    let follower = RollerFollower::new(mm(14.0), mm(8.0), mm(0.0)).unwrap();
    assert!(follower.check_pressure_angle(&curve, Angle::from_si(PI / 2.0)).is_err());
}

#[test]
fn followers_that_cannot_be_are_refused() {
    assert!(FlatFollower::new(mm(0.0)).is_err());
    assert!(FlatFollower::new(mm(f64::NAN)).is_err());
    assert!(RollerFollower::new(mm(15.0), mm(0.0), mm(0.0)).is_err());
    assert!(RollerFollower::new(mm(15.0), mm(8.0), mm(-23.0)).is_err());
    let follower = FlatFollower::new(mm(15.0)).unwrap();
    assert!(follower.check_curvature(lobe(1.0, 0.0), mm(-1.0)).is_err());
    let broken = |_: CamAngle| Lift { velocity: mm(f64::NAN), ..Lift::default() };
    assert_eq!(follower.face(broken).unwrap_err().kind(), ErrorKind::NotFinite);
}

/// Signed radius of curvature of a curve run through clockwise, from the coordinates alone: central differences of the fourth order.
fn numeric_radius(at: impl Fn(f64) -> ProfilePoint, t: f64) -> f64 {
    let h = 2e-3;
    let p = |i: f64| {
        let q = at(t + i * h);
        [q.x.si(), q.y.si()]
    };
    let (a, b, c, d, e) = (p(-2.0), p(-1.0), p(0.0), p(1.0), p(2.0));
    let first = |k: usize| (a[k] - 8.0 * b[k] + 8.0 * d[k] - e[k]) / (12.0 * h);
    let second = |k: usize| (-a[k] + 16.0 * b[k] - 30.0 * c[k] + 16.0 * d[k] - e[k]) / (12.0 * h * h);
    let (dx, dy) = (first(0), first(1));
    -(dx * dx + dy * dy).powf(1.5) / (dx * second(1) - dy * second(0))
}

proptest! {
    #[test]
    fn the_drawn_profile_has_the_radius_of_the_formula(
        a in 1.0..6.0f64, b in -1.0..1.0f64, base in 18.0..30.0f64, roller in 5.0..12.0f64, e in -5.0..5.0f64, t in -3.0..3.0f64,
    ) {
        let curve = lobe(a, b);
        let flat = FlatFollower::new(mm(base)).unwrap();
        let rho = flat.radius_of_curvature(curve(cam(t))).si();
        let drawn = numeric_radius(|t| flat.profile(cam(t), curve(cam(t))), t);
        prop_assert!((1.0 / drawn - 1.0 / rho).abs() < 1e-4 / 0.02, "{drawn} {rho}");
        let follower = RollerFollower::new(mm(base), mm(roller), mm(e)).unwrap();
        let rho = follower.radius_of_curvature(curve(cam(t))).si();
        prop_assume!(rho.abs() > 1e-3);
        let drawn = numeric_radius(|t| follower.profile(cam(t), curve(cam(t))), t);
        prop_assert!((1.0 / drawn - 1.0 / rho).abs() < 1e-3 / 0.02, "{drawn} {rho}");
    }

    #[test]
    fn a_larger_base_circle_makes_the_flat_cam_rounder_by_as_much(base in 10.0..40.0f64, more in 0.1..10.0f64) {
        let curve = narrow(6.0);
        let least = |base: f64| FlatFollower::new(mm(base)).unwrap().least_radius_of_curvature(&curve).unwrap().value;
        prop_assert!(((least(base + more) - least(base)) - mm(more)).si().abs() < 1e-12);
    }

    #[test]
    fn the_base_circle_found_gives_the_radius_asked_for(h in 4.0..12.0f64, roller in 5.0..12.0f64, e in -4.0..4.0f64, least in 1.0..6.0f64) {
        let curve = narrow(h);
        let follower = RollerFollower::new(mm(20.0), mm(roller), mm(e)).unwrap();
        let base = follower.base_radius_for_curvature(&curve, mm(least)).unwrap();
        let set = RollerFollower::new(base, mm(roller), mm(e)).unwrap();
        let found = set.least_radius_of_curvature(&curve).unwrap().value;
        prop_assert!((found - mm(least)).si().abs() < 1e-9, "{:?}", found);
    }
}
