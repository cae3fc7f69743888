//! Both routes of the search, advances, depths.

use super::*;
use core::cell::Cell;

/// h (1/2 + 1/2 cos(pi w))^2 about a peak, to zero half a duration to either side.
fn bump(height: f64, peak: f64, half: f64) -> impl Fn(Angle) -> Length + Clone {
    move |crank: Angle| {
        let w = (crank.si().to_degrees() - peak) / half;
        let share = 0.5 + 0.5 * (PI * w).cos();
        if w.abs() < 1.0 { mm(height * share * share) } else { mm(0.0) }
    }
}

fn search<F: Fn(Angle) -> Length>(
    gap: &PistonToValve,
    along: MeasuredAlong,
    lift: F,
    peak: f64,
) -> ClearanceSearch<'_, F> {
    let motion = ValveMotion::new(lift, deg(peak)).unwrap();
    ClearanceSearch { gap, grid: CrankGrid::default(), along, motion }
}

fn usual() -> PistonToValve {
    let allowances = PistonAllowances::new(mm(0.15), mm(0.1), mm(0.0)).unwrap();
    let valve = head([35.0, 1.2, 14.0, -18.0, 1.0, 4.0]);
    let cut = pocket([-16.5, 0.4, 41.0, 3.5, 9.0]);
    PistonToValve::new(cylinder(0.8), valve, mm(1.1), Some(cut), allowances).unwrap()
}

/// The same to the bit; evaluations differ, and are counted.
fn assert_same(all: &LeastClearance, bounded: &LeastClearance) {
    assert_eq!(all.clearance.si().to_bits(), bounded.clearance.si().to_bits());
    assert_eq!(all.crank.si().to_bits(), bounded.crank.si().to_bits());
    assert_eq!(all.lift.si().to_bits(), bounded.lift.si().to_bits());
}

/// Independent check: numpy, the formula of the slider-crank and the ends of the face's diameter over 3601 angles.
#[test]
fn least_clearance_and_its_angle() {
    let gap = usual();
    for (peak, clearance, step, lift) in [
        (108.0, 6.603179223, 24, 0.485041208),
        (100.0, 6.181693067, 38, 0.976185955),
        (-110.0, 6.679565397, -21, 0.397905617),
    ] {
        let found =
            search(&gap, MeasuredAlong::CylinderAxis, bump(12.0, peak, 150.0), peak).bounded().unwrap();
        assert_abs_diff_eq!(found.clearance.si() * 1e3, clearance, epsilon = 1e-8);
        assert_abs_diff_eq!(found.crank.si(), deg(f64::from(step) / 10.0).si(), epsilon = 1e-12);
        assert_abs_diff_eq!(found.lift.si() * 1e3, lift, epsilon = 1e-8);
    }
}

#[test]
fn the_bounded_search_computes_few() {
    let gap = usual();
    let calls = Cell::new(0usize);
    let lift = bump(12.0, 104.0, 150.0);
    let counted = |crank: Angle| {
        calls.set(calls.get() + 1);
        lift(crank)
    };
    let s = search(&gap, MeasuredAlong::Stem, counted, 104.0);
    let all = s.every_angle().unwrap();
    assert_eq!((all.evaluations, calls.replace(0)), (3601, 3602));
    let bounded = s.bounded().unwrap();
    assert_same(&all, &bounded);
    assert!(bounded.evaluations < 300, "{}", bounded.evaluations);
    assert!(calls.get() < bounded.evaluations);
}

/// A lift that never moves leaves the least at top dead centre; one flat over many angles ties, and the first is given.
#[test]
fn the_first_of_equal_angles() {
    let gap = above([35.0, 1.2, 0.0, -18.0, 0.0, 4.0], 1.1, None);
    let s = search(&gap, MeasuredAlong::CylinderAxis, |_| mm(1.0), 0.0);
    assert_eq!(s.bounded().unwrap().crank, deg(0.0));
    // Lift that follows the piston down: the clearance is the same, to rounding, from 0 to 30 deg.
    let follow = |crank: Angle| {
        let held = deg(crank.si().to_degrees().clamp(0.0, 30.0));
        let fall = mm((crank.si().to_degrees() - 30.0).clamp(0.0, 60.0) / 10.0);
        mm(1.0) + gap.cylinder().piston_position(held) - fall
    };
    let level = search(&gap, MeasuredAlong::CylinderAxis, follow, 30.0);
    let all = level.every_angle().unwrap();
    assert_abs_diff_eq!(all.clearance.si(), 4.1e-3, epsilon = 1e-15);
    let equal = |step: i32| {
        let crank = level.grid.angle(step);
        gap.at(crank, level.motion.at(crank).unwrap()).unwrap().axial == all.clearance
    };
    assert!((0..=300).filter(|step| equal(*step)).count() > 1);
    assert_same(&all, &level.bounded().unwrap());
}

