//! Boxes of the grid: from one index to another on each axis, and what outputs come to in them at the least and at the most.

use super::definition::Study;
use super::figure::Figure;
use super::given::StudyLimit;
use super::output::{Direction, Output};
use super::plan::{Shape, Value};
use super::program::Program;
use super::valves;
use crate::error::{Error, Result};

/// Rounding moves no output by this share of it, nor by this many study units, by far.
const SLACK: f64 = 1e-9;

/// The ends of a range, widened.
#[inline(always)]
pub(super) fn widened(least: f64, greatest: f64) -> (f64, f64) {
    let slack = |x: f64| SLACK * (1.0 + x.abs());
    (least - slack(least), greatest + slack(greatest))
}

/// What the limits say of all designs of a box.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Verdict {
    /// Every design holds all limits.
    All,
    /// No design holds them.
    None,
    /// Not known.
    Some,
}

/// Least and greatest value of every figure.
pub(super) type Ranges = [(f64, f64); Figure::ALL.len()];

impl Study {
    /// The ranges of the whole grid.
    pub(super) fn ranges(&self) -> Ranges {
        let mut all = [(f64::NAN, f64::NAN); Figure::ALL.len()];
        for figure in Figure::ALL {
            let fixed = self.fixed(figure).map(|v| (v, v));
            let axis =
                self.axis_of(figure).and_then(|i| self.axes().get(i)).map(|(_, a)| a.range(0, a.len()));
            if let (Some(slot), Some(range)) = (all.get_mut(figure.index()), fixed.or(axis)) {
                *slot = range;
            }
        }
        all
    }
}

/// An output with its directions, ready for boxes.
#[derive(Debug, Clone)]
pub(super) struct Bounded {
    output: Output,
    shape: Shape,
    program: Program,
    /// Least clearance of the deck, for a compression ratio.
    deck: Option<Box<Bounded>>,
    directions: [Direction; Figure::ALL.len()],
}

impl Bounded {
    pub(super) fn new(output: Output, shape: Shape) -> Self {
        let deck = output.is_a_compression_ratio().then(|| Box::new(Self::new(Output::DeckClearance, shape)));
        let directions = Figure::ALL.map(|figure| match (output, figure) {
            // The clearance is a figure of its own.
            (Output::DeckClearance, Figure::DeckClearance) if shape.deck_follows => Direction::Rises,
            (Output::DeckClearance | Output::PistonToHead, figure)
                if shape.deck_follows
                    && !matches!(figure, Figure::DeckClearance | Figure::GasketThickness) =>
            {
                Direction::Still
            }
            _ => output.direction(figure, shape.offset),
        });
        Self { output, shape, program: Program::of(output, shape), deck, directions }
    }

    /// How it moves with a figure.
    pub(super) fn direction(&self, figure: Figure) -> Direction {
        self.directions.get(figure.index()).copied().unwrap_or(Direction::Either)
    }

    /// Whether a figure has a part in it.
    pub(super) fn depends_on(&self, figure: Figure) -> bool {
        self.directions.get(figure.index()).is_some_and(|d| *d != Direction::Still)
    }

    /// Whether a figure that it depends on has more than one value; one that is not known has none.
    fn moves(&self, ranges: &Ranges) -> bool {
        let mut each = ranges.iter().zip(&self.directions);
        each.any(|((least, greatest), direction)| *direction != Direction::Still && least < greatest)
    }

    /// The value of one design.
    pub(super) fn at(&self, figures: &[f64; Figure::ALL.len()]) -> f64 {
        self.program.run(figures)
    }

