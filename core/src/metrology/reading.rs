//! A reading as a person writes it: a figure and, where known, its expanded uncertainty (k = 2).

use crate::error::{Error, Result};
use crate::units::{Dimension, Dimensioned, Unit, find_for, quantity_of};

/// The coverage factor that stated expanded uncertainties have: about 95 %.
///
/// # Source
/// JCGM 100:2008 (GUM), 6.2 and G.6.6 (from memory).
pub const COVERAGE_FACTOR: f64 = 2.0;

/// A reading of a known dimension.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading<Q> {
    /// What was read.
    pub value: Q,
    /// Its expanded uncertainty, k = 2, in SI; none where none was stated.
    pub expanded_si: Option<f64>,
}

/// A reading whose dimension was given at run time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RawReading {
    /// The SI value.
    pub si: f64,
    /// The expanded uncertainty, k = 2, SI.
    pub expanded_si: Option<f64>,
    /// The unit it was written in.
    pub unit: &'static Unit,
}

impl<Q: Dimensioned> Reading<Q> {
    /// Reads "4.1252 in", "4.1252 +/- 0.0002 in", "4.1252 in +/- 0.2 thou" or the same with a plus-minus sign.
    ///
    /// # Errors
    /// As [`crate::units::parse`]; [`Error::OutOfRange`] for an uncertainty below zero.
    ///
    /// # Example
    /// ```
    /// use swept::{metrology::Reading, units::Length};
    /// let bore = Reading::<Length>::parse("86.00 mm +/- 4 um")?;
    /// assert!((bore.standard() - 2e-6).abs() < 1e-18);
    /// # Ok::<(), swept::Error>(())
    /// ```
    pub fn parse(text: &str) -> Result<Self> {
        let raw = parse_text(text, Q::DIMENSION)?;
        Ok(Self { value: Q::from_si(raw.si), expanded_si: raw.expanded_si })
    }

    /// The standard uncertainty, SI: half the expanded one; zero where none was stated.
    pub fn standard(&self) -> f64 {
        self.expanded_si.unwrap_or(0.0) / COVERAGE_FACTOR
    }
}

/// Reads a figure of a dimension, with its expanded uncertainty where one is written.
///
/// A unit behind the uncertainty alone holds for both; the uncertainty of a temperature is a difference.
///
/// # Errors
/// As [`Reading::parse`].
pub fn parse_text(text: &str, dimension: Dimension) -> Result<RawReading> {
    let Some((value, uncertainty)) = split(text) else {
        let (si, unit) = quantity_of(text, dimension)?;
        return Ok(RawReading { si, expanded_si: None, unit });
    };
    let of_difference = match dimension {
        Dimension::Temperature => Dimension::TemperatureDifference,
        other => other,
    };
    let unit_of_uncertainty = after_number(uncertainty);
    let value_has_unit = !after_number(value).is_empty();
    let (si, unit) = if value_has_unit {
        quantity_of(value, dimension)?
    } else {
        let unit = find_for(unit_of_uncertainty, dimension, text)?;
        quantity_of(&format!("{value} {}", unit.symbol), dimension)?
    };
    let uncertainty = if unit_of_uncertainty.is_empty() {
        format!("{uncertainty} {}", unit.symbol)
    } else {
        uncertainty.to_owned()
    };
    let (expanded, _) = quantity_of(&uncertainty, of_difference)?;
    if expanded < 0.0 {
        return Err(Error::OutOfRange {
            field: "expanded uncertainty".into(),
            value: uncertainty.trim().into(),
            allowed: "zero or more".into(),
        });
    }
    Ok(RawReading { si, expanded_si: Some(expanded), unit })
}

/// What stands behind the number: the unit, as written.
fn after_number(text: &str) -> &str {
    text.trim_start_matches(|c: char| c.is_ascii_digit() || "+-\u{2212}.eE ".contains(c)).trim_end()
}

fn split(text: &str) -> Option<(&str, &str)> {
    let text = text.trim();
    ["+/-", "\u{b1}", "+-"].iter().find_map(|sign| text.split_once(sign))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ErrorKind;
    use crate::units::{Length, ThermodynamicTemperature, Volume};

    #[test]
    fn the_forms_people_write_are_alike() {
        let forms = [
            "4.1252 +/- 0.0002 in",
            "4.1252 in +/- 0.0002 in",
            "4.1252in +/- 0.2 thou",
            "4.1252 \u{b1} 0.0002 in",
            "4.1252 in \u{b1} 0.0002",
            "4.1252+/-0.0002in",
        ];
        for form in forms {
            let r = Reading::<Length>::parse(form).unwrap();
            assert_eq!(r.value.si(), 4.1252 * 127.0 / 5e3, "{form}");
            assert!((r.standard() - 2.54e-6).abs() < 1e-17, "{form}");
        }
        assert_eq!(Reading::<Length>::parse("86 mm").unwrap().expanded_si, None);
    }

    #[test]
    fn a_unit_may_end_in_a_digit() {
        let r = Reading::<Volume>::parse("6.2 cm3 +/- 0.1 cm3").unwrap();
        assert_eq!((r.value.si(), r.expanded_si), (6.2 / 1e6, Some(0.1 / 1e6)));
        assert_eq!(Reading::<Volume>::parse("6.2 +/- 0.1 cm3").unwrap(), r);
    }

    #[test]
    fn the_uncertainty_of_a_temperature_is_a_difference() {
        let r = Reading::<ThermodynamicTemperature>::parse("20 +/- 0.5 degC").unwrap();
        assert_eq!(r.value.si(), 293.15);
        assert_eq!(r.expanded_si, Some(0.5));
    }

    #[test]
    fn slips_are_refused() {
        let kind = |text: &str| Reading::<Length>::parse(text).unwrap_err().kind();
        assert_eq!(kind("86 mm +/- -1 um"), ErrorKind::OutOfRange);
        assert_eq!(kind("86 +/- 1"), ErrorKind::MissingUnit);
        assert_eq!(kind("86 mm +/- 1 g"), ErrorKind::WrongDimension);
        assert_eq!(kind("86 mm +/- "), ErrorKind::Unreadable);
        assert_eq!(kind("+/- 1 mm"), ErrorKind::Unreadable);
        assert_eq!(kind("86 mm +/- nan mm"), ErrorKind::Unreadable);
    }
}
