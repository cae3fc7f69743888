//! Stages: neighbouring axes whose designs are evaluated together, as lanes of a block.

use super::boxes::widened;
use super::definition::Study;
use super::figure::Figure;
use super::given::StudyLimit;
use super::plan::{MOST_INPUTS, Shape, Value};
use super::rows::{Marks, clip, count_of, marks_of};
use super::wide::{Work, wide};

pub(super) use super::wide::BLOCK;

/// Lanes are bounded where so many designs are left for each of them.
const WORTH: u128 = 16;

/// Buffers are as long as whole vectors.
const VECTOR: usize = 32;

/// A step of a stage, with the places of what it takes and gives.
#[derive(Debug, Clone)]
pub(super) struct Step {
    pub(super) value: Value,
    pub(super) inputs: [usize; MOST_INPUTS],
    pub(super) count: usize,
    pub(super) out: usize,
}

/// The places of the least and the greatest that a limited output comes to in all designs of a lane.
#[derive(Debug, Clone)]
pub(super) struct Bound {
    pub(super) least: usize,
    pub(super) greatest: usize,
    pub(super) limit: StudyLimit,
    /// Whether rounding never turns it.
    pub(super) to_the_bit: bool,
    /// The limit among all.
    pub(super) bit: u64,
}

/// Neighbouring axes with the steps and tests that are known there.
#[derive(Debug, Clone)]
pub(super) struct Stage {
    /// Its axes, by place.
    pub(super) axes: core::ops::Range<usize>,
    /// Its lanes: the designs of its axes.
    pub(super) lanes: usize,
    /// Rows from one lane to the next.
    pub(super) stride: u128,
    /// Limits whose outputs depend on its axes, and those that are tested after it.
    pub(super) moved: u64,
    pub(super) open: u64,
    /// By place: what is known, lane by lane.
    buffers: Vec<Vec<f64>>,
    /// Of what stages before give: its number among all values, and its place.
    pub(super) imports: Vec<(usize, usize)>,
    /// Of what stages after take: its place, and its number.
    pub(super) exports: Vec<(usize, usize)>,
    /// What the tests here take, what only stages after take, and what bounds take.
    pub(super) steps: [Vec<Step>; 3],
    pub(super) tests: Vec<(usize, StudyLimit)>,
    pub(super) bounds: Vec<Bound>,
    /// The place of a single axis that has more lanes than a block, to be loaded part by part.
    long: Option<usize>,
    /// By lane: whether a design of it may be feasible, and the limits that all its designs hold.
    flags: Vec<bool>,
    settled: Vec<u64>,
    /// Whether it was bounded this time.
    bounded: bool,
}

impl Stage {
    pub(super) fn new(axes: core::ops::Range<usize>, lanes: usize, stride: u128) -> Self {
        Self {
            axes,
            lanes,
            stride,
            moved: 0,
            open: 0,
            buffers: Vec::new(),
            imports: Vec::new(),
            exports: Vec::new(),
            steps: Default::default(),
            tests: Vec::new(),
            bounds: Vec::new(),
            long: None,
            flags: vec![true; lanes.min(BLOCK)],
            settled: vec![0; lanes.min(BLOCK)],
            bounded: false,
        }
    }

    /// The place of a new buffer.
    pub(super) fn add_buffer(&mut self) -> usize {
        let size = self.lanes.min(BLOCK).next_multiple_of(VECTOR);
        self.buffers.push(vec![f64::NAN; size]);
        self.buffers.len() - 1
    }

    /// Writes one value to all lanes.
    pub(super) fn fill(&mut self, place: usize, value: f64) {
        if let Some(buffer) = self.buffers.get_mut(place) {
            buffer.fill(value);
        }
    }

    /// Writes a fixed figure, or the values of an axis of the stage lane by lane.
    pub(super) fn write(&mut self, study: &Study, figure: Figure, place: usize) {
        let Some(buffer) = self.buffers.get_mut(place) else { return };
        if let Some(fixed) = study.fixed(figure) {
            buffer.fill(fixed);
            return;
        }
        let Some(axis) = study.axis_of(figure).filter(|a| self.axes.contains(a)) else { return };
        if self.lanes > BLOCK {
            self.long = Some(place);
            return;
        }
        for (lane, entry) in buffer.iter_mut().enumerate() {
            *entry = at_lane(study, &self.axes, axis, lane % self.lanes);
        }
    }

    /// Loads values of a long axis; the last one again behind the end.
    pub(super) fn load(&mut self, values: &[f64]) {
        if let Some(buffer) = self.long.and_then(|place| self.buffers.get_mut(place)) {
            let last = values.last().copied().unwrap_or(f64::NAN);
            buffer.fill(last);
            for (entry, value) in buffer.iter_mut().zip(values) {
                *entry = *value;
            }
        }
    }

