//! Outputs of every row, written where the caller wants them, and what each limit alone excludes.

use super::batch::{BLOCK, Batch, Block, Marks, NOTHING, Views, any_inside, inside, marked};
use super::best::Best;
use super::columns::{Listed, PART, Tally, check_unit};
use super::edge::figure_ends;
use super::figure::{Figure, factor};
use super::output::Output;
use super::questions::Excluded;
use super::source::{Gate, Source};
use super::top::{BestOf, Shared, Top};
use super::wide::{Arch, Work, wide_on};
use super::workers::Workers;
use crate::error::{Error, Result};
use crate::units::Unit;

/// How a finished block is copied to its place, by the thread that made it. What is written may bypass the caches, for memory that is not read soon.
pub trait Copying: Sync {
    /// Copies a block; both are of the same length.
    fn copy(&self, block: &[f64], to: &mut [f64]);

    /// After some blocks: what was copied is to be seen by other threads.
    fn end(&self) {}
}

/// Copies as slices are copied.
#[derive(Debug, Clone, Copy, Default)]
pub struct PlainCopies;

impl Copying for PlainCopies {
    #[inline]
    fn copy(&self, block: &[f64], to: &mut [f64]) {
        to.copy_from_slice(block);
    }
}

/// Blocks of all rows, one after the other.
struct Blocks {
    batch: Batch,
    rooms: [Block; Figure::ALL.len()],
    /// Rows that are engines, and those of them that hold the tests of the batch.
    engines: Marks,
    marks: Marks,
    gate: Gate,
}

impl Blocks {
    fn new(batch: &Batch) -> Self {
        let rooms = [[0.0; BLOCK]; Figure::ALL.len()];
        Self { batch: batch.clone(), rooms, engines: [1; BLOCK], marks: [1; BLOCK], gate: Gate::default() }
    }

    /// Does all steps for a block of rows from a first, of those up to an end; how many rows are refused.
    fn run<S: Source>(&mut self, source: &S, arch: Arch, (first, rows, end): (u64, usize, u64)) -> u64 {
        let engines = self.engines.get_mut(..rows).unwrap_or_default();
        let refused = self.gate.refuse(source, arch, (first, end), engines);
        let mut views: Views = [&NOTHING; Figure::ALL.len()];
        for (place, room) in self.batch.taken().iter().zip(&mut self.rooms) {
            if let Some(slot) = views.get_mut(*place) {
                *slot = source.block(arch, *place, first, room);
            }
        }
        if refused > 0 {
            self.marks = self.engines;
        }
        self.batch.run(arch, &views, rows, (&mut self.marks, refused == 0));
        refused
    }

    /// Outputs of rows that are no engine are no number.
    fn blank(&mut self, buffers: &[usize]) {
        for buffer in buffers {
            for (value, mark) in self.batch.values_mut(*buffer).into_iter().flatten().zip(&self.engines) {
                if *mark == 0 {
                    *value = f64::NAN;
                }
            }
        }
    }
}

/// A block in the unit that is asked for.
struct Show<'s> {
    block: &'s [f64],
    factor: f64,
    to: &'s mut [f64],
}

impl Work for Show<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        for (to, value) in self.to.iter_mut().zip(self.block) {
            *to = value / self.factor;
        }
    }
}

/// A part of the rows with where their outputs go.
struct Part<'o> {
    first: u64,
    rows: usize,
    columns: Vec<&'o mut [f64]>,
    flags: Option<&'o mut [u8]>,
}

/// Cuts the first values off.
fn cut<'o, T>(rest: &mut &'o mut [T], count: usize) -> &'o mut [T] {
    let all = core::mem::take(rest);
    let (first, after) = all.split_at_mut(count.min(all.len()));
    *rest = after;
    first
}

/// How many rows are marked, and whether one of them may be among the best; writes the flags.
struct Flagged<'f> {
    marks: &'f [u64],
    values: &'f [f64],
    ends: (f64, f64),
    flags: &'f mut [u8],
}

