//! What is asked of all designs of a grid: how many are feasible, which, and what each limit excludes.

use super::definition::Study;
use super::given::StudyLimit;
use super::rows::{Marks, RowSet, count_of};
use super::walk::{Take, Walk};
use super::workers::{Pulse, Workers};
use crate::error::{Error, Result};
use core::sync::atomic::{AtomicU64, Ordering};

/// Blocks and lanes that one question may look at: many minutes of work.
const MOST_LOOKED: u64 = 4_000_000_000;

/// Parts of a question, for threads to share.
const PARTS: u128 = 64;

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
    looked: &'p AtomicU64,
    refusal: Option<Error>,
    too_much: &'p (dyn Fn() -> Error + Sync),
}

impl<T: Collect> Take for Part<'_, T> {
    fn all(&mut self, first: u128, count: u128) {
        self.collected.all(first, count);
    }

    fn some(&mut self, first: u128, marks: &Marks) {
        self.collected.some(first, marks);
    }

    fn goes_on(&mut self, looked: u64) -> bool {
        let before = self.looked.fetch_add(looked, Ordering::Relaxed);
        self.refusal = match before + looked > MOST_LOOKED {
            true => Some((self.too_much)()),
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
        let finished = AtomicU64::new(0);
        let too_much = || self.too_much(finished.load(Ordering::Relaxed));
        let size = walk.whole_lanes((end - start).div_ceil(PARTS).max(1));
        let count = usize::try_from((end - start).div_ceil(size)).unwrap_or(usize::MAX);
        workers.each_long(
            0..count,
            || walk.clone(),
            |walk, part, pulse| {
                let first = start + part as u128 * size;
                let collected = T::default();
                let mut take = Part { collected, pulse, looked: &looked, refusal: None, too_much: &too_much };
                walk.run(first..(first + size).min(end), &mut take);
                finished.fetch_add(1, Ordering::Relaxed);
                match take.refusal {
                    Some(refusal) => Err(refusal),
                    None => Ok(take.collected),
                }
            },
        )
    }

    /// The refusal of a question that would take too long, with what it would take.
    fn too_much(&self, finished: u64) -> Error {
        let share = MOST_LOOKED as f64 * PARTS as f64;
        let whole = match finished {
            0 => format!("more than {share:.0e}"),
            finished => format!("about {:.0e}", share / finished as f64),
        };
        let designs = self.axes().iter().map(|(_, a)| a.len() as f64).product::<f64>();
        Error::OutOfRange {
            field: "steps of the walk over the grid".into(),
            value: format!("{whole} for {designs:.0e} designs"),
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
        let mut all = RowSet::default();
        self.walked::<RowSet>(workers)?.into_iter().for_each(|part| all.append(part));
        Ok(all)
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
