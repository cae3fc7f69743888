//! Flat and roller followers: the profile that a lift asks for, its radius of curvature, pressure angle, undercutting.
//!
//! Both followers travel along a straight line. The cam is drawn as it stands with the nose under the follower: x across, y along
//! the follower's travel, away from the axis of the cam; the cam turns counter-clockwise, so that the flank that opens is the one at
//! negative x. The side whose surface rises under the follower is that of positive x: there the contact is while the valve opens, and
//! there an offset is above zero.
//!
//! Searches over a turn look at every half degree of the cam and refine the least found.

mod flat;
mod roller;
#[cfg(test)]
mod tests;

pub use flat::{FlatFollower, FlatFollowerFace};
pub use roller::{PressureAngle, RollerFollower};

use super::Extreme;
use super::scan::place;
use crate::error::{Error, out_of_range};
use crate::units::{Dimensioned, Length, written};

/// A point of the cam's surface: x across, y towards the nose, from the axis of the cam.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ProfilePoint {
    /// Across, negative on the flank that opens.
    pub x: Length,
    /// Towards the nose.
    pub y: Length,
}

impl ProfilePoint {
    /// From the coordinates across and along the follower's travel, with the cam turned by `rad` from the nose.
    fn turned(rad: f64, across: f64, along: f64) -> Self {
        let (sin, cos) = rad.sin_cos();
        Self {
            x: Length::from_si(along * sin + across * cos),
            y: Length::from_si(along * cos - across * sin),
        }
    }
}

/// Not undercut, and curved no more sharply than allowed.
fn curvature_suffices(found: Extreme, allowed: Length) -> bool {
    found.value.si() > 0.0 && found.value >= allowed
}

/// The refusal of a cam undercut or curved too sharply, with the base circle radius that would do.
fn curvature_refused(found: Extreme, allowed: Length, needed: Length) -> Error {
    let bound = if allowed.si() > 0.0 { "at least" } else { "above" };
    let place = place(found.angle);
    let allowed = format!(
        "{bound} {} (it is {place}; a base circle radius {bound} {} would do)",
        written(allowed),
        written(needed)
    );
    out_of_range("least radius of curvature of the cam", found.value, allowed)
}
