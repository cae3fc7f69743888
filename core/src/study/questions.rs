//! What is asked of all designs of a grid: how many are feasible, which, and what each limit excludes.

use super::definition::Study;
use super::given::StudyLimit;
use super::rows::{Marks, RowSet, count_of};
use super::walk::{Take, Walk};
use super::workers::{ALONE, Pulse, Workers};
use crate::error::{Error, Result};
use core::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;

/// Blocks and lanes that one question may look at: many minutes of work.
pub(super) const MOST_LOOKED: u64 = 4_000_000_000;

/// So much is looked at in a part before it is judged what the whole would take: a second of work.
pub(super) const SAMPLED: u64 = 1 << 22;

/// A question that would take so many times what it may is refused at once; parts of a grid may differ by less.
const HOPELESS: f64 = 1000.0;

/// Parts of a question, for threads to share.
const PARTS: u128 = 64;

/// A part of fewer designs takes hardly longer than it takes to begin it, unless an output is searched for.
const SMALL: u128 = 1 << 20;

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

/// What is collected of a part, in the order of its rows.
trait Collect: Default + Send {
    fn all(&mut self, first: u128, count: u128);
    fn some(&mut self, first: u128, marks: &Marks);
}

impl Collect for u128 {
    fn all(&mut self, _: u128, count: u128) {
        *self += count;
    }

    fn some(&mut self, _: u128, marks: &Marks) {
        *self += u128::from(count_of(marks));
    }
}

impl Collect for RowSet {
    fn all(&mut self, first: u128, count: u128) {
        self.push_run(first, count);
    }

    fn some(&mut self, first: u128, marks: &Marks) {
        self.push_block(first, marks);
    }
}

/// A part of a question on a thread: what it collects, and whom it asks whether to go on.
struct Part<'p, T> {
    collected: T,
    pulse: &'p Pulse<'p>,
    rows: (u128, u128),
    /// Of so many parts.
    parts: usize,
    /// What was looked at in all parts, and in this one.
    looked: &'p AtomicU64,
    here: u64,
    refusal: Option<Error>,
    too_much: &'p (dyn Fn(f64) -> Error + Sync),
}

impl<T: Collect> Take for Part<'_, T> {
    fn all(&mut self, first: u128, count: u128) {
        self.collected.all(first, count);
    }

    fn some(&mut self, first: u128, marks: &Marks) {
        self.collected.some(first, marks);
    }

    fn goes_on(&mut self, looked: u64, row: u128) -> bool {
        let all = self.looked.fetch_add(looked, Ordering::Relaxed) + looked;
        self.here += looked;
        // What the whole would take, if the rows to come are like those of this part so far.
        let (start, end) = self.rows;
        let share = row.saturating_sub(start).max(1) as f64 / (end - start) as f64;
        let whole = self.here as f64 / share * self.parts as f64;
        let hopeless = self.here >= SAMPLED && whole > HOPELESS * MOST_LOOKED as f64;
        self.refusal = match all > MOST_LOOKED || hopeless {
            true => Some((self.too_much)(whole)),
            false => self.pulse.beat().err(),
        };
        self.refusal.is_none()
    }
}

impl Study {
    /// The walk over all rows in parts, in their order.
    fn walked<T: Collect>(&self, workers: &Workers) -> Result<Vec<T>> {
        let walk = Walk::new(self)?;
        let (start, end) = self.rows()?;
        let looked = AtomicU64::new(0);
        let too_much = |whole: f64| self.too_much(whole);
        let searched = self.limits().iter().any(|limit| limit.output.valve_of_clearance().is_some());
        let least = if searched { 1 } else { SMALL };
        let size = walk.whole_lanes((end - start).div_ceil(PARTS).max(least));
        let parts = usize::try_from((end - start).div_ceil(size)).unwrap_or(usize::MAX);
        workers.spread(
            0..parts,
            || walk.clone(),
            |walk, part, pulse| {
                let first = start + part as u128 * size;
                let rows = (first, (first + size).min(end));
                let (collected, refusal) = (T::default(), None);
                let (looked, too_much) = (&looked, &too_much);
                let mut take = Part { collected, pulse, rows, parts, looked, here: 0, refusal, too_much };
                walk.run(rows.0..rows.1, &mut take);
                match take.refusal {
                    Some(refusal) => Err(refusal),
                    None => Ok(take.collected),
                }
            },
            if searched { Duration::ZERO } else { ALONE },
        )
    }

    /// The refusal of a question that would take too long, with what it would take.
    fn too_much(&self, whole: f64) -> Error {
        let designs = self.axes().iter().map(|(_, a)| a.len() as f64).product::<f64>();
        Error::OutOfRange {
            field: "steps of the walk over the grid".into(),
            value: format!("about {:.0e} for {designs:.0e} designs", whole.max(MOST_LOOKED as f64)),
            allowed: format!(
                "up to {:.0e}: fewer values, tighter limits, a part of the rows, or the best designs instead of all",
                MOST_LOOKED as f64
            ),
        }
    }

    /// How many designs are feasible: exact.
    ///
    /// # Errors
    /// As [`Study::designs`]; [`Error::OutOfRange`] where it would take too many steps, with how many.
    pub fn count(&self, workers: &Workers) -> Result<Count> {
        let feasible = self.walked::<u128>(workers)?.into_iter().sum();
        let (start, end) = self.rows()?;
        Ok(Count { designs: end - start, feasible })
    }

    /// The rows of the feasible designs, rising.
    ///
    /// # Errors
    /// As [`Study::count`].
    pub fn feasible(&self, workers: &Workers) -> Result<RowSet> {
        Ok(RowSet::joined(self.walked::<RowSet>(workers)?))
    }

    /// What each limit alone excludes.
    ///
    /// # Errors
    /// As [`Study::designs`].
    pub fn excluded(&self, workers: &Workers) -> Result<Vec<Excluded>> {
        let one = |limit: &StudyLimit| {
            let count = self.with_limits(vec![*limit]).count(workers)?;
            Ok(Excluded { limit: *limit, designs: count.designs - count.feasible })
        };
        self.limits().iter().map(one).collect()
    }
}
