//! Tests against theory, and against the samples themselves.

use super::farm::Hands;
use super::normal::distribution as normal_below;
use super::quantile::Effort;
use super::*;
use crate::study::wide::tests::with_each;
use crate::study::{Figure, Output, StudyLimit, Workers};
use Distribution::{Normal, Triangular, Truncated, Uniform};
use core::cell::Cell;

pub(super) type Found<T> = crate::error::Result<T>;

/// Readings of a stack with limits: six normal, two uniform.
pub(super) fn stack(seed: u64) -> Found<Sampling> {
    let normal = |mean, deviation| Normal { mean, deviation };
    let readings = [
        (Figure::DeckHeight, normal(234.95, 0.025)),
        (Figure::Stroke, normal(88.39, 0.02)),
        (Figure::RodLength, normal(152.4, 0.015)),
        (Figure::CompressionHeight, normal(38.1, 0.015)),
        (Figure::Bore, normal(102.36, 0.01)),
        (Figure::CrownVolume, normal(5000.0, 300.0)),
        (Figure::GasketThickness, Uniform { low: 0.95, high: 1.05 }),
        (Figure::ChamberVolume, Uniform { low: 63_500.0, high: 64_500.0 }),
    ];
    let limit = |output, lower, upper| StudyLimit { output, lower: Some(lower), upper: Some(upper) };
    let limits = vec![limit(Output::DeckClearance, 0.15, 0.36), limit(Output::CompressionRatio, 10.0, 10.2)];
    Sampling::new(&readings, &[], &[(Figure::GasketBore, 104.8)], limits, seed)
}

pub(super) const BOTH: [Output; 2] = [Output::DeckClearance, Output::CompressionRatio];

pub(super) fn values(sampling: &Sampling, output: Output, n: usize) -> Found<Vec<f64>> {
    let mut out = vec![0.0; n];
    sampling.values(0, output, &mut out, &Workers::new(1))?;
    Ok(out)
}

fn drawn(sampling: &Sampling, figure: Figure, n: usize) -> Found<Vec<f64>> {
    let mut out = vec![0.0; n];
    sampling.draws(0, figure, &mut out, &Workers::new(1))?;
    Ok(out)
}

/// One reading, or two with a coefficient.
pub(super) fn readings(
    all: &[(Figure, Distribution)],
    correlations: &[(Figure, Figure, f64)],
) -> Found<Sampling> {
    Sampling::new(all, correlations, &[], vec![], 11)
}

#[test]
fn a_sample_is_the_same_however_it_is_reached() -> Found<()> {
    let sampling = stack(3)?;
    let n = 150_000;
    let whole = values(&sampling, Output::CompressionRatio, n)?;
    for (first, count) in [(0, 1), (255, 3), (65_535, 70_000), (149_999, 1)] {
        for threads in [1, 2, 7] {
            let mut some = vec![0.0; count];
            sampling.values(first as u64, Output::CompressionRatio, &mut some, &Workers::new(threads))?;
            assert_eq!(some, whole[first..first + count]);
        }
    }
    let mut turned = sampling.readings().to_vec();
    turned.reverse();
    let other = Sampling::new(&turned, &[], &[(Figure::GasketBore, 104.8)], sampling.limits().to_vec(), 3)?;
    assert_eq!(other, sampling);
    assert_ne!(values(&stack(4)?, Output::CompressionRatio, 1)?, whole[..1]);
    Ok(())
}

/// All distributions, correlated and not, with refused draws among them.
pub(super) fn mixed() -> Found<Sampling> {
    let readings = [
        (Figure::Bore, Normal { mean: 86.0, deviation: 20.0 }),
        (Figure::Stroke, Triangular { low: 60.0, mode: 70.0, high: 100.0 }),
        (Figure::RodLength, Truncated { mean: 50.0, deviation: 20.0, low: 40.0, high: 200.0 }),
        (Figure::PinOffset, Truncated { mean: 0.0, deviation: 1.0, low: 1.5, high: 3.0 }),
        (Figure::DeckHeight, Uniform { low: 180.0, high: 200.0 }),
        (Figure::CompressionHeight, Normal { mean: 30.0, deviation: 1.0 }),
        (Figure::ChamberVolume, Triangular { low: 1.0, mode: 1.0, high: 50_000.0 }),
    ];
    let correlations = [(Figure::Bore, Figure::Stroke, 0.5), (Figure::PinOffset, Figure::Stroke, -0.4)];
    let fixed = [
        (Figure::GasketBore, 88.0),
        (Figure::GasketThickness, 1.0),
        (Figure::CrownVolume, -9000.0),
        (Figure::Speed, 600.0),
    ];
    let limits = vec![StudyLimit { output: Output::DeckClearance, lower: Some(0.0), upper: None }];
    Sampling::new(&readings, &correlations, &fixed, limits, 5)
}

