//! Listed designs against every row evaluated by itself, in every instruction set and number of threads, and how evenly scattered designs lie.

use super::batch::BLOCK;
use super::columns::PART;
use super::given::Given;
use super::source::Source;
use super::wide::Arch;
use super::*;
use Figure as F;
use proptest::prelude::*;

pub(super) const FIGURES: [F; 9] = [
    F::Bore,
    F::Stroke,
    F::RodLength,
    F::DeckClearance,
    F::GasketThickness,
    F::GasketBore,
    F::ChamberVolume,
    F::CrownVolume,
    F::Speed,
];

pub(super) const RANGES: [(f64, f64); 9] = [
    (95.0, 108.0),
    (75.0, 102.0),
    (140.0, 165.0),
    (-0.2, 1.5),
    (0.5, 1.5),
    (100.0, 110.0),
    (40e3, 80e3),
    (-5e3, 25e3),
    (600.0, 760.0),
];

pub(super) const OUTPUTS: [Output; 6] = [
    Output::CompressionRatio,
    Output::PistonToHead,
    Output::MeanPistonSpeed,
    Output::PeakAcceleration,
    Output::WallBetweenBores,
    Output::RodRatio,
];

pub(super) fn limits() -> Vec<StudyLimit> {
    let ends = [(9.0, 12.5), (0.7, 1.6), (0.0, 22e3), (0.0, 36e6), (5.0, 1e3), (1.5, 9.0)];
    OUTPUTS
        .into_iter()
        .zip(ends)
        .map(|(output, (lower, upper))| StudyLimit { output, lower: Some(lower), upper: Some(upper) })
        .collect()
}

/// Random columns; one value in so many is no figure at all.
pub(super) fn random(rows: usize, spoiled: u32) -> Vec<Vec<f64>> {
    use rand::{RngExt, SeedableRng};
    let mut random = rand_chacha::ChaCha8Rng::seed_from_u64(7 + rows as u64);
    let bad = [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -1e300, 0.0, -0.0, 1e300, 5e-324];
    let mut value = |(low, high): (f64, f64)| match random.random_ratio(1, spoiled) {
        true => bad[random.random_range(0..bad.len())],
        false => random.random_range(low..high),
    };
    RANGES.iter().map(|range| (0..rows).map(|_| value(*range)).collect()).collect()
}

pub(super) const FIXED: [(F, f64); 2] = [(F::BoreSpacing, 112.0), (F::Cylinders, 8.0)];

pub(super) fn columns(data: &[Vec<f64>], limits: Vec<StudyLimit>) -> Columns<'_> {
    let columns = FIGURES.iter().zip(data).map(|(f, c)| (*f, c.as_slice())).collect();
    Columns::new(&FIXED, columns, limits).unwrap()
}

/// Whether a row is an engine, by the figures themselves.
fn is_engine(given: &Given, design: &[(Figure, f64)]) -> bool {
    let varied = |figure: Figure| design.iter().find(|(f, _)| *f == figure).map(|(_, v)| *v);
    let of = |figure: Figure| varied(figure).or(given.fixed(figure));
    let good = |(figure, v): &(Figure, f64)| {
        v.is_finite()
            && match figure {
                F::DeckClearance | F::CrownVolume | F::PinOffset => true,
                F::GasketThickness | F::ChamberVolume | F::Speed => *v >= 0.0,
                _ => *v > 0.0,
            }
    };
    let turns = match (of(F::RodLength), of(F::Stroke), of(F::PinOffset)) {
        (Some(rod), Some(stroke), Some(offset)) => rod > stroke / 2.0 + offset.abs(),
        _ => true,
    };
    turns && design.iter().all(good)
}

