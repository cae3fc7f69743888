//! Blocks of samples: drawn, looked at, evaluated.

use super::chain::Chain;
use super::definition::{Guard, Sampling};
use super::draw::{BLOCK, Draws};
use crate::error::{Error, Result};
use crate::study::figure::Figure;
use crate::study::given::turns;
use crate::study::output::Output;
use crate::study::workers::Workers;

/// Samples that one thread does at a time.
pub(super) const PART: u64 = 1 << 16;

/// Draws and evaluates blocks of samples.
#[derive(Debug, Clone)]
pub(super) struct Engine {
    draws: Draws,
    chain: Chain,
    possible: Possible,
    /// By row: 1 where the sample is a possible design, else 0.
    marks: Vec<u64>,
}

/// Which samples are possible designs.
#[derive(Debug, Clone)]
pub(super) struct Possible {
    guards: Vec<Guard>,
    /// The columns of stroke, rod length and pin offset, where the crank may not turn; a fixed one of its own.
    turning: Option<[(Option<usize>, Vec<f64>); 3]>,
}

impl Possible {
    pub(super) fn new(sampling: &Sampling) -> Self {
        let study = sampling.study();
        let turning = sampling.may_not_turn().then(|| {
            [Figure::Stroke, Figure::RodLength, Figure::PinOffset]
                .map(|figure| (study.axis_of(figure), vec![study.fixed(figure).unwrap_or(f64::NAN); BLOCK]))
        });
        Self { guards: sampling.guards(), turning }
    }

    /// Marks each row with 1 where it is possible, else with 0.
    pub(super) fn mark<'c>(&'c self, columns: &[&'c [f64]], marks: &mut [u64]) {
        marks.fill(1);
        for guard in &self.guards {
            let column = columns.get(guard.place).copied().unwrap_or_default();
            for (mark, x) in marks.iter_mut().zip(column) {
                *mark &= u64::from(*x >= guard.least && *x <= guard.most);
            }
        }
        if let Some(turning) = &self.turning {
            let [stroke, rod, offset] = turning.each_ref().map(|(place, fixed)| {
                place.and_then(|p| columns.get(p).copied()).unwrap_or(fixed.as_slice())
            });
            for (((mark, stroke), rod), offset) in marks.iter_mut().zip(stroke).zip(rod).zip(offset) {
                *mark &= u64::from(turns(*stroke, *rod, *offset));
            }
        }
    }
}

impl Engine {
    pub(super) fn new(sampling: &Sampling, outputs: &[Output]) -> Self {
        Self {
            draws: Draws::new(sampling, 0),
            chain: Chain::new(sampling.study(), outputs),
            possible: Possible::new(sampling),
            marks: vec![0; BLOCK],
        }
    }

    /// Draws and evaluates so many samples from one on, a block at the most. Rows beyond the last are marked as impossible.
    pub(super) fn run(&mut self, first: u64, count: usize) {
        let columns = self.draws.draw(first);
        let columns: [&[f64]; Figure::ALL.len()] =
            core::array::from_fn(|i| columns.get(i).map(Vec::as_slice).unwrap_or_default());
        self.possible.mark(&columns, &mut self.marks);
        self.marks.iter_mut().skip(count).for_each(|mark| *mark = 0);
        self.chain.run(&columns);
    }

    /// An output of the last block, with a mark for each sample, 0 for an impossible one, whose output means nothing.
    pub(super) fn output(&self, place: usize) -> (&[f64], &[u64]) {
        (self.chain.output(place, &[]), &self.marks)
    }

    /// The same, one by one: no number for what is refused.
    fn told(&self, place: usize) -> impl Iterator<Item = f64> {
        let (values, marks) = self.output(place);
        let one = |(x, mark): (&f64, &u64)| if *mark != 0 && x.is_finite() { *x } else { f64::NAN };
        values.iter().zip(marks).map(one)
    }

    /// The finite ones of the possible samples, one by one.
    pub(super) fn finite(&self, place: usize) -> impl Iterator<Item = f64> {
        self.told(place).filter(|x| !x.is_nan())
    }
}

/// The blocks of a part: first sample and how many of each.
pub(super) fn blocks(part: u64, samples: u64) -> impl Iterator<Item = (u64, usize)> {
    let end = samples.min((part + 1) * PART);
    (part * PART..end).step_by(BLOCK).map(move |first| (first, (end - first).min(BLOCK as u64) as usize))
}

impl Sampling {
    /// An output of the samples from one on, as many as there is room for; no number for a sample that is refused.
    ///
    /// # Errors
    /// [`Error::MissingKey`] for a figure that the output needs; [`Error::Stopped`].
    pub fn values(&self, first: u64, output: Output, out: &mut [f64], workers: &Workers) -> Result<()> {
        self.check(first.saturating_add(out.len().max(1) as u64), &[output])?;
        let parts = out.chunks_mut(PART as usize).enumerate();
        let engine = || Engine::new(self, &[output]);
        workers.each(parts, engine, |engine, (part, out)| {
            for (i, out) in out.chunks_mut(BLOCK).enumerate() {
                engine.run(first + part as u64 * PART + (i * BLOCK) as u64, out.len());
                out.iter_mut().zip(engine.told(0)).for_each(|(to, from)| *to = from);
            }
            Ok(())
        })?;
        Ok(())
    }

    /// The draws of a reading for the samples from one on, as many as there is room for, whether possible or not.
    ///
    /// # Errors
    /// [`Error::MissingKey`] where the figure has no reading; [`Error::Stopped`].
    pub fn draws(&self, first: u64, figure: Figure, out: &mut [f64], workers: &Workers) -> Result<()> {
        self.check(first.saturating_add(out.len().max(1) as u64), &[])?;
        let place = self.readings().iter().position(|(f, _)| *f == figure).ok_or_else(|| {
            Error::MissingKey { field: figure.name().into(), remedy: "it has no reading".into() }
        })?;
        let parts = out.chunks_mut(PART as usize).enumerate();
        workers.each(
            parts,
            || Draws::new(self, 0),
            |draws, (part, out)| {
                for (i, out) in out.chunks_mut(BLOCK).enumerate() {
                    let columns = draws.draw(first + part as u64 * PART + (i * BLOCK) as u64);
                    for (to, from) in out.iter_mut().zip(columns.get(place).into_iter().flatten()) {
                        *to = *from;
                    }
                }
                Ok(())
            },
        )?;
        Ok(())
    }
}
