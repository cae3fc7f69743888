//! Build documents as people write them: the examples, slips of the pen, and hostile texts.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic, clippy::expect_used, missing_docs)]

use proptest::prelude::*;
use swept::build::{Build, Finding, Judgement, Sheet};
use swept::{Error, ErrorKind};

const FOUR: &str = include_str!("../../examples/inline_four.toml");
const SIX: &str = include_str!("../../examples/vee_six.toml");

fn sheet(text: &str) -> Sheet {
    Build::parse(text).unwrap().sheet().unwrap()
}

/// The four with one text in place of another.
fn slip(from: &str, to: &str) -> Error {
    assert!(FOUR.contains(from), "{from} is not in the example");
    Build::parse(&FOUR.replacen(from, to, 1)).unwrap_err()
}

fn line_of(text: &str) -> usize {
    FOUR.lines().position(|l| l.contains(text)).unwrap() + 1
}

fn find<'a>(sheet: &'a Sheet, what: &str, index: usize) -> &'a Finding {
    sheet.findings.iter().find(|f| f.what == what && f.place.index == Some(index)).unwrap()
}

#[test]
fn the_examples_show_every_verdict_and_a_cut() {
    for text in [FOUR, SIX] {
        let sheet = sheet(text);
        assert!(sheet.counts.pass > 0 && sheet.counts.fail > 0 && sheet.counts.cannot_tell > 0);
        let failing = sheet.findings.iter().filter(|f| f.verdict == Judgement::Fail);
        for finding in failing {
            assert!(!finding.cuts.is_empty(), "{} {}", finding.what, finding.place.label);
            assert!(finding.cuts.iter().all(|c| c.verdict == Judgement::Pass));
        }
    }
}

/// Worked by hand from the document's own figures.
#[test]
fn figures_of_the_four_by_hand() {
    let sheet = sheet(FOUR);
    let near = |what: &str, index, mm: f64| {
        let value = find(&sheet, what, index).value.si * 1000.0;
        assert!((value - mm).abs() < 1e-9, "{what} {index}: {value}");
    };
    near("main_bearing_clearance", 1, 59.012 - 2.0 * 1.993 - 54.981);
    near("rod_bearing_clearance", 3, 51.008 - 2.0 * 1.492 - 47.964);
    near("piston_to_wall", 2, 86.497 - 86.443);
    near("wall_between_bores", 1, 94.0 - (86.493 + 86.497) / 2.0);
    let pin_height = (191.0f64 * 191.0 - 0.25).sqrt();
    near("deck_clearance", 1, 224.97 - pin_height - 33.70);
    near("piston_to_head", 1, 224.97 - pin_height - 33.70 + 0.85);
    let u = find(&sheet, "main_bearing_clearance", 1).expanded_uncertainty.as_ref().unwrap().si;
    let by_hand = (3f64.powi(2) + 2.0 * 2f64.powi(2) + 2f64.powi(2)).sqrt() * 1e-6;
    assert!((u - by_hand).abs() < 1e-12);
}

#[test]
fn a_cut_that_breaks_another_finding_says_so() {
    let sheet = sheet(SIX);
    let hone = &find(&sheet, "piston_to_wall", 5).cuts[0];
    assert_eq!(hone.operation, "hone the bore");
    assert_eq!(hone.breaks, ["top ring end gap, cylinder 5"]);
    let mill = &find(&sheet, "deck_clearance", 2).cuts[0];
    assert_eq!(mill.changes.len(), 3, "the three cylinders of the bank");
    assert!(mill.mends.contains(&"deck clearance, cylinder 4".to_owned()));
    assert!(mill.breaks.contains(&"compression ratio, cylinder 2".to_owned()));
}

