//! What is counted and summed of a column of outputs, in lanes that any vector width fills alike.

use crate::study::wide::Work;

/// Sums are kept in so many lanes, row by row, whatever the width of the vectors.
pub(super) const LANES: usize = 8;

/// Sums of the powers 1 to 4 of the values less a shift, in lanes, and counts.
#[derive(Debug, Clone, Default)]
pub(super) struct Tally {
    powers: [[f64; LANES]; 4],
    used: u64,
    outside: u64,
}

/// Adds a column: values that are no finite number become no number, and have no part in anything. Rows outside the limit are unmarked.
pub(super) struct Add<'t> {
    pub(super) tally: &'t mut Tally,
    pub(super) values: &'t mut [f64],
    pub(super) marks: &'t mut [u64],
    pub(super) limit: (f64, f64),
    pub(super) shift: f64,
}

impl Work for Add<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        let Self { tally, values, marks, limit: (low, high), shift } = self;
        let (mut used, mut outside) = (0, 0);
        for (x, mark) in values.iter_mut().zip(marks) {
            // Infinity less itself is no number.
            let finite = *x - *x == 0.0;
            let (below, above) = (*x < low, *x > high);
            used += u64::from(finite);
            outside += u64::from(finite & (below | above));
            *mark &= u64::from(finite & !(below | above));
            *x = if finite { *x } else { f64::NAN };
        }
        tally.used += used;
        tally.outside += outside;
        let [mut first, mut second, mut third, mut fourth] = tally.powers;
        let (values, _) = values.as_chunks::<LANES>();
        for values in values {
            let lanes = values.iter().zip(&mut first).zip(&mut second).zip(&mut third).zip(&mut fourth);
            for ((((x, first), second), third), fourth) in lanes {
                let off = *x - shift;
                let off = if off == off { off } else { 0.0 };
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
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Moments {
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
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Bracket {
    pub(super) low: f64,
    pub(super) high: f64,
}

/// How many values lie where, and those between the ends of a bracket.
#[derive(Debug, Clone, Default)]
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

/// Catches the values of a column.
pub(super) struct Catch<'t> {
    pub(super) values: &'t [f64],
    pub(super) brackets: &'t [Bracket],
    pub(super) caught: &'t mut [Caught],
    /// Room for the values inside any bracket.
    pub(super) inside: &'t mut [f64],
    pub(super) marks: &'t mut [u64],
}

impl Catch<'_> {
    /// Counts in vectors, then looks at the few inside one by one.
    pub(super) fn all(mut self) {
        let found = crate::study::wide::wide(Sift {
            values: self.values,
            brackets: self.brackets,
            caught: &mut *self.caught,
            inside: &mut *self.inside,
            marks: &mut *self.marks,
        });
        let inside = core::mem::take(&mut self.inside);
        for value in inside.iter().take(found) {
            for (caught, bracket) in self.caught.iter_mut().zip(self.brackets) {
                if *value >= bracket.low && *value <= bracket.high {
                    caught.take(*bracket, *value);
                }
            }
        }
    }
}

struct Sift<'t> {
    values: &'t [f64],
    brackets: &'t [Bracket],
    caught: &'t mut [Caught],
    inside: &'t mut [f64],
    marks: &'t mut [u64],
}

impl Work for Sift<'_> {
    type Output = usize;

    #[inline(always)]
    fn call(self) -> usize {
        let Self { values, brackets, caught, inside, marks } = self;
        marks.fill(0);
        for (caught, bracket) in caught.iter_mut().zip(brackets) {
            let Bracket { low, high } = *bracket;
            let (mut below, mut upto) = (0, 0);
            for (x, mark) in values.iter().zip(marks.iter_mut()) {
                let (under, over) = (*x < low, *x <= high);
                below += u64::from(under);
                upto += u64::from(over);
                *mark |= u64::from(!under & over);
            }
            caught.below += below;
            caught.upto += upto;
        }
        let mut found = 0usize;
        for (x, mark) in values.iter().zip(marks.iter()) {
            if let Some(slot) = inside.get_mut(found) {
                *slot = *x;
            }
            found += *mark as usize;
        }
        found
    }
}
