//! Outputs and limits of many designs at once: blocks of rows, step by step through buffers that stay in the nearest cache.

use super::figure::Figure;
use super::given::{Given, StudyLimit};
use super::output::Output;
use super::plan::{MOST_INPUTS, Shape, Value};
use super::wide::{Arch, Lanes, Work, wide_on};

pub(super) use super::wide::BLOCK;

/// One value of each row.
pub(super) type Block = [f64; BLOCK];

/// 1 for a row that is still in, 0 for one that is not.
pub(super) type Marks = [u64; BLOCK];

/// Rows are worked on in whole groups, so that no loop has a remainder.
pub(super) const GROUP: usize = 32;

/// For a varied figure that is not taken.
pub(super) static NOTHING: Block = [f64::NAN; BLOCK];

/// The varied figures of a block, each in its place.
pub(super) type Views<'v> = [&'v Block; Figure::ALL.len()];

/// Where a value is found.
#[derive(Debug, Clone, Copy)]
enum From {
    Varied(usize),
    Buffer(usize),
}

#[derive(Debug, Clone)]
struct Step {
    value: Value,
    inputs: Vec<From>,
    buffer: usize,
}

/// From the least to the greatest that is allowed.
pub(super) type Ends = (f64, f64);

/// The steps to some outputs, with the limits to be tested.
#[derive(Debug, Clone)]
pub(super) struct Batch {
    shape: Shape,
    steps: Vec<Step>,
    /// Fixed figures, written once, and the steps, each after what it takes.
    buffers: Vec<Lanes>,
    known: Vec<(Value, From)>,
    /// The varied figures that are taken, by place.
    taken: Vec<usize>,
    /// Limits on varied figures, and on outputs.
    tests: Vec<(From, Ends)>,
}

impl Batch {
    pub(super) fn new(shape: Shape) -> Self {
        Self {
            shape,
            steps: Vec::new(),
            buffers: Vec::new(),
            known: Vec::new(),
            taken: Vec::new(),
            tests: Vec::new(),
        }
    }

    /// Adds the steps to an output; the buffer where it is found.
    pub(super) fn output(&mut self, given: &Given, output: Output) -> usize {
        match self.add(given, Value::Output(output)) {
            From::Buffer(buffer) => buffer,
            From::Varied(_) => usize::MAX,
        }
    }

    /// Adds a limit on an output.
    pub(super) fn limit(&mut self, given: &Given, limit: &StudyLimit) {
        let from = self.add(given, Value::Output(limit.output));
        self.tests.push((from, limit.ends()));
    }

    /// Adds a limit on a varied figure itself, tested before all steps.
    pub(super) fn figure(&mut self, place: usize, ends: Ends) {
        self.take(place);
        self.tests.insert(0, (From::Varied(place), ends));
    }

    fn take(&mut self, place: usize) -> From {
        if !self.taken.contains(&place) {
            self.taken.push(place);
        }
        From::Varied(place)
    }

    fn add(&mut self, given: &Given, value: Value) -> From {
        if let Some((_, from)) = self.known.iter().find(|(v, _)| *v == value) {
            return *from;
        }
        let from = match value {
            Value::Figure(figure) => match given.place_of(figure) {
                Some(place) => self.take(place),
                None => self.buffer(given.fixed(figure).unwrap_or(f64::NAN)),
            },
            _ => {
                let inputs =
                    value.inputs(self.shape).into_iter().map(|input| self.add(given, input)).collect();
                let from = self.buffer(f64::NAN);
                self.steps.push(Step { value, inputs, buffer: self.buffers.len() - 1 });
                from
            }
        };
        self.known.push((value, from));
        from
    }

    fn buffer(&mut self, value: f64) -> From {
        self.buffers.push(Lanes::of(value));
        From::Buffer(self.buffers.len() - 1)
    }

    /// The varied figures that are taken, by place.
    pub(super) fn taken(&self) -> &[usize] {
        &self.taken
    }

    /// Whether there is nothing to do.
    pub(super) fn is_empty(&self) -> bool {
        self.tests.is_empty() && self.steps.is_empty()
    }

    /// The values of an output, as [`Batch::output`] told where.
    pub(super) fn values(&self, buffer: usize) -> &Block {
        self.buffers.get(buffer).map_or(&NOTHING, |lanes| lanes)
    }

    pub(super) fn values_mut(&mut self, buffer: usize) -> Option<&mut Block> {
        self.buffers.get_mut(buffer).map(|lanes| &mut **lanes)
    }

    /// Does the steps and takes the marks of rows that do not hold the limits; fresh marks are written first. So many rows are worked on, in whole groups.
    pub(super) fn run(&mut self, arch: Arch, views: &Views, rows: usize, (marks, fresh): (&mut Marks, bool)) {
        let rows = rows.next_multiple_of(GROUP).min(BLOCK);
        wide_on(arch, Run { batch: self, views, rows, marks, fresh });
    }
}

struct Run<'r> {
    batch: &'r mut Batch,
    views: &'r Views<'r>,
    rows: usize,
    marks: &'r mut Marks,
    fresh: bool,
}

impl Work for Run<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        let Batch { shape, steps, buffers, tests, .. } = self.batch;
        let marks = self.marks.get_mut(..self.rows).unwrap_or_default();
        let view =
            |place: &usize| self.views.get(*place).and_then(|v| v.get(..self.rows)).unwrap_or_default();
        for step in steps.iter() {
            let Some((before, [out, ..])) = buffers.split_at_mut_checked(step.buffer) else { continue };
            let mut inputs: [&[f64]; MOST_INPUTS] = [&[]; MOST_INPUTS];
            for (input, from) in inputs.iter_mut().zip(&step.inputs) {
                *input = match from {
                    From::Varied(place) => view(place),
                    From::Buffer(place) => {
                        before.get(*place).and_then(|b| b.get(..self.rows)).unwrap_or_default()
                    }
                };
            }
            step.value.fill(*shape, &inputs, out.get_mut(..self.rows).unwrap_or_default());
        }
        if self.fresh && tests.is_empty() {
            marks.fill(1);
        }
        for (i, (from, ends)) in tests.iter().enumerate() {
            let values = match from {
                From::Varied(place) => view(place),
                From::Buffer(place) => {
                    buffers.get(*place).and_then(|b| b.get(..self.rows)).unwrap_or_default()
                }
            };
            if self.fresh && i == 0 {
                for (mark, value) in marks.iter_mut().zip(values) {
                    *mark = inside(*value, *ends);
                }
            } else {
                mark_inside(values, *ends, marks);
            }
        }
    }
}

/// 1 for a value inside; no number is inside.
#[inline(always)]
pub(super) fn inside(value: f64, (least, most): Ends) -> u64 {
    u64::from((value >= least) & (value <= most))
}

/// Takes the marks of values outside; no number is outside.
#[inline(always)]
pub(super) fn mark_inside(values: &[f64], ends: Ends, marks: &mut [u64]) {
    for (mark, value) in marks.iter_mut().zip(values) {
        *mark &= inside(*value, ends);
    }
}

/// Whether a marked value is inside.
#[inline(always)]
pub(super) fn any_inside(marks: &[u64], values: &[f64], ends: Ends) -> bool {
    marks.iter().zip(values).fold(0, |any, (mark, value)| any | (mark & inside(*value, ends))) != 0
}

/// How many rows are marked.
#[inline(always)]
pub(super) fn marked(marks: &[u64]) -> u64 {
    marks.iter().sum()
}
