//! The search over boxes of a grid: what they can hold at best, how they are halved.

use super::best::Goal;
use super::boxes::{Bounded, Ranges, Tests};
use super::definition::Study;
use super::figure::Figure;
use super::output::Output;
use super::workers::Workers;
use crate::error::{Error, Result};
use core::cmp::Ordering;

/// Boxes that may be looked at, so that a question that cannot be answered ends.
pub(super) const MOST_BOXES: u64 = 4_000_000;

/// Boxes from one question to the watch to the next.
pub(super) const ASKED: u64 = 4096;

/// From and to of each axis.
pub(super) type Spans = Vec<(u32, u32)>;

/// A box that may hold designs asked for.
#[derive(Debug, Clone)]
pub(super) struct Open {
    /// What it can hold at best, as a number that is greater for a better one.
    pub(super) rank: f64,
    /// The same for each objective, where there are more than one.
    pub(super) ideal: Vec<f64>,
    /// Its first row.
    pub(super) first: u128,
    pub(super) spans: Spans,
    /// The limits that are not known to hold, by place.
    pub(super) tests: u64,
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
        order((self.rank, self.first), (other.rank, other.first))
    }
}

/// The better one is greater: by what it comes to, then by the lower row.
pub(super) fn order((a, row): (f64, u128), (b, other): (f64, u128)) -> Ordering {
    a.total_cmp(&b).then(other.cmp(&row))
}

/// An output that is to be as great or as small as can be.
#[derive(Debug, Clone)]
struct Objective {
    bounded: Bounded,
    sign: f64,
    /// Its part in the rank of a box.
    weight: f64,
}

