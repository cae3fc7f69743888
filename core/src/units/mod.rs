//! Quantities with their dimension checked at compile time, and the one table of written units.
//!
//! The quantities are those of the crate `uom` (`si::f64`), re-exported. The factors of the
//! written units are our own exact fractions ([`TABLE`]): those of `uom` are rounded to seven digits for
//! the pound, the ounce, the cubic inch and all units that follow from them.

mod read;
mod table;

pub(crate) use read::number_of;
pub use read::{convert, find, find_for, parse, quantity, quantity_of};
pub use table::{MILLIMETRE, RATIO, TABLE, Unit};
pub use uom::si::f64::{
    Acceleration, Angle, AngularVelocity, Area, DynamicViscosity, Force, Frequency, KinematicViscosity,
    Length, Mass, Pressure, Ratio, TemperatureCoefficient, TemperatureInterval, ThermodynamicTemperature,
    Time, Torque, Velocity, Volume,
};
use uom::typenum::{N2, P1, Z0};

/// Mass times length (kg m): what a heavy spot at a radius is on a rotor.
pub type Unbalance = uom::si::Quantity<uom::si::ISQ<P1, P1, Z0, Z0, Z0, Z0, Z0>, uom::si::SI<f64>, f64>;

/// Force over deflection (N/m): the rate of a spring.
pub type SpringRate = uom::si::Quantity<uom::si::ISQ<Z0, P1, N2, Z0, Z0, Z0, Z0>, uom::si::SI<f64>, f64>;

/// What kind of quantity a written unit measures.
///
/// Torque is not energy, rotational speed is not frequency, and a temperature is not a temperature
/// difference: each has its own dimension here.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[non_exhaustive]
pub enum Dimension {
    /// Length, m.
    Length,
    /// Area, m2.
    Area,
    /// Volume, m3.
    Volume,
    /// Mass, kg.
    Mass,
    /// Plane angle, rad.
    Angle,
    /// Rotational speed, rad/s.
    RotationalSpeed,
    /// Velocity, m/s.
    Velocity,
    /// Acceleration, m/s2.
    Acceleration,
    /// Pressure or stress, Pa.
    Pressure,
    /// Force, N.
    Force,
    /// Torque, N m.
    Torque,
    /// Unbalance, kg m.
    Unbalance,
    /// Temperature, K.
    Temperature,
    /// Difference of two temperatures, K.
    TemperatureDifference,
    /// Dynamic viscosity, Pa s.
    DynamicViscosity,
    /// Kinematic viscosity, m2/s.
    KinematicViscosity,
    /// A number.
    Ratio,
    /// Time, s.
    Time,
    /// Coefficient of expansion, 1/K.
    Expansion,
    /// Force over deflection, N/m.
    SpringRate,
    /// Frequency of a vibration, Hz.
    Frequency,
}

impl Dimension {
    /// Every dimension.
    pub const ALL: [Self; 21] = [
        Self::Length,
        Self::Area,
        Self::Volume,
        Self::Mass,
        Self::Angle,
        Self::RotationalSpeed,
        Self::Velocity,
        Self::Acceleration,
        Self::Pressure,
        Self::Force,
        Self::Torque,
        Self::Unbalance,
        Self::Temperature,
        Self::TemperatureDifference,
        Self::DynamicViscosity,
        Self::KinematicViscosity,
        Self::Ratio,
        Self::Time,
        Self::Expansion,
        Self::SpringRate,
        Self::Frequency,
    ];

