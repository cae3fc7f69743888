//! The one equation solver: what value between two bounds gives the figure asked for.

use crate::error::{Error, Result};

/// The root of `f` between `low` and `high` by bisection, to the last bit of binary64.
///
/// Bisection needs only a change of sign, cannot leave the bracket, and gives the same bits everywhere; a chain costs
/// well under a microsecond, so the sixty-odd evaluations do not matter.
///
/// # Errors
/// [`Error::NoSolution`] when `f` has the same sign at both ends; what `f` itself refuses.
///
/// # Source
/// Press, Teukolsky, Vetterling, Flannery, Numerical Recipes, 3rd ed., section 9.1 (from memory).
///
/// # Example
/// ```
/// let root = swept::solve::bracketed("x", 0.0, 2.0, |x| Ok(x * x - 2.0))?;
/// assert!((root - 2f64.sqrt()).abs() < 1e-15);
/// # Ok::<(), swept::Error>(())
/// ```
pub fn bracketed(what: &'static str, low: f64, high: f64, f: impl Fn(f64) -> Result<f64>) -> Result<f64> {
    let (mut a, mut b) = (low.min(high), low.max(high));
    let (at_a, at_b) = (f(a)?, f(b)?);
    if at_a == 0.0 {
        return Ok(a);
    }
    if at_b == 0.0 {
        return Ok(b);
    }
    // Also refuses NaN at either end.
    if !((at_a < 0.0 && at_b > 0.0) || (at_a > 0.0 && at_b < 0.0)) {
        return Err(Error::NoSolution { what: what.into(), low: a, high: b });
    }
    loop {
        let middle = a + (b - a) / 2.0;
        if middle <= a || middle >= b {
            return Ok(middle);
        }
        let value = f(middle)?;
        if value == 0.0 {
            return Ok(middle);
        }
        if (value < 0.0) == (at_a < 0.0) {
            a = middle;
        } else {
            b = middle;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ErrorKind;

    #[test]
    fn finds_rising_and_falling_roots_and_ends() {
        assert_eq!(bracketed("x", 0.0, 10.0, |x| Ok(x - 3.0)).unwrap(), 3.0);
        assert_eq!(bracketed("x", 10.0, 0.0, |x| Ok(3.0 - x)).unwrap(), 3.0);
        assert_eq!(bracketed("x", 3.0, 4.0, |x| Ok(x - 3.0)).unwrap(), 3.0);
    }

    #[test]
    fn refuses_no_change_of_sign_and_not_a_number() {
        let none = bracketed("x", 0.0, 1.0, |x| Ok(x + 1.0)).unwrap_err();
        assert_eq!(none.kind(), ErrorKind::NoSolution);
        let nan = bracketed("x", 0.0, 1.0, |_| Ok(f64::NAN)).unwrap_err();
        assert_eq!(nan.kind(), ErrorKind::NoSolution);
    }
}
