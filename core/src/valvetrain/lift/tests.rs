use super::*;
use crate::ErrorKind;
use approx::assert_relative_eq;
use proptest::prelude::*;

mod lobes;
mod polynomial;
mod programmes;
mod refused;
mod smoothing;
mod tables;

const PROGRAMMES: [Programme; 4] =
    [Programme::Polynomial345, Programme::Polynomial4567, Programme::Cycloidal, Programme::Harmonic];

fn mm(x: f64) -> Length {
    Length::from_si(x / 1e3)
}

fn cam(rad: f64) -> CamAngle {
    CamAngle::of_cam(Angle::from_si(rad))
}

/// Cam degrees.
fn deg(x: f64) -> CamAngle {
    cam(x.to_radians())
}

fn degrees_of(angle: CamAngle) -> f64 {
    angle.on_cam().si().to_degrees()
}

fn flank(programme: Programme, length: f64) -> Flank {
    Flank::new(programme, deg(length)).unwrap()
}

/// With a ramp of so many mm over so many degrees.
fn ramped(programme: Programme, length: f64, height: f64, ramp: f64) -> Flank {
    flank(programme, length).with_ramp(Ramp::new(mm(height), deg(ramp)).unwrap())
}

fn lobe(lift: f64, opening: Flank, closing: Flank, dwell: f64) -> LiftCurve {
    LiftCurve::of_flanks(mm(lift), opening, closing, deg(dwell)).unwrap()
}

/// One curve of each kind, with the angles (degrees from the nose) where its pieces meet.
fn curves() -> Vec<(LiftCurve, Vec<f64>)> {
    let mut all: Vec<(LiftCurve, Vec<f64>)> = Vec::new();
    for programme in PROGRAMMES {
        let plain = lobe(10.0, flank(programme, 60.0), flank(programme, 70.0), 0.0);
        all.push((plain, vec![-60.0, 0.0, 70.0]));
        let with_ramps =
            lobe(9.0, ramped(programme, 50.0, 0.3, 24.0), ramped(programme, 64.0, 0.2, 32.0), 6.0);
        all.push((with_ramps, vec![-77.0, -71.0, -53.0, -3.0, 3.0, 67.0, 91.0, 99.0]));
    }
    let mixed =
        lobe(8.0, ramped(Programme::Cycloidal, 55.0, 0.25, 20.0), flank(Programme::Harmonic, 75.0), 0.0);
    all.push((mixed, vec![-75.0, -70.0, -55.0, 0.0, 75.0]));
    let polynomial = LiftCurve::polynomial(&[2, 6, 10, 14], mm(9.0), deg(72.0)).unwrap();
    all.push((polynomial, vec![-72.0, 0.0, 72.0]));
    let (angles, lifts) = asymmetrical_table();
    let nose = 0.462_296_734_155_264;
    let mut joints: Vec<f64> = angles.iter().map(|a| degrees_of(*a) - nose).collect();
    joints.insert(7, 0.0);
    all.push((LiftCurve::interpolated(&angles, &lifts).unwrap().curve, joints));
    all
}

/// Thirteen readings of a lobe with unlike flanks.
fn asymmetrical_table() -> (Vec<CamAngle>, Vec<Length>) {
    let lifts = [0.0, 0.15, 0.9, 3.2, 6.4, 9.0, 10.0, 9.2, 6.9, 3.9, 1.4, 0.2, 0.0];
    let angles = (0..13).map(|i| deg(10.0 * f64::from(i) - 60.0)).collect();
    (angles, lifts.map(mm).to_vec())
}

/// Angles in degrees over the lobe and a little beyond, none of them a round one.
fn scan(curve: &LiftCurve, steps: u32) -> impl Iterator<Item = f64> {
    let (from, to) = (curve.opens.to_degrees() - 1.0, curve.closes.to_degrees() + 1.0);
    (0..=steps).map(move |i| from + (to - from) * (f64::from(i) + 0.377) / (f64::from(steps) + 0.754))
}

/// The lift never falls up to the nose nor rises after it, and stays between zero and the greatest.
fn assert_one_hump(curve: &LiftCurve) {
    let rounding = 1e-13 * curve.maximum().si().max(1e-3);
    let mut before = 0.0;
    for angle in scan(curve, 3000) {
        let lift = curve.lift(deg(angle)).si();
        assert!((0.0..=curve.maximum().si()).contains(&lift), "{lift} at {angle}");
        let grows = if angle <= 0.0 { lift - before } else { before - lift };
        // The step that passes the nose may go either way.
        let passes = angle > 0.0 && angle < (curve.closes - curve.opens).to_degrees() / 1000.0;
        assert!(passes || grows >= -rounding, "{before} to {lift} at {angle}");
        before = lift;
    }
}

fn assert_refused<T: core::fmt::Debug>(result: Result<T>, field: &str, value: &str, allowed: &str) {
    let error = result.unwrap_err();
    assert_eq!((error.kind(), error.field()), (ErrorKind::OutOfRange, Some(field)), "{error}");
    let text = error.to_string();
    assert!(text.contains(value) && text.contains(allowed), "{text}");
}
