//! Columns and outputs in written units, and what stands in listed rows.

use super::wide::tests::with_each;
use super::*;
use crate::error::Error;
use crate::units::{Dimension, Unit, find_for};

fn unit(symbol: &str, dimension: Dimension) -> &'static Unit {
    find_for(symbol, dimension, symbol).unwrap()
}

const FIXED: [(Figure, f64); 6] = [
    (Figure::RodLength, 143.0),
    (Figure::CompressionHeight, 32.0),
    (Figure::DeckClearance, 0.2),
    (Figure::GasketBore, 88.0),
    (Figure::GasketThickness, 1.0),
    (Figure::CrownVolume, 2000.0),
];

fn limits() -> Vec<StudyLimit> {
    vec![StudyLimit { output: Output::CompressionRatio, lower: None, upper: Some(10.5) }]
}

#[test]
fn columns_in_written_units_are_those_in_study_units() {
    let n = 5003;
    let spread = |least: f64, width: f64, step: f64| -> Vec<f64> {
        (0..n).map(|i| least + width * ((i as f64 * step) % 1.0)).collect()
    };
    let (mut volumes, bores, mut strokes) =
        (spread(38.0, 14.0, 0.618), spread(84.0, 4.0, 0.414), spread(3.2, 0.4, 0.732));
    (volumes[7], volumes[4999], strokes[300], strokes[301]) = (f64::NAN, 1e307, -1.0, 12.0);
    let (cm3, inch) = (unit("cm3", Dimension::Volume), unit("in", Dimension::Length));
    let scaled = vec![
        (Figure::ChamberVolume, Some(cm3), &volumes[..]),
        (Figure::Bore, None, &bores[..]),
        (Figure::Stroke, Some(inch), &strokes[..]),
    ];
    let own: Vec<f64> = volumes.iter().map(|v| taken(cm3, *v)).collect();
    let millimetres: Vec<f64> = strokes.iter().map(|v| taken(inch, *v)).collect();
    let plain = vec![
        (Figure::ChamberVolume, &own[..]),
        (Figure::Bore, &bores[..]),
        (Figure::Stroke, &millimetres[..]),
    ];
    let found = with_each(|| {
        let a = Columns::in_units(&FIXED, scaled.clone(), limits()).unwrap();
        let b = Columns::new(&FIXED, plain.clone(), limits()).unwrap();
        let workers = Workers::new(2);
        let best = Some(BestOf { k: 9, output: Output::SweptVolume, goal: Goal::Maximise });
        let filtered = a.filter(best, &workers).unwrap();
        assert_eq!(filtered, b.filter(best, &workers).unwrap());
        assert_eq!(filtered.tally.refused, 4);
        assert!(filtered.tally.feasible > 100 && filtered.tally.feasible < 4000);
        assert_eq!(a.excluded(&workers).unwrap(), b.excluded(&workers).unwrap());
        let (mut shown_a, mut study_b) = (vec![0.0; n], vec![0.0; n]);
        let columns = vec![(Output::SweptVolume, Some(cm3), &mut shown_a[..])];
        a.outputs_in(columns, None, best, &PlainCopies, &workers).unwrap();
        let columns = vec![(Output::SweptVolume, &mut study_b[..])];
        let (_, top) = b.outputs(columns, None, best, &PlainCopies, &workers).unwrap();
        assert_eq!(top, filtered.best);
        for (row, (a, b)) in shown_a.iter().zip(&study_b).enumerate() {
            assert_eq!(a.to_bits(), shown(cm3, *b).to_bits(), "row {row}");
        }
        let rows: Vec<u64> = [4999, 0, 7, 300, 1234, 5002].into();
        let values = a.values_of(&rows, a.named("swept_volume").unwrap()).unwrap();
        for (row, value) in rows.iter().zip(&values) {
            assert_eq!(value.to_bits(), study_b[*row as usize].to_bits(), "row {row}");
        }
        let strokes = a.values_of(&rows, a.named("stroke").unwrap()).unwrap();
        assert_eq!(strokes[4], millimetres[1234]);
        assert_eq!(a.values_of(&rows[..1], a.named("rod_length").unwrap()).unwrap(), [143.0]);
        filtered
    });
    assert!(found.windows(2).all(|pair| pair[0] == pair[1]));
}

#[test]
fn units_of_another_dimension_and_rows_that_are_not_there_are_refused() {
    let (one, cm3) = ([86.0; 3], unit("cm3", Dimension::Volume));
    let wrong = Columns::in_units(&[], vec![(Figure::Bore, Some(cm3), &one[..])], Vec::new());
    assert!(matches!(wrong, Err(Error::WrongDimension { .. })));
    let columns = Columns::in_units(
        &[],
        vec![(Figure::Bore, None, &one[..]), (Figure::Stroke, None, &one[..])],
        vec![],
    )
    .unwrap();
    let mut room = [0.0; 3];
    let out = vec![(Output::BoreStrokeRatio, Some(cm3), &mut room[..])];
    let wrong = columns.outputs_in(out, None, None, &PlainCopies, &Workers::new(1));
    assert!(matches!(wrong, Err(Error::WrongDimension { .. })));
    assert!(matches!(columns.named("speed"), Err(Error::MissingKey { .. })));
    assert!(matches!(columns.named("boer"), Err(Error::UnknownKey { .. })));
    let bore = columns.named("bore").unwrap();
    assert!(matches!(columns.values_of(&[3], bore), Err(Error::OutOfRange { .. })));
    let mut short = [0u64; 2];
    let filtered = columns.filter_to(None, |_| Ok(&mut short[..]), &Workers::new(1));
    assert!(matches!(filtered, Err(Error::WrongLength { .. })));
    assert_eq!(columns.figures()[..2], [Figure::Bore, Figure::Stroke]);
    assert!(columns.known_outputs().contains(&Output::BoreStrokeRatio));
}

#[test]
fn texts_are_read() {
    let bore = [86.0, 80.0];
    let text = r#"{"fixed": {"stroke": "86 mm"}, "limits": {"bore_stroke_ratio": {"lower": "1"}}}"#;
    let columns = Columns::parse(text, vec![(Figure::Bore, None, &bore[..])]).unwrap();
    assert_eq!(columns.feasible(&Workers::new(1)).unwrap(), [0]);
    let wrong = Columns::parse(r#"{"limit": {}}"#, vec![(Figure::Bore, None, &bore[..])]);
    assert!(matches!(wrong, Err(Error::Unreadable { .. })));
    let text = r#"{"ranges": [{"figure": "bore", "from": "90 mm", "to": "80 mm"}], "designs": 3}"#;
    assert!(matches!(Scatter::parse(text), Err(Error::OutOfRange { .. })));
    let text = r#"{"ranges": [{"figure": "bore", "from": "80", "to": "90 mm"}], "designs": 3}"#;
    assert!(Scatter::parse(text).unwrap_err().to_string().contains("ranges.bore.from"));
}
