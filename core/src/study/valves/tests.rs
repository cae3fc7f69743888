//! Clearances of columns and of studies: against high precision, against the search of the valve train, against each other.

use super::*;
use crate::study::{Axis, Output, Study, StudyLimit};
use crate::units::Angle;
use crate::valvetrain::CamAngle;
use crate::valvetrain::lift::{Flank, LiftCurve, Programme};
use crate::valvetrain::pocket::{
    ClearanceSearch, CrankGrid, MeasuredAlong, PistonAllowances, PistonToValve, ValveHead, ValveMotion,
};
use proptest::prelude::*;

/// Stroke, rod length, pin offset, cam advance; static clearance, lift, duration, centreline, valve angle. Then the least clearance and its angle by the formula of
/// [`valve_clearances`] at all 720 angles with 50 digits (mpmath 1.4.1), ties at 1e-40.
const PRECISE: [([f64; 9], f64, f64); 10] = [
    ([86.0, 143.0, 0.0, 0.0, 6.5, 10.5, 270.0, 108.0, 15.0], 5.792_298_501_932_06, 4.0),
    ([86.0, 143.0, 0.8, 0.0, 6.5, 10.5, 270.0, 108.0, 15.0], 5.809_601_855_319_041, 4.0),
    ([94.3, 151.2, -1.3, 6.0, 5.2, 12.4, 296.0, 112.5, 18.5], 3.241_312_931_946_103_7, 6.0),
    ([94.3, 151.2, -1.3, -4.0, 5.2, 12.4, 296.0, -112.5, 18.5], 3.543_737_301_955_542, -5.0),
    ([77.5, 160.0, 0.0, 2.5, 7.75, 14.2, 312.0, -104.0, 12.0], 4.509_990_113_239_586, -10.0),
    ([102.0, 140.4, 1.5, 0.0, 4.1, 9.3, 248.0, 118.0, 0.0], 4.092_349_217_608_01, 0.0),
    ([80.0, 150.0, 0.0, 0.0, 3.0, 0.0, 250.0, 110.0, 10.0], 3.0, -360.0),
    ([80.0, 150.0, 2.0, 0.0, 3.0, 8.0, 90.0, 200.0, 10.0], 3.001_215_537_273_371, -1.0),
    ([80.0, 150.0, 0.0, 0.0, 3.0, 9.0, 700.0, -30.0, 20.0], -5.410_587_940_907_571, 0.0),
    ([60.0, 41.0, -9.5, 10.0, 3.0, 9.0, 260.0, -300.0, 45.0], -2.242_775_494_064_492, -348.0),
];

/// Least clearances and their angles of rows, the same valve as intake and as exhaust.
fn of_rows(rows: &[[f64; 9]], threads: usize) -> Result<[Vec<f64>; 4]> {
    let column = |i: usize| rows.iter().map(|row| row[i]).collect::<Vec<f64>>();
    let c: [Vec<f64>; 9] = core::array::from_fn(column);
    let crank = CrankColumns { stroke: &c[0], rod_length: &c[1], pin_offset: &c[2], cam_advance: &c[3] };
    let valve = ValveColumns {
        static_clearance: &c[4],
        lift: &c[5],
        duration: &c[6],
        centreline: &c[7],
        valve_angle: &c[8],
    };
    let mut out = [0; 4].map(|_| vec![0.0; rows.len()]);
    let [a, b, c, d] = &mut out;
    let least = [LeastColumns { clearance: a, angle: b }, LeastColumns { clearance: c, angle: d }];
    valve_clearances(&crank, &[valve, valve], least, &Workers::new(threads))?;
    Ok(out)
}

#[test]
fn clearances_are_those_of_high_precision() {
    let rows = PRECISE.map(|(row, _, _)| row);
    let [clearance, angle, again, angle_again] = of_rows(&rows, 1).unwrap();
    assert_eq!((&clearance, &angle), (&again, &angle_again));
    for ((_, want, at), (found, degree)) in PRECISE.iter().zip(clearance.iter().zip(&angle)) {
        assert!((found - want).abs() < 1e-12, "{found} {want}");
        assert_eq!(degree, at);
    }
}

const VALVE: [(Figure, Figure); 5] = [
    (Figure::IntakeStaticClearance, Figure::ExhaustStaticClearance),
    (Figure::IntakeLift, Figure::ExhaustLift),
    (Figure::IntakeDuration, Figure::ExhaustDuration),
    (Figure::IntakeCentreline, Figure::ExhaustCentreline),
    (Figure::IntakeValveAngle, Figure::ExhaustValveAngle),
];

