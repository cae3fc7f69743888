//! Overlap area: how far both valves stand open together.

use super::CYCLE;
use crate::error::{Result, finite, out_of_range};
use crate::units::{Angle, Dimensioned, Length};

/// Steps of the quadrature of [`overlap_area`]; its error, mostly from the crest where the two lifts cross, is about 1 part in the square of it.
pub const OVERLAP_STEPS: u32 = 1024;

/// Area under the lesser of both lifts over the crank angle from `from` to `to`: the lesser lift is what both valves leave open together.
///
/// The closures give the lift at a crank angle from overlap top dead centre; a lift below zero (lash) counts as closed. By the trapezoidal rule in
/// [`OVERLAP_STEPS`] equal steps, so that the same lifts give the same bits. Zero where `to` is not after `from`.
///
/// The result is a length times an angle in radians: 1 m rad is 1000 x 180 / pi mm deg.
///
/// # Errors
/// [`crate::Error::NotFinite`] for the bounds or a lift; [`crate::Error::OutOfRange`] for bounds more than 720 deg apart.
///
/// # Source
/// The figure: common practice, no source. Trapezoidal rule: Press, Teukolsky, Vetterling, Flannery, Numerical Recipes, 3rd ed., section 4.1 (from memory).
pub fn overlap_area(
    from: Angle,
    to: Angle,
    intake: impl Fn(Angle) -> Length,
    exhaust: impl Fn(Angle) -> Length,
) -> Result<Length> {
    let (from, to) = (finite("start of the overlap", from)?, finite("end of the overlap", to)?);
    let width = to - from;
    if width.si() <= 0.0 {
        return Ok(Length::from_si(0.0));
    }
    if width.si() > CYCLE {
        return Err(out_of_range("overlap", width, "at most 720 deg of the crank"));
    }
    let lesser = |step: u32| {
        lesser_lift(from + width * (f64::from(step) / f64::from(OVERLAP_STEPS)), &intake, &exhaust)
    };
    let mut sum = (lesser(0)? + lesser(OVERLAP_STEPS)?) / 2.0;
    for step in 1..OVERLAP_STEPS {
        sum += lesser(step)?;
    }
    Ok(Length::from_si(sum * width.si() / f64::from(OVERLAP_STEPS)))
}

/// The lesser of both lifts at an angle, SI, never below zero.
fn lesser_lift(
    at: Angle,
    intake: impl Fn(Angle) -> Length,
    exhaust: impl Fn(Angle) -> Length,
) -> Result<f64> {
    let intake = finite("intake lift", intake(at))?.si();
    let exhaust = finite("exhaust lift", exhaust(at))?.si();
    Ok(intake.min(exhaust).max(0.0))
}
