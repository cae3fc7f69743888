use super::*;
use crate::ErrorKind;
use crate::geometry::clearance_volume_for;
use approx::assert_relative_eq;
use proptest::prelude::*;

fn deg(x: f64) -> Angle {
    Angle::from_si(x.to_radians())
}

fn mm(x: f64) -> Length {
    Length::from_si(x / 1e3)
}

fn mm2(x: f64) -> Area {
    Area::from_si(x / 1e6)
}

fn valve() -> PoppetValve {
    PoppetValve::new(mm(46.0), mm(1.5), deg(45.0), mm(40.0), mm(7.0)).unwrap()
}

fn refused<T: core::fmt::Debug>(result: Result<T>, field: &str) {
    let error = result.unwrap_err();
    assert_eq!((error.kind(), error.field()), (ErrorKind::OutOfRange, Some(field)), "{error}");
}

/// The frustum from the valve's inner edge to the nearest place of the seat, found by trying a grid of places: no formula of the stages.
fn by_search(head: f64, width: f64, angle: f64, lift: f64) -> f64 {
    let (inner, tan, n) = (head / 2.0 - width, angle.tan(), 3000);
    let on_valve = (inner, lift);
    let to_seat = |i: i32| {
        let out = width * f64::from(i) / f64::from(n);
        let (r, z) = (inner + out, out * tan);
        PI * (on_valve.0 + r) * (on_valve.0 - r).hypot(on_valve.1 - z)
    };
    // The side of the frustum that is shortest, not that of least area: the flow crosses it at right angles.
    let side = |i: &i32| {
        let out = width * f64::from(*i) / f64::from(n);
        out.hypot(lift - out * tan)
    };
    let shortest = (0..=n).min_by(|a, b| side(a).total_cmp(&side(b))).unwrap();
    to_seat(shortest)
}

#[test]
fn stages_against_a_search_over_the_seat() {
    for angle in [0.0, 30.0, 45.0, 60.0] {
        let v = PoppetValve::new(mm(46.0), mm(1.5), deg(angle), mm(46.0), mm(1.0)).unwrap();
        for lift in [0.3, 1.0, 2.0, 2.9, 3.1, 4.0, 6.0] {
            let searched = by_search(0.046, 0.0015, angle.to_radians(), lift / 1e3);
            assert_relative_eq!(v.minimum_area(mm(lift)).unwrap().si(), searched, max_relative = 1e-4);
        }
    }
}

/// Heywood's eqs. 6.7 to 6.9 in their own letters (from memory), mm.
#[test]
fn stages_as_printed() {
    let (dv, w, dp, ds, b) = (46.0f64, 1.5f64, 40.0f64, 7.0f64, 45f64.to_radians());
    let dm = dv - w;
    let area = |lift: f64| valve().minimum_area(mm(lift)).unwrap().si() * 1e6;
    let first = |l: f64| PI * l * b.cos() * (dv - 2.0 * w + l / 2.0 * (2.0 * b).sin());
    let second = |l: f64| PI * dm * ((l - w * b.tan()).powi(2) + w * w).sqrt();
    assert_relative_eq!(area(2.0), first(2.0), max_relative = 1e-12);
    assert_relative_eq!(area(5.0), second(5.0), max_relative = 1e-12);
    assert_relative_eq!(area(12.0), PI / 4.0 * (dp * dp - ds * ds), max_relative = 1e-12);
    let printed = ((((dp * dp - ds * ds) / (4.0 * dm)).powi(2) - w * w).sqrt() + w * b.tan()) / 1e3;
    assert_relative_eq!(valve().lift_for_throat().unwrap().si(), printed, max_relative = 1e-12);
    assert_relative_eq!(valve().end_of_seat_stage().unwrap().si(), 3e-3, max_relative = 1e-12);
    let stages = [2.0, 5.0, 12.0].map(|l| valve().stage(mm(l)).unwrap());
    assert_eq!(stages, [FlowStage::Seat, FlowStage::SeatEdges, FlowStage::Throat]);
}

#[test]
fn plain_curtain_meets_the_throat() {
    let lift = valve().lift_for_curtain();
    assert_relative_eq!(
        curtain_area(mm(46.0), lift).unwrap().si(),
        valve().throat_area().si(),
        max_relative = 1e-14
    );
    assert_relative_eq!(curtain_area(mm(40.0), mm(10.0)).unwrap().si(), PI * 400e-6, max_relative = 1e-14);
    refused(curtain_area(mm(40.0), mm(-1.0)), "lift");
    refused(curtain_area(mm(0.0), mm(1.0)), "valve diameter");
}

#[test]
fn impossible_valves_are_refused() {
    let new = |d: f64, w: f64, b: f64, p: f64, s: f64| PoppetValve::new(mm(d), mm(w), deg(b), mm(p), mm(s));
    refused(new(0.0, 1.5, 45.0, 40.0, 7.0), "valve head diameter");
    refused(new(46.0, 23.0, 45.0, 40.0, 7.0), "seat width");
    refused(new(46.0, 1.5, 90.1, 40.0, 7.0), "seat angle");
    refused(new(46.0, 1.5, -1.0, 40.0, 7.0), "seat angle");
    refused(new(46.0, 1.5, 45.0, 47.0, 7.0), "port diameter");
    refused(new(46.0, 1.5, 45.0, 40.0, 40.0), "stem diameter");
    assert_eq!(new(46.0, f64::NAN, 45.0, 40.0, 7.0).unwrap_err().kind(), ErrorKind::NotFinite);
    refused(valve().minimum_area(mm(-0.1)), "lift");
    // A throat so small that it is reached while the seat stage lasts.
    let choked = new(46.0, 6.0, 45.0, 15.0, 7.0).unwrap();
    let lift = choked.lift_for_throat().unwrap();
    assert!(lift < choked.end_of_seat_stage().unwrap());
    assert_relative_eq!(choked.frustum(lift.si()), choked.throat_area().si(), max_relative = 1e-12);
}

