//! Correction of unbalance in any number of planes by influence coefficients, from trial weights at one speed.
//!
//! Vibration answers weights linearly: V = V0 + A W, with the readings V of every sensor, the weights W added in every plane and the influence
//! coefficients A. Trial weights give A; the correction W is what leaves the least |V0 + A W|. Weights say where they are added, "heavy at"
//! that angle; the *unbalance found* is the opposite of what the correction brings, heavy where the rotor was. Books print one or the other: a
//! printed unbalance U is corrected by adding weight opposite to it, [`UnbalanceVector::add_at`].
//!
//! Weights are unbalances (mass times radius), angles counted on the rotor from its mark, positive in running direction. More speeds than one
//! enter as more sensors.

use super::unbalance::{PlacedUnbalance, UnbalanceVector, to_planes};
use crate::error::{Error, Result};
use crate::metrology::reading::COVERAGE_FACTOR;
use crate::units::{Dimensioned, Length, Ratio, written};
use matrix::Inverse;
use nalgebra::DMatrix;
use num_complex::Complex64;

mod matrix;
mod reading;
mod uncertainty;

pub use matrix::{CONDITION_LIMIT, InfluenceMatrix};
pub use reading::{PhaseConvention, ReadingUncertainty, TrialRun, VibrationReading};
pub use uncertainty::{CorrectionUncertainty, VibrationUncertainty, WeightUncertainty};

/// All that was read of one rotor at one speed: a baseline, and runs with trial weights.
#[derive(Debug, Clone, PartialEq)]
pub struct InfluenceSurvey {
    baseline: Vec<VibrationReading>,
    runs: Vec<TrialRun>,
    convention: PhaseConvention,
    uncertainty: ReadingUncertainty,
    sensor_weights: Vec<f64>,
    run_weights: Vec<f64>,
}

/// A correction by influence coefficients.
#[derive(Debug, Clone, PartialEq)]
pub struct Correction {
    /// The influence coefficients that the runs gave.
    pub influence: InfluenceMatrix,
    /// Condition number of the influence coefficients, with the weights of the sensors.
    pub condition: f64,
    /// The unbalance found in each plane, heavy at its angle: of the rotor as in the baseline run, without any trial weight.
    pub unbalance: Vec<UnbalanceVector>,
    /// The weights to add in each plane, heavy at the angle where to add: on top of the trial weights that stay, the others taken off.
    pub weights: Vec<UnbalanceVector>,
    /// The vibration predicted to remain at each sensor.
    pub predicted: Vec<VibrationReading>,
    /// Standard uncertainties, all zero where none was stated of the readings.
    pub uncertainty: CorrectionUncertainty,
}

impl InfluenceSurvey {
    /// From the baseline readings, one for each sensor, and the trial runs, each with one weight for each plane and one reading for each sensor.
    ///
    /// # Errors
    /// [`Error::WrongLength`] without sensors or planes, with fewer runs than planes, fewer sensors than planes (their correction is not unique), or
    /// lists that differ in length.
    pub fn new(
        baseline: Vec<VibrationReading>,
        runs: Vec<TrialRun>,
        convention: PhaseConvention,
    ) -> Result<Self> {
        let planes = runs.first().map_or(0, |run| run.weights().len());
        let sensors = baseline.len();
        at_least("planes", planes, 1, "with trial weights")?;
        at_least(
            "sensors",
            sensors,
            planes,
            "one for each plane; readings at another speed count as more sensors",
        )?;
        at_least("trial runs", runs.len(), planes, "one for each plane")?;
        for (i, run) in runs.iter().enumerate() {
            same_length(&format!("weights of trial run {}", i + 1), run.weights().len(), planes)?;
            same_length(&format!("readings of trial run {}", i + 1), run.readings().len(), sensors)?;
        }
        let (sensor_weights, run_weights) = (vec![1.0; sensors], vec![1.0; runs.len() + 1]);
        let uncertainty = ReadingUncertainty::NONE;
        Ok(Self { baseline, runs, convention, uncertainty, sensor_weights, run_weights })
    }

