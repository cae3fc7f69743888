//! Stages: neighbouring axes whose designs are evaluated together, as lanes of a block.

use super::boxes::widened;
use super::definition::Study;
use super::figure::Figure;
use super::given::StudyLimit;
use super::plan::{MOST_INPUTS, Shape, Value};
use super::rows::{ALL, Marks, clip, count_of, keep};
use super::wide::{Lanes, Work, wide};

pub(super) use super::wide::BLOCK;

/// Lanes are bounded where so many designs are left for each of them.
const WORTH: u128 = 16;

/// Places for the buffers of most stages, which are not moved for more.
const ENOUGH: usize = 48;

/// As many values as the widest vectors of a loop that does four at once.
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
    buffers: Vec<Lanes>,
    /// So many of a buffer are worked on, in whole vectors.
    length: usize,
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
    /// By lane: the limits that all its designs hold.
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
            buffers: Vec::with_capacity(ENOUGH),
            length: lanes.min(BLOCK).next_multiple_of(VECTOR),
            imports: Vec::new(),
            exports: Vec::new(),
            steps: Default::default(),
            tests: Vec::new(),
            bounds: Vec::new(),
            long: None,
            settled: vec![0; BLOCK],
            bounded: false,
        }
    }

    /// The place of a new buffer.
    pub(super) fn add_buffer(&mut self) -> usize {
        self.buffers.push(Lanes::of(f64::NAN));
        self.buffers.len() - 1
    }

    /// Writes one value to all lanes.
    pub(super) fn fill(&mut self, place: usize, value: f64) {
        if let Some(buffer) = self.buffers.get_mut(place) {
            buffer.iter_mut().take(self.length).for_each(|lane| *lane = value);
        }
    }

    /// Writes a fixed figure, or the values of an axis of the stage lane by lane.
    pub(super) fn write(&mut self, study: &Study, figure: Figure, place: usize) {
        let Some(buffer) = self.buffers.get_mut(place) else { return };
        if let Some(fixed) = study.fixed(figure) {
            return self.fill(place, fixed);
        }
        let Some(axis) = study.axis_of(figure).filter(|a| self.axes.contains(a)) else { return };
        if self.lanes > BLOCK {
            self.long = Some(place);
            return;
        }
        for (lane, entry) in buffer.iter_mut().take(self.length).enumerate() {
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

    /// Does once the steps that take only what the stage itself has.
    pub(super) fn prepare(&mut self, shape: Shape) {
        let mut own = vec![true; self.buffers.len()];
        let others = self.imports.iter().map(|(_, place)| *place);
        for place in others.chain(self.long).chain(self.steps.iter().flatten().map(|step| step.out)) {
            if let Some(own) = own.get_mut(place) {
                *own = false;
            }
        }
        let is_own = |own: &[bool], place: &usize| own.get(*place).copied().unwrap_or(false);
        let mut steps = Vec::new();
        for phase in &mut self.steps {
            for step in core::mem::take(phase) {
                if step.inputs.iter().take(step.count).all(|place| is_own(&own, place)) {
                    if let Some(own) = own.get_mut(step.out) {
                        *own = true;
                    }
                    steps.push(step);
                } else {
                    phase.push(step);
                }
            }
        }
        let (buffers, length) = (&mut self.buffers, self.length);
        wide(Evaluated { shape, buffers, length, imports: &[], handed: &[], steps: &steps });
    }

    /// Takes what stages before handed on and does the steps, and the lanes among some that hold every limit tested here and of which a design may hold those still
    /// open.
    pub(super) fn run(&mut self, shape: Shape, lanes: &core::ops::Range<usize>, handed: &[f64]) -> Marks {
        let Self { buffers, length, imports, steps: [tested, later, bounding], tests, .. } = self;
        let length = *length;
        let evaluated = Evaluated { shape, buffers, length, imports, handed, steps: tested };
        let mut marks = wide(Tested { evaluated, tests });
        clip(&mut marks, lanes);
        let left = count_of(&marks) as u128;
        self.bounded = false;
        if left == 0 {
            return marks;
        }
        let evaluate = |buffers: &mut [Lanes], steps: &[Step]| {
            wide(Evaluated { shape, buffers, length, imports: &[], handed: &[], steps });
        };
        evaluate(buffers, later);
        if self.bounds.is_empty() || left * self.stride < WORTH * length as u128 {
            return marks;
        }
        self.bounded = true;
        evaluate(buffers, bounding);
        self.settled.fill(0);
        for bound in &self.bounds {
            let (least, greatest) =
                (first(buffers, bound.least, length), first(buffers, bound.greatest, length));
            wide(Settled { least, greatest, bound, marks: &mut marks, settled: &mut self.settled });
        }
        marks
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

/// Steps over all lanes, after what stages before handed on.
struct Evaluated<'e> {
    shape: Shape,
    buffers: &'e mut [Lanes],
    /// So many of each.
    length: usize,
    imports: &'e [(usize, usize)],
    handed: &'e [f64],
    steps: &'e [Step],
}

impl Work for Evaluated<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        let Self { shape, buffers, length, imports, handed, steps } = self;
        for (value, place) in imports {
            if let (Some(buffer), Some(value)) = (buffers.get_mut(*place), handed.get(*value)) {
                // Most lanes of the stage before share what stages further out know.
                if buffer.first().is_none_or(|held| held.to_bits() != value.to_bits()) {
                    buffer.get_mut(..length).unwrap_or_default().fill(*value);
                }
            }
        }
        for step in steps {
            let Some((before, [out, ..])) = buffers.split_at_mut_checked(step.out) else { continue };
            let inputs = inputs(before, step, length);
            step.value.fill(shape, &inputs, out.get_mut(..length).unwrap_or_default());
        }
    }
}

