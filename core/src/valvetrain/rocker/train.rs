//! How the valve follows the lifter: directly, by a fixed ratio, or over a rocker.

use super::Rocker;
use crate::error::{Result, finite_positive, non_negative};
use crate::units::{Dimensioned, Length, Ratio};
use crate::valvetrain::Lift;

/// From the lifter to the valve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Train(Kind);

#[derive(Debug, Clone, Copy, PartialEq)]
enum Kind {
    Fixed(f64),
    Rocker(Rocker),
}

/// Derivatives of the valve's lift by the lifter's, SI.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrainDerivatives {
    /// The ratio, dv/ds.
    pub first: f64,
    /// Second derivative, 1/m.
    pub second: f64,
    /// Third derivative, 1/m2.
    pub third: f64,
}

impl Train {
    /// The lifter moves the valve itself.
    pub fn direct() -> Self {
        Self(Kind::Fixed(1.0))
    }

    /// A rocker of one ratio at every lift, valve to lifter.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a ratio not above zero.
    pub fn ratio(ratio: Ratio) -> Result<Self> {
        Ok(Self(Kind::Fixed(finite_positive("rocker ratio", ratio)?.si())))
    }

    /// A rocker of real geometry.
    pub fn over(rocker: Rocker) -> Self {
        Self(Kind::Rocker(rocker))
    }

    /// The rocker, where the train has one of real geometry.
    pub fn rocker(&self) -> Option<&Rocker> {
        match &self.0 {
            Kind::Fixed(_) => None,
            Kind::Rocker(rocker) => Some(rocker),
        }
    }

    /// Lift of the valve, without lash.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a lift below zero; as [`Rocker::valve_lift`].
    pub fn valve_lift(&self, lifter: Length) -> Result<Length> {
        match &self.0 {
            Kind::Fixed(ratio) => Ok(non_negative("lift of the lifter", lifter)? * *ratio),
            Kind::Rocker(rocker) => rocker.valve_lift(lifter),
        }
    }

    /// Lift of the lifter at a lift of the valve, without lash: at the lash, where the valve begins to open.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a lift below zero; as [`Rocker::lifter_lift`].
    pub fn lifter_lift(&self, valve: Length) -> Result<Length> {
        match &self.0 {
            Kind::Fixed(ratio) => Ok(non_negative("lift of the valve", valve)? / *ratio),
            Kind::Rocker(rocker) => rocker.lifter_lift(valve),
        }
    }

    /// The ratio at a lift of the lifter and the next two derivatives.
    ///
    /// # Errors
    /// As [`Train::valve_lift`].
    pub fn derivatives(&self, lifter: Length) -> Result<TrainDerivatives> {
        match &self.0 {
            Kind::Fixed(ratio) => {
                non_negative("lift of the lifter", lifter)?;
                Ok(TrainDerivatives { first: *ratio, second: 0.0, third: 0.0 })
            }
            Kind::Rocker(rocker) => rocker.derivatives(lifter),
        }
    }

    /// The motion of the valve, without lash, from that of the lifter.
    ///
    /// The chain rule: v' = f' s', v'' = f'' s'^2 + f' s'', v''' = f''' s'^3 + 3 f'' s' s'' + f' s''', with f the valve's lift over
    /// the lifter's.
    ///
    /// # Errors
    /// As [`Train::valve_lift`].
    pub fn valve(&self, lifter: Lift) -> Result<Lift> {
        let f = self.derivatives(lifter.lift)?;
        let (v, a, j) = (lifter.velocity.si(), lifter.acceleration.si(), lifter.jerk.si());
        Ok(Lift {
            lift: self.valve_lift(lifter.lift)?,
            velocity: Length::from_si(f.first * v),
            acceleration: Length::from_si(f.second * v * v + f.first * a),
            jerk: Length::from_si(f.third * v * v * v + 3.0 * f.second * v * a + f.first * j),
        })
    }

    /// The motion of the valve with a lash at the valve: the lift less the lash, nothing until the lash is taken up.
    ///
    /// While the valve is open the derivatives are those without lash. At the very place where the lash is just taken up all are zero,
    /// as with the valve closed: there the velocity jumps, and the blow is outside this kinematic picture. What setting the lash does
    /// to the angles of the rocker is left out.
    ///
    /// # Errors
    /// As [`Train::valve_lift`]; [`crate::Error::OutOfRange`] for a lash below zero.
    pub fn valve_with_lash(&self, lifter: Lift, lash: Length) -> Result<Lift> {
        let lash = non_negative("lash", lash)?;
        let valve = self.valve(lifter)?;
        if valve.lift <= lash {
            return Ok(Lift::default());
        }
        Ok(Lift { lift: valve.lift - lash, ..valve })
    }
}
