use super::*;

/// Lifts at cam degrees of the table, of a curve whose nose stands at `nose` there.
fn sampled(curve: &LiftCurve, nose: f64, degrees: impl Iterator<Item = f64>) -> (Vec<CamAngle>, Vec<Length>) {
    degrees.map(|d| (deg(d), curve.lift(deg(d - nose)))).unzip()
}

fn steps(from: i32, to: i32, step: f64) -> impl Iterator<Item = f64> {
    (from..=to).map(move |i| f64::from(i) * step)
}

fn interpolated((angles, lifts): &(Vec<CamAngle>, Vec<Length>)) -> MeasuredLift {
    LiftCurve::interpolated(angles, lifts).unwrap()
}

/// scipy 1.17.1: `CubicSpline(x, y, bc_type='clamped')` of the same readings; mm and radians, counted from its nose.
#[test]
fn the_curve_is_the_clamped_spline_of_scipy() {
    let measured = interpolated(&asymmetrical_table());
    let (curve, nose) = (&measured.curve, degrees_of(measured.fit.nose));
    assert_relative_eq!(nose, 0.462_296_734_155_263, max_relative = 1e-9);
    assert_relative_eq!(curve.maximum().si(), 10.001_984_094_772_0e-3, max_relative = 1e-12);
    assert_relative_eq!(measured.fit.peak_lost.si(), -0.001_984_094_772_041e-3, max_relative = 1e-9);
    assert!(measured.fit.kinks.is_empty() && measured.fit.rms.si() < 1e-16);
    let by_scipy = [
        (-52.0, [0.094_931_025_451_232_5, 1.390_410_640_826_79, 10.616_064_520_562_1, 9.424_895_490_755_18]),
        (-33.0, [2.358_230_699_481_86, 15.024_630_618_452_7, 43.297_389_586_182_3, -178.462_572_823_323]),
        (-14.5, [7.985_196_454_727_26, 14.781_876_229_360_8, -42.300_963_559_813_1, -194.382_244_599_936]),
        (3.0, [9.943_101_006_377_04, -2.641_650_165_970_94, -58.474_130_632_266_5, 52.766_242_063_207_3]),
        (22.0, [6.320_067_232_249_61, -16.965_508_674_842_0, -17.170_069_734_715_6, 255.982_217_752_911]),
        (47.0, [0.424_529_344_360_302, -5.311_358_805_598_45, 40.484_564_918_483_7, -80.361_410_759_335_1]),
    ];
    for (angle, expected) in by_scipy {
        let Lift { lift, velocity, acceleration, jerk } = curve.at(deg(angle - nose));
        for (found, expected) in [lift, velocity, acceleration, jerk].into_iter().zip(expected) {
            assert_relative_eq!(found.si() * 1e3, expected, max_relative = 1e-9);
        }
    }
    assert_relative_eq!(curve.area().si() * 1e3, 8.944_812_416_470_93, max_relative = 1e-12);
    let duration = |lift: f64| degrees_of(curve.duration_at(mm(lift)).unwrap());
    assert_relative_eq!(duration(2.0), 36.681_424_776_586_2 + 34.880_710_325_505_2, max_relative = 1e-10);
    assert_relative_eq!(duration(5.0), 25.891_626_104_341_7 + 24.792_085_471_535_7, max_relative = 1e-10);
    let found = curve.extremes();
    for (extreme, value, angle) in [
        (found.greatest_velocity, 18.793_766_278, -24.1048),
        (found.least_velocity, -17.541_351_984, 25.8431),
        (found.greatest_acceleration, 65.100_705_997, -40.0),
        (found.least_acceleration, -61.236_964_606, 0.0),
    ] {
        assert_relative_eq!(extreme.value.si() * 1e3, value, max_relative = 1e-9);
        assert!((degrees_of(extreme.angle) + nose - angle).abs() < 1e-3);
    }
}

/// Greatest errors of lift and acceleration of a curve read every so many degrees to 90 on either side.
fn errors(truth: &LiftCurve, step: f64) -> [f64; 2] {
    let half = (90.0 / step) as i32;
    let measured = interpolated(&sampled(truth, 0.0, steps(-half, half, step)));
    // The readings are alike on both flanks: rounding must not move the nose.
    assert!(degrees_of(measured.fit.nose).abs() < 1e-12);
    let off = |angle: f64| {
        let (found, right) = (measured.curve.at(deg(angle)), truth.at(deg(angle)));
        [(found.lift - right.lift).si().abs(), (found.acceleration - right.acceleration).si().abs()]
    };
    scan(truth, 5000).map(off).fold([0.0; 2], |most, off| [most[0].max(off[0]), most[1].max(off[1])])
}