#[test]
fn bits_are_the_same_for_any_threads_and_vectors() -> Found<()> {
    let outputs = [Output::CompressionRatio, Output::DeckClearance, Output::PeakAcceleration];
    for sampling in [stack(3)?, mixed()?] {
        let outputs: &[Output] = if sampling.readings().len() == 8 { &BOTH } else { &outputs };
        let ask = |threads| -> Found<String> {
            let workers = Workers::new(threads);
            let found = sampling.sample(70_000, outputs, &[0.0, 0.025, 0.5, 0.99, 1.0], &workers)?;
            let shares = match sampling.linear(Output::DeckClearance) {
                Ok(_) => sampling.sensitivity(66_000, &outputs[..1], &workers)?,
                Err(_) => vec![],
            };
            // The shortest text that reads back as the same number.
            Ok(format!("{found:?} {shares:?}"))
        };
        let one = ask(1)?;
        for threads in [2, 7] {
            assert_eq!(ask(threads)?, one);
        }
        for other in with_each(|| ask(1)) {
            assert_eq!(other?, one);
        }
    }
    Ok(())
}

/// Kolmogorov: the greatest distance from a law times the root of n; 1.95 is exceeded by one true sample in a thousand.
fn distance(mut x: Vec<f64>, law: impl Fn(f64) -> f64) -> f64 {
    x.sort_by(f64::total_cmp);
    let n = x.len() as f64;
    let off = x.iter().enumerate().map(|(i, x)| {
        let p = law(*x);
        (p - i as f64 / n).abs().max((p - (i + 1) as f64 / n).abs())
    });
    off.fold(0.0, f64::max) * n.sqrt()
}

/// The distribution function, from its definition.
fn law(d: Distribution) -> impl Fn(f64) -> f64 {
    move |x| match d {
        Normal { mean, deviation } => normal_below((x - mean) / deviation),
        Uniform { low, high } => (x - low) / (high - low),
        Triangular { low, mode, high } if x < mode => (x - low).powi(2) / ((high - low) * (mode - low)),
        Triangular { low, mode, high } => 1.0 - (high - x).powi(2) / ((high - low) * (high - mode)),
        Truncated { mean, deviation, low, high } => {
            // In the lower tail, so that the digits stay.
            let (a, b) = ((low - mean) / deviation, (high - mean) / deviation);
            let z = (x - mean) / deviation;
            if a > 0.0 {
                (normal_below(-a) - normal_below(-z)) / (normal_below(-a) - normal_below(-b))
            } else {
                (normal_below(z) - normal_below(a)) / (normal_below(b) - normal_below(a))
            }
        }
    }
}

fn distributions() -> Vec<Distribution> {
    vec![
        Normal { mean: 86.0, deviation: 0.01 },
        Uniform { low: 80.0, high: 81.0 },
        Triangular { low: 80.0, mode: 80.5, high: 83.0 },
        Triangular { low: 80.0, mode: 80.0, high: 81.0 },
        Triangular { low: 80.0, mode: 81.0, high: 81.0 },
        Truncated { mean: 86.0, deviation: 0.01, low: 85.985, high: 86.02 },
        Truncated { mean: 86.0, deviation: 1.0, low: 91.0, high: 92.0 },
        Truncated { mean: 86.0, deviation: 1.0, low: 70.0, high: 73.0 },
        Truncated { mean: 86.0, deviation: 1.0, low: 60.0, high: 120.0 },
    ]
}

