//! The best designs of a grid, without looking at most of it: boxes in the order of the best they can hold.

use super::boxes::{Bounded, Ranges, Tests};
use super::definition::Study;
use super::output::Output;
use super::workers::Workers;
use crate::error::{Error, Result};
use core::cmp::Ordering;
use std::collections::BinaryHeap;

/// Which way is better.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Goal {
    /// The greatest.
    Maximise,
    /// The least.
    Minimise,
}

/// One of the best designs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Best {
    /// Its row.
    pub row: u128,
    /// The output, in study units.
    pub value: f64,
}

/// Boxes that may be looked at, so that a question that cannot be answered ends.
const MOST_BOXES: u64 = 4_000_000;

/// Boxes from one question to the watch to the next.
const ASKED: u64 = 4096;

/// A box in the heap: the best it can hold, as a number that is greater for a better one.
#[derive(Debug, Clone)]
struct Open {
    bound: f64,
    first: u128,
    /// From and to of each axis.
    spans: Vec<(u32, u32)>,
    /// The limits that are not known to hold, by place.
    tests: u64,
}

impl PartialEq for Open {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}

impl Eq for Open {}

impl PartialOrd for Open {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Open {
    fn cmp(&self, other: &Self) -> Ordering {
        order((self.bound, self.first), (other.bound, other.first))
    }
}

/// The better one is greater: by what it comes to, then by the lower row.
pub(super) fn order((a, row): (f64, u128), (b, other): (f64, u128)) -> Ordering {
    a.total_cmp(&b).then(other.cmp(&row))
}

struct Search<'s> {
    study: &'s Study,
    objective: Bounded,
    sign: f64,
    tests: Tests,
    whole: Ranges,
    /// By axis: rows from one value to the next.
    strides: Vec<u128>,
    /// By axis: whether the objective depends on it.
    leads: Vec<bool>,
    /// By axis: which limits depend on it, by place.
    tested: Vec<u64>,
}

impl Search<'_> {
    fn ranges(&self, spans: &[(u32, u32)]) -> Ranges {
        let mut ranges = self.whole;
        for ((figure, axis), (from, to)) in self.study.axes().iter().zip(spans) {
            if let Some(slot) = ranges.get_mut(figure.index()) {
                *slot = axis.range(*from as usize, *to as usize);
            }
        }
        ranges
    }

    /// What a design counts in the order.
    fn rank(&self, best: &Best) -> (f64, u128) {
        (self.sign * best.value, best.row)
    }

    fn first(&self, spans: &[(u32, u32)]) -> u128 {
        spans.iter().zip(&self.strides).map(|((from, _), stride)| u128::from(*from) * stride).sum()
    }

    /// A box, unless no design of it can be feasible.
    fn open(&self, spans: Vec<(u32, u32)>, tests: u64) -> Option<Open> {
        let ranges = self.ranges(&spans);
        let left = self.tests.doubted(tests, tests, &ranges)?;
        let (low, high) = self.objective.range(&ranges);
        let bound = if self.sign > 0.0 { high } else { -low };
        let first = self.first(&spans);
        (!bound.is_nan()).then_some(Open { bound, first, spans, tests: left })
    }

    /// The axis to halve: the longest that the objective depends on; where that is one value, the slowest that open limits depend on, so that of equal designs
    /// the lower rows are looked at first. None where all designs of the box are alike.
    fn axis_of(&self, open: &Open) -> Option<usize> {
        let length = |i: &usize| open.spans.get(*i).map_or(0, |(from, to)| to - from);
        let long = || (0..open.spans.len()).filter(|i| length(i) > 1);
        let leads = |i: &usize| self.leads.get(*i).copied().unwrap_or(false);
        let tested = |i: &usize| self.tested.get(*i).is_some_and(|t| t & open.tests != 0);
        let longest = long().filter(leads).max_by_key(|i| (length(i), core::cmp::Reverse(*i)));
        longest.or_else(|| long().find(tested))
    }

    /// Both halves, the lower rows first.
    fn halves(&self, open: &Open, axis: usize) -> [Option<Open>; 2] {
        let Some((from, to)) = open.spans.get(axis).copied() else { return [None, None] };
        let middle = from + (to - from) / 2;
        [(from, middle), (middle, to)].map(|half| {
            let mut spans = open.spans.clone();
            if let Some(span) = spans.get_mut(axis) {
                *span = half;
            }
            self.open(spans, open.tests)
        })
    }

    /// The first rows of a box whose designs are all alike.
    fn rows(&self, open: &Open, most: usize) -> Vec<u128> {
        let mut rows = vec![open.first];
        for (stride, (from, to)) in self.strides.iter().zip(&open.spans) {
            let mut longer = Vec::new();
            for row in &rows {
                let many = u32::try_from(most).unwrap_or(u32::MAX);
                longer.extend((0..(to - from).min(many)).map(|i| row + u128::from(i) * stride));
            }
            longer.sort_unstable();
            longer.truncate(most);
            rows = longer;
        }
        rows
    }
}

