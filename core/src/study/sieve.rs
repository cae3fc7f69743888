//! Which of many listed designs are feasible: limits in the order of what they cost, each asked only of rows that are left.

use super::batch::{BLOCK, Batch, Block, Marks, NOTHING, Views, any_inside};
use super::columns::Tally;
use super::edge::figure_ends;
use super::figure::Figure;
use super::given::{Given, StudyLimit};
use super::output::Output;
use super::plan::Shape;
use super::source::{Gate, Source};
use super::top::{BestOf, Top};
use super::wide::{Arch, Work, wide_on};

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
    pub(super) fn new(given: &Given, limits: &[StudyLimit], best: Option<BestOf>, in_levels: bool) -> Self {
        let shape = given.shape();
        let (mut cheap, mut dear) = (Batch::new(shape), Batch::new(shape));
        for limit in limits {
            if let Some((place, ends)) = figure_ends(given, limit) {
                cheap.figure(place, ends);
            } else if !in_levels || is_cheap(limit.output, shape) {
                cheap.limit(given, limit);
            } else {
                dear.limit(given, limit);
            }
        }
        let mut levels: Vec<Batch> = [cheap, dear].into_iter().filter(|b| !b.is_empty()).collect();
        if levels.is_empty() {
            levels.push(Batch::new(shape));
        }
        let goal =
            best.map(|best| levels.last_mut().map_or(usize::MAX, |last| last.output(given, best.output)));
        Self { levels, goal }
    }

    /// The values of a block by which the best are found.
    fn goal(&self) -> Option<&Block> {
        self.levels.last().zip(self.goal).map(|(last, goal)| last.values(goal))
    }
}

/// What one thread works with.
#[derive(Debug, Clone)]
pub(super) struct Desk {
    sieve: Sieve,
    rooms: [Block; Figure::ALL.len()],
    rows: [u16; BLOCK],
    gate: Gate,
    pub(super) top: Option<Top>,
}

/// What was found in a part of the rows.
#[derive(Debug, Clone, Default)]
pub(super) struct Found {
    pub(super) tally: Tally,
    /// One bit a row, where they are wanted.
    pub(super) bits: Vec<u64>,
}

/// Rows of which at most this share is left are listed before the next limits are tested.
const GATHERED: usize = 2;

impl Desk {
    pub(super) fn new(sieve: &Sieve, top: Option<Top>) -> Self {
        let rooms = [[0.0; BLOCK]; Figure::ALL.len()];
        Self { sieve: sieve.clone(), rooms, rows: [0; BLOCK], gate: Gate::default(), top }
    }

    /// Works through rows of a source, from the first to before the end.
    pub(super) fn sift<S: Source>(
        &mut self,
        source: &S,
        arch: Arch,
        (first, end): (u64, u64),
        bits: bool,
    ) -> Found {
        let mut found = Found::default();
        let (mut start, mut marks) = (first, [0; BLOCK]);
        while start < end {
            let rows = (end - start).min(BLOCK as u64) as usize;
            let refused =
                self.gate.refuse(source, arch, (start, end), marks.get_mut(..rows).unwrap_or_default());
            let listed = self.block(source, arch, (start, rows), (&mut marks, refused == 0));
            let mut words = [0u64; BLOCK / 64];
            match listed {
                None => self.tell_all(arch, start, marks.get(..rows).unwrap_or_default(), &mut words),
                Some(count) => {
                    self.tell_listed(arch, start, marks.get(..count).unwrap_or_default(), &mut words)
                }
            }
            found.tally.rows += rows as u64;
            found.tally.refused += refused;
            found.tally.feasible += words.iter().map(|word| u64::from(word.count_ones())).sum::<u64>();
            if bits {
                found.bits.extend_from_slice(&words);
            }
            start += rows as u64;
        }
        found
    }