/// A study of one design, the same valve as intake and as exhaust.
fn study_of(row: &[f64; 9]) -> Study {
    let mut fixed = vec![
        (Figure::Stroke, row[0]),
        (Figure::RodLength, row[1]),
        (Figure::PinOffset, row[2]),
        (Figure::CamAdvance, row[3]),
    ];
    for ((intake, exhaust), value) in VALVE.iter().zip(&row[4..]) {
        fixed.extend([(*intake, *value), (*exhaust, *value)]);
    }
    Study::new(&fixed, vec![], vec![]).unwrap()
}

const OUTPUTS: [Output; 4] = [
    Output::IntakePistonToValve,
    Output::IntakePistonToValveAngle,
    Output::ExhaustPistonToValve,
    Output::ExhaustPistonToValveAngle,
];

fn row() -> impl Strategy<Value = [f64; 9]> {
    let crank = (60.0..110.0f64, 1.4..2.2f64, -3.0..3.0f64, -20.0..20.0f64);
    let valve = (-2.0..12.0f64, 0.0..15.0f64, 150.0..340.0f64, -130.0..130.0f64, 0.0..40.0f64);
    (crank, valve)
        .prop_map(|((s, n, d, adv), (gap, lift, dur, ce, va))| [s, s * n, d, adv, gap, lift, dur, ce, va])
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]
    #[test]
    fn columns_and_studies_agree_for_any_threads(rows in proptest::collection::vec(row(), 0..600)) {
        let one = of_rows(&rows, 1).unwrap();
        for threads in [2, 5] {
            prop_assert_eq!(&of_rows(&rows, threads).unwrap(), &one);
        }
        for (i, row) in rows.iter().enumerate().step_by(37) {
            let study = study_of(row);
            for (output, column) in OUTPUTS.iter().zip(&one) {
                prop_assert_eq!(study.output_of(0, *output).unwrap(), column[i]);
            }
        }
    }

    #[test]
    fn the_valve_train_finds_the_same(row in row()) {
        // A flat crown; the valve closed at the other top dead centre, which that search does not look at.
        let [stroke, rod, _, advance, _, lift, duration, centreline, tilt] = row;
        let lift = lift + 1.0;
        let mm = |x: f64| Length::from_si(x / 1000.0);
        let deg = |x: f64| Angle::from_si(x.to_radians());
        let cylinder = Cylinder::new(mm(90.0), mm(stroke), mm(rod), mm(0.0)).unwrap();
        let head = ValveHead::new(mm(34.0), mm(1.0), deg(tilt), mm(-18.0), mm(0.0), mm(12.0)).unwrap();
        let gap = PistonToValve::new(cylinder, head, mm(1.2), None, PistonAllowances::default()).unwrap();
        let flank = Flank::new(Programme::Polynomial345, CamAngle::of_crank(deg(duration / 2.0))).unwrap();
        let lobe = LiftCurve::of_flanks(mm(lift), flank, flank, CamAngle::of_crank(deg(0.0))).unwrap();
        let centre = deg(centreline);
        let motion = ValveMotion::new(|crank| lobe.lift(CamAngle::of_crank(crank - centre)), centre).unwrap();
        let motion = motion.advanced(deg(advance)).unwrap();
        let along = MeasuredAlong::CylinderAxis;
        let search = ClearanceSearch { gap: &gap, grid: CrankGrid::new(360).unwrap(), along, motion };
        let found = search.every_angle().unwrap();
        let at_seat = gap.at(deg(0.0), mm(0.0)).unwrap().axial.si() * 1000.0;
        let ours = of_rows(&[[stroke, rod, 0.0, advance, at_seat, lift, duration, centreline, tilt]], 1).unwrap();
        prop_assert!((ours[0][0] - found.clearance.si() * 1000.0).abs() < 1e-9, "{ours:?} {found:?}");
        // Seated valves are as near a turn before.
        let apart = ours[1][0] - found.crank.si().to_degrees();
        prop_assert!(apart.abs() < 1e-9 || (apart + 360.0).abs() < 1e-9, "{ours:?} {found:?}");
    }

    #[test]
    fn boxes_hold_all_their_designs(
        least in row(), wide in proptest::array::uniform9(0.0..1.0f64), at in proptest::array::uniform9(0.0..1.0f64), pin: bool
    ) {
        let shape = Shape { offset: pin, deck_follows: false };
        let span = [8.0, 20.0, 0.0, 10.0, 2.0, 3.0, 30.0, 10.0, 8.0];
        let mut ranges: Ranges = [(f64::NAN, f64::NAN); Figure::ALL.len()];
        let figures = [Figure::Stroke, Figure::RodLength, Figure::PinOffset, Figure::CamAdvance];
        let mut design = least;
        for (i, figure) in figures.into_iter().chain(VALVE.map(|v| v.0)).enumerate() {
            let moves = !(pin && i < 3);
            let from = if i == 2 && !pin { 0.0 } else { least[i] };
            let to = from + if moves { span[i] * wide[i] } else { 0.0 };
            ranges[figure.index()] = (from, to);
            design[i] = from + (to - from) * at[i];
        }
        let (low, high) = range(ValveKind::Intake, shape, &ranges).unwrap();
        let clearance = of_rows(&[design], 1).unwrap()[0][0];
        prop_assert!(low <= clearance && clearance <= high, "{low} {clearance} {high}");
        // No wider than the figures are.
        prop_assert!(wide.iter().any(|w| *w > 1e-3) || high - low < 0.2, "{low} {high}");
    }
}

