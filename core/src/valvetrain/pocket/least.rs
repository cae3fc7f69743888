//! The least clearance over the crank angle: at every angle of a grid, or only where it can be.

use super::{MeasuredAlong, PistonToValve};
use crate::error::{Error, Result, finite, out_of_range};
use crate::units::{Angle, Dimensioned, Length, written};
use core::f64::consts::PI;

/// What rounding may take from a bound, m: a tenth of a nanometre, far above it and far below any clearance.
const ROUNDING: f64 = 1e-10;

/// By how much a lift may turn back from one angle to the next and still pass for even, m.
const EVEN: f64 = 1e-15;

/// Blocks that the bounded search starts from.
const BLOCKS: i32 = 36;

/// The crank angles looked at: a turn about overlap top dead centre, in equal steps that meet it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CrankGrid {
    per_turn: i32,
}

impl Default for CrankGrid {
    /// 3600 a turn: every tenth of a degree.
    fn default() -> Self {
        Self { per_turn: 3600 }
    }
}

impl CrankGrid {
    /// A grid of so many steps a turn.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] unless the count is even, from 72 to 36000.
    pub fn new(per_turn: u32) -> Result<Self> {
        match i32::try_from(per_turn) {
            Ok(count @ 72..=36_000) if count % 2 == 0 => Ok(Self { per_turn: count }),
            _ => Err(Error::OutOfRange {
                field: "angles per turn".into(),
                value: per_turn.to_string(),
                allowed: "an even count from 72 to 36000".into(),
            }),
        }
    }

    /// Steps in a turn.
    pub fn per_turn(&self) -> u32 {
        self.per_turn.unsigned_abs()
    }

    /// Half a turn in steps: angles run from -half to half.
    pub(super) fn half(&self) -> i32 {
        self.per_turn / 2
    }

    /// The angle of a step, zero at overlap top dead centre.
    pub(super) fn angle(&self, step: i32) -> Angle {
        Angle::from_si(2.0 * PI * f64::from(step) / f64::from(self.per_turn))
    }
}

/// Lift of one valve along its stem against the crank angle, with one peak: it does not fall before the peak nor rise after it.
#[derive(Debug, Clone, Copy)]
pub struct ValveMotion<F> {
    lift: F,
    peak: Angle,
    advance: Angle,
}

impl<F: Fn(Angle) -> Length> ValveMotion<F> {
    /// From the lift as a function of the crank angle from overlap top dead centre and the angle of its peak.
    ///
    /// # Errors
    /// [`Error::NotFinite`].
    pub fn new(lift: F, peak: Angle) -> Result<Self> {
        Ok(Self { lift, peak: finite("crank angle of peak lift", peak)?, advance: Angle::from_si(0.0) })
    }

    /// The same valve with its cam advanced by so many crank degrees: everything happens that much earlier; below zero it is retarded.
    ///
    /// # Errors
    /// [`Error::NotFinite`].
    pub fn advanced(&self, by: Angle) -> Result<ValveMotion<&F>> {
        let advance = self.advance + finite("advance", by)?;
        Ok(ValveMotion { lift: &self.lift, peak: self.peak, advance })
    }

    /// The crank angle of peak lift.
    pub fn peak(&self) -> Angle {
        self.peak - self.advance
    }

    /// The lift at a crank angle.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for a lift below zero.
    pub fn at(&self, crank: Angle) -> Result<Length> {
        crate::error::non_negative("lift", (self.lift)(crank + self.advance))
    }
}

/// The least clearance of a valve to its piston and where it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeastClearance {
    /// The clearance; below zero where the parts would meet.
    pub clearance: Length,
    /// The first crank angle of the grid that has it, from overlap top dead centre.
    pub crank: Angle,
    /// The lift there.
    pub lift: Length,
    /// How many clearances were computed to find it, bounds included.
    pub evaluations: usize,
}

/// A search for the least clearance of one valve.
#[derive(Debug, Clone, Copy)]
pub struct ClearanceSearch<'a, F> {
    /// Valve and piston.
    pub gap: &'a PistonToValve,
    /// The crank angles looked at.
    pub grid: CrankGrid,
    /// How clearance is measured.
    pub along: MeasuredAlong,
    /// The lift.
    pub motion: ValveMotion<F>,
}

/// One angle of the grid with what happens there, SI.
#[derive(Clone, Copy)]
struct Sample {
    step: i32,
    piston: f64,
    lift: f64,
}

/// The angles between two samples, and what every clearance there is at least.
#[derive(Clone, Copy)]
struct Block {
    from: Sample,
    to: Sample,
    bound: f64,
}

/// The least seen so far.
struct Best {
    clearance: f64,
    sample: Sample,
    evaluations: usize,
}

impl Best {
    fn none() -> Self {
        let sample = Sample { step: i32::MAX, piston: 0.0, lift: 0.0 };
        Self { clearance: f64::INFINITY, sample, evaluations: 0 }
    }

    fn see(&mut self, clearance: f64, sample: Sample) {
        self.evaluations += 1;
        if (clearance, sample.step) < (self.clearance, self.sample.step) {
            (self.clearance, self.sample) = (clearance, sample);
        }
    }

    fn found(&self, grid: CrankGrid) -> LeastClearance {
        LeastClearance {
            clearance: Length::from_si(self.clearance),
            crank: grid.angle(self.sample.step),
            lift: Length::from_si(self.sample.lift),
            evaluations: self.evaluations,
        }
    }
}

