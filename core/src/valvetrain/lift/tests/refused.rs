use super::*;
use core::f64::consts::PI;

/// Nine readings of a lobe every 10 degrees.
fn table() -> (Vec<CamAngle>, Vec<Length>) {
    let lifts = [0.0, 0.5, 2.0, 4.5, 6.0, 4.5, 2.0, 0.5, 0.0];
    ((0..9).map(|i| deg(10.0 * f64::from(i))).collect(), lifts.map(mm).to_vec())
}

/// The table with the lift of one row, counted from 0, changed.
fn with_lift(row: usize, lift: f64) -> (Vec<CamAngle>, Vec<Length>) {
    let (angles, mut lifts) = table();
    lifts[row] = mm(lift);
    (angles, lifts)
}

fn read((angles, lifts): &(Vec<CamAngle>, Vec<Length>)) -> Result<MeasuredLift> {
    LiftCurve::interpolated(angles, lifts)
}

#[test]
fn the_table_itself_is_taken() {
    assert_eq!(read(&table()).unwrap().curve.maximum(), mm(6.0));
}

#[test]
fn too_few_rows_and_lists_of_unlike_length() {
    let (angles, lifts) = table();
    let length = |a: usize, l: usize| LiftCurve::interpolated(&angles[..a], &lifts[..l]).unwrap_err();
    for (error, text) in [
        (length(9, 8), "lift has 8 entries; allowed: one for each of the 9 angles"),
        (length(7, 7), "lift has 7 entries; allowed: 8 or more"),
        (length(0, 0), "lift has 0 entries; allowed: 8 or more"),
    ] {
        assert_eq!(error.kind(), ErrorKind::WrongLength);
        assert_eq!(error.to_string(), text);
    }
    let mut few = vec![mm(0.0); 9];
    few[3..6].copy_from_slice(&[mm(1.0), mm(6.0), mm(1.0)]);
    let error = LiftCurve::interpolated(&angles, &few).unwrap_err();
    assert_eq!(error.to_string(), "rows with lift has 3 entries; allowed: 4 or more on the lobe");
}

#[test]
fn angles_that_do_not_rise() {
    let (mut angles, lifts) = table();
    angles[4] = deg(30.0);
    assert_refused(
        LiftCurve::interpolated(&angles, &lifts),
        "angle[5]",
        "30.0000 deg",
        "above the row before, 30.0000 deg",
    );
    angles[4] = deg(25.0);
    assert_refused(
        LiftCurve::interpolated(&angles, &lifts),
        "angle[5]",
        "25.0000 deg",
        "above the row before, 30.0000 deg",
    );
    angles.reverse();
    assert_refused(LiftCurve::interpolated(&angles, &lifts), "angle[2]", "70.0000 deg", "80.0000 deg");
}

#[test]
fn a_table_of_more_than_a_turn_or_of_less_than_a_lobe() {
    let (_, lifts) = table();
    let wide: Vec<CamAngle> = (0..9).map(|i| deg(45.5 * f64::from(i))).collect();
    assert_refused(LiftCurve::interpolated(&wide, &lifts), "angles", "364.0000 deg", "360 deg");
    // It must come down to the base circle at both ends, or go around.
    assert_refused(
        read(&with_lift(8, 0.3)),
        "lift[9]",
        "at 80.0000 deg",
        "covers no whole turn but 80.0000 deg",
    );
    assert_refused(
        read(&with_lift(0, 0.3)),
        "lift[1]",
        "at 0.0000 deg",
        "zero at the first and the last row",
    );
    // Crank degrees taken for the cam's: a table of a cycle.
    let crank: Vec<CamAngle> = (0..9).map(|i| deg(90.0 * f64::from(i))).collect();
    assert_refused(LiftCurve::interpolated(&crank, &lifts), "angles", "720.0000 deg", "360 deg");
}

#[test]
fn a_whole_turn_that_does_not_close_or_never_comes_down() {
    let flank = flank(Programme::Polynomial345, 60.0);
    let truth = lobe(10.0, flank, flank, 0.0);
    let angles: Vec<CamAngle> = (0..=36).map(|i| deg(10.0 * f64::from(i))).collect();
    let mut lifts: Vec<Length> = angles.iter().map(|a| truth.lift(deg(degrees_of(*a) - 20.0))).collect();
    assert!(LiftCurve::interpolated(&angles, &lifts).is_ok());
    lifts[36] = mm(4.0);
    assert_refused(
        LiftCurve::interpolated(&angles, &lifts),
        "lift[37]",
        "360.0000 deg",
        "as the first row, a turn before",
    );
    let round: Vec<Length> = angles.iter().map(|a| mm(6.0 + 4.0 * (a.on_cam().si()).cos())).collect();
    assert_refused(
        LiftCurve::interpolated(&angles, &round),
        "lift[20]",
        "at 190.0000 deg",
        "opposite the nose",
    );
}

