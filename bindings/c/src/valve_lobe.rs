//! Lift curves made: of motion programmes, polynomials and measured tables.

use crate::clearance::not_one_of;
use crate::status::{Outcome, check_out, finite_results, get, guard, q, slice, swept_status, write};
use crate::valve_lift::{cam, give, swept_lift_curve};
use crate::valve_wheel::quantities;
use swept::units::{Angle, Dimensioned, Length};
use swept::valvetrain::{CamAngle, Flank, LiftCurve, MeasuredLift, Programme, Ramp, TableFit};

/// A motion programme: 10 x^3 - 15 x^4 + 6 x^5, no acceleration at the ends.
pub const SWEPT_POLYNOMIAL_345: i32 = 0;
/// A motion programme: 35 x^4 - 84 x^5 + 70 x^6 - 20 x^7, neither acceleration nor jerk at the ends.
pub const SWEPT_POLYNOMIAL_4567: i32 = 1;
/// A motion programme: x - sin(2 pi x) / (2 pi), no acceleration at the ends.
pub const SWEPT_CYCLOIDAL: i32 = 2;
/// A motion programme: (1 - cos(pi x)) / 2, the acceleration jumps at both ends.
pub const SWEPT_HARMONIC: i32 = 3;

/// One flank of a lobe: a motion programme over a length of the cam, perhaps on a ramp of constant velocity that takes up the lash.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_flank {
    /// SWEPT_POLYNOMIAL_345, SWEPT_POLYNOMIAL_4567, SWEPT_CYCLOIDAL or SWEPT_HARMONIC.
    pub programme: i32,
    /// Length of the flank without the ramp, cam angle above zero, rad.
    pub length_rad: f64,
    /// Lift at the upper end of the ramp, m; zero, with a length of zero, for a flank without a ramp.
    pub ramp_height_m: f64,
    /// Length of the ramp, which comes on top of the flank's, cam angle, rad; zero for none.
    pub ramp_length_rad: f64,
}

/// How a curve stands to the table it was made from: the loss.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_table_fit {
    /// Where the nose was found, as an angle of the table; the curve is counted from there; rad.
    pub nose_rad: f64,
    /// Root mean square of readings less curve, m.
    pub rms_m: f64,
    /// The reading farthest from the curve, reading less curve, m.
    pub largest_m: f64,
    /// The angle of that reading, as in the table, rad.
    pub largest_at_rad: f64,
    /// Greatest reading less the greatest lift of the curve: above zero where smoothing took the top off, below zero where the nose lies between
    /// readings; m.
    pub peak_lost_m: f64,
    /// At how many angles the acceleration jumps because the smooth spline would not have kept the flank monotone; swept_lift_curve_kinks() gives them.
    pub kink_count: usize,
}

impl swept_flank {
    fn checked(self) -> Outcome<Flank> {
        let programme = match self.programme {
            SWEPT_POLYNOMIAL_345 => Programme::Polynomial345,
            SWEPT_POLYNOMIAL_4567 => Programme::Polynomial4567,
            SWEPT_CYCLOIDAL => Programme::Cycloidal,
            SWEPT_HARMONIC => Programme::Harmonic,
            other => {
                let allowed = "0 (3-4-5 polynomial), 1 (4-5-6-7 polynomial), 2 (cycloidal) or 3 (harmonic)";
                return Err(not_one_of("programme", other, allowed));
            }
        };
        let flank = Flank::new(programme, cam("length of the flank", self.length_rad)?)?;
        if self.ramp_height_m == 0.0 && self.ramp_length_rad == 0.0 {
            return Ok(flank);
        }
        let length = cam("length of the ramp", self.ramp_length_rad)?;
        Ok(flank.with_ramp(Ramp::new(q("height of the ramp", self.ramp_height_m)?, length)?))
    }
}

impl swept_table_fit {
    fn of(fit: &TableFit) -> Outcome<Self> {
        let [nose_rad, largest_at_rad] =
            finite_results([fit.nose, fit.largest_at].map(|angle| angle.on_cam().si()))?;
        let [rms_m, largest_m, peak_lost_m] =
            finite_results([fit.rms, fit.largest, fit.peak_lost].map(Length::si))?;
        let kink_count = fit.kinks.len();
        Ok(Self { nose_rad, rms_m, largest_m, largest_at_rad, peak_lost_m, kink_count })
    }
}

