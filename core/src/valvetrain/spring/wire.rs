//! A helical spring of round wire: rate, solid height, stress, natural frequency.

use crate::error::{Error, Result, finite_positive, non_negative, out_of_range};
use crate::units::{
    AngularVelocity, Dimensioned, Force, Frequency, Length, Mass, Pressure, Ratio, SpringRate, written,
};
use core::f64::consts::{PI, TAU};

/// Dead coils of squared and ground ends. Shigley, Mechanical Engineering Design, table 10-1 (from memory).
const DEAD_COILS: f64 = 2.0;

/// A cylindrical helical compression spring of round wire.
///
/// # Example
/// ```
/// use swept::units::parse;
/// use swept::valvetrain::spring::HelicalSpring;
/// let spring = HelicalSpring::squared_and_ground(parse("4 mm")?, parse("28 mm")?, parse("5")?)?;
/// assert!((spring.solid_height().value - 0.028).abs() < 1e-15);
/// let rate = spring.rate(parse("78.5 GPa")?)?;
/// assert!((rate.value - 78.5e9 * 0.004f64.powi(4) / (8.0 * 0.028f64.powi(3) * 5.0)).abs() < 1e-6);
/// # Ok::<(), swept::Error>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HelicalSpring {
    wire: Length,
    mean: Length,
    active: f64,
    total: f64,
}

impl HelicalSpring {
    /// From the diameter of the wire, the mean diameter of the coil (outside less wire), the active coils and all coils.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for a diameter or count not above zero, a spring index (mean over wire diameter)
    /// not above 1, fewer coils in all than active ones.
    pub fn new(wire: Length, mean: Length, active: Ratio, total: Ratio) -> Result<Self> {
        let wire = finite_positive("wire diameter", wire)?;
        let mean = finite_positive("mean coil diameter", mean)?;
        if mean <= wire {
            let allowed = format!("above the wire diameter, {} (spring index above 1)", written(wire));
            return Err(out_of_range("mean coil diameter", mean, allowed));
        }
        let active = finite_positive("active coils", active)?;
        let total = finite_positive("coils in all", total)?;
        if total < active {
            return Err(out_of_range(
                "coils in all",
                total,
                format!("at least the active ones, {}", written(active)),
            ));
        }
        Ok(Self { wire, mean, active: active.si(), total: total.si() })
    }

    /// With squared and ground ends: two coils more than active ones.
    ///
    /// # Errors
    /// As [`HelicalSpring::new`].
    ///
    /// # Source
    /// Shigley, Mechanical Engineering Design, table 10-1 (from memory).
    pub fn squared_and_ground(wire: Length, mean: Length, active: Ratio) -> Result<Self> {
        Self::new(wire, mean, active, active + Ratio::from_si(DEAD_COILS))
    }

    /// Spring index: mean diameter over wire diameter.
    pub fn index(&self) -> Ratio {
        self.mean / self.wire
    }

    /// Rate: k = G d^4 / (8 D^3 n), with the shear modulus G.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for a modulus not above zero.
    ///
    /// # Source
    /// Shigley, Mechanical Engineering Design, eq. 10-9 (from memory).
    pub fn rate(&self, shear_modulus: Pressure) -> Result<SpringRate> {
        let g = finite_positive("shear modulus", shear_modulus)?.si();
        Ok(SpringRate::from_si(g * self.wire.si().powi(4) / (8.0 * self.mean.si().powi(3) * self.active)))
    }

    /// Solid height with ground ends: wire diameter times coils in all.
    ///
    /// # Source
    /// As [`HelicalSpring::squared_and_ground`].
    pub fn solid_height(&self) -> Length {
        self.wire * self.total
    }

    /// Mass of the active coils: m = pi^2 d^2 D n rho / 4, with the wire's density in kg/m3, such as
    /// [`crate::balance::drill::STEEL_DENSITY`].
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for a density not above zero.
    ///
    /// # Source
    /// Shigley, Mechanical Engineering Design, in section 10-8 (from memory).
    pub fn active_mass(&self, density: f64) -> Result<Mass> {
        let density = finite_positive("density", Ratio::from_si(density))?.si();
        Ok(Mass::from_si(PI * PI * self.wire.si().powi(2) * self.mean.si() * self.active * density / 4.0))
    }

    /// Wahl's factor, for curvature and direct shear: (4 C - 1) / (4 C - 4) + 0.615 / C.
    ///
    /// # Source
    /// Wahl; Shigley, Mechanical Engineering Design, eq. 10-4 (from memory).
    pub fn wahl_factor(&self) -> Ratio {
        let c = self.index().si();
        Ratio::from_si((4.0 * c - 1.0) / (4.0 * c - 4.0) + 0.615 / c)
    }

    /// Bergstraesser's factor, for curvature and direct shear: (4 C + 2) / (4 C - 3).
    ///
    /// # Source
    /// Bergstraesser; Shigley, Mechanical Engineering Design, eq. 10-5 (from memory).
    pub fn bergstraesser_factor(&self) -> Ratio {
        let c = self.index().si();
        Ratio::from_si((4.0 * c + 2.0) / (4.0 * c - 3.0))
    }

    /// Shear stress on the inside of the coil: tau = K 8 F D / (pi d^3), with one of the two factors.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for a load or a factor below zero.
    ///
    /// # Source
    /// Shigley, Mechanical Engineering Design, eq. 10-7 (from memory).
    pub fn shear_stress(&self, load: Force, factor: Ratio) -> Result<Pressure> {
        let load = non_negative("load of the spring", load)?.si();
        let factor = non_negative("factor of curvature", factor)?.si();
        Ok(Pressure::from_si(factor * 8.0 * load * self.mean.si() / (PI * self.wire.si().powi(3))))
    }
}

/// Lowest natural frequency of a spring between two ends that hold still (surge): f = 1/2 sqrt(k / m), m the mass of the active coils.
///
/// # Errors
/// [`Error::NotFinite`]; [`Error::OutOfRange`] for a rate or a mass not above zero.
///
/// # Source
/// Shigley, Mechanical Engineering Design, eq. 10-25 (from memory).
pub fn surge_frequency(rate: SpringRate, active_mass: Mass) -> Result<Frequency> {
    let rate = finite_positive("spring rate", rate)?.si();
    let mass = finite_positive("mass of the active coils", active_mass)?.si();
    Ok(Frequency::from_si((rate / mass).sqrt() / 2.0))
}

/// A natural frequency over that of a harmonic of the cam: f / (n x turns of the cam a second). At 1 the harmonic meets it.
///
/// With the first harmonic it is the order that meets the frequency.
///
/// # Errors
/// [`Error::NotFinite`]; [`Error::OutOfRange`] for a frequency or a speed not above zero, or a harmonic of 0.
pub fn harmonic_frequency_ratio(
    frequency: Frequency,
    crank: AngularVelocity,
    harmonic: u32,
) -> Result<Ratio> {
    let frequency = finite_positive("natural frequency", frequency)?.si();
    let cam = finite_positive("crank speed", crank)?.si() / 2.0;
    if harmonic == 0 {
        let allowed = "1 or more".to_owned();
        return Err(Error::OutOfRange { field: "harmonic".into(), value: "0".into(), allowed });
    }
    Ok(Ratio::from_si(frequency * TAU / (cam * f64::from(harmonic))))
}