    /// With the standard uncertainty of each reading.
    #[must_use]
    pub fn with_uncertainty(self, uncertainty: ReadingUncertainty) -> Self {
        Self { uncertainty, ..self }
    }

    /// With a weight for each sensor: the correction leaves the least sum of weight x |V|^2.
    ///
    /// # Errors
    /// [`Error::WrongLength`]; [`Error::OutOfRange`] for a weight that is not finite and above zero.
    pub fn with_sensor_weights(self, sensor_weights: Vec<f64>) -> Result<Self> {
        same_length("weights of the sensors", sensor_weights.len(), self.baseline.len())?;
        least_squares_weights("weight of a sensor", &sensor_weights)?;
        Ok(Self { sensor_weights, ..self })
    }

    /// With a weight for the baseline and each run, baseline first, such as the number of readings averaged: the influence coefficients leave the
    /// least sum of weight x |deviation|^2. It says something only with more runs than planes.
    ///
    /// # Errors
    /// As [`InfluenceSurvey::with_sensor_weights`].
    pub fn with_run_weights(self, run_weights: Vec<f64>) -> Result<Self> {
        same_length("weights of the baseline and the runs", run_weights.len(), self.runs.len() + 1)?;
        least_squares_weights("weight of a run", &run_weights)?;
        Ok(Self { run_weights, ..self })
    }

    fn planes(&self) -> usize {
        self.runs.first().map_or(0, |run| run.weights().len())
    }

    /// The influence coefficients: the least squares solution of V_k = V0 + A W_k over the baseline and all runs, with W_k all the weights on the rotor in run
    /// k, those that stayed from earlier runs among them. With as many runs as planes it is exact; with more, the baseline is one reading among the others.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a trial that changed no reading by more than the expanded uncertainty of the difference, for trial weights that do not
    /// tell the planes apart (a plane without, two runs alike, all in one ratio);
    /// [`Error::NotFinite`]; [`Error::NoSolution`] where the decomposition does not converge.
    ///
    /// # Source
    /// Rao, Mechanical Vibrations, section 9.5.2, for as many runs as planes; Goodman, A Least-Squares Method for Computing Balance Corrections, ASME Journal
    /// of Engineering for Industry, 1964 (both from memory).
    pub fn influence(&self) -> Result<InfluenceMatrix> {
        self.check_changes()?;
        Ok(self.fitted(&self.fit()?, &self.vibrations())?.0)
    }

    /// The correction: the weights W that leave the least sum of |V0 + A W|^2 over the sensors.
    ///
    /// # Errors
    /// As [`InfluenceSurvey::influence`]; [`Error::OutOfRange`] for influence coefficients with a condition number above [`CONDITION_LIMIT`].
    ///
    /// # Source
    /// As [`InfluenceSurvey::influence`].
    ///
    /// # Example
    /// ```
    /// use swept::balance::influence::{InfluenceSurvey, PhaseConvention, TrialRun, VibrationReading};
    /// use swept::{balance::unbalance::UnbalanceVector, units::parse};
    /// let read = |mm_per_s: f64, phase: &str| VibrationReading::new(mm_per_s, parse(phase)?);
    /// let trial = UnbalanceVector::heavy_at(parse("100 g mm")?, parse("0 deg")?)?;
    /// let run = TrialRun::new(vec![trial], vec![read(2.0, "0 deg")?], false);
    /// let survey = InfluenceSurvey::new(vec![read(4.0, "0 deg")?], vec![run], PhaseConvention::Lead)?;
    /// let found = survey.correct()?;
    /// assert!((found.weights[0].amount().value * 1e6 - 200.0).abs() < 1e-9);
    /// assert!((found.unbalance[0].angle().value.to_degrees() - 180.0).abs() < 1e-9);
    /// # Ok::<(), swept::Error>(())
    /// ```
    pub fn correct(&self) -> Result<Correction> {
        self.check_changes()?;
        let fit = self.fit()?;
        let (influence, baseline) = self.fitted(&fit, &self.vibrations())?;
        let (total, condition) = influence.solve(&baseline, &self.sensor_weights)?;
        let staying = self.staying();
        let vector = |w: Complex64| UnbalanceVector::from_complex(w);
        let more: Vec<Complex64> = total.iter().zip(&staying).map(|(w, s)| w - s).collect();
        let remains = influence.answer(&baseline, &total);
        Ok(Correction {
            condition,
            unbalance: total.iter().map(|w| vector(-w)).collect::<Result<_>>()?,
            weights: more.iter().copied().map(vector).collect::<Result<_>>()?,
            predicted: remains
                .iter()
                .map(|v| VibrationReading::from_complex(*v, self.convention))
                .collect::<Result<_>>()?,
            uncertainty: self.propagated(&fit, &total, &more)?,
            influence,
        })
    }