#[test]
fn a_ring_gap_holds_for_the_bore_it_was_read_in() {
    let planned = FOUR.replacen("bore_spacing =", "planned_bore = \"86.6 mm\"\nbore_spacing =", 1);
    let gap = |text: &str| find(&sheet(text), "top_ring_gap", 1).value.si * 1e3;
    assert!((gap(&planned) - (0.37 + std::f64::consts::PI * (86.6 - 86.493))).abs() < 1e-9);
    let gauged = planned.replacen("[rings.top]", "[rings.top]\ngauge_bore = \"86.6 mm\"", 1);
    assert!((gap(&gauged) - 0.37).abs() < 1e-12);
}

#[test]
fn a_cut_done_leaves_what_it_promised() {
    let before = sheet(FOUR);
    let cut = &find(&before, "top_ring_gap", 3).cuts[0];
    let done =
        FOUR.replacen("\"0.29 mm +/- 10 um\"", &format!("\"{} +/- 10 um\"", cut.changes[0].to.text), 1);
    let after = sheet(&done);
    let finding = find(&after, "top_ring_gap", 3);
    assert_eq!(finding.verdict, Judgement::Pass);
    assert!((finding.value.si - cut.result.si).abs() < 1e-12);
}

#[test]
fn a_finding_that_no_cut_brings_in_says_why() {
    let thin =
        FOUR.replacen("wall_thickness = { lower = \"4.2 mm\"", "wall_thickness = { lower = \"5.5 mm\"", 1);
    assert!(find(&sheet(&thin), "wall_thickness", 4).no_cut.unwrap().contains("no operation"));
    let narrow = "top_ring_gap = { lower = \"0.35 mm\", upper = \"0.351 mm\", target = \"0.3505 mm\"";
    let narrow = FOUR.replacen(
        "top_ring_gap = { lower = \"0.35 mm\", upper = \"0.50 mm\", target = \"0.38 mm\"",
        narrow,
        1,
    );
    assert!(find(&sheet(&narrow), "top_ring_gap", 3).no_cut.unwrap().contains("measure better"));
    let worn = FOUR.replacen("\"0.29 mm +/- 10 um\"", "\"0.90 mm +/- 10 um\"", 1);
    assert!(find(&sheet(&worn), "top_ring_gap", 3).no_cut.unwrap().contains("another part"));
}

/// Two cylinders with the piston 0.8 and 0.6 mm from the head, and a ratio asked for that only impossible cuts would reach.
#[test]
fn a_cut_that_no_engine_can_have_is_not_proposed() {
    let text = r#"
        schema = 1
        engine.cylinders = 2
        block.bore = "86 mm"
        block.deck_height = ["225 mm", "224.8 mm"]
        crank.stroke = "86 mm"
        rods.length = "148 mm"
        pistons.compression_height = "33.5 mm"
        pistons.crown_volume = "0 cc"
        head.chamber_volume = "50 cc"
        head.gasket_bore = "88 mm"
        head.gasket_thickness = "0.3 mm"
        limits.compression_ratio = { lower = "11", upper = "11.4" }
    "#;
    let sheet = sheet(text);
    for finding in sheet.findings.iter().filter(|f| f.what == "compression_ratio") {
        let operations: Vec<&str> = finding.cuts.iter().map(|c| c.operation).collect();
        assert!(operations.iter().all(|o| o.starts_with("mill the head")), "{operations:?}");
        assert!(finding.cuts.iter().flat_map(|c| &c.changes).all(|c| c.to.si > 0.0));
    }
}

#[test]
fn a_figure_on_its_limit_conforms_whatever_rounding_does() {
    let small = "schema = 1\nengine.cylinders = 1\ncrank.stroke = \"86 mm\"\nrods.length = \"148 mm\"\n";
    for i in 0..100 {
        let (bore, gap) = (86_000 + i, [35, 40, 50, 60][i % 4]);
        let text = format!(
            "{small}block.bore = \"{}.{:03} mm\"\npistons.diameter = \"{}.{:03} mm\"\n\
             limits.piston_to_wall = {{ lower = \"0.0{gap} mm\", upper = \"0.0{gap} mm\" }}",
            bore / 1000,
            bore % 1000,
            (bore - gap) / 1000,
            (bore - gap) % 1000
        );
        let sheet = sheet(&text);
        let finding = find(&sheet, "piston_to_wall", 1);
        assert_eq!(
            (finding.verdict, finding.conformance_probability),
            (Judgement::Pass, Some(1.0)),
            "{text}"
        );
    }
}

