//! Matching of parts to places against every order there is, and against orders planted beforehand.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic, clippy::expect_used, missing_docs)]

use proptest::prelude::*;
use swept::clearance::matching::{DEFAULT_EFFORT, MatchedFigure, Matching, match_parts};
use swept::error::ErrorKind;

/// Readings are steps of a micrometre.
const STEP: f64 = 1e-6;

/// A figure as a sum of whole steps: one of the place, one of each part, and one that joins the first two parts (no sum).
#[derive(Debug, Clone)]
struct Steps {
    depends: Vec<usize>,
    place: Vec<i64>,
    parts: Vec<Vec<i64>>,
    joint: i64,
    limits: (Option<i64>, Option<i64>),
}

impl Steps {
    fn value(&self, place: usize, parts: &[usize]) -> i64 {
        let sum: i64 = self.depends.iter().map(|kind| self.parts[*kind][parts[*kind]]).sum();
        let joint =
            self.depends.iter().map(|kind| parts[*kind]).fold(place, |all, part| all * 2 + part * part)
                as i64;
        self.place[place] + sum + self.joint * (joint % 3)
    }

    fn figure(&self, types: usize) -> MatchedFigure {
        let si = |limit: Option<i64>| limit.map(|l| 0.2 + l as f64 * STEP);
        let value = |place: usize, parts: &[usize]| Ok(0.2 + self.value(place, parts) as f64 * STEP);
        let limits = (si(self.limits.0), si(self.limits.1));
        MatchedFigure::new(self.place.len(), types, &self.depends, limits, value).unwrap()
    }

    /// The spread of an order, `None` outside the limits.
    fn spread(&self, order: &[Vec<usize>]) -> Option<i64> {
        let values: Vec<i64> =
            order.iter().enumerate().map(|(place, parts)| self.value(place, parts)).collect();
        let (low, high) = (*values.iter().min().unwrap(), *values.iter().max().unwrap());
        let within = self.limits.0.is_none_or(|l| low >= l) && self.limits.1.is_none_or(|l| high <= l);
        within.then_some(high - low)
    }
}

fn in_steps(values: &[f64]) -> Vec<i64> {
    values.iter().map(|v| (v / STEP).round() as i64).collect()
}

fn solve(figures: &[Steps], types: usize, effort: u64) -> swept::error::Result<Matching> {
    let tables: Vec<MatchedFigure> = figures.iter().map(|figure| figure.figure(types)).collect();
    match_parts(figures[0].place.len(), types, &tables, effort)
}

/// Every way to put n parts in n places.
fn permutations(n: usize) -> Vec<Vec<usize>> {
    if n == 0 {
        return vec![vec![]];
    }
    let shorter = permutations(n - 1);
    let put = |p: &Vec<usize>, at: usize| {
        let mut longer = p.clone();
        longer.insert(at, n - 1);
        longer
    };
    shorter.iter().flat_map(|p| (0..n).map(move |at| put(p, at))).collect()
}

/// The least spreads by trying every order; `None` if none holds the limits.
fn by_counting(figures: &[Steps], types: usize) -> Option<Vec<i64>> {
    let n = figures[0].place.len();
    let all = permutations(n);
    let code = |mut code: usize| {
        let kinds: Vec<&Vec<usize>> = (0..types)
            .map(|_| {
                let order = &all[code % all.len()];
                code /= all.len();
                order
            })
            .collect();
        (0..n).map(|place| kinds.iter().map(|order| order[place]).collect()).collect()
    };
    let spreads =
        |order: Vec<Vec<usize>>| figures.iter().map(|f| f.spread(&order)).collect::<Option<Vec<i64>>>();
    (0..all.len().pow(types as u32)).filter_map(|c| spreads(code(c))).min()
}

/// The order is one, and what is said of it is so.
fn check(figures: &[Steps], types: usize, found: &Matching) {
    let n = figures[0].place.len();
    for kind in 0..types {
        let mut parts: Vec<usize> = found.assignment.iter().map(|parts| parts[kind]).collect();
        parts.sort_unstable();
        assert_eq!(parts, (0..n).collect::<Vec<_>>());
    }
    let identity: Vec<Vec<usize>> = (0..n).map(|place| vec![place; types]).collect();
    let spreads: Vec<i64> =
        figures.iter().map(|f| f.spread(&found.assignment).expect("the limits hold")).collect();
    assert_eq!(in_steps(&found.spreads), spreads);
    let unlimited = |f: &Steps| Steps { limits: (None, None), ..f.clone() }.spread(&identity).unwrap();
    assert_eq!(in_steps(&found.delivered), figures.iter().map(unlimited).collect::<Vec<_>>());
    assert_eq!(found.delivered_holds, figures.iter().all(|f| f.spread(&identity).is_some()));
    assert!(found.bounds.iter().zip(&found.spreads).all(|(bound, spread)| bound <= spread));
    assert_eq!(found.proved, found.bounds == found.spreads);
}