/// Halving the step: lift is sixteen times nearer, acceleration four times, as for any cubic spline of a smooth function.
#[test]
fn a_smooth_lobe_comes_back_within_the_order_of_the_spline() {
    let truth = LiftCurve::polynomial(&[2, 6, 10, 14], mm(10.0), deg(60.0)).unwrap();
    let errors = [1.5, 0.75, 0.375].map(|step| errors(&truth, step));
    for (coarse, fine) in errors.iter().zip(&errors[1..]) {
        let (lift, acceleration) = (coarse[0] / fine[0], coarse[1] / fine[1]);
        assert!((12.0..18.0).contains(&lift) && (3.0..4.5).contains(&acceleration), "{lift} {acceleration}");
    }
    assert!(errors[2][0] < 1e-8, "{errors:?}");
}

/// Where the jerk jumps, at the feet and at the nose, the order is one less; a table every degree still is within a micrometre.
#[test]
fn each_programme_comes_back_within_a_micrometre() {
    for programme in [Programme::Polynomial345, Programme::Polynomial4567, Programme::Cycloidal] {
        let flank = flank(programme, 60.0);
        let truth = lobe(10.0, flank, flank, 0.0);
        let (coarse, fine) = (errors(&truth, 2.0), errors(&truth, 1.0));
        assert!(fine[0] < 1e-6 && coarse[0] / fine[0] > 6.0, "{programme:?}: {coarse:?} {fine:?}");
        assert!(coarse[1] / fine[1] > 1.8, "{programme:?}: {coarse:?} {fine:?}");
    }
}

#[test]
fn a_whole_turn_may_begin_anywhere() {
    let truth = lobe(
        9.0,
        ramped(Programme::Polynomial345, 60.0, 0.2, 20.0),
        ramped(Programme::Cycloidal, 70.0, 0.2, 20.0),
        0.0,
    );
    let alone = interpolated(&sampled(&truth, 0.0, steps(-100, 100, 1.0)));
    // The nose stands at a row whichever row is first.
    for nose in [0.0, 1.0, 17.0, 90.0, 179.0, 180.0, 181.0, 300.0, 359.0] {
        for last in [359, 360] {
            let measured = interpolated(&sampled(&truth, nose, steps(0, last, 1.0)));
            let found = degrees_of(measured.fit.nose);
            assert!((-1.0..=360.0).contains(&found), "{found}");
            assert!(
                (found - nose - degrees_of(alone.fit.nose)).abs() < 1e-9 || nose == 0.0,
                "{found} {nose}"
            );
            for angle in [-79.0, -60.5, -33.3, 0.0, 5.1, 60.0, 88.8, 100.0, 200.0, 440.0] {
                let (a, b) = (alone.curve.at(deg(angle)), measured.curve.at(deg(angle)));
                assert!((a.lift - b.lift).si().abs() < 1e-12 && (a.velocity - b.velocity).si().abs() < 1e-10);
            }
        }
    }
}

#[test]
fn a_flat_top_is_a_dwell_and_a_nose_may_be_shared_by_two_rows() {
    let dwell =
        lobe(8.0, flank(Programme::Polynomial4567, 60.0), flank(Programme::Polynomial4567, 60.0), 20.0);
    let measured = interpolated(&sampled(&dwell, 0.0, steps(-40, 40, 2.0)));
    assert!(degrees_of(measured.fit.nose).abs() < 1e-9);
    assert_eq!(measured.curve.maximum(), mm(8.0));
    assert_relative_eq!(degrees_of(measured.curve.duration_at(mm(8.0)).unwrap()), 20.0, max_relative = 1e-9);
    let flank = flank(Programme::Polynomial345, 60.0);
    let between = lobe(8.0, flank, flank, 0.0);
    let measured = interpolated(&sampled(&between, 1.0, steps(-40, 40, 2.0)));
    assert!((degrees_of(measured.fit.nose) - 1.0).abs() < 1e-9);
    assert!((measured.curve.maximum().si() - 8e-3).abs() < 1e-6, "{:?}", measured.curve.maximum());
    assert!(measured.fit.peak_lost.si() < 0.0);
}

/// Readings that a spline would dip between: the slopes are lessened and said to be.
#[test]
fn kinks_are_where_the_spline_would_not_be_monotone() {
    let lifts = [0.0, 0.0, 0.01, 0.02, 5.0, 5.01, 9.0, 10.0, 9.0, 5.0, 2.0, 0.4, 0.0, 0.0].map(mm);
    let angles: Vec<CamAngle> = (0..14).map(|i| deg(5.0 * f64::from(i))).collect();
    let measured = LiftCurve::interpolated(&angles, &lifts).unwrap();
    assert_one_hump(&measured.curve);
    assert!(!measured.fit.kinks.is_empty());
    for (angle, lift) in angles.iter().zip(lifts) {
        let place = CamAngle::of_cam(angle.on_cam() - measured.fit.nose.on_cam());
        assert!((measured.curve.lift(place) - lift).si().abs() < 1e-13);
        // Where no kink is stated acceleration is continuous.
        let (before, after) = (
            measured.curve.at(cam(place.on_cam().si() - 1e-9)),
            measured.curve.at(cam(place.on_cam().si() + 1e-9)),
        );
        let jumps = (before.acceleration - after.acceleration).si().abs() > 1e-6;
        let inside = place.on_cam().si() > measured.curve.opens + 1e-6
            && place.on_cam().si() < measured.curve.closes - 1e-6;
        let near = angles
            .iter()
            .any(|a| measured.fit.kinks.contains(a) && (degrees_of(*a) - degrees_of(*angle)).abs() < 6.0);
        assert!(!(jumps && inside) || near, "{angle:?}");
    }
    // Fritsch and Carlson's own region: slopes of a monotone segment lie in a square of three chords.
    let at = |d: f64| measured.curve.at(deg(d - degrees_of(measured.fit.nose))).velocity.si();
    assert!(at(15.0) >= 0.0 && at(15.0) <= 3.0 * 0.01e-3 / 5f64.to_radians() + 1e-12);
}

