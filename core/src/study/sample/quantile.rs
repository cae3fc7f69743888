//! Exact quantiles of values that are not stored: each is sought in a bracket that a few samples told; what falls inside is kept, what is below is counted.

use super::tally::{Bracket, Caught};

/// How hard quantiles are sought.
#[derive(Debug, Clone, Copy)]
pub(super) struct Effort {
    /// Samples of the pilot.
    pub(super) pilot: u64,
    /// Half a bracket, in standard deviations of the rank that the pilot tells.
    pub(super) margin: f64,
    /// Values kept at once.
    pub(super) most: u64,
    /// Passes over the samples until memory is no matter.
    pub(super) passes: u32,
}

impl Effort {
    pub(super) const USUAL: Self = Self { pilot: 1 << 16, margin: 4.0, most: 1 << 21, passes: 12 };
}

/// The rank of a quantile among n values in their order, counted from 0, between two whole ones: (n - 1) q.
///
/// # Source
/// Hyndman, Fan, Sample quantiles in statistical packages, The American Statistician 50 (1996) 361, definition 7 (from memory).
fn rank(q: f64, n: u64) -> f64 {
    n.saturating_sub(1) as f64 * q
}

/// The standard deviation of how many of n independent values lie below the quantile (binomial).
fn rank_deviation(q: f64, n: u64) -> f64 {
    (n as f64 * q * (1.0 - q)).sqrt()
}

/// First and last whole rank that a quantile and its error need among n values.
pub(super) fn ranks(q: f64, n: u64) -> (u64, u64) {
    let (at, off) = (rank(q, n), rank_deviation(q, n));
    let last = n.saturating_sub(1);
    // Too low a number becomes 0.
    (((at - off).floor() as u64).min(last), ((at + off).floor() as u64).saturating_add(1).min(last))
}

/// The quantile and its standard error, from the values at whole ranks.
///
/// Half the distance of the values whose ranks are one standard deviation to either side; no number where they are beyond the ends.
pub(super) fn quantile(q: f64, n: u64, at: impl Fn(u64) -> Option<f64>) -> (f64, f64) {
    let (place, off, last) = (rank(q, n), rank_deviation(q, n), n.saturating_sub(1));
    let between = |place: f64| {
        let first = place.floor();
        let (a, b) = (at((first as u64).min(last))?, at((first as u64 + 1).min(last))?);
        let (share, step) = (place - first, b - a);
        // From the nearer end, so that equal values give themselves and the order stays.
        Some(if share >= 0.5 { b - step * (1.0 - share) } else { a + step * share })
    };
    let value = between(place).unwrap_or(f64::NAN);
    let told = off > 0.0 && place - off >= 0.0 && place + off <= last as f64;
    let error = match (told, between(place - off), between(place + off)) {
        (true, Some(low), Some(high)) => (high - low) / 2.0,
        _ => f64::NAN,
    };
    (value, error)
}

/// Whole ranks of sorted values as the ends of a bracket; beyond the ends there is no bound.
fn between(sorted: &[f64], low: f64, high: f64) -> Bracket {
    let at = |i: f64| sorted.get(i as usize).copied();
    Bracket {
        low: if low < 0.0 { None } else { at(low.floor()) }.unwrap_or(f64::NEG_INFINITY),
        high: if high < 0.0 { None } else { at(high.ceil()) }.unwrap_or(f64::INFINITY),
    }
}

/// Ranks that are added to half a bracket, for quantiles near the ends.
const FEW: f64 = 3.0;

/// A quantile that is sought.
#[derive(Debug, Clone)]
pub(super) struct Sought {
    pub(super) q: f64,
    pub(super) bracket: Bracket,
    /// The margin, which grows with each miss.
    margin: f64,
}

impl Sought {
    /// From the sorted values of the pilot, for what n values need.
    pub(super) fn new(q: f64, pilot: &[f64], margin: f64) -> Self {
        let mut sought = Self { q, bracket: Bracket { low: f64::NAN, high: f64::NAN }, margin };
        sought.widen(pilot, 1.0);
        sought
    }

    /// A bracket with the margin times a factor.
    fn widen(&mut self, pilot: &[f64], factor: f64) {
        self.margin *= factor;
        let n = pilot.len() as u64;
        let off = self.margin * rank_deviation(self.q, n) + FEW;
        self.bracket = between(pilot, rank(self.q, n) - off, rank(self.q, n) + off);
    }

