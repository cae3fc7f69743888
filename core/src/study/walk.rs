//! The walk over the rows of a grid, stage by stage, that finds all feasible designs in their order.

use super::boxes::{Ranges, Tests};
use super::definition::Study;
use super::layout::stages;
use super::plan::Shape;
use super::rows::{Marks, lanes_of};
use super::stage::{BLOCK, Stage, at_lane};
use crate::error::Result;
use core::ops::Range;

/// Blocks and lanes from one question whether to go on to the next: microseconds, or tenths of a second where an output is searched for.
const ASKED: u64 = 128;

/// What is done with feasible designs, in the order of their rows.
pub(super) trait Take {
    /// So many rows from the first are all feasible.
    fn all(&mut self, first: u128, count: u128);
    /// Of the rows from the first, those with a mark are feasible.
    fn some(&mut self, first: u128, marks: &Marks);
    /// Asked each time that so much was looked at, whether to go on from a row.
    fn goes_on(&mut self, looked: u64, row: u128) -> bool;
}

/// A walk, ready to go.
#[derive(Debug, Clone)]
pub(super) struct Walk<'s> {
    study: &'s Study,
    shape: Shape,
    stages: Vec<Stage>,
    /// What stages hand on, by value.
    handed: Vec<f64>,
    /// All limits, for boxes.
    boxed: Tests,
    whole: Ranges,
    ranges: Ranges,
    /// The rows walked.
    rows: Range<u128>,
    /// Blocks and lanes that were looked at since it was last asked whether to go on, and the answer.
    looked: u64,
    halted: bool,
}

impl<'s> Walk<'s> {
    pub(super) fn new(study: &'s Study) -> Result<Self> {
        study.designs()?;
        let shape = study.shape();
        let (mut stages, values) = stages(study, shape);
        let boxed = Tests::new(study.limits(), shape)?;
        let moved = |range: Range<usize>| {
            let axes = study.axes().get(range).unwrap_or_default();
            axes.iter().fold(0, |all, (figure, _)| all | boxed.moved_by(*figure))
        };
        for stage in &mut stages {
            stage.moved = moved(stage.axes.clone());
            stage.open = moved(stage.axes.end..study.axes().len());
            stage.prepare(shape);
        }
        let whole = study.ranges();
        Ok(Self {
            study,
            shape,
            stages,
            handed: vec![f64::NAN; values],
            boxed,
            whole,
            ranges: whole,
            rows: 0..0,
            looked: 0,
            halted: false,
        })
    }

    /// So many rows or somewhat more, of whole lanes of the outermost stage that has fewer in a lane.
    pub(super) fn whole_lanes(&self, rows: u128) -> u128 {
        let stride = self.stages.iter().map(|s| s.stride).find(|stride| *stride <= rows);
        rows.next_multiple_of(stride.unwrap_or(1))
    }

    /// Walks some rows.
    pub(super) fn run(&mut self, rows: Range<u128>, take: &mut impl Take) {
        self.rows = rows;
        self.ranges = self.whole;
        let all = self.boxed.all();
        match self.boxed.doubted(all, all, &self.ranges) {
            None => {}
            Some(0) => take.all(self.rows.start, self.rows.end - self.rows.start),
            Some(open) => self.enter(0, 0, open, take),
        }
    }

    /// The lanes of a stage from a row on that are among the rows walked.
    fn lanes(&self, s: usize, row: u128) -> Range<usize> {
        let Some(stage) = self.stages.get(s) else { return 0..0 };
        let before = |end: u128| end.saturating_sub(row);
        let first = before(self.rows.start) / stage.stride;
        let end = before(self.rows.end).div_ceil(stage.stride);
        let clipped = |lane: u128| usize::try_from(lane).unwrap_or(usize::MAX).min(stage.lanes);
        clipped(first)..clipped(end)
    }

    fn enter(&mut self, s: usize, row: u128, open: u64, take: &mut impl Take) {
        let lanes = self.lanes(s, row);
        let Some(stage) = self.stages.get_mut(s) else { return };
        if stage.lanes > BLOCK {
            self.long(s, row, (lanes, open), take);
        } else {
            self.block(s, row, (0, lanes), open, take);
        }
    }

