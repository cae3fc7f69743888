//! The walk over the grid, axis by axis, that finds all feasible designs in their order.

use super::boxes::{Ranges, Tests};
use super::definition::Study;
use super::figure::Figure;
use super::given::StudyLimit;
use super::plan::{MOST_INPUTS, Shape, Value, visit};
use crate::error::Result;

/// Designs of the innermost axes that are evaluated together, at most; a single axis may have more.
const BLOCK: usize = 256;

/// Values of axes and blocks that one question may look at: minutes of work.
pub(super) const MOST_LOOKED: u64 = 4_000_000_000;

/// Boxes of fewer designs are not asked for their bounds.
const WORTH: u128 = 64;

/// What is done with feasible designs, in the order of their rows.
pub(super) trait Take {
    /// So many rows from the first are all feasible.
    fn all(&mut self, first: u128, count: u128);
    /// Of the rows from the first, those with a mark are feasible.
    fn some(&mut self, first: u128, marks: &[bool]);
}

/// A value with where it is known.
#[derive(Debug, Clone)]
struct Slot {
    value: Value,
    inputs: Vec<usize>,
    /// One, or as many as a block where a step of the block takes it.
    buffer: Vec<f64>,
}

/// A walk, ready to go.
#[derive(Debug, Clone)]
pub(super) struct Walk<'s> {
    study: &'s Study,
    shape: Shape,
    slots: Vec<Slot>,
    /// By depth (0 for what no axis changes, the last for the block): the steps that are known there.
    steps: Vec<Vec<usize>>,
    /// By depth: the limits that are tested there, with the slot of their output.
    tests: Vec<Vec<(usize, StudyLimit)>>,
    /// All limits, for boxes.
    boxed: Tests,
    /// By depth: the limits that are not tested yet, by place.
    open: Vec<u64>,
    /// By axis: the limits whose outputs depend on it, by place.
    moved: Vec<u64>,
    /// By outer axis: the slot of its figure, if any step takes it.
    axis_slots: Vec<Option<usize>>,
    /// How many axes are walked; the others are the block.
    pub(super) outer: usize,
    /// By depth: designs that are left.
    left: Vec<u128>,
    ranges: Ranges,
    marks: Vec<bool>,
    /// Values of axes and blocks that were looked at, and how many may be.
    pub(super) looked: u64,
    pub(super) most: u64,
}

impl<'s> Walk<'s> {
    pub(super) fn new(study: &'s Study) -> Result<Self> {
        study.designs()?;
        let shape = study.shape();
        let lens: Vec<usize> = study.axes().iter().map(|(_, a)| a.len()).collect();
        let (mut outer, mut block) = (lens.len(), 1);
        while let Some(len) = outer.checked_sub(1).and_then(|i| lens.get(i)) {
            if block > 1 && block * len > BLOCK {
                break;
            }
            (outer, block) = (outer - 1, block * len);
        }
        let mut walk = Self {
            study,
            shape,
            slots: Vec::new(),
            steps: vec![Vec::new(); outer + 2],
            tests: vec![Vec::new(); outer + 2],
            boxed: Tests::new(study.limits(), shape)?,
            open: vec![0; outer + 2],
            moved: Vec::new(),
            axis_slots: vec![None; outer],
            outer,
            left: Vec::new(),
            ranges: study.ranges(),
            marks: vec![true; block],
            looked: 0,
            most: MOST_LOOKED,
        };
        for depth in 0..=outer {
            walk.left.push(lens.iter().skip(depth).map(|l| *l as u128).product());
        }
        let mut depths = Vec::new();
        for (place, limit) in study.limits().iter().enumerate() {
            visit(Value::Output(limit.output), shape, &mut |value| walk.add(value, &mut depths));
            let slot = walk.slots.iter().position(|s| s.value == Value::Output(limit.output));
            let depth = slot.and_then(|s| depths.get(s).copied()).unwrap_or_default();
            if let (Some(slot), Some(there)) = (slot, walk.tests.get_mut(depth)) {
                there.push((slot, *limit));
            }
            walk.open.iter_mut().take(depth).for_each(|open| *open |= 1 << place);
        }
        walk.moved =
            study.axes().iter().take(outer).map(|(figure, _)| walk.boxed.moved_by(*figure)).collect();
        walk.make_buffers(&depths, block);
        Ok(walk)
    }