    /// All readings, the baseline first, sensor by sensor.
    fn vibrations(&self) -> Vec<Complex64> {
        let runs = self.runs.iter().flat_map(|run| run.readings());
        self.baseline.iter().chain(runs).map(|r| r.complex(self.convention)).collect()
    }

    /// The weights that stay on from the runs before `run`, counted from zero.
    fn staying_before(&self, run: usize) -> Vec<Complex64> {
        let mut sum = vec![Complex64::ZERO; self.planes()];
        for run in self.runs.iter().take(run).filter(|run| run.stays()) {
            sum.iter_mut().zip(run.weights()).for_each(|(sum, w)| *sum += w.complex());
        }
        sum
    }

    fn staying(&self) -> Vec<Complex64> {
        self.staying_before(self.runs.len())
    }

    /// All the weights on the rotor: none in the baseline, then those of each run.
    fn loads(&self) -> Vec<Vec<Complex64>> {
        let of_run = |(i, run): (usize, &TrialRun)| {
            let staying = self.staying_before(i);
            staying.iter().zip(run.weights()).map(|(s, w)| s + w.complex()).collect()
        };
        let baseline = vec![Complex64::ZERO; self.planes()];
        core::iter::once(baseline).chain(self.runs.iter().enumerate().map(of_run)).collect()
    }

    /// The matrix that makes (V0, A) of the readings, whatever they are.
    fn fit(&self) -> Result<DMatrix<Complex64>> {
        let loads = self.loads();
        let scales: Vec<f64> = (0..self.planes())
            .map(|plane| {
                loads.iter().filter_map(|load| load.get(plane)).map(|w| w.norm()).fold(0.0, f64::max)
            })
            .collect();
        if let Some(bare) = scales.iter().position(|scale| *scale == 0.0) {
            let allowed = "a weight in each plane, in one run at least";
            return Err(trials(format!("trial weight in plane {}", bare + 1), "none".into(), allowed));
        }
        let root = |run: usize| self.run_weights.get(run).map_or(1.0, |w| w.sqrt());
        let scale =
            |column: usize| column.checked_sub(1).and_then(|plane| scales.get(plane)).map_or(1.0, |s| *s);
        let entry = |run: usize, column: usize| match column.checked_sub(1) {
            None => Complex64::ONE,
            Some(plane) => loads.get(run).and_then(|load| load.get(plane)).copied().unwrap_or_default(),
        };
        let design = DMatrix::from_fn(loads.len(), scales.len() + 1, |k, j| entry(k, j) / scale(j) * root(k));
        let inverse = Inverse::of(design)?;
        if inverse.condition > CONDITION_LIMIT {
            return Err(unclear(&loads, inverse.condition));
        }
        let back = inverse.matrix.map_with_location(|j, k, value| value * root(k) / scale(j));
        Ok(back)
    }

    /// The influence coefficients and the fitted baseline, by sensors.
    fn fitted(
        &self,
        fit: &DMatrix<Complex64>,
        vibrations: &[Complex64],
    ) -> Result<(InfluenceMatrix, Vec<Complex64>)> {
        let readings =
            DMatrix::from_row_iterator(self.runs.len() + 1, self.baseline.len(), vibrations.iter().copied());
        let fitted = fit * readings;
        let baseline = fitted.row(0).iter().copied().collect();
        let coefficients = fitted.remove_row(0).transpose();
        Ok((InfluenceMatrix::of(coefficients, self.convention)?, baseline))
    }

