use super::*;
use crate::valvetrain::lift::spline::Clamped;

/// A 3-4-5 lobe of 10 mm and 60 degrees either way, read every 2 degrees from -80 to 80 with a deviation of 0.0036 mm.
fn noisy() -> (Vec<CamAngle>, Vec<Length>) {
    let curve = truth();
    let noise = |i: i32| 0.005 * (12.9898 * f64::from(i * i)).sin();
    let angle = |i: i32| deg(2.0 * f64::from(i) - 80.0);
    let lifts = (0..=80).map(|i| match i {
        0 | 80 => mm(0.0),
        i => curve.lift(angle(i)) + mm(noise(i)),
    });
    ((0..=80).map(angle).collect(), lifts.collect())
}

fn truth() -> LiftCurve {
    let flank = flank(Programme::Polynomial345, 60.0);
    lobe(10.0, flank, flank, 0.0)
}

/// scipy 1.17.1: `make_smoothing_spline(x, y, w, lam)` on the readings and their mirrors beyond both ends (which leaves no slope there), with
/// the weight 1e10 for both ends (which leaves no lift), `lam` by `brentq` until the residuals have the deviation.
#[test]
fn smoothing_is_that_of_scipy() {
    let by_scipy = [
        (
            0.003,
            [
                (5, -0.000_512_639_4),
                (12, 0.027_639_546),
                (20, 2.098_259_056),
                (30, 7.896_077_641),
                (40, 10.007_046_503),
                (45, 9.642_665_859),
                (55, 4.999_639_794),
                (67, 0.085_526_836),
                (70, -0.004_052_328),
            ],
        ),
        (
            0.010,
            [
                (5, 0.000_246_566),
                (12, 0.030_098_220),
                (20, 2.103_917_204),
                (30, 7.891_210_549),
                (40, 10.030_190_807),
                (45, 9.630_028_086),
                (55, 5.000_396_902),
                (67, 0.093_216_724),
                (70, -0.015_319_607),
            ],
        ),
    ];
    let (angles, lifts) = noisy();
    let rad: Vec<f64> = angles.iter().map(|a| a.on_cam().si()).collect();
    let read: Vec<f64> = lifts.iter().map(|l| l.si()).collect();
    for (deviation, rows) in by_scipy {
        let smooth = Clamped::new(&rad).smoothed_to(&read, deviation / 1e3).unwrap();
        let curve = LiftCurve::smoothed(&angles, &lifts, mm(deviation)).unwrap();
        for (row, expected) in rows {
            assert!((smooth[row] * 1e3 - expected).abs() < 1e-7, "{row}: {}", smooth[row] * 1e3);
            // On the flanks the curve goes through what was smoothed.
            if expected > 0.5 {
                let angle = angles[row].on_cam() - curve.fit.nose.on_cam();
                assert!((curve.curve.lift(CamAngle::of_cam(angle)).si() * 1e3 - expected).abs() < 1e-7);
            }
        }
    }
}

#[test]
fn with_little_smoothing_it_interpolates() {
    let (angles, lifts) = asymmetrical_table();
    let rad: Vec<f64> = angles.iter().map(|a| a.on_cam().si()).collect();
    let read: Vec<f64> = lifts.iter().map(|l| l.si()).collect();
    let clamped = Clamped::new(&rad);
    assert_eq!(clamped.smoothed(&read, 0.0), read);
    let barely = clamped.smoothed_to(&read, 1e-9).unwrap();
    let sum: f64 = read.iter().zip(&barely).map(|(a, b)| (a - b) * (a - b)).sum();
    assert_relative_eq!((sum / 13.0).sqrt(), 1e-9, max_relative = 1e-6);
}

