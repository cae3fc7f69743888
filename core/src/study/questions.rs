//! What is asked of all designs of a grid: how many are feasible, which, and what each limit excludes.

use super::definition::Study;
use super::given::StudyLimit;
use super::walk::{MOST_LOOKED, Take, Walk};
use super::workers::Workers;
use crate::error::{Error, Result};
use core::sync::atomic::{AtomicU64, Ordering};

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

impl Take for u128 {
    fn all(&mut self, _: u128, count: u128) {
        *self += count;
    }

    fn some(&mut self, _: u128, marks: &[bool]) {
        *self += marks.iter().map(|m| u128::from(*m)).sum::<u128>();
    }
}

/// Feasible rows, as ranges from a first to before a last.
#[derive(Debug, Default)]
struct Rows(Vec<(u128, u128)>);

impl Rows {
    fn push(&mut self, first: u128, end: u128) {
        match self.0.last_mut() {
            Some((_, last)) if *last == first => *last = end,
            _ => self.0.push((first, end)),
        }
    }
}

impl Take for Rows {
    fn all(&mut self, first: u128, count: u128) {
        self.push(first, first + count);
    }

    fn some(&mut self, first: u128, marks: &[bool]) {
        for (i, _) in marks.iter().enumerate().filter(|(_, m)| **m) {
            self.push(first + i as u128, first + i as u128 + 1);
        }
    }
}

impl Study {
    /// The walk in as many parts as there are values of the first axis, in their order.
    fn walked<T: Take + Default + Send>(&self, workers: &Workers) -> Result<Vec<T>> {
        let walk = Walk::new(self)?;
        let looked = AtomicU64::new(0);
        let first = if walk.outer == 0 { 1 } else { self.axes().first().map_or(1, |(_, a)| a.len()) };
        workers.each(
            0..first,
            || walk.clone(),
            |walk, part| {
                let mut take = T::default();
                walk.most = MOST_LOOKED.saturating_sub(looked.load(Ordering::Relaxed));
                walk.looked = 0;
                walk.run(part, part + 1, &mut take);
                looked.fetch_add(walk.looked, Ordering::Relaxed);
                if walk.looked > walk.most { Err(self.too_much(part, first)) } else { Ok(take) }
            },
        )
    }

    /// The refusal of a question that would take too long, with what it would take.
    fn too_much(&self, done: usize, parts: usize) -> Error {
        let whole = match done {
            0 => format!("more than {:.0e}", MOST_LOOKED as f64 * parts as f64),
            done => format!("about {:.0e}", MOST_LOOKED as f64 * parts as f64 / done as f64),
        };
        let designs = self.axes().iter().map(|(_, a)| a.len() as f64).product::<f64>();
        Error::OutOfRange {
            field: "steps of the walk over the grid".into(),
            value: format!("{whole} for {designs:.0e} designs"),
            allowed: format!(
                "up to {MOST_LOOKED:.0e}: fewer values, tighter limits, or the best designs instead of all",
                MOST_LOOKED = MOST_LOOKED as f64
            ),
        }
    }

    /// How many designs are feasible: exact.
    ///
    /// # Errors
    /// As [`Study::designs`]; [`Error::OutOfRange`] where it would take too many steps, with how many.
    pub fn count(&self, workers: &Workers) -> Result<Count> {
        let feasible = self.walked::<u128>(workers)?.into_iter().sum();
        Ok(Count { designs: self.designs()?, feasible })
    }

    /// The feasible designs as ranges of rows, each from its first to before its end, rising.
    ///
    /// # Errors
    /// As [`Study::designs`].
    pub fn feasible(&self, workers: &Workers) -> Result<Vec<(u128, u128)>> {
        let mut joined = Rows::default();
        for part in self.walked::<Rows>(workers)? {
            part.0.into_iter().for_each(|(first, end)| joined.push(first, end));
        }
        Ok(joined.0)
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
