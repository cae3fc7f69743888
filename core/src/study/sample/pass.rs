//! One pass over all samples: sums, counts, and the values that fall into brackets.

use super::bits::{self, names};
use super::definition::Sampling;
use super::draw::BLOCK;
use super::engine::{Engine, blocks};
use super::farm::Work;
use super::tally::{Add, Bracket, Catch, Caught, Moments, Tally};
use crate::study::output::Output;
use crate::study::wide::wide;
use core::sync::atomic::{AtomicU64, Ordering};
use serde::{Deserialize, Serialize};

/// What is asked of a pass.
#[derive(Debug, Serialize, Deserialize)]
pub(super) struct Passing {
    pub(super) samples: u64,
    /// Those asked for, then others that have limits.
    #[serde(with = "names")]
    pub(super) outputs: Vec<Output>,
    /// By output: what its values are less by when they are summed.
    #[serde(with = "bits")]
    pub(super) shifts: Vec<f64>,
    /// By output asked for.
    pub(super) brackets: Vec<Vec<Bracket>>,
    /// Values that are kept before no more are.
    pub(super) most: u64,
    /// So many are kept.
    #[serde(skip)]
    pub(super) kept: AtomicU64,
}

/// What one part, or all of them, come to.
#[derive(Debug, Serialize, Deserialize)]
pub(super) struct Pass {
    pub(super) impossible: u64,
    pub(super) feasible: u64,
    pub(super) moments: Vec<Moments>,
    /// By output and bracket.
    pub(super) caught: Vec<Vec<Caught>>,
}

/// What a thread keeps from block to block.
pub(super) struct State {
    engine: Engine,
    limits: Vec<(f64, f64)>,
    /// The outputs of a block that are told.
    values: Vec<Vec<f64>>,
    /// By row: whether all limits hold.
    holds: Vec<u64>,
    /// By row: whether a value is inside a bracket.
    inside: Vec<u8>,
}

impl Pass {
    pub(super) fn empty(outputs: usize, brackets: &[Vec<Bracket>]) -> Self {
        Self {
            impossible: 0,
            feasible: 0,
            moments: vec![Moments::default(); outputs],
            caught: brackets.iter().map(|of| vec![Caught::default(); of.len()]).collect(),
        }
    }

    /// What the next part came to.
    pub(super) fn append(&mut self, part: Self) {
        self.impossible += part.impossible;
        self.feasible += part.feasible;
        for (all, part) in self.moments.iter_mut().zip(part.moments) {
            all.append(part);
        }
        for (all, part) in self.caught.iter_mut().flatten().zip(part.caught.into_iter().flatten()) {
            all.append(part);
        }
    }

    /// Values that are kept.
    pub(super) fn kept(&self) -> u64 {
        self.caught.iter().flatten().map(|c| c.kept.len() as u64).sum()
    }

    /// Keeps no values.
    pub(super) fn forget(&mut self) {
        for caught in self.caught.iter_mut().flatten() {
            caught.full |= !caught.kept.is_empty();
            caught.kept = Vec::new();
        }
    }
}

impl Work for Passing {
    const NAME: &'static str = "pass";
    type State = State;
    type Part = Pass;

    fn samples(&self) -> u64 {
        self.samples
    }

    fn outputs(&self) -> &[Output] {
        &self.outputs
    }

    fn state(&self, sampling: &Sampling) -> State {
        let whole = (f64::NEG_INFINITY, f64::INFINITY);
        State {
            engine: Engine::new(sampling, &self.outputs),
            limits: self.outputs.iter().map(|output| sampling.limit_of(*output).unwrap_or(whole)).collect(),
            values: vec![vec![f64::NAN; BLOCK]; self.outputs.len()],
            holds: vec![0; BLOCK],
            inside: vec![0; BLOCK],
        }
    }

    fn part(&self, state: &mut State, part: u64) -> Pass {
        let mut pass = Pass::empty(self.outputs.len(), &self.brackets);
        let full = self.kept.load(Ordering::Relaxed) > self.most;
        pass.caught.iter_mut().flatten().for_each(|c| c.full = full);
        let mut tallies = vec![Tally::default(); self.outputs.len()];
        let State { engine, limits, values, holds, inside } = state;
        for (first, count) in blocks(part, self.samples) {
            engine.run(first, count);
            let outputs = limits.iter().zip(&self.shifts).zip(values.iter_mut()).zip(&mut tallies);
            for (place, (((limit, shift), values), tally)) in outputs.enumerate() {
                let (from, possible) = engine.output(place);
                if place == 0 {
                    holds.copy_from_slice(possible);
                }
                let (limit, shift) = (*limit, *shift);
                wide(Add { tally, from, possible, values, holds, limit, shift });
            }
            let possible: u64 = engine.output(0).1.iter().sum();
            pass.impossible += count as u64 - possible;
            pass.feasible += holds.iter().sum::<u64>();
            for ((values, brackets), caught) in values.iter().zip(&self.brackets).zip(&mut pass.caught) {
                if !brackets.is_empty() {
                    Catch { values, brackets, caught, marks: inside }.all();
                }
            }
        }
        for (moments, tally) in pass.moments.iter_mut().zip(&tallies) {
            moments.add(tally);
        }
        self.kept.fetch_add(pass.kept(), Ordering::Relaxed);
        pass
    }

    /// A share of the samples keeps the like share of values at the most, and as many again, as chance may have it.
    fn share(self, share: f64) -> Self {
        Self { most: (2.0 * share * self.most as f64) as u64, ..self }
    }
}
