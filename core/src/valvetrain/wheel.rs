//! Degree-wheel readings at several lifts: centreline, asymmetry and their uncertainty; top dead centre by positive stop.
//!
//! At each lift the wheel is read where the valve passes it opening and closing, as crank angles from overlap top dead centre. Midway between them stands the
//! centreline, if both flanks of the lobe are alike; if not, the midpoint drifts with the lift, and only a line through the midpoints finds the nose.

use crate::error::{Error, Result, finite, finite_positive, non_negative, out_of_range};
use crate::units::{Angle, Dimensioned, Length, written};
use core::f64::consts::TAU;

mod fit;
#[cfg(test)]
mod tests;

pub use fit::{Asymmetry, MidpointAgainst, UncertaintyFrom, WheelFit, WheelLift};

/// What the wheel shows at top dead centre, to be taken off every reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WheelZero {
    offset: Angle,
    standard: Angle,
}

impl WheelZero {
    /// A wheel that shows zero at top dead centre, without doubt.
    pub const EXACT: Self = Self { offset: zero(), standard: zero() };

    /// What the wheel shows at top dead centre, and the standard uncertainty of that.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for an uncertainty below zero.
    pub fn new(offset: Angle, standard: Angle) -> Result<Self> {
        let standard = non_negative("standard uncertainty of the wheel's zero", standard)?;
        Ok(Self { offset: finite("offset of the wheel", offset)?, standard })
    }

    /// From a positive stop: the wheel's readings where the piston meets the stop before and after top dead centre, each with a standard uncertainty. Top dead
    /// centre is midway, its standard uncertainty that of one reading / sqrt(2).
    ///
    /// With the pin offset d the midpoint is not quite top dead centre; it comes closer the nearer to the top the stop stands.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] unless the second reading follows the first within 360 deg, or for an uncertainty below zero.
    ///
    /// # Source
    /// Common practice, no source; the uncertainty by JCGM 100:2008 (GUM), 5.1.2 (from memory).
    ///
    /// # Example
    /// ```
    /// use swept::{units::parse, valvetrain::wheel::WheelZero};
    /// let zero = WheelZero::from_positive_stop(parse("-38.5 deg")?, parse("41.5 deg")?, parse("0.2 deg")?)?;
    /// assert!((zero.offset().value.to_degrees() - 1.5).abs() < 1e-12);
    /// # Ok::<(), swept::Error>(())
    /// ```
    pub fn from_positive_stop(before: Angle, after: Angle, standard: Angle) -> Result<Self> {
        let before = finite("reading at the stop before top dead centre", before)?;
        let after = finite("reading at the stop after top dead centre", after)?;
        if after <= before || (after - before).si() >= TAU {
            let allowed = format!("after {}, within 360 deg", written(before));
            return Err(out_of_range("reading at the stop after top dead centre", after, allowed));
        }
        let standard = non_negative("standard uncertainty of a reading", standard)?;
        Self::new((before + after) / 2.0, standard / 2f64.sqrt())
    }

    /// What the wheel shows at top dead centre.
    pub fn offset(&self) -> Angle {
        self.offset
    }

    /// The standard uncertainty of the offset: common to all readings.
    pub fn standard(&self) -> Angle {
        self.standard
    }
}

/// The angle zero, where a constant is needed.
const fn zero() -> Angle {
    Angle { dimension: core::marker::PhantomData, units: core::marker::PhantomData, value: 0.0 }
}

/// The standard uncertainty of the wheel's readings.
#[derive(Debug, Clone, PartialEq)]
pub enum WheelUncertainty {
    /// One for all; zero where none is known: then only the scatter tells.
    Common(Angle),
    /// One for each reading, above zero.
    Each {
        /// Of the readings at opening.
        openings: Vec<Angle>,
        /// Of the readings at closing.
        closings: Vec<Angle>,
    },
}

/// The readings at one lift, SI, with the variances of the two angles.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Row {
    lift: f64,
    opening: f64,
    closing: f64,
    opening_variance: f64,
    closing_variance: f64,
}