impl Work for Flagged<'_> {
    type Output = (u64, bool);

    #[inline(always)]
    fn call(self) -> (u64, bool) {
        for (flag, mark) in self.flags.iter_mut().zip(self.marks) {
            *flag = *mark as u8;
        }
        (marked(self.marks), any_inside(self.marks, self.values, self.ends))
    }
}

/// How many marked values are inside.
struct Held<'h> {
    marks: &'h [u64],
    values: &'h [f64],
    ends: (f64, f64),
}

impl Work for Held<'_> {
    type Output = u64;

    #[inline(always)]
    fn call(self) -> u64 {
        self.marks.iter().zip(self.values).map(|(mark, value)| mark & inside(*value, self.ends)).sum()
    }
}

impl<S: Source> Listed<S> {
    /// Outputs of every row, with one flag a row, 1 where it is feasible, and the best: in one pass. Outputs of refused rows are no number.
    ///
    /// # Errors
    /// [`Error::WrongLength`] for columns or flags that are not as long as there are rows; as [`Listed::best`].
    pub fn outputs(
        &self,
        columns: Vec<(Output, &mut [f64])>,
        flags: Option<&mut [u8]>,
        best: Option<BestOf>,
        copying: &impl Copying,
        workers: &Workers,
    ) -> Result<(Tally, Vec<Best>)> {
        let columns = columns.into_iter().map(|(output, column)| (output, None, column)).collect();
        self.outputs_in(columns, flags, best, copying, workers)
    }