#[test]
fn parts_that_do_not_fit_are_named() {
    let stroke = "stroke = \"86.00 mm +/- 20 um\"";
    let cases = [
        ("bore_spacing =", "planned_bore = \"86 mm\"\nbore_spacing =", "block.planned_bore"),
        ("top_land_diameter = \"85.90 mm\"", "top_land_diameter = \"87 mm\"", "pistons.top_land_diameter"),
        ("gasket_bore = \"87.5 mm +/- 50 um\"", "gasket_bore = \"50 mm\"", "head.gasket_bore"),
        ("pin_offset = \"0.5 mm\"", "pin_offset = \"60 mm\"", "pistons.pin_offset"),
        (stroke, "stroke = \"1e300 mm\"", "crank.stroke"),
    ];
    for (from, to, field) in cases {
        let error = slip(from, to);
        assert_eq!((error.kind(), error.field()), (ErrorKind::OutOfRange, Some(field)), "{error}");
        assert!(error.line().is_some() && error.value().is_some(), "{error}");
    }
}

#[test]
fn parts_that_overlap_fail_without_a_limit_of_the_document() {
    let text = "schema = 1\nengine.cylinders = 2\nblock.bore = \"86 mm\"\nblock.bore_spacing = \"80 mm\"\n\
                crank.stroke = \"86 mm\"\nrods.length = \"148 mm\"\npistons.diameter = \"87 mm\"";
    let sheet = sheet(text);
    for what in ["piston_to_wall", "wall_between_bores"] {
        let finding = find(&sheet, what, 1);
        assert_eq!(finding.verdict, Judgement::Fail);
        assert!(finding.limits.as_ref().unwrap().whose.starts_with("geometry"));
    }
}

#[test]
fn layout_entries_are_checked_even_alone() {
    let small = "schema = 1\nengine.cylinders = 2\nblock.bore = \"86 mm\"\ncrank.stroke = \"86 mm\"\nrods.length = \"148 mm\"\n";
    let cases = [
        ("engine.firing_order = [9, 9, 9]", ErrorKind::WrongLength, "engine.firing_order"),
        ("engine.firing_order = [1, 1]", ErrorKind::OutOfRange, "engine.firing_order"),
        ("engine.throw_angles = [\"0 deg\"]", ErrorKind::WrongLength, "engine.throw_angles"),
        ("engine.throw_angles = [\"0 deg\", \"9 kg\"]", ErrorKind::WrongDimension, "engine.throw_angles[2]"),
        ("engine.bank_angles = [\"9 kg\"]", ErrorKind::UnknownKey, "engine.bank_angles"),
        ("engine.bank_angle = \"90 deg\"", ErrorKind::UnknownKey, "engine.bank_angle"),
        ("engine.bank_angle = \"90 kg\"", ErrorKind::WrongDimension, "engine.bank_angle"),
    ];
    for (line, kind, field) in cases {
        let error = Build::parse(&format!("{small}{line}\n")).unwrap_err();
        assert_eq!((error.kind(), error.field(), error.line()), (kind, Some(field), Some(6)), "{error}");
    }
}

#[test]
fn errors_are_in_the_words_of_the_document() {
    let said = |from, to| slip(from, to).to_string();
    let limits =
        said("lower = \"0.040 mm\", upper = \"0.060 mm\"", "lower = \"0.070 mm\", upper = \"0.060 mm\"");
    assert!(limits.contains("0.070 mm; allowed: at most the upper limit, 0.060 mm"), "{limits}");
    let uncertain = said("lower = \"0.040 mm\"", "lower = \"0.040 mm +/- 1 um\"");
    assert!(uncertain.contains("an uncertainty cannot stand here"), "{uncertain}");
    assert!(said("cylinders = 4", "cylinders = -1").contains("a whole number"));
    let missing = Build::parse("schema = 1\nengine.cylinders = 1\n").unwrap_err();
    assert_eq!((missing.kind(), missing.field()), (ErrorKind::MissingKey, Some("block.bore")));
}

