//! Checks of the clearances at one place; those of the searches and of two heads are beside.

mod heads;
mod search;

use super::*;
use crate::ErrorKind;
use approx::assert_abs_diff_eq;
use proptest::prelude::*;

fn mm(x: f64) -> Length {
    Length::from_si(x / 1000.0)
}

fn deg(x: f64) -> Angle {
    Angle::from_si(x.to_radians())
}

fn cylinder(pin_offset: f64) -> Cylinder {
    Cylinder::new(mm(86.0), mm(86.0), mm(143.0), mm(pin_offset)).unwrap()
}

/// From mm and degrees: diameter, margin, tilt, offset, sideways, height.
fn head([diameter, margin, tilt, offset, sideways, height]: [f64; 6]) -> ValveHead {
    ValveHead::new(mm(diameter), mm(margin), deg(tilt), mm(offset), mm(sideways), mm(height)).unwrap()
}

/// From mm and degrees: offset, sideways, diameter, depth, floor angle.
fn pocket([offset, sideways, diameter, depth, floor]: [f64; 5]) -> CrownPocket {
    CrownPocket::new(mm(offset), mm(sideways), mm(diameter), mm(depth), deg(floor)).unwrap()
}

fn above(valve: [f64; 6], stack: f64, cut: Option<[f64; 5]>) -> PistonToValve {
    PistonToValve::new(cylinder(0.0), head(valve), mm(stack), cut.map(pocket), PistonAllowances::default())
        .unwrap()
}

/// Closed form: stack + piston position + recess - lift.
#[test]
fn an_upright_valve_above_a_flat_crown() {
    let gap = above([40.0, 1.2, 0.0, 18.0, 0.0, 2.5], 1.1, None);
    for (crank, lift) in [(0.0, 1.0), (17.0, 3.0), (-40.0, 6.0), (108.0, 11.0)] {
        let x = gap.cylinder().piston_position(deg(crank));
        let c = gap.at(deg(crank), mm(lift)).unwrap();
        assert_abs_diff_eq!(c.axial.si(), (mm(1.1 + 2.5 - lift) + x).si(), epsilon = 1e-15);
        assert_eq!(c.along_stem, c.axial);
        assert_eq!(c.pocket_wall, None);
        assert_abs_diff_eq!(c.bore_wall.si(), 5e-3, epsilon = 1e-15);
    }
}

/// Closed form: in a pocket of its own angle the way along the stem is the same at all points of the face, the axial clearance longer by
/// 1 / cos; to the wall it is half the difference of the diameters less the centres' distance square to the stem.
#[test]
fn a_pocket_cut_along_the_stem() {
    let gap = above([35.0, 1.2, 14.0, -18.0, 0.0, 4.0], 1.1, Some([-17.5, 0.0, 38.0, 3.0, 14.0]));
    let c = gap.at_position(mm(0.0), mm(12.0)).unwrap();
    let (sin, cos) = 14f64.to_radians().sin_cos();
    let centre = (4.0 - 12.0 * cos + 1.1) * cos - (-18.0 + 12.0 * sin + 17.5) * sin + 3.0 * cos;
    assert_abs_diff_eq!(c.along_stem.si(), centre / 1e3, epsilon = 1e-15);
    assert_abs_diff_eq!(c.axial.si(), centre / cos / 1e3, epsilon = 1e-15);
    let off = (-18.0 + 12.0 * sin + 17.5) * cos + (4.0 - 12.0 * cos + 1.1) * sin;
    assert_abs_diff_eq!(c.pocket_wall.unwrap().si(), (1.5 - off.abs()) / 1e3, epsilon = 1e-15);
}

