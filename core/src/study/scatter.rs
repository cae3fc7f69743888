//! Designs spread evenly over ranges of figures, each computed from its row number.

use super::batch::Block;
use super::columns::Listed;
use super::figure::Figure;
use super::given::{Given, StudyLimit, check_value};
use super::source::Source;
use super::wide::{Arch, Work, wide_on};
use crate::error::{Error, Result};

/// Rows of ranges, described by how each figure steps from row to row.
#[derive(Debug, Clone)]
pub struct Spread {
    rows: (u64, u64),
    figures: Vec<Stepping>,
}

/// Designs spread evenly over ranges of figures, by a Kronecker sequence: computed, never stored.
pub type Scatter = Listed<Spread>;

/// The most designs of one question: minutes of work.
const MOST_ROWS: u64 = 10_000_000_000;

/// Steps from row to row times 2^64, one for each range; odd, so that 2^64 rows pass before one comes again.
const STEPS: [u64; 17] = [
    0x9e37_79b9_7f4a_7c15,
    0x8d50_e971_863e_959d,
    0x3609_3c7b_4e75_26a1,
    0xc5fc_20ab_0666_c879,
    0x903c_04c3_7493_8539,
    0xb413_3915_8ef4_d8c9,
    0xcfc8_8670_c0c8_ab5d,
    0x6995_7e8b_6718_479d,
    0x3782_4354_2a57_b229,
    0x5c49_a663_2b77_9c1b,
    0xbb59_42e1_f275_9f9b,
    0xc484_24dc_85e1_871f,
    0xb078_9b24_2c71_857f,
    0x5f25_17c2_811f_5f0b,
    0x68d3_8a37_7e43_e02f,
    0x9c0b_0b96_5dc3_1a45,
    0xa4e6_18d7_8eef_36cf,
];

/// How one figure steps through its range.
#[derive(Debug, Clone, Copy)]
struct Stepping {
    /// From row to row, as a share of the range times 2^64.
    step: u64,
    least: f64,
    width: f64,
}

impl Stepping {
    /// The figure at a share of the range times 2^64. Its first 52 bits become a number from 1 to below 2, exactly.
    #[inline(always)]
    fn at(self, share: u64) -> f64 {
        let from_one = f64::from_bits(1f64.to_bits() | (share >> 12));
        self.least + (from_one - 1.0) * self.width
    }

    /// The share of a row.
    #[inline(always)]
    fn share(self, row: u64) -> u64 {
        row.wrapping_add(1).wrapping_mul(self.step)
    }
}

