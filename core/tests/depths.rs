//! Clearances in states of temperature, surveys, pins, bolts and fits, from document to sheet.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic, clippy::expect_used, missing_docs)]

mod common;

use common::{refused, sheet};
use swept::ErrorKind;
use swept::build::{Build, Finding, Judgement, Sheet};
use swept::clearance::*;
use swept::units::{Dimensioned, Length, Ratio, ThermodynamicTemperature};

const BARE: &str = r#"
schema = 1
engine.cylinders = 1
block.bore = "86.500 mm +/- 4 um"
block.deck_height = "225.00 mm"
crank = { stroke = "86 mm", main_journal = "54.980 mm", crankpin = "47.980 mm" }
rods = { length = "148 mm", big_end_bore = "51.007 mm" }
pistons = { diameter = "86.440 mm +/- 3 um", compression_height = "33.70 mm" }
main_bearings = { housing_bore = "59.012 mm", upper_shell = "1.993 mm", lower_shell = "1.993 mm" }
rod_bearings = { upper_shell = "1.492 mm", lower_shell = "1.492 mm" }
rings.top.end_gap = "0.40 mm"
head.gasket_thickness = "0.85 mm"
"#;

const WARM: &str = r#"
[materials]
block = "aluminium A356"
bores = "grey iron"
crank = "steel 4340"
rods = "steel 4340"
shells = "steel 1040"
pistons = "aluminium 4032"
rings = "grey iron"
[states.running]
block = "90 degC"
bores = "120 degC"
crank = "100 degC"
rods = "110 degC"
shells = "100 degC"
crowns = "250 degC"
skirts = "150 degC"
top_rings = "200 degC"
"#;

fn with(more: &str) -> String {
    format!("{BARE}{WARM}{more}")
}

fn find<'a>(sheet: &'a Sheet, what: &str, state: Option<&str>) -> &'a Finding {
    let found = sheet.findings.iter().find(|f| f.what == what && f.state.as_deref() == state);
    found.unwrap_or_else(|| panic!("{what} {state:?} is not on the sheet"))
}

fn celsius(t: f64) -> ThermodynamicTemperature {
    ThermodynamicTemperature::from_si(t + 273.15)
}

fn strain(m: Material, t: f64) -> f64 {
    m.thermal_strain(celsius(t)).unwrap().si()
}

#[test]
fn every_clearance_exists_cold_and_hot() {
    let sheet = sheet(&with(""));
    let um = |what: &str| (find(&sheet, what, Some("running")).value.si * 1e6 * 1e3).round() / 1e3;
    let near = |what: &str, metres: f64| {
        assert!((um(what) - metres * 1e6).abs() < 2e-3, "{what}: {} {}", um(what), metres * 1e6)
    };
    let (iron, steel, shell) = (Material::GreyIron, Material::Steel4340, Material::Steel1040);
    let bore = 86.5e-3 * (1.0 + strain(iron, 120.0));
    near("piston_to_wall", bore - 86.44e-3 * (1.0 + strain(Material::Aluminium4032, 150.0)));
    let walls = 2.0 * 1.993e-3 * (1.0 + strain(shell, 100.0));
    let housing = 59.012e-3 * (1.0 + strain(Material::AluminiumA356, 90.0));
    near("main_bearing_clearance", housing - walls - 54.98e-3 * (1.0 + strain(steel, 100.0)));
    let big_end = 51.007e-3 * (1.0 + strain(steel, 110.0));
    let walls = 2.0 * 1.492e-3 * (1.0 + strain(shell, 100.0));
    near("rod_bearing_clearance", big_end - walls - 47.98e-3 * (1.0 + strain(steel, 100.0)));
    let hot_gap = hot_end_gap(
        Length::from_si(0.4e-3),
        Length::from_si(86.5e-3),
        Ratio::from_si(strain(iron, 200.0)),
        Ratio::from_si(strain(iron, 120.0)),
    );
    near("top_ring_gap", hot_gap.si());
    let deck = 225e-3 * (1.0 + strain(Material::AluminiumA356, 90.0))
        - 43e-3 * (1.0 + strain(steel, 100.0))
        - 148e-3 * (1.0 + strain(steel, 110.0))
        - 33.7e-3 * (1.0 + strain(Material::Aluminium4032, 250.0));
    near("deck_clearance", deck);
    near("piston_to_head", deck + 0.85e-3);
    // What is not a clearance has no hot twin, and the cold figures are as they were.
    assert!(sheet.findings.iter().all(|f| f.what != "displacement" || f.state.is_none()));
    assert!((find(&sheet, "piston_to_wall", None).value.si - 60e-6).abs() < 1e-12);
}

#[test]
fn the_scatter_of_the_handbooks_is_in_the_budget_of_a_hot_figure() {
    let sheet = sheet(&with(""));
    let hot = find(&sheet, "piston_to_wall", Some("running"));
    let cold = find(&sheet, "piston_to_wall", None);
    assert!(
        hot.expanded_uncertainty.as_ref().unwrap().si > 2.0 * cold.expanded_uncertainty.as_ref().unwrap().si
    );
    assert!(hot.budget[0].reading.contains("scatter of the data on aluminium 4032"), "{:?}", hot.budget);
}

