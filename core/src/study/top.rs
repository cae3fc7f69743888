//! The best of many rows, a few kept at a time.

use super::best::{Best, Goal};
use super::output::Output;
use super::search::order;
use std::sync::{Mutex, PoisonError};

/// How many of the best rows, by what, and which way is better.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BestOf {
    /// At most so many.
    pub k: usize,
    /// By what.
    pub output: Output,
    /// Which way is better.
    pub goal: Goal,
}

/// The best so far.
#[derive(Debug, Clone)]
pub(super) struct Top {
    k: usize,
    sign: f64,
    found: Vec<Best>,
    /// What is below, as the goal counts it, is beaten by k others.
    least: f64,
}

impl Top {
    pub(super) fn new(k: usize, goal: Goal) -> Self {
        Self {
            k,
            sign: goal.sign(),
            found: Vec::new(),
            least: if k == 0 { f64::INFINITY } else { f64::NEG_INFINITY },
        }
    }

    /// Whether a value may be among the best; no number never is.
    #[inline(always)]
    pub(super) fn may_take(&self, value: f64) -> bool {
        self.sign * value >= self.least
    }

    /// The same as limits, for whole blocks.
    pub(super) fn ends(&self) -> (f64, f64) {
        if self.sign > 0.0 { (self.least, f64::INFINITY) } else { (f64::NEG_INFINITY, -self.least) }
    }

    #[inline]
    pub(super) fn offer(&mut self, row: u64, value: f64) {
        if self.may_take(value) && self.k > 0 {
            self.found.push(Best { row: u128::from(row), value });
            if self.found.len() >= self.room() {
                self.cut();
            }
        }
    }

    /// Rows that are kept before the worst are dropped.
    fn room(&self) -> usize {
        self.k.saturating_mul(2).max(64)
    }

    fn order(sign: f64) -> impl Fn(&Best, &Best) -> core::cmp::Ordering {
        move |a, b| order((sign * b.value, b.row), (sign * a.value, a.row))
    }

    /// Keeps the k best.
    fn cut(&mut self) {
        if let Some(last) = self.k.checked_sub(1).filter(|last| *last < self.found.len()) {
            let (_, worst, _) = self.found.select_nth_unstable_by(last, Self::order(self.sign));
            self.least = self.sign * worst.value;
            self.found.truncate(self.k);
        }
    }

    /// Hands what was found to another that collects, and learns from it what is beaten.
    pub(super) fn hand(&mut self, all: &mut Self) {
        let (sign, least) = (all.sign, all.least);
        all.found.extend(self.found.drain(..).filter(|b| sign * b.value >= least));
        let first = all.least == f64::NEG_INFINITY && all.found.len() >= all.k;
        if first || all.found.len() >= all.room() {
            all.cut();
        }
        self.least = all.least;
    }

    /// The best, the better first, of equal ones the lower row.
    pub(super) fn best(mut self) -> Vec<Best> {
        self.found.sort_unstable_by(Self::order(self.sign));
        self.found.truncate(self.k);
        self.found
    }
}

/// The best that threads find together.
pub(super) struct Shared(Mutex<Option<Top>>);

impl Shared {
    pub(super) fn new(top: Option<Top>) -> Self {
        Self(Mutex::new(top))
    }

    /// Takes what a thread has found.
    pub(super) fn take(&self, own: &mut Option<Top>) {
        if let Some(own) = own
            && let Some(all) = self.0.lock().unwrap_or_else(PoisonError::into_inner).as_mut()
        {
            own.hand(all);
        }
    }

    /// The best of all.
    pub(super) fn best(self) -> Vec<Best> {
        let top = self.0.into_inner().unwrap_or_else(PoisonError::into_inner);
        top.map(Top::best).unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn the_best_of_parts_are_those_of_all(
            values in prop::collection::vec(prop_oneof![(0..50i32).prop_map(f64::from), Just(f64::NAN)], 0..900),
            k in 0..40usize, parts in 1..5usize, up in any::<bool>(),
        ) {
            let goal = if up { Goal::Maximise } else { Goal::Minimise };
            let mut all = Top::new(k, goal);
            let mut own = vec![all.clone(); parts];
            for (row, value) in values.iter().enumerate() {
                own[row % parts].offer(row as u64, *value);
                if row % 97 == 0 {
                    own[row % parts].hand(&mut all);
                }
            }
            own.iter_mut().for_each(|o| o.hand(&mut all));
            let mut want: Vec<(f64, usize)> = values.iter().copied().zip(0..).filter(|(v, _)| !v.is_nan()).collect();
            let sign = if up { -1.0 } else { 1.0 };
            want.sort_by(|a, b| (sign * a.0).total_cmp(&(sign * b.0)).then(a.1.cmp(&b.1)));
            want.truncate(k);
            let found: Vec<(f64, usize)> = all.best().iter().map(|b| (b.value, b.row as usize)).collect();
            prop_assert_eq!(found, want);
        }
    }
}
