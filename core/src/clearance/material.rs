//! Materials of engine parts: expansion and elastic constants, each with its source.

use crate::error::{Error, Result};
use crate::units::{Dimensioned, Pressure, Ratio};

/// Up to a temperature, degC: the least and the greatest mean coefficient from 20 degC that sources give, 1e-6/K.
pub(super) type Mean = (f64, f64, f64);

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

    /// The highest temperature of the data on expansion, degC.
    pub fn last_temperature(self) -> f64 {
        self.data().last().map_or(0.0, |m| m.0)
    }

    /// The data on expansion.
    pub(super) const fn data(self) -> &'static [Mean] {
        self.facts().2
    }

    /// Young's modulus, GPa, Poisson's ratio.
    const fn elastic(self) -> (f64, f64) {
        match self {
            Self::GreyIron => (110.0, 0.26), // EN 1561, annex, EN-GJL-250: 103 to 118 GPa (from memory)
            Self::Steel1020 | Self::Steel1040 | Self::Steel4340 => (207.0, 0.30), // Callister, table B.2 (from memory)
            Self::AluminiumA356 => (72.4, 0.33), // Callister, table B.2, alloy 356 (from memory)
            Self::AluminiumAlSi12 => (77.0, 0.33), // ASM Handbook vol. 2, piston alloys (from memory)
            Self::Aluminium4032 => (79.0, 0.33), // ASM Handbook vol. 2 (from memory)
            Self::Aluminium2024 => (72.4, 0.33), // Callister, table B.2 (from memory)
            Self::Aluminium7075 => (71.0, 0.33), // Callister, table B.2 (from memory)
            Self::Titanium6Al4V => (114.0, 0.34), // Callister, table B.2 (from memory)
        }
    }

    /// Young's modulus at room temperature.
    ///
    /// # Source
    /// Callister, table B.2; EN 1561 for iron; ASM Handbook vol. 2 for piston alloys (all from memory). Grey iron scatters by some 10 %.
    pub fn young(self) -> Pressure {
        Pressure::from_si(self.elastic().0 * 1e9)
    }

    /// Poisson's ratio at room temperature.
    ///
    /// # Source
    /// As [`Material::young`].
    pub fn poisson(self) -> Ratio {
        Ratio::from_si(self.elastic().1)
    }

    /// The material of this name, as [`Material::name`] writes it.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] with all names for one that is not known.
    pub fn named(name: &str) -> Result<Self> {
        let name = name.trim();
        let found = Self::ALL.iter().find(|m| m.name().eq_ignore_ascii_case(name));
        found.copied().ok_or_else(|| Error::OutOfRange {
            field: "material".into(),
            value: name.chars().take(40).collect(),
            allowed: Self::ALL.map(Self::name).join(", "),
        })
    }

    /// What it is called.
    pub const fn name(self) -> &'static str {
        self.facts().0
    }

    /// Where its data come from.
    pub const fn source(self) -> &'static str {
        self.facts().1
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn materials_are_found_by_name_and_have_data() {
        for m in Material::ALL {
            assert_eq!(Material::named(m.name()).unwrap(), m);
            assert!(!m.data().is_empty() && !m.source().is_empty());
            assert!(m.young().si() > 5e10 && m.poisson().si() < 0.4);
        }
        let error = Material::named("cheese").unwrap_err().to_string();
        assert!(error.contains("grey iron"), "{error}");
    }
}