    /// Adds a value whose inputs are there already.
    fn add(&mut self, value: Value, depths: &mut Vec<usize>) {
        if self.slots.iter().any(|s| s.value == value) {
            return;
        }
        let place = |v: &Value| self.slots.iter().position(|s| s.value == *v);
        let inputs: Vec<usize> = value.inputs(self.shape).iter().filter_map(place).collect();
        let depth = match value {
            Value::Figure(figure) => match self.study.axis_of(figure) {
                Some(axis) if axis < self.outer => axis + 1,
                Some(_) => self.outer + 1,
                None => 0,
            },
            _ => inputs.iter().filter_map(|i| depths.get(*i)).copied().max().unwrap_or_default(),
        };
        let slot = self.slots.len();
        match value {
            Value::Figure(_) => {
                if let Some(there) = depth.checked_sub(1).and_then(|axis| self.axis_slots.get_mut(axis)) {
                    *there = Some(slot);
                }
            }
            _ => {
                if let Some(there) = self.steps.get_mut(depth) {
                    there.push(slot);
                }
            }
        }
        self.slots.push(Slot { value, inputs, buffer: vec![f64::NAN] });
        depths.push(depth);
    }

    /// Buffers as long as the block for all that its steps take or give; the axes of the block and the fixed figures are written once.
    fn make_buffers(&mut self, depths: &[usize], block: usize) {
        let last = self.outer + 1;
        let mut long = vec![false; self.slots.len()];
        for (slot, depth) in self.slots.iter().zip(depths) {
            if *depth == last {
                slot.inputs.iter().for_each(|i| {
                    if let Some(l) = long.get_mut(*i) {
                        *l = true;
                    }
                });
            }
        }
        for ((slot, depth), long) in self.slots.iter_mut().zip(depths).zip(&long) {
            let size = if *long || *depth == last { block } else { 1 };
            slot.buffer = vec![f64::NAN; size];
            let Value::Figure(figure) = slot.value else { continue };
            if let Some(fixed) = self.study.fixed(figure) {
                slot.buffer.fill(fixed);
            } else if *depth == last {
                let axis = self.study.axis_of(figure).unwrap_or_default();
                let after: usize = self.study.axes().iter().skip(axis + 1).map(|(_, a)| a.len()).product();
                let values = self.study.axes().get(axis).map(|(_, a)| a.values()).unwrap_or_default();
                for (i, entry) in slot.buffer.iter_mut().enumerate() {
                    *entry = values.get((i / after) % values.len()).copied().unwrap_or(f64::NAN);
                }
            }
        }
    }

    /// Walks the rows of some values of the first axis.
    pub(super) fn run(&mut self, from: usize, to: usize, take: &mut impl Take) {
        if !self.known(0) {
            return;
        }
        let all = self.open.first().copied().unwrap_or_default();
        let Some(open) = self.boxed.doubted(all, all, &self.ranges) else { return };
        if self.outer == 0 {
            return self.block(0, take);
        }
        if open == 0 {
            let each = self.left.get(1).copied().unwrap_or(1);
            return take.all(from as u128 * each, (to - from) as u128 * each);
        }
        self.descend(0, from..to, (0, open), take);
    }

