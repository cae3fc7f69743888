//! The steps from the readings of a block of samples to the outputs.

use super::draw::BLOCK;
use crate::study::definition::Study;
use crate::study::output::Output;
use crate::study::plan::{MOST_INPUTS, Shape, Value, visit};

/// Where a value is found.
#[derive(Debug, Clone, Copy)]
enum Source {
    /// A column of readings.
    Reading(usize),
    /// A column of its own: fixed, or made by a step.
    Own(usize),
}

/// Evaluates blocks of samples.
#[derive(Debug, Clone)]
pub(super) struct Chain {
    shape: Shape,
    /// The steps that depend on a reading: what, from where, and to which column.
    steps: Vec<(Value, Vec<Source>, usize)>,
    columns: Vec<Vec<f64>>,
    /// By output: where it is.
    outputs: Vec<Source>,
    /// By output: the readings that it depends on, by place.
    readings: Vec<Vec<usize>>,
}

impl Chain {
    pub(super) fn new(study: &Study, outputs: &[Output]) -> Self {
        let shape = study.shape();
        let mut chain = Self { shape, steps: vec![], columns: vec![], outputs: vec![], readings: vec![] };
        let mut known: Vec<(Value, Source, bool)> = Vec::new();
        for output in outputs {
            let mut readings = Vec::new();
            visit(Value::Output(*output), shape, &mut |value| {
                if let Value::Figure(figure) = value
                    && let Some(place) = study.axis_of(figure)
                    && !readings.contains(&place)
                {
                    readings.push(place);
                }
                if !known.iter().any(|(v, _, _)| *v == value) {
                    let (source, varies) = chain.add(study, value, &known);
                    known.push((value, source, varies));
                }
            });
            let at = known.iter().find(|(v, _, _)| *v == Value::Output(*output));
            chain.outputs.extend(at.map(|(_, source, _)| *source));
            chain.readings.push(readings);
        }
        chain
    }

    /// Adds a value whose inputs are known; what depends on no reading is done here, once.
    fn add(&mut self, study: &Study, value: Value, known: &[(Value, Source, bool)]) -> (Source, bool) {
        let own = self.columns.len();
        let mut column = vec![f64::NAN; BLOCK];
        let mut varies = false;
        if let Value::Figure(figure) = value {
            if let Some(place) = study.axis_of(figure) {
                return (Source::Reading(place), true);
            }
            column.fill(study.fixed(figure).unwrap_or(f64::NAN));
        } else {
            let inputs = value.inputs(self.shape);
            let found = inputs.iter().filter_map(|i| known.iter().find(|(v, _, _)| v == i));
            let mut sources = Vec::new();
            for (_, source, moves) in found {
                varies |= moves;
                sources.push(*source);
            }
            if varies {
                self.steps.push((value, sources, own));
            } else {
                self.block(value, &sources, &[], &mut column);
            }
        }
        self.columns.push(column);
        (Source::Own(own), varies)
    }

    fn column<'c>(&'c self, source: Source, readings: &[&'c [f64]]) -> &'c [f64] {
        match source {
            Source::Reading(place) => readings.get(place).copied().unwrap_or_default(),
            Source::Own(place) => self.columns.get(place).map(Vec::as_slice).unwrap_or_default(),
        }
    }

    fn block(&self, value: Value, sources: &[Source], readings: &[&[f64]], out: &mut [f64]) {
        let mut inputs: [&[f64]; MOST_INPUTS] = [&[]; MOST_INPUTS];
        for (input, source) in inputs.iter_mut().zip(sources) {
            *input = self.column(*source, readings);
        }
        value.block(self.shape, &inputs, out);
    }

    /// Does all steps with columns of readings.
    pub(super) fn run(&mut self, readings: &[&[f64]]) {
        let steps = core::mem::take(&mut self.steps);
        for (value, sources, own) in &steps {
            let mut out = super::draw::take(&mut self.columns, *own);
            self.block(*value, sources, readings, &mut out);
            super::draw::put(&mut self.columns, *own, out);
        }
        self.steps = steps;
    }

    /// An output by its place, after the steps.
    pub(super) fn output<'c>(&'c self, place: usize, readings: &[&'c [f64]]) -> &'c [f64] {
        self.outputs.get(place).map(|source| self.column(*source, readings)).unwrap_or_default()
    }

    /// Whether an output depends on a reading, both by place.
    pub(super) fn depends(&self, output: usize, reading: usize) -> bool {
        self.readings.get(output).is_some_and(|all| all.contains(&reading))
    }
}