#[test]
fn a_ring_that_butts_when_hot_fails_and_is_to_be_filed() {
    let tight = with("").replace("rings.top.end_gap = \"0.40 mm\"", "rings.top.end_gap = \"0.15 mm\"");
    let sheet = sheet(&tight);
    let hot = find(&sheet, "top_ring_gap", Some("running"));
    assert_eq!(hot.verdict, Judgement::Fail);
    assert!(hot.value.si < 0.0 && hot.limits.as_ref().unwrap().whose.contains("butts"));
    let cut = &hot.cuts[0];
    assert_eq!((cut.operation, cut.verdict), ("file the ring gap", Judgement::Clear));
    // Filing the cold gap by so much opens the hot one by as much.
    assert!((cut.result.si - hot.value.si - cut.by.si).abs() < 1e-9);
    assert_eq!(find(&sheet, "top_ring_gap", None).verdict, Judgement::NoLimit);
}

#[test]
fn a_state_has_limits_of_its_own() {
    let text = with(
        "limits.piston_to_wall = { lower = \"0.02 mm\", upper = \"0.03 mm\", whose = \"piston maker\" }\n",
    )
    .replace("[states.running]", "[states.running]\nbeside = 1");
    assert_eq!(refused(&text).kind(), ErrorKind::UnknownKey);
    let text = with(
        "[states.running.limits]\npiston_to_wall = { lower = \"0.001 mm\", whose = \"piston maker\" }\n",
    );
    let sheet = sheet(&text);
    assert_eq!(find(&sheet, "piston_to_wall", None).verdict, Judgement::NoLimit);
    assert_eq!(
        find(&sheet, "piston_to_wall", Some("running")).limits.as_ref().unwrap().whose,
        "piston maker"
    );
}

#[test]
fn what_a_state_lacks_is_said() {
    let text = with("").replace("skirts = \"150 degC\"\n", "");
    let lacks = sheet(&text).not_computed;
    assert!(lacks.iter().any(|n| n.needs == "in the state running: states.running.skirts"), "{lacks:?}");
}

#[test]
fn temperatures_and_materials_that_cannot_be_are_refused_in_their_place() {
    let cases = [
        (
            with("").replace("crowns = \"250 degC\"", "crowns = \"900 degC\""),
            "states.running.crowns",
            ErrorKind::OutOfRange,
        ),
        (
            with("").replace("\"aluminium 4032\"", "\"unobtainium\""),
            "materials.pistons",
            ErrorKind::OutOfRange,
        ),
        (
            with("").replace("crank = \"100 degC\"", "crank = \"100 mm\""),
            "states.running.crank",
            ErrorKind::WrongDimension,
        ),
        (with("").replace("[states.running]", "[states.cold]"), "states.cold", ErrorKind::OutOfRange),
        (
            with("").replace("[materials]", "[materials]\nmeasured_at = \"600 degC\""),
            "materials.measured_at",
            ErrorKind::OutOfRange,
        ),
    ];
    for (text, field, kind) in cases {
        let error = refused(&text);
        assert_eq!((error.field(), error.kind()), (Some(field), kind), "{error}");
        assert!(error.line().is_some(), "{error}");
    }
}

#[test]
fn at_the_temperature_of_measurement_nothing_grows() {
    let mut text = with("");
    for t in ["90", "120", "100", "110", "250", "150", "200"] {
        text = text.replace(&format!("= \"{t} degC\""), "= \"24 degC\"");
    }
    let text = text.replace("[materials]", "[materials]\nmeasured_at = \"24 degC\"");
    let sheet = sheet(&text);
    for f in sheet.findings.iter().filter(|f| f.state.is_some()) {
        let cold =
            sheet.findings.iter().find(|c| c.what == f.what && c.place == f.place && c.state.is_none());
        assert!((cold.unwrap().value.si - f.value.si).abs() < 1e-15, "{f:?}");
    }
}

#[test]
fn a_coefficient_of_its_own_stands_for_a_material() {
    let text = with("").replace("crank = \"steel 4340\"", "crank = \"12 um/m/K +/- 0.4 um/m/K\"");
    let sheet = sheet(&text);
    let hot = find(&sheet, "main_bearing_clearance", Some("running"));
    assert!(hot.budget.iter().any(|b| b.reading == "materials.crank"), "{:?}", hot.budget);
}