/// ISO 2533:1975 prints 340.294 m/s at 288.15 K, 331.3 m/s is the handbooks' figure at 0 degC (from memory).
#[test]
fn speed_of_sound() {
    let at = |k: f64| speed_of_sound_in_air(ThermodynamicTemperature::from_si(k));
    assert_relative_eq!(at(288.15).unwrap().si(), 340.294, epsilon = 5e-4);
    assert_relative_eq!(at(273.15).unwrap().si(), 331.3, epsilon = 5e-2);
    refused(at(0.0), "temperature");
    assert_eq!(at(f64::NAN).unwrap_err().kind(), ErrorKind::NotFinite);
}

/// By hand: bore 100 mm, valve 50 mm, so 4 times the valve area; 15 m/s of piston gives 60 m/s of gas; C_i 0.35 and 340 m/s give 60 / 119.
#[test]
fn gas_speed_and_mach_index() {
    let v = Velocity::from_si;
    let areas = (mm2(PI * 2500.0), mm2(PI * 625.0));
    let gas = mean_gas_speed(v(15.0), areas.0, areas.1).unwrap();
    assert_relative_eq!(gas.si(), 60.0, max_relative = 1e-14);
    let index = mach_index(gas, Ratio::from_si(0.35), v(340.0)).unwrap();
    assert_relative_eq!(index.si(), 60.0 / 119.0, max_relative = 1e-14);
    refused(mean_gas_speed(v(15.0), areas.0, mm2(0.0)), "valve area");
    refused(mach_index(gas, Ratio::from_si(1.1), v(340.0)), "mean inlet flow coefficient");
    refused(mach_index(gas, Ratio::from_si(0.35), v(0.0)), "speed of sound");
}

/// A cone cut at half its height: 7/8 of its volume remains; a prism is area x length.
#[test]
fn runner_volumes() {
    let whole = 900.0 * 200.0 / 3.0;
    let cut = runner_volume(mm(100.0), mm2(900.0), mm2(225.0)).unwrap();
    assert_relative_eq!(cut.si() * 1e9, whole * 7.0 / 8.0, max_relative = 1e-14);
    assert_relative_eq!(
        runner_volume(mm(120.0), mm2(900.0), mm2(900.0)).unwrap().si(),
        108e-6,
        max_relative = 1e-14
    );
    refused(runner_volume(mm(0.0), mm2(900.0), mm2(900.0)), "runner length");
    refused(runner_volume(mm(10.0), mm2(900.0), mm2(-1.0)), "exit area");
    refused(runner_length_for(Volume::from_si(0.0), mm2(900.0), mm2(900.0)), "runner volume");
}

/// The slider of `core/tests/reference.rs`: piston 67.915795 mm down and a trapped ratio of 7.91513 at 66 deg ABDC.
#[test]
fn volume_trapped_at_intake_closing() {
    let c = Cylinder::new(mm(101.6), mm(88.392), mm(144.78), mm(0.0)).unwrap();
    let clearance = clearance_volume_for(Ratio::from_si(10.0), c.swept_volume()).unwrap();
    let trapped = trapped_volume(&c, clearance, deg(66.0)).unwrap();
    assert_relative_eq!((trapped / clearance).si(), 7.91513, max_relative = 1e-6);
    assert_relative_eq!(((trapped - clearance) / c.area()).si(), 67.915795e-3, max_relative = 1e-7);
    refused(trapped_volume(&c, clearance, deg(181.0)), "intake closing");
}

proptest! {
    #[test]
    fn area_is_continuous_and_never_falls(w in 0.0..4.0f64, b in 0.0..75.0f64, port in 20.0..46.0f64, lift in 0.0..15.0f64) {
        let v = PoppetValve::new(mm(46.0), mm(w), deg(b), mm(port), mm(7.0)).unwrap();
        let area = |l: f64| v.minimum_area(Length::from_si(l)).unwrap().si();
        let least = lift / 1e3;
        prop_assert!(area(least + 1e-6) >= area(least));
        let limits = [v.end_of_seat_stage().map(|l| l.si()), Some(v.lift_for_throat().unwrap().si())];
        for limit in limits.into_iter().flatten() {
            let (below, above) = (area(limit * (1.0 - 1e-9)), area(limit * (1.0 + 1e-9)));
            prop_assert!((above - below).abs() <= 1e-7 * above, "{below} {above} at {limit}");
        }
        let throat = v.lift_for_throat().unwrap().si();
        prop_assert_eq!(v.stage(Length::from_si(throat * 1.000001)).unwrap(), FlowStage::Throat);
        prop_assert!(v.stage(Length::from_si(throat * 0.999999)).unwrap() != FlowStage::Throat);
    }

    #[test]
    fn runner_length_comes_back(l in 50.0..800.0f64, a in 200.0..4000.0f64, b in 200.0..4000.0f64) {
        let volume = runner_volume(mm(l), mm2(a), mm2(b)).unwrap();
        prop_assert!(((runner_length_for(volume, mm2(a), mm2(b)).unwrap() / mm(l)).si() - 1.0).abs() < 1e-12);
        prop_assert!(((volume / runner_volume(mm(l), mm2(b), mm2(a)).unwrap()).si() - 1.0).abs() < 1e-12);
    }
}