/// What a step takes. Not inlined: with wide vectors the compiler would gather the slices themselves in vectors, which takes longer than what is done with them.
#[inline(never)]
fn inputs<'b>(buffers: &'b [Lanes], step: &Step, length: usize) -> [&'b [f64]; MOST_INPUTS] {
    let mut inputs: [&[f64]; MOST_INPUTS] = [&[]; MOST_INPUTS];
    for (input, place) in inputs.iter_mut().zip(&step.inputs).take(step.count) {
        *input = first(buffers, *place, length);
    }
    inputs
}

/// The first values of a buffer.
#[inline(always)]
fn first(buffers: &[Lanes], place: usize, length: usize) -> &[f64] {
    buffers.get(place).and_then(|lanes| lanes.get(..length)).unwrap_or_default()
}

/// Steps, and then which lanes hold every limit.
struct Tested<'t> {
    evaluated: Evaluated<'t>,
    tests: &'t [(usize, StudyLimit)],
}

impl Work for Tested<'_> {
    type Output = Marks;

    #[inline(always)]
    fn call(self) -> Marks {
        let Self { evaluated: Evaluated { shape, buffers, length, imports, handed, steps }, tests } = self;
        Evaluated { shape, buffers: &mut *buffers, length, imports, handed, steps }.call();
        let mut marks = ALL;
        for (place, limit) in tests {
            let (lower, upper) = limit.ends();
            let values = first(buffers, *place, length);
            keep(&mut marks, values, values, |value, _| (value >= lower) & (value <= upper));
        }
        marks
    }
}

/// Unmarks the lanes of which no design holds a limit, and settles it where all do.
struct Settled<'m> {
    least: &'m [f64],
    greatest: &'m [f64],
    bound: &'m Bound,
    marks: &'m mut Marks,
    settled: &'m mut [u64],
}

impl Work for Settled<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        let Self { least, greatest, bound, marks, settled } = self;
        let (lower, upper) = bound.limit.ends();
        let ends = |least: f64, greatest: f64| match bound.to_the_bit {
            true => (least, greatest),
            false => widened(least, greatest),
        };
        // Where an end is no number, nothing is said.
        keep(marks, least, greatest, |least, greatest| {
            let (least, greatest) = ends(least, greatest);
            !((greatest < lower) | (least > upper))
        });
        for ((settled, least), greatest) in settled.iter_mut().zip(least).zip(greatest) {
            let (least, greatest) = ends(*least, *greatest);
            let inside = (least >= lower) & (greatest <= upper) & least.is_finite() & greatest.is_finite();
            *settled |= if inside { bound.bit } else { 0 };
        }
    }
}
