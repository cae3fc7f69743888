//! Degree-wheel readings: the wheel's zero by positive stop, centreline and asymmetry by least squares.

use crate::clearance::not_one_of;
use crate::status::{
    Outcome, answer_with, check_out, finite_results, get, guard, q, slice, swept_status, write, write_list,
};
use swept::units::{Angle, Dimensioned, Length};
use swept::valvetrain::wheel::{UncertaintyFrom, WheelLift};
use swept::valvetrain::{MidpointAgainst, WheelFit, WheelReadings, WheelUncertainty, WheelZero};

/// Midpoints against the lift; the centreline is the midpoint at the mean of the lifts read.
pub const SWEPT_AGAINST_LIFT: i32 = 0;
/// Midpoints against the lift, the line continued to the lift of the nose.
pub const SWEPT_AGAINST_LIFT_TO_NOSE: i32 = 1;
/// Midpoints against half the duration, the line continued to no duration, which is the nose.
pub const SWEPT_AGAINST_HALF_DURATION: i32 = 2;

/// What a degree wheel shows at top dead centre.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_wheel_zero {
    /// What it shows, taken off every reading, rad.
    pub offset_rad: f64,
    /// The standard uncertainty of that, common to all readings, rad.
    pub standard_uncertainty_rad: f64,
}

/// Degree-wheel readings of one lobe at rising lifts: crank angles from overlap top dead centre.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_wheel_readings {
    /// How many lifts, at least one.
    pub count: usize,
    /// The lifts, each above the one before, m.
    pub lifts_m: *const f64,
    /// The reading where the valve passes each lift opening, rad.
    pub openings_rad: *const f64,
    /// The reading where it passes each lift closing, rad.
    pub closings_rad: *const f64,
    /// Standard uncertainty of every reading; zero where none is known, so that only the scatter tells; rad.
    pub uncertainty_rad: f64,
    /// Of each reading at opening, above zero, rad; null, as the next, where all have the one above, which does not count otherwise.
    pub opening_uncertainties_rad: *const f64,
    /// Of each reading at closing, above zero, rad; null where all have the one above.
    pub closing_uncertainties_rad: *const f64,
    /// What the wheel shows at top dead centre.
    pub zero: swept_wheel_zero,
    /// SWEPT_AGAINST_LIFT, SWEPT_AGAINST_LIFT_TO_NOSE or SWEPT_AGAINST_HALF_DURATION.
    pub against: i32,
    /// The lift of the nose for SWEPT_AGAINST_LIFT_TO_NOSE, at least the highest lift read, m; does not count otherwise.
    pub nose_lift_m: f64,
}

/// Centreline and asymmetry.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_wheel_fit {
    /// The centreline, crank angle from overlap top dead centre, rad.
    pub centreline_rad: f64,
    /// Its standard uncertainty, that of the wheel's zero included, rad.
    pub centreline_uncertainty_rad: f64,
    /// The slope of the midpoints: rad for each m against the lift; against half the duration (closing - opening flank) / (closing + opening flank); NaN
    /// from one lift only.
    pub asymmetry: f64,
    /// Its standard uncertainty; NaN from one lift only.
    pub asymmetry_uncertainty: f64,
    /// How many times larger than stated the scatter about the line is; NaN where none was stated, or with no more lifts than the line needs.
    pub scatter_ratio: f64,
    /// The latest less the earliest midpoint, rad.
    pub midpoint_spread_rad: f64,
    /// 1 where the uncertainties come from the scatter, which is larger than what was stated, else 0.
    pub from_scatter: i32,
}

/// What the readings at one lift gave.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_wheel_lift {
    /// The lift, m.
    pub lift_m: f64,
    /// Midway between opening and closing, from overlap top dead centre, rad.
    pub midpoint_rad: f64,
    /// Closing - opening as read, rad.
    pub duration_rad: f64,
    /// Standard uncertainty of the duration, rad.
    pub duration_uncertainty_rad: f64,
    /// Reading at opening less what the line says, rad.
    pub opening_residual_rad: f64,
    /// Reading at closing less what the line says, rad.
    pub closing_residual_rad: f64,
}

/// Reads a list of quantities.
///
/// # Safety
/// `list` is null or valid for reads of `count` numbers.
pub(crate) unsafe fn quantities<Q: Dimensioned>(
    list: *const f64,
    count: usize,
    name: &'static str,
) -> Outcome<Vec<Q>> {
    // SAFETY: passed on from the caller.
    Ok(unsafe { slice(list, count, name)? }.iter().map(|si| Q::from_si(*si)).collect())
}

impl swept_wheel_readings {
    /// Reads the uncertainties.
    ///
    /// # Safety
    /// As [`swept_wheel_readings::checked`].
    unsafe fn uncertainty(&self) -> Outcome<WheelUncertainty> {
        if self.opening_uncertainties_rad.is_null() && self.closing_uncertainties_rad.is_null() {
            return Ok(WheelUncertainty::Common(Angle::from_si(self.uncertainty_rad)));
        }
        // SAFETY: passed on from the caller.
        Ok(unsafe {
            WheelUncertainty::Each {
                openings: quantities(
                    self.opening_uncertainties_rad,
                    self.count,
                    "opening_uncertainties_rad",
                )?,
                closings: quantities(
                    self.closing_uncertainties_rad,
                    self.count,
                    "closing_uncertainties_rad",
                )?,
            }
        })
    }