    /// The name, the SI unit it is stored in, and a written example.
    const fn facts(self) -> (&'static str, &'static str, &'static str) {
        match self {
            Self::Length => ("length", "m", "86.00 mm"),
            Self::Area => ("area", "m2", "58.1 cm2"),
            Self::Volume => ("volume", "m3", "45.0 cm3"),
            Self::Mass => ("mass", "kg", "412 g"),
            Self::Angle => ("angle", "rad", "90 deg"),
            Self::RotationalSpeed => ("rotational speed", "rad/s", "6500 rpm"),
            Self::Velocity => ("velocity", "m/s", "18 m/s"),
            Self::Acceleration => ("acceleration", "m/s2", "20000 m/s2"),
            Self::Pressure => ("pressure", "Pa", "90 bar"),
            Self::Force => ("force", "N", "40 kN"),
            Self::Torque => ("torque", "N m", "95 N m"),
            Self::Unbalance => ("unbalance", "kg m", "150 g mm"),
            Self::Temperature => ("temperature", "K", "20 degC"),
            Self::TemperatureDifference => ("temperature difference", "K", "80 K"),
            Self::DynamicViscosity => ("dynamic viscosity", "Pa s", "0.012 Pa s"),
            Self::KinematicViscosity => ("kinematic viscosity", "m2/s", "100 mm2/s"),
            Self::Ratio => ("ratio", "", "10.5"),
            Self::Time => ("time", "s", "0.01 s"),
            Self::Expansion => ("coefficient of expansion", "m/m/K", "11.5 um/m/K"),
            Self::SpringRate => ("spring rate", "N/m", "40 N/mm"),
            Self::Frequency => ("frequency", "Hz", "400 Hz"),
        }
    }

    /// The name in words, such as "rotational speed".
    pub const fn name(self) -> &'static str {
        self.facts().0
    }

    /// The symbol of the SI unit that values of this dimension are stored in; empty for a ratio.
    pub const fn base_symbol(self) -> &'static str {
        self.facts().1
    }

    /// A text that parses as this dimension.
    pub const fn example(self) -> &'static str {
        self.facts().2
    }
}

impl core::fmt::Display for Dimension {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str(self.name())
    }
}

/// A quantity whose dimension is known and whose value in SI units can be taken and given.
pub trait Dimensioned: Copy {
    /// Its dimension.
    const DIMENSION: Dimension;
    /// The quantity of this value in SI base units.
    fn from_si(value: f64) -> Self;
    /// The value in SI base units.
    fn si(self) -> f64;
}

/// Implements [`Dimensioned`] for uom quantities, all alike.
macro_rules! dimensioned {
    ($($quantity:ident => $dimension:ident),+ $(,)?) => {$(
        impl Dimensioned for $quantity {
            const DIMENSION: Dimension = Dimension::$dimension;
            fn from_si(value: f64) -> Self {
                Self { dimension: core::marker::PhantomData, units: core::marker::PhantomData, value }
            }
            fn si(self) -> f64 {
                self.value
            }
        }
    )+};
}

dimensioned! {
    Length => Length, Area => Area, Volume => Volume, Mass => Mass, Angle => Angle,
    AngularVelocity => RotationalSpeed, Velocity => Velocity, Acceleration => Acceleration,
    Pressure => Pressure, Force => Force, Torque => Torque, Unbalance => Unbalance,
    ThermodynamicTemperature => Temperature, TemperatureInterval => TemperatureDifference,
    DynamicViscosity => DynamicViscosity, KinematicViscosity => KinematicViscosity,
    Ratio => Ratio, Time => Time, TemperatureCoefficient => Expansion, SpringRate => SpringRate, Frequency => Frequency,
}

/// The quantity written for a message: lengths in mm, volumes in cm3, temperatures in degC, all others in their SI unit.
pub fn written<Q: Dimensioned>(q: Q) -> String {
    let symbol = match Q::DIMENSION {
        Dimension::Length => "mm",
        Dimension::Volume => "cm3",
        Dimension::Temperature => "degC",
        Dimension::Angle => "deg",
        other => other.base_symbol(),
    };
    match find_for(symbol, Q::DIMENSION, symbol) {
        Ok(unit) => unit.write(q.si()),
        Err(_) => q.si().to_string(),
    }
}