#[test]
fn slips_of_the_pen_are_named_with_line_and_field() {
    let cases: &[(&str, &str, ErrorKind, &str)] = &[
        (
            "stroke = \"86.00 mm +/- 20 um\"",
            "stroke = \"4.125 kg\"",
            ErrorKind::WrongDimension,
            "crank.stroke",
        ),
        ("stroke = \"86.00 mm +/- 20 um\"", "stroke = \"86.00\"", ErrorKind::MissingUnit, "crank.stroke"),
        ("stroke = \"86.00 mm +/- 20 um\"", "stroke = 86.0", ErrorKind::MissingUnit, "crank.stroke"),
        ("stroke = \"86.00 mm +/- 20 um\"", "stroke = 86", ErrorKind::MissingUnit, "crank.stroke"),
        ("stroke = \"86.00 mm +/- 20 um\"", "stroke = \"nan mm\"", ErrorKind::Unreadable, "crank.stroke"),
        ("stroke = \"86.00 mm +/- 20 um\"", "stroke = nan", ErrorKind::Unreadable, "crank.stroke"),
        ("stroke = \"86.00 mm +/- 20 um\"", "stroke = \"inf mm\"", ErrorKind::Unreadable, "crank.stroke"),
        ("stroke = \"86.00 mm +/- 20 um\"", "stroke = \"-86 mm\"", ErrorKind::OutOfRange, "crank.stroke"),
        ("stroke = \"86.00 mm +/- 20 um\"", "stroke = \"0 mm\"", ErrorKind::OutOfRange, "crank.stroke"),
        ("stroke = \"86.00 mm +/- 20 um\"", "stroke = \"86,0 mm\"", ErrorKind::Unreadable, "crank.stroke"),
        ("stroke = \"86.00 mm +/- 20 um\"", "stroke = \"3.386 inn\"", ErrorKind::UnknownUnit, "crank.stroke"),
        ("stroke = \"86.00 mm +/- 20 um\"", "stroke = '3.386\"'", ErrorKind::UnknownUnit, "crank.stroke"),
        (
            "stroke = \"86.00 mm +/- 20 um\"",
            "stroke = \"86 mm +/- -1 um\"",
            ErrorKind::OutOfRange,
            "crank.stroke",
        ),
        ("stroke = \"86.00 mm +/- 20 um\"", "stroke = []", ErrorKind::Syntax, "crank.stroke"),
        ("stroke = \"86.00 mm +/- 20 um\"", "stroke = true", ErrorKind::Syntax, "crank.stroke"),
        ("stroke = \"86.00 mm +/- 20 um\"", "strok = \"86.00 mm\"", ErrorKind::UnknownKey, "crank.strok"),
        ("crankpin = [\"47.980 mm +/- 2 um\", ", "crankpin = [", ErrorKind::WrongLength, "crank.crankpin"),
        ("cylinders = 4", "cylinders = 0", ErrorKind::OutOfRange, "engine.cylinders"),
        ("cylinders = 4", "cylinders = 4000000000", ErrorKind::OutOfRange, "engine.cylinders"),
        (
            "firing_order = [1, 3, 4, 2]",
            "firing_order = [1, 3, 4, 4]",
            ErrorKind::OutOfRange,
            "engine.firing_order",
        ),
        ("speed = \"7200 rpm\"", "speed = \"120 Hz\"", ErrorKind::WrongDimension, "engine.speed"),
        ("mean_piston_speed =", "mean_piston_sped =", ErrorKind::UnknownKey, "limits.mean_piston_sped"),
        ("upper = \"22 m/s\"", "uper = \"22 m/s\"", ErrorKind::UnknownKey, "limits.mean_piston_speed.uper"),
        (
            "upper = \"22 m/s\"",
            "upper = \"22 mm\"",
            ErrorKind::WrongDimension,
            "limits.mean_piston_speed.upper",
        ),
        (
            "rule = \"naturally aspirated\"",
            "rule = \"turbo\"",
            ErrorKind::OutOfRange,
            "limits.second_ring_gap.rule",
        ),
        ("schema = 1", "schema = 2", ErrorKind::OutOfRange, "schema"),
    ];
    for (from, to, kind, field) in cases {
        let error = slip(from, to);
        assert_eq!(error.kind(), *kind, "{to}: {error}");
        assert_eq!(error.field(), Some(*field), "{to}: {error}");
        assert_eq!(error.line(), Some(line_of(from)), "{to}: {error}");
    }
}