fn limit(some: bool, value: i64) -> Option<i64> {
    some.then_some(value)
}

fn steps(n: usize, types: usize, most: usize) -> impl Strategy<Value = Steps> {
    let depends = proptest::sample::subsequence((0..types).collect::<Vec<_>>(), 0..=most.min(types));
    let parts = proptest::collection::vec(proptest::collection::vec(-6_i64..=6, n), types);
    let place = proptest::collection::vec(-6_i64..=6, n);
    let limits = (proptest::bool::weighted(0.2), -16_i64..=0, proptest::bool::weighted(0.2), 0_i64..=16);
    (depends, place, parts, prop_oneof![3 => Just(0_i64), 1 => 1_i64..=4], limits).prop_map(
        |(depends, place, parts, joint, (lower, low, upper, high))| Steps {
            depends,
            place,
            parts,
            joint,
            limits: (limit(lower, low), limit(upper, high)),
        },
    )
}

fn several(ns: std::ops::RangeInclusive<usize>, types: usize) -> impl Strategy<Value = Vec<Steps>> {
    ns.prop_flat_map(move |n| proptest::collection::vec(steps(n, types, 3), 1..=3))
}

fn no_order_is_better(figures: &[Steps], types: usize) {
    match (solve(figures, types, DEFAULT_EFFORT), by_counting(figures, types)) {
        (Ok(found), Some(best)) => {
            check(figures, types, &found);
            assert!(found.proved);
            assert_eq!(in_steps(&found.spreads), best);
        }
        (Err(error), None) => assert!(error.to_string().contains("proved"), "{error}"),
        (found, best) => panic!("{found:?} but {best:?}"),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn no_order_of_three_types_is_better(figures in several(1..=4, 3)) {
        no_order_is_better(&figures, 3);
    }

    #[test]
    fn no_order_of_two_types_is_better(figures in several(5..=5, 2)) {
        no_order_is_better(&figures, 2);
    }

    #[test]
    fn no_order_of_one_type_is_better(figures in several(5..=6, 1)) {
        no_order_is_better(&figures, 1);
    }

    #[test]
    fn with_little_effort_the_bounds_still_hold(figures in several(4..=4, 2), effort in 0_u64..40) {
        match (solve(&figures, 2, effort), by_counting(&figures, 2)) {
            (Ok(found), best) => {
                check(&figures, 2, &found);
                let best = best.unwrap();
                // The later bounds hold only where the earlier figures are at their best.
                prop_assert!(in_steps(&found.bounds[..1])[0] <= best[0]);
                prop_assert!(in_steps(&found.spreads) >= best);
                if found.proved {
                    prop_assert_eq!(in_steps(&found.spreads), best);
                }
            }
            (Err(error), Some(_)) => prop_assert!(error.to_string().starts_with("search effort")),
            (Err(_), None) => {}
        }
    }

}

proptest! {
    #![proptest_config(ProptestConfig { cases: 8, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn eight_places_are_never_left_worse_than_delivered(figures in several(8..=8, 3)) {
        if let Ok(found) = solve(&figures, 3, 20_000) {
            check(&figures, 3, &found);
            prop_assert!(!found.delivered_holds || in_steps(&found.spreads) <= in_steps(&found.delivered));
            prop_assert_eq!(&solve(&figures, 3, 20_000).unwrap(), &found);
        }
    }
}

/// Numbers without pattern.
fn scattered(n: usize, start: u64, most: i64) -> Vec<i64> {
    let mut state = start;
    let mut next = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as i64 % (2 * most + 1) - most
    };
    (0..n).map(|_| next()).collect()
}

/// Deck clearance (piston, rod), piston-to-wall (piston) and mass (piston, pin, rod), with parts that can be made all even.
fn planted(n: usize, start: u64) -> Vec<Steps> {
    // The part at place p is number a p + b mod n, another for each type.
    let multiplier = |kind: usize| [5, 7, 11][kind];
    let seat = |kind: usize, place: usize| (multiplier(kind) * place + kind + 1) % n;
    let figure = |depends: &[usize], start: u64, most: i64| {
        let mut parts: Vec<Vec<i64>> = (0..3).map(|kind| scattered(n, start + kind, most)).collect();
        let mut place = vec![0; n];
        for p in 0..n {
            place[p] = -depends.iter().map(|kind| parts[*kind][seat(*kind, p)]).sum::<i64>();
        }
        if depends.len() == 3 {
            // The mass does not depend on the place: the pins make it up.
            for p in 0..n {
                parts[1][seat(1, p)] += place[p];
            }
            place = vec![0; n];
        }
        Steps { depends: depends.to_vec(), place, parts, joint: 0, limits: (None, None) }
    };
    vec![figure(&[0, 2], start, 20), figure(&[0], start + 10, 10), figure(&[0, 1, 2], start + 20, 15)]
}

