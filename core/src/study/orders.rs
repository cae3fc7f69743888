//! What a layout does to the shaking forces of its cylinders.

use crate::balance::shaking::{ShakingCylinder, ShakingEngine, order_of_force};
use crate::error::Result;
use crate::geometry::{Cylinder, Layout, Station};
use crate::units::{AngularVelocity, Dimensioned, Length, Mass};

/// What is left of the force of one cylinder where those of all cancel out.
const ROUNDING: f64 = 1e-13;

/// First- and second-order shaking force of all cylinders of a layout over that of one: the figures `first_order_factor` and `second_order_factor` of a study.
/// All cylinders are taken as alike, and what turns with the crank as balanced. A factor that rounding alone leaves is zero.
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
    let most = layout.stations().len() as f64;
    let factor = |order| {
        let found = all.force(order)?.greatest() / one(order);
        Ok(if found <= ROUNDING * most { 0.0 } else { found })
    };
    Ok([factor(1)?, factor(2)?])
}
