//! Clearances between parts; positive is a gap.

use crate::status::{Outcome, check_out, guard, positive, put, q, slice, swept_status};
use swept::clearance::{self, RingDuty, RingPosition};
use swept::units::{Dimensioned, Length};

/// Bearing clearance on the diameter, m: housing bore - both shell walls - journal.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_bearing_clearance(
    housing_bore_m: f64,
    upper_shell_m: f64,
    lower_shell_m: f64,
    journal_m: f64,
    out: *mut f64,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        put(
            out,
            clearance::bearing_clearance(
                positive("housing bore", housing_bore_m)?,
                positive("upper shell", upper_shell_m)?,
                positive("lower shell", lower_shell_m)?,
                positive("journal", journal_m)?,
            )
            .si(),
        )
    })
}

/// Piston-to-wall clearance on the diameter, m.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_piston_to_wall(
    bore_m: f64,
    piston_diameter_m: f64,
    out: *mut f64,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        put(
            out,
            clearance::piston_to_wall(
                positive("bore", bore_m)?,
                positive("piston diameter", piston_diameter_m)?,
            )
            .si(),
        )
    })
}

/// Ring side clearance, m.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_side_clearance(
    groove_width_m: f64,
    ring_width_m: f64,
    out: *mut f64,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        put(
            out,
            clearance::side_clearance(
                positive("groove width", groove_width_m)?,
                positive("ring width", ring_width_m)?,
            )
            .si(),
        )
    })
}

/// Crankshaft end float, m.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_end_float(
    thrust_journal_width_m: f64,
    thrust_bearing_width_m: f64,
    out: *mut f64,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        put(
            out,
            clearance::end_float(
                positive("thrust journal width", thrust_journal_width_m)?,
                positive("thrust bearing width", thrust_bearing_width_m)?,
            )
            .si(),
        )
    })
}

/// End gap of a ring in a bore from the gap it has in another, m.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_end_gap_in_bore(
    gap_m: f64,
    gauge_bore_m: f64,
    bore_m: f64,
    out: *mut f64,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        put(
            out,
            clearance::end_gap_in_bore(
                q("gap", gap_m)?,
                positive("gauge bore", gauge_bore_m)?,
                positive("bore", bore_m)?,
            )
            .si(),
        )
    })
}

/// Rod side clearance of a crankpin, m: pin width - the widths of all rods on it.
///
/// # Safety
/// `rod_widths_m` is valid for reads of `count` values, `out` for a write; null is refused, save for no rods.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_rod_side_clearance(
    crankpin_width_m: f64,
    rod_widths_m: *const f64,
    count: usize,
    out: *mut f64,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        // SAFETY: passed on from the caller.
        let widths = unsafe { slice(rod_widths_m, count, "rod_widths_m")? };
        let widths = widths.iter().map(|w| positive("rod width", *w)).collect::<Outcome<Vec<Length>>>()?;
        put(out, clearance::rod_side_clearance(positive("crankpin width", crankpin_width_m)?, &widths).si())
    })
}

/// Ring end gap by the rule of thumb, least and greatest, m; common practice, no source. `position`: 1 top, 2 second;
/// `duty`: 0 naturally aspirated, 1 boosted, 2 nitrous.
///
/// # Safety
/// `out_least_m` and `out_greatest_m` are valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_end_gap_rule(
    bore_m: f64,
    position: i32,
    duty: i32,
    out_least_m: *mut f64,
    out_greatest_m: *mut f64,
) -> swept_status {
    guard(|| {
        check_out(out_least_m)?;
        check_out(out_greatest_m)?;
        let position = match position {
            1 => RingPosition::Top,
            2 => RingPosition::Second,
            other => return Err(not_one_of("position", other, "1 (top) or 2 (second)")),
        };
        let duty = match duty {
            0 => RingDuty::NaturallyAspirated,
            1 => RingDuty::Boosted,
            2 => RingDuty::Nitrous,
            other => return Err(not_one_of("duty", other, "0, 1 or 2")),
        };
        let (least, greatest) = clearance::end_gap_rule(positive("bore", bore_m)?, position, duty)?;
        put(out_least_m, least.si())?;
        put(out_greatest_m, greatest.si())
    })
}

pub(crate) fn not_one_of(field: &str, value: i32, allowed: &str) -> crate::status::Failure {
    swept::Error::OutOfRange { field: field.into(), value: value.to_string(), allowed: allowed.into() }.into()
}
