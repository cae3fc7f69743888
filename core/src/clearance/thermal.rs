//! Thermal growth: what a length or a diameter is at another temperature.
//!
//! A material's data are mean coefficients from 20 degC up to some temperatures, each with a least and a greatest value where sources differ.
//! Between those temperatures the mean coefficient is interpolated; beyond the last it is not known and refused.

use crate::error::{Result, finite, out_of_range};
use crate::units::{Dimensioned, Length, Ratio, TemperatureCoefficient, ThermodynamicTemperature};

/// The temperature that mean coefficients count from, and that drawings hold for: 20 degC.
///
/// # Source
/// ISO 1:2016, reference temperature for geometrical product specification (from memory).
pub const REFERENCE_KELVIN: f64 = 293.15; // ISO 1 (from memory)

/// Up to a temperature, degC: the least and the greatest mean coefficient from 20 degC that sources give, 1e-6/K.
type Mean = (f64, f64, f64);

/// A material of engine parts, with its data on expansion.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[non_exhaustive]
pub enum Material {
    /// Grey cast iron, blocks and liners.
    GreyIron,
    /// Plain carbon steel 1020.
    Steel1020,
    /// Plain carbon steel 1040.
    Steel1040,
    /// Alloy steel 4140 and 4340, cranks and rods.
    Steel4340,
    /// Aluminium casting alloy AlSi7Mg (A356), blocks and heads.
    AluminiumA356,
    /// Aluminium piston alloy AlSi12CuNiMg, cast.
    AluminiumAlSi12,
    /// Aluminium piston alloy 4032, forged.
    Aluminium4032,
    /// Aluminium alloy 2024.
    Aluminium2024,
    /// Aluminium alloy 7075.
    Aluminium7075,
    /// Titanium alloy Ti-6Al-4V.
    Titanium6Al4V,
}

const CALLISTER: &str = "Callister, Materials Science and Engineering, table B.6 (as transcribed)";

impl Material {
    /// Every material.
    pub const ALL: [Self; 10] = [
        Self::GreyIron,
        Self::Steel1020,
        Self::Steel1040,
        Self::Steel4340,
        Self::AluminiumA356,
        Self::AluminiumAlSi12,
        Self::Aluminium4032,
        Self::Aluminium2024,
        Self::Aluminium7075,
        Self::Titanium6Al4V,
    ];

    /// Name, source and data; handbooks scatter by about 5 %.
    const fn facts(self) -> (&'static str, &'static str, &'static [Mean]) {
        match self {
            Self::GreyIron => (
                "grey iron",
                "EN 1561, annex, 11.7 to 200 degC and 13.0 to 400 degC; ASM Handbook vol. 1, 10.5 to 10.8 to 100 degC (from memory)",
                &[(100.0, 10.5, 10.8), (200.0, 11.7, 11.7), (400.0, 13.0, 13.0)],
            ),
            Self::Steel1020 => ("steel 1020", CALLISTER, &[(100.0, 11.7, 11.7)]),
            Self::Steel1040 => ("steel 1040", CALLISTER, &[(100.0, 11.3, 11.3)]),
            Self::Steel4340 => (
                "steel 4340",
                "Callister, table B.6, to 100 degC (as transcribed); ASM Handbook vol. 1, to 250 and 500 degC (from memory)",
                &[(100.0, 12.3, 12.3), (250.0, 12.7, 12.7), (500.0, 13.7, 13.7)],
            ),
            Self::AluminiumA356 => (
                "aluminium A356",
                "ASM Handbook vol. 2 (from memory)",
                &[(100.0, 21.5, 21.5), (300.0, 23.5, 23.5)],
            ),
            Self::AluminiumAlSi12 => (
                "aluminium AlSi12CuNiMg",
                "a secondary source: 19.5-20.5 to 100, 20.5-21.5 to 200, 21.5-22.5 to 300 degC",
                &[(100.0, 19.5, 20.5), (200.0, 20.5, 21.5), (300.0, 21.5, 22.5)],
            ),
            Self::Aluminium4032 => (
                "aluminium 4032",
                "ASM Handbook vol. 2, Aluminum Association (from memory)",
                &[(100.0, 19.4, 19.4), (200.0, 20.2, 20.2), (300.0, 21.0, 21.0)],
            ),
            Self::Aluminium2024 => ("aluminium 2024", CALLISTER, &[(100.0, 22.9, 22.9)]),
            Self::Aluminium7075 => ("aluminium 7075", CALLISTER, &[(100.0, 23.4, 23.4)]),
            Self::Titanium6Al4V => ("titanium Ti-6Al-4V", CALLISTER, &[(100.0, 8.6, 8.6)]),
        }
    }