/// What is to be found, row by row.
fn expected<S: Source>(study: &Listed<S>, best: BestOf) -> Filtered {
    let mut found =
        Filtered { tally: Tally { rows: study.rows(), ..Tally::default() }, ..Filtered::default() };
    for row in 0..study.rows() {
        if !is_engine(&study.given, &study.design(row).unwrap()) {
            assert!(study.output_of(row, best.output).unwrap().is_nan());
            found.tally.refused += 1;
        } else if study.limits().iter().all(|l| l.holds(study.output_of(row, l.output).unwrap())) {
            found.tally.feasible += 1;
            found.rows.push(row);
            let value = study.output_of(row, best.output).unwrap();
            if !value.is_nan() {
                found.best.push(Best { row: row.into(), value });
            }
        }
    }
    let sign = if best.goal == Goal::Maximise { -1.0 } else { 1.0 };
    found.best.sort_by(|a, b| (sign * a.value).total_cmp(&(sign * b.value)).then(a.row.cmp(&b.row)));
    found.best.truncate(best.k);
    found
}

pub(super) const BEST: BestOf = BestOf { k: 25, output: Output::Displacement, goal: Goal::Maximise };

fn assert_all<S: Source>(study: &Listed<S>, best: BestOf) -> Filtered {
    let want = expected(study, best);
    let rows = study.rows() as usize;
    for threads in [1, 2, 5] {
        let workers = Workers::new(threads);
        assert_eq!(study.filter(Some(best), &workers).unwrap(), want);
        assert_eq!(study.count(&workers).unwrap(), want.tally);
        assert_eq!(study.feasible(&workers).unwrap(), want.rows);
        assert_eq!(study.best(best, &workers).unwrap(), want.best);
        let mut values = vec![vec![0.0; rows]; OUTPUTS.len()];
        let mut flags = vec![7; rows];
        let places = OUTPUTS.iter().zip(&mut values).map(|(o, v)| (*o, v.as_mut_slice())).collect();
        let (tally, found) =
            study.outputs(places, Some(&mut flags), Some(best), &PlainCopies, &workers).unwrap();
        assert_eq!((tally, &found), (want.tally, &want.best));
        let marked: Vec<u64> = (0..).zip(&flags).filter(|(_, f)| **f == 1).map(|(i, _)| i).collect();
        assert!(marked == want.rows && flags.iter().all(|f| *f < 2));
        for (output, values) in OUTPUTS.iter().zip(&values) {
            for (row, value) in values.iter().enumerate().filter(|(row, _)| row % 7 == 0 || rows < 2000) {
                let one = study.output_of(row as u64, *output).unwrap();
                assert!(
                    one.to_bits() == value.to_bits() || (one.is_nan() && value.is_nan()),
                    "{output:?} {row}"
                );
            }
        }
    }
    want
}

#[test]
fn columns_are_what_every_row_by_itself_is() {
    for rows in [0, 1, 31, BLOCK - 1, BLOCK, BLOCK + 1, 3 * BLOCK + 77] {
        for spoiled in [3, 40, 4_000_000] {
            assert_all(&columns(&random(rows, spoiled), limits()), BEST);
        }
    }
    let data = random(PART as usize + 1234, 900);
    let found = assert_all(&columns(&data, limits()), BEST);
    let Tally { rows, feasible, refused } = found.tally;
    assert!(feasible > rows / 20 && refused > rows / 200 && found.best.len() == 25, "{feasible} {refused}");
}

#[test]
fn few_limits_and_none_and_every_way_of_the_best() {
    let data = random(3 * BLOCK + 77, 60);
    for kept in [vec![], vec![0], vec![1], vec![2, 4], vec![3, 5]] {
        let some: Vec<StudyLimit> = kept.iter().map(|i| limits()[*i]).collect();
        for output in [Output::CompressionRatio, Output::DeckClearance, Output::PeakRodAngle] {
            for (k, goal) in
                [(0, Goal::Maximise), (1, Goal::Minimise), (40, Goal::Maximise), (9999, Goal::Minimise)]
            {
                assert_all(&columns(&data, some.clone()), BestOf { k, output, goal });
            }
        }
    }
}