#[test]
fn planted_orders_are_found_or_the_gap_is_stated() {
    for (n, start) in [(8, 1), (12, 2), (16, 3)] {
        let mut figures = planted(n, start);
        let found = solve(&figures, 3, 100_000).unwrap();
        check(&figures, 3, &found);
        assert!(found.bounds.iter().all(|bound| *bound == 0.0));
        assert_eq!(found.proved, in_steps(&found.spreads) == [0, 0, 0]);
        // With the wall first, few orders of the pistons are left, and the even order must be found.
        figures.swap(0, 1);
        let found = solve(&figures, 3, 100_000).unwrap();
        assert_eq!(in_steps(&found.spreads), [0, 0, 0]);
        assert!(found.proved);
    }
}

#[test]
fn a_single_type_is_settled_at_sixteen_places() {
    let place = scattered(16, 11, 40);
    let parts = vec![scattered(16, 12, 40)];
    let figures = [Steps { depends: vec![0], place, parts, joint: 0, limits: (None, None) }];
    let found = solve(&figures, 1, DEFAULT_EFFORT).unwrap();
    check(&figures, 1, &found);
    assert!(found.proved);
    // Largest part to least place gives the least spread of a sum of two.
    let (mut place, mut parts) = (figures[0].place.clone(), figures[0].parts[0].clone());
    place.sort_unstable();
    parts.sort_unstable_by_key(|part| -part);
    let sums: Vec<i64> = place.iter().zip(&parts).map(|(a, b)| a + b).collect();
    assert!(in_steps(&found.spreads)[0] <= sums.iter().max().unwrap() - sums.iter().min().unwrap());
}

#[test]
fn an_order_that_is_the_best_stays() {
    let parts: Vec<Vec<i64>> = (0..3).map(|kind| scattered(12, 30 + kind, 20)).collect();
    let place = (0..12).map(|p| -parts[0][p] - parts[2][p]).collect();
    let figures = [Steps { depends: vec![0, 2], place, parts, joint: 0, limits: (None, None) }];
    let found = solve(&figures, 3, DEFAULT_EFFORT).unwrap();
    assert!(found.proved && found.delivered_holds);
    assert_eq!(found.assignment, (0..12).map(|p| vec![p; 3]).collect::<Vec<_>>());
}

#[test]
fn types_no_figure_depends_on_keep_their_order() {
    let figures = planted(8, 7);
    let found = solve(&figures[..1], 3, DEFAULT_EFFORT).unwrap();
    assert!(found.assignment.iter().enumerate().all(|(place, parts)| parts[1] == place));
    let none = match_parts(5, 2, &[], DEFAULT_EFFORT).unwrap();
    assert!(none.proved && none.delivered_holds && none.spreads.is_empty());
    assert_eq!(none.assignment, (0..5).map(|p| vec![p; 2]).collect::<Vec<_>>());
}

#[test]
fn a_figure_without_parts_keeps_its_spread() {
    let bore = MatchedFigure::new(3, 1, &[], (None, None), |place, _| Ok([4.0, 1.0, 2.5][place])).unwrap();
    let found = match_parts(3, 1, std::slice::from_ref(&bore), DEFAULT_EFFORT).unwrap();
    assert!(found.proved);
    assert_eq!((found.spreads, found.bounds), (vec![3.0], vec![3.0]));
}

#[test]
fn equal_values_are_even_at_once() {
    for value in [0.0, 0.1, -7.0] {
        let figure = MatchedFigure::new(5, 2, &[0, 1], (None, Some(value)), |_, _| Ok(value)).unwrap();
        let found = match_parts(5, 2, &[figure.clone(), figure], u64::MAX).unwrap();
        assert!(found.proved && found.delivered_holds);
        assert_eq!(found.spreads, [0.0, 0.0]);
        assert_eq!(found.assignment, (0..5).map(|p| vec![p; 2]).collect::<Vec<_>>());
    }
}

