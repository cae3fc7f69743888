//! Which of many listed designs are feasible: limits in the order of what they cost, each asked only of rows that are left.

use super::batch::{BLOCK, Batch, Block, Marks, NOTHING, Views};
use super::edge::figure_ends;
use super::figure::Figure;
use super::given::{Given, StudyLimit};
use super::output::Output;
use super::plan::Shape;
use super::source::{Source, all_marks};
use super::top::{BestOf, Top};
use super::wide::Arch;
use crate::error::Result;

/// Limits in the order in which they are tested, and the output by which the best are found.
#[derive(Debug, Clone)]
pub(super) struct Sieve {
    levels: Vec<Batch>,
    /// The buffer of the last level in which the goal is found.
    goal: Option<usize>,
}

/// Whether an output takes no more than sums and products of few figures.
fn is_cheap(output: Output, shape: Shape) -> bool {
    use Output as O;
    !shape.offset
        && matches!(
            output,
            O::Displacement | O::SweptVolume | O::DeckClearance | O::PistonToHead | O::WallBetweenBores
        )
}

impl Sieve {
    pub(super) fn new(given: &Given, limits: &[StudyLimit], best: Option<BestOf>) -> Result<Self> {
        let shape = given.shape();
        let (mut cheap, mut dear) = (Batch::new(shape), Batch::new(shape));
        for limit in limits {
            if let Some((place, ends)) = figure_ends(given, limit) {
                cheap.figure(place, ends);
            } else if is_cheap(limit.output, shape) {
                cheap.limit(given, limit);
            } else {
                dear.limit(given, limit);
            }
        }
        let mut levels: Vec<Batch> = [cheap, dear].into_iter().filter(|b| !b.is_empty()).collect();
        let goal = best.map(|best| {
            if levels.is_empty() {
                levels.push(Batch::new(shape));
            }
            levels.last_mut().map_or(usize::MAX, |last| last.output(given, best.output))
        });
        Ok(Self { levels, goal })
    }
}

/// What one thread works with.
#[derive(Debug, Clone)]
pub(super) struct Desk {
    sieve: Sieve,
    rooms: [Block; Figure::ALL.len()],
    rows: [u16; BLOCK],
    pub(super) top: Option<Top>,
}

/// What was found in a part of the rows.
#[derive(Debug, Clone, Default)]
pub(super) struct Found {
    pub(super) feasible: u64,
    pub(super) refused: u64,
    /// One bit a row, where they are wanted.
    pub(super) bits: Vec<u64>,
}

/// Rows of which at most this share is left are gathered before the next limits are tested.
const GATHERED: usize = 2;

impl Desk {
    pub(super) fn new(sieve: &Sieve, top: Option<Top>) -> Self {
        Self { sieve: sieve.clone(), rooms: [[0.0; BLOCK]; Figure::ALL.len()], rows: [0; BLOCK], top }
    }

    /// Works through rows of a source, from the first to before the end.
    pub(super) fn sift<S: Source>(&mut self, source: &S, arch: Arch, (first, end): (u64, u64), bits: bool) -> Found {
        let mut found = Found::default();
        let mut start = first;
        while start < end {
            let rows = (end - start).min(BLOCK as u64) as usize;
            let mut marks = all_marks(rows);
            found.refused += source.refuse(arch, start, marks.get_mut(..rows).unwrap_or_default());
            let left = self.block(source, arch, start, rows, &mut marks);
            let mut words = [0u64; BLOCK / 64];
            found.feasible += self.tell(start, left, &marks, &mut words);
            if bits {
                found.bits.extend_from_slice(&words);
            }
            start += rows as u64;
        }
        found
    }

    /// Tests the limits of a block; the rows that the marks belong to: those listed, or where none is told all in their order.
    fn block<S: Source>(&mut self, source: &S, arch: Arch, start: u64, rows: usize, marks: &mut Marks) -> Option<usize> {
        let Self { sieve, rooms, rows: listed, .. } = self;
        let (mut left, last) = (None, sieve.levels.len().saturating_sub(1));
        for (depth, level) in sieve.levels.iter_mut().enumerate() {
            let mut views: Views = [&NOTHING; Figure::ALL.len()];
            for (place, room) in level.taken().iter().zip(rooms.iter_mut()) {
                let view = match left {
                    None => source.block(arch, *place, start, room),
                    Some(count) => {
                        let rows = listed.get(..padded(count)).unwrap_or_default();
                        source.some(arch, *place, start, rows, room);
                        room
                    }
                };
                if let Some(slot) = views.get_mut(*place) {
                    *slot = view;
                }
            }
            level.run(arch, &views, left.unwrap_or(rows), marks);
            if depth == last {
                break;
            }
            // One level decides whether rows are listed, so that they are listed once.
            let count = list(marks, listed);
            if count <= rows / GATHERED {
                *marks = all_marks(count);
                left = Some(count);
            }
            if count == 0 {
                break;
            }
        }
        left
    }

    /// Marks the bits of feasible rows and offers them to the best; how many.
    fn tell(&mut self, start: u64, left: Option<usize>, marks: &Marks, words: &mut [u64; BLOCK / 64]) -> u64 {
        let values = self.sieve.goal.and_then(|goal| self.sieve.levels.last().map(|last| last.values(goal)));
        let rows = left.unwrap_or(BLOCK);
        let mut count = 0;
        for (i, mark) in marks.iter().enumerate().take(rows) {
            let row = match left {
                Some(_) => self.rows.get(i).map_or(0, |row| usize::from(*row)),
                None => i,
            };
            if let Some(word) = words.get_mut(row / 64) {
                *word |= mark << (row % 64);
            }
            count += mark;
            if let (Some(top), Some(values)) = (&mut self.top, values)
                && let Some(value) = values.get(i)
                && (*mark != 0) & top.may_take(*value)
            {
                top.offer(start + row as u64, *value);
            }
        }
        count
    }
}

/// The rows that are marked, in their order; up to a whole group the last again. How many.
fn list(marks: &Marks, listed: &mut [u16; BLOCK]) -> usize {
    let mut count = 0;
    for (row, mark) in (0u16..).zip(marks) {
        if let Some(slot) = listed.get_mut(count) {
            *slot = row;
        }
        count += *mark as usize;
    }
    let last = count.checked_sub(1).and_then(|i| listed.get(i)).copied().unwrap_or_default();
    listed.iter_mut().take(padded(count)).skip(count).for_each(|slot| *slot = last);
    count
}

fn padded(count: usize) -> usize {
    count.next_multiple_of(super::batch::GROUP).min(BLOCK)
}