    /// What it is called.
    pub const fn name(self) -> &'static str {
        self.facts().0
    }

    /// Where its data come from.
    pub const fn source(self) -> &'static str {
        self.facts().1
    }

    /// The least and the greatest mean coefficient from 20 degC to a temperature, as far as sources differ.
    ///
    /// Data begin at 0 degC; between two temperatures of the data the coefficient is interpolated, below the first it is that of the first.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] outside the data.
    ///
    /// # Source
    /// [`Material::source`].
    pub fn mean_coefficient_range(
        self,
        at: ThermodynamicTemperature,
    ) -> Result<(TemperatureCoefficient, TemperatureCoefficient)> {
        let celsius = finite("temperature", at)?.si() - 273.15;
        let data = self.facts().2;
        let last = data.last().map_or(0.0, |m| m.0);
        if !(0.0..=last).contains(&celsius) {
            return Err(out_of_range(
                "temperature",
                at,
                format!("0 to {last} degC, the data of {}", self.name()),
            ));
        }
        let interpolated = |value: fn(&Mean) -> f64| {
            let above = data.iter().find(|m| celsius <= m.0);
            let below = data.iter().rev().find(|m| m.0 < celsius);
            match (below, above) {
                (Some(b), Some(a)) => {
                    let share = (celsius - b.0) / (a.0 - b.0);
                    value(b) + share * (value(a) - value(b))
                }
                (None, Some(only)) | (Some(only), None) => value(only),
                (None, None) => f64::NAN,
            }
        };
        let coefficient = |x: f64| TemperatureCoefficient::from_si(x * 1e-6);
        Ok((coefficient(interpolated(|m| m.1)), coefficient(interpolated(|m| m.2))))
    }

    /// The mean coefficient from 20 degC to a temperature: the middle of the range.
    ///
    /// # Errors
    /// As [`Material::mean_coefficient_range`].
    pub fn mean_coefficient(self, at: ThermodynamicTemperature) -> Result<TemperatureCoefficient> {
        let (least, greatest) = self.mean_coefficient_range(at)?;
        Ok(TemperatureCoefficient::from_si((least.si() + greatest.si()) / 2.0))
    }

    /// Thermal strain from 20 degC: mean coefficient x (T - 20 degC).
    ///
    /// # Errors
    /// As [`Material::mean_coefficient_range`].
    pub fn thermal_strain(self, at: ThermodynamicTemperature) -> Result<Ratio> {
        let alpha = self.mean_coefficient(at)?;
        Ok(Ratio::from_si(alpha.si() * (at.si() - REFERENCE_KELVIN)))
    }

    /// A length, bore or diameter at another temperature than it was read at: L (1 + e(to)) / (1 + e(from)).
    ///
    /// A bore grows like the metal that once filled it.
    ///
    /// # Errors
    /// As [`Material::mean_coefficient_range`].
    ///
    /// # Example
    /// ```
    /// use swept::clearance::Material;
    /// use swept::units::{parse, Dimensioned};
    /// let hot = Material::Aluminium4032.at_temperature(parse("86.44 mm")?, parse("20 degC")?, parse("200 degC")?)?;
    /// assert!((hot.si() - 86.44e-3 * (1.0 + 20.2e-6 * 180.0)).abs() < 1e-12);
    /// # Ok::<(), swept::Error>(())
    /// ```
    pub fn at_temperature(
        self,
        length: Length,
        from: ThermodynamicTemperature,
        to: ThermodynamicTemperature,
    ) -> Result<Length> {
        let length = finite("length", length)?;
        let (cold, hot) = (self.thermal_strain(from)?, self.thermal_strain(to)?);
        Ok(length * ((1.0 + hot.si()) / (1.0 + cold.si())))
    }
}

