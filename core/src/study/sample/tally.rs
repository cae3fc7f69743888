//! What is counted and summed of a column of outputs, in lanes that any vector width fills alike.

use super::bits;
use crate::study::wide::{Work, wide};
use serde::{Deserialize, Serialize};

/// Sums are kept in so many lanes, row by row, whatever the width of the vectors.
pub(super) const LANES: usize = 8;

/// Sums of the powers 1 to 4 of the values less a shift, in lanes, and counts.
#[derive(Debug, Clone, Default)]
pub(super) struct Tally {
    powers: [[f64; LANES]; 4],
    used: u64,
    outside: u64,
}

/// Adds a column: values of impossible samples, and those that are no finite number, become no number, and have no part in anything.
pub(super) struct Add<'t> {
    pub(super) tally: &'t mut Tally,
    pub(super) from: &'t [f64],
    /// By row: 1 where the sample is possible, else 0.
    pub(super) possible: &'t [u64],
    pub(super) values: &'t mut [f64],
    /// By row: 1 where all limits hold so far.
    pub(super) holds: &'t mut [u64],
    pub(super) limit: (f64, f64),
    pub(super) shift: f64,
}

impl Work for Add<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        let Self { tally, from, possible, values, holds, limit: (low, high), shift } = self;
        let (mut used, mut outside) = (0, 0);
        for (((to, x), possible), holds) in values.iter_mut().zip(from).zip(possible).zip(holds) {
            let is_used = x.is_finite() & (*possible != 0);
            let inside = (*x >= low) & (*x <= high);
            used += u64::from(is_used);
            outside += u64::from(is_used & !inside);
            *holds &= u64::from(is_used & inside);
            *to = if is_used { *x } else { f64::NAN };
        }
        tally.used += used;
        tally.outside += outside;
        let [mut first, mut second, mut third, mut fourth] = tally.powers;
        let (values, _) = values.as_chunks::<LANES>();
        for values in values {
            let lanes = values.iter().zip(&mut first).zip(&mut second).zip(&mut third).zip(&mut fourth);
            for ((((x, first), second), third), fourth) in lanes {
                let off = *x - shift;
                let off = if off.is_nan() { 0.0 } else { off };
                let square = off * off;
                *first += off;
                *second += square;
                *third += square * off;
                *fourth += square * square;
            }
        }
        tally.powers = [first, second, third, fourth];
    }
}

/// Sums of many tallies, in their order, each with what its additions lost.
#[derive(Debug, Clone, Copy, Default, Serialize, Deserialize)]
pub(super) struct Moments {
    #[serde(with = "bits")]
    sums: [(f64, f64); 4],
    pub(super) used: u64,
    pub(super) outside: u64,
}

/// Adds to a sum, and what the addition loses to its other part.
///
/// # Source
/// Neumaier, Rundungsfehleranalyse einiger Verfahren zur Summation endlicher Summen, ZAMM 54 (1974) 39 (from memory).
fn add((sum, lost): &mut (f64, f64), part: f64) {
    let all = *sum + part;
    *lost += if sum.abs() >= part.abs() { (*sum - all) + part } else { (part - all) + *sum };
    *sum = all;
}

impl Moments {
    pub(super) fn add(&mut self, tally: &Tally) {
        for (all, lanes) in self.sums.iter_mut().zip(&tally.powers) {
            add(all, lanes.iter().sum());
        }
        self.used += tally.used;
        self.outside += tally.outside;
    }

    /// What the next part came to.
    pub(super) fn append(&mut self, part: Self) {
        for (all, (part, lost)) in self.sums.iter_mut().zip(part.sums) {
            add(all, part);
            all.1 += lost;
        }
        self.used += part.used;
        self.outside += part.outside;
    }

    /// Mean, variance with divisor n, and fourth central moment of the values, which were summed less a shift.
    pub(super) fn central(&self, shift: f64) -> (f64, f64, f64) {
        let n = self.used as f64;
        let [a, b, c, d] = self.sums.map(|(sum, lost)| (sum + lost) / n);
        let variance = (b - a * a).max(0.0);
        let fourth = d - 4.0 * a * c + 6.0 * a * a * b - 3.0 * a * a * a * a;
        (shift + a, variance, fourth.max(0.0))
    }
}

