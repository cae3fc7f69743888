//! The best designs of a grid, without looking at most of it: boxes in the order of the best they can hold.

use super::definition::Study;
use super::output::Output;
use super::search::{MOST_BOXES, Open, order};
use super::workers::Workers;
use crate::error::Result;
use std::collections::BinaryHeap;

/// Which way is better.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Goal {
    /// The greatest.
    Maximise,
    /// The least.
    Minimise,
}

impl Goal {
    /// What makes a value one that is greater for a better one.
    pub(super) fn sign(self) -> f64 {
        if self == Self::Maximise { 1.0 } else { -1.0 }
    }

    /// A value as a number that is greater for a better one.
    pub(super) fn better(self, value: f64) -> f64 {
        self.sign() * value
    }
}

/// One of the best designs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Best {
    /// Its row.
    pub row: u128,
    /// The output, in study units.
    pub value: f64,
}

/// The k best of some designs that are the best of parts: the better first, of equal ones the lower row.
pub fn best_of(mut parts: Vec<Best>, k: usize, goal: Goal) -> Vec<Best> {
    let rank = |best: &Best| (goal.better(best.value), best.row);
    parts.sort_by(|a, b| order(rank(b), rank(a)));
    parts.truncate(k);
    parts
}

impl Study {
    /// The k best feasible designs by an output: exact, the better first, of equal ones the lower row. Designs whose output is no number, such as a ratio without
    /// a volume above the piston, are left out.
    ///
    /// Boxes of the grid are looked at in the order of the best that they can hold, which the corner of a box tells; a box is halved until all its designs have
    /// one value, or cannot be feasible, and the search ends where no box can hold a better design than those found.
    ///
    /// # Errors
    /// As [`Study::designs`]; [`crate::Error::MissingKey`] for a figure that the output needs; [`crate::Error::OutOfRange`] where too many boxes would have to be
    /// looked at, or for more limits than 64; [`crate::Error::Stopped`].
    pub fn best(&self, k: usize, output: Output, goal: Goal, workers: &Workers) -> Result<Vec<Best>> {
        self.best_within(k, output, goal, (MOST_BOXES, workers))
    }

    /// The same, looking at so many boxes at most.
    pub(super) fn best_within(
        &self,
        k: usize,
        output: Output,
        goal: Goal,
        (most, workers): (u64, &Workers),
    ) -> Result<Vec<Best>> {
        let search = self.search(&[(output, goal)])?;
        let mut heap = BinaryHeap::from(search.boxes());
        let mut found: Vec<Best> = Vec::new();
        let mut looked = 0;
        while let Some(open) = heap.pop() {
            // Rows of two boxes of one value may cross: the search ends where no row of any box can come before those found.
            let last = found.last().filter(|_| found.len() >= k);
            let rank = |best: &Best| (goal.better(best.value), best.row);
            if k == 0 || last.is_some_and(|last| order((open.rank, open.first), rank(last)).is_lt()) {
                break;
            }
            search.look(&mut looked, most, workers)?;
            match search.axis_of(&open) {
                Some(axis) => heap.extend(search.halves(&open, axis).into_iter().flatten()),
                None => {
                    // Where the bound was widened, the box goes back with what it holds.
                    let exact = search.values(&open).first().copied().unwrap_or(f64::NAN);
                    if exact.is_nan() {
                        continue;
                    }
                    if exact < open.rank {
                        heap.push(Open { rank: exact, ..open });
                        continue;
                    }
                    let value = goal.better(exact);
                    found.extend(search.first_rows(&open, k).into_iter().map(|row| Best { row, value }));
                    found = best_of(found, k, goal);
                }
            }
        }
        Ok(found)
    }
}
