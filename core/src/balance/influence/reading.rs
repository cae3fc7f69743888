//! What is read at the sensors: amplitude, phase, how sure they are, and with which weights on the rotor.

use crate::balance::unbalance::UnbalanceVector;
use crate::error::{Error, Result, finite, non_negative};
use crate::units::{Angle, Dimensioned, Ratio};
use core::f64::consts::TAU;
use num_complex::Complex64;

/// Which way the phase angles of the readings are counted.
///
/// Only the sense matters, not where zero is: a turned sensor or mark turns the influence coefficients with it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PhaseConvention {
    /// In the same sense as the angles of the weights: a weight moved by 10 deg raises the phase of its vibration by 10 deg. So it is with phase lead
    /// and weights counted in running direction, with phase lag and weights counted against it, and in most books.
    Lead,
    /// In the opposite sense: phase lag, how far the vibration is behind the mark, with weights counted in running direction.
    Lag,
}

/// One reading of a sensor: amplitude in any unit, the same in all runs, and phase.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VibrationReading {
    amplitude: f64,
    phase: Angle,
}

impl VibrationReading {
    /// From amplitude and phase.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for an amplitude below zero.
    pub fn new(amplitude: f64, phase: Angle) -> Result<Self> {
        let amplitude = non_negative("amplitude", Ratio::from_si(amplitude))?.si();
        Ok(Self { amplitude, phase: finite("phase", phase)? })
    }

    /// Amplitude, in the unit it was read in.
    pub fn amplitude(&self) -> f64 {
        self.amplitude
    }

    /// Phase.
    pub fn phase(&self) -> Angle {
        self.phase
    }

    /// As a complex number whose angle is counted in the sense of the weights' angles.
    pub fn complex(&self, convention: PhaseConvention) -> Complex64 {
        let lead = Complex64::from_polar(self.amplitude, self.phase.si());
        match convention {
            PhaseConvention::Lead => lead,
            PhaseConvention::Lag => lead.conj(),
        }
    }

    /// The reading of such a complex number, with its phase from 0 to below 360 deg.
    ///
    /// # Errors
    /// [`Error::NotFinite`].
    pub fn from_complex(vibration: Complex64, convention: PhaseConvention) -> Result<Self> {
        let angle = match convention {
            PhaseConvention::Lead => vibration.arg(),
            PhaseConvention::Lag => -vibration.arg(),
        };
        let turned = angle.rem_euclid(TAU);
        // The remainder of an angle just below zero rounds to a whole turn.
        Self::new(vibration.norm(), Angle::from_si(if turned >= TAU { 0.0 } else { turned }))
    }
}

/// The standard uncertainty of every reading, independent from reading to reading.
///
/// What is wrong with a sensor in the same way in all runs, such as its gain, cancels in the correction and does not belong here.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReadingUncertainty {
    relative: f64,
    phase: f64,
    absolute: f64,
}

impl ReadingUncertainty {
    /// None stated.
    pub const NONE: Self = Self { relative: 0.0, phase: 0.0, absolute: 0.0 };

    /// Of the amplitude, relative to it, and of the phase.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] below zero.
    pub fn polar(relative: Ratio, phase: Angle) -> Result<Self> {
        let relative = non_negative("uncertainty of the amplitude", relative)?.si();
        Ok(Self { relative, phase: non_negative("uncertainty of the phase", phase)?.si(), absolute: 0.0 })
    }

    /// Of the real and of the imaginary part alike, in the unit of the amplitudes.
    ///
    /// # Errors
    /// As [`ReadingUncertainty::polar`].
    pub fn absolute(each_part: f64) -> Result<Self> {
        let absolute = non_negative("uncertainty of a reading", Ratio::from_si(each_part))?.si();
        Ok(Self { absolute, ..Self::NONE })
    }

    /// Both kinds together, independent of each other.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        let [relative, phase, absolute] =
            [(self.relative, other.relative), (self.phase, other.phase), (self.absolute, other.absolute)]
                .map(|(a, b)| a.hypot(b));
        Self { relative, phase, absolute }
    }

    /// Standard uncertainties along a reading and across it, which are independent.
    pub(super) fn parts(&self, reading: Complex64) -> (f64, f64) {
        let size = reading.norm();
        ((size * self.relative).hypot(self.absolute), (size * self.phase).hypot(self.absolute))
    }
}

/// A run with trial weights.
#[derive(Debug, Clone, PartialEq)]
pub struct TrialRun {
    weights: Vec<UnbalanceVector>,
    readings: Vec<VibrationReading>,
    stays: bool,
}

impl TrialRun {
    /// The weights put on for this run, one for each plane ([`UnbalanceVector::none`] in a plane without), the readings of all sensors, and whether
    /// these weights stay on in all runs that follow and under the correction.
    pub fn new(weights: Vec<UnbalanceVector>, readings: Vec<VibrationReading>, stays: bool) -> Self {
        Self { weights, readings, stays }
    }

    /// A run with one weight, in one of `planes` planes, counted from zero, that comes off again.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a plane that is not there.
    pub fn in_plane(
        plane: usize,
        planes: usize,
        weight: UnbalanceVector,
        readings: Vec<VibrationReading>,
    ) -> Result<Self> {
        let mut weights = vec![UnbalanceVector::none(); planes];
        let Some(here) = weights.get_mut(plane) else {
            return Err(Error::OutOfRange {
                field: "plane of the trial weight".into(),
                value: plane.to_string(),
                allowed: format!("below {planes}, counted from zero"),
            });
        };
        *here = weight;
        Ok(Self::new(weights, readings, false))
    }

    /// The weights put on for this run, heavy at their angles.
    pub fn weights(&self) -> &[UnbalanceVector] {
        &self.weights
    }

    /// The readings, sensor by sensor.
    pub fn readings(&self) -> &[VibrationReading] {
        &self.readings
    }

    /// Whether the weights stay on in the runs that follow.
    pub fn stays(&self) -> bool {
        self.stays
    }
}
