//! Studies as text: digits kept, what is refused.

use super::*;

fn unit(symbol: &str) -> &'static crate::units::Unit {
    crate::units::find(symbol).unwrap()
}

fn mm_of(x: f64) -> crate::units::Length {
    Length::from_si(x / 1000.0)
}

/// A cylinder of 86 x 86 mm with 50 cm3 above the piston, its intake closing so many degrees after bottom dead centre.
fn trapped(closing: f64) -> [(Figure, f64); 10] {
    use Figure as F;
    [
        (F::Bore, 86.0),
        (F::Stroke, 86.0),
        (F::RodLength, 143.0),
        (F::DeckClearance, 0.0),
        (F::GasketThickness, 0.0),
        (F::GasketBore, 87.0),
        (F::ChamberVolume, 50e3),
        (F::CrownVolume, 0.0),
        (F::Cylinders, 1.0),
        (F::IntakeClosing, closing),
    ]
}

#[test]
fn figures_written_in_mm_keep_their_digits_and_others_are_converted_once() {
    let study = Study::parse(
        r#"{"axes": [{"figure": "bore", "values": ["86.1 mm", "3.39 in"]}, {"figure": "chamber_volume", "from": "40.1 cm3", "to": "60 cm3", "step": "0.1 cm3"}],
            "fixed": {"stroke": "86 mm", "intake_closing": "54 deg"}}"#,
    )
    .unwrap();
    assert_eq!(study.axes()[0].1.values(), [86.1, 3.39 * 25.4]);
    assert_eq!((study.axes()[1].1.values()[0], study.axes()[1].1.len()), (40.1 * 1000.0, 200));
    assert_eq!(study.designs().unwrap(), 400);
    let mm = shown_unit(crate::units::Dimension::Length, false).unwrap();
    assert_eq!(shown(mm, taken(mm, 86.1)), 86.1);
    let (deg, rad) = (unit("deg"), unit("rad"));
    assert_eq!([taken(deg, 54.3), shown(deg, 54.3)], [54.3, 54.3]);
    assert!((taken(rad, 1.0) - 57.295_779_513_082_32).abs() < 1e-14);
    // The ratio at the closing, by the volume above the piston there.
    let closing = Study::new(&trapped(54.0), vec![], vec![]).unwrap();
    let c = crate::geometry::Cylinder::new(mm_of(86.0), mm_of(86.0), mm_of(143.0), mm_of(0.0)).unwrap();
    let volume = Volume::from_si(50e-6);
    let above = c.cylinder_volume(Angle::from_si(234f64.to_radians()), volume);
    let ratio = closing.output_of(0, Output::TrappedCompressionRatio).unwrap();
    assert!((ratio - (above / volume).si()).abs() < 1e-12, "{ratio}");
    let angle = closing.output_of(0, Output::PeakRodAngle).unwrap();
    assert!((angle - (43.0f64 / 143.0).asin().to_degrees()).abs() < 1e-12, "{angle}");
}

#[test]
fn what_is_no_study_is_refused_with_its_field() {
    let axis = r#"{"figure": "bore", "from": "80 mm", "to": "90 mm", "count": 11}"#;
    let cases = [
        ("[]", "axes, fixed and limits"),
        (r#"{"axes": [{"figure": "boer", "values": ["80 mm"]}]}"#, "bore"),
        (r#"{"axes": [{"figure": "bore", "values": []}]}"#, "1 to"),
        (r#"{"axes": [{"figure": "bore", "from": "80 mm", "to": "90 mm"}]}"#, "from, to and count"),
        (
            r#"{"axes": [{"figure": "bore", "from": "80 mm", "to": "90 kg", "count": 3}]}"#,
            "a length is needed",
        ),
        (r#"{"axes": [{"figure": "bore", "from": "80", "to": "90 mm", "count": 3}]}"#, "no unit"),
        (r#"{"axes": [{"figure": "bore", "from": "80 mm", "to": "90 mm", "step": "-1 mm"}]}"#, "towards"),
        (r#"{"axes": [{"figure": "bore", "values": ["-80 mm"]}]}"#, "above zero"),
        (r#"{"axes": [AXIS, AXIS]}"#, "given twice"),
        (r#"{"axes": [AXIS], "fixed": {"stroke": "inf mm"}}"#, "fixed.stroke"),
        (r#"{"axes": [AXIS], "limits": {"displacment": {"upper": "2000 cm3"}}}"#, "displacement"),
        (r#"{"axes": [AXIS], "limits": {"displacement": {"upper": "2000 cm3"}}}"#, "stroke"),
        (
            r#"{"axes": [AXIS], "fixed": {"stroke": "90 mm"}, "limits": {"displacement": {}}}"#,
            "lower or an upper",
        ),
        (
            r#"{"axes": [AXIS], "fixed": {"stroke": "90 mm"}, "limits": {"displacement": {"lower": "3 cm3", "upper": "2 cm3"}}}"#,
            "at most the upper",
        ),
        (
            r#"{"axes": [AXIS], "fixed": {"stroke": "300 mm", "rod_length": "148 mm"}}"#,
            "half the greatest stroke",
        ),
        (r#"{"axes": [AXIS], "fixed": {"deck_height": "300 mm", "deck_clearance": "0 mm"}}"#, "not both"),
    ];
    for (text, needle) in cases {
        let error = Study::parse(&text.replace("AXIS", axis)).unwrap_err().to_string();
        assert!(error.contains(needle), "{text}: {error}");
    }
}