/// Independent check: numpy and scipy, vectors in space, 3.6 million points of the face; along the stem the root of the axial clearance by
/// the lift. Points step over the rim, so that it agrees to a micrometre or better.
#[test]
fn clearances_sampled_in_space() {
    let cases = [
        (
            [35.0, 1.2, 14.0, -18.0, 0.0, 4.0],
            1.1,
            [-17.5, 0.0, 38.0, 3.0, 14.0],
            0.4,
            4.0,
            [4.502209, 4.368475, 1.805537, 8.697206],
        ),
        (
            [35.0, 1.2, 14.0, -18.0, 1.0, 4.0],
            1.1,
            [-16.5, 0.4, 41.0, 3.5, 9.0],
            0.3,
            4.5,
            [3.054583, 3.028501, 2.323818, 8.787231],
        ),
        (
            [36.0, 1.5, 12.0, -17.0, 2.0, 3.5],
            1.0,
            [-13.0, 0.0, 33.0, 4.0, 12.0],
            1.3,
            2.0,
            [0.101294, 0.103557, f64::NAN, 8.373580],
        ),
        (
            [34.0, 1.2, 20.0, -20.0, 0.0, 9.0],
            1.0,
            [-19.0, 1.0, 37.0, 1.2, 20.0],
            0.5,
            3.0,
            [8.422487, 8.336424, f64::NAN, 7.640862],
        ),
    ];
    for (valve, stack, cut, x, lift, [axial, stem, wall, bore]) in cases {
        let c = above(valve, stack, Some(cut)).at_position(mm(x), mm(lift)).unwrap();
        assert_abs_diff_eq!(c.axial.si() * 1e3, axial, epsilon = 1e-3);
        assert_abs_diff_eq!(c.along_stem.si() * 1e3, stem, epsilon = 1e-3);
        assert_abs_diff_eq!(c.bore_wall.si() * 1e3, bore, epsilon = 1e-5);
        match c.pocket_wall {
            Some(gap) => assert_abs_diff_eq!(gap.si() * 1e3, wall, epsilon = 1e-2),
            None => assert!(wall.is_nan()),
        }
    }
}

/// A head that fills its pocket to the bit is within it and held against the floor.
#[test]
fn a_pocket_of_the_heads_own_size() {
    let gap = above([35.0, 1.2, 14.0, -18.0, 0.0, 4.0], 1.1, None);
    let (tan, height) = (14f64.to_radians().tan(), 4.0 + 1.1);
    // Where the stem's line meets the crown plane at top dead centre.
    let cut = pocket([-18.0 + height * tan, 0.0, 35.0, 2.0, 14.0]);
    let fitted =
        PistonToValve::new(*gap.cylinder(), *gap.valve(), mm(1.1), Some(cut), *gap.allowances()).unwrap();
    let cos = 14f64.to_radians().cos();
    for tenths in 0..100 {
        let lift = f64::from(tenths) / 10.0;
        let c = fitted.at_position(mm(0.0), mm(lift)).unwrap();
        assert_abs_diff_eq!(c.along_stem.si(), ((height / cos - lift) + 2.0 * cos) / 1e3, epsilon = 1e-14);
        assert_abs_diff_eq!(c.pocket_wall.map_or(0.0, |gap| gap.si()), 0.0, epsilon = 1e-14);
    }
    assert!(fitted.at_position(mm(0.0), mm(8.0)).unwrap().pocket_wall.is_some());
}

#[test]
fn allowances_raise_the_piston() {
    let allowances = PistonAllowances::new(mm(0.15), mm(0.1), mm(0.05)).unwrap();
    let bare = above([35.0, 1.2, 14.0, -18.0, 0.0, 4.0], 1.1, Some([-17.5, 0.0, 38.0, 3.0, 14.0]));
    let run =
        PistonToValve::new(*bare.cylinder(), *bare.valve(), mm(1.1), bare.pocket().copied(), allowances)
            .unwrap();
    let (a, b) = (bare.at_position(mm(1.0), mm(3.0)).unwrap(), run.at_position(mm(1.3), mm(3.0)).unwrap());
    assert_abs_diff_eq!(a.axial.si(), b.axial.si(), epsilon = 1e-15);
    assert_abs_diff_eq!(a.along_stem.si(), b.along_stem.si(), epsilon = 1e-15);
    assert_abs_diff_eq!(allowances.sum().si(), 0.3e-3, epsilon = 1e-18);
}

