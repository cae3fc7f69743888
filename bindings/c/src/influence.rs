//! Correction of unbalance by influence coefficients, from trial weights.

use crate::clearance::not_one_of;
use crate::status::{
    Outcome, check_out, finite_result, get, guard, q, slice, swept_status, write, write_list,
};
use crate::unbalance::swept_unbalance;
use swept::balance::influence::{
    Correction, InfluenceMatrix, InfluenceSurvey, PhaseConvention, ReadingUncertainty, TrialRun,
    VibrationReading,
};
use swept::balance::unbalance::UnbalanceVector;
use swept::units::{Angle, Dimensioned, Ratio};

/// What a sensor shows: amplitude in any unit, the same in all runs, and phase.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_vibration {
    /// Amplitude, in the unit it was read in.
    pub amplitude: f64,
    /// Phase, rad.
    pub phase_rad: f64,
}

/// All that was read of one rotor at one speed: a baseline, and runs with trial weights.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_trial_survey {
    /// How many sensors, at least one for each plane; readings at another speed count as more sensors.
    pub sensors: usize,
    /// How many correction planes.
    pub planes: usize,
    /// How many runs with trial weights, at least one for each plane.
    pub runs: usize,
    /// The baseline reading of each sensor.
    pub baseline: *const swept_vibration,
    /// The weights put on for each run: runs x planes in row order, an amount of zero in a plane without.
    pub weights: *const swept_unbalance,
    /// The readings of each run: runs x sensors in row order.
    pub readings: *const swept_vibration,
    /// For each run 1 where its weights stay on in all that follows and under the correction, else 0; null where all come off.
    pub stays: *const i32,
    /// A weight for each sensor, the correction leaving the least sum of weight x |V|^2; null for one each.
    pub sensor_weights: *const f64,
    /// A weight for the baseline and each run (runs + 1, baseline first), such as the number of readings averaged; null for one each.
    pub run_weights: *const f64,
    /// 0: phases in the same sense as the angles of the weights (phase lead); 1: in the opposite sense (phase lag).
    pub phase_lag: i32,
    /// Standard uncertainty of each amplitude, relative to it.
    pub relative_uncertainty: f64,
    /// Standard uncertainty of each phase, rad.
    pub phase_uncertainty_rad: f64,
    /// Standard uncertainty of the real and of the imaginary part of each reading, in the unit of the amplitudes.
    pub absolute_uncertainty: f64,
}

/// What to do in one plane.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_correction_weight {
    /// Weight to add on top of the trial weights that stay, the others taken off, kg m.
    pub amount_kg_m: f64,
    /// Where to add it, rad.
    pub angle_rad: f64,
    /// Standard uncertainty of the amount, kg m.
    pub amount_uncertainty_kg_m: f64,
    /// Standard uncertainty of the angle, rad; NaN where there is no weight.
    pub angle_uncertainty_rad: f64,
    /// The unbalance found, of the rotor as in the baseline run, kg m.
    pub unbalance_kg_m: f64,
    /// Where it is heavy, rad.
    pub heavy_at_rad: f64,
}

/// The vibration predicted to remain at one sensor.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_predicted_vibration {
    /// Amplitude, in the unit of the readings.
    pub amplitude: f64,
    /// Phase, rad.
    pub phase_rad: f64,
    /// Standard uncertainty of its real and imaginary part together: the root mean square of the amplitude that will be found where none
    /// is predicted.
    pub standard_uncertainty: f64,
}

/// An influence coefficient: the vibration that 1 kg m at angle zero in a plane makes at a sensor.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_influence {
    /// Amplitude, units of the readings for each kg m.
    pub amplitude_per_kg_m: f64,
    /// Angle, counted in the sense of the weights' angles, rad.
    pub angle_rad: f64,
}

impl swept_vibration {
    fn checked(&self) -> Outcome<VibrationReading> {
        Ok(VibrationReading::new(self.amplitude, q("phase", self.phase_rad)?)?)
    }
}

impl swept_influence {
    /// As the vibration that it is, in the sense of the weights' angles.
    fn checked(&self) -> Outcome<VibrationReading> {
        swept_vibration { amplitude: self.amplitude_per_kg_m, phase_rad: self.angle_rad }.checked()
    }
}

/// Reads a list of weights, or none for a null pointer.
///
/// # Safety
/// `list` is null or valid for reads of `count` values.
unsafe fn optional<T: Copy>(list: *const T, count: usize, name: &'static str) -> Outcome<Option<Vec<T>>> {
    if list.is_null() {
        return Ok(None);
    }
    // SAFETY: passed on from the caller.
    Ok(Some(unsafe { slice(list, count, name)? }.to_vec()))
}

fn convention(phase_lag: i32) -> Outcome<PhaseConvention> {
    match phase_lag {
        0 => Ok(PhaseConvention::Lead),
        1 => Ok(PhaseConvention::Lag),
        other => Err(not_one_of("phase_lag", other, "0 (lead) or 1 (lag)")),
    }
}