#[test]
fn a_grid_is_limited_and_sorted_by_clearances() {
    use Figure as F;
    let fixed = [
        (F::Stroke, 86.0),
        (F::RodLength, 143.0),
        (F::IntakeStaticClearance, 6.0),
        (F::IntakeDuration, 280.0),
        (F::IntakeValveAngle, 15.0),
        (F::ExhaustStaticClearance, 6.5),
        (F::ExhaustDuration, 276.0),
        (F::ExhaustValveAngle, 15.0),
        (F::ExhaustCentreline, -112.0),
        (F::ExhaustLift, 10.0),
    ];
    let axis = |figure, from, to, count| (figure, Axis::count(from, to, count).unwrap());
    for offset in [0.0, 0.7] {
        let axes = vec![
            axis(F::CamAdvance, -10.0, 12.0, 23),
            axis(F::IntakeLift, 8.0, 13.0, 11),
            axis(F::IntakeCentreline, 100.0, 114.0, 8),
        ];
        let limits = vec![
            StudyLimit { output: Output::IntakePistonToValve, lower: Some(4.6), upper: None },
            StudyLimit { output: Output::ExhaustPistonToValve, lower: Some(5.1), upper: Some(6.0) },
            StudyLimit { output: Output::IntakePistonToValveAngle, lower: Some(2.0), upper: Some(8.0) },
        ];
        let fixed = [fixed.as_slice(), &[(F::PinOffset, offset)]].concat();
        let study = Study::new(&fixed, axes, limits).unwrap();
        let rows = 0..study.designs().unwrap();
        let holds =
            |row: &u128| study.limits().iter().all(|l| l.holds(study.output_of(*row, l.output).unwrap()));
        let want: Vec<u128> = rows.clone().filter(holds).collect();
        assert!(want.len() > 100 && want.len() < 1500, "{}", want.len());
        let found = study.feasible(&Workers::new(2)).unwrap();
        assert_eq!(found.iter().collect::<Vec<_>>(), want);
        let best =
            study.best(20, Output::IntakePistonToValve, crate::study::Goal::Maximise, &Workers::new(1));
        let mut all: Vec<(f64, u128)> =
            want.iter().map(|r| (study.output_of(*r, Output::IntakePistonToValve).unwrap(), *r)).collect();
        all.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        all.truncate(20);
        assert_eq!(best.unwrap().iter().map(|b| (b.value, b.row)).collect::<Vec<_>>(), all);
    }
}

#[test]
fn rows_that_are_no_engine_are_left_without_a_number_among_others() {
    let good = PRECISE[1].0;
    let mut rows = vec![good; 7];
    rows[1][1] = 43.0;
    rows[2][4] = f64::NAN;
    rows[4][8] = 120.0;
    rows[5][2] = f64::INFINITY;
    let [clearance, angle, ..] = of_rows(&rows, 1).unwrap();
    for (i, (clearance, angle)) in clearance.iter().zip(&angle).enumerate() {
        match i {
            1 | 2 | 4 | 5 => assert!(clearance.is_nan() && angle.is_nan(), "{i}"),
            _ => assert!((clearance - PRECISE[1].1).abs() < 1e-12 && *angle == 4.0),
        }
    }
}