/// The least stands at a peak of lift narrower than the blocks that the search starts from.
#[test]
fn a_narrow_peak_between_two_blocks() {
    let gap = usual();
    let s = search(&gap, MeasuredAlong::CylinderAxis, bump(14.0, 33.0, 6.0), 33.0);
    let (all, bounded) = (s.every_angle().unwrap(), s.bounded().unwrap());
    assert_abs_diff_eq!(all.crank.si(), deg(33.0).si(), epsilon = 0.01);
    assert_same(&all, &bounded);
}

#[test]
fn lifts_without_one_peak_are_refused() {
    let gap = usual();
    let lift = bump(12.0, 108.0, 150.0);
    for wrong in [60.0, 150.0] {
        let s = search(&gap, MeasuredAlong::CylinderAxis, lift.clone(), wrong);
        for error in [s.every_angle().unwrap_err(), s.bounded().unwrap_err()] {
            assert_eq!(error.kind(), ErrorKind::OutOfRange);
            assert!(error.allowed().unwrap().contains("deg"), "{error}");
        }
    }
    let two = |crank: Angle| bump(9.0, 100.0, 60.0)(crank) + bump(9.0, -100.0, 60.0)(crank);
    assert!(search(&gap, MeasuredAlong::Stem, two, 100.0).every_angle().is_err());
    assert!(search(&gap, MeasuredAlong::Stem, two, 100.0).bounded().is_err());
    let ripple = |crank: Angle| lift(crank) * (1.0 + 1e-3 * (crank.si() * 1000.0).sin());
    assert!(search(&gap, MeasuredAlong::Stem, ripple, 108.0).every_angle().is_err());
    let below = search(&gap, MeasuredAlong::Stem, |c| lift(c) - mm(0.1), 108.0);
    assert_eq!(below.bounded().unwrap_err().kind(), ErrorKind::OutOfRange);
    let none = search(&gap, MeasuredAlong::Stem, |_| mm(f64::NAN), 108.0);
    assert_eq!(none.bounded().unwrap_err().kind(), ErrorKind::NotFinite);
    assert_eq!(none.every_angle().unwrap_err().kind(), ErrorKind::NotFinite);
    for count in [0, 70, 101, 36_002, u32::MAX] {
        let error = CrankGrid::new(count).unwrap_err();
        assert_eq!(error.value().unwrap(), count.to_string());
    }
    assert!(ValveMotion::new(|_| mm(0.0), deg(f64::INFINITY)).is_err());
}

#[test]
fn limits_of_the_advance() {
    let gap = usual();
    let s = search(&gap, MeasuredAlong::CylinderAxis, bump(12.0, 108.0, 150.0), 108.0);
    let found = s.advance_limits(mm(5.5), deg(-10.0), deg(40.0)).unwrap();
    assert_eq!((found.least, found.unbroken), (deg(-10.0), true));
    let at = s.at_advance(found.greatest).unwrap().clearance;
    assert_abs_diff_eq!(at.si(), 5.5e-3, epsilon = 1e-12);
    assert!(s.at_advance(found.greatest + deg(0.5)).unwrap().clearance < mm(5.5));
    // With the peak driven past top dead centre the clearance comes back: the claim "advance takes clearance" ends there.
    let wide = s.advance_limits(mm(5.5), deg(-10.0), deg(240.0)).unwrap();
    assert!(!wide.unbroken && wide.greatest == deg(240.0));
    assert_eq!(s.advance_limits(mm(30.0), deg(-5.0), deg(5.0)).unwrap_err().kind(), ErrorKind::NoSolution);
    for (low, high) in [(5.0, 5.0), (5.0, -5.0), (-400.0, 400.0)] {
        assert_eq!(s.advance_limits(mm(1.0), deg(low), deg(high)).unwrap_err().kind(), ErrorKind::OutOfRange);
    }
    // An exhaust valve keeps its clearance when advanced and loses it when retarded.
    let out = search(&gap, MeasuredAlong::CylinderAxis, bump(12.0, -108.0, 150.0), -108.0);
    let found = out.advance_limits(mm(5.5), deg(-40.0), deg(10.0)).unwrap();
    assert_eq!((found.greatest, found.unbroken), (deg(10.0), true));
    assert!(found.least > deg(-40.0) && found.least < deg(0.0));
}

/// Closed form: a valve in a pocket of its own angle, so deep under the crown at top dead centre that the whole rim is below it. Its distance
/// from the pocket's axis grows with the piston's distance, by x sin(tilt), so that the least is where the piston is still near.
#[test]
fn walls_over_the_crank_angle() {
    let gap = above([35.0, 1.2, 14.0, -18.0, 0.0, 0.5], 1.1, Some([-17.5, 0.0, 38.0, 9.0, 14.0]));
    let s = search(&gap, MeasuredAlong::Stem, |_| mm(8.0), 0.0);
    let found = s.least_pocket_wall().unwrap().unwrap();
    let (mut least, (sin, cos)) = (f64::INFINITY, 14f64.to_radians().sin_cos());
    for step in -1800..=1800 {
        let x = gap.cylinder().piston_position(s.grid.angle(step)).si() * 1e3;
        let height = 0.5 + 1.1 + x - 8.0 * cos;
        let off = (-18.0 + 8.0 * sin + 17.5) * cos + height * sin;
        // The rim point of the q next to where the crown plane cuts the lower edge; q runs to the low side.
        let cut = (-height / sin).min(17.5);
        if cut >= -17.5 {
            let q = if off > 0.0 { cut } else { -17.5 };
            least = least.min(19.0 - ((off + q).powi(2) + 17.5f64.powi(2) - q * q).sqrt());
        }
    }
    assert_abs_diff_eq!(found.clearance.si() * 1e3, least, epsilon = 1e-9);
    let bore = s.least_bore_wall().unwrap().unwrap();
    assert_eq!(
        (bore.crank, bore.clearance),
        (s.grid.angle(-1800), gap.at(deg(0.0), mm(8.0)).unwrap().bore_wall)
    );
    let flat = above([35.0, 1.2, 14.0, -18.0, 0.0, 4.0], 1.1, None);
    assert_eq!(search(&flat, MeasuredAlong::Stem, |_| mm(8.0), 0.0).least_pocket_wall().unwrap(), None);
}