#[test]
fn an_offset_pin_and_fixed_figures() {
    let mut data = random(700, 50);
    data[3] = data[3].iter().map(|x| 4.0 * (x - 0.5)).collect();
    let limits: Vec<StudyLimit> = limits().into_iter().filter(|l| l.output != Output::PistonToHead).collect();
    let mut fixed = FIXED.to_vec();
    fixed.extend([(F::DeckClearance, 0.4), (F::CreviceVolume, 300.0)]);
    let figures = FIGURES.map(|f| if f == F::DeckClearance { F::PinOffset } else { f });
    let columns = figures.iter().zip(&data).map(|(f, c)| (*f, c.as_slice())).collect();
    assert_all(&Columns::new(&fixed, columns, limits.clone()).unwrap(), BEST);
    // A rod that is fixed, too short for some strokes.
    fixed.extend([(F::RodLength, 45.0), (F::Speed, 700.0)]);
    let varied = [0, 1, 3, 4, 5, 6, 7].map(|i| (figures[i], data[i].as_slice())).to_vec();
    let found = assert_all(&Columns::new(&fixed, varied, Vec::new()).unwrap(), BEST);
    assert!(found.tally.refused > 100 && found.tally.feasible > 100, "{:?}", found.tally);
}

#[test]
fn what_each_limit_excludes() {
    let data = random(2 * PART as usize + 99, 500);
    let study = columns(&data, limits());
    let tally = study.count(&Workers::new(2)).unwrap();
    for threads in [1, 3] {
        for excluded in study.excluded(&Workers::new(threads)).unwrap() {
            let alone = columns(&data, vec![excluded.limit]).count(&Workers::new(1)).unwrap();
            assert_eq!(excluded.designs, u128::from(tally.rows - tally.refused - alone.feasible));
            assert!(excluded.designs > 0, "{excluded:?}");
        }
    }
}

#[test]
fn every_instruction_set_gives_the_same_bits() {
    let data = random(5 * BLOCK + 13, 300);
    let mut all = vec![Arch::Scalar];
    #[cfg(target_arch = "x86_64")]
    {
        all.extend(pulp::x86::V3::try_new().map(Arch::V3));
        all.extend(pulp::x86::V4::try_new().map(Arch::V4));
    }
    let of = |arch: Arch| {
        let mut study = columns(&data, limits());
        study.arch = arch;
        let mut values = vec![vec![0.0; data[0].len()]; Output::ALL.len()];
        // All that the figures give.
        let given = Output::ALL.into_iter().filter(|o| study.output_of(0, *o).is_ok());
        let places = given.zip(&mut values).map(|(o, v)| (o, v.as_mut_slice())).collect();
        study.outputs(places, None, None, &PlainCopies, &Workers::new(1)).unwrap();
        let mut scattered = scatter(5000, limits());
        scattered.arch = arch;
        let designs: Vec<u64> =
            (0..5000).flat_map(|r| scattered.design(r).unwrap()).map(|(_, v)| v.to_bits()).collect();
        // Bits of what is no number may differ.
        let bits: Vec<u64> =
            values.concat().iter().map(|v| if v.is_nan() { 1 } else { v.to_bits() }).collect();
        let workers = Workers::new(1);
        (
            bits,
            designs,
            study.filter(Some(BEST), &workers).unwrap(),
            scattered.filter(Some(BEST), &workers).unwrap(),
        )
    };
    let first = of(Arch::Scalar);
    for arch in all {
        assert!(of(arch) == first, "{arch:?}");
    }
}

