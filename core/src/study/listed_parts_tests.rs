//! Parts of listed designs against the whole, to the bit.

use super::best::best_of;
use super::listed_tests::{BEST, FIGURES, FIXED, OUTPUTS, RANGES, columns, limits, random};
use super::source::Source;
use super::*;
use proptest::prelude::*;

/// What one pass over a study tells, with what each limit excludes and the bits of every output.
#[derive(Debug, PartialEq)]
struct Told {
    found: Filtered,
    excluded: Vec<u128>,
    outputs: Vec<Vec<u64>>,
    flags: Vec<u8>,
}

fn told<S: Source>(study: &Listed<S>) -> Told {
    let (workers, rows) = (Workers::new(2), study.rows() as usize);
    let (mut values, mut flags) = (vec![vec![0.0; rows]; OUTPUTS.len()], vec![7; rows]);
    let places = OUTPUTS.iter().zip(&mut values).map(|(o, v)| (*o, v.as_mut_slice())).collect();
    let found = study.filter(Some(BEST), &workers).unwrap();
    let same = study.outputs(places, Some(&mut flags), Some(BEST), &PlainCopies, &workers).unwrap();
    assert_eq!(same, (found.tally, found.best.clone()));
    assert_eq!(study.count(&workers).unwrap(), found.tally);
    Told {
        found,
        excluded: study.excluded(&workers).unwrap().iter().map(|e| e.designs).collect(),
        outputs: values.iter().map(|of| of.iter().map(|v| v.to_bits()).collect()).collect(),
        flags,
    }
}

/// Answers of parts, merged.
fn merged(parts: Vec<Told>) -> Told {
    let mut parts = parts.into_iter();
    let mut all = parts.next().unwrap();
    for part in parts {
        all.found.tally = Tally::sum([&all.found.tally, &part.found.tally]);
        all.found.rows.extend(part.found.rows);
        all.found.best.extend(part.found.best);
        all.excluded.iter_mut().zip(part.excluded).for_each(|(a, p)| *a += p);
        all.outputs.iter_mut().zip(part.outputs).for_each(|(a, p)| a.extend(p));
        all.flags.extend(part.flags);
    }
    all.found.best = best_of(all.found.best, BEST.k, BEST.goal);
    all
}

/// The parts, the second of them as parts again.
fn assert_merges<S: Source>(study: &Listed<S>, n: u64, again: u64) {
    let mut parts = Vec::new();
    let mut next = 0;
    for i in 0..n {
        let part = study.partition(i, n).unwrap();
        let (first, end) = part.numbers();
        assert_eq!((first, end - first), (next, part.rows()));
        next = end;
        if i == 1 {
            parts.extend((0..again).map(|j| told(&part.partition(j, again).unwrap())));
        } else {
            parts.push(told(&part));
        }
    }
    assert_eq!(next, study.rows());
    assert_eq!(merged(parts), told(study));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    #[test]
    fn answers_of_any_parts_merge_to_that_of_the_whole(
        rows in 0..2500usize, spoiled in 5..4000u32, n in 1..30u64, again in 1..5u64,
    ) {
        assert_merges(&columns(&random(rows, spoiled), limits()), n, again);
        let ranges = FIGURES.iter().zip(RANGES).map(|(f, (low, high))| (*f, low, high)).collect();
        assert_merges(&Scatter::new(&FIXED, ranges, rows as u64, limits()).unwrap(), n, again);
    }
}

#[test]
fn parts_longer_than_what_a_thread_takes_merge() {
    let rows = 3 * super::columns::PART as usize + 1234;
    assert_merges(&columns(&random(rows, 900), limits()), 2, 1);
}

#[test]
fn columns_cut_out_of_longer_ones_are_a_part() {
    let data = random(2000, 60);
    let whole = columns(&data, limits());
    let part = whole.partition(3, 7).unwrap();
    let (first, end) = part.numbers();
    let cut: Vec<Vec<f64>> = data.iter().map(|c| c[first as usize..end as usize].to_vec()).collect();
    let sent = columns(&cut, limits()).starting(first).unwrap();
    assert_eq!(told(&sent), told(&part));
    assert_eq!(sent.design(first).unwrap(), whole.design(first).unwrap());
    for row in [first - 1, end] {
        assert!(sent.design(row).is_err() && part.design(row).is_err());
    }
    assert_eq!(told(&sent.between(first + 5, first + 9)), told(&whole.between(first + 5, first + 9)));
    assert_eq!(whole.between(1990, u64::MAX).numbers(), (1990, 2000));
    assert!(columns(&cut, limits()).starting(1 << 63).is_err() && part.partition(2, 2).is_err());
}