#[test]
fn rounding_is_no_difference() {
    // Sums in another order differ in the last digits only.
    let parts = [0.1, 0.2, 0.3, 0.7];
    let figure = MatchedFigure::new(4, 1, &[0], (Some(0.3), Some(0.3)), |place, at| {
        Ok([0.2, 0.1, 0.0, -0.4][place] + parts[at[0]])
    });
    let found = match_parts(4, 1, &[figure.unwrap()], DEFAULT_EFFORT).unwrap();
    assert!(found.proved && found.delivered_holds);
    assert_eq!((found.spreads, found.delivered), (vec![0.0], vec![0.0]));
}

#[test]
fn limits_come_before_evenness() {
    // Two places, two parts: even is 5 and 5, but the second figure forbids it.
    let even = Steps {
        depends: vec![0],
        place: vec![0, 4],
        parts: vec![vec![1, 5]],
        joint: 0,
        limits: (None, None),
    };
    let free = solve(std::slice::from_ref(&even), 1, DEFAULT_EFFORT).unwrap();
    assert_eq!(in_steps(&free.spreads), [0]);
    assert_eq!(free.assignment, [[1], [0]]);
    let bound =
        Steps { limits: (Some(0), Some(5)), place: vec![0, 1], parts: vec![vec![1, 5]], ..even.clone() };
    let other = Steps { limits: (Some(3), None), place: vec![2, 0], parts: vec![vec![1, 5]], ..even.clone() };
    let found = solve(&[even.clone(), bound.clone()], 1, DEFAULT_EFFORT).unwrap();
    assert_eq!(in_steps(&found.spreads), [0, 3]);
    let found = solve(&[even.clone(), other.clone()], 1, DEFAULT_EFFORT).unwrap();
    assert_eq!((found.assignment.clone(), in_steps(&found.spreads)), (vec![vec![0], vec![1]], vec![8, 2]));
    // Both cannot be.
    let error = solve(&[even, bound, other], 1, DEFAULT_EFFORT).unwrap_err();
    assert_eq!(error.kind(), ErrorKind::OutOfRange);
    assert!(error.to_string().contains("no order of the parts (proved)"), "{error}");
}

#[test]
fn running_out_of_effort_is_no_proof() {
    // Two of the three parts of the first type fit one place only: exchanges find nothing, and without nodes nobody knows.
    let forced = |part: usize, place: usize| i64::from(part < 2 && place > 0);
    let value = |place: usize, parts: &[usize]| Ok(forced(parts[0], place) as f64);
    let figure = MatchedFigure::new(3, 1, &[0], (None, Some(0.0)), value).unwrap();
    let solve = |effort| match_parts(3, 1, std::slice::from_ref(&figure), effort).unwrap_err().to_string();
    assert!(solve(0).starts_with("search effort is 0 nodes"), "{}", solve(0));
    assert!(solve(DEFAULT_EFFORT).contains("no order of the parts (proved)"));
}

#[test]
fn wrong_counts_and_values_are_refused() {
    let new = |places, types, depends: &[usize], limits| {
        MatchedFigure::new(places, types, depends, limits, |_, _| Ok(1.0)).map_err(|error| error.kind())
    };
    let none = (None, None);
    for (places, types, depends) in [
        (0, 1, &[0][..]),
        (17, 1, &[0]),
        (4, 0, &[]),
        (4, 5, &[0]),
        (4, 4, &[0, 1, 2, 3]),
        (4, 2, &[2]),
        (4, 2, &[0, 0]),
    ] {
        assert_eq!(new(places, types, depends, none).unwrap_err(), ErrorKind::OutOfRange);
    }
    assert_eq!(new(4, 1, &[0], (Some(2.0), Some(1.0))).unwrap_err(), ErrorKind::OutOfRange);
    assert_eq!(new(4, 1, &[0], (Some(f64::NAN), None)).unwrap_err(), ErrorKind::NotFinite);
    let endless = MatchedFigure::new(2, 1, &[0], none, |_, _| Ok(f64::INFINITY)).unwrap_err();
    assert_eq!(endless.kind(), ErrorKind::NotFinite);
    let huge = MatchedFigure::new(2, 1, &[0], none, |_, _| Ok(1e101)).unwrap_err();
    assert_eq!(huge.kind(), ErrorKind::OutOfRange);
    let figure = new(4, 2, &[0], none).unwrap();
    for (places, types) in [(5, 2), (4, 3)] {
        let error = match_parts(places, types, std::slice::from_ref(&figure), DEFAULT_EFFORT).unwrap_err();
        assert_eq!(error.kind(), ErrorKind::WrongLength);
    }
    for (places, types) in [(0, 1), (17, 1), (4, 5)] {
        assert_eq!(
            match_parts(places, types, &[], DEFAULT_EFFORT).unwrap_err().kind(),
            ErrorKind::OutOfRange
        );
    }
}
