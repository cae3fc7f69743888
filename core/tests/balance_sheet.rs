//! Balance on the sheet: bob weights, shaking, unbalance and the plan to drill, from document to table.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic, clippy::expect_used, missing_docs)]

mod common;

use common::{refused, sheet};
use swept::ErrorKind;
use swept::build::{Finding, Judgement, Sheet};

/// A V twin of 90 degrees on one pin.
const TWIN: &str = r#"
schema = 1
engine = { cylinders = 2, arrangement = "vee", bank_angle = "90 deg", throw_angles = ["0 deg"], speed = "6000 rpm" }
block.bore = "90 mm"
crank.stroke = "80 mm"
rods = { length = "140 mm", big_end_mass = "400 g +/- 0.2 g", small_end_mass = "150 g +/- 0.2 g", mass = "550.2 g +/- 0.2 g" }
pistons.mass = "350 g +/- 0.2 g"
pins.mass = "100 g +/- 0.2 g"
rod_bearings.shell_mass = "40 g"
[balance]
pin_positions = ["0 mm"]
first_plane = "-50 mm"
second_plane = "50 mm"
oil = "4 g"
"#;

const WEIGHTS: &str = r#"
[[balance.counterweights]]
position = "-40 mm"
angle = "180 deg"
unbalance = "29680 g mm"
[[balance.counterweights]]
position = "40 mm"
angle = "180 deg"
unbalance = "29680 g mm"
"#;

const MACHINE: &str = r#"
permissible = "100 g mm"
readings = { first = { amount = "800 g mm +/- 20 g mm", heavy_at = "182 deg" }, second = { amount = "300 g mm +/- 20 g mm", heavy_at = "190 deg" } }
"#;

const SITES: &str = r#"
[[balance.sites]]
cheek = "left"
position = "-40 mm"
from = "120 deg"
to = "240 deg"
angle_step = "5 deg"
radius = "75 mm"
web = "4 mm"
metal = "steel"
drills = ["8 mm", "12 mm"]
least_depth = "4 mm"
greatest_depth = "30 mm"
depth_step = "1 mm"
[[balance.sites]]
cheek = "right"
position = "40 mm"
from = "120 deg"
to = "240 deg"
angle_step = "5 deg"
radius = "75 mm"
web = "4 mm"
metal = "steel"
drills = ["8 mm", "12 mm"]
least_depth = "4 mm"
greatest_depth = "30 mm"
depth_step = "1 mm"
"#;

const HOLE: &str = r#"
[[balance.drilled]]
cheek = "right"
position = "40 mm"
angle = "180 deg"
radius = "75 mm"
diameter = "8 mm"
depth = "9 mm"
"#;

fn find<'a>(sheet: &'a Sheet, what: &str) -> &'a Finding {
    sheet.findings.iter().find(|f| f.what == what).unwrap_or_else(|| panic!("{what} is not on the sheet"))
}

/// Half the reciprocating mass balances the first order of a 90-degree twin wholly: the counterweights carry 2 x 440 + 4 + 600 g at 40 mm.
#[test]
fn a_right_angled_twin_is_balanced_by_half() {
    let s = sheet(&format!("{TWIN}{WEIGHTS}"));
    assert_eq!(find(&s, "reciprocating_mass").value.text, "600.0 g");
    assert_eq!(find(&s, "rotating_mass").value.text, "440.0 g");
    assert_eq!(find(&s, "bob_weight").value.text, "1484.0 g");
    let table = s.balance.as_ref().unwrap();
    assert!((table.throws[0].share - 0.5).abs() < 1e-12 && table.throws[0].backward.si < 1e-12);
    // The oil is in the bob weight and in what shakes the engine: the counterweights, made for it, leave nothing.
    assert!(
        find(&s, "shaking_force_first").value.si < 1e-6,
        "{}",
        find(&s, "shaking_force_first").value.text
    );
    let row = &table.throws[0];
    assert!((row.rotating.si + row.share * row.reciprocating.si - row.bob_weight.si).abs() < 1e-12);
    let w2 = (6000.0 * core::f64::consts::PI / 30.0f64).powi(2);
    let bare = (2.0 * 0.44 + 0.004 + 0.6) * 0.04 * w2;
    assert!((table.orders[0].force_bare.si / bare - 1.0).abs() < 1e-9, "{:?}", table.orders[0]);
    assert!(find(&s, "shaking_force_second").value.si > 0.1 * bare);
    // The crank with its bob weights: the two counterweights hold 1484 g x 40 mm.
    assert!(find(&s, "design_unbalance").value.si < 1e-9, "{}", find(&s, "design_unbalance").value.text);
    let trace = table.trace.as_ref().unwrap();
    assert_eq!((trace.bare.len(), trace.balanced.len()), (73, 73));
}