    /// Takes what stages before handed on.
    pub(super) fn take(&mut self, handed: &[f64]) {
        for (value, place) in &self.imports {
            if let (Some(buffer), Some(value)) = (self.buffers.get_mut(*place), handed.get(*value)) {
                buffer.fill(*value);
            }
        }
    }

    /// Does the steps, and the lanes among some that hold every limit tested here and of which a design may hold those still open.
    pub(super) fn run(&mut self, shape: Shape, lanes: &core::ops::Range<usize>) -> Marks {
        let [tested, handed, bounding] = [0, 1, 2];
        self.step(shape, tested);
        self.flags.fill(true);
        for (place, limit) in &self.tests {
            let values = self.buffers.get(*place).map(Vec::as_slice).unwrap_or_default();
            wide(Marked { values, limit, marks: &mut self.flags });
        }
        let mut marks = marks_of(&self.flags);
        clip(&mut marks, lanes);
        let left = count_of(&marks) as u128;
        self.bounded = false;
        if left == 0 {
            return marks;
        }
        self.step(shape, handed);
        if self.bounds.is_empty() || left * self.stride < WORTH * self.flags.len() as u128 {
            return marks;
        }
        self.bounded = true;
        self.step(shape, bounding);
        self.settled.fill(0);
        for bound in &self.bounds {
            let place = |place: usize| self.buffers.get(place).map(Vec::as_slice).unwrap_or_default();
            let (least, greatest) = (place(bound.least), place(bound.greatest));
            wide(Settled { least, greatest, bound, marks: &mut self.flags, settled: &mut self.settled });
        }
        let mut marks = marks_of(&self.flags);
        clip(&mut marks, lanes);
        marks
    }

    fn step(&mut self, shape: Shape, phase: usize) {
        for step in self.steps.get(phase).into_iter().flatten() {
            let mut out = self.buffers.get_mut(step.out).map(core::mem::take).unwrap_or_default();
            let mut inputs: [&[f64]; MOST_INPUTS] = [&[]; MOST_INPUTS];
            for (input, place) in inputs.iter_mut().zip(&step.inputs).take(step.count) {
                *input = self.buffers.get(*place).map(Vec::as_slice).unwrap_or_default();
            }
            step.value.block(shape, &inputs, &mut out);
            if let Some(buffer) = self.buffers.get_mut(step.out) {
                *buffer = out;
            }
        }
    }

    /// The limits that all designs of a lane are known to hold.
    pub(super) fn settled(&self, lane: usize) -> u64 {
        if self.bounded { self.settled.get(lane).copied().unwrap_or_default() } else { 0 }
    }

    /// Hands on what a lane knows.
    pub(super) fn give(&self, lane: usize, handed: &mut [f64]) {
        for (place, value) in &self.exports {
            let known = self.buffers.get(*place).and_then(|b| b.get(lane));
            if let (Some(slot), Some(known)) = (handed.get_mut(*value), known) {
                *slot = *known;
            }
        }
    }
}

/// The value of an axis of a stage at a lane.
pub(super) fn at_lane(study: &Study, axes: &core::ops::Range<usize>, axis: usize, lane: usize) -> f64 {
    let inner = study.axes().get(axis + 1..axes.end).unwrap_or_default();
    let after: usize = inner.iter().map(|(_, a)| a.len()).product();
    let values = study.axes().get(axis).map(|(_, a)| a.values()).unwrap_or_default();
    values.get((lane / after) % values.len().max(1)).copied().unwrap_or(f64::NAN)
}

/// Unmarks the lanes that do not hold a limit.
struct Marked<'m> {
    values: &'m [f64],
    limit: &'m StudyLimit,
    marks: &'m mut [bool],
}

impl Work for Marked<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        let (lower, upper) = self.limit.ends();
        for (mark, value) in self.marks.iter_mut().zip(self.values) {
            *mark &= *value >= lower && *value <= upper;
        }
    }
}

/// Unmarks the lanes of which no design holds a limit, and settles it where all do.
struct Settled<'m> {
    least: &'m [f64],
    greatest: &'m [f64],
    bound: &'m Bound,
    marks: &'m mut [bool],
    settled: &'m mut [u64],
}

impl Work for Settled<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        let (lower, upper) = self.bound.limit.ends();
        let ends = self.least.iter().zip(self.greatest);
        for (((least, greatest), mark), settled) in ends.zip(self.marks).zip(self.settled) {
            let (least, greatest) = match self.bound.to_the_bit {
                true => (*least, *greatest),
                false => widened(*least, *greatest),
            };
            // Where an end is no number, nothing is said.
            let outside = (greatest < lower) | (least > upper);
            let inside = (least >= lower) & (greatest <= upper) & least.is_finite() & greatest.is_finite();
            *mark &= !outside;
            *settled |= if inside { self.bound.bit } else { 0 };
        }
    }
}
