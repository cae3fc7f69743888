//! The statistics of outputs over all samples.

use super::answer::{Quantile, Sampled, Share, Spread};
use super::definition::Sampling;
use super::draw::BLOCK;
use super::engine::Engine;
use super::farm::{Farm, Hands};
use super::pass::{Pass, Passing};
use super::quantile::{Effort, Found, Sought, quantile, ranks};
use super::tally::{Bracket, Caught};
use crate::error::{Error, Result};
use crate::study::output::Output;
use crate::study::stretch::within;
use crate::study::workers::Workers;
use core::cell::Cell;
use core::sync::atomic::AtomicU64;

/// The question, ready for passes over the samples.
struct Question<'s> {
    sampling: &'s Sampling,
    /// Those asked for, then others that have limits.
    outputs: Vec<Output>,
    asked: usize,
    shifts: Vec<f64>,
    effort: Effort,
    hands: Hands<'s>,
    /// The share of the question that is done.
    done: Cell<f64>,
}

/// What may follow the passes over all samples, as a share of one: the order of what was kept, seldom another pass.
const REST: u64 = 16;

impl Question<'_> {
    /// Has some work done here that is followed by more, as much as so many samples each: its progress is a like share of what is left.
    fn stretch<T>(&self, (work, more): (u64, u64), ask: impl FnOnce(&Workers) -> Result<T>) -> Result<T> {
        let from = self.done.get();
        let to = from + (1.0 - from) * work as f64 / (work + more).max(1) as f64;
        let found = within(self.hands.workers, (from, to), ask)?;
        self.done.set(to);
        Ok(found)
    }

    /// The first samples once, followed by so many more, catching what falls into brackets.
    fn pass(&self, (samples, more): (u64, u64), brackets: &[Vec<Bracket>], most: u64) -> Result<Pass> {
        let (outputs, shifts) = (self.outputs.clone(), self.shifts.clone());
        let kept = AtomicU64::new(0);
        let passing = Passing { samples, outputs, shifts, brackets: brackets.to_vec(), most, kept };
        let (mut all, mut kept) = (Pass::empty(self.outputs.len(), brackets), 0u64);
        let merge = |mut part: Pass| {
            kept += part.kept();
            // Those who did the parts did not know of one another.
            if kept > most.saturating_mul(2) {
                part.forget();
            }
            all.append(part);
        };
        match self.hands.farm {
            // Who farms knows how far it is.
            Some(_) => self.hands.each_part(self.sampling, &passing, merge)?,
            None => self.stretch((samples, more), |workers| {
                Hands { workers, farm: None }.each_part(self.sampling, &passing, merge)
            })?,
        }
        Ok(all)
    }

    /// The values of the first samples by output, in their order: few, so that they are drawn here.
    fn pilot(&self, samples: u64, workers: &Workers) -> Result<Vec<Vec<f64>>> {
        let Self { sampling, outputs, asked, .. } = self;
        let columns = workers.each(
            0..samples.div_ceil(PILOT_PART) as usize,
            || Engine::new(sampling, outputs),
            |engine, part| {
                let (first, end) = (part as u64 * PILOT_PART, samples.min((part as u64 + 1) * PILOT_PART));
                let mut columns = vec![Vec::new(); *asked];
                for first in (first..end).step_by(BLOCK) {
                    engine.run(first, (end - first).min(BLOCK as u64) as usize);
                    for (place, column) in columns.iter_mut().enumerate() {
                        column.extend(engine.finite(place));
                    }
                }
                Ok(columns)
            },
        )?;
        let join = |place: usize| columns.iter().filter_map(|c| c.get(place)).flatten().copied().collect();
        Ok((0..*asked).map(join).collect())
    }
}

/// Finds a quantile of so many values in what its bracket caught, or seeks it in another; whether it is still to be found.
fn settle(
    (open, found): (&mut Option<Sought>, &mut (f64, (f64, f64))),
    mut caught: Caught,
    (used, pilot): (u64, &[f64]),
    last_try: bool,
) -> bool {
    let Some(sought) = open.as_mut() else { return false };
    let all = ranks(sought.q, used);
    let values = Found::new(&mut caught, sought.bracket, all).filter(|_| used > 0);
    match values {
        Some(values) => *found = (sought.q, quantile(sought.q, used, |rank| values.at(rank))),
        None if used == 0 => {}
        None => {
            sought.again(caught, used, pilot);
            if last_try {
                sought.give_up();
            }
            return true;
        }
    }
    *open = None;
    false
}