#[test]
fn a_study_with_valves_is_written_with_units() {
    let text = r#"{"axes": [{"figure": "cam_advance", "from": "-8 deg", "to": "8 deg", "step": "0.1 deg"}],
        "fixed": {"stroke": "86 mm", "rod_length": "143 mm", "intake_static_clearance": "6.5 mm", "intake_lift": "10.5 mm",
            "intake_duration": "270 deg", "intake_centreline": "108 deg", "intake_valve_angle": "15 deg"},
        "limits": {"intake_piston_to_valve": {"lower": "5.5 mm"}, "intake_piston_to_valve_angle": {"upper": "5 deg"}}}"#;
    let study = Study::parse(text).unwrap();
    assert_eq!(study.axes()[0].1.values()[1], -7.9);
    let least = study.output_of(80, Output::IntakePistonToValve).unwrap();
    assert!((least - PRECISE[0].1).abs() < 1e-12, "{least}");
    let count = study.count(&Workers::new(1)).unwrap();
    assert!(count.feasible > 81 && count.feasible < count.designs, "{count:?}");
    for (from, to, needle) in [
        ("\"15 deg\"", "\"90 deg\"", "intake_valve_angle"),
        ("\"270 deg\"", "\"0 deg\"", "intake_duration"),
        ("\"270 deg\"", "\"721 deg\"", "up to 720 deg"),
        ("\"108 deg\"", "\"361 deg\"", "intake_centreline"),
        ("\"10.5 mm\"", "\"-1 mm\"", "intake_lift"),
        ("\"intake_lift\": \"10.5 mm\",", "", "needs intake_lift"),
        ("intake_piston_to_valve_angle", "exhaust_piston_to_valve_angle", "exhaust_lift"),
        ("\"5 deg\"", "\"5 mm\"", "angle"),
    ] {
        let error = Study::parse(&text.replacen(from, to, 1)).unwrap_err().to_string();
        assert!(error.contains(needle), "{from}: {error}");
    }
}

#[test]
fn columns_of_one_value_stand_for_all_and_others_must_be_as_long() {
    let columns = |long: &[f64], gap: &[f64], rows: usize| {
        let crank =
            CrankColumns { stroke: &[86.0], rod_length: &[143.0], pin_offset: &[0.0], cam_advance: long };
        let valve = ValveColumns {
            static_clearance: gap,
            lift: &[10.5],
            duration: &[270.0],
            centreline: &[108.0],
            valve_angle: &[15.0],
        };
        let mut out = [0; 4].map(|_| vec![0.0; rows]);
        let [a, b, c, d] = &mut out;
        let least = [LeastColumns { clearance: a, angle: b }, LeastColumns { clearance: c, angle: d }];
        valve_clearances(&crank, &[valve, valve], least, &Workers::new(2)).map(|()| out)
    };
    let advances: Vec<f64> = (0..300).map(|i| f64::from(i) / 30.0).collect();
    let found = columns(&advances, &[6.5], 300).unwrap();
    assert!((found[0][0] - PRECISE[0].1).abs() < 1e-12);
    assert!(found[0].windows(2).all(|w| w[1] < w[0]));
    assert_eq!(columns(&[], &[6.5], 0).unwrap(), [0; 4].map(|_| Vec::<f64>::new()));
    let error = columns(&advances, &[6.5, 6.5], 300).unwrap_err().to_string();
    assert!(error.contains("intake_static_clearance") && error.contains("300"), "{error}");
    assert!(columns(&advances, &[6.5], 299).is_err());
}

#[test]
fn a_watch_stops_the_columns() {
    let rows = vec![PRECISE[0].0; 400_000];
    let c: [Vec<f64>; 9] = core::array::from_fn(|i| rows.iter().map(|row| row[i]).collect());
    let crank = CrankColumns { stroke: &c[0], rod_length: &c[1], pin_offset: &c[2], cam_advance: &c[3] };
    let valve = ValveColumns {
        static_clearance: &c[4],
        lift: &c[5],
        duration: &c[6],
        centreline: &c[7],
        valve_angle: &c[8],
    };
    let mut out = [0; 4].map(|_| vec![0.0; rows.len()]);
    let [a, b, c, d] = &mut out;
    let least = [LeastColumns { clearance: a, angle: b }, LeastColumns { clearance: c, angle: d }];
    let stopped = valve_clearances(&crank, &[valve, valve], least, &Workers::new(1).watched(&|_| false));
    assert!(matches!(stopped, Err(Error::Stopped { .. })), "{stopped:?}");
}
