//! Tests of what is refused, of limits, and of the text.

use super::normal::distribution as normal_below;
use super::tests::{BOTH, Found, readings, stack};
use super::*;
use crate::error::Error;
use crate::study::{Figure, Output, StudyLimit, Workers};
use Distribution::{Normal, Uniform};

#[test]
fn impossible_draws_are_refused() -> Found<()> {
    let n = 100_000u64;
    let share = |count: u64, p: f64| {
        let off = count as f64 - n as f64 * p;
        assert!(off.abs() < 4.5 * (n as f64 * p * (1.0 - p)).sqrt(), "{count} for {p}");
    };
    let bore = [(Figure::Bore, Normal { mean: 1.0, deviation: 1.0 })];
    let fixed = [(Figure::Stroke, 80.0)];
    let all = |output, upper| vec![StudyLimit { output, lower: None, upper: Some(upper) }];
    let sampling = Sampling::new(&bore, &[], &fixed, all(Output::SweptVolume, 1e9), 1)?;
    let found = sampling.sample(n, &[Output::SweptVolume], &[0.0], &Workers::new(2))?;
    share(found.impossible, normal_below(-1.0));
    assert_eq!(found.outputs[0].refused, found.impossible);
    assert_eq!(
        found.feasible.map(|s| (s.count, s.of, s.share)),
        Some((n - found.impossible, n - found.impossible, 1.0))
    );
    assert!(found.outputs[0].quantiles[0].value > 0.0);
    // A rod that is too short for the crank.
    let rod = [(Figure::RodLength, Normal { mean: 41.0, deviation: 1.0 })];
    let found =
        Sampling::new(&rod, &[], &fixed, vec![], 1)?.sample(n, &[Output::RodRatio], &[], &Workers::new(2))?;
    share(found.impossible, normal_below(-1.0));
    // A chamber that leaves no volume is a possible part with no ratio.
    let chamber = [(Figure::ChamberVolume, Uniform { low: 0.0, high: 40_000.0 })];
    let fixed = [
        (Figure::Bore, 80.0),
        (Figure::Stroke, 80.0),
        (Figure::DeckClearance, 0.0),
        (Figure::CrownVolume, -10_000.0),
        (Figure::GasketBore, 80.0),
        (Figure::GasketThickness, 0.0),
    ];
    let limits = all(Output::CompressionRatio, 1e9);
    let sampling = Sampling::new(&chamber, &[], &fixed, limits.clone(), 1)?;
    let found = sampling.sample(n, &[Output::CompressionRatio], &[0.5], &Workers::new(2))?;
    share(found.outputs[0].refused, 0.25);
    assert_eq!(found.impossible, 0);
    let held = found.feasible.map_or(0, |s| s.count);
    assert!(held < n && held <= found.outputs[0].used);
    // None at all.
    let mut none = fixed;
    none[3].1 = -50_000.0;
    let found = Sampling::new(&chamber, &[], &none, limits, 1)?;
    let found = found.sample(n, &[Output::CompressionRatio], &[0.5], &Workers::new(2))?;
    let spread = &found.outputs[0];
    assert_eq!((spread.used, spread.refused, found.feasible.map(|s| s.count)), (0, n, Some(0)));
    assert!(spread.mean.is_nan() && spread.quantiles[0].value.is_nan());
    Ok(())
}

#[test]
fn a_limit_nothing_holds_excludes_all() -> Found<()> {
    let readings = [(Figure::Bore, Normal { mean: 86.0, deviation: 0.01 })];
    let limits = vec![StudyLimit { output: Output::BoreStrokeRatio, lower: Some(2.0), upper: None }];
    let sampling = Sampling::new(&readings, &[], &[(Figure::Stroke, 86.0)], limits, 1)?;
    let found = sampling.sample(1000, &[Output::BoreStrokeRatio], &[], &Workers::new(1))?;
    let (feasible, outside) = (found.feasible, found.outputs[0].outside);
    assert_eq!((feasible.map(|s| s.share), outside.map(|s| s.share)), (Some(0.0), Some(1.0)));
    assert!(feasible.is_some_and(|s| s.error > 0.0 && s.error < 0.002));
    // An output that is not asked for still counts for all limits.
    let found = sampling.sample(1000, &[], &[0.5], &Workers::new(1))?;
    assert_eq!((found.outputs.len(), found.feasible.map(|s| s.count)), (0, Some(0)));
    Ok(())
}

