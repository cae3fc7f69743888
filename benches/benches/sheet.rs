//! How long a build sheet takes: a twelve-cylinder document with every reading uncertain. The goal is under 50 ms.
#![allow(clippy::unwrap_used, missing_docs)]

use criterion::{Criterion, criterion_group, criterion_main};
use std::fmt::Write as _;
use std::hint::black_box;
use swept::build::Build;

/// A list of `n` figures, each a little off the other, each uncertain.
fn list(n: usize, value: f64, step: f64, unit: &str, u: &str) -> String {
    let figures: Vec<String> =
        (0..n).map(|i| format!("\"{:.4} {unit} +/- {u}\"", value + step * (i % 3) as f64)).collect();
    format!("[{}]", figures.join(", "))
}

/// Twelve cylinders in a vee, invented figures; some findings fail, so that cuts are solved too.
fn twelve() -> String {
    let n = 12;
    let mm = |n: usize, value: f64, step: f64| list(n, value, step, "mm", "3 um");
    let mut t =
        String::from("schema = 1\ntitle = \"twelve\"\n[engine]\ncylinders = 12\narrangement = \"vee\"\n");
    t += "bank_angle = \"60 deg\"\nthrow_angles = [\"0 deg\", \"120 deg\", \"240 deg\", \"240 deg\", \"120 deg\", \"0 deg\"]\n";
    t += "speed = \"7000 rpm +/- 10 rpm\"\nintake_closing = \"55 deg +/- 1 deg\"\n";
    let _ = write!(t, "[block]\nbore = {}\ndeck_height = {}\n", mm(n, 86.49, 0.003), mm(n, 224.95, 0.06));
    t += "bore_spacing = \"95 mm +/- 20 um\"\npeak_pressure = \"95 bar +/- 2 bar\"\n";
    for cylinder in 1..=n {
        let angles: Vec<String> = (0..8).map(|i| format!("\"{} deg +/- 1 deg\"", 45 * i)).collect();
        let walls = list(8, 5.0, 0.3, "mm", "0.1 mm");
        let _ = write!(
            t,
            "[[block.walls]]\ncylinder = {cylinder}\nangles = [{}]\nthickness = {walls}\n",
            angles.join(", ")
        );
    }
    let _ = write!(t, "[crank]\nstroke = {}\nmain_journal = {}\n", mm(n, 86.0, 0.01), mm(7, 54.98, 0.003));
    let _ = write!(t, "crankpin = {}\ncrankpin_width = {}\n", mm(6, 47.97, 0.008), mm(6, 50.2, 0.01));
    t += "thrust_journal_width = \"27.02 mm +/- 10 um\"\nthrust_bearing_width = \"26.86 mm +/- 10 um\"\n";
    let _ = write!(t, "[rods]\nlength = {}\nbig_end_bore = {}\n", mm(n, 148.0, 0.01), mm(n, 51.006, 0.002));
    let _ = write!(t, "width = {}\n[pistons]\ndiameter = {}\n", mm(n, 24.95, 0.0), mm(n, 86.44, 0.004));
    let _ = write!(
        t,
        "compression_height = {}\ncrown_volume = {}\n",
        mm(n, 33.7, 0.01),
        list(n, 6.2, 0.1, "cm3", "0.1 cm3")
    );
    let _ = write!(t, "pin_offset = {}\ntop_land_diameter = {}\n", mm(n, 0.5, 0.0), mm(n, 85.9, 0.0));
    let _ = writeln!(t, "top_land_height = {}", mm(n, 6.0, 0.0));
    for ring in ["top", "second"] {
        let _ = write!(t, "[rings.{ring}]\nend_gap = {}\nwidth = {}\n", mm(n, 0.33, 0.05), mm(n, 1.18, 0.0));
        let _ = writeln!(t, "groove_width = {}", mm(n, 1.225, 0.0));
    }
    let _ = write!(t, "[head]\nchamber_volume = {}\n", list(n, 40.0, 0.3, "cm3", "0.2 cm3"));
    t += "gasket_bore = \"87.5 mm +/- 50 um\"\ngasket_thickness = \"0.85 mm +/- 30 um\"\n";
    let _ = write!(t, "[main_bearings]\nhousing_bore = {}\n", mm(7, 59.012, 0.001));
    let _ = write!(t, "upper_shell = {}\nlower_shell = {}\n", mm(7, 1.993, 0.0), mm(7, 1.993, 0.0));
    let _ = write!(
        t,
        "[rod_bearings]\nupper_shell = {}\nlower_shell = {}\n",
        mm(n, 1.492, 0.0),
        mm(n, 1.492, 0.0)
    );
    t += "[limits]\ndeck_clearance = { lower = \"0.10 mm\", upper = \"0.33 mm\", whose = \"builder\" }\n";
    t += "compression_ratio = { lower = \"10.2\", upper = \"10.9\", whose = \"builder\" }\n";
    t += "piston_to_head = { lower = \"1.0 mm\", whose = \"builder\" }\n";
    t += "rod_bearing_clearance = { lower = \"0.030 mm\", upper = \"0.055 mm\", whose = \"maker\" }\n";
    t += "piston_to_wall = { lower = \"0.040 mm\", upper = \"0.060 mm\", whose = \"maker\" }\n";
    t += "top_ring_gap = { lower = \"0.35 mm\", whose = \"maker\" }\nwall_thickness = { lower = \"4.2 mm\", whose = \"maker\" }\n";
    t
}

fn sheets(c: &mut Criterion) {
    let text = twelve();
    let build = Build::parse(&text).unwrap();
    let counts = build.sheet().unwrap().counts;
    println!("twelve cylinders: {counts:?}");
    c.bench_function("parse, 12 cylinders", |b| b.iter(|| Build::parse(black_box(&text)).unwrap()));
    c.bench_function("sheet, 12 cylinders, every reading uncertain", |b| b.iter(|| build.sheet().unwrap()));
    c.bench_function("document to JSON, 12 cylinders", |b| {
        b.iter(|| Build::parse(black_box(&text)).unwrap().sheet().unwrap().to_json());
    });
}

/// The sheets of the examples, each with its searches: matching of parts in the in-line six, a plan to drill in the cranks.
fn searches(c: &mut Criterion) {
    let mut group = c.benchmark_group("sheet with searches");
    group.sample_size(10);
    for (name, text) in [
        ("in-line six, parts matched", include_str!("../../examples/inline_six.toml")),
        ("V8 crank, drill plan", include_str!("../../examples/vee_eight_crank.toml")),
    ] {
        let build = Build::parse(text).unwrap();
        group.bench_function(name, |b| b.iter(|| build.sheet().unwrap()));
    }
    group.finish();
}

criterion_group!(benches, sheets, searches);
criterion_main!(benches);
