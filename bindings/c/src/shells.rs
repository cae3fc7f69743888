//! Bearing shells: walls off the crown, crush, choice by grade; diameters read around and along.

use crate::status::{
    Outcome, answer, check_out, finite_result, guard, positive, q, slice, swept_status, write, write_list,
};
use swept::clearance::{self, BearingSeat, DiameterSurvey};
use swept::units::{Dimensioned, Length};

/// Wall of an eccentric shell at an angle from its crown, up to 90 deg either way, m: crown wall - offset x (1 - cos angle). An offset below
/// zero and one that leaves no wall are out of range.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_shell_wall(
    crown_wall_m: f64,
    offset_m: f64,
    angle_rad: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        let (crown_wall, offset) = (positive("wall at the crown", crown_wall_m)?, q("offset", offset_m)?);
        Ok(clearance::shell_wall(crown_wall, offset, q("angle from the crown", angle_rad)?)?.si())
    })
}

/// The offset of an eccentric shell from its wall at the crown and at an angle, m; below zero where the wall grows from the crown. An
/// angle within a degree of the crown or beyond 90 deg is out of range.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_shell_offset(
    crown_wall_m: f64,
    wall_m: f64,
    angle_rad: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        let crown_wall = positive("wall at the crown", crown_wall_m)?;
        let wall = positive("wall at the angle", wall_m)?;
        Ok(clearance::shell_offset(crown_wall, wall, q("angle from the crown", angle_rad)?)?.si())
    })
}

/// Interference on the diameter that the crush of a pair of shells gives, m: the sum of both crush heights over pi.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_crush_interference(
    upper_crush_height_m: f64,
    lower_crush_height_m: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        let upper = q("crush height of the upper shell", upper_crush_height_m)?;
        let lower = q("crush height of the lower shell", lower_crush_height_m)?;
        Ok(clearance::crush_interference(upper, lower)?.si())
    })
}

/// Reads a list of sizes above zero.
///
/// # Safety
/// `list` is null or valid for reads of `count` values.
unsafe fn sizes(list: *const f64, count: usize, pointer: &'static str, field: &str) -> Outcome<Vec<Length>> {
    // SAFETY: passed on from the caller.
    unsafe { slice(list, count, pointer)? }.iter().map(|x| positive(field, *x)).collect()
}

/// Chooses an upper and a lower shell for each of `count` bearings from lists of wall thicknesses: first the largest distance of a
/// clearance from the target is made as small as it can be, then the spread of the clearances. Written are, for each bearing, which of the upper
/// and of the lower grades, from 0, and the clearance, m; then the largest distance from the target and the largest clearance less the
/// least, m. No bearings and no grades are a wrong length.
///
/// # Safety
/// `housing_bores_m` and `journals_m` are valid for reads of `count` values, the grades of theirs; `out_uppers`, `out_lowers` and
/// `out_clearances_m` are valid for writes of `count` values, the other outputs for one; null is refused.
#[unsafe(no_mangle)]
#[allow(clippy::too_many_arguments)] // four lists with three lengths and five outputs: a struct would only hide them
pub unsafe extern "C" fn swept_select_shells(
    housing_bores_m: *const f64,
    journals_m: *const f64,
    count: usize,
    upper_grades_m: *const f64,
    upper_count: usize,
    lower_grades_m: *const f64,
    lower_count: usize,
    target_m: f64,
    out_uppers: *mut usize,
    out_lowers: *mut usize,
    out_clearances_m: *mut f64,
    out_deviation_m: *mut f64,
    out_spread_m: *mut f64,
) -> swept_status {
    guard(|| {
        check_out(out_uppers)?;
        check_out(out_lowers)?;
        [out_clearances_m, out_deviation_m, out_spread_m].into_iter().try_for_each(check_out)?;
        // SAFETY: passed on from the caller.
        let (housings, journals, uppers, lowers) = unsafe {
            (
                sizes(housing_bores_m, count, "housing_bores_m", "housing bore")?,
                sizes(journals_m, count, "journals_m", "journal")?,
                sizes(upper_grades_m, upper_count, "upper_grades_m", "upper shell")?,
                sizes(lower_grades_m, lower_count, "lower_grades_m", "lower shell")?,
            )
        };
        let seats: Vec<BearingSeat> = housings
            .into_iter()
            .zip(journals)
            .map(|(housing_bore, journal)| BearingSeat { housing_bore, journal })
            .collect();
        let found = clearance::select_shells(&seats, &uppers, &lowers, q("target clearance", target_m)?)?;
        let (deviation, spread) = (finite_result(found.deviation.si())?, finite_result(found.spread.si())?);
        // SAFETY: there is one choice for each bearing, and the caller promises as many places.
        unsafe {
            write_list(out_uppers, found.choices.iter().map(|c| c.upper));
            write_list(out_lowers, found.choices.iter().map(|c| c.lower));
            write_list(out_clearances_m, found.choices.iter().map(|c| c.clearance.si()));
        }
        write(out_deviation_m, deviation)?;
        write(out_spread_m, spread)
    })
}

/// What diameters read at several angles and stations come to.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_survey {
    /// The least diameter, m.
    pub least_m: f64,
    /// The greatest diameter, m.
    pub greatest_m: f64,
    /// The mean of all diameters, m.
    pub mean_m: f64,
    /// The largest difference of two diameters at one station, m.
    pub out_of_round_m: f64,
    /// The largest difference of two diameters at one angle, m.
    pub taper_m: f64,
}

/// Reads diameters at several angles and stations along the axis: `diameters_m` holds a row for each station, in each a diameter for
/// each angle. No angles and no stations are a wrong length.
///
/// # Safety
/// `angles_rad` and `stations_m` are valid for reads of their counts, `diameters_m` of the product of both, `out` for a write; null is
/// refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_diameter_survey(
    angles_rad: *const f64,
    angle_count: usize,
    stations_m: *const f64,
    station_count: usize,
    diameters_m: *const f64,
    out: *mut swept_survey,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        // A product too large to count is too large for any array: refused unread.
        let all = angle_count.saturating_mul(station_count);
        // SAFETY: passed on from the caller.
        let (diameters, angles, stations) = unsafe {
            (
                sizes(diameters_m, all, "diameters_m", "diameter")?,
                slice(angles_rad, angle_count, "angles_rad")?,
                slice(stations_m, station_count, "stations_m")?,
            )
        };
        let angles = angles.iter().map(|a| q("angle", *a)).collect::<Outcome<_>>()?;
        let stations = stations.iter().map(|s| q("station", *s)).collect::<Outcome<_>>()?;
        let rows = diameters.chunks(angle_count.max(1)).map(<[Length]>::to_vec).collect();
        let survey = DiameterSurvey::new(angles, stations, rows)?;
        let metres = |length: Length| finite_result(length.si());
        let value = swept_survey {
            least_m: metres(survey.least())?,
            greatest_m: metres(survey.greatest())?,
            mean_m: metres(survey.mean())?,
            out_of_round_m: metres(survey.out_of_round())?,
            taper_m: metres(survey.taper())?,
        };
        write(out, value)
    })
}