/// Samples of the pilot that one thread does at a time.
const PILOT_PART: u64 = 1 << 12;

impl Sampling {
    /// The statistics of outputs over so many samples: of each the mean, the standard deviation, quantiles, and the share outside its limits, with what they are
    /// uncertain by for want of more samples; and the share of samples that hold all limits.
    ///
    /// All are those of the samples themselves, which [`Sampling::values`] gives: quantiles to the bit, though no more than a few megabytes are ever kept. A pilot
    /// of the first samples tells between which values a quantile lies almost surely. What falls between them is kept, and what lies below is counted; should
    /// the quantile lie elsewhere, or too much between, all samples are drawn again with other brackets.
    ///
    /// # Errors
    /// [`Error::MissingKey`] for a figure that an output needs; [`Error::OutOfRange`] for no samples or more than 2^40, and for a probability beyond 0 to 1;
    /// [`Error::Stopped`].
    pub fn sample(
        &self,
        samples: u64,
        outputs: &[Output],
        quantiles: &[f64],
        workers: &Workers,
    ) -> Result<Sampled> {
        self.sample_with(samples, outputs, quantiles, (Effort::USUAL, Hands { workers, farm: None }))
    }

    /// The same, to the bit, with the samples drawn and evaluated by whom a farm finds. What is done here, by the workers, is the pilot and the order of what was kept.
    ///
    /// # Errors
    /// As [`Sampling::sample`]; those of the farm; [`Error::Unreadable`] for answers that are none, or not in their order.
    pub fn sample_on(
        &self,
        samples: u64,
        outputs: &[Output],
        quantiles: &[f64],
        farm: &dyn Farm,
        workers: &Workers,
    ) -> Result<Sampled> {
        self.sample_with(samples, outputs, quantiles, (Effort::USUAL, Hands { workers, farm: Some(farm) }))
    }

    /// The same, with another effort, by anyone.
    pub(super) fn sample_with(
        &self,
        samples: u64,
        outputs: &[Output],
        quantiles: &[f64],
        (effort, hands): (Effort, Hands),
    ) -> Result<Sampled> {
        self.check(samples, outputs)?;
        if let Some(bad) = quantiles.iter().find(|q| !(0.0..=1.0).contains(*q)) {
            let (field, value) = ("probability of a quantile".into(), bad.to_string());
            return Err(Error::OutOfRange { field, value, allowed: "0 to 1".into() });
        }
        let mut all = outputs.to_vec();
        for limit in self.limits() {
            if !all.contains(&limit.output) {
                all.push(limit.output);
            }
        }
        let mut question = Question {
            sampling: self,
            shifts: vec![0.0; all.len()],
            outputs: all,
            asked: outputs.len(),
            effort,
            hands,
            done: Cell::new(0.0),
        };
        let few = samples.min(effort.pilot);
        let mut pilot = question.stretch((few, samples), |workers| question.pilot(few, workers))?;
        for (shift, values) in question.shifts.iter_mut().zip(&pilot) {
            if !values.is_empty() {
                *shift = values.iter().sum::<f64>() / values.len() as f64;
            }
        }
        let sort = |values: &mut Vec<f64>| {
            values.sort_unstable_by(f64::total_cmp);
            Ok(())
        };
        question.stretch((few / REST, samples), |workers| {
            workers.each(pilot.iter_mut(), || (), |(), values| sort(values))
        })?;
        question.answer(samples, quantiles, &pilot)
    }
}

