//! The best of grids that are walked where boxes are too many: the same answers, progress that rises, refusals with what the walk would take.

use super::*;
use crate::error::Error;
use core::cell::Cell;

const THREE: [(Output, Goal); 3] = [
    (Output::CompressionRatio, Goal::Maximise),
    (Output::Displacement, Goal::Maximise),
    (Output::PeakAcceleration, Goal::Minimise),
];

/// Many boxes are as good as those that hold the front: after some of them the rows are walked, from what they found.
#[test]
fn boxes_and_then_rows_come_to_what_rows_alone_come_to() {
    let study = grid([5, 5, 4, 6, 6, 4, 3, 5, 4]);
    let workers = Workers::new(2);
    let want = study.pareto_walked(&THREE, (1 << 12, &workers)).unwrap();
    assert!(want.len() > 10, "{}", want.len());
    let all = study.feasible(&workers).unwrap();
    assert_eq!(each_against_some(&study, &rows_of(&all), &want), want.len());
    for most in [100, 10_000, u64::MAX] {
        assert_eq!(study.pareto_within(&THREE, (most, &workers)).unwrap(), want, "{most}");
    }
    for (output, goal) in THREE {
        let want = study.best_walked(70, (output, goal), (1, &workers)).unwrap();
        for most in [100, u64::MAX] {
            let found = study.best_within(70, output, goal, (most, &workers)).unwrap();
            assert_eq!(found, want, "{output:?} {most}");
        }
    }
}

/// How many of a front are feasible and beaten by no feasible design, while every design of another value is beaten by one of them.
fn each_against_some(study: &Study, feasible: &[u128], front: &[Efficient]) -> usize {
    let columns: Vec<Vec<f64>> =
        THREE.iter().map(|(output, _)| study.outputs_of(feasible, *output).unwrap()).collect();
    let signed = |values: &[f64]| -> Vec<f64> {
        values.iter().zip(THREE).map(|(v, (_, goal))| goal.better(*v)).collect()
    };
    let front: Vec<(u128, Vec<f64>)> = front.iter().map(|e| (e.row, signed(&e.values))).collect();
    let mut own = 0;
    for (place, row) in feasible.iter().enumerate() {
        let values = signed(&columns.iter().map(|c| c[place]).collect::<Vec<_>>());
        let covers = |v: &[f64]| v.iter().zip(&values).all(|(a, b)| a >= b);
        let covered = front.iter().filter(|(_, v)| covers(v)).collect::<Vec<_>>();
        match covered.as_slice() {
            [(first, same)] if *same == values => {
                assert!(row >= first);
                own += usize::from(row == first);
            }
            some => assert!(!some.is_empty() && some.iter().all(|(_, v)| *v != values), "{row}"),
        }
    }
    own
}

#[test]
fn progress_rises_through_boxes_and_walk_and_stops_where_told() {
    let study = grid([5, 5, 4, 6, 6, 4, 3, 5, 4]);
    for threads in [1, 2] {
        let (told, asked, stop) = (Cell::new(0.0), Cell::new(0), Cell::new(2.0));
        let watch = |done: f64| {
            assert!((told.get()..=1.0).contains(&done), "{} {done}", told.get());
            told.set(done);
            asked.set(asked.get() + 1);
            done < stop.get()
        };
        let workers = Workers::new(threads).watched(&watch);
        study.pareto_within(&THREE, (9000, &workers)).unwrap();
        assert!(told.get() > 0.4 && asked.get() > 20, "{} {}", told.get(), asked.get());
        for share in [0.0, 0.1, 0.3] {
            told.set(0.0);
            stop.set(share);
            let stopped = study.pareto_within(&THREE, (9000, &workers));
            assert!(
                matches!(stopped, Err(Error::Stopped { done }) if (share..1.0).contains(&done)),
                "{stopped:?}"
            );
        }
    }
}

/// Where too many designs are feasible the walk is refused, soon and with what it would take.
#[test]
fn a_walk_of_too_many_designs_is_refused_with_what_it_would_take() {
    // Without limits some have no volume above the piston, so that no box bounds the ratio.
    let study = grid([100, 100, 40, 60, 60, 40, 30, 50, 50]).with_limits(Vec::new());
    assert!(study.designs().unwrap() > 10u128.pow(15));
    let workers = Workers::new(2);
    for refused in [
        study.pareto_within(&THREE, (100, &workers)).map(|_| ()),
        study.best_within(5, Output::CompressionRatio, Goal::Maximise, (0, &workers)).map(|_| ()),
    ] {
        let error = refused.unwrap_err().to_string();
        assert!(error.contains("steps of the walk") && error.contains("designs"), "{error}");
    }
}
