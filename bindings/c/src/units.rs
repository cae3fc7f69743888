//! Written units.

use crate::status::{Outcome, check_out, guard, put, swept_status, text};
use core::ffi::c_char;
use swept::units::{self, Dimension};

/// How many of the unit `to` are `value` of the unit `from`.
///
/// # Safety
/// `from` and `to` are zero-terminated texts, `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_convert(
    value: f64,
    from: *const c_char,
    to: *const c_char,
    out: *mut f64,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        // SAFETY: passed on from the caller.
        let (from, to) = unsafe { (text(from, "from")?, text(to, "to")?) };
        put(out, units::convert(value, from, to)?)
    })
}

/// Reads a figure such as "4.125 in" and gives it in a unit such as "m", or in SI where `unit` is the name of a dimension:
/// "length", "rotational speed", "temperature difference".
///
/// # Safety
/// `figure` and `unit` are zero-terminated texts, `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_parse(
    figure: *const c_char,
    unit: *const c_char,
    out: *mut f64,
) -> swept_status {
    guard(|| -> Outcome {
        check_out(out)?;
        // SAFETY: passed on from the caller.
        let (figure, unit) = unsafe { (text(figure, "figure")?, text(unit, "unit")?) };
        if let Some(dimension) = Dimension::ALL.into_iter().find(|d| d.name() == unit) {
            return put(out, units::quantity_of(figure, dimension)?.0);
        }
        let unit = units::find(unit)?;
        let (si, _) = units::quantity_of(figure, unit.dimension)?;
        put(out, unit.from_si(si))
    })
}