#[test]
fn what_is_refused() {
    let (long, short) = ([80.0; 5], [70.0; 4]);
    let columns = |names: [F; 2]| vec![(names[0], &long[..]), (names[1], &short[..])];
    let error = Columns::new(&[], columns([F::Bore, F::Stroke]), vec![]).unwrap_err().to_string();
    assert_eq!(error, "stroke has 4 entries; allowed: 5, as bore");
    let all = |names: [F; 2]| names.map(|f| (f, &long[..])).to_vec();
    assert!(Columns::new(&[(F::Bore, 80.0)], all([F::Bore, F::Stroke]), vec![]).is_err());
    assert!(Columns::new(&[], all([F::Bore, F::Bore]), vec![]).is_err());
    assert!(Columns::new(&[], all([F::DeckHeight, F::DeckClearance]), vec![]).is_err());
    assert!(Columns::new(&[(F::Stroke, -1.0)], all([F::DeckHeight, F::Bore]), vec![]).is_err());
    assert!(Columns::new(&[], all([F::Bore, F::Stroke]), limits()).is_err());
    assert!(
        Columns::new(&[(F::Stroke, 90.0), (F::RodLength, 40.0)], all([F::Bore, F::Speed]), vec![]).is_err()
    );
    let study = Columns::new(&[], all([F::Bore, F::Stroke]), vec![]).unwrap();
    let workers = Workers::new(1);
    assert!(study.best(BestOf { output: Output::RodRatio, ..BEST }, &workers).is_err());
    let mut five = [0.0; 5];
    let mut write =
        |o: Output, n: usize| study.outputs(vec![(o, &mut five[..n])], None, None, &PlainCopies, &workers);
    assert!(write(Output::Displacement, 4).is_err() && write(Output::PeakAcceleration, 5).is_err());
    assert!(write(Output::Displacement, 5).is_ok() && study.design(5).is_err());
    let stop = Workers::new(2).watched(&|_| false);
    let data = random(40 * PART as usize, 900);
    std::thread::sleep(std::time::Duration::from_millis(1));
    let slow = super::listed_tests::columns(&data, limits());
    let stopped = (0..50).any(|_| matches!(slow.count(&stop), Err(crate::Error::Stopped { .. })));
    assert!(stopped);
    for bad in [(90.0, 80.0), (f64::NAN, 80.0), (-1.0, 80.0), (0.0, 80.0)] {
        assert!(Scatter::new(&[], vec![(F::Bore, bad.0, bad.1)], 10, vec![]).is_err(), "{bad:?}");
    }
    let rods = vec![(F::Stroke, 50.0, 90.0), (F::RodLength, 44.0, 90.0)];
    assert!(Scatter::new(&[], rods, 10, vec![]).is_err());
    assert!(Scatter::new(&[], vec![], 10_000_000_001, vec![]).is_err());
}

fn scatter(rows: u64, limits: Vec<StudyLimit>) -> Scatter {
    let ranges = FIGURES.iter().zip(RANGES).map(|(f, (low, high))| (*f, low, high)).collect();
    Scatter::new(&FIXED, ranges, rows, limits).unwrap()
}

#[test]
fn scattered_designs_are_what_every_row_by_itself_is() {
    for rows in [0, 1, BLOCK as u64 + 5] {
        assert_all(&scatter(rows, limits()), BEST);
    }
    let found = assert_all(&scatter(PART + 777, limits()), BEST);
    assert!(found.tally.feasible > 1000 && found.tally.refused == 0);
    // A row is the same for any number of rows, and inside its range.
    let (few, many) = (scatter(10, vec![]), scatter(1000, vec![]));
    assert!((0..10).all(|row| few.design(row).unwrap() == many.design(row).unwrap()));
    for row in 0..1000 {
        let design = many.design(row).unwrap();
        assert!(design.iter().zip(RANGES).all(|((_, v), (low, high))| (low..=high).contains(v)));
    }
}

/// Pearson's statistic of counts over so many cells, over its degrees of freedom: 1 on average for designs thrown at random, far less for an even spread.
fn unevenness(cells: usize, rows: u64, cell: impl Fn(u64) -> usize) -> f64 {
    let mut counts = vec![0.0; cells];
    (0..rows).for_each(|row| counts[cell(row)] += 1.0);
    let mean = rows as f64 / cells as f64;
    counts.iter().map(|c| (c - mean) * (c - mean) / mean).sum::<f64>() / (cells - 1) as f64
}

