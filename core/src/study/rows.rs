//! Sets of rows, as blocks of marks and runs.

use super::wide::{BLOCK, Work, wide};
use super::workers::Workers;
use crate::error::Result;

/// A mark for each lane of a block.
pub(super) type Marks = [u64; BLOCK / 64];

/// Every lane.
pub(super) const ALL: Marks = [u64::MAX; BLOCK / 64];

/// Keeps the marks of lanes whose two values hold a condition; lanes that have no values keep theirs.
#[inline(always)]
pub(super) fn keep(marks: &mut Marks, first: &[f64], second: &[f64], holds: impl Fn(f64, f64) -> bool) {
    for ((word, first), second) in marks.iter_mut().zip(first.chunks(64)).zip(second.chunks(64)) {
        let mut bits = 0;
        for (i, (first, second)) in first.iter().zip(second).enumerate() {
            bits |= u64::from(!holds(*first, *second)) << i;
        }
        *word &= !bits;
    }
}

/// Removes the marks of lanes outside some.
pub(super) fn clip(marks: &mut Marks, lanes: &core::ops::Range<usize>) {
    for (i, word) in marks.iter_mut().enumerate() {
        let below = |lane: usize| match lane.saturating_sub(64 * i) {
            many if many >= 64 => u64::MAX,
            some => (1 << some) - 1,
        };
        *word &= below(lanes.end) & !below(lanes.start);
    }
}

/// How many lanes have a mark.
pub(super) fn count_of(marks: &Marks) -> u32 {
    marks.iter().map(|word| word.count_ones()).sum()
}

/// The lanes that have a mark.
pub(super) fn lanes_of(marks: Marks) -> impl Iterator<Item = usize> {
    let word = |(i, word): (usize, u64)| {
        let mut rest = word;
        core::iter::from_fn(move || {
            let lane = 64 * i + rest.trailing_zeros() as usize;
            let some = rest != 0;
            rest &= rest.wrapping_sub(1);
            some.then_some(lane)
        })
    };
    marks.into_iter().enumerate().flat_map(word)
}

/// Rows that follow one another, or some of a block.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Piece {
    Run(u128),
    Block(Marks),
}

impl Piece {
    /// How many rows.
    fn len(&self) -> u128 {
        match self {
            Self::Run(count) => *count,
            Self::Block(marks) => u128::from(count_of(marks)),
        }
    }
}

/// Pieces that one thread writes at a time: up to a million rows, unless there are long runs.
const TOGETHER: usize = 4096;

/// Writes the rows of pieces, as far as there is room.
struct Written<'w> {
    pieces: &'w [(u128, Piece)],
    out: &'w mut [u64],
}

impl Work for Written<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        let mut out = self.out;
        for (first, piece) in self.pieces {
            let first = *first as u64;
            out = match piece {
                Piece::Run(count) => {
                    let count = usize::try_from(*count).unwrap_or(usize::MAX).min(out.len());
                    let (own, after) = out.split_at_mut_checked(count).unwrap_or_default();
                    own.iter_mut().zip(first..).for_each(|(out, row)| *out = row);
                    after
                }
                Piece::Block(marks) => write_marks(first, marks, out),
            };
        }
    }
}

/// Writes the rows that have a mark, from a first on, as far as there is room; the room that is left.
#[inline(always)]
pub(super) fn write_marks<'o>(first: u64, marks: &[u64], mut out: &'o mut [u64]) -> &'o mut [u64] {
    for (start, word) in (first..).step_by(64).zip(marks) {
        let count = (word.count_ones() as usize).min(out.len());
        let (own, after) = out.split_at_mut_checked(count).unwrap_or_default();
        let mut bits = *word;
        for slot in own {
            *slot = start + u64::from(bits.trailing_zeros());
            bits &= bits.wrapping_sub(1);
        }
        out = after;
    }
    out
}

/// Rows of a grid, rising.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct RowSet {
    pieces: Vec<(u128, Piece)>,
    count: u128,
}

impl RowSet {
    /// How many.
    pub fn len(&self) -> u128 {
        self.count
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.count == 0
    }