    /// A single axis of more lanes than a block: halved until it is known what it holds, or is a block.
    fn long(&mut self, s: usize, row: u128, (lanes, mut open): (Range<usize>, u64), take: &mut impl Take) {
        let Some((axis, stride, moved)) = self.stages.get(s).map(|s| (s.axes.start, s.stride, s.moved))
        else {
            return;
        };
        let Some((figure, axis)) = self.study.axes().get(axis) else { return };
        let first = row + lanes.start as u128 * stride;
        if lanes.is_empty() || self.halts(first, take) {
            return;
        }
        if let Some(slot) = self.ranges.get_mut(figure.index()) {
            *slot = axis.range(lanes.start, lanes.end);
        }
        match self.boxed.doubted(open, moved, &self.ranges) {
            None => return self.restore(s),
            Some(doubted) => open = doubted,
        }
        if open == 0 {
            self.all(first, lanes.len() as u128 * stride, take);
        } else if lanes.len() <= BLOCK {
            let values = axis.values().get(lanes.clone()).unwrap_or_default();
            if let Some(stage) = self.stages.get_mut(s) {
                stage.load(values);
            }
            self.block(s, row, (lanes.start, 0..lanes.len()), open, take);
        } else {
            let middle = lanes.start + (lanes.len() / 2).next_multiple_of(BLOCK);
            self.long(s, row, (lanes.start..middle, open), take);
            self.long(s, row, (middle..lanes.end, open), take);
        }
        self.restore(s);
    }

    /// Evaluates the lanes of a block, the first of which is so far from the row, and goes on with each that holds what is tested here.
    fn block(
        &mut self,
        s: usize,
        row: u128,
        (from, lanes): (usize, Range<usize>),
        open: u64,
        take: &mut impl Take,
    ) {
        let last = s + 1 == self.stages.len();
        let Some(stride) = self.stages.get(s).map(|stage| stage.stride) else { return };
        if self.halts(row + (from + lanes.start) as u128 * stride, take) {
            return;
        }
        let Some(stage) = self.stages.get_mut(s) else { return };
        let marks = stage.run(self.shape, &lanes, &self.handed);
        let first = row + from as u128 * stride;
        if last {
            return take.some(first, &marks);
        }
        let later = stage.open;
        // Boxes are asked for in long stages only.
        let narrowed = self.stages.iter().skip(s + 1).any(|stage| stage.lanes > BLOCK);
        for lane in lanes_of(marks) {
            let Some(stage) = self.stages.get(s) else { break };
            stage.give(lane, &mut self.handed);
            let settled = stage.settled(lane);
            let row = first + lane as u128 * stride;
            if self.halts(row, take) {
                break;
            }
            if narrowed {
                self.place(s, from + lane);
            }
            match open & later & !settled {
                0 => self.all(row, stride, take),
                open => self.enter(s + 1, row, open, take),
            }
        }
        self.restore(s);
    }

    /// Counts one more thing that is looked at; whether it was told to stop.
    fn halts(&mut self, row: u128, take: &mut impl Take) -> bool {
        self.looked += 1;
        if self.looked >= ASKED {
            self.halted = !take.goes_on(core::mem::take(&mut self.looked), row);
        }
        self.halted
    }

    /// Rows that are all feasible, as far as they are among those walked.
    fn all(&self, first: u128, count: u128, take: &mut impl Take) {
        let (start, end) = (first.max(self.rows.start), (first + count).min(self.rows.end));
        if start < end {
            take.all(start, end - start);
        }
    }

    /// Narrows the ranges of the axes of a stage to a lane.
    fn place(&mut self, s: usize, lane: usize) {
        let Some(stage) = self.stages.get(s) else { return };
        for axis in stage.axes.clone() {
            let value = at_lane(self.study, &stage.axes, axis, lane);
            let figure = self.study.axes().get(axis).map(|(f, _)| f.index());
            if let Some(slot) = figure.and_then(|f| self.ranges.get_mut(f)) {
                *slot = (value, value);
            }
        }
    }

    /// Widens them again.
    fn restore(&mut self, s: usize) {
        let Some(stage) = self.stages.get(s) else { return };
        for (figure, _) in self.study.axes().get(stage.axes.clone()).unwrap_or_default() {
            let whole = self.whole.get(figure.index()).copied();
            if let (Some(slot), Some(whole)) = (self.ranges.get_mut(figure.index()), whole) {
                *slot = whole;
            }
        }
    }
}
