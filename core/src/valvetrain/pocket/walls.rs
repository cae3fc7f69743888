//! The least clearances of the rim to the walls over the crank angle.

use super::ClearanceSearch;
use crate::error::Result;
use crate::units::{Angle, Dimensioned, Length};
use core::f64::consts::PI;

/// The least clearance of the rim to a wall and where it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeastWall {
    /// The clearance; below zero where the parts would meet.
    pub clearance: Length,
    /// The first crank angle of the grid that has it, from overlap top dead centre.
    pub crank: Angle,
    /// The lift there.
    pub lift: Length,
}

impl<F: Fn(Angle) -> Length> ClearanceSearch<'_, F> {
    /// The least clearance of the rim to the wall of its pocket over the angles of the grid; none without a pocket, or where the rim never
    /// comes below the crown plane.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a lift below zero.
    pub fn least_pocket_wall(&self) -> Result<Option<LeastWall>> {
        let half = self.grid.half();
        self.least_wall(-half..=half, |x, lift| self.gap.pocket_wall(x, lift))
    }

    /// The least clearance of the rim to the bore over the angles of the grid.
    ///
    /// It is a concave function of the lift alone (the distance of a disc's rim from an axis is convex as the disc moves along a line), so that
    /// the least and the greatest lift of the grid answer for all.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a lift below zero.
    pub fn least_bore_wall(&self) -> Result<Option<LeastWall>> {
        let half = self.grid.half();
        let peak = self.motion.peak().si() / (2.0 * PI) * f64::from(self.grid.per_turn());
        let steps = [-f64::from(half), peak.floor(), peak.ceil(), f64::from(half)];
        self.least_wall(
            steps.into_iter().map(|s| s.clamp(-f64::from(half), f64::from(half)) as i32),
            |_, lift| Some(self.gap.bore_wall(lift)),
        )
    }

    fn least_wall(
        &self,
        steps: impl Iterator<Item = i32>,
        wall: impl Fn(f64, f64) -> Option<f64>,
    ) -> Result<Option<LeastWall>> {
        let mut best: Option<LeastWall> = None;
        for step in steps {
            let crank = self.grid.angle(step);
            let lift = self.motion.at(crank)?;
            let piston = self.gap.cylinder().piston_position(crank).si();
            let Some(clearance) = wall(piston, lift.si()).map(Length::from_si) else { continue };
            if best.is_none_or(|b| clearance < b.clearance) {
                best = Some(LeastWall { clearance, crank, lift });
            }
        }
        Ok(best)
    }
}