#[test]
fn surveys_give_out_of_round_taper_and_the_least_clearance() {
    let survey = r#"
[[main_bearings.surveys]]
bearing = 1
of = "fitted"
angles = ["30 deg", "90 deg", "150 deg"]
stations = ["4 mm", "20 mm"]
diameters = [["55.030 mm", "55.024 mm", "55.028 mm"], ["55.031 mm", "55.026 mm", "55.029 mm"]]
[[main_bearings.surveys]]
bearing = 1
of = "journal"
angles = ["0 deg", "90 deg"]
stations = ["4 mm", "20 mm"]
diameters = [["54.980 mm", "54.982 mm"], ["54.979 mm", "54.981 mm"]]
"#;
    let table = |t: &str| {
        let line = BARE.lines().find(|l| l.starts_with("main_bearings")).unwrap();
        let rows = line.replace("main_bearings = { ", "").replace(" }", "").replace(", ", "\n");
        format!("{}\n[main_bearings]\n{rows}\n{t}", BARE.replace(line, ""))
    };
    let sheet_ = sheet(&table(survey));
    let um = |what: &str| (find(&sheet_, what, None).value.si * 1e9).round() / 1e3;
    assert_eq!(um("main_bearing_least_clearance"), 55.024e3 - 54.982e3);
    assert_eq!((um("main_bearing_out_of_round"), um("main_bearing_taper")), (6.0, 2.0));
    let wrong = survey.replace("bearing = 1\nof = \"fitted\"", "bearing = 9\nof = \"fitted\"");
    assert_eq!(refused(&table(&wrong)).field(), Some("main_bearings.surveys[1].bearing"));
    let twice =
        survey.replace("[\"30 deg\", \"90 deg\", \"150 deg\"]", "[\"0 deg\", \"90 deg\", \"180 deg\"]");
    assert_eq!(refused(&table(&twice)).field(), Some("main_bearings.surveys[1].angles"));
    let short = survey.replace(", \"55.029 mm\"]", "]");
    let error = refused(&table(&short));
    assert_eq!(error.kind(), ErrorKind::WrongLength, "{error}");
}

#[test]
fn crush_is_lost_in_a_housing_that_grows_more_than_the_shells() {
    let crush = with("[main_bearings_]\n").replace("[main_bearings_]\n", "").replace(
        "main_bearings = {",
        "main_bearings = { upper_crush_height = \"40 um\", lower_crush_height = \"40 um\", ",
    );
    let sheet = sheet(&crush);
    let cold = find(&sheet, "main_bearing_crush", None).value.si;
    let hot = find(&sheet, "main_bearing_crush", Some("running"));
    assert!((cold - 80e-6 / core::f64::consts::PI).abs() < 1e-12);
    // In a checking bore of its own the crush follows the housing.
    let own = crush.replace("upper_crush_height", "checking_bore = \"59.000 mm\", upper_crush_height");
    let looser = find(&common::sheet(&own), "main_bearing_crush", None).value.si;
    assert!((cold - looser - 12e-6).abs() < 1e-12);
    let growth = 59.012e-3 * (strain(Material::Steel1040, 100.0) - strain(Material::AluminiumA356, 90.0));
    let surplus = cold * (1.0 + strain(Material::Steel1040, 100.0));
    assert!((hot.value.si - surplus - growth).abs() < 1e-10, "{} {}", hot.value.si, cold + growth);
    assert_eq!(hot.verdict, Judgement::Fail, "loose: {}", hot.value.text);
}

#[test]
fn pins_float_or_are_pressed() {
    let pins = BARE
        .replace(
            "rods = {",
            "pins.diameter = \"21.998 mm +/- 1 um\"\nrods = { small_end_bore = \"22.006 mm +/- 1 um\", ",
        )
        .replace("pistons = {", "pistons = { pin_bore = \"22.003 mm +/- 1 um\", ");
    let floating = sheet(&pins);
    assert!((find(&floating, "pin_to_boss", None).value.si - 5e-6).abs() < 1e-12);
    assert!((find(&floating, "pin_to_rod", None).value.si - 8e-6).abs() < 1e-12);
    let pressed =
        pins.replace("pins.diameter", "pins.fit = \"pressed\"\npins.diameter").replace("22.006", "21.970");
    let pressed = sheet(&pressed);
    assert!((find(&pressed, "pin_interference", None).value.si - 28e-6).abs() < 1e-12);
}

const BOLT: &str = r#"
[[bolts]]
name = "main cap"
thread = "M10x1.25"
property_class = "10.9"
torque = "60 N m +/- 2 N m"
thread_friction = "0.12 +/- 0.03"
head_friction = "0.12 +/- 0.03"
head_diameter = "14 mm"
stretch = "0.145 mm +/- 4 um"
step_lengths = ["40 mm", "20 mm"]
step_diameters = ["9.0 mm", "thread"]
young = "207 GPa"
parts_over_bolt_stiffness = "4 +/- 1"
outer_load = "12 kN"
angle = "12 deg"
"#;