/// What [`TableFit`] says, computed again from the readings and the curve.
fn assert_loss_is_true(measured: &MeasuredLift, angles: &[CamAngle], lifts: &[Length]) {
    let MeasuredLift { curve, fit } = measured;
    let left: Vec<f64> = angles
        .iter()
        .zip(lifts)
        .map(|(a, l)| (*l - curve.lift(CamAngle::of_cam(a.on_cam() - fit.nose.on_cam()))).si())
        .collect();
    let squares: f64 = left.iter().map(|l| l * l).sum();
    assert!((fit.rms.si() - (squares / left.len() as f64).sqrt()).abs() < 1e-12);
    let largest = left.iter().map(|l| l.abs()).fold(0.0, f64::max);
    assert!((fit.largest.si().abs() - largest).abs() < 1e-12);
    let at = angles.iter().position(|a| *a == fit.largest_at).expect("an angle of the table");
    assert!((left[at] - fit.largest.si()).abs() < 1e-12);
    let highest = lifts.iter().map(|l| l.si()).fold(0.0, f64::max);
    assert!((fit.peak_lost.si() - (highest - curve.maximum().si())).abs() < 1e-15);
}

#[test]
fn the_loss_stated_is_that_of_the_readings() {
    let (angles, lifts) = noisy();
    for deviation in [0.001, 0.003, 0.0036, 0.01, 0.05] {
        let measured = LiftCurve::smoothed(&angles, &lifts, mm(deviation)).unwrap();
        assert_loss_is_true(&measured, &angles, &lifts);
        assert_one_hump(&measured.curve);
        // The base circle put at zero leaves the noise there, which a deviation below it would not.
        let rms = measured.fit.rms.si() * 1e3;
        assert!(rms > 0.9 * deviation && rms < deviation.hypot(0.0036), "{:?}", measured.fit);
    }
    let raw = LiftCurve::interpolated(&angles, &lifts).unwrap();
    assert_loss_is_true(&raw, &angles, &lifts);
    assert_one_hump(&raw.curve);
}

/// The loss of a table that begins on the lobe is stated at its own angles, not a turn away.
#[test]
fn a_turned_table_keeps_its_angles() {
    let (flank, nose) = (flank(Programme::Polynomial345, 60.0), 20.3);
    let curve = lobe(10.0, flank, flank, 0.0);
    let angles: Vec<CamAngle> = (0..120).map(|i| deg(3.0 * f64::from(i))).collect();
    let read = |i: usize, a: &CamAngle| {
        curve.lift(deg(degrees_of(*a) - nose)) + if i == 115 { mm(0.045) } else { mm(0.0) }
    };
    let lifts: Vec<Length> = angles.iter().enumerate().map(|(i, a)| read(i, a)).collect();
    // The foot of the opening flank is at -39.7, that is 320.3; the bad reading at 345, on the flank.
    let measured = LiftCurve::smoothed(&angles, &lifts, mm(0.004)).unwrap();
    assert_eq!(measured.fit.largest_at, angles[115]);
    assert!((degrees_of(measured.fit.nose) - nose).abs() < 0.3, "{:?}", measured.fit);
    assert_loss_is_true(&measured, &angles, &lifts);
}

#[test]
fn smoothing_comes_nearer_to_the_truth_than_the_readings() {
    let (angles, lifts) = noisy();
    let truth = truth();
    // The error of the acceleration over the lobe, away from its ends, root mean square.
    let error = |measured: &MeasuredLift| {
        let of = |a: f64| {
            let found = measured.curve.at(deg(a - degrees_of(measured.fit.nose))).acceleration;
            (found - truth.at(deg(a)).acceleration).si()
        };
        let squares: f64 = (-100..=100).map(|i| of(0.5 * f64::from(i) + 0.1).powi(2)).sum();
        (squares / 201.0).sqrt()
    };
    let raw = LiftCurve::interpolated(&angles, &lifts).unwrap();
    let smooth = LiftCurve::smoothed(&angles, &lifts, mm(0.0036)).unwrap();
    assert!(error(&smooth) < error(&raw) / 4.0, "{} {}", error(&smooth), error(&raw));
    assert!(degrees_of(smooth.fit.nose).abs() < 0.2);
    assert!((smooth.curve.maximum().si() - 0.01).abs() < 0.02e-3);
}

#[test]
fn heavy_smoothing_takes_the_top_off() {
    let (angles, lifts) = noisy();
    let lost = |deviation: f64| LiftCurve::smoothed(&angles, &lifts, mm(deviation)).unwrap().fit.peak_lost;
    assert!(lost(0.8) > lost(0.4) && lost(0.8) > mm(0.1), "{:?}", lost(0.8));
}