/// A nose in the first segment: from the foot, where the slope is nothing, no cubic could go above the reading and come back.
#[test]
fn a_nose_at_the_first_reading_with_lift() {
    let angles = [-40.0, -30.0, 0.0, 2.0, 4.0, 8.0, 12.0, 16.0, 20.0].map(deg);
    let lifts = [0.0, 0.0, 10.0, 9.5, 8.5, 6.0, 3.0, 1.0, 0.0].map(mm);
    for (angles, lifts) in [(angles, lifts), (angles.map(|a| deg(-degrees_of(a))), lifts)] {
        let mut rows: Vec<(CamAngle, Length)> = angles.into_iter().zip(lifts).collect();
        rows.sort_by(|a, b| a.0.on_cam().si().total_cmp(&b.0.on_cam().si()));
        let (angles, lifts): (Vec<_>, Vec<_>) = rows.into_iter().unzip();
        let measured = LiftCurve::interpolated(&angles, &lifts).unwrap();
        assert_one_hump(&measured.curve);
        // Where the lift stands still so does the velocity.
        for angle in scan(&measured.curve, 2000) {
            let at = measured.curve.at(deg(angle));
            let still = (measured.curve.lift(deg(angle + 1e-4)) - at.lift).si() == 0.0;
            assert!(!still || at.velocity.si().abs() < 1e-6, "{angle}: {at:?}");
        }
    }
}

/// Rows of any steps, rising to one place and falling from there, some of them level.
fn any_table() -> impl Strategy<Value = (Vec<CamAngle>, Vec<Length>)> {
    let row = (1.0..12.0f64, prop_oneof![1 => Just(0.0), 6 => 0.001..2.0f64, 1 => 2.0..9.0f64]);
    let flank = proptest::collection::vec(row, 4..14);
    (flank.clone(), flank).prop_map(|(up, down)| {
        let (mut angles, mut lifts) = (vec![-100.0, -98.0], vec![0.0, 0.0]);
        for (step, rise) in &up {
            angles.push(angles[angles.len() - 1] + step);
            lifts.push(lifts[lifts.len() - 1] + rise);
        }
        let total: f64 = down.iter().map(|d| d.1).sum::<f64>().max(1e-3);
        let top = lifts[lifts.len() - 1].max(1.0);
        let at = lifts.len() - 1;
        lifts[at] = top;
        let mut left = 1.0;
        for (step, fall) in &down {
            angles.push(angles[angles.len() - 1] + step);
            left -= fall / total;
            lifts.push(top * f64::max(left, 0.0));
        }
        angles.extend([angles[angles.len() - 1] + 1.0, angles[angles.len() - 1] + 2.0]);
        lifts.extend([0.0, 0.0]);
        (angles.into_iter().map(deg).collect(), lifts.into_iter().map(mm).collect())
    })
}

proptest! {
    #[test]
    fn a_curve_of_any_readings_is_one_hump_through_them(table in any_table()) {
        let (angles, lifts) = &table;
        let Ok(MeasuredLift { curve, fit }) = LiftCurve::interpolated(angles, lifts) else { return Ok(()) };
        for (angle, lift) in angles.iter().zip(lifts) {
            let found = curve.lift(CamAngle::of_cam(angle.on_cam() - fit.nose.on_cam()));
            prop_assert!((found - *lift).si().abs() < 1e-12, "{:?} {:?}", found, lift);
        }
        let (mut before, mut at) = (curve.lift(cam(curve.opens)).si(), curve.opens);
        prop_assert!(before == 0.0);
        while at < curve.closes {
            at += 0.002;
            let here = curve.at(cam(at));
            let fell = here.lift.si() < before - 1e-14;
            let rose = here.lift.si() > before + 1e-14;
            let turned_back = if at < 0.0 { fell } else { rose && at > 0.002 };
            prop_assert!(!turned_back, "{} to {:?} at {}", before, here, at);
            // The velocity is that of the lift: none where the lift was cut off at the nose's.
            let next = curve.lift(cam(at + 1e-6)).si();
            prop_assert!((next - here.lift.si() - here.velocity.si() * 1e-6).abs() < 1e-9, "at {}: {:?}", at, here);
            before = here.lift.si();
        }
    }
}
