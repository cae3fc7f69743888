//! The best designs of a grid, without looking at most of it: boxes in the order of the best they can hold.

use super::definition::Study;
#[cfg(test)]
use super::keep::Course;
use super::keep::Keep;
use super::output::Output;
use super::search::{MOST_BOXES, Open, Search, order};
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

/// The k best so far, in their order.
#[derive(Debug)]
pub(super) struct Leaders {
    k: usize,
    goal: Goal,
    found: Vec<Best>,
}

/// The best of a part that are not beaten by those known before.
#[derive(Debug, Default)]
pub(super) struct PartBest {
    found: Vec<Best>,
    /// What is worse is beaten by k of the part.
    last: Option<(f64, u128)>,
}

impl Leaders {
    pub(super) fn new(k: usize, goal: Goal) -> Self {
        Self { k, goal, found: Vec::new() }
    }

    /// What comes first of two, as greater.
    fn rank(&self, best: &Best) -> (f64, u128) {
        (self.goal.better(best.value), best.row)
    }

    /// The last of k.
    fn last(&self) -> Option<(f64, u128)> {
        self.found.last().filter(|_| self.found.len() >= self.k).map(|last| self.rank(last))
    }

    /// Whether k are better than what has a value at best, in a row at the lowest.
    fn beat(&self, rank: f64, first: u128) -> bool {
        self.k == 0 || self.last().is_some_and(|last| order((rank, first), last).is_lt())
    }

    /// Adds designs of which some may be known.
    fn add(&mut self, more: impl IntoIterator<Item = Best>) {
        let mut all = core::mem::take(&mut self.found);
        all.extend(more);
        self.found = best_of(all, usize::MAX, self.goal);
        self.found.dedup_by_key(|best| best.row);
        self.found.truncate(self.k);
    }

    pub(super) fn best(self) -> Vec<Best> {
        self.found
    }
}

impl Keep for Leaders {
    type Found = PartBest;

    fn may_hold(&self, open: &Open) -> bool {
        !self.beat(open.rank, open.first)
    }

    fn offer(&self, part: &mut PartBest, row: u128, values: &[f64]) {
        let rank = values.first().copied().unwrap_or(f64::NAN);
        if self.beat(rank, row) || part.last.is_some_and(|last| order((rank, row), last).is_lt()) {
            return;
        }
        part.found.push(Best { row, value: self.goal.better(rank) });
        if part.found.len() >= self.k.saturating_mul(2).max(64) {
            part.found = best_of(core::mem::take(&mut part.found), self.k, self.goal);
            part.last = part.found.last().map(|last| self.rank(last));
        }
    }

    fn take(&mut self, part: PartBest) {
        self.add(part.found);
    }
}

impl Study {
    /// The k best feasible designs by an output: exact, the better first, of equal ones the lower row. Designs whose output is no number, such as a ratio without
    /// a volume above the piston, are left out.
    ///
    /// Boxes of the grid are looked at in the order of the best that they can hold, which the corner of a box tells; a box is halved until all its designs have
    /// one value, or cannot be feasible, and the search ends where no box can hold a better design than those found. Where boxes are too many, the feasible rows are
    /// walked and evaluated, but for whole parts of the grid that cannot hold a better design than those found. Both ways come to the same designs.
    ///
    /// # Errors
    /// As [`Study::designs`]; [`crate::Error::MissingKey`] for a figure that the output needs; [`crate::Error::OutOfRange`] where the walk would take too many steps,
    /// with how many, or for more limits than 64; [`crate::Error::Stopped`].
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
        let mut leaders = Leaders::new(k, goal);
        self.keep_best(&[(output, goal)], &mut leaders, leaders_by_boxes, (most, workers))?;
        Ok(leaders.best())
    }
}

#[cfg(test)]
impl Study {
    /// The same by the walk alone, the first parts of so many rows.
    pub(super) fn best_walked(
        &self,
        k: usize,
        by: (Output, Goal),
        (part, workers): (u128, &Workers),
    ) -> Result<Vec<Best>> {
        let mut leaders = Leaders::new(k, by.1);
        self.keep_best_walked(
            &self.search(&[by])?,
            &[by],
            &mut leaders,
            (part, &Course::endless(self)?, workers),
        )?;
        Ok(leaders.best())
    }
}

/// The best from the boxes of a grid, looking at so many at most.
fn leaders_by_boxes(search: &Search, leaders: &mut Leaders, most: u64, workers: &Workers) -> Result<()> {
    let mut heap = BinaryHeap::from(search.boxes());
    let mut looked = 0;
    while let Some(open) = heap.pop() {
        // Rows of two boxes of one value may cross: the search ends where no row of any box can come before those found.
        if leaders.beat(open.rank, open.first) {
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
                let value = leaders.goal.better(exact);
                leaders.add(search.first_rows(&open, leaders.k).into_iter().map(|row| Best { row, value }));
            }
        }
    }
    Ok(())
}