#[test]
fn the_nearest_key_is_named() {
    let text = slip("stroke = \"86.00 mm +/- 20 um\"", "strok = \"86.00 mm\"").to_string();
    assert!(text.contains("did you mean stroke?"), "{text}");
}

#[test]
fn impossible_engines_are_refused() {
    let rod = slip("length = [\"148.00 mm +/- 15 um\"", "length = [\"40.00 mm\"");
    assert_eq!((rod.kind(), rod.field()), (ErrorKind::OutOfRange, Some("rods.length")));
    let high = slip("compression_height = \"33.70 mm +/- 15 um\"", "compression_height = \"36.70 mm\"");
    assert!(high.to_string().contains("the piston would meet the head"), "{high}");
    let missing = slip("length = [\"148.00", "lenght = [\"148.00");
    assert_eq!(missing.kind(), ErrorKind::UnknownKey);
    let unlimited = slip("speed = \"7200 rpm\"", "");
    assert_eq!(unlimited.field(), Some("limits.mean_piston_speed"));
    assert!(unlimited.to_string().contains("engine.speed"), "{unlimited}");
}

#[test]
fn garbage_is_one_error() {
    let big = "x".repeat(10_000_000);
    assert_eq!(Build::parse(&big).unwrap_err().kind(), ErrorKind::OutOfRange);
    let deep = format!("a = {}", "[".repeat(100_000));
    for text in
        ["", "=", "[", "schema = 1", "\u{0}", "schema = 1\nschema = 1", &deep, "[engine]\ncylinders = -1"]
    {
        assert!(Build::parse(text).is_err());
    }
}

#[test]
fn a_one_cylinder_engine_needs_four_entries() {
    let text = "schema = 1\nengine.cylinders = 1\nblock.bore = \"86 mm\"\ncrank.stroke = \"86 mm\"\nrods.length = \"143 mm\"";
    let sheet = sheet(text);
    assert_eq!(sheet.counts.fail + sheet.counts.cannot_tell, 0);
    assert!(sheet.not_computed.iter().any(|n| n.term == "deck clearance"));
    assert!(sheet.findings.iter().all(|f| f.expanded_uncertainty.is_none()));
}

#[test]
fn the_schema_names_every_section() {
    let schema: serde_json::Value = serde_json::from_str(&Build::schema_json()).unwrap();
    for section in ["engine", "block", "crank", "rods", "pistons", "rings", "head", "limits"] {
        assert!(schema["properties"][section].is_object(), "{section}");
    }
}

#[test]
fn the_json_is_a_tree_of_finite_numbers() {
    let json: serde_json::Value = serde_json::from_str(&sheet(FOUR).to_json()).unwrap();
    assert_eq!(json["findings"][0]["where"]["label"], "engine");
    assert!(json["findings"].as_array().unwrap().iter().all(|f| f["value"]["si"].is_f64()));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn no_damaged_document_panics(cut in 0..FOUR.len(), len in 0..40usize, put in "\\PC{0,12}") {
        let mut text: Vec<u8> = FOUR.as_bytes().to_vec();
        let end = (cut + len).min(text.len());
        text.splice(cut..end, put.bytes());
        if let Ok(text) = String::from_utf8(text)
            && let Ok(build) = Build::parse(&text)
        {
            let _ = build.sheet().map(|s| s.to_json());
        }
    }
}