    /// The least and the greatest that the output comes to, widened beyond rounding unless it is monotone to the bit or has one value; all numbers where its
    /// direction is not known.
    pub(super) fn range(&self, ranges: &Ranges) -> (f64, f64) {
        const UNKNOWN: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);
        if let Some(valve) = self.output.valve_of_clearance()
            && self.moves(ranges)
        {
            return valves::range(valve, self.shape, ranges).unwrap_or(UNKNOWN);
        }
        let mut low = [f64::NAN; Figure::ALL.len()];
        let mut high = low;
        let corners = low.iter_mut().zip(high.iter_mut()).zip(ranges).zip(&self.directions);
        for (((low, high), (least, greatest)), direction) in corners {
            (*low, *high) = match direction {
                Direction::Falls => (*greatest, *least),
                Direction::Either if least < greatest => return UNKNOWN,
                _ => (*least, *greatest),
            };
        }
        if !self.moves(ranges) {
            let one = self.program.run(&low);
            return (one, one);
        }
        if let Some(deck) = &self.deck
            && !self.keeps_a_volume(deck, ranges)
        {
            return UNKNOWN;
        }
        let (least, greatest) = (self.program.run(&low), self.program.run(&high));
        if least.is_nan() || greatest.is_nan() {
            return UNKNOWN;
        }
        if self.output.is_monotone_to_the_bit(self.shape.offset) {
            return (least, greatest);
        }
        widened(least, greatest)
    }

    /// Whether every design of the box has a volume above the piston, with and without what is between crown and deck.
    fn keeps_a_volume(&self, deck: &Self, ranges: &Ranges) -> bool {
        use Figure as F;
        let least = |figure: Figure| ranges.get(figure.index()).map_or(f64::NAN, |r| r.0);
        let gasket = Value::GasketVolume.one(self.shape, &[least(F::GasketBore), least(F::GasketThickness)]);
        let volume = least(F::ChamberVolume) + least(F::CrownVolume) + least(F::CreviceVolume) + gasket;
        if volume.is_nan() || volume <= 0.0 {
            return false;
        }
        // The volume over the deck is least at one end of the bores.
        let (deck, _) = deck.range(ranges);
        let Some((small, large)) = ranges.get(F::Bore.index()).copied() else { return false };
        let with = |bore: f64| volume + Value::DeckVolume.one(self.shape, &[bore, deck]);
        with(small) > 0.0 && with(large) > 0.0
    }
}

/// A limit, ready for boxes.
#[derive(Debug, Clone)]
struct Test {
    limit: StudyLimit,
    bounded: Bounded,
}

/// All limits, ready for boxes; sets of them are by place.
#[derive(Debug, Clone)]
pub(super) struct Tests(Vec<Test>);

impl Tests {
    /// Refuses more limits than a set of places holds.
    pub(super) fn new(limits: &[StudyLimit], shape: Shape) -> Result<Self> {
        if limits.len() > 64 {
            let (field, value) = ("limits".into(), limits.len().to_string());
            return Err(Error::OutOfRange { field, value, allowed: "at most 64".into() });
        }
        let one = |limit: &StudyLimit| Test { limit: *limit, bounded: Bounded::new(limit.output, shape) };
        Ok(Self(limits.iter().map(one).collect()))
    }

    /// The set of those for which something holds.
    fn set(&self, holds: impl Fn(&Test) -> bool) -> u64 {
        self.0.iter().enumerate().map(|(place, test)| u64::from(holds(test)) << place).sum()
    }

    /// The set of all.
    pub(super) fn all(&self) -> u64 {
        self.set(|_| true)
    }

    /// The set of those whose output depends on a figure.
    pub(super) fn moved_by(&self, figure: Figure) -> u64 {
        self.set(|test| test.bounded.depends_on(figure))
    }

    /// Of the open limits those that the designs of a box do not all hold, asking only some; none where one of them is held by no design.
    pub(super) fn doubted(&self, open: u64, asked: u64, ranges: &Ranges) -> Option<u64> {
        let mut left = open;
        for (place, test) in self.0.iter().enumerate() {
            if open & asked & (1 << place) == 0 {
                continue;
            }
            match test.verdict(ranges) {
                Verdict::None => return None,
                Verdict::All => left &= !(1 << place),
                Verdict::Some => {}
            }
        }
        Some(left)
    }
}

impl Test {
    /// What the limit says of a box.
    fn verdict(&self, ranges: &Ranges) -> Verdict {
        let (low, high) = self.bounded.range(ranges);
        let (lower, upper) = self.limit.ends();
        // An output of one value that is no number holds no limit.
        if low.is_nan() || high < lower || low > upper {
            return Verdict::None;
        }
        let known = low.is_finite() && high.is_finite();
        if known && low >= lower && high <= upper { Verdict::All } else { Verdict::Some }
    }
}