#[test]
fn what_cannot_be_sampled_is_refused() -> Found<()> {
    let normal = Normal { mean: 86.0, deviation: 0.01 };
    let (bore, stroke, rod) = (Figure::Bore, Figure::Stroke, Figure::RodLength);
    let all = [(bore, normal), (stroke, normal), (rod, Normal { mean: 150.0, deviation: 0.01 })];
    // These three cannot hold together.
    let impossible = [(bore, stroke, 0.9), (stroke, rod, 0.9), (bore, rod, -0.9)];
    for correlations in [
        &impossible[..],
        &[(bore, stroke, 1.0)],
        &[(bore, stroke, f64::NAN)],
        &[(bore, Figure::DeckHeight, 0.1)],
        &[(bore, bore, 0.1)],
        &[(bore, stroke, 0.1), (stroke, bore, 0.1)],
    ] {
        assert!(readings(&all, correlations).is_err(), "{correlations:?}");
    }
    assert!(readings(&[(bore, Normal { mean: -1.0, deviation: 0.1 })], &[]).is_err());
    assert!(readings(&[(bore, normal), (bore, normal)], &[]).is_err());
    let correlated = readings(&all, &impossible[..1])?;
    let workers = Workers::new(1);
    assert!(correlated.sensitivity(100, &[Output::SweptVolume], &workers).is_err());
    assert!(correlated.linear(Output::SweptVolume).is_err());
    let sampling = readings(&all, &[])?;
    assert!(sampling.sample(0, &[Output::SweptVolume], &[], &workers).is_err());
    assert!(sampling.sample(1, &[Output::SweptVolume], &[1.1], &workers).is_err());
    assert!(sampling.sample(1, &[Output::SweptVolume], &[f64::NAN], &workers).is_err());
    assert!(sampling.sample(1, &[Output::DeckClearance], &[], &workers).is_err());
    assert!(sampling.draws(0, Figure::Speed, &mut [0.0], &workers).is_err());
    let stopped = sampling.sample(1 << 36, &[Output::SweptVolume], &[0.5], &workers.watched(&|_| false));
    assert!(matches!(stopped, Err(Error::Stopped { .. })), "{stopped:?}");
    Ok(())
}

#[test]
fn text_gives_the_same() -> Found<()> {
    let text = r#"{
        "readings": {
            "deck_height": {"normal": {"mean": "234.95 mm", "deviation": "0.025 mm"}},
            "stroke": {"normal": {"mean": "88.39 mm", "deviation": "20 um"}},
            "rod_length": {"normal": {"mean": "152.4 mm", "deviation": "0.015 mm"}},
            "compression_height": {"normal": {"mean": "38.1 mm", "deviation": "0.015 mm"}},
            "bore": {"normal": {"mean": "102.36 mm", "deviation": "0.01 mm"}},
            "crown_volume": {"normal": {"mean": "5 cm3", "deviation": "0.3 cm3"}},
            "gasket_thickness": {"uniform": {"low": "0.95 mm", "high": "1.05 mm"}},
            "chamber_volume": {"uniform": {"low": "63.5 cm3", "high": "64.5 cm3"}}
        },
        "fixed": {"gasket_bore": "104.8 mm"},
        "limits": {
            "deck_clearance": {"lower": "0.15 mm", "upper": "0.36 mm"},
            "compression_ratio": {"lower": "10", "upper": "10.2"}
        },
        "seed": 3
    }"#;
    let read = Sampling::parse(text)?;
    let (read, want) = (read.sample(500, &BOTH, &[0.5], &Workers::new(1))?, stack(3)?);
    let want = want.sample(500, &BOTH, &[0.5], &Workers::new(1))?;
    for (read, want) in read.outputs.iter().zip(&want.outputs) {
        let output = read.output;
        let place = BOTH.iter().position(|o| *o == output);
        assert!(place.is_some() && (read.mean / want.mean - 1.0).abs() < 1e-12);
    }
    for bad in [
        r#"{"readings": {"bore": {"normal": {"mean": "86 mm"}}}}"#,
        r#"{"readings": {"bore": {"gamma": {"mean": "86 mm"}}}}"#,
        r#"{"readings": {"boar": {"uniform": {"low": "86 mm", "high": "87 mm"}}}}"#,
        r#"{"readings": {"bore": {"uniform": {"low": "86", "high": "87 mm"}}}}"#,
        r#"{"readings": {}, "correlations": [["bore", "stroke"]]}"#,
        r#"{"readings": {}, "seed": -1}"#,
        r#"{}"#,
    ] {
        assert!(Sampling::parse(bad).is_err(), "{bad}");
    }
    Ok(())
}