/// What is asked of the boxes of a grid.
pub(super) struct Search<'s> {
    study: &'s Study,
    objectives: Vec<Objective>,
    tests: Tests,
    whole: Ranges,
    /// By axis: rows from one value to the next.
    strides: Vec<u128>,
    /// By axis: whether an objective depends on it.
    leads: Vec<bool>,
    /// By axis: which limits depend on it, by place.
    tested: Vec<u64>,
    rows: (u128, u128),
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

    fn first(&self, spans: &[(u32, u32)]) -> u128 {
        spans.iter().zip(&self.strides).map(|((from, _), stride)| u128::from(*from) * stride).sum()
    }

    /// The boxes that hold just some rows: what is whole values of an axis, and before and after it parts of one value.
    fn cover(&self, fixed: &mut Spans, first: u128, (start, end): (u128, u128), boxes: &mut Vec<Spans>) {
        let axis = fixed.len();
        let lens = || self.study.axes().iter().map(|(_, a)| a.len() as u32);
        let (Some(len), Some(stride)) = (lens().nth(axis), self.strides.get(axis).copied()) else {
            if start < end {
                boxes.push(fixed.clone());
            }
            return;
        };
        let (start, end) = (start.max(first), end.min(first + u128::from(len) * stride));
        if start >= end {
            return;
        }
        let index = |row: u128| u32::try_from((row - first) / stride).unwrap_or(u32::MAX);
        let part = |value: u32, fixed: &mut Spans, boxes: &mut Vec<Spans>| {
            fixed.push((value, value + 1));
            self.cover(fixed, first + u128::from(value) * stride, (start, end), boxes);
            fixed.pop();
        };
        let ragged = |row: u128| !(row - first).is_multiple_of(stride);
        let (mut from, to) = (index(start), index(end));
        if ragged(start) {
            part(from, fixed, boxes);
            from += 1;
        }
        if from < to {
            let rest = lens().skip(axis + 1).map(|len| (0, len));
            boxes.push(fixed.iter().copied().chain([(from, to)]).chain(rest).collect());
        }
        if ragged(end) && to >= from {
            part(to, fixed, boxes);
        }
    }

    /// A box, unless no design of it can be feasible.
    fn open(&self, spans: Spans, tests: u64) -> Option<Open> {
        let ranges = self.ranges(&spans);
        let left = self.tests.doubted(tests, tests, &ranges)?;
        let at_best = |o: &Objective| {
            let (low, high) = o.bounded.range(&ranges);
            if o.sign > 0.0 { high } else { -low }
        };
        let first = self.first(&spans);
        let (rank, ideal) = match self.objectives.as_slice() {
            [one] => (at_best(one), Vec::new()),
            many => {
                let ideal: Vec<f64> = many.iter().map(at_best).collect();
                (self.rank(&ideal), ideal)
            }
        };
        (!rank.is_nan()).then_some(Open { rank, ideal, first, spans, tests: left })
    }

    /// What the objectives weigh together, so that no design has a lower rank than one that it beats.
    pub(super) fn rank(&self, ideal: &[f64]) -> f64 {
        self.objectives.iter().zip(ideal).map(|(o, value)| o.weight * value).sum()
    }

    /// The boxes of the rows to be searched.
    pub(super) fn boxes(&self) -> Vec<Open> {
        let mut spans = Vec::new();
        self.cover(&mut Vec::new(), 0, self.rows, &mut spans);
        let all = self.tests.all();
        spans.into_iter().filter_map(|spans| self.open(spans, all)).collect()
    }

    /// The objectives of a box whose designs are all alike, each as a number that is greater for a better one.
    pub(super) fn values(&self, open: &Open) -> Vec<f64> {
        let figures = self.ranges(&open.spans).map(|(low, _)| low);
        self.objectives.iter().map(|o| o.sign * o.bounded.at(&figures)).collect()
    }

    /// Counts one more box that is looked at.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] where it is one too many; [`Error::Stopped`].
    pub(super) fn look(&self, looked: &mut u64, most: u64, workers: &Workers) -> Result<()> {
        *looked += 1;
        if looked.is_multiple_of(ASKED) {
            workers.goes_on(*looked as f64 / most as f64)?;
        }
        if *looked <= most {
            return Ok(());
        }
        Err(Error::OutOfRange {
            field: "boxes of the grid".into(),
            value: format!("more than {most} of {} designs", self.rows.1 - self.rows.0),
            allowed: "tighter limits or fewer values".into(),
        })
    }

    /// The axis to halve: the longest that an objective depends on; where that is one value, the slowest that open limits depend on, so that of equal designs
    /// the lower rows are looked at first. None where all designs of the box are alike.
    pub(super) fn axis_of(&self, open: &Open) -> Option<usize> {
        let length = |i: &usize| open.spans.get(*i).map_or(0, |(from, to)| to - from);
        let long = || (0..open.spans.len()).filter(|i| length(i) > 1);
        let leads = |i: &usize| self.leads.get(*i).copied().unwrap_or(false);
        let tested = |i: &usize| self.tested.get(*i).is_some_and(|t| t & open.tests != 0);
        let longest = long().filter(leads).max_by_key(|i| (length(i), core::cmp::Reverse(*i)));
        longest.or_else(|| long().find(tested))
    }

    /// Both halves, the lower rows first.
    pub(super) fn halves(&self, open: &Open, axis: usize) -> [Option<Open>; 2] {
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
    pub(super) fn first_rows(&self, open: &Open, most: usize) -> Vec<u128> {
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
    /// A search for the best by some outputs.
    ///
    /// # Errors
    /// [`Error::MissingKey`] for a figure that an output needs; as [`Study::designs`].
    pub(super) fn search(&self, objectives: &[(Output, Goal)]) -> Result<Search<'_>> {
        let (shape, whole) = (self.shape(), self.ranges());
        let mut all = Vec::new();
        for (output, goal) in objectives {
            self.check_output(*output)?;
            let bounded = Bounded::new(*output, shape);
            let (low, high) = bounded.range(&whole);
            let wide = high - low;
            let weight = if wide.is_finite() && wide > 0.0 { 1.0 / wide } else { 1.0 };
            all.push(Objective { bounded, sign: goal.sign(), weight });
        }
        let tests = Tests::new(self.limits(), shape)?;
        let rows = self.rows()?;
        let strides = (0..self.axes().len()).map(|axis| self.stride(axis)).collect();
        let leads = |figure: &Figure| all.iter().any(|o| o.bounded.depends_on(*figure));
        let leads = self.axes().iter().map(|(f, _)| leads(f)).collect();
        let tested = self.axes().iter().map(|(f, _)| tests.moved_by(*f)).collect();
        Ok(Search { study: self, objectives: all, tests, whole, strides, leads, tested, rows })
    }
}
