use super::*;
use crate::ErrorKind;
use approx::assert_relative_eq;
use proptest::prelude::*;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

fn degs(x: &[f64]) -> Vec<Angle> {
    x.iter().map(|x| deg(*x)).collect()
}

fn deg(x: f64) -> Angle {
    Angle::from_si(x.to_radians())
}

fn mms(x: &[f64]) -> Vec<Length> {
    x.iter().map(|x| Length::from_si(x / 1e3)).collect()
}

fn readings(lifts: &[f64], openings: &[f64], closings: &[f64], standard: f64) -> Result<WheelReadings> {
    WheelReadings::new(
        &mms(lifts),
        &degs(openings),
        &degs(closings),
        &WheelUncertainty::Common(deg(standard)),
    )
}

fn degrees(angle: Angle) -> f64 {
    angle.si().to_degrees()
}

fn refused<T: core::fmt::Debug>(result: Result<T>, field: &str) {
    let error = result.unwrap_err();
    assert_eq!((error.kind(), error.field()), (ErrorKind::OutOfRange, Some(field)), "{error}");
}

/// Random numbers, about normal with unit deviation: the sum of twelve uniform ones.
fn normal(random: &mut ChaCha8Rng) -> f64 {
    (0..12).map(|_| (random.next_u64() >> 11) as f64 / (1u64 << 53) as f64).sum::<f64>() - 6.0
}

/// Independent check: numpy's lstsq on the full design (centreline, slope and five durations from ten readings), the covariance by its normal matrix.
#[test]
fn against_the_full_least_squares_problem() {
    let uncertainty = WheelUncertainty::Each {
        openings: degs(&[0.3, 0.25, 0.2, 0.2, 0.25]),
        closings: degs(&[0.4, 0.25, 0.25, 0.2, 0.35]),
    };
    let (openings, closings) = ([-33.1, -9.8, 9.3, 37.2, 62.9], [247.6, 222.4, 203.1, 174.7, 148.7]);
    let lifts = mms(&[0.5, 1.27, 2.5, 5.0, 7.5]);
    let read = WheelReadings::new(&lifts, &degs(&openings), &degs(&closings), &uncertainty).unwrap();
    let nose = MidpointAgainst::LiftToNose(Length::from_si(0.010));
    // Against, centreline and its standard uncertainty, ratio, first residuals: deg. Slopes: deg per mm, or a number.
    let cases = [
        (
            MidpointAgainst::Lift,
            106.19275967523,
            0.07939358639401,
            1.7497280977160,
            (0.46014931662, 0.81804322954),
        ),
        (nose, 105.29535545264, 0.24241081061406, 1.7497280977161, (0.46014931662, 0.81804322955)),
        (
            MidpointAgainst::HalfDuration,
            105.13479951416,
            0.25506827733226,
            1.3523653420656,
            (0.32068398257, 0.57010485891),
        ),
    ];
    for (against, centreline, standard, ratio, residuals) in cases {
        let fit = read.fit(against).unwrap();
        assert_relative_eq!(degrees(fit.centreline), centreline, max_relative = 1e-10);
        assert_relative_eq!(fit.scatter_ratio.unwrap(), ratio, max_relative = 1e-9);
        assert_eq!(fit.uncertainty_from, UncertaintyFrom::Scatter);
        assert_relative_eq!(degrees(fit.centreline_standard), standard * ratio, max_relative = 1e-9);
        assert_relative_eq!(degrees(fit.lifts[0].opening_residual), residuals.0, max_relative = 1e-8);
        assert_relative_eq!(degrees(fit.lifts[0].closing_residual), residuals.1, max_relative = 1e-8);
    }
    let slope = |against| read.fit(against).unwrap().asymmetry.unwrap();
    let per_mm = 1f64.to_radians() * 1e3;
    assert_relative_eq!(slope(nose).slope, -0.13847876571 * per_mm, max_relative = 1e-9);
    assert_relative_eq!(slope(nose).standard, 0.03534335794 * 1.7497280977 * per_mm, max_relative = 1e-9);
    assert_relative_eq!(slope(MidpointAgainst::HalfDuration).slope, 0.011897442576, max_relative = 1e-9);
}

#[test]
fn one_lift_gives_its_midpoint() {
    let fit = readings(&[1.27], &[-10.0], &[222.0], 0.2).unwrap().fit(MidpointAgainst::HalfDuration).unwrap();
    assert_relative_eq!(degrees(fit.centreline), 106.0, max_relative = 1e-14);
    assert_relative_eq!(degrees(fit.centreline_standard), 0.2 / 2f64.sqrt(), max_relative = 1e-14);
    assert_eq!((fit.asymmetry, fit.scatter_ratio), (None, None));
    assert_eq!(fit.uncertainty_from, UncertaintyFrom::Stated);
    assert_relative_eq!(degrees(fit.lifts[0].duration), 232.0, max_relative = 1e-14);
    assert_relative_eq!(degrees(fit.lifts[0].duration_standard), 0.2 * 2f64.sqrt(), max_relative = 1e-14);
}

