//! Conformity with limits under uncertainty.

use crate::status::{Outcome, check_out, guard, put, q, swept_status};
use swept::metrology::{self, Limits, Verdict};
use swept::units::{Dimensioned, Ratio};

/// A verdict: conformity is proved.
pub const SWEPT_PASS: i32 = 0;
/// A verdict: nonconformity is proved.
pub const SWEPT_FAIL: i32 = 1;
/// A verdict: neither is proved.
pub const SWEPT_CANNOT_TELL: i32 = 2;

/// Limits from two numbers, of which NaN says that there is none.
fn limits(lower: f64, upper: f64) -> Outcome<Limits> {
    let given = |x: f64| (!x.is_nan()).then_some(x);
    Ok(Limits::new(given(lower), given(upper))?)
}

/// A finite figure and a finite standard uncertainty of zero or more.
fn figure(value: f64, standard: f64) -> Outcome<(f64, f64)> {
    let value: Ratio = q("value", value)?;
    let standard = swept::error::non_negative("standard uncertainty", Ratio::from_si(standard))?;
    Ok((value.si(), standard.si()))
}

/// The verdict by the guard band 1.65 u of ISO 14253-1: SWEPT_PASS, SWEPT_FAIL or SWEPT_CANNOT_TELL. NaN for a limit
/// that is not set; value, uncertainty and limits in one and the same unit.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_verdict(
    value: f64,
    standard_uncertainty: f64,
    lower: f64,
    upper: f64,
    out: *mut i32,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        let (value, standard) = figure(value, standard_uncertainty)?;
        let verdict = match metrology::verdict(value, standard, &limits(lower, upper)?) {
            Verdict::Pass => SWEPT_PASS,
            Verdict::Fail => SWEPT_FAIL,
            Verdict::CannotTell => SWEPT_CANNOT_TELL,
        };
        // SAFETY: not null; the caller promises that it is valid for a write.
        unsafe { out.write(verdict) };
        Ok(())
    })
}

/// The guard band of a standard uncertainty, 1.65 u (ISO 14253-1), in its unit.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_guard_band(standard_uncertainty: f64, out: *mut f64) -> swept_status {
    guard(|| {
        check_out(out)?;
        let (_, standard) = figure(0.0, standard_uncertainty)?;
        put(out, metrology::guard_band(standard))
    })
}

/// The probability that the true value is inside its limits (JCGM 106). NaN for a limit that is not set.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_conformance_probability(
    value: f64,
    standard_uncertainty: f64,
    lower: f64,
    upper: f64,
    out: *mut f64,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        let (value, standard) = figure(value, standard_uncertainty)?;
        put(out, metrology::conformance_probability(value, standard, &limits(lower, upper)?))
    })
}
