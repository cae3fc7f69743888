//! Answers of grids against every design evaluated one by one.

mod outputs;
mod unknown;
mod walked;
mod written;

use super::output::Direction;
use super::program::Program;
use super::*;
use crate::study::plan::Value;
use crate::units::{Angle, Dimensioned, Length, Volume};
use proptest::prelude::*;

/// Every design evaluated by itself.
fn every(study: &Study) -> Vec<bool> {
    let designs = study.designs().unwrap();
    let holds = |row: u128| {
        study.limits().iter().all(|l| {
            let v = study.output_of(row, l.output).unwrap();
            v >= l.lower.unwrap_or(f64::NEG_INFINITY) && v <= l.upper.unwrap_or(f64::INFINITY)
        })
    };
    (0..designs).map(holds).collect()
}

fn limit(output: Output, lower: f64, upper: f64) -> StudyLimit {
    StudyLimit { output, lower: Some(lower), upper: Some(upper) }
}

/// A grid of nine axes with so many values each.
fn grid(counts: [usize; 9]) -> Study {
    use Figure as F;
    let ends = [
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
    let axes = ends.iter().zip(counts).map(|((f, a, b), n)| (*f, Axis::count(*a, *b, n).unwrap())).collect();
    let limits = vec![
        limit(Output::CompressionRatio, 9.0, 12.0),
        limit(Output::PistonToHead, 0.9, 1.4),
        StudyLimit { output: Output::MeanPistonSpeed, lower: None, upper: Some(22_000.0) },
        StudyLimit { output: Output::PeakAcceleration, lower: None, upper: Some(36_000_000.0) },
        StudyLimit { output: Output::WallBetweenBores, lower: Some(5.0), upper: None },
        StudyLimit { output: Output::RodRatio, lower: Some(1.55), upper: None },
    ];
    let speed = 7000.0 * core::f64::consts::PI / 30.0;
    Study::new(&[(F::Speed, speed), (F::BoreSpacing, 112.0), (F::Cylinders, 8.0)], axes, limits).unwrap()
}

fn rows_of(rows: &RowSet) -> Vec<u128> {
    rows.iter().collect()
}

#[test]
fn count_feasible_and_best_are_those_of_every_design() {
    let study = grid([4, 4, 3, 4, 4, 3, 2, 4, 3]);
    let flags = every(&study);
    let want: Vec<u128> = flags.iter().enumerate().filter(|(_, f)| **f).map(|(i, _)| i as u128).collect();
    assert!(want.len() > 30, "{}", want.len());
    for threads in [1, 2, 5] {
        assert_eq!(study.count(&Workers::new(threads)).unwrap().feasible, want.len() as u128);
        assert_eq!(rows_of(&study.feasible(&Workers::new(threads)).unwrap()), want);
    }
    assert_best(&study, &want, 25);
    assert_pareto(&study, &want);
    // Without the ratio's limit its axes are alike, and rows of equal designs cross.
    for kept in [vec![1, 2, 3, 4, 5], vec![2, 4], vec![1]] {
        let fewer = study.with_limits(kept.iter().map(|i| study.limits()[*i]).collect());
        let flags = every(&fewer);
        let want: Vec<u128> = flags.iter().enumerate().filter(|(_, f)| **f).map(|(i, _)| i as u128).collect();
        assert_best(&fewer, &want, 300);
    }
    let excluded = study.excluded(&Workers::new(2)).unwrap();
    for e in &excluded {
        let alone = every(&study.with_limits(vec![e.limit])).iter().filter(|f| !**f).count();
        assert_eq!(e.designs, alone as u128, "{e:?}");
    }
}

/// The best by several outputs, against all feasible designs sorted.
fn assert_best(study: &Study, feasible: &[u128], k: usize) {
    for (output, goal) in [
        (Output::Displacement, Goal::Maximise),
        (Output::CompressionRatio, Goal::Maximise),
        (Output::CompressionRatio, Goal::Minimise),
        (Output::PeakAcceleration, Goal::Minimise),
    ] {
        let mut all: Vec<(f64, u128)> = feasible
            .iter()
            .map(|r| (study.output_of(*r, output).unwrap(), *r))
            .filter(|(v, _)| !v.is_nan())
            .collect();
        let sign = if goal == Goal::Maximise { -1.0 } else { 1.0 };
        all.sort_by(|a, b| (sign * a.0).total_cmp(&(sign * b.0)).then(a.1.cmp(&b.1)));
        all.truncate(k);
        let best = study.best(k, output, goal, &Workers::default()).unwrap();
        for most in [0, 3, 40] {
            let mixed = study.best_within(k, output, goal, (most, &Workers::new(1))).unwrap();
            assert_eq!(mixed, best, "{output:?} {goal:?} {most}");
        }
        let found: Vec<(f64, u128)> = best.iter().map(|b| (b.value, b.row)).collect();
        assert_eq!(found, all, "{output:?} {goal:?}");
        for (part, threads) in [(1, 2), (7, 1), (1 << 16, 1)] {
            let walked = study.best_walked(k, (output, goal), (part, &Workers::new(threads))).unwrap();
            assert_eq!(walked, best, "{output:?} {goal:?} {part}");
        }
        for k in [0, 1, k] {
            let (rows, some) = study.filter(Some(BestOf { k, output, goal }), &Workers::default()).unwrap();
            assert!(rows.iter().eq(feasible.iter().copied()));
            assert_eq!(some, best.get(..k.min(best.len())).unwrap(), "{k} {output:?} {goal:?}");
        }
    }
}

/// The designs that no other beats, each against each.
fn each_against_each(study: &Study, feasible: &[u128], objectives: &[(Output, Goal)]) -> Vec<Efficient> {
    let value =
        |row: &u128, (output, goal): &(Output, Goal)| goal.better(study.output_of(*row, *output).unwrap());
    let all: Vec<(Vec<f64>, u128)> = feasible
        .iter()
        .map(|row| (objectives.iter().map(|o| value(row, o)).collect::<Vec<_>>(), *row))
        .filter(|(values, _)| !values.iter().any(|v| v.is_nan()))
        .collect();
    let beats = |a: &(Vec<f64>, u128), b: &(Vec<f64>, u128)| {
        a.0.iter().zip(&b.0).all(|(a, b)| a >= b) && (a.0 != b.0 || a.1 < b.1)
    };
    let mut left: Vec<_> = all.iter().filter(|b| !all.iter().any(|a| beats(a, b))).collect();
    left.sort_by(|a, b| b.0[0].total_cmp(&a.0[0]).then(a.1.cmp(&b.1)));
    let signed =
        |values: &[f64]| values.iter().zip(objectives).map(|(v, (_, goal))| goal.better(*v)).collect();
    left.iter().map(|(values, row)| Efficient { row: *row, values: signed(values) }).collect()
}

fn assert_pareto(study: &Study, feasible: &[u128]) {
    let (most, least) = (Goal::Maximise, Goal::Minimise);
    for objectives in [
        vec![(Output::Displacement, most), (Output::PeakAcceleration, least)],
        vec![(Output::CompressionRatio, most), (Output::Displacement, least)],
        vec![(Output::Displacement, most), (Output::MeanPistonSpeed, least), (Output::RodRatio, most)],
    ] {
        let want = each_against_each(study, feasible, &objectives);
        let found = study.pareto(&objectives, &Workers::default()).unwrap();
        assert_eq!(found, want, "{objectives:?}");
        for (part, threads) in [(1, 2), (7, 1), (1 << 16, 1)] {
            let walked = study.pareto_walked(&objectives, (part, &Workers::new(threads))).unwrap();
            assert_eq!(walked, want, "{objectives:?} {part}");
        }
        for most in [0, 3, 40] {
            let mixed = study.pareto_within(&objectives, (most, &Workers::new(1))).unwrap();
            assert_eq!(mixed, want, "{objectives:?} {most}");
        }
        let parts = (0..5)
            .flat_map(|i| study.partition(i, 5).unwrap().pareto(&objectives, &Workers::default()).unwrap());
        assert_eq!(efficient_of(parts.collect(), &objectives), want);
    }
}

#[test]
fn parts_merge_to_the_whole() {
    let study = grid([4, 4, 3, 4, 4, 3, 2, 4, 3]);
    let workers = Workers::new(1);
    let (count, rows) = (study.count(&workers).unwrap(), rows_of(&study.feasible(&workers).unwrap()));
    let whole = study.best(40, Output::CompressionRatio, Goal::Minimise, &workers).unwrap();
    for n in [1, 2, 7, 3000] {
        let (mut designs, mut feasible, mut found, mut best) = (0, 0, Vec::new(), Vec::new());
        for i in 0..n {
            let part = study.partition(i, n).unwrap();
            let (start, end) = part.rows().unwrap();
            assert_eq!(start, designs);
            designs = end;
            let count = part.count(&workers).unwrap();
            assert_eq!(count.designs, end - start);
            feasible += count.feasible;
            found.extend(rows_of(&part.feasible(&workers).unwrap()));
            best.extend(part.best(40, Output::CompressionRatio, Goal::Minimise, &workers).unwrap());
        }
        assert_eq!((designs, feasible), (count.designs, count.feasible));
        assert_eq!(found, rows, "{n}");
        assert_eq!(best_of(best, 40, Goal::Minimise), whole, "{n}");
    }
    let (part, inner) =
        (study.partition(2, 5).unwrap(), study.partition(2, 5).unwrap().partition(2, 3).unwrap());
    assert_eq!(part.rows().unwrap().1, inner.rows().unwrap().1);
    assert!(study.partition(3, 3).is_err() && study.partition(0, 0).is_err());
}

#[test]
fn a_long_axis_is_halved_and_stopped_when_told() {
    use Figure as F;
    let axes = vec![
        (F::Stroke, Axis::list(vec![90.0, 75.0, 84.0]).unwrap()),
        (F::Bore, Axis::count(80.0, 130.0, 20_001).unwrap()),
    ];
    let limits = vec![limit(Output::SweptVolume, 450e3, 600e3), limit(Output::WallBetweenBores, 5.0, 40.0)];
    let study = Study::new(&[(F::BoreSpacing, 112.0)], axes, limits).unwrap();
    let flags = every(&study);
    let want: Vec<u128> = flags.iter().enumerate().filter(|(_, f)| **f).map(|(i, _)| i as u128).collect();
    assert!(want.len() > 1000);
    for part in [study.clone(), study.partition(1, 3).unwrap()] {
        let (start, end) = part.rows().unwrap();
        let some: Vec<u128> = want.iter().copied().filter(|r| (start..end).contains(r)).collect();
        assert_eq!(rows_of(&part.feasible(&Workers::new(2)).unwrap()), some);
    }
    let fine = |figure, low, high| (figure, Axis::count(low, high, 5000).unwrap());
    let axes = vec![
        fine(F::Bore, 80.0, 130.0),
        fine(F::Stroke, 70.0, 90.0),
        fine(F::RodLength, 140.0, 160.0),
        fine(F::Speed, 500.0, 900.0),
    ];
    let limits = vec![limit(Output::PeakAcceleration, 10e6, 20e6)];
    let long = Study::new(&[], axes, limits).unwrap();
    let stopped = long.count(&Workers::new(2).watched(&|_| false)).unwrap_err();
    assert!(matches!(stopped, crate::Error::Stopped { .. }), "{stopped}");
}

#[test]
fn a_deck_that_follows_forces_and_offsets_are_answered_as_one_by_one() {
    use Figure as F;
    for offset in [0.0, 0.8] {
        let axes = vec![
            (F::DeckClearance, Axis::count(-0.4, 0.8, 5).unwrap()),
            (F::Bore, Axis::count(84.0, 92.0, 3).unwrap()),
            (F::Stroke, Axis::list(vec![90.0, 78.0, 86.0]).unwrap()),
            (F::RodLength, Axis::count(135.0, 160.0, 4).unwrap()),
            (F::GasketThickness, Axis::count(0.6, 1.4, 3).unwrap()),
            (F::ChamberVolume, Axis::count(35e3, 55e3, 6).unwrap()),
            (F::CrownVolume, Axis::count(-6e3, 4e3, 4).unwrap()),
        ];
        let fixed = [
            (F::GasketBore, 93.0),
            (F::Speed, 700.0),
            (F::ReciprocatingMass, 0.5),
            (F::SecondOrderFactor, 4.0),
            (F::PinOffset, offset),
        ];
        let limits = vec![
            limit(Output::CompressionRatio, 10.0, 12.5),
            limit(Output::PistonToHead, 0.8, 1.6),
            limit(Output::SecondOrderForce, 0.0, 13e6),
            StudyLimit { output: Output::PeakRodAngle, lower: None, upper: Some(17.5) },
        ];
        let study = Study::new(&fixed, axes, limits).unwrap();
        let flags = every(&study);
        let want: Vec<u128> = flags.iter().enumerate().filter(|(_, f)| **f).map(|(i, _)| i as u128).collect();
        assert!(want.len() > 100 && want.len() < 5000, "{}", want.len());
        assert_eq!(rows_of(&study.feasible(&Workers::new(2)).unwrap()), want);
        assert_best(&study, &want, 20);
        assert_pareto(&study, &want);
        for e in study.excluded(&Workers::new(1)).unwrap() {
            let alone = every(&study.with_limits(vec![e.limit])).iter().filter(|f| !**f).count();
            assert!(e.designs == alone as u128 && alone > 0, "{e:?}");
        }
    }
}

#[test]
fn the_peers_grid() {
    let study = grid([10, 10, 5, 4, 5, 4, 5, 10, 5]);
    let count = study.count(&Workers::new(2)).unwrap();
    assert_eq!((count.designs, count.feasible), (10_000_000, 42_563));
    let best = BestOf { k: 100, output: Output::CompressionRatio, goal: Goal::Maximise };
    let found = wide::tests::with_each(|| study.filter(Some(best), &Workers::new(1)).unwrap());
    assert!(found.iter().all(|other| *other == found[0]), "of other vectors");
    let written = |threads: usize| {
        let mut rows = vec![0; 42_563];
        found[0].0.write_by(&mut rows, &Workers::new(threads)).unwrap();
        rows
    };
    assert!(written(1) == written(3) && written(1).iter().map(|row| u128::from(*row)).eq(found[0].0.iter()));
}

#[test]
fn limits_that_nothing_holds_say_what_each_excludes() {
    let study = grid([3, 3, 2, 2, 2, 2, 2, 2, 2]);
    let mut limits = study.limits().to_vec();
    limits.push(StudyLimit { output: Output::RodRatio, lower: Some(9.0), upper: None });
    let none = study.with_limits(limits);
    assert_eq!(none.count(&Workers::new(2)).unwrap().feasible, 0);
    assert!(none.feasible(&Workers::new(1)).unwrap().is_empty());
    assert!(none.best(5, Output::Displacement, Goal::Maximise, &Workers::default()).unwrap().is_empty());
    let all = none.designs().unwrap();
    assert_eq!(none.excluded(&Workers::new(1)).unwrap().last().unwrap().designs, all);
}

#[test]
fn a_grid_of_1e30_designs_has_a_best_and_a_refusal_of_what_takes_too_long() {
    let thousand = |figure, low, high| (figure, Axis::count(low, high, 1000).unwrap());
    use Figure as F;
    let axes = vec![
        thousand(F::Bore, 95.0, 108.0),
        thousand(F::Stroke, 75.0, 102.0),
        thousand(F::RodLength, 140.0, 165.0),
        thousand(F::DeckHeight, 228.0, 236.0),
        thousand(F::CompressionHeight, 30.0, 45.0),
        thousand(F::GasketThickness, 0.5, 1.5),
        thousand(F::GasketBore, 100.0, 110.0),
        thousand(F::ChamberVolume, 40_000.0, 80_000.0),
        thousand(F::CrownVolume, -5_000.0, 25_000.0),
        thousand(F::Speed, 600.0, 800.0),
    ];
    let limits = vec![
        limit(Output::CompressionRatio, 9.0, 12.0),
        limit(Output::PistonToHead, 0.9, 1.4),
        StudyLimit { output: Output::MeanPistonSpeed, lower: None, upper: Some(22_000.0) },
    ];
    let study = Study::new(&[], axes, limits).unwrap();
    assert_eq!(study.designs().unwrap(), 10u128.pow(30));
    let refused =
        study.best_within(3, Output::CompressionRatio, Goal::Maximise, (10, &Workers::new(2))).unwrap_err();
    assert!(refused.to_string().contains("steps of the walk"), "{refused}");
    let refused = study.count(&Workers::new(2)).unwrap_err().to_string();
    assert!(refused.contains("steps of the walk") && refused.contains("1e30 designs"), "{refused}");
    let best = study.best(3, Output::SweptVolume, Goal::Maximise, &Workers::default()).unwrap();
    assert!(best[0].value >= best[2].value && best[0].value > 0.0);
    for b in &best {
        assert_eq!(study.output_of(b.row, Output::SweptVolume).unwrap(), b.value);
        assert!(study.limits().iter().all(|l| l.holds(study.output_of(b.row, l.output).unwrap())));
    }
    // Nothing is feasible beyond: the whole bores and strokes are taken where all else allows it.
    assert_eq!(study.design(best[0].row).unwrap()[0].1, 108.0);
}

/// Values of an axis in no order, some twice.
fn unordered(low: f64, high: f64) -> impl Strategy<Value = Vec<f64>> {
    proptest::collection::vec(0u32..8, 1..4)
        .prop_map(move |all| all.into_iter().map(|i| low + (high - low) * f64::from(i) / 7.0).collect())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]
    #[test]
    fn any_grid_is_answered_as_one_by_one(
        bore in unordered(95.0, 108.0), stroke in unordered(75.0, 102.0), rod in unordered(140.0, 165.0), deck in unordered(228.0, 236.0),
        comp in unordered(30.0, 45.0), crown in unordered(-5e3, 25e3), speed in unordered(500.0, 800.0), offset in unordered(-1.0, 1.0),
        ratio in 6.0..12.0f64, wide in 0.5..20.0f64, fast in 15e3..25e3f64, gap in -4.0..4.0f64
    ) {
        use Figure as F;
        let list = |figure, values: Vec<f64>| (figure, Axis::list(values).unwrap());
        let axes = vec![
            list(F::CrownVolume, crown), list(F::Bore, bore), list(F::Speed, speed), list(F::Stroke, stroke), list(F::PinOffset, offset),
            list(F::RodLength, rod), list(F::DeckHeight, deck), list(F::CompressionHeight, comp),
        ];
        let fixed = [(F::GasketThickness, 1.0), (F::GasketBore, 109.0), (F::ChamberVolume, 60e3)];
        let limits = vec![
            limit(Output::CompressionRatio, ratio, ratio + wide),
            StudyLimit { output: Output::MeanPistonSpeed, lower: None, upper: Some(fast) },
            StudyLimit { output: Output::DeckClearance, lower: Some(gap), upper: None },
        ];
        let study = Study::new(&fixed, axes, limits).unwrap();
        let flags = every(&study);
        let want: Vec<u128> = flags.iter().enumerate().filter(|(_, f)| **f).map(|(i, _)| i as u128).collect();
        prop_assert_eq!(study.count(&Workers::new(2)).unwrap().feasible, want.len() as u128);
        prop_assert_eq!(rows_of(&study.feasible(&Workers::new(3)).unwrap()), want.clone());
        assert_best(&study, &want, 17);
        assert_pareto(&study, &want);
    }
}
