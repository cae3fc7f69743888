//! Figures that a study has no need of are not known; its answers are those of every design all the same.

use super::*;

/// The best and the front by some outputs are among the feasible rows, and no fewer.
fn assert_asked(text: &str, outputs: [Output; 2], feasible: usize) {
    let study = Study::parse(text).unwrap();
    let workers = Workers::new(2);
    let rows = rows_of(&study.feasible(&workers).unwrap());
    assert_eq!(rows.len(), feasible);
    assert_eq!(every(&study).iter().filter(|holds| **holds).count(), feasible);
    for output in outputs {
        for goal in [Goal::Maximise, Goal::Minimise] {
            let mut best: Vec<u128> =
                study.best(1000, output, goal, &workers).unwrap().iter().map(|best| best.row).collect();
            best.sort_unstable();
            assert_eq!(best, rows, "{output:?}");
        }
    }
    let objectives = outputs.map(|output| (output, Goal::Maximise));
    let front = study.pareto(&objectives, &workers).unwrap();
    assert_eq!(front, each_against_each(&study, &rows, &objectives));
}

#[test]
fn a_volume_below_zero_holds_no_limit_of_the_ratio() {
    assert_asked(
        r#"{
        "axes": [{"figure": "chamber_volume", "values": ["45 cm3", "60 cm3"]}],
        "fixed": {"bore": "86 mm", "stroke": "86 mm", "gasket_thickness": "1 mm", "gasket_bore": "88 mm",
            "crown_volume": "-55 cm3", "deck_clearance": "0 mm"},
        "limits": {"compression_ratio": {"lower": "2"}}
    }"#,
        [Output::SweptVolume, Output::BoreStrokeRatio],
        1,
    );
}

#[test]
fn a_limit_that_is_the_value_of_a_row_is_that_of_the_row() {
    let text = |upper: f64| {
        format!(
            r#"{{
            "axes": [{{"figure": "rod_length", "from": "130 mm", "to": "160 mm", "count": 101}}],
            "fixed": {{"stroke": "82.11 mm", "compression_height": "28.52 mm", "gasket_thickness": "1.20 mm", "bore": "86 mm",
                "gasket_bore": "88 mm", "chamber_volume": "45 cm3", "crown_volume": "3 cm3", "deck_height": "222 mm"}},
            "limits": {{"clearance_volume": {{"upper": "{upper} mm3"}}}}
        }}"#
        )
    };
    let all = Study::parse(&text(1e9)).unwrap();
    for row in [3, 33, 50, 77, 99] {
        let own = all.output_of(row, Output::ClearanceVolume).unwrap();
        for upper in [own, own.next_down(), own.next_up()] {
            let feasible = (0..101).filter(|r| all.output_of(*r, Output::ClearanceVolume).unwrap() <= upper);
            assert_asked(&text(upper), [Output::SweptVolume, Output::RodRatio], feasible.count());
        }
    }
}

#[test]
fn angles_of_columns_that_no_valve_has_are_refused() {
    let fixed = [
        (Figure::Stroke, 86.0),
        (Figure::RodLength, 143.0),
        (Figure::ExhaustStaticClearance, 6.0),
        (Figure::ExhaustLift, 10.0),
        (Figure::ExhaustDuration, 270.0),
        (Figure::ExhaustValveAngle, 15.0),
    ];
    let centres = [-105.0, 615.0, -360.0, 360.5, -361.0, f64::NAN];
    let columns = Columns::new(&fixed, vec![(Figure::ExhaustCentreline, &centres[..])], vec![]).unwrap();
    let tally = columns.count(&Workers::new(1)).unwrap();
    assert_eq!((tally.feasible, tally.refused), (2, 4));
    let turned = Columns::new(&fixed, vec![(Figure::CamAdvance, &[-500.0, 4.0][..])], vec![]).unwrap();
    assert_eq!(turned.count(&Workers::new(1)).unwrap().refused, 1);
}

#[test]
fn cylinders_are_whole() {
    let study = |count: &str| {
        Study::parse(&format!(r#"{{"axes": [{{"figure": "cylinders", "values": ["4", "{count}"]}}]}}"#))
    };
    assert!(study("6").is_ok());
    assert!(matches!(study("4.5"), Err(crate::Error::OutOfRange { .. })));
    assert!(Scatter::new(&[], vec![(Figure::Cylinders, 1.0, 8.0)], 10, vec![]).is_err());
}