#[test]
fn torque_scatters_more_than_stretch() {
    let sheet = sheet(&format!("{BARE}{BOLT}"));
    let preload = |way: &str| {
        sheet
            .findings
            .iter()
            .find(|f| f.what == "bolt_preload" && f.place.detail.as_deref() == Some(way))
            .unwrap()
    };
    let relative = |f: &Finding| f.expanded_uncertainty.as_ref().unwrap().si / f.value.si;
    let (torque, stretch) = (preload("by torque"), preload("by stretch"));
    assert!(relative(torque) > 4.0 * relative(stretch), "{} {}", relative(torque), relative(stretch));
    // The stepped shank, by hand: springs in series.
    let area = |d: f64| core::f64::consts::PI / 4.0 * d * d;
    let stress = area(10e-3 - 0.9382 * 1.25e-3);
    let by_hand = 207e9 * 0.145e-3 / (40e-3 / area(9e-3) + 20e-3 / stress);
    assert!((stretch.value.si / by_hand - 1.0).abs() < 1e-12);
    let clamp = find(&sheet, "bolt_clamping_force", None).value.si;
    assert!((clamp - by_hand * 12f64.to_radians().cos()).abs() < 1e-6);
    assert!((find(&sheet, "bolt_separation_load", None).value.si - by_hand / 0.8).abs() < 1e-6);
    assert_eq!(find(&sheet, "bolt_proof_share", None).verdict, Judgement::Pass);
}

/// A bolt that yields holds no more than its proof load, and a turn tells nothing of a joint whose stiffness nobody knows.
#[test]
fn the_joint_is_not_reckoned_with_more_than_the_bolt_holds() {
    let over = sheet(&format!("{BARE}{}", BOLT.replace("0.145 mm", "0.30 mm")));
    let proof = 830e6 * core::f64::consts::PI / 4.0 * (10e-3 - 0.9382 * 1.25e-3f64).powi(2);
    assert!((find(&over, "bolt_separation_load", None).value.si / (proof / 0.8) - 1.0).abs() < 1e-12);
    let turned = BOLT.replace("stretch = \"0.145 mm +/- 4 um\"", "turn = \"60 deg\"");
    let no_joint = turned.replace("parts_over_bolt_stiffness = \"4 +/- 1\"\n", "");
    let by_turn = |s: &Sheet| s.findings.iter().any(|f| f.place.detail.as_deref() == Some("by turn"));
    assert!(by_turn(&sheet(&format!("{BARE}{turned}"))));
    let without = sheet(&format!("{BARE}{no_joint}"));
    assert!(
        !by_turn(&without)
            && without.not_computed.iter().any(|n| n.needs.contains("parts_over_bolt_stiffness"))
    );
}

#[test]
fn a_bolt_past_its_proof_load_and_a_joint_that_opens_are_findings() {
    let over =
        BOLT.replace("0.145 mm", "0.30 mm").replace("outer_load = \"12 kN\"", "outer_load = \"200 kN\"");
    let sheet_ = sheet(&format!("{BARE}{over}"));
    let share = sheet_
        .findings
        .iter()
        .find(|f| f.what == "bolt_proof_share" && f.verdict == Judgement::Fail)
        .unwrap();
    assert!(share.value.si > 1.0 && share.limits.as_ref().unwrap().whose == "the proof load");
    assert_eq!(find(&sheet_, "bolt_separation_margin", None).verdict, Judgement::Fail);
    let cases = [
        (BOLT.replace("M10x1.25", "bolt"), "bolts[1].thread"),
        (BOLT.replace("\"10.9\"", "\"11.9\""), "bolts[1].property_class"),
        (BOLT.replace("\"9.0 mm\", ", ""), "bolts[1].step_diameters"),
        (BOLT.replace("angle = \"12 deg\"", "angle = \"95 deg\""), "bolts[1].angle"),
        (BOLT.replace("thread_friction = \"0.12", "thread_friction = \"12"), "bolts[1].thread_friction"),
        (BOLT.replace("\"14 mm\"", "\"8 mm\""), "bolts[1].head_diameter"),
        (BOLT.replace("\"main cap\"", "\"\""), "bolts[1].name"),
        (
            BOLT.replace("angle =", "limits.bolt_prelod = { lower = \"1 kN\" }\nangle ="),
            "bolts[1].limits.bolt_prelod",
        ),
    ];
    for (text, field) in cases {
        let error = refused(&format!("{BARE}{text}"));
        assert_eq!(error.field(), Some(field), "{error}");
    }
}

const SEAT: &str = r#"
[[press_fits]]
name = "exhaust seat"
bore = "38.000 mm +/- 3 um"
outside = "38.110 mm +/- 3 um"
inner_bore = "31.0 mm"
outer_outside = "60 mm"
length = "8 mm"
friction = "0.12"
inner_material = "steel 4340"
outer_material = "aluminium A356"
outer_yield = "220 MPa"
assembly_gap = "0.03 mm"
states.running = { inner = "300 degC", outer = "180 degC" }
"#;