    /// The share of all values that the bracket is expected to hold, where so many told it.
    pub(super) fn share(&self, told: u64) -> f64 {
        (2.0 * (self.margin * rank_deviation(self.q, told) + FEW) / told.max(1) as f64).min(1.0)
    }

    /// From what was caught of the first n values, a narrower bracket for many more; false where it was missed, and stays.
    pub(super) fn narrow(&mut self, mut caught: Caught, n: u64) -> bool {
        let off = self.margin * rank_deviation(self.q, n) + FEW;
        let (low, high) = (rank(self.q, n) - off, rank(self.q, n) + off);
        if low < 0.0 || high > n as f64 - 1.0 {
            return false;
        }
        match Found::new(&mut caught, self.bracket, (low.floor() as u64, high.ceil() as u64)) {
            Some(found) => match (found.at(low.floor() as u64), found.at(high.ceil() as u64)) {
                (Some(low), Some(high)) => {
                    self.bracket = Bracket { low, high };
                    true
                }
                _ => false,
            },
            None => false,
        }
    }

    /// The next bracket after one that missed, or caught too much. `n` values in all.
    pub(super) fn again(&mut self, mut caught: Caught, n: u64, pilot: &[f64]) {
        let (first, last) = ranks(self.q, n);
        if first < caught.below || last >= caught.upto {
            return self.widen(pilot, 4.0);
        }
        // What was kept stands for all between the ends.
        let between_ends = caught.between().max(1) as f64;
        let start = (caught.below + caught.at_low) as f64;
        let kept = caught.kept.len() as f64;
        caught.kept.sort_unstable_by(f64::total_cmp);
        let place = |rank: u64, side: f64| {
            let share = ((rank as f64 - start) / between_ends).clamp(0.0, 1.0);
            share * kept + side * (5.0 * (kept * share * (1.0 - share)).sqrt() + FEW)
        };
        let next = between(&caught.kept, place(first, -1.0), place(last, 1.0));
        self.bracket =
            Bracket { low: next.low.max(self.bracket.low), high: next.high.min(self.bracket.high) };
    }

    /// No bracket at all: everything is kept.
    pub(super) fn give_up(&mut self) {
        self.bracket = Bracket { low: f64::NEG_INFINITY, high: f64::INFINITY };
    }
}

/// Values at some ranks, found in what a bracket caught.
#[derive(Debug)]
pub(super) struct Found<'c> {
    caught: &'c Caught,
    bracket: Bracket,
}

impl<'c> Found<'c> {
    /// None where not all ranks from the first to the last were caught.
    pub(super) fn new(caught: &'c mut Caught, bracket: Bracket, (first, last): (u64, u64)) -> Option<Self> {
        if first < caught.below || last >= caught.upto {
            return None;
        }
        let start = caught.below + caught.at_low;
        let end = caught.upto - caught.at_high;
        if caught.full && last >= start && first < end {
            return None;
        }
        // Only the ranks that are asked for are put in their order.
        let from = (first.saturating_sub(start) as usize).min(caught.kept.len());
        if from > 0 && from < caught.kept.len() {
            caught.kept.select_nth_unstable_by(from, f64::total_cmp);
        }
        let rest = caught.kept.get_mut(from..).unwrap_or_default();
        let to = ((last + 1).saturating_sub(start) as usize).saturating_sub(from);
        if to < rest.len() {
            rest.select_nth_unstable_by(to, f64::total_cmp);
        }
        let to = to.min(rest.len());
        rest.get_mut(..to).unwrap_or_default().sort_unstable_by(f64::total_cmp);
        Some(Self { caught, bracket })
    }

    /// The value at one of the ranks.
    pub(super) fn at(&self, rank: u64) -> Option<f64> {
        let start = self.caught.below + self.caught.at_low;
        if rank < self.caught.below || rank >= self.caught.upto {
            None
        } else if rank < start {
            Some(self.bracket.low)
        } else if rank >= self.caught.upto - self.caught.at_high {
            Some(self.bracket.high)
        } else {
            self.caught.kept.get((rank - start) as usize).copied()
        }
    }
}
