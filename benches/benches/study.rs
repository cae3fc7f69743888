//! How long the kernels of studies take: grids, boxes, columns, described designs, samples, crank angles.
#![allow(clippy::unwrap_used, missing_docs)]

use criterion::{Criterion, criterion_group, criterion_main};
use std::hint::black_box;
use swept::study::{
    Axis, BestOf, Columns, Distribution, Figure as F, Goal, Output, Sampling, Scatter, Study, StudyLimit,
    Workers,
};

const ENDS: [(F, f64, f64); 9] = [
    (F::Bore, 95.0, 108.0),
    (F::Stroke, 75.0, 102.0),
    (F::RodLength, 140.0, 165.0),
    (F::DeckHeight, 228.0, 236.0),
    (F::CompressionHeight, 30.0, 45.0),
    (F::GasketThickness, 0.5, 1.5),
    (F::GasketBore, 100.0, 110.0),
    (F::ChamberVolume, 40_000.0, 80_000.0),
    (F::CrownVolume, -5_000.0, 25_000.0),
];
const FIXED: [(F, f64); 3] = [(F::Speed, 733.0), (F::BoreSpacing, 112.0), (F::Cylinders, 8.0)];

fn limits() -> Vec<StudyLimit> {
    let limit = |output, lower, upper| StudyLimit { output, lower, upper };
    vec![
        limit(Output::CompressionRatio, Some(9.0), Some(12.0)),
        limit(Output::PistonToHead, Some(0.9), Some(1.4)),
        limit(Output::MeanPistonSpeed, None, Some(22_000.0)),
        limit(Output::PeakAcceleration, None, Some(36e6)),
        limit(Output::WallBetweenBores, Some(5.0), None),
        limit(Output::RodRatio, Some(1.55), None),
    ]
}

fn grid(counts: [usize; 9]) -> Study {
    let axes = ENDS.iter().zip(counts).map(|((f, a, b), n)| (*f, Axis::count(*a, *b, n).unwrap()));
    Study::new(&FIXED, axes.collect(), limits()).unwrap()
}

fn studies(c: &mut Criterion) {
    let one = Workers::new(1);
    let study = grid([10, 10, 5, 4, 5, 4, 5, 10, 5]);
    c.bench_function("count of a grid of 10 million", |b| b.iter(|| black_box(study.count(&one).unwrap())));
    c.bench_function("feasible rows of a grid of 10 million", |b| {
        b.iter(|| black_box(study.feasible(&one).unwrap()));
    });
    let large = grid([40, 40, 25, 25, 20, 10, 5, 20, 10]);
    let (most, least) = (Goal::Maximise, Goal::Minimise);
    c.bench_function("best 100 of a grid of 10^11", |b| {
        b.iter(|| black_box(large.best(100, Output::Displacement, most, &one).unwrap()));
    });
    let objectives = [(Output::Displacement, most), (Output::PeakAcceleration, least)];
    c.bench_function("front of two objectives of a grid of 10^11", |b| {
        b.iter(|| black_box(large.pareto(&objectives, &one).unwrap()));
    });

    let rows = 1_000_000u64;
    let best = BestOf { k: 100, output: Output::Displacement, goal: most };
    let scattered = Scatter::new(&FIXED, ENDS.to_vec(), rows, limits()).unwrap();
    c.bench_function("filter of a million described designs", |b| {
        b.iter(|| black_box(scattered.filter(Some(best), &one).unwrap()));
    });
    let mut columns = vec![vec![0.0; rows as usize]; ENDS.len()];
    for row in 0..rows {
        for (column, (_, value)) in columns.iter_mut().zip(scattered.design(row).unwrap()) {
            if let Some(place) = column.get_mut(row as usize) {
                *place = value;
            }
        }
    }
    let named = ENDS.iter().zip(&columns).map(|((f, _, _), c)| (*f, c.as_slice())).collect();
    let listed = Columns::new(&FIXED, named, limits()).unwrap();
    c.bench_function("filter of a million rows in columns", |b| {
        b.iter(|| black_box(listed.filter(Some(best), &one).unwrap()));
    });

    let normal = |figure, mean: f64, deviation: f64| (figure, Distribution::Normal { mean, deviation });
    let readings = [
        normal(F::DeckHeight, 234.95, 0.025),
        normal(F::Stroke, 88.39, 0.02),
        normal(F::RodLength, 152.4, 0.015),
        normal(F::CompressionHeight, 38.1, 0.015),
    ];
    let sampling = Sampling::new(&readings, &[], &[], Vec::new(), 1).unwrap();
    c.bench_function("a million samples of four readings, three quantiles", |b| {
        b.iter(|| {
            black_box(sampling.sample(rows, &[Output::DeckClearance], &[0.025, 0.5, 0.975], &one).unwrap())
        });
    });
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(20);
    targets = studies
}
criterion_main!(benches);