#[test]
fn a_seat_is_pressed_cold_and_hot() {
    let sheet = sheet(&format!("{BARE}{WARM}{SEAT}"));
    let part = |i: f64, o: f64, m: Material| {
        PressPart::new(Length::from_si(i), Length::from_si(o), m.young(), m.poisson()).unwrap()
    };
    let (steel, aluminium) = (Material::Steel4340, Material::AluminiumA356);
    let at = |s: f64, a: f64| {
        let (s, a) = (1.0 + s, 1.0 + a);
        let interference = 38.11e-3 * s - 38e-3 * a;
        PressFit::new(
            part(31e-3 * s, 38.11e-3 * s, steel),
            part(38e-3 * a, 60e-3 * a, aluminium),
            Length::from_si(interference),
        )
        .unwrap()
    };
    let (cold, hot) = (at(0.0, 0.0), at(strain(steel, 300.0), strain(aluminium, 180.0)));
    for (state, fit) in [(None, cold), (Some("running"), hot)] {
        let value = |what: &str| find(&sheet, what, state).value.si;
        assert!((value("press_interference") / fit.interference().si() - 1.0).abs() < 1e-9);
        assert!((value("press_pressure") / fit.pressure().si() - 1.0).abs() < 1e-9);
        assert!((value("press_outer_stress") / fit.equivalent_stresses().unwrap().1.si() - 1.0).abs() < 1e-9);
        let force = fit.holding_force(Length::from_si(8e-3), Ratio::from_si(0.12)).unwrap().si();
        // The contact's length is taken as measured.
        assert!((value("press_holding_force") / force - 1.0).abs() < 1e-9);
    }
    let heating = find(&sheet, "press_heating", None).value.si;
    assert!((heating - (0.11e-3 + 0.03e-3) / (38e-3 * 21.5e-6)).abs() < 1e-6);
    assert_eq!(
        find(&sheet, "press_outer_stress", None).limits.as_ref().unwrap().whose,
        "yield strength stated"
    );
}

#[test]
fn a_fit_that_is_lost_when_hot_is_a_finding_and_yield_is_a_limit() {
    let loose = SEAT
        .replace("38.110", "38.020")
        .replace("outer = \"180 degC\"", "outer = \"290 degC\"")
        .replace("inner = \"300", "inner = \"100");
    let sheet_ = sheet(&format!("{BARE}{WARM}{loose}"));
    let hot = find(&sheet_, "press_interference", Some("running"));
    assert_eq!(
        (hot.verdict, find(&sheet_, "press_pressure", Some("running")).value.si),
        (Judgement::Fail, 0.0)
    );
    let cooled = SEAT.replace("assembly_gap", "cold_expansion = \"9 um/m/K\"\nassembly_gap");
    let cooling = find(&common::sheet(&format!("{BARE}{WARM}{cooled}")), "press_cooling", None).value.si;
    assert!((cooling - 0.14e-3 / (38e-3 * 9e-6)).abs() < 1e-6);
    let tight = SEAT.replace("38.110", "38.400");
    let sheet_ = sheet(&format!("{BARE}{WARM}{tight}"));
    let stress = find(&sheet_, "press_outer_stress", None);
    assert_eq!(stress.verdict, Judgement::Fail);
    assert!(stress.cuts.iter().any(|c| c.operation.contains("press fit")), "{:?}", stress.no_cut);
    assert_eq!(refused(&format!("{BARE}{}", SEAT)).field(), Some("press_fits[1].states.running"));
    let absurd = SEAT.replace("38.110", "44.110");
    assert_eq!(refused(&format!("{BARE}{WARM}{absurd}")).field(), Some("press_fits[1].outside"));
}

#[test]
fn holes_and_shafts_are_held_against_iso_286() {
    let fit = "[[fits]]\nname = \"pin in the eye\"\nfit = \"22 H6/g5\"\nhole = \"22.006 mm +/- 1 um\"\nshaft = \"21.980 mm +/- 1 um\"\n";
    let sheet_ = sheet(&format!("{BARE}{fit}"));
    assert_eq!(find(&sheet_, "fit_hole", None).verdict, Judgement::Pass);
    let shaft = find(&sheet_, "fit_shaft", None);
    assert_eq!(shaft.verdict, Judgement::Fail);
    assert_eq!(shaft.limits.as_ref().unwrap().lower.as_ref().unwrap().text, "21.984 mm");
    assert_eq!(
        find(&sheet_, "fit_clearance", None).limits.as_ref().unwrap().upper.as_ref().unwrap().text,
        "0.029 mm"
    );
    assert_eq!(refused(&format!("{BARE}{}", fit.replace("H6", "Q6"))).field(), Some("fits[1].fit"));
}

const GRADED: &str = r#"
schema = 1
engine.cylinders = 2
block.bore = "86.5 mm"
crank = { stroke = "86 mm", main_journal = ["54.980 mm", "54.976 mm", "54.983 mm"] }
rods.length = "148 mm"
[main_bearings]
housing_bore = ["59.012 mm", "59.010 mm", "59.013 mm"]
upper_grades = ["1.991 mm +/- 1 um", "1.994 mm +/- 1 um", "1.997 mm +/- 1 um"]
lower_grades = ["1.991 mm +/- 1 um", "1.994 mm +/- 1 um", "1.997 mm +/- 1 um"]
[limits]
main_bearing_clearance = { lower = "0.035 mm", upper = "0.050 mm", target = "0.044 mm", whose = "bearing maker" }
"#;