#[test]
fn lifts_below_zero_not_a_number_or_of_two_noses() {
    assert_refused(read(&with_lift(1, -0.5)), "lift[2]", "at 10.0000 deg", "does not go below zero");
    // Of the two in disorder, 2 mm at 40 degrees and 4.5 mm at 50, the mean is 3.25 mm.
    assert_refused(
        read(&with_lift(4, 2.0)),
        "lift[6]",
        "4.5 mm at 50.0000 deg",
        "3.25 mm within 0.0225 mm: a lobe does not go",
    );
    let all_down = |l: &[Length]| l.iter().map(|l| -*l).collect::<Vec<_>>();
    let (angles, lifts) = table();
    let error = LiftCurve::interpolated(&angles, &all_down(&lifts)).unwrap_err();
    assert_eq!((error.kind(), error.field()), (ErrorKind::OutOfRange, Some("greatest lift")));
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        let error = read(&with_lift(3, bad)).unwrap_err();
        assert_eq!((error.kind(), error.field()), (ErrorKind::NotFinite, Some("lift[4]")));
        let mut turned = angles.clone();
        turned[2] = cam(bad);
        let error = LiftCurve::interpolated(&turned, &lifts).unwrap_err();
        assert_eq!((error.kind(), error.field()), (ErrorKind::NotFinite, Some("angle[3]")));
    }
    // By up to half a hundredth of the greatest lift readings may stray.
    assert!(read(&with_lift(0, -0.029)).is_ok() && read(&with_lift(0, 0.029)).is_ok());
    assert!(read(&with_lift(0, -0.031)).is_err() && read(&with_lift(0, 0.031)).is_err());
}

#[test]
fn a_deviation_that_is_none_or_would_leave_no_lobe() {
    let (angles, lifts) = table();
    let smoothed = |s: f64| LiftCurve::smoothed(&angles, &lifts, mm(s));
    assert!(smoothed(0.05).is_ok());
    assert_refused(smoothed(0.0), "standard deviation", "0", "above zero");
    assert_refused(smoothed(-0.01), "standard deviation", "-0.01 mm", "above zero");
    assert_refused(smoothed(0.61), "standard deviation", "0.61 mm", "up to a tenth of the greatest lift");
    assert_eq!(smoothed(f64::NAN).unwrap_err().kind(), ErrorKind::NotFinite);
}

#[test]
fn a_flank_without_length_or_a_lobe_of_more_than_a_turn() {
    assert_refused(
        Flank::new(Programme::Cycloidal, deg(0.0)),
        "length of the flank",
        "0.0000 deg",
        "above zero",
    );
    assert_refused(
        Flank::new(Programme::Cycloidal, deg(-5.0)),
        "length of the flank",
        "-5.0000 deg",
        "above zero",
    );
    assert_eq!(Flank::new(Programme::Cycloidal, cam(f64::NAN)).unwrap_err().kind(), ErrorKind::NotFinite);
    assert_refused(Ramp::new(mm(0.2), deg(0.0)), "length of the ramp", "0.0000 deg", "above zero");
    assert_refused(Ramp::new(mm(-0.2), deg(20.0)), "height of the ramp", "-0.2 mm", "above zero");
    let f = flank(Programme::Cycloidal, 170.0);
    let of = |lift: f64, dwell: f64| LiftCurve::of_flanks(mm(lift), f, f, deg(dwell));
    assert!(of(10.0, 20.0).is_ok());
    // 722 degrees of the crank.
    assert_refused(of(10.0, 21.0), "length of the lobe", "361.0000 deg", "360 deg");
    assert_refused(of(10.0, -1.0), "dwell", "-1 deg", "zero");
    assert_refused(of(0.0, 0.0), "lift", "0", "above zero");
    assert_refused(of(-10.0, 0.0), "lift", "-10 mm", "above zero");
    assert_eq!(of(f64::NAN, 0.0).unwrap_err().kind(), ErrorKind::NotFinite);
    assert_eq!(of(10.0, f64::INFINITY).unwrap_err().kind(), ErrorKind::NotFinite);
    let tall = f.with_ramp(Ramp::new(mm(9.5), deg(10.0)).unwrap());
    // 9.5 mm and half of 170 degrees at 9.5 mm in 8.75 degrees.
    assert_refused(LiftCurve::of_flanks(mm(10.0), tall, f, deg(0.0)), "lift", "10 mm", "above 101.785");
}

#[test]
fn exponents_that_are_none() {
    let with = |exponents: &[u8]| LiftCurve::polynomial(exponents, mm(10.0), deg(60.0));
    for wrong in [&[2u8, 6][..], &[], &[2, 3, 4, 5, 6, 7, 8]] {
        assert_eq!(with(wrong).unwrap_err().kind(), ErrorKind::WrongLength);
    }
    assert_refused(with(&[1, 6, 10]), "exponents[1]", "1", "2 to 100");
    assert_refused(with(&[2, 6, 6]), "exponents[3]", "6", "7 to 100");
    assert_refused(with(&[2, 10, 6]), "exponents[3]", "6", "11 to 100");
    assert_refused(with(&[2, 10, 101]), "exponents[3]", "101", "11 to 100");
    assert_refused(with(&[2, 100, 255]), "exponents[3]", "255", "101 to 100");
    assert_refused(LiftCurve::polynomial(&[2, 6, 10], mm(-1.0), deg(60.0)), "lift", "-1 mm", "above zero");
    assert_refused(
        LiftCurve::polynomial(&[2, 6, 10], mm(1.0), cam(PI + 1e-3)),
        "length of the lobe",
        "360.1146 deg",
        "360 deg",
    );
}

#[test]
fn a_lift_that_the_lobe_has_not() {
    let curve = read(&table()).unwrap().curve;
    assert_refused(curve.opening_at(mm(6.1)), "lift", "6.1 mm", "zero to the lift of the nose");
    assert_refused(curve.closing_at(mm(-0.1)), "lift", "-0.1 mm", "zero to the lift of the nose");
    assert_eq!(curve.duration_at(mm(f64::NAN)).unwrap_err().kind(), ErrorKind::NotFinite);
}