#[test]
fn each_distribution_is_what_it_says() -> Found<()> {
    let n = 200_000;
    let other = (Figure::Stroke, Normal { mean: 86.0, deviation: 0.01 });
    for d in distributions() {
        for correlations in [vec![], vec![(Figure::Bore, Figure::Stroke, -0.8)]] {
            let sampling = readings(&[(Figure::Bore, d), other], &correlations)?;
            let x = drawn(&sampling, Figure::Bore, n)?;
            if let Uniform { low, high } | Triangular { low, high, .. } | Truncated { low, high, .. } = d {
                assert!(x.iter().all(|x| (low..=high).contains(x)));
            }
            let (mean, deviation) = d.moments();
            let found = x.iter().sum::<f64>() / n as f64;
            let square = x.iter().map(|x| (x - found).powi(2)).sum::<f64>() / n as f64;
            let root = (n as f64).sqrt();
            assert!((found - mean).abs() < 4.5 * deviation / root, "{d:?}: mean {found}");
            // The kurtosis of none of them is above 9.
            let off = square.sqrt() - deviation;
            assert!(off.abs() < 4.5 * deviation * 2f64.sqrt() / root, "{d:?}: {off}");
            let far = distance(x, law(d));
            assert!(far < 1.95, "{d:?} {correlations:?}: {far}");
        }
    }
    Ok(())
}

fn coefficient(x: &[f64], y: &[f64]) -> f64 {
    let n = x.len() as f64;
    let mean = |v: &[f64]| v.iter().sum::<f64>() / n;
    let (a, b) = (mean(x), mean(y));
    let product = |x: &[f64], a: f64, y: &[f64], b: f64| {
        x.iter().zip(y).map(|(x, y)| (x - a) * (y - b)).sum::<f64>() / n
    };
    product(x, a, y, b) / (product(x, a, x, a) * product(y, b, y, b)).sqrt()
}

#[test]
fn correlations_are_those_of_the_deviates() -> Found<()> {
    let n = 200_000;
    let allowed = 4.5 / (n as f64).sqrt();
    let normal = Normal { mean: 86.0, deviation: 0.01 };
    let (bore, stroke, rod) = (Figure::Bore, Figure::Stroke, Figure::RodLength);
    let rod_reading = (rod, Normal { mean: 150.0, deviation: 0.02 });
    let sampling = readings(
        &[(bore, normal), (stroke, normal), rod_reading],
        &[(stroke, bore, 0.3), (rod, bore, -0.6), (stroke, rod, 0.2)],
    )?;
    let [x, y, z] = [bore, stroke, rod].map(|f| drawn(&sampling, f, n));
    let (x, y, z) = (x?, y?, z?);
    for (found, want) in [(coefficient(&x, &y), 0.3), (coefficient(&x, &z), -0.6), (coefficient(&y, &z), 0.2)]
    {
        assert!((found - want).abs() < allowed, "{found} for {want}");
    }
    // Uniform by a Gaussian copula: 6/pi asin(r / 2). Kruskal, Ordinal measures of association, J. Am. Stat. Assoc. 53 (1958) 814 (from memory).
    let uniform = Uniform { low: 80.0, high: 81.0 };
    for r in [0.7f64, -0.7] {
        let sampling = readings(&[(bore, uniform), (stroke, uniform)], &[(bore, stroke, r)])?;
        let found = coefficient(&drawn(&sampling, bore, n)?, &drawn(&sampling, stroke, n)?);
        let want = 6.0 / core::f64::consts::PI * (r / 2.0).asin();
        assert!((found - want).abs() < allowed, "{found} for {want}");
    }
    // One that is drawn from the mirrored tail still rises with the other.
    let tail = Truncated { mean: 80.0, deviation: 1.0, low: 81.0, high: 84.0 };
    let sampling = readings(&[(bore, tail), (stroke, normal)], &[(bore, stroke, 0.9)])?;
    assert!(coefficient(&drawn(&sampling, bore, n)?, &drawn(&sampling, stroke, n)?) > 0.8);
    Ok(())
}

/// The quantile of sorted values as textbooks write it.
fn sorted_quantile(sorted: &[f64], q: f64) -> f64 {
    let place = (sorted.len() as f64 - 1.0) * q;
    let first = place.floor() as usize;
    let next = (first + 1).min(sorted.len() - 1);
    let (a, b, t) = (sorted[first], sorted[next], place - first as f64);
    if t >= 0.5 { b - (b - a) * (1.0 - t) } else { a + (b - a) * t }
}

