//! Springs under a retainer: seat and open loads, coil bind, shims, nested springs.

use super::ValveSpring;
use crate::error::{Error, Result, finite, finite_positive, non_negative, out_of_range};
use crate::units::{Dimensioned, Force, Length, SpringRate, written};

/// A spring at its installed height.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InstalledSpring {
    spring: ValveSpring,
    height: Length,
    seat_load: Force,
}

impl InstalledSpring {
    /// A spring at a height with the valve seated.
    ///
    /// # Errors
    /// As [`ValveSpring::load_at`].
    pub fn new(spring: ValveSpring, height: Length) -> Result<Self> {
        Ok(Self { spring, height, seat_load: spring.load_at(height)? })
    }

    /// The spring.
    pub fn spring(&self) -> &ValveSpring {
        &self.spring
    }

    /// Installed height.
    pub fn height(&self) -> Length {
        self.height
    }

    /// Load with the valve seated.
    pub fn seat_load(&self) -> Force {
        self.seat_load
    }

    /// Height at a lift of the valve: installed height - lift.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for a lift below zero.
    pub fn open_height(&self, lift: Length) -> Result<Length> {
        Ok(self.height - non_negative("lift of the valve", lift)?)
    }

    /// Load at a lift of the valve.
    ///
    /// # Errors
    /// As [`InstalledSpring::open_height`]; [`Error::OutOfRange`] for a height below the solid height.
    pub fn load(&self, lift: Length) -> Result<Force> {
        self.spring.load_at(self.open_height(lift)?)
    }

    /// Coil-bind margin at a lift of the valve: open height - solid height; below zero the coils would bind before that lift.
    ///
    /// # Errors
    /// As [`InstalledSpring::open_height`].
    pub fn coil_bind_margin(&self, lift: Length) -> Result<Length> {
        Ok(self.open_height(lift)? - self.spring.solid)
    }

    /// Thickness of shim under the spring that brings a load with the valve seated: (load - seat load) / rate; below zero, what to
    /// take out.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for a load below zero or beyond the solid height's.
    pub fn shim_for(&self, seat_load: Force) -> Result<Length> {
        self.spring.height_at(seat_load)?;
        Ok(Length::from_si((seat_load - self.seat_load).si() / self.spring.rate.si()))
    }

    /// The same with a shim more under the spring; below zero, with that much taken out.
    ///
    /// # Errors
    /// As [`InstalledSpring::new`].
    pub fn shimmed(&self, thickness: Length) -> Result<Self> {
        Self::new(self.spring, self.height - finite("thickness of the shim", thickness)?)
    }
}

/// Springs that act on one valve, nested or one alone: their rates and loads add, the first to bind stops the valve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpringSet {
    rate: SpringRate,
    seat_load: Force,
    travel: Length,
}

impl SpringSet {
    /// Of springs, each at its own installed height.
    ///
    /// # Errors
    /// [`Error::WrongLength`] for none.
    pub fn of(springs: &[InstalledSpring]) -> Result<Self> {
        if springs.is_empty() {
            let expected = "at least one spring".to_owned();
            return Err(Error::WrongLength { field: "springs".into(), found: 0, expected });
        }
        let travel = springs.iter().map(|s| (s.height - s.spring.solid).si()).fold(f64::INFINITY, f64::min);
        let rate = springs.iter().map(|s| s.spring.rate.si()).sum();
        let load = springs.iter().map(|s| s.seat_load.si()).sum();
        Ok(Self {
            rate: finite_positive("rate of the springs", SpringRate::from_si(rate))?,
            seat_load: Force::from_si(load),
            travel: Length::from_si(travel),
        })
    }

    /// Sum of the rates.
    pub fn rate(&self) -> SpringRate {
        self.rate
    }

    /// Sum of the loads with the valve seated.
    pub fn seat_load(&self) -> Force {
        self.seat_load
    }

    /// Lift at which the first spring binds.
    pub fn lift_to_bind(&self) -> Length {
        self.travel
    }

    /// Sum of the loads at a lift of the valve.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for a lift below zero or beyond coil bind.
    pub fn load(&self, lift: Length) -> Result<Force> {
        let lift = non_negative("lift of the valve", lift)?;
        if lift > self.travel {
            let allowed = format!("at most {}, where the first spring binds", written(self.travel));
            return Err(out_of_range("lift of the valve", lift, allowed));
        }
        Ok(Force::from_si(self.seat_load.si() + self.rate.si() * lift.si()))
    }

    /// Coil-bind margin of the first spring to bind; below zero it would bind before that lift.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for a lift below zero.
    pub fn coil_bind_margin(&self, lift: Length) -> Result<Length> {
        Ok(self.travel - non_negative("lift of the valve", lift)?)
    }
}

/// Clearance of the retainer to the seal, or to the guide, at a lift: the gap with the valve seated less the lift; below zero they
/// would meet.
///
/// # Errors
/// [`Error::NotFinite`]; [`Error::OutOfRange`] for a gap or a lift below zero.
pub fn retainer_clearance(installed_gap: Length, lift: Length) -> Result<Length> {
    let gap = non_negative("gap under the retainer with the valve seated", installed_gap)?;
    Ok(gap - non_negative("lift of the valve", lift)?)
}