#[test]
fn the_wheel_zero_is_taken_off_and_its_doubt_added() {
    let zero = WheelZero::from_positive_stop(deg(-38.0), deg(42.0), deg(0.3)).unwrap();
    assert_relative_eq!(degrees(zero.offset()), 2.0, max_relative = 1e-13);
    let read = readings(&[1.0, 4.0], &[-8.0, 40.0], &[224.0, 176.0], 0.2).unwrap();
    let (plain, moved) = (read.fit(MidpointAgainst::Lift), read.with_zero(zero).fit(MidpointAgainst::Lift));
    let (plain, moved) = (plain.unwrap(), moved.unwrap());
    assert_relative_eq!(degrees(plain.centreline - moved.centreline), 2.0, max_relative = 1e-12);
    assert_relative_eq!(
        degrees(plain.lifts[1].midpoint - moved.lifts[1].midpoint),
        2.0,
        max_relative = 1e-12
    );
    // 0.2 / sqrt(2 x 2) of the readings, 0.3 / sqrt(2) of the stop.
    assert_relative_eq!(degrees(moved.centreline_standard), (0.01f64 + 0.045).sqrt(), max_relative = 1e-12);
    refused(
        WheelZero::from_positive_stop(deg(42.0), deg(-38.0), deg(0.3)),
        "reading at the stop after top dead centre",
    );
    refused(
        WheelZero::from_positive_stop(deg(-200.0), deg(161.0), deg(0.3)),
        "reading at the stop after top dead centre",
    );
}

#[test]
fn midpoints_that_disagree_are_a_figure_and_no_refusal() {
    let read = |u| readings(&[1.0, 2.0, 3.0], &[0.0, 10.0, 20.0], &[200.0, 206.0, 180.0], u).unwrap();
    let fit = read(0.1).fit(MidpointAgainst::Lift).unwrap();
    assert_relative_eq!(degrees(fit.midpoint_spread()), 8.0, max_relative = 1e-12);
    // Midpoints 100, 108, 100: residuals of the line 102.667, -8/3, 16/3, -8/3; chi^2 = 2 (128 / 3) / 0.1^2.
    assert_relative_eq!(
        fit.scatter_ratio.unwrap(),
        (2.0 * (128.0 / 3.0) / 0.01f64).sqrt(),
        max_relative = 1e-10
    );
    // Nothing stated: the scatter alone, the same as where it outweighs the statement.
    let silent = read(0.0).fit(MidpointAgainst::Lift).unwrap();
    assert_eq!((silent.scatter_ratio, silent.uncertainty_from), (None, UncertaintyFrom::Scatter));
    assert_relative_eq!(silent.centreline_standard.si(), fit.centreline_standard.si(), max_relative = 1e-10);
}

#[test]
fn impossible_readings_are_refused() {
    let length = |r: Result<WheelReadings>| assert_eq!(r.unwrap_err().kind(), ErrorKind::WrongLength);
    length(readings(&[], &[], &[], 0.2));
    length(readings(&[1.0, 2.0], &[0.0], &[200.0, 180.0], 0.2));
    length(readings(&[1.0, 2.0], &[0.0, 10.0], &[200.0], 0.2));
    refused(readings(&[1.0, 1.0], &[0.0, 10.0], &[200.0, 190.0], 0.2), "lift");
    refused(readings(&[2.0, 1.0], &[0.0, 10.0], &[200.0, 190.0], 0.2), "lift");
    refused(readings(&[-1.0], &[0.0], &[200.0], 0.2), "lift");
    refused(readings(&[1.0], &[200.0], &[0.0], 0.2), "reading at closing");
    refused(readings(&[1.0], &[0.0], &[721.0], 0.2), "reading at closing");
    refused(readings(&[1.0], &[0.0], &[200.0], -0.2), "standard uncertainty of a reading");
    assert_eq!(readings(&[1.0], &[f64::NAN], &[200.0], 0.2).unwrap_err().kind(), ErrorKind::NotFinite);
    let each = |o: &[f64], c: &[f64]| {
        let uncertainty = WheelUncertainty::Each { openings: degs(o), closings: degs(c) };
        WheelReadings::new(&mms(&[1.0]), &degs(&[0.0]), &degs(&[200.0]), &uncertainty)
    };
    length(each(&[0.2, 0.2], &[0.2]));
    refused(each(&[0.2], &[0.0]), "standard uncertainty of a reading");
    let same = readings(&[1.0, 2.0], &[0.0, 0.0], &[200.0, 200.0], 0.2).unwrap();
    refused(same.fit(MidpointAgainst::HalfDuration), "durations");
    refused(same.fit(MidpointAgainst::LiftToNose(Length::from_si(1e-3))), "lift of the nose");
}