/// Every statistic against those of the stored samples.
fn check(sampling: &Sampling, n: usize, output: Output, effort: Effort) -> Found<Spread> {
    let q = [0.5, 0.0, 0.001, 0.025, 0.975, 0.3, 1.0, 0.500_001];
    // Through pilot, passes and what is between them progress rises.
    let told = Cell::new(0.0);
    let watch = |done: f64| {
        assert!((told.get()..=1.0).contains(&done), "{} {done}", told.get());
        told.set(done);
        true
    };
    let workers = Workers::new(2).watched(&watch);
    let found =
        sampling.sample_with(n as u64, &[output], &q, (effort, Hands { workers: &workers, farm: None }))?;
    assert!(told.get() > 0.9, "{}", told.get());
    let spread = found.outputs[0].clone();
    let mut x = values(sampling, output, n)?;
    x.retain(|x| !x.is_nan());
    assert_eq!((spread.used, spread.used + spread.refused), (x.len() as u64, n as u64));
    if x.is_empty() {
        assert!(spread.mean.is_nan() && spread.quantiles.iter().all(|q| q.value.is_nan()));
        return Ok(spread);
    }
    let mean = x.iter().sum::<f64>() / x.len() as f64;
    let square = x.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / x.len() as f64;
    assert!((spread.mean - mean).abs() <= 1e-12 * mean.abs(), "{n}: {} {mean}", spread.mean);
    assert!((spread.deviation - square.sqrt()).abs() <= 1e-11 * square.sqrt() + 1e-15 * mean.abs());
    x.sort_by(f64::total_cmp);
    for (asked, found) in q.iter().zip(&spread.quantiles) {
        assert_eq!(found.value, sorted_quantile(&x, *asked), "{n} {asked} {effort:?}");
        assert!(found.error.is_nan() || found.error >= 0.0);
    }
    Ok(spread)
}

#[test]
fn statistics_are_those_of_the_samples() -> Found<()> {
    let sampling = stack(3)?;
    for n in [1, 2, 3, 10, 255, 256, 257, 1000, 65_536, 65_537, 300_001] {
        for output in BOTH {
            check(&sampling, n, output, Effort::USUAL)?;
        }
    }
    for output in [Output::CompressionRatio, Output::PeakAcceleration, Output::DeckClearance] {
        check(&mixed()?, 100_000, output, Effort::USUAL)?;
    }
    Ok(())
}

#[test]
fn brackets_that_miss_or_hold_too_much_are_drawn_again() -> Found<()> {
    let sampling = stack(8)?;
    for (pilot, margin, most) in
        [(64, 0.01, 1 << 20), (64, 5.0, 500), (64, 0.01, 500), (1, 1.0, 1), (1000, 5.0, 10_000)]
    {
        let effort = Effort { pilot, margin, most, passes: 12 };
        check(&sampling, 250_000, Output::CompressionRatio, effort)?;
        check(&mixed()?, 150_000, Output::CompressionRatio, effort)?;
    }
    Ok(())
}

#[test]
fn an_output_of_few_values_is_counted() -> Found<()> {
    // Nothing varies; then hardly anything.
    let fixed = [(Figure::Stroke, 80.0), (Figure::RodLength, 140.0)];
    let sampling =
        Sampling::new(&[(Figure::Bore, Uniform { low: 80.0, high: 81.0 })], &[], &fixed, vec![], 1)?;
    for effort in [Effort::USUAL, Effort { pilot: 10, margin: 0.1, most: 10, passes: 12 }] {
        let spread = check(&sampling, 100_000, Output::RodRatio, effort)?;
        assert_eq!((spread.deviation, spread.quantiles[0].value), (0.0, 1.75));
        // So narrow that the draws are a handful of numbers.
        let handful = Uniform { low: 80.0, high: 80.0 + 80.0 * 3.0 * f64::EPSILON };
        let sampling = readings(&[(Figure::Bore, handful)], &[])?;
        let n = 100_000;
        let mut x = drawn(&sampling, Figure::Bore, n)?;
        x.sort_by(f64::total_cmp);
        x.dedup();
        assert!(x.len() < 10);
        let fixed = [(Figure::Stroke, 80.0)];
        let sampling = Sampling::new(&[(Figure::Bore, handful)], &[], &fixed, vec![], 1)?;
        check(&sampling, n, Output::BoreStrokeRatio, effort)?;
    }
    Ok(())
}
