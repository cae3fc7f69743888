//! What is counted and summed of a column of outputs, in lanes that any vector width fills alike.

use crate::study::wide::Work;

/// Sums are kept in so many lanes, row by row, whatever the width of the vectors.
pub(super) const LANES: usize = 8;

/// Sums of the powers 1 to 4 of the values less a shift, in lanes, and counts.
#[derive(Debug, Clone, Default)]
pub(super) struct Tally {
    powers: [[f64; LANES]; 4],
    used: [u64; LANES],
    outside: [u64; LANES],
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
        let mut all = tally.clone();
        let ([first, second, third, fourth], used, outside) =
            (&mut all.powers, &mut all.used, &mut all.outside);
        let (values, _) = values.as_chunks_mut::<LANES>();
        let (marks, _) = marks.as_chunks_mut::<LANES>();
        for (values, marks) in values.iter_mut().zip(marks) {
            let mut off = [0.0; LANES];
            for ((d, x), used) in off.iter_mut().zip(values.iter_mut()).zip(used.iter_mut()) {
                // Infinity less itself is no number.
                let finite = *x - *x == 0.0;
                *x = if finite { *x } else { f64::NAN };
                *d = if finite { *x - shift } else { 0.0 };
                *used += u64::from(finite);
            }
            for (sum, d) in first.iter_mut().zip(off) {
                *sum += d;
            }
            for (((two, three), four), d) in
                second.iter_mut().zip(third.iter_mut()).zip(fourth.iter_mut()).zip(off)
            {
                let square = d * d;
                *two += square;
                *three += square * d;
                *four += square * square;
            }
            for ((x, mark), outside) in values.iter().zip(marks).zip(outside.iter_mut()) {
                let inside = (*x >= low) & (*x <= high);
                *mark &= u64::from(inside);
                *outside += u64::from((*x < low) | (*x > high));
            }
        }
        *tally = all;
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
        self.used += tally.used.iter().sum::<u64>();
        self.outside += tally.outside.iter().sum::<u64>();
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
            let (mut below, mut upto) = ([0u64; LANES], [0u64; LANES]);
            let (values, _) = values.as_chunks::<LANES>();
            let (marks, _) = marks.as_chunks_mut::<LANES>();
            for (values, marks) in values.iter().zip(marks) {
                for (((x, mark), below), upto) in
                    values.iter().zip(marks).zip(below.iter_mut()).zip(upto.iter_mut())
                {
                    *below += u64::from(*x < low);
                    *upto += u64::from(*x <= high);
                    *mark |= u64::from((*x >= low) & (*x <= high));
                }
            }
            caught.below += below.iter().sum::<u64>();
            caught.upto += upto.iter().sum::<u64>();
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