/// Degree-wheel readings of one lobe at rising lifts.
#[derive(Debug, Clone, PartialEq)]
pub struct WheelReadings {
    rows: Vec<Row>,
    /// Whether an uncertainty was stated; if not, all variances are one, and only their ratios count.
    stated: bool,
    zero: WheelZero,
}

impl WheelReadings {
    /// From the lifts, and for each the wheel's reading at opening and at closing.
    ///
    /// # Errors
    /// [`Error::WrongLength`] without lifts or for lists that differ in length; [`Error::NotFinite`]; [`Error::OutOfRange`] for a lift below zero or not above the
    /// one before it, a closing not after its opening or over 720 deg after it, an uncertainty below zero, or one of several that is not above zero.
    pub fn new(
        lifts: &[Length],
        openings: &[Angle],
        closings: &[Angle],
        uncertainty: &WheelUncertainty,
    ) -> Result<Self> {
        if lifts.is_empty() {
            return wrong_length("lifts", 0, "1 or more".into());
        }
        same_length("readings at opening", openings.len(), lifts.len())?;
        same_length("readings at closing", closings.len(), lifts.len())?;
        rising(lifts)?;
        let (variances, stated) = variances(uncertainty, lifts.len())?;
        let read = lifts.iter().zip(openings).zip(closings).zip(variances);
        let rows = read.map(|(((lift, opening), closing), v)| row(*lift, *opening, *closing, v));
        Ok(Self { rows: rows.collect::<Result<_>>()?, stated, zero: WheelZero::EXACT })
    }

    /// With what the wheel shows at top dead centre.
    #[must_use]
    pub fn with_zero(self, zero: WheelZero) -> Self {
        Self { zero, ..self }
    }
}

fn row(lift: Length, opening: Angle, closing: Angle, (of_opening, of_closing): (f64, f64)) -> Result<Row> {
    let opening = finite("reading at opening", opening)?;
    let closing = finite("reading at closing", closing)?;
    if closing <= opening || (closing - opening).si() > 2.0 * TAU {
        let allowed = format!("after the opening, {}, by at most 720 deg of the crank", written(opening));
        return Err(out_of_range("reading at closing", closing, allowed));
    }
    Ok(Row {
        lift: lift.si(),
        opening: opening.si(),
        closing: closing.si(),
        opening_variance: of_opening,
        closing_variance: of_closing,
    })
}

fn rising(lifts: &[Length]) -> Result<()> {
    lifts.iter().try_for_each(|lift| non_negative("lift", *lift).map(|_| ()))?;
    match lifts.iter().zip(lifts.iter().skip(1)).find(|(lower, upper)| upper <= lower) {
        None => Ok(()),
        Some((lower, upper)) => {
            Err(out_of_range("lift", *upper, format!("above the lift before it, {}", written(*lower))))
        }
    }
}

/// The variances of (opening, closing) at each lift, and whether they were stated.
fn variances(uncertainty: &WheelUncertainty, lifts: usize) -> Result<(Vec<(f64, f64)>, bool)> {
    let field = "standard uncertainty of a reading";
    match uncertainty {
        WheelUncertainty::Common(u) => {
            let variance = non_negative(field, *u)?.si().powi(2);
            let stated = variance > 0.0;
            let variance = if stated { variance } else { 1.0 };
            Ok((vec![(variance, variance); lifts], stated))
        }
        WheelUncertainty::Each { openings, closings } => {
            same_length("uncertainties at opening", openings.len(), lifts)?;
            same_length("uncertainties at closing", closings.len(), lifts)?;
            let square = |u: &Angle| finite_positive(field, *u).map(|u| u.si().powi(2));
            let pairs = openings.iter().zip(closings).map(|(o, c)| Ok((square(o)?, square(c)?)));
            Ok((pairs.collect::<Result<_>>()?, true))
        }
    }
}

fn same_length(field: &str, found: usize, lifts: usize) -> Result<()> {
    if found == lifts {
        return Ok(());
    }
    wrong_length(field, found, format!("{lifts}, one for each lift"))
}

fn wrong_length<T>(field: &str, found: usize, expected: String) -> Result<T> {
    Err(Error::WrongLength { field: field.into(), found, expected })
}