#[test]
fn the_plan_brings_both_planes_inside() {
    let s = sheet(&format!("{TWIN}{MACHINE}{WEIGHTS}{SITES}"));
    let read = find(&s, "residual_unbalance");
    assert_eq!(read.verdict, Judgement::Fail);
    assert!(read.no_cut.unwrap().contains("plan"));
    let drilling = s.balance.as_ref().unwrap().drilling.as_ref().unwrap();
    assert!(drilling.inside && drilling.proved && drilling.shortfall.is_none());
    let last = drilling.steps.last().unwrap();
    // 100 g mm less the guard of 1.65 standard uncertainties of 10 g mm.
    assert!((drilling.guarded[0].si - 83.5e-6).abs() < 1e-12);
    assert!(last.inside && last.left_first.si <= 83.5e-6 && last.left_second.si <= 83.5e-6);
    assert_eq!(drilling.least_holes, Some(drilling.steps.len()));
    // The metal that goes is that of the drill.
    let step = &drilling.steps[0];
    let (d, depth) = (step.diameter.si, step.depth.si);
    let cone = d / 2.0 / (59f64.to_radians()).tan();
    let mass = 7850.0 * core::f64::consts::PI / 4.0 * d * d * (depth + cone / 3.0);
    assert!((step.removed.si / mass - 1.0).abs() < 1e-9);
}

#[test]
fn sites_that_cannot_reach_say_by_how_much() {
    let far = MACHINE.replace("182 deg", "10 deg");
    let s = sheet(&format!("{TWIN}{far}{WEIGHTS}{SITES}"));
    let drilling = s.balance.unwrap().drilling.unwrap();
    assert!(!drilling.inside && drilling.shortfall.unwrap().contains("first plane"));
}

