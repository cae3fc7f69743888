//! Tests of standard errors and of shares of the variance against theory.

use super::normal::distribution as normal_below;
use super::tests::{BOTH, Found, readings, stack};
use super::*;
use crate::error::Error;
use crate::study::{Figure, Output, Workers};
use Distribution::Uniform;

/// The deck clearance of the stack is exactly normal.
const DECK: (f64, f64) = (0.255, 0.034_278_273_002_005_2);

#[test]
fn the_stack_is_that_of_theory_and_the_errors_are_true() -> Found<()> {
    let (mean, deviation) = DECK;
    assert!((deviation - (0.025f64.powi(2) + 0.01f64.powi(2) + 2.0 * 0.015f64.powi(2)).sqrt()).abs() < 1e-12);
    let q = [0.025, 0.5, 0.975];
    let z = [-1.959_963_984_540_054, 0.0, 1.959_963_984_540_054];
    let out = normal_below((0.15 - mean) / deviation) + normal_below((mean - 0.36) / deviation);
    // Many seeds: the distances from theory in standard errors have a root mean square of 1 if both are true.
    let (seeds, mut squares) = (400u64, [0.0; 6]);
    for seed in 0..seeds {
        let found = stack(seed)?.sample(4000, &[Output::DeckClearance], &q, &Workers::new(1))?;
        let spread = &found.outputs[0];
        let outside = spread.outside.ok_or(Error::Stopped { done: 0.0 })?;
        let mut far = vec![
            (spread.mean - mean) / spread.mean_error,
            (spread.deviation - deviation) / spread.deviation_error,
            (outside.share - out) / outside.error,
        ];
        for (quantile, z) in spread.quantiles.iter().zip(z) {
            far.push((quantile.value - mean - z * deviation) / quantile.error);
        }
        squares.iter_mut().zip(far).for_each(|(sum, far)| *sum += far * far);
    }
    for (place, sum) in squares.into_iter().enumerate() {
        let root = (sum / seeds as f64).sqrt();
        // Of 400: 1 +- 0.035; the error of a quantile is itself uncertain, that of a rare share is on the safe side.
        assert!((0.75..1.25).contains(&root), "statistic {place}: {root}");
    }
    Ok(())
}

#[test]
fn shares_of_the_variance_are_those_of_theory() -> Found<()> {
    let workers = Workers::new(2);
    // A sum: the indices are the shares of the variances.
    let sampling = stack(3)?;
    let found = &sampling.sensitivity(100_000, &BOTH, &workers)?[0];
    let linear = sampling.linear(Output::DeckClearance)?;
    assert!((linear.standard - DECK.1).abs() < 1e-9 && (linear.value - 0.255).abs() < 1e-9);
    assert!((found.variance.sqrt() / DECK.1 - 1.0).abs() < 0.01);
    for (place, (figure, _)) in sampling.readings().iter().enumerate() {
        let part = match figure {
            Figure::DeckHeight => 0.025,
            Figure::Stroke => 0.01,
            Figure::RodLength | Figure::CompressionHeight => 0.015,
            _ => 0.0,
        };
        let share = f64::powi(part / DECK.1, 2);
        let of = found.readings[place];
        assert_eq!(of.figure, *figure);
        assert!((linear.share(place) - share).abs() < 1e-8);
        for (index, error) in [(of.first, of.first_error), (of.total, of.total_error)] {
            assert!((index - share).abs() <= 4.5 * error, "{figure:?}: {index} +- {error} for {share}");
            assert!(error < 0.01);
        }
    }
    // A product, far from linear: pi/4 b^2 s with uniform b and s, from their moments.
    let (b, s) = (Uniform { low: 40.0, high: 120.0 }, Uniform { low: 40.0, high: 110.0 });
    let sampling = readings(&[(Figure::Bore, b), (Figure::Stroke, s)], &[])?;
    let power = |low: f64, high: f64, n: i32| {
        (high.powi(n + 1) - low.powi(n + 1)) / (f64::from(n + 1) * (high - low))
    };
    let (b2, b4) = (power(40.0, 120.0, 2), power(40.0, 120.0, 4));
    let (s1, s2) = (power(40.0, 110.0, 1), power(40.0, 110.0, 2));
    let variance = b4 * s2 - (b2 * s1).powi(2);
    let first = [(b4 - b2 * b2) * s1 * s1 / variance, (s2 - s1 * s1) * b2 * b2 / variance];
    let found = &sampling.sensitivity(200_000, &[Output::SweptVolume], &workers)?[0];
    assert!((found.variance / variance / (core::f64::consts::PI / 4.0).powi(2) - 1.0).abs() < 0.02);
    for (place, first) in first.into_iter().enumerate() {
        let of = found.readings[place];
        assert!((of.first - first).abs() < 4.5 * of.first_error, "{of:?} for {first}");
        assert!(of.first_error < 0.01 && of.total_error < 0.01);
    }
    let total = [1.0 - first[1], 1.0 - first[0]];
    for (of, total) in found.readings.iter().zip(total) {
        assert!((of.total - total).abs() < 4.5 * of.total_error, "{of:?} for {total}");
        assert!(of.total - of.first > 0.01);
    }
    Ok(())
}

#[test]
fn errors_of_the_indices_are_true() -> Found<()> {
    let (seeds, mut squares) = (100u64, [0.0; 2]);
    let share = (0.025f64 / DECK.1).powi(2);
    for seed in 0..seeds {
        let sampling = stack(seed)?;
        let place = sampling.readings().iter().position(|(f, _)| *f == Figure::DeckHeight).unwrap_or(0);
        let found = sampling.sensitivity(2000, &[Output::DeckClearance], &Workers::new(1))?;
        let of = found[0].readings[place];
        squares[0] += ((of.first - share) / of.first_error).powi(2);
        squares[1] += ((of.total - share) / of.total_error).powi(2);
    }
    for sum in squares {
        // Of 100: 1 +- 0.07.
        let root = (sum / seeds as f64).sqrt();
        assert!((0.75..1.25).contains(&root), "{root}");
    }
    Ok(())
}
