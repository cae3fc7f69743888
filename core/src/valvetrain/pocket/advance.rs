//! Least clearance against cam advance, how far a cam may be advanced or retarded, and how deep a pocket must be.

use super::{ClearanceSearch, LeastClearance};
use crate::error::{Error, Result, finite, out_of_range};
use crate::solve::bracketed;
use crate::units::{Angle, Dimensioned, Length, written};
use core::f64::consts::PI;

/// The step at which a range of advances is looked through, rad: one degree of the crank.
const STEP: f64 = PI / 180.0;

/// Between which advances a valve keeps a clearance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AdvanceLimits {
    /// The least advance that keeps it (negative: retard).
    pub least: Angle,
    /// The greatest advance that keeps it.
    pub greatest: Angle,
    /// Whether every advance looked at between them keeps it too.
    pub unbroken: bool,
}

impl<F: Fn(Angle) -> Length> ClearanceSearch<'_, F> {
    /// The least clearance and its angle with the cam advanced by so many crank degrees.
    ///
    /// # Errors
    /// As [`ClearanceSearch::bounded`]; [`Error::NotFinite`].
    pub fn at_advance(&self, by: Angle) -> Result<LeastClearance> {
        let (gap, grid, along) = (self.gap, self.grid, self.along);
        ClearanceSearch { gap, grid, along, motion: self.motion.advanced(by)? }.bounded()
    }

    /// The least clearance and its angle at each of several advances.
    ///
    /// Where the head stays within its pocket (or there is none), clearance falls with advance as long as the peak of lift stays after top dead
    /// centre (intake), and with retard as long as it stays before it (exhaust): the nearer the peak to top dead centre, the less.
    /// Past top dead centre it grows again.
    ///
    /// # Errors
    /// As [`ClearanceSearch::at_advance`].
    pub fn at_advances(&self, advances: &[Angle]) -> Result<Vec<LeastClearance>> {
        advances.iter().map(|by| self.at_advance(*by)).collect()
    }

    /// The least and the greatest advance from `low` to `high` at which the clearance is `needed` or more.
    ///
    /// The range is looked through at steps of at most one crank degree, and the ends of what keeps the clearance are solved for between two
    /// steps: nothing is taken for granted about how clearance moves with advance. What breaks and keeps it again within one step is not seen.
    ///
    /// # Errors
    /// As [`ClearanceSearch::at_advance`]; [`Error::OutOfRange`] unless low < high, at most 720 deg apart; [`Error::NoSolution`] where no advance
    /// looked at keeps the clearance.
    pub fn advance_limits(&self, needed: Length, low: Angle, high: Angle) -> Result<AdvanceLimits> {
        let needed = finite("clearance needed", needed)?;
        let steps = steps_between(low, high)?;
        let at = |step: u32| low + (high - low) * (f64::from(step) / f64::from(steps));
        let spare = |by: f64| Ok((self.at_advance(Angle::from_si(by))?.clearance - needed).si());
        let mut kept = Vec::new();
        for step in 0..=steps {
            if spare(at(step).si())? >= 0.0 {
                kept.push(step);
            }
        }
        let (Some(&first), Some(&last)) = (kept.first(), kept.last()) else {
            let what = format!("advance (rad) that keeps {}", written(needed));
            return Err(Error::NoSolution { what, low: low.si(), high: high.si() });
        };
        let end = |keeps: u32, fails: u32| bracketed("advance", at(keeps).si(), at(fails).si(), spare);
        let least = if first == 0 { low.si() } else { end(first, first - 1)? };
        let greatest = if last == steps { high.si() } else { end(last, last + 1)? };
        let unbroken = kept.len() == (last - first + 1) as usize;
        Ok(AdvanceLimits { least: Angle::from_si(least), greatest: Angle::from_si(greatest), unbroken })
    }

    /// How deep the pocket must be, at its centre, for a clearance: the greatest of what every angle of the grid needs.
    ///
    /// At one angle, in the words of [`super::PistonToValve::at_position`] and along the cylinder axis: needed - the least of F + depth now
    /// over the points within the pocket with K below `needed`; zero without such points. Along the stem `needed` stands as
    /// needed cos(t - a) / cos(a) for F and needed cos(t) for K. With the head within the pocket and the floor below the crown it is: depth now +
    /// needed - clearance now. All else of the pocket stays.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for a lift below zero; [`Error::MissingKey`] without a pocket; [`Error::OutOfRange`] where the head meets the crown plane
    /// outside the pocket, so that no depth gives the clearance.
    pub fn pocket_depth(&self, needed: Length) -> Result<Length> {
        let needed = finite("clearance needed", needed)?;
        if self.gap.pocket().is_none() {
            let remedy = "give its diameter, place and floor angle".into();
            return Err(Error::MissingKey { field: "pocket".into(), remedy });
        }
        let mut deepest = 0.0f64;
        for step in -self.grid.half()..=self.grid.half() {
            let crank = self.grid.angle(step);
            let (x, lift) = (self.gap.cylinder().piston_position(crank), self.motion.at(crank)?);
            let depth = self.gap.depth_for(x.si(), lift.si(), needed.si(), self.along);
            deepest = deepest.max(depth.ok_or_else(|| too_much(needed, crank))?);
        }
        Ok(Length::from_si(deepest))
    }
}

fn too_much(needed: Length, crank: Angle) -> Error {
    let allowed = format!(
        "less: at crank angle {} the head stands nearer to the crown outside the pocket, whatever its depth",
        written(crank)
    );
    out_of_range("clearance needed", needed, allowed)
}

/// Steps of at most one degree.
fn steps_between(low: Angle, high: Angle) -> Result<u32> {
    let (low, high) = (finite("least advance", low)?, finite("greatest advance", high)?);
    let apart = (high - low).si();
    if !(apart > 0.0 && apart <= 4.0 * PI) {
        let allowed = format!("above the least advance, {}, and at most 720 deg from it", written(low));
        return Err(out_of_range("greatest advance", high, allowed));
    }
    // From 1 to 720.
    Ok((apart / STEP).ceil().max(1.0) as u32)
}
