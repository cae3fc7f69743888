//! The best designs of a grid by a walk over its feasible rows, where boxes of the grid do not tell them soon enough.

use super::best::Goal;
use super::definition::Study;
use super::output::Output;
use super::questions::{MOST_LOOKED, SAMPLED};
use super::rows::{Marks, lanes_of};
use super::search::{ASKED, MOST_BOXES, Open, Search};
use super::stretch::within;
use super::walk::{Take, Walk};
use super::workers::{ALONE, Pulse, Workers};
use crate::error::{Error, Result};
use core::sync::atomic::{AtomicU64, Ordering};

/// Designs that are evaluated in the time of one box.
const A_BOX: u64 = 64;

/// Boxes that are looked at before a small grid is walked.
const FEW_BOXES: u64 = 1 << 14;

/// Boxes that are looked at and steps that a walk may take, each a design evaluated, or a block or lane of designs looked at: some seconds of work, and where these
/// do not suffice many minutes.
const TRIES: [(u64, u64); 2] = [(1 << 17, 1 << 27), (MOST_BOXES, MOST_LOOKED)];

/// Rows of the first parts.
const FIRST_PART: u128 = 1 << 16;

/// Steps of a part: of less it becomes longer, of many times more shorter.
const STEPS: u64 = 1 << 15;

/// Parts for each thread before what they found is merged.
const ROUND: usize = 8;

/// Designs that are evaluated together.
const TOGETHER: usize = 2048;

/// The share of a try that boxes are, where they are not all of it.
const BY_BOXES: f64 = 0.5;

/// Keeps the best of the designs that it is offered; values are numbers that are greater for a better one.
pub(super) trait Keep: Sync {
    /// What is found in a part.
    type Found: Default + Send;
    /// Whether a box may hold a design that would be kept.
    fn may_hold(&self, open: &Open) -> bool;
    /// Takes a design of a part, unless what is kept already or found in the part is better.
    fn offer(&self, found: &mut Self::Found, row: u128, values: &[f64]);
    /// Takes what was found in a part.
    fn take(&mut self, found: Self::Found);
}

/// What a walk may take, and has taken so far in all parts.
pub(super) struct Course {
    rows: (u128, u128),
    steps: AtomicU64,
    /// Steps that it may take.
    most: u64,
}

impl Course {
    /// Of the rows of a study, without end.
    #[cfg(test)]
    pub(super) fn endless(study: &Study) -> Result<Self> {
        Ok(Self { rows: study.rows()?, steps: AtomicU64::new(0), most: u64::MAX })
    }

    /// The share of the rows up to one.
    fn share(&self, row: u128) -> f64 {
        row.saturating_sub(self.rows.0) as f64 / (self.rows.1 - self.rows.0).max(1) as f64
    }

    /// Counts steps that led to a row; refuses a walk of too many.
    fn add(&self, steps: u64, row: u128) -> Result<()> {
        let all = self.steps.fetch_add(steps, Ordering::Relaxed) + steps;
        // What the whole would take, if the rows to come are like those before.
        let whole = all as f64 / self.share(row + 1);
        // The more of it was seen, the less the rest will differ.
        let doubt = (self.most as f64 / all.max(1) as f64).sqrt();
        let hopeless = all >= SAMPLED && whole > doubt * self.most as f64;
        if all <= self.most && !hopeless {
            return Ok(());
        }
        let designs = (self.rows.1 - self.rows.0) as f64;
        Err(Error::OutOfRange {
            field: "steps of the walk over the grid".into(),
            value: format!("about {whole:.0e} for {designs:.0e} designs"),
            allowed: format!(
                "up to {:.0e}: fewer values, tighter limits, or a part of the rows",
                self.most as f64
            ),
        })
    }
}

/// Offers the feasible designs of a part.
struct Offers<'o, K: Keep> {
    study: &'o Study,
    objectives: &'o [(Output, Goal)],
    keep: &'o K,
    found: K::Found,
    /// Feasible rows that were not evaluated yet.
    rows: Vec<u128>,
    course: &'o Course,
    /// The first row of the part.
    first: u128,
    pulse: &'o Pulse<'o>,
    halted: Result<()>,
}

impl<K: Keep> Offers<'_, K> {
    /// Evaluates the rows that wait.
    fn evaluate(&mut self) -> Result<()> {
        let Some(last) = self.rows.last().copied() else { return Ok(()) };
        let of = |(output, _): &(Output, Goal)| self.study.outputs_of(&self.rows, *output);
        let columns = self.objectives.iter().map(of).collect::<Result<Vec<_>>>()?;
        let mut values = vec![f64::NAN; columns.len()];
        for (place, row) in self.rows.iter().enumerate() {
            for ((value, column), (_, goal)) in values.iter_mut().zip(&columns).zip(self.objectives) {
                *value = column.get(place).map_or(f64::NAN, |v| goal.better(*v));
            }
            if !values.iter().any(|v| v.is_nan()) {
                self.keep.offer(&mut self.found, *row, &values);
            }
        }
        let steps = self.rows.len() as u64;
        self.rows.clear();
        self.count(steps, last)
    }

    fn count(&mut self, steps: u64, row: u128) -> Result<()> {
        self.course.add(steps, row)?;
        self.pulse.beat()
    }

    /// Takes feasible rows as far as it goes on.
    fn push(&mut self, rows: impl Iterator<Item = u128>) {
        for row in rows {
            self.rows.push(row);
            if self.rows.len() >= TOGETHER && self.halted.is_ok() {
                self.halted = self.evaluate();
            }
            if self.halted.is_err() {
                return;
            }
        }
    }
}