#[test]
fn what_cannot_be_is_refused() {
    let refused = |error: crate::Error, value: &str, allowed: &str| {
        assert_eq!(error.kind(), ErrorKind::OutOfRange);
        assert!(error.value().unwrap().contains(value), "{error}");
        assert!(error.allowed().unwrap().contains(allowed), "{error}");
    };
    let zero = mm(0.0);
    let valve = |d: f64, tilt: f64| ValveHead::new(mm(d), mm(1.2), deg(tilt), zero, zero, zero);
    refused(valve(35.0, 90.0).unwrap_err(), "90 deg", "below 90 deg");
    refused(valve(35.0, -1.0).unwrap_err(), "-1 deg", "from 0");
    refused(valve(0.0, 0.0).unwrap_err(), "0", "above zero");
    refused(
        ValveHead::new(mm(30.0), mm(-1.0), deg(0.0), zero, zero, zero).unwrap_err(),
        "-1",
        "zero or more",
    );
    let cut =
        |at: f64, depth: f64, floor: f64| CrownPocket::new(mm(at), zero, mm(38.0), mm(depth), deg(floor));
    refused(cut(0.0, -0.5, 0.0).unwrap_err(), "-0.5", "zero or more");
    refused(cut(0.0, 2.0, 80.0).unwrap_err(), "80 deg", "75 deg");
    refused(PistonAllowances::new(zero, mm(-0.1), zero).unwrap_err(), "-0.1", "zero or more");
    let whole = |d: f64, at: f64| {
        let (valve, pocket) = (valve(d, 14.0)?, cut(at, 2.0, 14.0)?);
        PistonToValve::new(cylinder(0.0), valve, mm(1.0), Some(pocket), PistonAllowances::default())
    };
    refused(whole(86.0, 0.0).unwrap_err(), "86", "below the bore, 86");
    refused(whole(35.0, 24.5).unwrap_err(), "43.5", "half the bore, 43");
    let steep = PistonToValve::new(
        cylinder(0.0),
        valve(35.0, 30.0).unwrap(),
        zero,
        Some(cut(0.0, 2.0, -70.0).unwrap()),
        PistonAllowances::default(),
    );
    refused(steep.unwrap_err(), "100 deg", "90 deg");
    let gap = whole(35.0, 0.0).unwrap();
    refused(gap.at(deg(0.0), mm(-0.1)).unwrap_err(), "-0.1", "zero or more");
    assert_eq!(gap.at(deg(f64::NAN), zero).unwrap_err().kind(), ErrorKind::NotFinite);
    assert_eq!(valve(f64::INFINITY, 0.0).unwrap_err().kind(), ErrorKind::NotFinite);
}

/// The least of what points of the face are held against, from vectors in space.
fn sampled(gap: &PistonToValve, x: f64, lift: f64) -> f64 {
    use nalgebra::Vector3;
    let (v, cut) = (gap.valve(), gap.pocket().unwrap());
    let (tilt, floor) = (v.tilt().si(), cut.floor_angle().si());
    let down = Vector3::new(tilt.sin(), 0.0, -tilt.cos());
    let centre = Vector3::new(v.offset().si(), v.sideways().si(), v.height().si()) + down * lift;
    let (e, f) = (Vector3::y().cross(&-down), Vector3::y());
    let crown = -(gap.piston_to_head().si() - gap.allowances().sum().si() + x);
    let mouth = Vector3::new(cut.offset().si(), cut.sideways().si(), crown);
    let axis = Vector3::new(-floor.sin(), 0.0, floor.cos());
    let bottom = mouth - Vector3::z() * cut.depth().si();
    let mut least = f64::INFINITY;
    for ring in 0..=40 {
        for turn in 0..720 {
            let (sin, cos) = (f64::from(turn) * PI / 360.0).sin_cos();
            let p = centre + (e * cos + f * sin) * (v.diameter().si() / 2.0 * f64::from(ring) / 40.0);
            let within = (p - mouth).cross(&axis).norm() <= cut.diameter().si() / 2.0;
            let under = bottom.z - axis.dot(&Vector3::new(p.x - bottom.x, p.y - bottom.y, 0.0)) / axis.z;
            least = least.min(p.z - if within { under.min(crown) } else { crown });
        }
    }
    least
}

