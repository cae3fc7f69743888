//! Correction of unbalance by influence coefficients, from trial weights.

use crate::errors::OrRaise;
use crate::given::scalar;
use crate::records::{Record, each, parts};
use crate::shown::{quantity, text};
use crate::unbalance::{PyUnbalanceVector, vector};
use num_complex::Complex64;
use pyo3::exceptions::{PyTypeError, PyValueError};
use pyo3::prelude::*;
use pyo3::types::{PyComplex, PyDict};
use swept::balance::influence::{
    Correction, InfluenceMatrix, InfluenceSurvey, PhaseConvention, ReadingUncertainty, TrialRun,
    VibrationReading,
};
use swept::balance::unbalance::UnbalanceVector;
use swept::units::{Angle, Dimensioned, Ratio};

type Any<'py> = Bound<'py, PyAny>;

/// A correction by influence coefficients.
#[pyclass(frozen, name = "Correction", module = "swept")]
pub(crate) struct PyCorrection(Correction);

fn vectors(all: &[UnbalanceVector]) -> Vec<PyUnbalanceVector> {
    all.iter().map(|v| PyUnbalanceVector(*v)).collect()
}

#[pymethods]
impl PyCorrection {
    /// The weights to add in each plane, heavy at the angle where to add: on top of the trial weights that stay, the others taken off.
    #[getter]
    fn weights(&self) -> Vec<PyUnbalanceVector> {
        vectors(&self.0.weights)
    }

    /// The unbalance found in each plane, heavy at its angle: of the rotor as in the baseline run, without any trial weight.
    #[getter]
    fn unbalance(&self) -> Vec<PyUnbalanceVector> {
        vectors(&self.0.unbalance)
    }

    /// Condition number of the influence coefficients.
    #[getter]
    fn condition(&self) -> f64 {
        self.0.condition
    }

    /// The vibration predicted to remain at each sensor: amplitude in the unit of the readings, and phase.
    #[getter]
    fn predicted<'py>(&self, py: Python<'py>) -> PyResult<Vec<(f64, Any<'py>)>> {
        self.0.predicted.iter().map(|v| Ok((v.amplitude(), quantity(py, v.phase())?))).collect()
    }

    /// Standard uncertainties of the weights to add, a dict for each plane: ``amount``, ``angle`` (None where there is no weight), and ``real`` and
    /// ``imaginary``, of the parts towards 0 and 90 deg; all zero where none was stated of the readings.
    #[getter]
    fn weight_uncertainties<'py>(&self, py: Python<'py>) -> PyResult<Vec<Bound<'py, PyDict>>> {
        let dict = |u: &swept::balance::influence::WeightUncertainty| {
            let named = PyDict::new(py);
            named.set_item("amount", quantity(py, u.amount)?)?;
            named.set_item("angle", u.angle.map(|angle| quantity(py, angle)).transpose()?)?;
            named.set_item("real", quantity(py, u.real)?)?;
            named.set_item("imaginary", quantity(py, u.imaginary)?)?;
            Ok(named)
        };
        self.0.uncertainty.weights.iter().map(dict).collect()
    }

    fn __repr__(&self, py: Python<'_>) -> PyResult<String> {
        let add =
            |w: &UnbalanceVector| Ok(format!("\"{} at {}\"", text(py, w.amount())?, text(py, w.angle())?));
        let weights: Vec<String> = self.0.weights.iter().map(add).collect::<PyResult<_>>()?;
        Ok(format!("Correction(weights=[{}], condition={})", weights.join(", "), self.0.condition))
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.0 == other.0
    }
}

fn readings(field: &str, given: &Any<'_>) -> PyResult<Vec<VibrationReading>> {
    each(field, given, |name, item| {
        let [amplitude, phase] = parts(name, item, "a tuple of amplitude, a number, and phase")?;
        let wrong = |_| PyTypeError::new_err(format!("{name} amplitude must be a number"));
        let amplitude = amplitude.extract().map_err(wrong)?;
        let reading = VibrationReading::new(amplitude, scalar(&format!("{name} phase"), &phase)?);
        reading.map_err(|e| e.at(None, name)).or_raise(item.py())
    })
}

/// An `UnbalanceVector` for each plane, or None where there is none.
fn weights_of(field: &str, given: &Any<'_>) -> PyResult<Vec<UnbalanceVector>> {
    each(
        field,
        given,
        |name, item| {
            if item.is_none() { Ok(UnbalanceVector::none()) } else { vector(name, item) }
        },
    )
}

fn run(name: &str, given: &Any<'_>) -> PyResult<TrialRun> {
    let record = Record::new(name, given, &["weights", "readings", "stays"])?;
    let weights = weights_of(&record.place("weights"), &record.needed("weights")?)?;
    let readings = readings(&record.place("readings"), &record.needed("readings")?)?;
    Ok(TrialRun::new(weights, readings, record.flag("stays")?))
}

fn convention(name: &str) -> PyResult<PhaseConvention> {
    match name {
        "lead" => Ok(PhaseConvention::Lead),
        "lag" => Ok(PhaseConvention::Lag),
        _ => Err(PyValueError::new_err(format!("phase is {name:?}; write \"lead\" or \"lag\""))),
    }
}