#[test]
fn weights_and_sections_that_do_not_add_up_are_refused_in_their_place() {
    let whole = |more: &str| format!("{TWIN}{MACHINE}{WEIGHTS}{SITES}{more}");
    let swap = |from: &str, to: &str| {
        let text = whole("");
        assert!(text.contains(from), "{from}");
        text.replace(from, to)
    };
    let cases = [
        (
            swap("mass = \"550.2 g +/- 0.2 g\"", "mass = \"560 g +/- 0.2 g\""),
            "rods.mass",
            ErrorKind::OutOfRange,
        ),
        (
            swap("pin_positions = [\"0 mm\"]", "pin_positions = [\"0 mm\", \"1 mm\"]"),
            "balance.pin_positions",
            ErrorKind::WrongLength,
        ),
        (
            swap("second_plane = \"50 mm\"", "second_plane = \"-50 mm\""),
            "balance.second_plane",
            ErrorKind::OutOfRange,
        ),
        (swap(", throw_angles = [\"0 deg\"]", ""), "balance", ErrorKind::MissingKey),
        (swap("permissible = \"100 g mm\"", "grade = \"G 6.3\""), "balance.grade", ErrorKind::MissingKey),
        (swap("permissible = \"100 g mm\"", "grade = \"Q\""), "balance.grade", ErrorKind::Unreadable),
        (
            swap("unbalance = \"29680 g mm\"", "unbalance = \"29680 g mm\"\nmetal = \"steel\""),
            "balance.counterweights[1].metal",
            ErrorKind::UnknownKey,
        ),
        (
            swap("unbalance = \"29680 g mm\"", "metal = \"steel\""),
            "balance.counterweights[1]",
            ErrorKind::MissingKey,
        ),
        (swap("metal = \"steel\"", "metal = \"cheese\""), "balance.sites[1].metal", ErrorKind::OutOfRange),
        (swap("least_depth = \"4 mm\"\n", ""), "balance.sites[1].least_depth", ErrorKind::MissingKey),
        (
            swap("greatest_depth = \"30 mm\"", "greatest_depth = \"300 mm\""),
            "balance.sites[1].greatest_depth",
            ErrorKind::OutOfRange,
        ),
        (whole(&HOLE.replace("right", "rihgt")), "balance.drilled[1].cheek", ErrorKind::OutOfRange),
        (swap("second_plane = \"50 mm\"\n", ""), "balance.readings", ErrorKind::MissingKey),
        (swap("permissible = \"100 g mm\"\n", ""), "balance.sites", ErrorKind::MissingKey),
        (
            swap("permissible = \"100 g mm\"", "permissible = \"100 g mm\"\ngrade = \"G 16\""),
            "balance.grade",
            ErrorKind::UnknownKey,
        ),
        (
            swap("permissible = \"100 g mm\"", "permissible = \"100 g mm\"\nfirst_bearing = \"-70 mm\""),
            "balance.first_bearing",
            ErrorKind::MissingKey,
        ),
        (
            swap("drills = [\"8 mm\", \"12 mm\"]", "drills = [\"8 mm\"]\nslug_diameters = [\"12 mm\"]"),
            "balance.sites[1].drills",
            ErrorKind::UnknownKey,
        ),
        (
            swap("angle_step = \"5 deg\"", "angle_step = \"0 deg\""),
            "balance.sites[1].angle_step",
            ErrorKind::OutOfRange,
        ),
        (swap("radius = \"75 mm\"", "radius = \"-75 mm\""), "balance.sites[1].radius", ErrorKind::OutOfRange),
        (whole(&format!("{HOLE}{HOLE}")), "balance.drilled[2]", ErrorKind::UnknownKey),
        (
            whole(&HOLE.replace("radius = \"75 mm\"", "radius = \"750 mm\"")),
            "balance.drilled",
            ErrorKind::OutOfRange,
        ),
        (whole(&HOLE.replace("40 mm", "-40 mm")), "balance.drilled", ErrorKind::OutOfRange),
        (whole(&HOLE.replace("180 deg", "20 deg")), "balance.drilled", ErrorKind::OutOfRange),
        (
            whole("[limits]\nresidual_unbalance = { upper = \"900 g mm\" }\n"),
            "limits.residual_unbalance",
            ErrorKind::UnknownKey,
        ),
        (
            swap(
                "permissible = \"100 g mm\"",
                "permissible = \"100 g mm\"\nfirst_bearing = \"-70 mm\"\nsecond_bearing = \"70 mm\"\ncentre_of_mass = \"0 mm\"",
            ),
            "balance.first_bearing",
            ErrorKind::UnknownKey,
        ),
        (
            swap(
                "unbalance = \"29680 g mm\"",
                "inner_radius = \"90 mm\"\nouter_radius = \"80 mm\"\nincluded_angle = \"90 deg\"\nthickness = \"20 mm\"\nmetal = \"steel\"",
            ),
            "balance.counterweights[1].inner_radius",
            ErrorKind::OutOfRange,
        ),
        (
            swap("least_depth = \"4 mm\"", "axial = true\nwidth = \"31 mm\"\nleast_depth = \"4 mm\""),
            "balance.sites[1].greatest_depth",
            ErrorKind::OutOfRange,
        ),
    ];
    for (text, field, kind) in cases {
        let error = refused(&text);
        assert_eq!((error.field(), error.kind()), (Some(field), kind), "{error}");
    }
}