const LIFTS: [f64; 6] = [0.5, 1.0, 2.0, 4.0, 6.0, 8.0];

/// The readings of a lobe 10 mm high: flanks of one shape, longer by the share k at closing and shorter at opening.
fn unlike_flanks(centreline: f64, k: f64, noise: &mut dyn FnMut() -> f64) -> (Vec<f64>, Vec<f64>) {
    let half = |lift: f64| 130.0 * (1.0 - lift / 10.0).sqrt();
    let opening = |lift: &f64| centreline - half(*lift) * (1.0 - k);
    let closing = |lift: &f64| centreline + half(*lift) * (1.0 + k);
    let openings = LIFTS.iter().map(|l| opening(l) + noise()).collect();
    (openings, LIFTS.iter().map(|l| closing(l) + noise()).collect())
}

/// How often the true centreline and asymmetry lie within two standard uncertainties, and how the estimates' deviation compares with the mean one stated.
fn coverage(noise: f64, stated: f64) -> (f64, f64, f64) {
    let mut random = ChaCha8Rng::seed_from_u64(12);
    let (trials, k) = (4000, 0.02);
    let (mut centre, mut slope, mut squares, mut variances) = (0, 0, 0.0, 0.0);
    for _ in 0..trials {
        let (o, c) = unlike_flanks(106.0, k, &mut || noise * normal(&mut random));
        let fit = readings(&LIFTS, &o, &c, stated).unwrap().fit(MidpointAgainst::HalfDuration).unwrap();
        let off = degrees(fit.centreline) - 106.0;
        let standard = degrees(fit.centreline_standard);
        let asymmetry = fit.asymmetry.unwrap();
        centre += i32::from(off.abs() < 2.0 * standard);
        slope += i32::from((asymmetry.slope - k).abs() < 2.0 * asymmetry.standard);
        squares += off * off;
        variances += standard * standard;
    }
    let share = |n: i32| f64::from(n) / f64::from(trials);
    (share(centre), share(slope), (squares / variances).sqrt())
}

/// Stated three times too large, the statement counts: the estimates deviate by a third of it. Nothing stated, the scatter with four degrees of freedom counts:
/// Student's t then gives 88.4 % within two standard uncertainties, and the mean variance is right. Stated right, the larger of both counts: more than the 95.4 %
/// of a normal distribution.
#[test]
fn uncertainties_cover_the_truth() {
    let (_, _, ratio) = coverage(0.25, 0.75);
    assert!((ratio - 1.0 / 3.0).abs() < 0.01, "{ratio}");
    let (centre, slope, ratio) = coverage(0.25, 0.0);
    assert!((centre - 0.884).abs() < 0.015 && (slope - 0.884).abs() < 0.015, "{centre} {slope}");
    assert!((ratio - 1.0).abs() < 0.03, "{ratio}");
    let (centre, slope, _) = coverage(0.25, 0.25);
    assert!((0.954..0.995).contains(&centre) && (0.954..0.995).contains(&slope), "{centre} {slope}");
}

proptest! {
    #[test]
    fn a_lobe_of_unlike_flanks_comes_back(c in -130.0..130.0f64, k in -0.1..0.1f64) {
        let (o, cl) = unlike_flanks(c, k, &mut || 0.0);
        let fit = readings(&LIFTS, &o, &cl, 0.2).unwrap().fit(MidpointAgainst::HalfDuration).unwrap();
        prop_assert!((degrees(fit.centreline) - c).abs() < 1e-10);
        prop_assert!((fit.asymmetry.unwrap().slope - k).abs() < 1e-12);
        prop_assert!(fit.lifts.iter().all(|l| degrees(l.opening_residual).abs() < 1e-10));
        prop_assert_eq!(fit.uncertainty_from, UncertaintyFrom::Stated);
    }

    #[test]
    fn a_midpoint_straight_with_lift_comes_back(c in 90.0..120.0f64, s in -1.0..1.0f64, half in 80.0..140.0f64) {
        let middle = |l: &f64| c + s * (l - 10.0);
        let o: Vec<f64> = LIFTS.iter().map(|l| middle(l) - half + 4.0 * l).collect();
        let cl: Vec<f64> = LIFTS.iter().map(|l| middle(l) + half - 4.0 * l).collect();
        let read = readings(&LIFTS, &o, &cl, 0.2).unwrap();
        let fit = read.fit(MidpointAgainst::LiftToNose(Length::from_si(0.010))).unwrap();
        prop_assert!((degrees(fit.centreline) - c).abs() < 1e-10);
        prop_assert!((fit.asymmetry.unwrap().slope - (s * 1e3).to_radians()).abs() < 1e-9);
        let mean = read.fit(MidpointAgainst::Lift).unwrap();
        prop_assert!((degrees(mean.centreline) - (c + s * (21.5 / 6.0 - 10.0))).abs() < 1e-10);
        prop_assert!(mean.centreline_standard < fit.centreline_standard);
    }
}