impl<K: Keep> Take for Offers<'_, K> {
    fn all(&mut self, first: u128, count: u128) {
        self.push(first..first + count);
    }

    fn some(&mut self, first: u128, marks: &Marks) {
        self.push(lanes_of(*marks).map(|lane| first + lane as u128));
    }

    fn goes_on(&mut self, looked: u64, row: u128) -> bool {
        if self.halted.is_ok() {
            // The row is that of a stage, which may have begun before the part.
            self.halted = self.count(looked, row.max(self.first));
        }
        self.halted.is_ok()
    }
}

/// How many rows a box has; where only its slowest long axis is no whole one, they follow one another.
fn rows_of(open: &Open) -> u128 {
    open.spans.iter().map(|(from, to)| u128::from(to - from)).product()
}

impl Study {
    /// Has the best designs kept: boxes are asked first; where they are too many the rows are walked. Where that seems to take too long, more boxes are asked, from
    /// what was found, and then a walk may take its time.
    ///
    /// # Errors
    /// As [`Study::best`].
    pub(super) fn keep_best<K: Keep>(
        &self,
        objectives: &[(Output, Goal)],
        keep: &mut K,
        by_boxes: impl Fn(&Search, &mut K, u64, &Workers) -> Result<()>,
        (most, workers): (u64, &Workers),
    ) -> Result<()> {
        let search = self.search(objectives)?;
        let (start, end) = self.rows()?;
        let few = u64::try_from((end - start) / u128::from(A_BOX)).unwrap_or(u64::MAX).max(FEW_BOXES);
        let shares = TRIES.len() as f64;
        for (place, (boxes, steps)) in TRIES.into_iter().enumerate() {
            let share = |done: f64| (place as f64 + done) / shares;
            let (boxed, walked) = ((share(0.0), share(BY_BOXES)), (share(BY_BOXES), share(1.0)));
            let most = boxes.min(few).min(most);
            match within(workers, boxed, |workers| by_boxes(&search, keep, most, workers)) {
                // They are refused for nothing but their number.
                Err(Error::OutOfRange { .. }) => {}
                other => return other,
            }
            let course = Course { rows: (start, end), steps: AtomicU64::new(0), most: steps };
            let found = within(workers, walked, |workers| {
                self.keep_best_walked(&search, objectives, keep, (FIRST_PART, &course, workers))
            });
            match found {
                Err(Error::OutOfRange { .. }) if place + 1 < TRIES.len() => {}
                other => return other,
            }
        }
        Ok(())
    }

    /// The same by the walk alone. Parts of the grid that cannot hold what would be kept are left, the others are walked, and their feasible designs are evaluated.
    pub(super) fn keep_best_walked<K: Keep>(
        &self,
        search: &Search,
        objectives: &[(Output, Goal)],
        keep: &mut K,
        (mut part, course, workers): (u128, &Course, &Workers),
    ) -> Result<()> {
        let walk = Walk::new(self)?;
        // Those of the lower rows are looked at first.
        let mut open: Vec<Open> = search.boxes();
        open.sort_by_key(|open| core::cmp::Reverse(open.first));
        let (mut round, mut looked, mut done) = (Vec::new(), 0u64, 0.0);
        loop {
            let next = open.pop();
            let row = next.as_ref().map_or(course.rows.1, |next| next.first);
            if round.len() >= ROUND * workers.threads() || next.is_none() {
                let share = course.share(row);
                let before = course.steps.load(Ordering::Relaxed);
                let parts = round.len() as u64;
                let found = within(workers, (done, share), |workers| {
                    let offers = |walk: &mut Walk, rows: (u128, u128), pulse: &Pulse| {
                        self.part(walk, rows, (objectives, &*keep), (course, pulse))
                    };
                    workers.spread(core::mem::take(&mut round).into_iter(), || walk.clone(), offers, ALONE)
                })?;
                found.into_iter().for_each(|found| keep.take(found));
                done = share;
                match (course.steps.load(Ordering::Relaxed) - before) / parts.max(1) {
                    few if few < STEPS => part = part.saturating_mul(2),
                    many if many > 16 * STEPS => part = (part / 2).max(1),
                    _ => {}
                }
            }
            let Some(next) = next else { return Ok(()) };
            looked += 1;
            if looked.is_multiple_of(ASKED) {
                course.add(ASKED * A_BOX, row)?;
                workers.goes_on(done)?;
            }
            if !keep.may_hold(&next) {
                continue;
            }
            match next.spans.iter().position(|(from, to)| to - from > 1).filter(|_| rows_of(&next) > part) {
                Some(axis) => open.extend(search.halves(&next, axis).into_iter().rev().flatten()),
                None => round.push((next.first, next.first + rows_of(&next))),
            }
        }
    }

    /// Walks some rows and offers what is feasible.
    fn part<K: Keep>(
        &self,
        walk: &mut Walk,
        (first, end): (u128, u128),
        (objectives, keep): (&[(Output, Goal)], &K),
        (course, pulse): (&Course, &Pulse),
    ) -> Result<K::Found> {
        let (found, rows) = (K::Found::default(), Vec::with_capacity(TOGETHER));
        let mut offers =
            Offers { study: self, objectives, keep, found, rows, course, first, pulse, halted: Ok(()) };
        walk.run(first..end, &mut offers);
        core::mem::replace(&mut offers.halted, Ok(()))?;
        offers.evaluate()?;
        Ok(offers.found)
    }
}