fn stays(given: i32) -> Outcome<bool> {
    match given {
        0 => Ok(false),
        1 => Ok(true),
        other => Err(not_one_of("stays", other, "0 (taken off) or 1 (stays on)")),
    }
}

impl swept_trial_survey {
    /// Reads the runs.
    ///
    /// # Safety
    /// As [`swept_trial_survey::checked`].
    unsafe fn runs(&self) -> Outcome<Vec<TrialRun>> {
        // A product too large to count is too large for any array: refused unread.
        let (all_weights, all_readings) =
            (self.runs.saturating_mul(self.planes), self.runs.saturating_mul(self.sensors));
        // SAFETY: passed on from the caller.
        let (weights, readings, staying) = unsafe {
            (
                slice(self.weights, all_weights, "weights")?,
                slice(self.readings, all_readings, "readings")?,
                optional(self.stays, self.runs, "stays")?,
            )
        };
        let rows = weights.chunks(self.planes.max(1)).zip(readings.chunks(self.sensors.max(1))).enumerate();
        rows.map(|(i, (weights, readings))| {
            let weights = weights.iter().map(swept_unbalance::checked).collect::<Outcome<_>>()?;
            let readings = readings.iter().map(swept_vibration::checked).collect::<Outcome<_>>()?;
            let given = staying.as_ref().and_then(|s| s.get(i)).copied().unwrap_or(0);
            Ok(TrialRun::new(weights, readings, stays(given)?))
        })
        .collect()
    }

    /// Reads a survey.
    ///
    /// # Safety
    /// Its pointers are null or valid for reads of their counts.
    unsafe fn checked(&self) -> Outcome<InfluenceSurvey> {
        let convention = convention(self.phase_lag)?;
        // SAFETY: passed on from the caller.
        let (baseline, runs, of_sensors, of_runs) = unsafe {
            (
                slice(self.baseline, self.sensors, "baseline")?,
                self.runs()?,
                optional(self.sensor_weights, self.sensors, "sensor_weights")?,
                optional(self.run_weights, self.runs.saturating_add(1), "run_weights")?,
            )
        };
        let baseline = baseline.iter().map(swept_vibration::checked).collect::<Outcome<_>>()?;
        let (relative, phase): (Ratio, Angle) = (
            q("uncertainty of the amplitude", self.relative_uncertainty)?,
            q("uncertainty of the phase", self.phase_uncertainty_rad)?,
        );
        let uncertainty = ReadingUncertainty::polar(relative, phase)?
            .and(ReadingUncertainty::absolute(self.absolute_uncertainty)?);
        let mut survey = InfluenceSurvey::new(baseline, runs, convention)?.with_uncertainty(uncertainty);
        if let Some(weights) = of_sensors {
            survey = survey.with_sensor_weights(weights)?;
        }
        if let Some(weights) = of_runs {
            survey = survey.with_run_weights(weights)?;
        }
        Ok(survey)
    }
}

/// Reads a survey.
///
/// # Safety
/// `survey` is null or valid for a read, its pointers null or valid for reads of their counts.
unsafe fn read(survey: *const swept_trial_survey) -> Outcome<InfluenceSurvey> {
    // SAFETY: passed on from the caller.
    unsafe { get(survey, "survey")?.checked() }
}

fn weights_of(found: &Correction) -> Outcome<Vec<swept_correction_weight>> {
    let rows = found.weights.iter().zip(&found.unbalance).zip(&found.uncertainty.weights);
    rows.map(|((weight, unbalance), u)| {
        Ok(swept_correction_weight {
            amount_kg_m: weight.amount().si(),
            angle_rad: weight.angle().si(),
            amount_uncertainty_kg_m: finite_result(u.amount.si())?,
            angle_uncertainty_rad: u.angle.map_or(Ok(f64::NAN), |angle| finite_result(angle.si()))?,
            unbalance_kg_m: unbalance.amount().si(),
            heavy_at_rad: unbalance.angle().si(),
        })
    })
    .collect()
}

fn predicted_of(found: &Correction) -> Outcome<Vec<swept_predicted_vibration>> {
    let rows = found.predicted.iter().zip(&found.uncertainty.predicted);
    rows.map(|(v, u)| {
        Ok(swept_predicted_vibration {
            amplitude: v.amplitude(),
            phase_rad: v.phase().si(),
            standard_uncertainty: finite_result(u.magnitude())?,
        })
    })
    .collect()
}

