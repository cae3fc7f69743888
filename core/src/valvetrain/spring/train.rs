//! The masses of the valve train brought to the valve, and its stiffness.

use crate::error::{Result, finite, finite_positive, non_negative};
use crate::units::{Dimensioned, Force, Frequency, Length, Mass, Ratio, SpringRate};
use core::f64::consts::TAU;

/// The share of a spring's mass that moves with its moving end: of coils that move in proportion, a third of the kinetic energy.
const SPRING_SHARE: f64 = 1.0 / 3.0; // closed form: the integral of x^2 from 0 to 1

/// The moving parts of one valve's train.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrainMasses {
    valve: Mass,
    retainer_and_locks: Mass,
    springs: Mass,
    rocker: Mass,
    lifter_and_pushrod: Mass,
    ratio: f64,
}

impl TrainMasses {
    /// From the valve, retainer with locks, all springs, the rocker as a mass at its tip ([`mass_at_tip`]; zero without one), lifter
    /// and pushrod together, and the ratio of valve to lifter.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a valve or a ratio not above zero, another mass below zero.
    pub fn new(
        valve: Mass,
        retainer_and_locks: Mass,
        springs: Mass,
        rocker: Mass,
        lifter_and_pushrod: Mass,
        ratio: Ratio,
    ) -> Result<Self> {
        Ok(Self {
            valve: finite_positive("mass of the valve", valve)?,
            retainer_and_locks: non_negative("mass of retainer and locks", retainer_and_locks)?,
            springs: non_negative("mass of the springs", springs)?,
            rocker: non_negative("mass of the rocker at its tip", rocker)?,
            lifter_and_pushrod: non_negative("mass of lifter and pushrod", lifter_and_pushrod)?,
            ratio: finite_positive("rocker ratio", ratio)?.si(),
        })
    }

    /// Effective mass at the valve: valve + retainer and locks + springs / 3 + rocker + (lifter and pushrod) / ratio^2.
    ///
    /// It has the kinetic energy of all parts at the valve's velocity; lifter and pushrod move slower than the valve by the ratio, so
    /// that their mass counts less by its square. The ratio is held, whatever the lift.
    ///
    /// # Source
    /// Kinetic energy; Norton, Cam Design and Manufacturing Handbook, chapter on modelling of cam-follower systems (from memory).
    pub fn effective(&self) -> Mass {
        let at_lifter = self.lifter_and_pushrod / (self.ratio * self.ratio);
        self.valve + self.retainer_and_locks + self.springs * SPRING_SHARE + self.rocker + at_lifter
    }
}

/// The mass at a rocker's tip that has its inertia: I / arm^2, with the inertia about the pivot in kg m2 and the arm from the pivot to
/// the stem's axis.
///
/// # Errors
/// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for an inertia below zero or an arm not above zero.
pub fn mass_at_tip(inertia: f64, arm: Length) -> Result<Mass> {
    let inertia = non_negative("moment of inertia of the rocker", Ratio::from_si(inertia))?.si();
    Ok(Mass::from_si(inertia / finite_positive("arm of the rocker", arm)?.si().powi(2)))
}

/// How far the valve train gives under a force at the valve: force / stiffness. A static estimate.
///
/// # Errors
/// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a stiffness not above zero.
pub fn train_deflection(force: Force, stiffness: SpringRate) -> Result<Length> {
    let force = finite("force at the valve", force)?.si();
    Ok(Length::from_si(force / finite_positive("stiffness of the valve train", stiffness)?.si()))
}

/// Natural frequency of the valve train as one mass on its stiffness, both at the valve: sqrt(k / m) / (2 pi). An estimate.
///
/// # Errors
/// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a stiffness or a mass not above zero.
///
/// # Source
/// The oscillator of one mass; Norton, Cam Design and Manufacturing Handbook, chapter on modelling of cam-follower systems (from memory).
pub fn train_frequency(stiffness: SpringRate, effective_mass: Mass) -> Result<Frequency> {
    let stiffness = finite_positive("stiffness of the valve train", stiffness)?.si();
    let mass = finite_positive("effective mass", effective_mass)?.si();
    Ok(Frequency::from_si((stiffness / mass).sqrt() / TAU))
}