#[test]
fn shells_are_chosen_from_their_grades_and_fitted() {
    let sheet_ = sheet(GRADED);
    let s = &sheet_.selections[0];
    // 59.012 - 54.980 = 4.032 less 3.988 = 0.044; 4.034 less 3.991 = 0.043; 4.030 less 3.985 = 0.045.
    let clearances: Vec<&str> = s.choices.iter().map(|c| c.clearance.text.as_str()).collect();
    assert_eq!(clearances, ["0.044 mm", "0.043 mm", "0.045 mm"]);
    assert_eq!((s.deviation.text.as_str(), s.spread.text.as_str()), ("0.0010 mm", "0.0020 mm"));
    assert!(
        s.choices.iter().all(|c| c.fitted.is_none() && c.verdict == Judgement::Pass && c.remedy.is_none())
    );
    // The findings are for the shells chosen, each with its own uncertainty.
    let found = find(&sheet_, "main_bearing_clearance", None);
    assert_eq!((found.value.text.as_str(), found.verdict), ("0.044 mm", Judgement::Pass));
    assert!(
        found.budget.iter().any(|b| b.reading.starts_with("main_bearings.upper_grades[")
            && b.reading.ends_with("], main bearing 1")),
        "{:?}",
        found.budget
    );
}

#[test]
fn grades_that_cannot_serve_say_what_to_cut() {
    let tight = GRADED.replace("54.983", "55.020").replace("54.976", "54.930");
    let sheet_ = sheet(&tight);
    let remedies: Vec<_> =
        sheet_.selections[0].choices.iter().map(|c| c.remedy.clone().unwrap_or_default()).collect();
    assert_eq!(remedies[0], "");
    assert!(remedies[1].contains("thicker by 0.042 mm"), "{remedies:?}");
    assert!(remedies[2].contains("grind the journal by 0.033 mm"), "{}", remedies[2]);
    let cases = [
        (GRADED.replace("lower_grades", "#"), "main_bearings.upper_grades"),
        (GRADED.replace("main_bearing_clearance", "crank_end_float"), "main_bearings.upper_grades"),
        (
            GRADED.replace("\"1.997 mm +/- 1 um\"]\nlower", "\"cheese\"]\nlower"),
            "main_bearings.upper_grades[3]",
        ),
    ];
    for (text, field) in cases {
        let error = refused(&text);
        assert_eq!(error.field(), Some(field), "{error}");
    }
}

#[test]
fn rings_are_filed_to_the_target_and_no_less_than_heat_asks() {
    let limit = "limits.top_ring_gap = { lower = \"0.35 mm\", upper = \"0.50 mm\", target = \"0.40 mm\" }\n";
    let short = BARE.replace("\"0.40 mm\"\nhead", "\"0.30 mm\"\nhead");
    let filing = |text: &str| sheet(text).filings[0].clone();
    let cold = filing(&format!("{limit}{short}"));
    assert_eq!((cold.file.text.as_str(), cold.to.text.as_str()), ("0.100 mm", "0.400 mm"));
    assert_eq!(filing(&format!("{limit}{BARE}")).file.si, 0.0);
    let hot =
        format!("{limit}{short}{}", WARM.replace("top_rings = \"200 degC\"", "top_rings = \"380 degC\""));
    let found = filing(&hot);
    assert!(found.to.si > 0.4e-3, "{found:?}");
    // Filed by so much, the hot gap is proved open.
    let filed = hot
        .replace("\"0.30 mm\"\nhead", &format!("\"{:.4} mm\"\nhead", (0.3e-3 + found.file.si) * 1e3 + 1e-4));
    assert_eq!(find(&sheet(&filed), "top_ring_gap", Some("running")).verdict, Judgement::Clear);
    let wide = BARE.replace("\"0.40 mm\"\nhead", "\"0.60 mm\"\nhead");
    assert!(filing(&format!("{limit}{wide}")).note.unwrap().contains("too large"));
}

const DRAWN: &str = r#"
[tolerances]
"block.deck_height" = "+/- 0.05 mm"
"crank.stroke" = "+0.04/0 mm"
"rods.length" = "0 -0.02 mm"
"pistons.compression_height" = "+/- 0.03 mm"
"block.bore" = "86.5 mm H7"
[limits]
deck_clearance = { lower = "0.15 mm", upper = "0.45 mm", whose = "engine builder" }
piston_to_wall = { lower = "0.03 mm", whose = "piston maker" }
"#;