prop_compose! {
    fn any_gap()(
        d in 24.0..44.0f64, tilt in 0.0..30.0f64, offset in -22.0..22.0f64, side in -6.0..6.0f64, height in 0.0..6.0f64,
        at in -1.5..1.5f64, aside in prop_oneof![Just(0.0), -1.5..1.5f64], more in -3.0..6.0f64, depth in 0.0..6.0f64,
        floor in prop_oneof![Just(0.0), -8.0..8.0f64], stack in 0.5..2.0f64, pin in -1.0..1.0f64,
    ) -> PistonToValve {
        let valve = head([d, 1.2, tilt, offset, side, height]);
        // Near the stem's line, as far as the bore allows.
        let meets = (offset + (height + stack) * tilt.to_radians().tan()).clamp(-20.0, 20.0);
        let (p, s, size) = (meets + at, side + aside, d + more);
        let size = size.min(2.0 * (43.0 - p.hypot(s)) - 0.01);
        let cut = pocket([p, s, size, depth, tilt + floor]);
        PistonToValve::new(cylinder(pin), valve, mm(stack), Some(cut), PistonAllowances::default()).unwrap()
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, ..ProptestConfig::default() })]

    /// No sampled point is nearer, and some are about as near; where the edge of the pocket cuts the face, points step over it.
    #[test]
    fn no_point_of_the_face_is_nearer(gap in any_gap(), x in 0.0..4.0f64, lift in 0.0..8.0f64) {
        let exact = gap.gap(x / 1e3, lift / 1e3, MeasuredAlong::CylinderAxis);
        let points = sampled(&gap, x / 1e3, lift / 1e3);
        prop_assert!(exact <= points + 1e-12, "{exact} {points}");
        prop_assert!(points - exact < 0.9e-3, "{exact} {points}");
    }

    /// Within a pocket (or without one) clearance rises with the piston's distance and falls with the lift, by what the formula says.
    #[test]
    fn clearance_without_an_overhang_is_monotone(tilt in 0.0..30.0f64, floor in -10.0..40.0f64, x in 0.0..40.0f64, lift in 0.0..12.0f64, more in 0.01..3.0f64) {
        let gap = above([30.0, 1.2, tilt, -18.0, 0.0, 4.0], 1.1, None);
        for along in [MeasuredAlong::CylinderAxis, MeasuredAlong::Stem] {
            let at = |x: f64, lift: f64| gap.gap(x / 1e3, lift / 1e3, along);
            prop_assert!(at(x + more, lift) > at(x, lift));
            prop_assert!(at(x, lift + more) < at(x, lift));
        }
        // A wide pocket that holds the head everywhere.
        let wide = PistonToValve::new(
            Cylinder::new(mm(400.0), mm(86.0), mm(143.0), mm(0.0)).unwrap(),
            head([30.0, 1.2, tilt, -18.0, 0.0, 4.0]), mm(1.1), Some(pocket([0.0, 0.0, 390.0, 300.0, floor])), PistonAllowances::default(),
        ).unwrap();
        let at = |x: f64, lift: f64| wide.at_position(mm(x), mm(lift)).unwrap();
        let (a, b) = (at(x, lift), at(x, lift + more));
        prop_assert!((a.along_stem - b.along_stem - mm(more)).si().abs() < 1e-13);
        prop_assert!((at(x + more, lift).axial - a.axial - mm(more)).si().abs() < 1e-13);
    }
}
