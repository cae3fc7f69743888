//! Rows that wait to be taken, some at a time.

use super::rows::{Piece, RowSet, lanes_of};
use std::collections::VecDeque;

/// Rows in their order, added at the end and taken from the front; runs of rows take no more room than one.
#[derive(Debug, Default)]
pub(super) struct RowQueue {
    pieces: VecDeque<(u128, Piece)>,
    count: u128,
}

impl RowQueue {
    /// How many wait.
    pub(super) fn len(&self) -> u128 {
        self.count
    }

    /// Adds rows, which come after all that wait.
    pub(super) fn push(&mut self, rows: RowSet) {
        self.count += rows.len();
        self.pieces.extend(rows.into_pieces());
    }

    /// Takes so many from the front, or all where fewer wait.
    pub(super) fn take(&mut self, count: u128) -> RowSet {
        let mut taken = RowSet::default();
        let mut left = count.min(self.count);
        self.count -= left;
        while left > 0
            && let Some((first, piece)) = self.pieces.pop_front()
        {
            match piece {
                Piece::Run(run) => {
                    let some = run.min(left);
                    taken.push_run(first, some);
                    left -= some;
                    if some < run {
                        self.pieces.push_front((first + some, Piece::Run(run - some)));
                    }
                }
                Piece::Block(marks) => {
                    let all: u128 = marks.iter().map(|word| u128::from(word.count_ones())).sum();
                    if all <= left {
                        taken.push_block(first, &marks);
                        left -= all;
                        continue;
                    }
                    let (mut here, mut later) = (marks, marks);
                    for (i, lane) in lanes_of(marks).enumerate() {
                        let away = if (i as u128) < left { &mut later } else { &mut here };
                        if let Some(word) = away.get_mut(lane / 64) {
                            *word &= !(1 << (lane % 64));
                        }
                    }
                    taken.push_block(first, &here);
                    self.pieces.push_front((first, Piece::Block(later)));
                    left = 0;
                }
            }
        }
        taken
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::study::{Study, Workers};

    #[test]
    fn parts_of_the_rows_taken_by_blocks_are_the_whole() {
        let study = Study::parse(
            r#"{
            "axes": [
                {"figure": "bore", "from": "80 mm", "to": "90 mm", "count": 37},
                {"figure": "stroke", "from": "70 mm", "to": "95 mm", "count": 91},
                {"figure": "rod_length", "values": ["150 mm", "140 mm", "145 mm"]}
            ],
            "limits": {"swept_volume": {"lower": "400 cm3", "upper": "500 cm3"}, "rod_ratio": {"lower": "1.7"}}
        }"#,
        )
        .unwrap();
        let workers = Workers::new(2);
        let want: Vec<u128> = study.feasible(&workers).unwrap().iter().collect();
        assert!(want.len() > 500);
        for (part, block) in [(1, 3), (100, 7), (1000, 256), (3000, 5000), (99_999, 100)] {
            let (mut queue, mut row, mut found) = (RowQueue::default(), 0, Vec::new());
            while row < study.designs().unwrap() {
                queue.push(study.between(row, row + part).unwrap().feasible(&workers).unwrap());
                row += part;
                while queue.len() >= block {
                    let taken = queue.take(block);
                    assert_eq!(taken.len(), block);
                    found.extend(taken.iter());
                }
            }
            found.extend(queue.take(u128::MAX).iter());
            assert!(queue.len() == 0 && found == want, "{part} {block}");
        }
        let all =
            Study::parse(r#"{"axes": [{"figure": "bore", "from": "1 mm", "to": "9 mm", "count": 900}]}"#)
                .unwrap();
        let mut queue = RowQueue::default();
        queue.push(all.feasible(&workers).unwrap());
        assert_eq!(queue.take(899).iter().last(), Some(898));
        assert_eq!(queue.take(9).iter().collect::<Vec<_>>(), [899]);
    }
}