    /// Refuses a run whose weights changed nothing beyond the uncertainty of the readings.
    fn check_changes(&self) -> Result<()> {
        let mut before = self.baseline.as_slice();
        for (i, run) in self.runs.iter().enumerate() {
            let changes: Vec<(f64, f64)> =
                run.readings().iter().zip(before).map(|(a, b)| self.change(a, b)).collect();
            let weighted = run.weights().iter().any(|w| w.amount().value > 0.0);
            if weighted && changes.iter().all(|(change, least)| change <= least) {
                let (change, least) =
                    changes.into_iter().fold((0.0, 0.0), |a, b| if b.0 > a.0 { b } else { a });
                let allowed = format!(
                    "above its expanded uncertainty, {}, at one sensor at least: take a heavier trial weight",
                    written(Ratio::from_si(least))
                );
                let field = format!("change of vibration by trial run {}", i + 1);
                return Err(trials(field, written(Ratio::from_si(change)), &allowed));
            }
            if run.stays() {
                before = run.readings();
            }
        }
        Ok(())
    }

    /// The change from one reading to another and its expanded uncertainty, k = 2.
    fn change(&self, from: &VibrationReading, to: &VibrationReading) -> (f64, f64) {
        let [from, to] = [from, to].map(|reading| reading.complex(self.convention));
        let largest = |v: Complex64| {
            let (along, across) = self.uncertainty.parts(v);
            along.max(across)
        };
        ((to - from).norm(), COVERAGE_FACTOR * largest(from).hypot(largest(to)))
    }
}

/// The correction from readings of a balancing machine that shows the unbalance itself, heavy at its angle, in two or more planes: the weights to add in
/// planes a and b.
///
/// # Errors
/// As [`to_planes`].
///
/// # Source
/// [`to_planes`]; a correction is the opposite of the unbalance.
pub fn correction_of_unbalance(
    found: &[PlacedUnbalance],
    a: Length,
    b: Length,
) -> Result<[PlacedUnbalance; 2]> {
    Ok(to_planes(found, a, b)?.map(|u| u.opposite()))
}

/// Which trial weights do not tell the planes apart, and why.
fn unclear(loads: &[Vec<Complex64>], condition: f64) -> Error {
    let alike = |a: &[Complex64], b: &[Complex64]| {
        let size: f64 = a.iter().chain(b).map(|w| w.norm()).fold(0.0, f64::max);
        a.iter().zip(b).all(|(a, b)| (a - b).norm() <= size / CONDITION_LIMIT)
    };
    let pairs = loads
        .iter()
        .enumerate()
        .skip(1)
        .flat_map(|(i, a)| loads.iter().enumerate().skip(i + 1).map(move |(j, b)| (i, j, a, b)));
    let mut same = pairs.filter(|(_, _, a, b)| alike(a, b));
    if let Some((i, j, ..)) = same.next() {
        let allowed = "weights that differ in plane or, with more planes than one, in ratio";
        return trials(format!("load of trial runs {i} and {j}"), "the same weights".into(), allowed);
    }
    let allowed =
        format!("at most {CONDITION_LIMIT}: a weight in another plane, or in another ratio, in each run");
    trials("condition of the trial weights".into(), written(Ratio::from_si(condition)), &allowed)
}

fn trials(field: String, value: String, allowed: &str) -> Error {
    Error::OutOfRange { field, value, allowed: allowed.into() }
}

fn at_least(field: &str, found: usize, least: usize, why: &str) -> Result<()> {
    if found >= least {
        return Ok(());
    }
    Err(Error::WrongLength { field: field.into(), found, expected: format!("at least {least}, {why}") })
}

fn same_length(field: &str, found: usize, expected: usize) -> Result<()> {
    if found == expected {
        return Ok(());
    }
    Err(Error::WrongLength { field: field.into(), found, expected: expected.to_string() })
}

fn least_squares_weights(field: &str, weights: &[f64]) -> Result<()> {
    match weights.iter().find(|w| !(w.is_finite() && **w > 0.0)) {
        None => Ok(()),
        Some(bad) => Err(trials(field.into(), bad.to_string(), "finite and above zero")),
    }
}

#[cfg(test)]
mod tests;