/// The depth given is the least that gives the clearance: the search finds that clearance again with it.
#[test]
fn depth_of_the_pocket() {
    let shallow = usual();
    for along in [MeasuredAlong::CylinderAxis, MeasuredAlong::Stem] {
        let lift = bump(12.0, 100.0, 150.0);
        let now = search(&shallow, along, &lift, 100.0).bounded().unwrap().clearance;
        let depth = search(&shallow, along, &lift, 100.0).pocket_depth(mm(7.0)).unwrap();
        let cut = shallow.pocket().unwrap().with_depth(depth).unwrap();
        let deep = PistonToValve::new(
            *shallow.cylinder(),
            *shallow.valve(),
            mm(1.1),
            Some(cut),
            *shallow.allowances(),
        );
        let found = search(&deep.unwrap(), along, &lift, 100.0).bounded().unwrap().clearance;
        assert_abs_diff_eq!(found.si(), 7e-3, epsilon = 1e-12);
        if along == MeasuredAlong::CylinderAxis {
            assert_abs_diff_eq!((depth - mm(3.5)).si(), (mm(7.0) - now).si(), epsilon = 1e-12);
        }
        // Enough without a pocket's depth.
        assert_eq!(search(&shallow, along, &lift, 100.0).pocket_depth(mm(0.5)).unwrap(), mm(0.0));
    }
    let flat = above([35.0, 1.2, 0.0, -18.0, 0.0, 4.0], 1.1, None);
    let error = search(&flat, MeasuredAlong::Stem, |_| mm(1.0), 0.0).pocket_depth(mm(2.0)).unwrap_err();
    assert_eq!(error.kind(), ErrorKind::MissingKey);
    let narrow = above([35.0, 1.2, 0.0, -18.0, 0.0, 4.0], 1.1, Some([-18.0, 0.0, 30.0, 3.0, 0.0]));
    let s = search(&narrow, MeasuredAlong::Stem, |_| mm(4.0), 0.0);
    assert!(s.pocket_depth(mm(1.0)).is_ok());
    assert_eq!(s.pocket_depth(mm(2.0)).unwrap_err().kind(), ErrorKind::OutOfRange);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    #[test]
    fn the_bounded_search_equals_every_angle(
        gap in any_gap(), height in 0.0..14.0f64, peak in -140.0..140.0f64, half in prop_oneof![2.0..20.0f64, 60.0..170.0f64], per_turn in 36u32..1800, stem: bool,
    ) {
        let along = if stem { MeasuredAlong::Stem } else { MeasuredAlong::CylinderAxis };
        let grid = CrankGrid::new(2 * per_turn).unwrap();
        let s = ClearanceSearch { grid, ..search(&gap, along, bump(height, peak, half), peak) };
        let (all, bounded) = (s.every_angle().unwrap(), s.bounded().unwrap());
        prop_assert_eq!(all.clearance.si().to_bits(), bounded.clearance.si().to_bits());
        prop_assert_eq!(all.crank.si().to_bits(), bounded.crank.si().to_bits());
        prop_assert_eq!(all.lift.si().to_bits(), bounded.lift.si().to_bits());
    }

    /// The nearer the peak to top dead centre, the less, all steps on the grid: intake with advance, exhaust with retard.
    #[test]
    fn clearance_falls_as_the_peak_nears_top_dead_centre(tilt in 0.0..30.0f64, height in 1.0..14.0f64, peak in 60..130i32, more in 1..200i32, exhaust: bool) {
        let gap = above([30.0, 1.2, tilt, -18.0, 0.0, 4.0], 1.1, None);
        let side = if exhaust { -1.0 } else { 1.0 };
        let peak = side * f64::from(peak);
        let s = search(&gap, MeasuredAlong::Stem, bump(height, peak, 140.0), peak);
        let by = |tenths: i32| deg(side * f64::from(tenths) / 10.0);
        let rows = s.at_advances(&[by(-more), by(0), by(more), by(2 * more)]).unwrap();
        for pair in rows.windows(2) {
            prop_assert!(pair[1].clearance.si() <= pair[0].clearance.si() + 1e-12);
        }
    }
}
