//! Thermal growth: what a length or a diameter is at another temperature.
//!
//! A material's data are mean coefficients from 20 degC up to some temperatures, each with a least and a greatest value where sources differ.
//! Between those temperatures the mean coefficient is interpolated; beyond the last it is not known and refused.

use super::end_gap_in_bore;
use super::material::{Material, Mean};
use crate::error::{Result, finite, finite_positive, out_of_range};
use crate::units::{
    Dimensioned, Length, Ratio, TemperatureCoefficient, TemperatureInterval, ThermodynamicTemperature,
};

/// The temperature that mean coefficients count from, and that drawings hold for: 20 degC.
///
/// # Source
/// ISO 1:2016, reference temperature for geometrical product specification (from memory).
pub const REFERENCE_KELVIN: f64 = 293.15; // ISO 1 (from memory)

impl Material {
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
        let data = self.data();
        let last = self.last_temperature();
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

/// By how much to heat a part (to cool it, for a growth below zero) so that a length of it grows by so much: growth / (alpha x length).
///
/// # Errors
/// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a length or a coefficient not above zero.
///
/// # Source
/// Linear expansion; Wentzell, Machine Design, example 6.3 (as worked in an open textbook companion).
pub fn heating_for(
    growth: Length,
    length: Length,
    expansion: TemperatureCoefficient,
) -> Result<TemperatureInterval> {
    let strain = finite("growth", growth)? / finite_positive("length", length)?;
    let alpha = finite_positive("coefficient of expansion", expansion)?;
    Ok(TemperatureInterval::from_si(strain.si() / alpha.si()))
}

/// End gap of a ring when hot: gap + pi x bore x (bore strain - ring strain), with the strains from where the gap was read.
///
/// Zero or less means that the ring butts. The growth of the gap itself, well below a micrometre, is left out.
///
/// # Source
/// Growth of the ring's length and of the bore's circumference; geometry.
pub fn hot_end_gap(gap: Length, bore: Length, ring_strain: Ratio, bore_strain: Ratio) -> Length {
    end_gap_in_bore(gap, bore * (1.0 + ring_strain.si()), bore * (1.0 + bore_strain.si()))
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

    /// Wentzell, Machine Design, example 6.3, as worked in an open textbook companion: 370.46 degF for 0.01204 in on 5 in.
    #[test]
    fn heating_for_a_growth() {
        let inch = |x: f64| Length::from_si(x * 0.0254);
        let alpha = TemperatureCoefficient::from_si(6.5e-6 * 1.8);
        let found = heating_for(inch(0.01204), inch(5.0), alpha).unwrap();
        assert_relative_eq!(found.si() * 1.8, 370.46, max_relative = 1e-4);
        assert!(heating_for(inch(0.01), inch(0.0), alpha).is_err());
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
