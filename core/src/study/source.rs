//! Where the figures of designs come from that are listed row by row: columns, or computed from the row number.

use super::batch::{BLOCK, Block, Ends, inside, marked};
use super::figure::{Figure, factor};
use super::given::{Given, least_rod, possible, turns};
use super::wide::{Arch, Work, wide_on};
use crate::units::Unit;

/// Where rows of figures come from.
pub trait Source: Sync + Sized {
    /// Whether figures are computed, so that they should not be for rows that are out already. Columns are read faster than rows are picked.
    #[doc(hidden)]
    const COMPUTED: bool;

    /// The first row, and the one before which they end.
    fn rows(&self) -> (u64, u64);

    /// Some of its rows, from one to before another, both among its own; their numbers stay the same.
    #[doc(hidden)]
    fn between(&self, first: u64, end: u64) -> Self;

    /// Whether any of some rows from the first may be no engine.
    #[doc(hidden)]
    fn may_refuse(&self, arch: Arch, first: u64, rows: usize) -> bool;

    /// Of some rows from the first, those that are no engine: how many. Where there are any, the marks are written.
    #[doc(hidden)]
    fn refuse(&self, arch: Arch, first: u64, marks: &mut [u64]) -> u64;

    /// A varied figure of a block of rows from the first; what is beyond the last row is any number. It may be written to the room.
    #[doc(hidden)]
    fn block<'r>(&'r self, arch: Arch, place: usize, first: u64, room: &'r mut Block) -> &'r Block;

    /// A varied figure of some rows, counted from the first.
    #[doc(hidden)]
    fn some(&self, arch: Arch, place: usize, first: u64, rows: &[u16], to: &mut [f64]);
}

/// A figure of a row, or of all.
#[derive(Debug, Clone)]
enum Part {
    Column(usize),
    Fixed(Vec<f64>),
}

/// The values of a figure, in study units where they are multiplied by the factor.
#[derive(Debug, Clone, Copy)]
struct Column<'c> {
    values: &'c [f64],
    factor: f64,
    ends: Ends,
}

/// Columns of equal length.
#[derive(Debug, Clone)]
pub struct Slices<'c> {
    /// The number of the first row.
    first: u64,
    rows: usize,
    columns: Vec<Column<'c>>,
    /// Stroke, rod length and pin offset, where they may stop a crank from turning.
    turning: Option<[Part; 3]>,
}

impl<'c> Slices<'c> {
    /// Columns in the order of the varied figures, each in its unit, or in that of the study.
    pub(super) fn new(given: &Given, columns: &[(Option<&Unit>, &'c [f64])]) -> Self {
        let with_ends = given.varied().iter().zip(columns).map(|(figure, (unit, values))| Column {
            values,
            factor: unit.map_or(1.0, factor),
            ends: possible(*figure),
        });
        let part = |figure: Figure| match given.place_of(figure) {
            Some(place) => Some(Part::Column(place)),
            None => given.fixed(figure).map(|v| Part::Fixed(vec![v; BLOCK])),
        };
        let parts = (part(Figure::Stroke), part(Figure::RodLength), part(Figure::PinOffset));
        let turning = match parts {
            (Some(Part::Fixed(_)), Some(Part::Fixed(_)), Some(Part::Fixed(_))) => None,
            (Some(stroke), Some(rod), Some(offset)) => Some([stroke, rod, offset]),
            _ => None,
        };
        let rows = columns.first().map_or(0, |(_, c)| c.len());
        Self { first: 0, rows, columns: with_ends.collect(), turning }
    }

    /// The same with another number for the first row.
    pub(super) fn starting(self, first: u64) -> Self {
        Self { first, ..self }
    }

    /// Where a row stands in the columns.
    #[inline(always)]
    fn place(&self, row: u64) -> usize {
        row.wrapping_sub(self.first) as usize
    }

    #[inline(always)]
    fn part(&self, place: usize, first: usize, rows: usize) -> &[f64] {
        self.columns.get(place).and_then(|c| c.values.get(first..first + rows)).unwrap_or_default()
    }

    /// Stroke, rod length and pin offset of some rows, each with its factor.
    #[inline(always)]
    fn turn(&self, first: usize, rows: usize) -> Option<[(&[f64], f64); 3]> {
        self.turning.as_ref().map(|parts| {
            parts.each_ref().map(|part| match part {
                Part::Column(place) => {
                    (self.part(*place, first, rows), self.columns.get(*place).map_or(1.0, |c| c.factor))
                }
                Part::Fixed(values) => (values.get(..rows).unwrap_or_default(), 1.0),
            })
        })
    }
}

/// Whether any of some rows may be no engine. All columns are read, most of them for the first time.
///
/// The bits of numbers that are not below zero are in the order of the numbers, those of infinity and of what is no number beyond; a bit pattern lowered by one
/// puts zero beyond too. So the greatest pattern tells of all; the least and the greatest numbers of some figures are looked at once more without need.
struct MayRefuse<'s, 'c> {
    slices: &'s Slices<'c>,
    first: usize,
    rows: usize,
}

impl Work for MayRefuse<'_, '_> {
    type Output = bool;

    #[inline(always)]
    fn call(self) -> bool {
        let mut greatest = 0u64;
        for (place, Column { factor, ends, .. }) in self.slices.columns.iter().enumerate() {
            let (least, most) = ends;
            // Angles have ends on both sides.
            if *most < f64::MAX {
                let outside = |x: &f64| u64::from(inside(x * factor, *ends) == 0);
                let part = self.slices.part(place, self.first, self.rows);
                greatest |= u64::MAX * part.iter().fold(0, |any, x| any | outside(x));
                continue;
            }
            let of_any_sign = if *least < 0.0 { !(1 << 63) } else { !0 };
            let above_zero = u64::from(*least > 0.0);
            for x in self.slices.part(place, self.first, self.rows) {
                greatest = greatest.max(((x * factor).to_bits() & of_any_sign).wrapping_sub(above_zero));
            }
        }
        for start in (0..self.rows).step_by(BLOCK) {
            let rows = BLOCK.min(self.rows - start);
            if let Some([(stroke, a), (rod, b), (offset, c)]) = self.slices.turn(self.first + start, rows) {
                for ((stroke, rod), offset) in stroke.iter().zip(rod).zip(offset) {
                    let left = rod * b - least_rod(stroke * a, offset * c);
                    greatest = greatest.max(left.to_bits().wrapping_sub(1));
                }
            }
        }
        greatest >= f64::MAX.to_bits()
    }
}

/// Rows that are looked at for what is no engine before they are worked on: columns are read fastest in long runs.
const RUN: u64 = 2048;

/// Lets rows that are engines pass; looks at a run of them at once, and only where one may be none at each block.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Gate {
    /// Rows before this one were looked at.
    to: u64,
    clean: bool,
}

impl Gate {
    /// As [`Source::refuse`], for blocks in their order up to an end.
    pub(super) fn refuse<S: Source>(
        &mut self,
        source: &S,
        arch: Arch,
        (first, end): (u64, u64),
        marks: &mut [u64],
    ) -> u64 {
        if first >= self.to {
            self.to = end.min(first + RUN);
            self.clean = !source.may_refuse(arch, first, (self.to - first) as usize);
        }
        if self.clean { 0 } else { source.refuse(arch, first, marks) }
    }
}

/// Marks the rows that are engines.
struct Refuse<'s, 'c> {
    slices: &'s Slices<'c>,
    first: usize,
    marks: &'s mut [u64],
}

impl Work for Refuse<'_, '_> {
    type Output = u64;