#[test]
fn scattered_designs_lie_evenly_in_each_figure_and_in_each_pair() {
    let rows = 100_000;
    // As many ranges as there can be.
    let figures: Vec<F> = F::ALL
        .into_iter()
        .filter(|f| !matches!(f, F::DeckHeight | F::RodLength | F::Cylinders))
        .take(16)
        .collect();
    let mut ranges: Vec<(F, f64, f64)> = figures.iter().map(|f| (*f, 1.0, 2.0)).collect();
    ranges.push((F::RodLength, 9.0, 10.0));
    let study = Scatter::new(&[], ranges.clone(), rows, vec![]).unwrap();
    let more = [ranges.as_slice(), &[(F::CamAdvance, 1.0, 2.0)]].concat();
    assert!(Scatter::new(&[], more, rows, vec![]).is_err());
    let share: Vec<Vec<f64>> = (0..rows)
        .map(|row| {
            study.design(row).unwrap().iter().zip(&ranges).map(|((_, v), (_, low, _))| v - low).collect()
        })
        .collect();
    let cell = |row: u64, i: usize, cells: usize| (share[row as usize][i] * cells as f64) as usize;
    let mut pairs = Vec::new();
    for i in 0..ranges.len() {
        let one = unevenness(200, rows, |row| cell(row, i, 200));
        assert!(one < 0.2, "{i}: {one}");
        pairs.extend((0..i).map(|j| unevenness(400, rows, |row| cell(row, i, 20) * 20 + cell(row, j, 20))));
    }
    let (mean, most) =
        (pairs.iter().sum::<f64>() / pairs.len() as f64, pairs.iter().copied().fold(0.0, f64::max));
    assert!(mean < 0.1 && most < 1.0, "{mean} {most}");
}

proptest! {
    /// A limit that one figure decides is tested as a limit of the figure: no row at the edge may turn.
    #[test]
    fn limits_of_one_figure_are_exact(edge in 60.0..130.0f64, other in 60.0..130.0f64, which in 0..6usize, up in any::<bool>()) {
        let (output, varied, fixed) = [
            (Output::WallBetweenBores, F::Bore, vec![(F::BoreSpacing, 140.0)]),
            (Output::MeanPistonSpeed, F::Stroke, vec![(F::Speed, other)]),
            (Output::RodRatio, F::Stroke, vec![(F::RodLength, other + 100.0)]),
            (Output::PeakAcceleration, F::RodLength, vec![(F::Stroke, other / 2.0), (F::Speed, 700.0)]),
            (Output::SweptVolume, F::Bore, vec![(F::Stroke, other)]),
            (Output::DeckClearance, F::CompressionHeight, vec![(F::Stroke, 80.0), (F::RodLength, other), (F::DeckHeight, 250.0)]),
        ][which].clone();
        let near: Vec<f64> = (0..400u64).map(|i| f64::from_bits(edge.to_bits() + i - 200)).collect();
        let at = Columns::new(&fixed, vec![(varied, &near)], vec![]).unwrap().output_of(200, output).unwrap();
        let limit = StudyLimit { output, lower: (!up).then_some(at), upper: up.then_some(at) };
        assert_all_of(&Columns::new(&fixed, vec![(varied, &near)], vec![limit]).unwrap());
    }
}

fn assert_all_of(study: &Columns) {
    let want: Vec<u64> = (0..study.rows())
        .filter(|row| study.limits().iter().all(|l| l.holds(study.output_of(*row, l.output).unwrap())))
        .collect();
    assert!(!want.is_empty());
    assert_eq!(study.feasible(&Workers::new(1)).unwrap(), want);
}