/// Influence coefficients: the vibration at each sensor that an unbalance in each plane makes, for another day at the same speed and in the same bearings.
///
/// A row for each sensor with a complex number for each plane, in units of the readings for each kg m. ``phase`` as in `correct_by_trials`.
#[pyclass(frozen, name = "InfluenceMatrix", module = "swept")]
pub(crate) struct PyInfluenceMatrix(InfluenceMatrix);

/// A complex number, or one that Python makes complex.
fn complex(name: &str, item: &Any<'_>) -> PyResult<Complex64> {
    let wrong = |_| PyTypeError::new_err(format!("{name} must be a complex number"));
    let value = item.py().import("builtins")?.call_method1("complex", (item,)).map_err(wrong)?;
    Ok(Complex64::new(value.getattr("real")?.extract()?, value.getattr("imag")?.extract()?))
}

#[pymethods]
impl PyInfluenceMatrix {
    #[new]
    #[pyo3(signature = (coefficients, *, phase))]
    fn new(py: Python<'_>, coefficients: &Any<'_>, phase: &str) -> PyResult<Self> {
        let rows = each("coefficients", coefficients, |name, row| each(name, row, complex))?;
        InfluenceMatrix::new(&rows, convention(phase)?).or_raise(py).map(Self)
    }

    /// From a baseline and trial runs, given as to `correct_by_trials`.
    #[staticmethod]
    #[pyo3(signature = (*, baseline, runs, phase))]
    fn from_trials(py: Python<'_>, baseline: &Any<'_>, runs: &Any<'_>, phase: &str) -> PyResult<Self> {
        let (baseline, runs) = (readings("baseline", baseline)?, each("runs", runs, run)?);
        let survey = InfluenceSurvey::new(baseline, runs, convention(phase)?).or_raise(py)?;
        survey.influence().or_raise(py).map(Self)
    }

    /// A row for each sensor with an entry for each plane, in units of the readings for each kg m.
    #[getter]
    fn coefficients<'py>(&self, py: Python<'py>) -> Vec<Vec<Bound<'py, PyComplex>>> {
        let entry = |sensor, plane| {
            let value = self.0.coefficient(sensor, plane).unwrap_or_default();
            PyComplex::from_doubles(py, value.re, value.im)
        };
        let row = |sensor| (0..self.0.planes()).map(|plane| entry(sensor, plane)).collect();
        (0..self.0.sensors()).map(row).collect()
    }

    /// Condition number: infinite where planes cannot be told apart.
    #[getter]
    fn condition(&self, py: Python<'_>) -> PyResult<f64> {
        self.0.condition().or_raise(py)
    }

    /// The weights to add in each plane against a vibration, a tuple of amplitude and phase for each sensor; heavy where to add.
    fn correct(&self, py: Python<'_>, vibration: &Any<'_>) -> PyResult<Vec<PyUnbalanceVector>> {
        Ok(vectors(&self.0.correct(&readings("vibration", vibration)?).or_raise(py)?))
    }

    /// The vibration with weights added, an `UnbalanceVector` or None for each plane, heavy where added: for weights rounded to what is at hand.
    fn predict<'py>(
        &self,
        py: Python<'py>,
        vibration: &Any<'py>,
        weights: &Any<'py>,
    ) -> PyResult<Vec<(f64, Any<'py>)>> {
        let after = self.0.predict(&readings("vibration", vibration)?, &weights_of("weights", weights)?);
        after.or_raise(py)?.iter().map(|v| Ok((v.amplitude(), quantity(py, v.phase())?))).collect()
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.0 == other.0
    }
}

/// The weights to add that leave the least vibration, from a baseline and runs with trial weights at one speed.
///
/// ``baseline`` has one reading for each sensor: a tuple of amplitude, a number in any unit, and phase. Each of the ``runs`` is a dict: ``weights``, an
/// `UnbalanceVector` or None for each plane, heavy where the weight was added; ``readings`` as the baseline's; ``stays``, whether these weights stay on.
/// ``phase`` is "lead" where a weight moved by 10 deg raises the phase of its vibration by 10 deg, "lag" where it lowers it. The uncertainties are
/// standard ones, of the amplitude relative to it and of the phase.
#[pyfunction]
#[pyo3(signature = (*, baseline, runs, phase, relative_uncertainty = None, phase_uncertainty = None))]
fn correct_by_trials(
    py: Python<'_>,
    baseline: &Any<'_>,
    runs: &Any<'_>,
    phase: &str,
    relative_uncertainty: Option<&Any<'_>>,
    phase_uncertainty: Option<&Any<'_>>,
) -> PyResult<PyCorrection> {
    let relative = relative_uncertainty.map(|u| scalar("relative_uncertainty", u)).transpose()?;
    let turned = phase_uncertainty.map(|u| scalar("phase_uncertainty", u)).transpose()?;
    let uncertainty = ReadingUncertainty::polar(
        relative.unwrap_or(Ratio::from_si(0.0)),
        turned.unwrap_or(Angle::from_si(0.0)),
    );
    let (baseline, runs) = (readings("baseline", baseline)?, each("runs", runs, run)?);
    let survey = InfluenceSurvey::new(baseline, runs, convention(phase)?).or_raise(py)?;
    let survey = survey.with_uncertainty(uncertainty.or_raise(py)?);
    py.detach(|| survey.correct()).or_raise(py).map(PyCorrection)
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_class::<PyCorrection>()?;
    m.add_class::<PyInfluenceMatrix>()?;
    m.add_function(wrap_pyfunction!(correct_by_trials, m)?)
}
