//! The steps to one output, for one design at a time or a block of them.

use super::figure::Figure;
use super::output::Output;
use super::plan::{MOST_INPUTS, Shape, Value};

/// The steps to one output, each after what it takes; for one design at a time.
#[derive(Debug, Clone)]
pub(super) struct Program {
    shape: Shape,
    /// Each step with the places of what it takes: a figure's, or that of a step before, counted after the figures.
    steps: Vec<(Value, [usize; MOST_INPUTS], usize)>,
}

/// Room for the figures and the steps of any program.
const PLACES: usize = Figure::ALL.len() + 16;

impl Program {
    pub(super) fn of(output: Output, shape: Shape) -> Self {
        let mut program = Self { shape, steps: Vec::new() };
        program.add(Value::Output(output));
        program
    }

    fn add(&mut self, value: Value) -> usize {
        if let Value::Figure(figure) = value {
            return figure.index();
        }
        if let Some(known) = self.steps.iter().position(|(v, _, _)| *v == value) {
            return Figure::ALL.len() + known;
        }
        let inputs = value.inputs(self.shape);
        let mut places = [0; MOST_INPUTS];
        for (place, input) in places.iter_mut().zip(&inputs) {
            *place = self.add(*input);
        }
        self.steps.push((value, places, inputs.len()));
        Figure::ALL.len() + self.steps.len() - 1
    }

    /// The figures that any step takes.
    pub(super) fn figures(&self) -> impl Iterator<Item = Figure> {
        let takes = |figure: &Figure| {
            let taken = |(_, places, count): &(Value, [usize; MOST_INPUTS], usize)| {
                places.iter().take(*count).any(|place| *place == figure.index())
            };
            self.steps.iter().any(taken)
        };
        Figure::ALL.into_iter().filter(takes)
    }

    /// Room for blocks of so many designs: a column for each place, empty where nothing is put.
    pub(super) fn room(&self, length: usize) -> Vec<Vec<f64>> {
        let mut room = vec![Vec::new(); PLACES];
        let steps = (0..self.steps.len()).map(|i| Figure::ALL.len() + i);
        for place in self.figures().map(Figure::index).chain(steps) {
            if let Some(column) = room.get_mut(place) {
                *column = vec![f64::NAN; length];
            }
        }
        room
    }

    /// The values of a block of designs from the columns of their figures; each column and the output are of one length. The room is that of [`Program::room`].
    pub(super) fn run_block(&self, room: &mut [Vec<f64>], out: &mut [f64]) {
        let last = self.steps.len().saturating_sub(1);
        for (i, (value, places, count)) in self.steps.iter().enumerate() {
            let Some((before, after)) = room.split_at_mut_checked(Figure::ALL.len() + i) else { return };
            let mut inputs: [&[f64]; MOST_INPUTS] = [&[]; MOST_INPUTS];
            for (input, place) in inputs.iter_mut().zip(places).take(*count) {
                *input = before.get(*place).and_then(|column| column.get(..out.len())).unwrap_or_default();
            }
            match after.first_mut().and_then(|column| column.get_mut(..out.len())) {
                Some(column) if i < last => value.block(self.shape, &inputs, column),
                _ => value.block(self.shape, &inputs, out),
            }
        }
    }

    /// The value of a design.
    pub(super) fn run(&self, figures: &[f64; Figure::ALL.len()]) -> f64 {
        let mut values = [f64::NAN; PLACES];
        for (to, from) in values.iter_mut().zip(figures) {
            *to = *from;
        }
        let mut last = f64::NAN;
        for (i, (value, places, count)) in self.steps.iter().enumerate() {
            let mut inputs = [f64::NAN; MOST_INPUTS];
            for (input, place) in inputs.iter_mut().zip(places).take(*count) {
                *input = values.get(*place).copied().unwrap_or(f64::NAN);
            }
            last = value.one(self.shape, &inputs);
            if let Some(slot) = values.get_mut(Figure::ALL.len() + i) {
                *slot = last;
            }
        }
        last
    }
}