/// The correction in any number of planes: the weights that leave the least sum of the squared amplitudes. Written are what to do in each
/// plane, the vibration predicted to remain at each sensor, and the condition number of the influence coefficients. Trial weights that changed no reading beyond
/// its uncertainty (k = 2) or do not tell the planes apart (a plane without, two runs alike, all in one ratio), and a condition above 1000,
/// are out of range; fewer runs or sensors than planes are a wrong length.
///
/// # Safety
/// `survey` is valid for a read and its pointers for reads of their counts; `out_weights` is valid for writes of as many weights as there are
/// planes, `out_predicted` of as many vibrations as there are sensors, `out_condition` of one number; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_correct_by_trials(
    survey: *const swept_trial_survey,
    out_weights: *mut swept_correction_weight,
    out_predicted: *mut swept_predicted_vibration,
    out_condition: *mut f64,
) -> swept_status {
    guard(|| {
        check_out(out_weights)?;
        check_out(out_predicted)?;
        check_out(out_condition)?;
        // SAFETY: passed on from the caller.
        let found = unsafe { read(survey)? }.correct()?;
        let (weights, predicted) = (weights_of(&found)?, predicted_of(&found)?);
        let condition = finite_result(found.condition)?;
        // SAFETY: one for each plane and sensor, and the caller promises as many places.
        unsafe {
            write_list(out_weights, weights.into_iter());
            write_list(out_predicted, predicted.into_iter());
        }
        write(out_condition, condition)
    })
}

/// The vibration with weights of one's own put on instead of those of the correction, such as those at hand, and no trial weight: V0 + A W with
/// the influence coefficients of the trials. Written is the vibration at each sensor.
///
/// # Safety
/// `survey` is valid for a read and its pointers for reads of their counts; `weights` is valid for reads of as many weights as there are planes,
/// `out` for writes of as many vibrations as there are sensors; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_predict_by_trials(
    survey: *const swept_trial_survey,
    weights: *const swept_unbalance,
    out: *mut swept_vibration,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        // SAFETY: passed on from the caller.
        let (given, influence) = unsafe { (get(survey, "survey")?, read(survey)?.influence()?) };
        // SAFETY: as above.
        let (weights, baseline) = unsafe {
            (slice(weights, given.planes, "weights")?, slice(given.baseline, given.sensors, "baseline")?)
        };
        let weights =
            weights.iter().map(swept_unbalance::checked).collect::<Outcome<Vec<UnbalanceVector>>>()?;
        let baseline = baseline.iter().map(swept_vibration::checked).collect::<Outcome<Vec<_>>>()?;
        let after = influence.predict(&baseline, &weights)?;
        let shown =
            |v: &VibrationReading| swept_vibration { amplitude: v.amplitude(), phase_rad: v.phase().si() };
        // SAFETY: one for each sensor, and the caller promises as many places.
        unsafe { write_list(out, after.iter().map(shown)) };
        Ok(())
    })
}

/// The influence coefficients that trial weights gave, sensors x planes in row order, and their condition number.
///
/// # Safety
/// `survey` is valid for a read and its pointers for reads of their counts; `out_coefficients` is valid for writes of sensors x planes
/// coefficients, `out_condition` for one; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_influence_by_trials(
    survey: *const swept_trial_survey,
    out_coefficients: *mut swept_influence,
    out_condition: *mut f64,
) -> swept_status {
    guard(|| {
        check_out(out_coefficients)?;
        check_out(out_condition)?;
        // SAFETY: passed on from the caller.
        let found = unsafe { read(survey)? }.influence()?;
        let places = (0..found.sensors()).flat_map(|s| (0..found.planes()).map(move |p| (s, p)));
        let coefficients = places
            .filter_map(|(sensor, plane)| found.coefficient(sensor, plane))
            .map(|a| {
                let (amplitude_per_kg_m, angle_rad) = (finite_result(a.norm())?, finite_result(a.arg())?);
                Ok(swept_influence { amplitude_per_kg_m, angle_rad })
            })
            .collect::<Outcome<Vec<_>>>()?;
        let condition = finite_result(found.condition()?)?;
        // SAFETY: one for each sensor and plane, and the caller promises as many places.
        unsafe { write_list(out_coefficients, coefficients.into_iter()) };
        write(out_condition, condition)
    })
}

/// The weights to add in each plane against a vibration with influence coefficients known before, as of the same rotor in the same bearings at the same speed.
/// `phase_lag` is as in a survey.
///
/// # Safety
/// `coefficients` is valid for reads of sensors x planes coefficients in row order, `vibration` of as many vibrations as there are sensors,
/// `out` for writes of as many weights as there are planes; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_correct_by_influence(
    coefficients: *const swept_influence,
    sensors: usize,
    planes: usize,
    vibration: *const swept_vibration,
    phase_lag: i32,
    out: *mut swept_unbalance,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        // SAFETY: passed on from the caller.
        let (given, vibration) = unsafe {
            (
                slice(coefficients, sensors.saturating_mul(planes), "coefficients")?,
                slice(vibration, sensors, "vibration")?,
            )
        };
        let coefficient = |a: &swept_influence| Ok(a.checked()?.complex(PhaseConvention::Lead));
        let rows = given.chunks(planes.max(1)).map(|row| row.iter().map(coefficient).collect());
        let rows = rows.collect::<Outcome<Vec<Vec<_>>>>()?;
        let vibration = vibration.iter().map(swept_vibration::checked).collect::<Outcome<Vec<_>>>()?;
        let found = InfluenceMatrix::new(&rows, convention(phase_lag)?)?.correct(&vibration)?;
        // SAFETY: one for each plane, and the caller promises as many places.
        unsafe { write_list(out, found.iter().map(swept_unbalance::of)) };
        Ok(())
    })
}
