//! Sets of rows, as blocks of marks and runs.

use super::stage::BLOCK;

/// A mark for each lane of a block.
pub(super) type Marks = [u64; BLOCK / 64];

/// The marks of some lanes, from flags.
pub(super) fn marks_of(flags: &[bool]) -> Marks {
    let mut marks = Marks::default();
    for (word, flags) in marks.iter_mut().zip(flags.chunks(64)) {
        for (eight, flags) in flags.chunks(8).enumerate() {
            let bits = match <&[bool; 8]>::try_from(flags) {
                // Eight bytes of 0 or 1 to eight bits: the product lifts byte i to bit 56 + i.
                Ok(all) => u64::from_le_bytes(all.map(u8::from)).wrapping_mul(0x0102_0408_1020_4080) >> 56,
                Err(_) => flags.iter().enumerate().fold(0, |bits, (i, flag)| bits | u64::from(*flag) << i),
            };
            *word |= bits << (8 * eight);
        }
    }
    marks
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
        self.pieces.iter().flat_map(|(first, piece)| {
            let (run, marks) = match piece {
                Piece::Run(count) => (*count, Marks::default()),
                Piece::Block(marks) => (0, *marks),
            };
            let first = *first;
            (first..first + run).chain(lanes_of(marks).map(move |lane| first + lane as u128))
        })
    }

    /// Writes the rows as far as there is room, as numbers of 64 bits.
    pub fn write(&self, out: &mut [u64]) {
        let mut out = out.iter_mut();
        for (first, piece) in &self.pieces {
            let first = *first as u64;
            match piece {
                Piece::Run(count) => {
                    let end = first.saturating_add(u64::try_from(*count).unwrap_or(u64::MAX));
                    // The rows lead, so that none is skipped where there is no more room.
                    (first..end).zip(&mut out).for_each(|(row, out)| *out = row);
                }
                Piece::Block(marks) => {
                    lanes_of(*marks).zip(&mut out).for_each(|(lane, out)| *out = first + lane as u64);
                }
            }
        }
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

    /// Adds all rows of another, which come after all that it has.
    pub(super) fn append(&mut self, mut other: Self) {
        self.count += other.count;
        self.pieces.append(&mut other.pieces);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn marks_are_the_flags(flags in proptest::collection::vec(any::<bool>(), 0..=BLOCK), a in 0..BLOCK, b in 0..BLOCK) {
            let marks = marks_of(&flags);
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
        }
    }
}