impl Scatter {
    /// So many designs over ranges of figures, each from its least to its greatest value, both in study units; other figures are fixed.
    ///
    /// Row i has the figure least + frac((i + 1) a) (greatest - least), with a number a of its own for each range, in the order given. So a row is the same for any
    /// number of designs, any part of the rows is spread evenly, and the more designs, the closer they stand.
    ///
    /// # Errors
    /// As [`super::Study::new`] for figures and limits; [`Error::OutOfRange`] for a range the wrong way round, and more than 1e10 designs; [`Error::WrongLength`] for more than 17 ranges.
    ///
    /// # Source
    /// Kronecker sequences: Niederreiter, Random Number Generation and Quasi-Monte Carlo Methods (SIAM, 1992), chapter 3 (from memory). The numbers a were found by
    /// a search for pairs without small integer relations; a test counts designs in cells of every pair of figures.
    ///
    /// # Example
    /// ```
    /// use swept::study::{Figure, Output, Scatter, StudyLimit, Workers};
    /// let ranges = vec![(Figure::Bore, 80.0, 90.0), (Figure::Stroke, 70.0, 95.0)];
    /// let limit = StudyLimit { output: Output::BoreStrokeRatio, lower: Some(1.0), upper: None };
    /// let study = Scatter::new(&[], ranges, 1_000_000, vec![limit])?;
    /// let share = study.count(&Workers::default())?.feasible as f64 / 1e6;
    /// assert!((share - 0.6).abs() < 1e-4, "{share}"); // strokes of 70 to 95 mm up to bores of 80 to 90 mm: 15 of 25 on average
    /// # Ok::<(), swept::Error>(())
    /// ```
    pub fn new(
        fixed: &[(Figure, f64)],
        ranges: Vec<(Figure, f64, f64)>,
        rows: u64,
        limits: Vec<StudyLimit>,
    ) -> Result<Self> {
        if rows > MOST_ROWS {
            let (field, value) = ("designs".into(), rows.to_string());
            return Err(Error::OutOfRange { field, value, allowed: format!("up to {MOST_ROWS}") });
        }
        if ranges.len() > STEPS.len() {
            let (field, expected) = ("ranges of figures".into(), format!("at most {}", STEPS.len()));
            return Err(Error::WrongLength { field, found: ranges.len(), expected });
        }
        let given = Given::new(fixed, ranges.iter().map(|(f, _, _)| *f).collect())?;
        for (figure, least, most) in &ranges {
            [least, most].into_iter().try_for_each(|v| check_value(*figure, *v))?;
            if *figure == Figure::Cylinders && least != most {
                let (field, value) = (figure.name().into(), format!("from {least} to {most}"));
                return Err(Error::OutOfRange {
                    field,
                    value,
                    allowed: "one whole number: nothing lies between".into(),
                });
            }
            if least > most || !(most - least).is_finite() {
                let (field, value) = (figure.name().into(), format!("from {least} to {most}"));
                return Err(Error::OutOfRange {
                    field,
                    value,
                    allowed: "from the lesser to the greater".into(),
                });
            }
        }
        given.check_turns(|place| ranges.get(place).map(|(_, least, most)| (*least, *most)))?;
        let stepping = |((_, least, most), step): (&(Figure, f64, f64), u64)| Stepping {
            step,
            least: *least,
            width: most - least,
        };
        let figures = ranges.iter().zip(STEPS).map(stepping).collect();
        Self::from_source(given, Spread { rows: (0, rows), figures }, limits)
    }
}

/// One figure of a block of rows.
struct Fill<'f> {
    stepping: Stepping,
    first: u64,
    to: &'f mut Block,
}

impl Work for Fill<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        let mut share = self.stepping.share(self.first);
        for to in self.to {
            *to = self.stepping.at(share);
            share = share.wrapping_add(self.stepping.step);
        }
    }
}

/// One figure of some rows.
struct FillSome<'f> {
    stepping: Stepping,
    first: u64,
    rows: &'f [u16],
    to: &'f mut [f64],
}

impl Work for FillSome<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        let first = self.stepping.share(self.first);
        for (to, row) in self.to.iter_mut().zip(self.rows) {
            *to = self.stepping.at(first.wrapping_add(u64::from(*row).wrapping_mul(self.stepping.step)));
        }
    }
}

impl Source for Spread {
    const COMPUTED: bool = true;

    fn rows(&self) -> (u64, u64) {
        self.rows
    }

    fn between(&self, first: u64, end: u64) -> Self {
        Self { rows: (first, end), figures: self.figures.clone() }
    }

    fn may_refuse(&self, _: Arch, _: u64, _: usize) -> bool {
        false
    }

    /// None: all ranges were checked.
    fn refuse(&self, _: Arch, _: u64, _: &mut [u64]) -> u64 {
        0
    }

    fn block<'r>(&'r self, arch: Arch, place: usize, first: u64, room: &'r mut Block) -> &'r Block {
        if let Some(stepping) = self.figures.get(place) {
            wide_on(arch, Fill { stepping: *stepping, first, to: room });
        }
        room
    }

    fn some(&self, arch: Arch, place: usize, first: u64, rows: &[u16], to: &mut [f64]) {
        if let Some(stepping) = self.figures.get(place) {
            wide_on(arch, FillSome { stepping: *stepping, first, rows, to });
        }
    }
}