/// Rao, Mechanical Vibrations, chapter 9, example 9.2 (data from memory): the unbalance is heavy where the weights to add are not.
#[test]
fn trial_runs_stand_for_the_readings_of_a_machine() {
    let trials = r#"
permissible = "1 kg m"
[balance.trials]
phase = "lead"
relative_uncertainty = "1 %"
phase_uncertainty = "1 deg"
baseline = [{ amplitude = "8.5", phase = "60 deg" }, { amplitude = "6.5", phase = "205 deg" }]
[[balance.trials.runs]]
plane = 1
weight = "10 kg m"
at = "270 deg"
readings = [{ amplitude = "6.0", phase = "125 deg" }, { amplitude = "4.5", phase = "230 deg" }]
[[balance.trials.runs]]
plane = 2
weight = "12 kg m"
at = "180 deg"
readings = [{ amplitude = "6.0", phase = "35 deg" }, { amplitude = "10.5", phase = "160 deg" }]
"#;
    let text = format!("{TWIN}{trials}");
    let s = sheet(&text);
    let planes = &s.balance.as_ref().unwrap().planes;
    let expected = [(10.0561, 145.5548), (5.8774, 248.2559)];
    for (plane, (amount, angle)) in planes.iter().zip(expected) {
        assert!((plane.read.as_ref().unwrap().si - amount).abs() < 1e-4, "{plane:?}");
        assert!((plane.read_heavy_at_deg.unwrap() - angle).abs() < 1e-3, "{plane:?}");
    }
    assert!(find(&s, "residual_unbalance").expanded_uncertainty.is_some());
    let machine = "readings = { first = { amount = \"1 g mm\", heavy_at = \"0 deg\" }, second = { amount = \"1 g mm\", heavy_at = \"0 deg\" } }\n";
    let twice = (
        "plane = 2\nweight = \"12 kg m\"\nat = \"180 deg\"",
        "plane = 1\nweight = \"10 kg m\"\nat = \"270 deg\"",
    );
    let cases = [
        ("phase = \"lead\"", "phase = \"ahead\"".to_owned(), "balance.trials.phase"),
        ("plane = 2", "plane = 3".to_owned(), "balance.trials.runs[2].plane"),
        (twice.0, twice.1.to_owned(), "balance.trials"),
        ("[balance.trials]", format!("{machine}[balance.trials]"), "balance.trials"),
    ];
    for (from, to, field) in cases {
        let error = refused(&text.replace(from, &to));
        assert_eq!(error.field(), Some(field), "{error}");
    }
}

#[test]
fn parts_are_lightened_to_the_lightest() {
    let text = TWIN
        .replace("pistons.mass = \"350 g +/- 0.2 g\"", "pistons.mass = [\"352.5 g\", \"350 g\"]")
        .replace("oil = ", "most_off = \"2 g\"\noil = ");
    let rows = sheet(&text).balance.unwrap().lighten;
    assert_eq!(rows.len(), 1, "{rows:?}");
    assert_eq!(
        (rows[0].part, rows[0].place.as_str(), rows[0].take_off.text.as_str()),
        ("piston", "cylinder 1", "2.5 g")
    );
    assert!(rows[0].too_much);
    // A limit of its own for the kind of part goes before the one for all.
    let rows = sheet(&text.replace("oil = ", "piston_most_off = \"3 g\"\noil = ")).balance.unwrap().lighten;
    assert!(!rows[0].too_much);
}

#[test]
fn sites_without_readings_and_shares_at_their_bounds_are_told() {
    let bare = sheet(&format!("{TWIN}{WEIGHTS}{SITES}"));
    let told = bare.not_computed.iter().find(|n| n.needs.contains("balance.readings")).unwrap();
    assert!(told.needs.contains("drill plan"), "{told:?}");
    let graded = MACHINE.replace(
        "permissible = \"100 g mm\"",
        "grade = \"G 16\"\nrotor_mass = \"12 kg\"\nfirst_bearing = \"-10 mm\"\nsecond_bearing = \"90 mm\"\ncentre_of_mass = \"0 mm\"",
    );
    let limited = sheet(&format!("{TWIN}{graded}{WEIGHTS}"));
    let source = find(&limited, "residual_unbalance").limits.as_ref().unwrap().whose.clone();
    assert!(source.contains("G 16") && source.contains("within 30 and 70 %"), "{source}");
}

#[test]
fn a_reading_too_uncertain_for_a_plan_keeps_the_sheet() {
    let text = format!("{TWIN}{MACHINE}{WEIGHTS}{SITES}")
        .replace("permissible = \"100 g mm\"", "permissible = \"10 g mm\"");
    let s = sheet(&text);
    let drilling = s.balance.as_ref().unwrap().drilling.as_ref().unwrap();
    let told = drilling.shortfall.as_ref().unwrap();
    assert!(!drilling.inside && drilling.steps.is_empty());
    assert!(told.contains("too uncertain") && told.contains("16.5 g mm of a limit of 10.0 g mm"), "{told}");
    // The design is near nothing: the reading is what they differ by.
    let apart = s.balance.as_ref().unwrap().planes[0].difference.as_ref().unwrap().si;
    assert!((apart - 800e-6).abs() < 1e-9, "{apart}");
}