#[test]
fn tolerances_stack_up_worst_by_squares_and_sampled() {
    let sheet_ = sheet(&format!("{BARE}{DRAWN}"));
    let deck = sheet_.stacks.iter().find(|s| s.what == "deck_clearance").unwrap();
    // 225 - 43 - 148 - 33.7 = 0.3; the middle is off by -0.01 of the stroke and +0.01 of the rod.
    assert_eq!((deck.nominal.text.as_str(), deck.middle.text.as_str()), ("0.300 mm", "0.300 mm"));
    assert_eq!((deck.worst_least.text.as_str(), deck.worst_greatest.text.as_str()), ("0.200 mm", "0.400 mm"));
    let rss = (0.05f64.powi(2) + 0.01f64.powi(2) + 0.01f64.powi(2) + 0.03f64.powi(2)).sqrt() * 1e-3;
    assert!((deck.rss_greatest.si - deck.middle.si - rss).abs() < 1e-12);
    assert!((deck.sampled_standard.si - rss / 3.0).abs() < 0.03 * rss);
    assert_eq!((deck.outside, deck.worst_case_holds), (Some(0.0), Some(true)));
    let order: Vec<&str> = deck.contributors.iter().map(|c| c.reading.as_str()).collect();
    assert_eq!(&order[..2], ["block.deck_height", "pistons.compression_height"]);
    assert!((deck.contributors.iter().map(|c| c.share).sum::<f64>() - 1.0).abs() < 1e-12);
    let wall = sheet_.stacks.iter().find(|s| s.what == "piston_to_wall").unwrap();
    assert_eq!(wall.worst_greatest.text, "0.095 mm", "H7 at 86.5 mm is 35 um");
    // The drawing's nominal sizes, not the readings.
    let drawing = DRAWN
        .replace("+/- 0.05 mm", "225.10 mm +/- 0.05 mm")
        .replace("0 -0.02 mm", "148.00 mm 0/-0.02 mm")
        .replace("86.5 mm H7", "86 mm H7");
    let stacked = sheet(&format!("{BARE}{drawing}")).stacks;
    let of = |what: &str| stacked.iter().find(|s| s.what == what).unwrap().clone();
    assert_eq!(
        (of("deck_clearance").nominal.text.as_str(), of("deck_clearance").worst_greatest.text.as_str()),
        ("0.400 mm", "0.500 mm")
    );
    assert_eq!(of("piston_to_wall").nominal.text, "-0.440 mm");
    let build = Build::parse(&format!("{BARE}{DRAWN}")).unwrap();
    use swept::metrology::Distribution::Rectangular;
    let more = build.tolerance_stack("deck_clearance", 1, 50_000, Rectangular).unwrap();
    assert!(more.sampled_standard.si > 1.5 * deck.sampled_standard.si, "rectangles are wider");
    assert_eq!(
        build.tolerance_stack("deck_clearence", 1, 1000, Rectangular).unwrap_err().kind(),
        ErrorKind::UnknownKey
    );
    assert_eq!(
        build.tolerance_stack("deck_clearance", 2, 1000, Rectangular).unwrap_err().kind(),
        ErrorKind::OutOfRange
    );
    assert_eq!(
        build.tolerance_stack("deck_clearance", 0, 1000, Rectangular).unwrap_err().kind(),
        ErrorKind::OutOfRange
    );
}

#[test]
fn what_is_no_tolerance_is_refused_in_its_place() {
    for (from, to, field) in [
        ("\"block.bore\" = \"86.5 mm H7\"", "\"block.bore\" = \"86.5 mm Q7\"", "tolerances.block.bore"),
        ("86.5 mm H7", "86.5 mm h7", "tolerances.block.bore"),
        ("86.5 mm H7", "H7", "tolerances.block.bore"),
        ("+/- 0.05 mm", "+/- -0.05 mm", "tolerances.block.deck_height"),
        ("+/- 0.05 mm", "0.05 mm", "tolerances.block.deck_height"),
        ("+/- 0.05 mm", "+/- 0.05 g", "tolerances.block.deck_height"),
        ("+0.04/0 mm", "0.04/0.02 mm", "tolerances.crank.stroke"),
        ("crank.stroke", "crank.strok", "tolerances.crank.strok"),
    ] {
        let error = refused(&format!("{BARE}{}", DRAWN.replace(from, to)));
        assert_eq!(error.field(), Some(field), "{error}");
        assert!(error.line().is_some(), "{error}");
    }
}

/// Common practice, no source.
#[test]
fn rules_of_thumb_are_asked_for_and_labelled() {
    let rule = |name: &str, rule: &str| format!("limits.{name} = {{ rule = \"{rule}\" }}\n{BARE}");
    let sheet_ = sheet(
        &rule("piston_to_wall", "forged 4032").replace("86.500 mm", "101.6 mm").replace("86.440", "101.54"),
    );
    let limits = find(&sheet_, "piston_to_wall", None).limits.clone().unwrap();
    assert!((limits.lower.unwrap().si - 2.0 * 25.4e-6).abs() < 1e-12 && limits.whose.contains("no source"));
    assert_eq!(refused(&rule("piston_to_wall", "billet")).kind(), ErrorKind::OutOfRange);
    assert_eq!(refused(&rule("deck_clearance", "usual")).kind(), ErrorKind::OutOfRange);
}

