//! The sheet's uncertainties against sampling (JCGM 101): the same document, its figures drawn again and again.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic, clippy::expect_used, missing_docs)]

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use std::collections::BTreeMap;
use swept::build::Build;

/// Entry, value, expanded uncertainty (k = 2), unit; invented.
const READINGS: [(&str, f64, f64, &str); 14] = [
    ("block.bore", 86.49, 0.02, "mm"),
    ("block.deck_height", 224.98, 0.03, "mm"),
    ("crank.stroke", 86.0, 0.04, "mm"),
    ("crank.crankpin", 47.98, 0.004, "mm"),
    ("rods.length", 148.0, 0.03, "mm"),
    ("rods.big_end_bore", 51.007, 0.006, "mm"),
    ("rod_bearings.upper_shell", 1.492, 0.004, "mm"),
    ("rod_bearings.lower_shell", 1.492, 0.004, "mm"),
    ("pistons.diameter", 86.44, 0.006, "mm"),
    ("pistons.compression_height", 33.7, 0.03, "mm"),
    ("pistons.crown_volume", 6.2, 0.2, "cm3"),
    ("head.chamber_volume", 40.1, 0.4, "cm3"),
    ("head.gasket_bore", 87.5, 0.1, "mm"),
    ("head.gasket_thickness", 0.85, 0.06, "mm"),
];

fn document(draw: impl FnMut(f64, f64) -> f64, stated: bool) -> String {
    let mut draw = draw;
    let mut text = String::from("schema = 1\nengine.cylinders = 1\nengine.intake_closing = \"55 deg\"\n");
    for (entry, value, expanded, unit) in READINGS {
        let u = if stated { format!(" +/- {expanded} {unit}") } else { String::new() };
        text += &format!("{entry} = \"{} {unit}{u}\"\n", draw(value, expanded / 2.0));
    }
    text
}

#[test]
fn uncertainties_of_the_sheet_agree_with_sampling() {
    let mut rng = ChaCha8Rng::seed_from_u64(11);
    // Box and Muller.
    let mut normal = || {
        let (a, b): (f64, f64) = (1.0 - rng.random::<f64>(), rng.random());
        (-2.0 * a.ln()).sqrt() * (std::f64::consts::TAU * b).cos()
    };
    let runs = 4000;
    let mut sums: BTreeMap<&str, (f64, f64)> = BTreeMap::new();
    let stated = Build::parse(&document(|x, _| x, true)).unwrap().sheet().unwrap();
    let centre: BTreeMap<&str, f64> = stated.findings.iter().map(|f| (f.what, f.value.si)).collect();
    for _ in 0..runs {
        let sheet = Build::parse(&document(|x, u| x + u * normal(), false)).unwrap().sheet().unwrap();
        for finding in &sheet.findings {
            let off = finding.value.si - centre[finding.what];
            let (sum, squares) = sums.entry(finding.what).or_default();
            *sum += off;
            *squares += off * off;
        }
    }
    let mut checked = 0;
    for finding in stated.findings.iter().filter(|f| f.expanded_uncertainty.is_some()) {
        let (sum, squares) = sums[finding.what];
        let n = f64::from(runs);
        let sampled = 2.0 * ((squares - sum * sum / n) / (n - 1.0)).sqrt();
        let claimed = finding.expanded_uncertainty.as_ref().unwrap().si;
        // The sampled deviation itself is sure within about 1.1 %; four of those.
        assert!((sampled / claimed - 1.0).abs() < 0.045, "{}: {claimed} against {sampled}", finding.what);
        checked += 1;
    }
    assert!(checked >= 10, "{checked}");
}