    fn descend(
        &mut self,
        axis: usize,
        range: core::ops::Range<usize>,
        (row, open): (u128, u64),
        take: &mut impl Take,
    ) {
        let study = self.study;
        let Some((figure, values)) = study.axes().get(axis).map(|(f, a)| (*f, a.values())) else { return };
        let left = self.left.get(axis + 1).copied().unwrap_or(1);
        let whole = self.ranges.get(figure.index()).copied();
        let untested = self.open.get(axis + 1).copied().unwrap_or_default();
        let moved = self.moved.get(axis).copied().unwrap_or_default();
        for i in range {
            let Some(value) = values.get(i).copied() else { break };
            self.looked += 1;
            if self.looked > self.most {
                return;
            }
            self.set(axis, figure, value);
            let row = row + i as u128 * left;
            if !self.known(axis + 1) {
                continue;
            }
            let mut open = open & untested;
            if left >= WORTH {
                match self.boxed.doubted(open, moved, &self.ranges) {
                    None => continue,
                    Some(doubted) => open = doubted,
                }
            }
            if open == 0 {
                take.all(row, left);
                continue;
            }
            if axis + 1 == self.outer {
                self.block(row, take);
            } else {
                let next = study.axes().get(axis + 1).map_or(0, |(_, a)| a.len());
                self.descend(axis + 1, 0..next, (row, open), take);
            }
        }
        if let (Some(slot), Some(whole)) = (self.ranges.get_mut(figure.index()), whole) {
            *slot = whole;
        }
    }

    fn set(&mut self, axis: usize, figure: Figure, value: f64) {
        if let Some(range) = self.ranges.get_mut(figure.index()) {
            *range = (value, value);
        }
        let slot = self.axis_slots.get(axis).copied().flatten();
        if let Some(slot) = slot.and_then(|s| self.slots.get_mut(s)) {
            slot.buffer.fill(value);
        }
    }

    /// Does the steps of a depth above the block; whether the limits there hold.
    fn known(&mut self, depth: usize) -> bool {
        for i in 0..self.steps.get(depth).map_or(0, Vec::len) {
            let Some(slot) = self.steps.get(depth).and_then(|s| s.get(i)).copied() else { break };
            let value = self.slots.get(slot).map_or(f64::NAN, |s| {
                let mut inputs = [f64::NAN; MOST_INPUTS];
                for (input, from) in inputs.iter_mut().zip(&s.inputs) {
                    *input =
                        self.slots.get(*from).and_then(|f| f.buffer.first()).copied().unwrap_or(f64::NAN);
                }
                s.value.one(self.shape, &inputs)
            });
            if let Some(s) = self.slots.get_mut(slot) {
                s.buffer.fill(value);
            }
        }
        let holds = |(slot, limit): &(usize, StudyLimit)| {
            self.slots.get(*slot).and_then(|s| s.buffer.first()).is_some_and(|v| limit.holds(*v))
        };
        self.tests.get(depth).is_none_or(|all| all.iter().all(holds))
    }

    /// Evaluates a block and hands on its feasible rows.
    fn block(&mut self, row: u128, take: &mut impl Take) {
        let depth = self.outer + 1;
        // A block of a single axis may be long.
        self.looked += 1 + (self.marks.len() / BLOCK) as u64;
        for i in 0..self.steps.get(depth).map_or(0, Vec::len) {
            let Some(place) = self.steps.get(depth).and_then(|s| s.get(i)).copied() else { break };
            let Some(slot) = self.slots.get_mut(place) else { break };
            let mut out = core::mem::take(&mut slot.buffer);
            if let Some(slot) = self.slots.get(place) {
                let mut inputs: [&[f64]; MOST_INPUTS] = [&[]; MOST_INPUTS];
                for (input, from) in inputs.iter_mut().zip(&slot.inputs) {
                    *input = self.slots.get(*from).map(|s| s.buffer.as_slice()).unwrap_or_default();
                }
                slot.value.block(self.shape, &inputs, &mut out);
            }
            if let Some(slot) = self.slots.get_mut(place) {
                slot.buffer = out;
            }
        }
        self.marks.fill(true);
        for (slot, limit) in self.tests.get(depth).into_iter().flatten() {
            let values = self.slots.get(*slot).map(|s| s.buffer.as_slice()).unwrap_or_default();
            for (mark, value) in self.marks.iter_mut().zip(values) {
                *mark &= limit.holds(*value);
            }
        }
        take.some(row, &self.marks);
    }
}
