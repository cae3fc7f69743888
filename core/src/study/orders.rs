//! What a layout does to the shaking forces of its cylinders.

use crate::balance::shaking::{ShakingCylinder, ShakingEngine, order_of_force};
use crate::error::Result;
use crate::geometry::{Cylinder, Layout, Station};
use crate::units::{AngularVelocity, Dimensioned, Length, Mass};

/// First- and second-order shaking force of all cylinders of a layout over that of one: the figures `first_order_factor` and `second_order_factor` of a study.
/// What turns with the crank is taken as balanced.
///
/// # Errors
/// As [`ShakingEngine::new`].
pub fn order_factors(layout: &Layout) -> Result<[f64; 2]> {
    // The factors are those of the angles: any cylinder has them.
    let cylinder = Cylinder::new(
        Length::from_si(1.0),
        Length::from_si(1.0),
        Length::from_si(2.0),
        Length::from_si(0.0),
    )?;
    let shaking = |station: &Station| ShakingCylinder {
        cylinder,
        station: *station,
        position: Length::from_si(0.0),
        reciprocating: Mass::from_si(1.0),
    };
    let all = ShakingEngine::new(layout.stations().iter().map(shaking).collect(), Vec::new())?;
    let one =
        |order| order_of_force(&cylinder, order, AngularVelocity::from_si(1.0), Mass::from_si(1.0)).si();
    Ok([all.force(1)?.greatest() / one(1), all.force(2)?.greatest() / one(2)])
}