impl Study {
    /// The k best feasible designs by an output: exact, the better first, of equal ones the lower row. Designs whose output is no number, such as a ratio without
    /// a volume above the piston, are left out.
    ///
    /// Boxes of the grid are looked at in the order of the best that they can hold, which the corner of a box tells; a box is halved until all its designs have
    /// one value, or cannot be feasible, and the search ends where no box can hold a better design than those found.
    ///
    /// # Errors
    /// As [`Study::designs`]; [`Error::MissingKey`] for a figure that the output needs; [`Error::OutOfRange`] where too many boxes would have to be looked at, or
    /// for more limits than 64.
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
        let designs = self.designs()?;
        self.check_output(output)?;
        let search = self.search(output, goal)?;
        let spans = self.axes().iter().map(|(_, a)| (0, a.len() as u32)).collect();
        let mut heap: BinaryHeap<Open> = search.open(spans, search.tests.all()).into_iter().collect();
        let mut found: Vec<Best> = Vec::new();
        let mut looked = 0u64;
        while let Some(open) = heap.pop() {
            // Rows of two boxes of one value may cross: the search ends where no row of any box can come before those found.
            let last = found.last().filter(|_| found.len() >= k).copied();
            let beaten = last.is_some_and(|l| order((open.bound, open.first), search.rank(&l)).is_lt());
            if beaten || k == 0 {
                break;
            }
            looked += 1;
            if looked.is_multiple_of(ASKED) {
                workers.goes_on(looked as f64 / most as f64)?;
            }
            if looked > most {
                return Err(Error::OutOfRange {
                    field: "boxes of the grid".into(),
                    value: format!("more than {most} of {designs} designs"),
                    allowed: "tighter limits or fewer values".into(),
                });
            }
            match search.axis_of(&open) {
                Some(axis) => heap.extend(search.halves(&open, axis).into_iter().flatten()),
                None => {
                    let value = search.objective.at(&search.ranges(&open.spans).map(|(low, _)| low));
                    // Where the bound was widened, the box goes back with what it holds.
                    let exact = search.sign * value;
                    if exact.is_nan() {
                        continue;
                    }
                    if exact < open.bound {
                        heap.push(Open { bound: exact, ..open });
                        continue;
                    }
                    found.extend(search.rows(&open, k).into_iter().map(|row| Best { row, value }));
                    found.sort_by(|a, b| order(search.rank(b), search.rank(a)));
                    found.truncate(k);
                }
            }
        }
        Ok(found)
    }

    fn search(&self, output: Output, goal: Goal) -> Result<Search<'_>> {
        let shape = self.shape();
        let objective = Bounded::new(output, shape);
        let tests = Tests::new(self.limits(), shape)?;
        let mut strides = Vec::new();
        let mut stride = 1u128;
        for (_, axis) in self.axes().iter().rev() {
            strides.push(stride);
            stride *= axis.len() as u128;
        }
        strides.reverse();
        let leads = self.axes().iter().map(|(f, _)| objective.depends_on(*f)).collect();
        let tested = self.axes().iter().map(|(f, _)| tests.moved_by(*f)).collect();
        let sign = if goal == Goal::Maximise { 1.0 } else { -1.0 };
        Ok(Search { study: self, objective, sign, whole: self.ranges(), strides, leads, tested, tests })
    }
}