impl Question<'_> {
    fn answer(&self, samples: u64, quantiles: &[f64], pilot: &[Vec<f64>]) -> Result<Sampled> {
        // Where the pilot is all there is, its order is the answer.
        if samples <= self.effort.pilot {
            let pass = self.pass((samples, 0), &vec![vec![]; self.asked], 0)?;
            let spread = |place: usize| {
                let sorted = pilot.get(place).map(Vec::as_slice).unwrap_or_default();
                let at = |rank: u64| sorted.get(rank as usize).copied();
                let n = sorted.len() as u64;
                quantiles.iter().map(|q| (*q, quantile(*q, n, at))).collect::<Vec<_>>()
            };
            let found = (0..self.asked).map(spread).collect();
            return Ok(self.sampled(samples, &pass, found));
        }
        let seek = |values: &Vec<f64>| {
            quantiles.iter().map(|q| Some(Sought::new(*q, values, self.effort.margin))).collect::<Vec<_>>()
        };
        let mut sought: Vec<Vec<Option<Sought>>> = pilot.iter().map(seek).collect();
        self.narrow(&mut sought, samples)?;
        let mut found: Vec<Vec<(f64, (f64, f64))>> =
            pilot.iter().map(|_| quantiles.iter().map(|q| (*q, (f64::NAN, f64::NAN))).collect()).collect();
        let mut first: Option<Pass> = None;
        for passes in 1.. {
            let open = |of: &Vec<Option<Sought>>| of.iter().flatten().map(|s| s.bracket).collect();
            let brackets: Vec<Vec<Bracket>> = sought.iter().map(open).collect();
            let most = if passes > self.effort.passes { u64::MAX } else { self.effort.most };
            let mut pass = self.pass((samples, samples / REST), &brackets, most)?;
            let caught = core::mem::take(&mut pass.caught);
            let used: Vec<u64> = pass.moments.iter().map(|m| m.used).collect();
            let places = sought.iter_mut().zip(&mut found).zip(used.into_iter().zip(pilot)).zip(caught);
            let mut jobs = Vec::new();
            for (((sought, found), (used, pilot)), caught) in places {
                let open = sought.iter_mut().zip(found).filter(|(s, _)| s.is_some());
                jobs.extend(open.zip(caught).map(|(pair, caught)| (pair, caught, used, pilot)));
            }
            let last_try = passes >= self.effort.passes;
            // Another pass is as long again.
            let left = self.stretch((samples / REST, samples), |workers| {
                workers.each(
                    jobs.into_iter(),
                    || (),
                    |(), (pair, caught, used, pilot)| Ok(settle(pair, caught, (used, pilot), last_try)),
                )
            })?;
            first.get_or_insert(pass);
            if !left.contains(&true) {
                break;
            }
        }
        Ok(self.sampled(samples, &first.unwrap_or_else(|| Pass::empty(self.outputs.len(), &[])), found))
    }

    /// Narrows brackets by passes over ever more of the first samples, until they will not hold too much of all.
    fn narrow(&self, sought: &mut [Vec<Option<Sought>>], samples: u64) -> Result<()> {
        let mut told = self.effort.pilot;
        loop {
            let share: f64 = sought.iter().flatten().flatten().map(|s| s.share(told)).sum();
            let hold = self.effort.most as f64 / 2.0;
            let next = ((hold / share) as u64).min(samples / 8);
            if share * samples as f64 <= hold || next <= 2 * told {
                return Ok(());
            }
            let open = |of: &Vec<Option<Sought>>| of.iter().flatten().map(|s| s.bracket).collect();
            let brackets: Vec<Vec<Bracket>> = sought.iter().map(open).collect();
            let pass = self.pass((next, samples), &brackets, self.effort.most)?;
            let used = pass.moments.iter().map(|m| m.used);
            for ((sought, caught), used) in sought.iter_mut().zip(pass.caught).zip(used) {
                for (sought, caught) in sought.iter_mut().flatten().zip(caught) {
                    sought.narrow(caught, used);
                }
            }
            told = next;
        }
    }

    /// The answer from a pass and the quantiles.
    fn sampled(&self, samples: u64, pass: &Pass, quantiles: Vec<Vec<(f64, (f64, f64))>>) -> Sampled {
        let limited = !self.sampling.limits().is_empty();
        let possible = samples - pass.impossible;
        let mut outputs = Vec::new();
        let told = self.outputs.iter().zip(&pass.moments).zip(&self.shifts).zip(quantiles);
        for (((output, moments), shift), found) in told {
            let n = moments.used as f64;
            let (mean, variance, fourth) = moments.central(*shift);
            let one = |(probability, (value, error))| Quantile { probability, value, error };
            outputs.push(Spread {
                output: *output,
                used: moments.used,
                refused: samples - moments.used,
                mean,
                mean_error: (variance / (n - 1.0)).sqrt(),
                deviation: variance.sqrt(),
                deviation_error: ((fourth / variance - variance).max(0.0) / (n - 1.0)).sqrt() / 2.0,
                quantiles: found.into_iter().map(one).collect(),
                outside: self.sampling.limit_of(*output).map(|_| Share::new(moments.outside, moments.used)),
            });
        }
        Sampled {
            samples,
            impossible: pass.impossible,
            feasible: limited.then(|| Share::new(pass.feasible, possible)),
            outputs,
        }
    }
}