impl<F: Fn(Angle) -> Length> ClearanceSearch<'_, F> {
    /// The least clearance, computed at every angle of the grid.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for a lift below zero, or one that falls before its peak or rises after it.
    pub fn every_angle(&self) -> Result<LeastClearance> {
        let (mut best, half, top) = (Best::none(), self.grid.half(), self.top()?);
        let mut before = self.see(-half, &mut best)?;
        for step in 1 - half..=half {
            let now = self.see(step, &mut best)?;
            self.check_order(&before, &now, top)?;
            before = now;
        }
        Ok(best.found(self.grid))
    }

    /// The least clearance, computed only where it can be: the same clearance at the same angle as [`ClearanceSearch::every_angle`], to the bit.
    ///
    /// Clearance falls as the lift grows and as the piston rises, so that between two angles it is at least that with the piston at its
    /// highest and the valve at its most open of all the angles between; both stand at the ends or at the peak of lift. A block whose
    /// bound is above the least seen is passed over, any other is halved. What comes and goes with the edge of a pocket has its own
    /// bound.
    ///
    /// # Errors
    /// As [`ClearanceSearch::every_angle`]; a lift that turns back only between the angles looked at is not seen.
    pub fn bounded(&self) -> Result<LeastClearance> {
        let (mut best, top) = (Best::none(), self.top()?);
        let mut blocks = self.blocks(top, &mut best)?;
        blocks.sort_by(|a, b| a.bound.total_cmp(&b.bound));
        blocks.reverse();
        while let Some(block) = blocks.pop() {
            let middle = block.from.step + (block.to.step - block.from.step) / 2;
            if block.bound > best.clearance + ROUNDING || middle == block.from.step {
                continue;
            }
            let middle = self.see(middle, &mut best)?;
            let first = self.block(block.from, middle, top, &mut best)?;
            let second = self.block(middle, block.to, top, &mut best)?;
            // The one popped next is the more promising.
            let halves = if first.bound <= second.bound { [second, first] } else { [first, second] };
            blocks.extend(halves);
        }
        Ok(best.found(self.grid))
    }

    /// The lift at the peak.
    fn top(&self) -> Result<f64> {
        Ok(self.motion.at(self.motion.peak())?.si())
    }

    fn blocks(&self, top: f64, best: &mut Best) -> Result<Vec<Block>> {
        let half = self.grid.half();
        let start = |block: i32| block * 2 * half / BLOCKS - half;
        let mut from = self.see(-half, best)?;
        let mut blocks = Vec::new();
        for block in 1..=BLOCKS {
            let to = self.see(start(block), best)?;
            blocks.push(self.block(from, to, top, best)?);
            from = to;
        }
        Ok(blocks)
    }

    /// Piston and lift at one angle.
    fn sample(&self, step: i32) -> Result<Sample> {
        let crank = self.grid.angle(step);
        let piston = self.gap.cylinder().piston_position(crank).si();
        Ok(Sample { step, piston, lift: self.motion.at(crank)?.si() })
    }

    fn see(&self, step: i32, best: &mut Best) -> Result<Sample> {
        let sample = self.sample(step)?;
        best.see(self.gap.gap(sample.piston, sample.lift, self.along), sample);
        Ok(sample)
    }

    fn block(&self, from: Sample, to: Sample, top: f64, best: &mut Best) -> Result<Block> {
        self.check_order(&from, &to, top)?;
        best.evaluations += 1;
        let lift =
            (from.lift.min(to.lift), if self.peaks(&from, &to) { top } else { from.lift.max(to.lift) });
        let bound = self.gap.gap_bound(self.pistons(&from, &to), lift, self.along);
        Ok(Block { from, to, bound })
    }

    /// Whether the peak of lift is between two angles.
    fn peaks(&self, from: &Sample, to: &Sample) -> bool {
        let peak = self.motion.peak();
        self.grid.angle(from.step) < peak && peak < self.grid.angle(to.step)
    }

    /// Between which positions the piston is from one angle to another. Bottom dead centre may be between; top dead centre never is, for a
    /// block ends there.
    fn pistons(&self, from: &Sample, to: &Sample) -> (f64, f64) {
        let cylinder = self.gap.cylinder();
        let bottom = (cylinder.bottom_dead_centre() - cylinder.top_dead_centre()).si();
        let (start, end) = (self.grid.angle(from.step).si(), self.grid.angle(to.step).si());
        let turns = [bottom, bottom - 2.0 * PI].into_iter().any(|at| start <= at && at <= end);
        (from.piston.min(to.piston), if turns { cylinder.travel().si() } else { from.piston.max(to.piston) })
    }

    /// Refuses a lift that falls before its peak, rises after it or goes above it.
    fn check_order(&self, from: &Sample, to: &Sample, top: f64) -> Result<()> {
        let peak = self.motion.peak();
        let steps = f64::from(to.step - from.step);
        let (start, end) = (self.grid.angle(from.step), self.grid.angle(to.step));
        let (lower, upper, at) = if end <= peak {
            (from.lift, to.lift, end)
        } else if start >= peak {
            (to.lift, from.lift, start)
        } else {
            (from.lift.max(to.lift), top, peak)
        };
        if lower <= upper + EVEN * steps && upper <= top + EVEN * steps {
            return Ok(());
        }
        let least = Length::from_si(if upper > top { top } else { lower });
        let rule = if upper > top { "at most" } else { "at least" };
        let allowed = format!(
            "{rule} {} at crank angle {}: lift rises up to its peak at {} and falls after it",
            written(least),
            written(at),
            written(peak),
        );
        Err(out_of_range("lift", Length::from_si(upper), allowed))
    }
}