    #[inline(always)]
    fn call(self) -> u64 {
        let Self { slices, first, marks } = self;
        let rows = marks.len();
        marks.fill(1);
        for (place, Column { factor, ends, .. }) in slices.columns.iter().enumerate() {
            for (mark, value) in marks.iter_mut().zip(slices.part(place, first, rows)) {
                *mark &= inside(value * factor, *ends);
            }
        }
        if let Some([(stroke, a), (rod, b), (offset, c)]) = slices.turn(first, rows) {
            for (((mark, stroke), rod), offset) in marks.iter_mut().zip(stroke).zip(rod).zip(offset) {
                *mark &= u64::from(turns(stroke * a, rod * b, offset * c));
            }
        }
        rows as u64 - marked(marks)
    }
}

/// A block of a column in study units.
struct Scale<'s> {
    block: &'s Block,
    factor: f64,
    room: &'s mut Block,
}

impl Work for Scale<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        for (to, from) in self.room.iter_mut().zip(self.block) {
            *to = from * self.factor;
        }
    }
}

impl Slices<'_> {
    /// A column from a row on, with its factor.
    fn from(&self, place: usize, first: u64) -> (&[f64], f64) {
        let column = self.columns.get(place);
        column.map_or((&[], 1.0), |c| (c.values.get(self.place(first)..).unwrap_or_default(), c.factor))
    }
}

impl<'c> Source for Slices<'c> {
    const COMPUTED: bool = false;

    fn rows(&self) -> (u64, u64) {
        (self.first, self.first + self.rows as u64)
    }

    fn between(&self, first: u64, end: u64) -> Self {
        let (from, to) = (self.place(first), self.place(end));
        let cut = |c: &Column<'c>| Column { values: c.values.get(from..to).unwrap_or_default(), ..*c };
        let columns = self.columns.iter().map(cut).collect();
        Self { first, rows: to.saturating_sub(from), columns, turning: self.turning.clone() }
    }

    fn may_refuse(&self, arch: Arch, first: u64, rows: usize) -> bool {
        wide_on(arch, MayRefuse { slices: self, first: self.place(first), rows })
    }

    fn refuse(&self, arch: Arch, first: u64, marks: &mut [u64]) -> u64 {
        wide_on(arch, Refuse { slices: self, first: self.place(first), marks })
    }

    fn block<'r>(&'r self, arch: Arch, place: usize, first: u64, room: &'r mut Block) -> &'r Block {
        let (there, factor) = self.from(place, first);
        if let Some(block) = there.first_chunk() {
            if factor == 1.0 {
                return block;
            }
            wide_on(arch, Scale { block, factor, room });
            return room;
        }
        for (to, from) in room.iter_mut().zip(there.iter().chain(core::iter::repeat(&1.0))) {
            *to = from * factor;
        }
        room
    }

    fn some(&self, _: Arch, place: usize, first: u64, rows: &[u16], to: &mut [f64]) {
        let (there, factor) = self.from(place, first);
        if let Some(block) = there.first_chunk::<BLOCK>() {
            for (to, row) in to.iter_mut().zip(rows) {
                // No row is beyond the block, which the processor needs not to test.
                *to = block.get(usize::from(*row) % BLOCK).copied().unwrap_or(f64::NAN) * factor;
            }
            return;
        }
        for (to, row) in to.iter_mut().zip(rows) {
            *to = there.get(usize::from(*row)).copied().unwrap_or(f64::NAN) * factor;
        }
    }
}