/// A lobe of two flanks with a dwell (cam angle, zero for none) of constant lift between them; `lift_m` is the whole lift of the lobe, ramps included. The
/// nose is the middle of the dwell. A lift not above what the ramps raise, and a lobe longer than a turn of the cam, are out of range. Free the curve with
/// swept_lift_curve_free().
///
/// # Safety
/// `opening` and `closing` are valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_lift_curve_of_flanks(
    lift_m: f64,
    opening: *const swept_flank,
    closing: *const swept_flank,
    dwell_rad: f64,
    out: *mut *mut swept_lift_curve,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        // SAFETY: passed on from the caller.
        let (opening, closing) = unsafe { (get(opening, "opening")?, get(closing, "closing")?) };
        let (opening, closing) = (opening.checked()?, closing.checked()?);
        let curve = LiftCurve::of_flanks(q("lift", lift_m)?, opening, closing, cam("dwell", dwell_rad)?)?;
        give(out, curve, &[])
    })
}

/// A symmetrical polynomial lobe, lift x (1 + c_p x^p + c_q x^q + ...) with x from 0 at the nose to 1 at the half length (cam angle): three to six exponents
/// that rise from 2 to 100 at most, such as 2, 6, 10, 14. The coefficients follow: with n exponents, lift and n - 1 derivatives vanish at the end. Free the
/// curve with swept_lift_curve_free().
///
/// # Safety
/// `exponents` is valid for reads of `count` bytes and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_lift_curve_polynomial(
    exponents: *const u8,
    count: usize,
    lift_m: f64,
    half_length_rad: f64,
    out: *mut *mut swept_lift_curve,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        // SAFETY: passed on from the caller.
        let exponents = unsafe { slice(exponents, count, "exponents")? };
        let half_length = cam("half length of the lobe", half_length_rad)?;
        give(out, LiftCurve::polynomial(exponents, q("lift", lift_m)?, half_length)?, &[])
    })
}

/// Makes a curve of a table and hands it over with its fit.
///
/// # Safety
/// As [`swept_lift_curve_interpolated`].
unsafe fn of_table(
    (angles_rad, lifts_m, count): (*const f64, *const f64, usize),
    out: *mut *mut swept_lift_curve,
    out_fit: *mut swept_table_fit,
    made: impl FnOnce(&[CamAngle], &[Length]) -> swept::Result<MeasuredLift>,
) -> Outcome {
    check_out(out)?;
    check_out(out_fit)?;
    // SAFETY: passed on from the caller.
    let (angles, lifts) = unsafe {
        (
            quantities::<Angle>(angles_rad, count, "angles_rad")?,
            quantities::<Length>(lifts_m, count, "lifts_m")?,
        )
    };
    let angles: Vec<CamAngle> = angles.into_iter().map(CamAngle::of_cam).collect();
    let MeasuredLift { curve, fit } = made(&angles, &lifts)?;
    let shown = swept_table_fit::of(&fit)?;
    give(out, curve, &fit.kinks)?;
    write(out_fit, shown)
}

/// The curve through the readings of a table: cam angles of any zero that rise, from base circle to base circle or over a whole turn, with 8 rows or more, 4
/// of them on the lobe. Between readings runs the cubic spline with continuous acceleration, kept monotone on both flanks; readings that stray from one hump
/// by more than 0.5 % of the greatest lift are out of range, with their row in the message. The curve's nose is at its angle zero. Free it with
/// swept_lift_curve_free().
///
/// # Safety
/// `angles_rad` and `lifts_m` are valid for reads of `count` numbers, `out` and `out_fit` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_lift_curve_interpolated(
    angles_rad: *const f64,
    lifts_m: *const f64,
    count: usize,
    out: *mut *mut swept_lift_curve,
    out_fit: *mut swept_table_fit,
) -> swept_status {
    // SAFETY: passed on from the caller.
    guard(|| unsafe { of_table((angles_rad, lifts_m, count), out, out_fit, LiftCurve::interpolated) })
}

/// The curve of a table whose readings have a known standard deviation, m, smoothed by no more than that: smoothing lowers the peaks of lift and
/// acceleration, and `out_fit` says by how much it strays. Readings may stray from one hump by five standard deviations; a deviation above a tenth of the
/// greatest lift is out of range. Else as swept_lift_curve_interpolated().
///
/// # Safety
/// As swept_lift_curve_interpolated().
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_lift_curve_smoothed(
    angles_rad: *const f64,
    lifts_m: *const f64,
    count: usize,
    deviation_m: f64,
    out: *mut *mut swept_lift_curve,
    out_fit: *mut swept_table_fit,
) -> swept_status {
    guard(|| {
        let deviation = q("standard deviation", deviation_m)?;
        let smoothed = |angles: &[CamAngle], lifts: &[Length]| LiftCurve::smoothed(angles, lifts, deviation);
        // SAFETY: passed on from the caller.
        unsafe { of_table((angles_rad, lifts_m, count), out, out_fit, smoothed) }
    })
}