    /// Each row.
    pub fn iter(&self) -> impl Iterator<Item = u128> + '_ {
        self.pieces.iter().flat_map(Self::rows_of)
    }

    /// Those from one row to before another.
    pub(super) fn among(&self, rows: core::ops::Range<u128>) -> impl Iterator<Item = u128> + '_ {
        // A piece that begins before may reach into them.
        let from = self.pieces.partition_point(|(first, _)| *first < rows.start).saturating_sub(1);
        let to = self.pieces.partition_point(|(first, _)| *first < rows.end);
        let some = self.pieces.get(from..to).unwrap_or_default();
        some.iter().flat_map(Self::rows_of).filter(move |row| rows.contains(row))
    }

    /// The first row and the length of each run; of a block its first row.
    pub(super) fn spans(&self) -> impl Iterator<Item = (u128, u128)> + '_ {
        self.pieces.iter().map(|(first, piece)| match piece {
            Piece::Run(count) => (*first, *count),
            Piece::Block(_) => (*first, 1),
        })
    }

    fn rows_of((first, piece): &(u128, Piece)) -> impl Iterator<Item = u128> + use<> {
        let (run, marks) = match piece {
            Piece::Run(count) => (*count, Marks::default()),
            Piece::Block(marks) => (0, *marks),
        };
        let first = *first;
        (first..first + run).chain(lanes_of(marks).map(move |lane| first + lane as u128))
    }

    /// Writes the rows as far as there is room, as numbers of 64 bits.
    pub fn write(&self, out: &mut [u64]) {
        wide(Written { pieces: &self.pieces, out });
    }

    /// The same on many threads.
    ///
    /// # Errors
    /// [`crate::Error::Stopped`].
    pub fn write_by(&self, out: &mut [u64], workers: &Workers) -> Result<()> {
        let (mut rest, mut parts) = (out, Vec::new());
        for pieces in self.pieces.chunks(TOGETHER) {
            let count: u128 = pieces.iter().map(|(_, piece)| piece.len()).sum();
            let count = usize::try_from(count).unwrap_or(usize::MAX).min(rest.len());
            let Some((own, after)) = rest.split_at_mut_checked(count) else { break };
            parts.push(Written { pieces, out: own });
            rest = after;
        }
        let write = |(): &mut (), part: Written<'_>| {
            wide(part);
            Ok(())
        };
        workers.each(parts.into_iter(), || (), write).map(|_| ())
    }

    /// Adds rows that follow one another, after all that it has.
    pub(super) fn push_run(&mut self, first: u128, count: u128) {
        self.count += count;
        match self.pieces.last_mut() {
            Some((start, Piece::Run(run))) if *start + *run == first => *run += count,
            _ => self.pieces.push((first, Piece::Run(count))),
        }
    }

    /// Adds the rows of a block that have a mark, after all that it has.
    pub(super) fn push_block(&mut self, first: u128, marks: &Marks) {
        let count = count_of(marks);
        if count > 0 {
            self.count += u128::from(count);
            self.pieces.push((first, Piece::Block(*marks)));
        }
    }

    /// Its pieces.
    pub(super) fn into_pieces(self) -> Vec<(u128, Piece)> {
        self.pieces
    }

    /// All rows of some sets, each of which come after those of the sets before.
    pub(super) fn joined(parts: Vec<Self>) -> Self {
        let count = parts.iter().map(|part| part.count).sum();
        let mut pieces = Vec::with_capacity(parts.iter().map(|part| part.pieces.len()).sum());
        parts.into_iter().for_each(|mut part| pieces.append(&mut part.pieces));
        Self { pieces, count }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn marks_are_the_flags(flags in proptest::collection::vec(any::<bool>(), 0..=BLOCK), a in 0..BLOCK, b in 0..BLOCK) {
            let values: Vec<f64> = flags.iter().map(|flag| f64::from(u8::from(*flag))).collect();
            let mut marks = ALL;
            keep(&mut marks, &values, &values, |a, b| a + b > 0.0);
            clip(&mut marks, &(0..flags.len()));
            let want: Vec<usize> = flags.iter().enumerate().filter(|(_, f)| **f).map(|(i, _)| i).collect();
            prop_assert_eq!(lanes_of(marks).collect::<Vec<_>>(), want.clone());
            let (lanes, mut some) = (a.min(b)..a.max(b), marks);
            clip(&mut some, &lanes);
            prop_assert_eq!(lanes_of(some).collect::<Vec<_>>(), want.iter().copied().filter(|l| lanes.contains(l)).collect::<Vec<_>>());
            let mut set = RowSet::default();
            set.push_run(3, 4);
            set.push_run(7, 2);
            set.push_block(1 << 70, &marks);
            let rows: Vec<u128> = (3..9).chain(want.iter().map(|l| (1 << 70) + *l as u128)).collect();
            prop_assert_eq!(set.iter().collect::<Vec<_>>(), rows.clone());
            prop_assert_eq!(set.len(), rows.len() as u128);
            let mut out = vec![0; rows.len()];
            set.write(&mut out);
            prop_assert!(out.iter().zip(&rows).all(|(a, b)| *a == *b as u64));
            let (mut same, mut fewer) = (vec![0; rows.len()], vec![0; rows.len() / 2]);
            set.write_by(&mut same, &Workers::new(2)).unwrap();
            prop_assert_eq!(&same, &out);
            set.write(&mut fewer);
            prop_assert_eq!(&fewer, &out[..fewer.len()]);
            let among = |rows: core::ops::Range<u128>| set.among(rows).collect::<Vec<_>>();
            prop_assert_eq!(among(0..1 << 80), rows.clone());
            let some = (5, (1 << 70) + lanes.end as u128);
            prop_assert_eq!(among(some.0..some.1), rows.iter().copied().filter(|r| (some.0..some.1).contains(r)).collect::<Vec<_>>());
        }
    }
}