    /// Reads the readings.
    ///
    /// # Safety
    /// Its pointers are null or valid for reads of as many numbers as there are lifts.
    unsafe fn checked(&self) -> Outcome<WheelReadings> {
        // SAFETY: passed on from the caller.
        let (lifts, openings, closings, uncertainty) = unsafe {
            (
                quantities(self.lifts_m, self.count, "lifts_m")?,
                quantities(self.openings_rad, self.count, "openings_rad")?,
                quantities(self.closings_rad, self.count, "closings_rad")?,
                self.uncertainty()?,
            )
        };
        let (offset, standard) =
            (Angle::from_si(self.zero.offset_rad), Angle::from_si(self.zero.standard_uncertainty_rad));
        let zero = WheelZero::new(offset, standard)?;
        Ok(WheelReadings::new(&lifts, &openings, &closings, &uncertainty)?.with_zero(zero))
    }

    fn line(&self) -> Outcome<MidpointAgainst> {
        match self.against {
            SWEPT_AGAINST_LIFT => Ok(MidpointAgainst::Lift),
            SWEPT_AGAINST_LIFT_TO_NOSE => Ok(MidpointAgainst::LiftToNose(Length::from_si(self.nose_lift_m))),
            SWEPT_AGAINST_HALF_DURATION => Ok(MidpointAgainst::HalfDuration),
            other => {
                Err(not_one_of("against", other, "0 (lift), 1 (lift, to the nose) or 2 (half the duration)"))
            }
        }
    }
}

impl swept_wheel_fit {
    fn of(fit: &WheelFit) -> Outcome<Self> {
        let [centreline_rad, centreline_uncertainty_rad, midpoint_spread_rad] =
            finite_results([fit.centreline.si(), fit.centreline_standard.si(), fit.midpoint_spread().si()])?;
        let drift = fit.asymmetry.map(|a| finite_results([a.slope, a.standard])).transpose()?;
        let [asymmetry, asymmetry_uncertainty] = drift.unwrap_or([f64::NAN; 2]);
        let scatter = fit.scatter_ratio.map(|ratio| finite_results([ratio])).transpose()?;
        let [scatter_ratio] = scatter.unwrap_or([f64::NAN]);
        Ok(Self {
            centreline_rad,
            centreline_uncertainty_rad,
            asymmetry,
            asymmetry_uncertainty,
            scatter_ratio,
            midpoint_spread_rad,
            from_scatter: i32::from(fit.uncertainty_from == UncertaintyFrom::Scatter),
        })
    }
}

impl swept_wheel_lift {
    fn of(lift: &WheelLift) -> Outcome<Self> {
        let angles = [lift.midpoint, lift.duration, lift.duration_standard];
        let [midpoint_rad, duration_rad, duration_uncertainty_rad] = finite_results(angles.map(Angle::si))?;
        let residuals = [lift.opening_residual, lift.closing_residual];
        let [opening_residual_rad, closing_residual_rad] = finite_results(residuals.map(Angle::si))?;
        Ok(Self {
            lift_m: lift.lift.si(),
            midpoint_rad,
            duration_rad,
            duration_uncertainty_rad,
            opening_residual_rad,
            closing_residual_rad,
        })
    }
}

/// What a degree wheel shows at top dead centre, from its readings where the piston meets a positive stop before and after it, each with a standard
/// uncertainty: midway. A second reading not after the first, within a turn, is out of range.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_wheel_zero_from_positive_stop(
    before_rad: f64,
    after_rad: f64,
    standard_uncertainty_rad: f64,
    out: *mut swept_wheel_zero,
) -> swept_status {
    answer_with(out, || {
        let before = q("reading at the stop before top dead centre", before_rad)?;
        let after = q("reading at the stop after top dead centre", after_rad)?;
        let standard = q("standard uncertainty of a reading", standard_uncertainty_rad)?;
        let zero = WheelZero::from_positive_stop(before, after, standard)?;
        let [offset_rad, standard_uncertainty_rad] =
            finite_results([zero.offset().si(), zero.standard().si()])?;
        Ok(swept_wheel_zero { offset_rad, standard_uncertainty_rad })
    })
}

/// Centreline and asymmetry of a lobe by weighted least squares through the midpoints of its readings. Uncertainties follow from those stated, or from
/// the scatter where it is larger. Lifts that do not rise, a closing not after its opening, and durations all the same against half the duration are
/// out of range.
///
/// # Safety
/// `readings` is valid for a read and its pointers for reads of their counts; `out_fit` is valid for a write, `out_lifts` for writes of as many as there are
/// lifts; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_fit_wheel(
    readings: *const swept_wheel_readings,
    out_fit: *mut swept_wheel_fit,
    out_lifts: *mut swept_wheel_lift,
) -> swept_status {
    guard(|| {
        check_out(out_fit)?;
        check_out(out_lifts)?;
        // SAFETY: passed on from the caller.
        let (given, read) = unsafe {
            let given = get(readings, "readings")?;
            (given, given.checked()?)
        };
        let found = read.fit(given.line()?)?;
        let fit = swept_wheel_fit::of(&found)?;
        let lifts = found.lifts.iter().map(swept_wheel_lift::of).collect::<Outcome<Vec<_>>>()?;
        // SAFETY: one for each lift, and the caller promises as many places.
        unsafe { write_list(out_lifts, lifts.into_iter()) };
        write(out_fit, fit)
    })
}
