//! The walk over the grid, axis by axis, that finds all feasible designs in their order.

use super::boxes::{Ranges, Test, Verdict};
use super::definition::{Study, StudyLimit, visit};
use super::figure::Figure;
use super::output::Output;
use super::plan::{MOST_INPUTS, Shape, Value};
use crate::error::{Error, Result};

/// Designs of the innermost axes that are evaluated together, at most; a single axis may have more.
const BLOCK: usize = 256;

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
    boxed: Vec<Test>,
    /// By depth: the limits that are not tested yet, by place.
    open: Vec<u64>,
    /// By axis: the limits whose outputs depend on it, by place.
    moved: Vec<u64>,
    /// By outer axis: the slot of its figure, if any step takes it.
    axis_slots: Vec<Option<usize>>,
    /// How many axes are walked; the others are the block.
    outer: usize,
    /// By depth: designs that are left.
    left: Vec<u128>,
    ranges: Ranges,
    marks: Vec<bool>,
}

/// Refuses more limits than a set of places holds.
pub(super) fn check_limits(count: usize) -> Result<()> {
    if count <= 64 {
        return Ok(());
    }
    let (field, value) = ("limits".into(), count.to_string());
    Err(Error::OutOfRange { field, value, allowed: "at most 64".into() })
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
            boxed: Vec::new(),
            open: vec![0; outer + 2],
            moved: vec![0; outer],
            axis_slots: vec![None; outer],
            outer,
            left: Vec::new(),
            ranges: study.ranges(),
            marks: vec![true; block],
        };
        for depth in 0..=outer {
            walk.left.push(lens.iter().skip(depth).map(|l| *l as u128).product());
        }
        let mut depths = Vec::new();
        check_limits(study.limits().len())?;
        for (place, limit) in study.limits().iter().enumerate() {
            visit(Value::Output(limit.output), shape, &mut |value| walk.add(value, &mut depths));
            let slot = walk.slots.iter().position(|s| s.value == Value::Output(limit.output));
            let depth = slot.and_then(|s| depths.get(s).copied()).unwrap_or_default();
            if let (Some(slot), Some(there)) = (slot, walk.tests.get_mut(depth)) {
                there.push((slot, *limit));
            }
            walk.open.iter_mut().take(depth).for_each(|open| *open |= 1 << place);
            let test = Test::new(*limit, shape);
            for (moved, (figure, _)) in walk.moved.iter_mut().zip(study.axes()) {
                *moved |= u64::from(test.bounded.depends_on(*figure)) << place;
            }
            walk.boxed.push(test);
        }
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
        let Some(open) = self.doubted(all, all) else { return };
        if self.outer == 0 {
            return self.block(0, take);
        }
        if open == 0 {
            let each = self.left.get(1).copied().unwrap_or(1);
            return take.all(from as u128 * each, (to - from) as u128 * each);
        }
        self.descend(0, from..to, (0, open), take);
    }

    /// Of the open limits those that the designs left do not all hold, asking only those that may have changed; none where one of them is held by no design.
    fn doubted(&self, open: u64, asked: u64) -> Option<u64> {
        let mut left = open;
        for (place, test) in self.boxed.iter().enumerate() {
            if open & asked & (1 << place) == 0 {
                continue;
            }
            match test.verdict(&self.ranges) {
                Verdict::None => return None,
                Verdict::All => left &= !(1 << place),
                Verdict::Some => {}
            }
        }
        Some(left)
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
            self.set(axis, figure, value);
            let row = row + i as u128 * left;
            if !self.known(axis + 1) {
                continue;
            }
            let mut open = open & untested;
            if left >= WORTH {
                match self.doubted(open, moved) {
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

/// How many designs there are, and how many are feasible.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Count {
    /// All designs of the grid.
    pub designs: u128,
    /// Those that hold every limit.
    pub feasible: u128,
}

/// What one limit excludes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Excluded {
    /// The limit.
    pub limit: StudyLimit,
    /// Designs that do not hold it, whatever the others say.
    pub designs: u128,
}

impl Take for u128 {
    fn all(&mut self, _: u128, count: u128) {
        *self += count;
    }

    fn some(&mut self, _: u128, marks: &[bool]) {
        *self += marks.iter().map(|m| u128::from(*m)).sum::<u128>();
    }
}

/// Feasible rows, as ranges from a first to before a last.
#[derive(Debug, Default)]
struct Rows(Vec<(u128, u128)>);

impl Rows {
    fn push(&mut self, first: u128, end: u128) {
        match self.0.last_mut() {
            Some((_, last)) if *last == first => *last = end,
            _ => self.0.push((first, end)),
        }
    }
}

impl Take for Rows {
    fn all(&mut self, first: u128, count: u128) {
        self.push(first, first + count);
    }

    fn some(&mut self, first: u128, marks: &[bool]) {
        for (i, _) in marks.iter().enumerate().filter(|(_, m)| **m) {
            self.push(first + i as u128, first + i as u128 + 1);
        }
    }
}

impl Study {
    /// The walk in as many parts as there are values of the first axis, done by threads; the parts in their order.
    fn walked<T: Take + Default + Send>(&self, threads: usize) -> Result<Vec<T>> {
        use core::sync::atomic::{AtomicUsize, Ordering};
        let walk = Walk::new(self)?;
        let first = if walk.outer == 0 { 1 } else { self.axes().first().map_or(1, |(_, a)| a.len()) };
        let next = AtomicUsize::new(0);
        let work = || {
            let (mut walk, mut done) = (walk.clone(), Vec::new());
            loop {
                let part = next.fetch_add(1, Ordering::Relaxed);
                if part >= first {
                    return done;
                }
                let mut take = T::default();
                walk.run(part, part + 1, &mut take);
                done.push((part, take));
            }
        };
        let mut all: Vec<(usize, T)> = if threads <= 1 || first == 1 {
            work()
        } else {
            std::thread::scope(|scope| {
                let running: Vec<_> = (0..threads.min(first)).map(|_| scope.spawn(work)).collect();
                running.into_iter().flat_map(|r| r.join().unwrap_or_default()).collect()
            })
        };
        all.sort_by_key(|(part, _)| *part);
        Ok(all.into_iter().map(|(_, take)| take).collect())
    }

    /// How many designs are feasible: exact.
    ///
    /// # Errors
    /// As [`Study::designs`].
    pub fn count(&self, threads: usize) -> Result<Count> {
        let feasible = self.walked::<u128>(threads)?.into_iter().sum();
        Ok(Count { designs: self.designs()?, feasible })
    }

    /// The feasible designs as ranges of rows, each from its first to before its end, rising.
    ///
    /// # Errors
    /// As [`Study::designs`].
    pub fn feasible(&self, threads: usize) -> Result<Vec<(u128, u128)>> {
        let mut joined = Rows::default();
        for part in self.walked::<Rows>(threads)? {
            part.0.into_iter().for_each(|(first, end)| joined.push(first, end));
        }
        Ok(joined.0)
    }

    /// What each limit alone excludes.
    ///
    /// # Errors
    /// As [`Study::designs`].
    pub fn excluded(&self, threads: usize) -> Result<Vec<Excluded>> {
        let one = |limit: &StudyLimit| {
            let count = self.with_limits(vec![*limit]).count(threads)?;
            Ok(Excluded { limit: *limit, designs: count.designs - count.feasible })
        };
        self.limits().iter().map(one).collect()
    }

    /// The value of an output of each row, by evaluating it.
    ///
    /// # Errors
    /// As [`Study::output_of`].
    pub fn outputs_of(&self, rows: &[u128], output: Output) -> Result<Vec<f64>> {
        rows.iter().map(|row| self.output_of(*row, output)).collect()
    }
}
