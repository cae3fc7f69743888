//! Where the figures of designs come from that are listed row by row: columns, or computed from the row number.

use super::batch::{BLOCK, Block, Ends, Marks};
use super::figure::Figure;
use super::given::{Given, least_rod, possible};
use super::wide::{Arch, Work, wide_on};

/// Where rows of figures come from.
pub trait Source: Sync {
    /// How many rows.
    fn rows(&self) -> u64;

    /// Of some rows from the first, takes the marks of those that are no engine; how many.
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

/// Columns of equal length.
#[derive(Debug, Clone)]
pub struct Slices<'c> {
    rows: usize,
    columns: Vec<(&'c [f64], Ends)>,
    /// Stroke, rod length and pin offset, where they may stop a crank from turning.
    turning: Option<[Part; 3]>,
}

impl<'c> Slices<'c> {
    /// Columns in the order of the varied figures.
    pub(super) fn new(given: &Given, columns: &[&'c [f64]]) -> Self {
        let with_ends = given.varied().iter().zip(columns).map(|(f, c)| (*c, possible(*f)));
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
        let rows = columns.first().map_or(0, |c| c.len());
        Self { rows, columns: with_ends.collect(), turning }
    }

    #[inline(always)]
    fn part(&self, place: usize, first: usize, rows: usize) -> &[f64] {
        self.columns.get(place).and_then(|(c, _)| c.get(first..first + rows)).unwrap_or_default()
    }

    /// Stroke, rod length and pin offset of some rows.
    #[inline(always)]
    fn turn(&self, first: usize, rows: usize) -> Option<[&[f64]; 3]> {
        self.turning.as_ref().map(|parts| {
            parts.each_ref().map(|part| match part {
                Part::Column(place) => self.part(*place, first, rows),
                Part::Fixed(values) => values.get(..rows).unwrap_or_default(),
            })
        })
    }
}

/// Whether any row is no engine; all columns are read, most of them for the first time.
struct AnyRefused<'s, 'c> {
    slices: &'s Slices<'c>,
    first: usize,
    rows: usize,
}

impl Work for AnyRefused<'_, '_> {
    type Output = bool;

    #[inline(always)]
    fn call(self) -> bool {
        let mut out = 0;
        for (place, (_, (least, most))) in self.slices.columns.iter().enumerate() {
            for x in self.slices.part(place, self.first, self.rows) {
                out |= u64::from(!((*x >= *least) & (*x <= *most)));
            }
        }
        if let Some([stroke, rod, offset]) = self.slices.turn(self.first, self.rows) {
            for ((stroke, rod), offset) in stroke.iter().zip(rod).zip(offset) {
                out |= u64::from(*rod <= least_rod(*stroke, *offset));
            }
        }
        out != 0
    }
}

impl Source for Slices<'_> {
    fn rows(&self) -> u64 {
        self.rows as u64
    }

    fn refuse(&self, arch: Arch, first: u64, marks: &mut [u64]) -> u64 {
        let (first, rows) = (first as usize, marks.len());
        if !wide_on(arch, AnyRefused { slices: self, first, rows }) {
            return 0;
        }
        for (place, (_, ends)) in self.columns.iter().enumerate() {
            super::batch::mark_inside(self.part(place, first, rows), *ends, marks);
        }
        if let Some([stroke, rod, offset]) = self.turn(first, rows) {
            for (((mark, stroke), rod), offset) in marks.iter_mut().zip(stroke).zip(rod).zip(offset) {
                *mark &= u64::from(*rod > least_rod(*stroke, *offset));
            }
        }
        rows as u64 - super::batch::marked(marks)
    }

    fn block<'r>(&'r self, _: Arch, place: usize, first: u64, room: &'r mut Block) -> &'r Block {
        let there = self.columns.get(place).and_then(|(c, _)| c.get(first as usize..)).unwrap_or_default();
        if let Some(block) = there.first_chunk() {
            return block;
        }
        for (to, from) in room.iter_mut().zip(there.iter().chain(core::iter::repeat(&1.0))) {
            *to = *from;
        }
        room
    }

    fn some(&self, _: Arch, place: usize, first: u64, rows: &[u16], to: &mut [f64]) {
        let there = self.columns.get(place).and_then(|(c, _)| c.get(first as usize..)).unwrap_or_default();
        for (to, row) in to.iter_mut().zip(rows) {
            *to = there.get(usize::from(*row)).copied().unwrap_or(f64::NAN);
        }
    }
}

/// All marks of so many rows, none beyond.
pub(super) fn all_marks(rows: usize) -> Marks {
    let mut marks = [1; BLOCK];
    marks.iter_mut().skip(rows).for_each(|m| *m = 0);
    marks
}