    /// Tests the limits of a block; how many rows the marks belong to, where these are listed.
    fn block<S: Source>(
        &mut self,
        source: &S,
        arch: Arch,
        (start, rows): (u64, usize),
        (marks, mut fresh): (&mut Marks, bool),
    ) -> Option<usize> {
        let Self { sieve, rooms, rows: listed, .. } = self;
        let (mut left, last) = (None, sieve.levels.len().saturating_sub(1));
        for (depth, level) in sieve.levels.iter_mut().enumerate() {
            let mut views: Views = [&NOTHING; Figure::ALL.len()];
            for (place, room) in level.taken().iter().zip(rooms.iter_mut()) {
                let view = match left {
                    None => source.block(arch, *place, start, room),
                    Some(count) => {
                        source.some(
                            arch,
                            *place,
                            start,
                            listed.get(..padded(count)).unwrap_or_default(),
                            room,
                        );
                        room
                    }
                };
                if let Some(slot) = views.get_mut(*place) {
                    *slot = view;
                }
            }
            level.run(arch, &views, left.unwrap_or(rows), (marks, fresh));
            fresh = false;
            if depth == last {
                break;
            }
            let marks = marks.get(..left.unwrap_or(rows)).unwrap_or_default();
            let count = wide_on(arch, List { marks, listed });
            if count <= rows / GATHERED {
                (left, fresh) = (Some(count), true);
            }
            if count == 0 {
                break;
            }
        }
        left
    }

    /// Sets the bits of the marked rows of a block, and offers them to the best.
    fn tell_all(&mut self, arch: Arch, start: u64, marks: &[u64], words: &mut [u64]) {
        let goal = self.sieve.goal().zip(self.top.as_mut());
        let values = goal.as_ref().and_then(|(values, _)| values.get(..marks.len())).unwrap_or_default();
        let ends = goal.as_ref().map_or((0.0, 0.0), |(_, top)| top.ends());
        let may_be_best = wide_on(arch, Told { marks, values, ends, words });
        if let (true, Some((values, top))) = (may_be_best, goal) {
            for ((row, value), _) in (start..).zip(values).zip(marks).filter(|(_, mark)| **mark != 0) {
                top.offer(row, *value);
            }
        }
    }

    /// The same for rows that are listed.
    fn tell_listed(&mut self, arch: Arch, start: u64, marks: &[u64], words: &mut [u64]) {
        let Self { sieve, rows, top, .. } = self;
        for (mark, row) in marks.iter().zip(rows.iter()) {
            if let Some(word) = words.get_mut(usize::from(row / 64)) {
                *word |= mark << (row % 64);
            }
        }
        let Some((values, top)) = sieve.goal().zip(top.as_mut()) else { return };
        let ends = top.ends();
        if wide_on(arch, MayBeBest { marks, values, ends }) {
            for ((mark, row), value) in marks.iter().zip(rows.iter()).zip(values) {
                if (*mark != 0) & top.may_take(*value) {
                    top.offer(start + u64::from(*row), *value);
                }
            }
        }
    }
}

/// Whether one of the marked rows may be among the best.
struct MayBeBest<'m> {
    marks: &'m [u64],
    values: &'m Block,
    ends: (f64, f64),
}

impl Work for MayBeBest<'_> {
    type Output = bool;

    #[inline(always)]
    fn call(self) -> bool {
        any_inside(self.marks, self.values, self.ends)
    }
}

/// Sets the bits of marked rows; whether one of them may be among the best.
struct Told<'t> {
    marks: &'t [u64],
    values: &'t [f64],
    ends: (f64, f64),
    words: &'t mut [u64],
}

impl Work for Told<'_> {
    type Output = bool;

    #[inline(always)]
    fn call(self) -> bool {
        for (word, marks) in self.words.iter_mut().zip(self.marks.chunks(64)) {
            *word = bits_of(marks);
        }
        any_inside(self.marks, self.values, self.ends)
    }
}

/// The rows that are marked, in their order; up to a whole group the last again. How many.
struct List<'l> {
    marks: &'l [u64],
    listed: &'l mut [u16; BLOCK],
}

impl Work for List<'_> {
    type Output = usize;

    #[inline(always)]
    fn call(self) -> usize {
        let Self { marks, listed } = self;
        let mut places = listed.iter_mut();
        let mut last = 0;
        for (first, marks) in (0u16..).step_by(64).zip(marks.chunks(64)) {
            let mut bits = bits_of(marks);
            for place in places.by_ref().take(bits.count_ones() as usize) {
                last = first + bits.trailing_zeros() as u16;
                *place = last;
                bits &= bits.wrapping_sub(1);
            }
        }
        let left = places.len();
        let count = BLOCK - left;
        listed.iter_mut().take(padded(count)).skip(count).for_each(|slot| *slot = last);
        count
    }
}

/// Marks of 0 and 1 as bits, the first the lowest.
#[inline(always)]
fn bits_of(marks: &[u64]) -> u64 {
    marks.iter().zip(0u64..).fold(0, |all, (mark, place)| all | (mark << place))
}

fn padded(count: usize) -> usize {
    count.next_multiple_of(super::batch::GROUP).min(BLOCK)
}