/// From where to where values are kept.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub(super) struct Bracket {
    #[serde(with = "bits")]
    pub(super) low: f64,
    #[serde(with = "bits")]
    pub(super) high: f64,
}

/// How many values lie where, and those between the ends of a bracket.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub(super) struct Caught {
    /// Less than the lower end.
    pub(super) below: u64,
    /// Not more than the upper end.
    pub(super) upto: u64,
    /// Equal to the lower end.
    pub(super) at_low: u64,
    /// Equal to the upper end and not to the lower.
    pub(super) at_high: u64,
    /// Between the ends.
    #[serde(with = "bits")]
    pub(super) kept: Vec<f64>,
    /// Some between the ends were not kept.
    pub(super) full: bool,
}

impl Caught {
    /// What the next part caught.
    pub(super) fn append(&mut self, part: Self) {
        self.below += part.below;
        self.upto += part.upto;
        self.at_low += part.at_low;
        self.at_high += part.at_high;
        self.kept.extend(part.kept);
        self.full |= part.full;
    }

    /// A value inside the bracket.
    fn take(&mut self, bracket: Bracket, value: f64) {
        if value == bracket.low {
            self.at_low += 1;
        } else if value == bracket.high {
            self.at_high += 1;
        } else if !self.full {
            self.kept.push(value);
        }
    }

    /// Values between the ends, kept or not.
    pub(super) fn between(&self) -> u64 {
        self.upto.saturating_sub(self.below + self.at_low + self.at_high)
    }
}

/// Catches the values of a column in some brackets.
pub(super) struct Catch<'t> {
    pub(super) values: &'t [f64],
    pub(super) brackets: &'t [Bracket],
    pub(super) caught: &'t mut [Caught],
    /// Room for a mark by row.
    pub(super) marks: &'t mut [u8],
}

impl Catch<'_> {
    /// Counts in vectors, then looks at the few inside one by one.
    pub(super) fn all(self) {
        let Self { values, brackets, caught, marks } = self;
        for (brackets, caught) in brackets.chunks(TOGETHER).zip(caught.chunks_mut(TOGETHER)) {
            wide(Sift { values, brackets, caught: &mut *caught, marks: &mut *marks });
            let (words, _) = marks.as_chunks::<LANES>();
            let (values, _) = values.as_chunks::<LANES>();
            for (values, word) in values.iter().zip(words) {
                if u64::from_ne_bytes(*word) == 0 {
                    continue;
                }
                for (value, _) in values.iter().zip(word).filter(|(_, mark)| **mark != 0) {
                    for (caught, bracket) in caught.iter_mut().zip(brackets) {
                        if *value >= bracket.low && *value <= bracket.high {
                            caught.take(*bracket, *value);
                        }
                    }
                }
            }
        }
    }
}

/// Brackets that are counted in one go.
const TOGETHER: usize = 3;

struct Sift<'t> {
    values: &'t [f64],
    brackets: &'t [Bracket],
    caught: &'t mut [Caught],
    marks: &'t mut [u8],
}

impl Work for Sift<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        let Self { values, brackets, caught, marks } = self;
        // Where there are fewer, brackets that nothing is in.
        let mut all = [Bracket { low: f64::INFINITY, high: f64::NEG_INFINITY }; TOGETHER];
        for (to, from) in all.iter_mut().zip(brackets) {
            *to = *from;
        }
        let [a, b, c] = all;
        let mut counts = [(0u64, 0u64); TOGETHER];
        let [(a_below, a_upto), (b_below, b_upto), (c_below, c_upto)] = &mut counts;
        for (x, mark) in values.iter().zip(marks) {
            let (under, upto) = (*x < a.low, *x <= a.high);
            *a_below += u64::from(under);
            *a_upto += u64::from(upto);
            let mut inside = !under & upto;
            let (under, upto) = (*x < b.low, *x <= b.high);
            *b_below += u64::from(under);
            *b_upto += u64::from(upto);
            inside |= !under & upto;
            let (under, upto) = (*x < c.low, *x <= c.high);
            *c_below += u64::from(under);
            *c_upto += u64::from(upto);
            *mark = u8::from(inside | (!under & upto));
        }
        for (caught, (below, upto)) in caught.iter_mut().zip(counts) {
            caught.below += below;
            caught.upto += upto;
        }
    }
}
