//! Valve springs: rate, load, heights, coil bind, natural frequency, and the speed at which the valve leaves the cam.
//!
//! Heights are those of the spring under load: it stands at its installed height with the valve seated, lower by the lift when open,
//! and at its solid height with all coils touching.

mod control;
mod installed;
#[cfg(test)]
mod tests;
mod train;
mod wire;

pub use control::{FloatSpeed, LeastMargin, SpringControl, SpringForces};
pub use installed::{InstalledSpring, SpringSet, retainer_clearance};
pub use train::{TrainMasses, mass_at_tip, train_deflection, train_frequency};
pub use wire::{HelicalSpring, harmonic_frequency_ratio, surge_frequency};

use crate::error::{Result, finite_positive, non_negative, out_of_range};
use crate::units::{Dimensioned, Force, Length, SpringRate, written};

/// The rate from two readings of height and load: k = (F_2 - F_1) / (h_1 - h_2).
///
/// # Errors
/// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a height not above zero, a load below zero, equal heights, or a load
/// that does not grow as the spring gets shorter.
///
/// # Source
/// Hooke.
///
/// # Example
/// ```
/// use swept::{units::parse, valvetrain::spring::rate_from_readings};
/// let rate = rate_from_readings((parse("40 mm")?, parse("300 N")?), (parse("30 mm")?, parse("700 N")?))?;
/// assert!((rate.value - 40e3).abs() < 1e-6);
/// # Ok::<(), swept::Error>(())
/// ```
pub fn rate_from_readings(first: (Length, Force), second: (Length, Force)) -> Result<SpringRate> {
    let (first, second) = (reading(first)?, reading(second)?);
    if first.0 == second.0 {
        let allowed = format!("other than the first, {}", written(first.0));
        return Err(out_of_range("height of the second reading", second.0, allowed));
    }
    let rate = SpringRate::from_si((second.1 - first.1).si() / (first.0 - second.0).si());
    finite_positive("rate from two readings", rate)
}

fn reading((height, load): (Length, Force)) -> Result<(Length, Force)> {
    Ok((finite_positive("height of the spring", height)?, non_negative("load of the spring", load)?))
}

/// A spring as the bench shows it: its rate, one reading of height and load, and its solid height.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ValveSpring {
    rate: SpringRate,
    height: Length,
    load: Force,
    solid: Length,
}

impl ValveSpring {
    /// From the rate, the load at a height, and the solid height (measured, or that of [`HelicalSpring::solid_height`]).
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a rate or a height not above zero, a load below zero, a solid
    /// height above the height read.
    pub fn new(rate: SpringRate, height: Length, load: Force, solid: Length) -> Result<Self> {
        let rate = finite_positive("spring rate", rate)?;
        let (height, load) = reading((height, load))?;
        let solid = finite_positive("solid height", solid)?;
        if solid > height {
            let allowed = format!("at most the height of the reading, {}", written(height));
            return Err(out_of_range("solid height", solid, allowed));
        }
        Ok(Self { rate, height, load, solid })
    }

    /// From two readings of height and load, and the solid height.
    ///
    /// # Errors
    /// As [`rate_from_readings`] and [`ValveSpring::new`], for both heights.
    pub fn from_readings(first: (Length, Force), second: (Length, Force), solid: Length) -> Result<Self> {
        let rate = rate_from_readings(first, second)?;
        Self::new(rate, second.0, second.1, solid)?;
        Self::new(rate, first.0, first.1, solid)
    }

    /// Rate.
    pub fn rate(&self) -> SpringRate {
        self.rate
    }

    /// Solid height.
    pub fn solid_height(&self) -> Length {
        self.solid
    }

    /// Free height, by the rate: where the load is none.
    pub fn free_height(&self) -> Length {
        self.height + Length::from_si(self.load.si() / self.rate.si())
    }

    /// Load at a height: F = F_1 + k (h_1 - h).
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] below the solid height or above the free height.
    ///
    /// # Source
    /// Hooke.
    pub fn load_at(&self, height: Length) -> Result<Force> {
        let height = finite_positive("height of the spring", height)?;
        // Rounding must not refuse the free height itself.
        if height < self.solid || height.si() > self.free_height().si() * (1.0 + 4.0 * f64::EPSILON) {
            let (solid, free) = (written(self.solid), written(self.free_height()));
            let allowed = format!("from solid to free, {solid} to {free}");
            return Err(out_of_range("height of the spring", height, allowed));
        }
        let load = self.load.si() + self.rate.si() * (self.height - height).si();
        Ok(Force::from_si(load.max(0.0)))
    }

    /// Height at a load: h = h_1 - (F - F_1) / k.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a load below zero or beyond the solid height's.
    pub fn height_at(&self, load: Force) -> Result<Length> {
        let load = non_negative("load of the spring", load)?;
        let height = self.height - Length::from_si((load - self.load).si() / self.rate.si());
        if height < self.solid {
            let most = Force::from_si(self.load.si() + self.rate.si() * (self.height - self.solid).si());
            let allowed = format!("at most {}, the load when solid", written(most));
            return Err(out_of_range("load of the spring", load, allowed));
        }
        Ok(height)
    }
}