const SIX: &str = r#"
schema = 1
engine.cylinders = 6
block = { bore = ["86.500 mm", "86.506 mm", "86.503 mm", "86.497 mm", "86.501 mm", "86.509 mm"], deck_height = ["225.00 mm", "225.02 mm", "225.01 mm", "224.99 mm", "225.03 mm", "225.00 mm"] }
crank.stroke = "86 mm"
rods = { length = ["148.00 mm", "148.02 mm", "147.99 mm", "148.01 mm", "148.00 mm", "148.03 mm"], small_end_mass = ["171.0 g", "172.5 g", "170.0 g", "171.5 g", "172.0 g", "171.0 g"] }
pistons = { diameter = ["86.451 mm", "86.446 mm", "86.440 mm", "86.448 mm", "86.443 mm", "86.445 mm"], compression_height = ["33.70 mm", "33.71 mm", "33.69 mm", "33.70 mm", "33.72 mm", "33.70 mm"], mass = ["352.0 g", "351.0 g", "353.0 g", "350.5 g", "352.5 g", "351.5 g"], pin_offset = "0.5 mm" }
pins.mass = ["95.0 g", "95.5 g", "94.5 g", "95.0 g", "96.0 g", "94.0 g"]
[matching]
order = ["piston_to_wall", "deck_clearance", "reciprocating_mass"]
"#;

/// Every order of the pistons by counting, for the first figure; the others cannot be better than proved.
#[test]
fn parts_are_matched_and_the_gain_is_shown() {
    let sheet_ = sheet(SIX);
    let m = sheet_.matching.as_ref().unwrap();
    assert_eq!(m.parts, ["piston", "rod", "pin"]);
    for f in &m.figures {
        assert!(f.proved && f.matched.si <= f.delivered.si && f.bound.si == f.matched.si, "{f:?}");
    }
    for part in 0..3 {
        let mut used: Vec<usize> = m.rows.iter().map(|r| r.parts[part]).collect();
        used.sort_unstable();
        assert_eq!(used, [1, 2, 3, 4, 5, 6]);
    }
    // Bores less pistons, sorted: no order of six has a smaller spread.
    let bores = [86.500, 86.506, 86.503, 86.497, 86.501, 86.509];
    let pistons = [86.451, 86.446, 86.440, 86.448, 86.443, 86.445];
    let mut order = [0usize, 1, 2, 3, 4, 5];
    let mut best = f64::INFINITY;
    permutations(&mut order, 0, &mut |o| {
        let gaps: Vec<f64> = o.iter().enumerate().map(|(i, p)| bores[i] - pistons[*p]).collect();
        let spread =
            gaps.iter().copied().fold(f64::MIN, f64::max) - gaps.iter().copied().fold(f64::MAX, f64::min);
        best = best.min(spread);
    });
    assert!((m.figures[0].matched.si * 1e3 - best).abs() < 1e-9);
    // A document with the parts in the order found has these very figures as delivered.
    let list = |from: &str, values: &[&str], part: usize| {
        let moved: Vec<String> =
            m.rows.iter().map(|r| format!("\"{}\"", values[r.parts[part] - 1])).collect();
        (
            format!(
                "{from} = [{}]",
                values.iter().map(|v| format!("\"{v}\"")).collect::<Vec<_>>().join(", ")
            ),
            format!("{from} = [{}]", moved.join(", ")),
        )
    };
    let mut again = SIX.to_owned();
    for (from, values, part) in [
        ("diameter", ["86.451 mm", "86.446 mm", "86.440 mm", "86.448 mm", "86.443 mm", "86.445 mm"], 0),
        ("compression_height", ["33.70 mm", "33.71 mm", "33.69 mm", "33.70 mm", "33.72 mm", "33.70 mm"], 0),
        ("{ length", ["148.00 mm", "148.02 mm", "147.99 mm", "148.01 mm", "148.00 mm", "148.03 mm"], 1),
    ] {
        let (old, new) = list(from, &values, part);
        assert!(again.contains(&old), "{old}");
        again = again.replace(&old, &new);
    }
    let delivered = sheet(&again).matching.unwrap();
    assert!((delivered.figures[0].delivered.si - m.figures[0].matched.si).abs() < 1e-12);
    assert!((delivered.figures[1].delivered.si - m.figures[1].matched.si).abs() < 1e-12);
}

fn permutations(order: &mut [usize; 6], from: usize, visit: &mut impl FnMut(&[usize; 6])) {
    if from == order.len() {
        return visit(order);
    }
    for i in from..order.len() {
        order.swap(from, i);
        permutations(order, from + 1, visit);
        order.swap(from, i);
    }
}

#[test]
fn a_matching_that_cannot_be_says_so() {
    let limited = format!("limits.piston_to_wall = {{ lower = \"0.055 mm\", upper = \"0.056 mm\" }}\n{SIX}");
    let m = sheet(&limited).matching.unwrap();
    assert!(m.note.as_deref().unwrap().contains("proved") && !m.delivered_holds, "{:?}", m.note);
    for (from, to) in [
        ("\"piston_to_wall\", ", "\"cheese\", "),
        ("\"piston_to_wall\", ", "\"pin_to_boss\", "),
        ("\"deck_clearance\", ", "\"piston_to_wall\", "),
        ("pins.mass", "#"),
    ] {
        let error = refused(&SIX.replace(from, to));
        assert_eq!(error.field(), Some("matching.order"), "{error}");
    }
    assert_eq!(
        refused(&SIX.replace("[\"piston_to_wall\", \"deck_clearance\", \"reciprocating_mass\"]", "[]"))
            .field(),
        Some("matching.order")
    );
}