    /// The same with columns that may be in a written unit, such as cm3: converted in the block, as [`super::shown`] does it. The best stay in study units.
    ///
    /// # Errors
    /// As [`Listed::outputs`]; [`Error::WrongDimension`] for a unit of another dimension than its output.
    pub fn outputs_in(
        &self,
        columns: Vec<(Output, Option<&'static Unit>, &mut [f64])>,
        flags: Option<&mut [u8]>,
        best: Option<BestOf>,
        copying: &impl Copying,
        workers: &Workers,
    ) -> Result<(Tally, Vec<Best>)> {
        let rows = self.rows();
        let wrong = |field: &str, found: usize| {
            let (field, expected) = (field.into(), format!("{rows}, as there are rows"));
            (found as u64 != rows)
                .then_some(Error::WrongLength { field, found, expected })
                .map_or(Ok(()), Err)
        };
        for (output, unit, column) in &columns {
            wrong(output.name(), column.len())?;
            check_unit(output.name(), output.dimension(), *unit)?;
        }
        flags.iter().try_for_each(|flags| wrong("flags", flags.len()))?;
        let asked = columns.iter().map(|(output, _, _)| *output).chain(best.map(|b| b.output));
        let mut batch = Batch::new(self.given.shape());
        let buffers = asked
            .map(|output| self.given.check_output(output).map(|()| batch.output(&self.given, output)))
            .collect::<Result<Vec<usize>>>()?;
        for limit in self.limits() {
            match figure_ends(&self.given, limit) {
                Some((place, ends)) => batch.figure(place, ends),
                None => batch.limit(&self.given, limit),
            }
        }
        let goal = best.and_then(|_| buffers.last().copied());
        let factors: Vec<f64> = columns.iter().map(|(_, unit, _)| unit.map_or(1.0, factor)).collect();
        let top = best.map(|b| Top::new(b.k, b.goal));
        let shared = Shared::new(top.clone());
        let work = |(blocks, top): &mut (Blocks, Option<Top>), part: Part| {
            let tally = self.write(blocks, (&buffers, &factors, goal), top, part, copying);
            copying.end();
            shared.take(top);
            Ok(tally)
        };
        let parts = self.parts(columns.into_iter().map(|(_, _, column)| column).collect(), flags);
        let tallies = workers.each(parts.into_iter(), || (Blocks::new(&batch), top.clone()), work)?;
        Ok((Tally::sum(&tallies), shared.best()))
    }

    /// All rows in parts, with the places of their outputs.
    fn parts<'o>(&self, mut columns: Vec<&'o mut [f64]>, mut flags: Option<&'o mut [u8]>) -> Vec<Part<'o>> {
        let (start, end) = self.numbers();
        let part = |first: u64| {
            let rows = (end - first).min(PART) as usize;
            let columns = columns.iter_mut().map(|rest| cut(rest, rows)).collect();
            Part { first, rows, columns, flags: flags.as_mut().map(|rest| cut(rest, rows)) }
        };
        (start..end).step_by(PART as usize).map(part).collect()
    }

    fn write(
        &self,
        blocks: &mut Blocks,
        (buffers, factors, goal): (&[usize], &[f64], Option<usize>),
        top: &mut Option<Top>,
        mut part: Part,
        copying: &impl Copying,
    ) -> Tally {
        let mut tally = Tally { rows: part.rows as u64, ..Tally::default() };
        let mut room = [0.0; BLOCK];
        for start in (0..part.rows).step_by(BLOCK) {
            let (first, rows) = (part.first + start as u64, BLOCK.min(part.rows - start));
            let refused = blocks.run(&self.source, self.arch, (first, rows, part.first + part.rows as u64));
            if refused > 0 {
                blocks.blank(buffers);
            }
            for ((column, buffer), factor) in part.columns.iter_mut().zip(buffers).zip(factors) {
                if let (Some(to), Some(values), Some(shown)) = (
                    column.get_mut(start..start + rows),
                    blocks.batch.values(*buffer).get(..rows),
                    room.get_mut(..rows),
                ) {
                    if *factor == 1.0 {
                        copying.copy(values, to);
                        continue;
                    }
                    wide_on(self.arch, Show { block: values, factor: *factor, to: shown });
                    copying.copy(shown, to);
                }
            }
            let values = goal.and_then(|goal| blocks.batch.values(goal).get(..rows)).unwrap_or_default();
            let marks = blocks.marks.get(..rows).unwrap_or_default();
            let flags =
                part.flags.as_mut().and_then(|flags| flags.get_mut(start..start + rows)).unwrap_or_default();
            let ends = top.as_ref().map_or((0.0, 0.0), Top::ends);
            let (feasible, may_be_best) = wide_on(self.arch, Flagged { marks, values, ends, flags });
            if let (true, Some(top)) = (may_be_best, top.as_mut()) {
                for ((row, value), _) in (first..).zip(values).zip(marks).filter(|(_, mark)| **mark != 0) {
                    top.offer(row, *value);
                }
            }
            tally.feasible += feasible;
            tally.refused += refused;
        }
        tally
    }

    /// What each limit alone excludes of the rows that are not refused, in the order of the limits.
    ///
    /// # Errors
    /// [`Error::Stopped`].
    pub fn excluded(&self, workers: &Workers) -> Result<Vec<Excluded>> {
        let mut batch = Batch::new(self.given.shape());
        let buffers: Vec<usize> = self.limits().iter().map(|l| batch.output(&self.given, l.output)).collect();
        let (start, end) = self.numbers();
        let work = |blocks: &mut Blocks, part: usize| {
            let first = start + part as u64 * PART;
            let end = end.min(first + PART);
            let mut excluded = vec![0u64; buffers.len()];
            for start in (first..end).step_by(BLOCK) {
                let rows = (end - start).min(BLOCK as u64) as usize;
                let engines = rows as u64 - blocks.run(&self.source, self.arch, (start, rows, end));
                let marks = blocks.marks.get(..rows).unwrap_or_default();
                for ((count, buffer), limit) in excluded.iter_mut().zip(&buffers).zip(self.limits()) {
                    let values = blocks.batch.values(*buffer).get(..rows).unwrap_or_default();
                    *count += engines - wide_on(self.arch, Held { marks, values, ends: limit.ends() });
                }
            }
            Ok(excluded)
        };
        let parts = self.rows().div_ceil(PART) as usize;
        let counts = workers.each(0..parts, || Blocks::new(&batch), work)?;
        let sum = |i: usize| counts.iter().filter_map(|c| c.get(i)).map(|c| u128::from(*c)).sum();
        Ok(self
            .limits()
            .iter()
            .enumerate()
            .map(|(i, limit)| Excluded { limit: *limit, designs: sum(i) })
            .collect())
    }
}