/// End gap of a ring when hot: gap - pi x bore x ring strain + pi x bore x bore strain, with the strains from where the gap was read.
///
/// Zero or less means that the ring butts.
///
/// # Source
/// Growth of the ring's length and of the bore's circumference; geometry.
pub fn hot_end_gap(gap: Length, bore: Length, ring_strain: Ratio, bore_strain: Ratio) -> Length {
    gap - bore * (core::f64::consts::PI * (ring_strain.si() - bore_strain.si()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ErrorKind;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    fn celsius(x: f64) -> ThermodynamicTemperature {
        ThermodynamicTemperature::from_si(x + 273.15)
    }

    /// Callister, table B.6, as transcribed; a secondary source for the piston alloy.
    #[test]
    fn coefficients_are_those_of_the_tables() {
        let alpha = |m: Material, t: f64| m.mean_coefficient(celsius(t)).unwrap().si() * 1e6;
        assert_relative_eq!(alpha(Material::Steel1020, 60.0), 11.7, max_relative = 1e-12);
        assert_relative_eq!(alpha(Material::Steel1040, 60.0), 11.3, max_relative = 1e-12);
        assert_relative_eq!(alpha(Material::Steel4340, 100.0), 12.3, max_relative = 1e-12);
        assert_relative_eq!(alpha(Material::Aluminium2024, 60.0), 22.9, max_relative = 1e-12);
        assert_relative_eq!(alpha(Material::Aluminium7075, 60.0), 23.4, max_relative = 1e-12);
        assert_relative_eq!(alpha(Material::Titanium6Al4V, 60.0), 8.6, max_relative = 1e-12);
        assert_relative_eq!(alpha(Material::AluminiumAlSi12, 200.0), 21.0, max_relative = 1e-12);
        assert_relative_eq!(alpha(Material::AluminiumAlSi12, 150.0), 20.5, max_relative = 1e-12);
    }

    /// Identity pi D alpha dT in a rigid bore; the figure computed independently.
    #[test]
    fn a_ring_closes_by_its_circumference() {
        let left = hot_end_gap(
            Length::from_si(0.4e-3),
            Length::from_si(101.6e-3),
            Ratio::from_si(1.14e-5 * 150.0),
            Ratio::from_si(0.0),
        );
        assert_relative_eq!(0.4e-3 - left.si(), 0.5458077412640763e-3, max_relative = 1e-12);
        assert!(left.si() < 0.0, "it butts");
    }

    #[test]
    fn outside_the_data_nothing_is_guessed() {
        for (material, t) in
            [(Material::Aluminium7075, 101.0), (Material::GreyIron, -1.0), (Material::Steel4340, 501.0)]
        {
            assert_eq!(material.mean_coefficient(celsius(t)).unwrap_err().kind(), ErrorKind::OutOfRange);
        }
        assert_eq!(
            Material::GreyIron.mean_coefficient(celsius(f64::NAN)).unwrap_err().kind(),
            ErrorKind::NotFinite
        );
    }

    proptest! {
        #[test]
        fn growth_is_undone_by_cooling_and_rises_with_temperature(which in 0..Material::ALL.len(), t in 21.0..99.0f64, more in 0.1..1.0f64) {
            let m = Material::ALL[which];
            let l = Length::from_si(0.1);
            let hot = m.at_temperature(l, celsius(20.0), celsius(t)).unwrap();
            let back = m.at_temperature(hot, celsius(t), celsius(20.0)).unwrap();
            prop_assert!((back - l).si().abs() < 1e-16);
            prop_assert!(m.at_temperature(l, celsius(20.0), celsius(t + more)).unwrap() > hot);
            let (least, greatest) = m.mean_coefficient_range(celsius(t)).unwrap();
            prop_assert!(least <= greatest && !m.source().is_empty());
        }
    }
}
