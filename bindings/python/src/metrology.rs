//! Readings with their uncertainty, and verdicts.

use crate::errors::OrRaise;
use crate::given::{maybe_of, scalar_of};
use crate::shown::{difference, quantity_of};
use crate::units::dimension;
use pyo3::prelude::*;
use pyo3::types::PyString;
use swept::Error;
use swept::metrology::reading::{COVERAGE_FACTOR, RawReading, parse_text};
use swept::metrology::{self as core, Limits, Verdict};
use swept::units::Dimension;

type Any<'py> = Bound<'py, PyAny>;

/// A reading as a person writes it: "4.1252 +/- 0.0002 in"; the uncertainty is expanded, k = 2.
#[pyclass(frozen, name = "Reading", module = "swept")]
pub(crate) struct PyReading {
    text: String,
    dimension: Dimension,
    raw: RawReading,
}

#[pymethods]
impl PyReading {
    #[new]
    #[pyo3(signature = (text, dimension = "length"))]
    fn new(py: Python<'_>, text: String, dimension: &str) -> PyResult<Self> {
        let dimension = self::dimension(dimension)?;
        let raw = parse_text(&text, dimension).or_raise(py)?;
        Ok(Self { text, dimension, raw })
    }

    /// What was read.
    #[getter]
    fn value<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity_of(py, self.dimension, self.raw.si)
    }

    /// Its expanded uncertainty, k = 2; None where none was stated.
    #[getter]
    fn expanded_uncertainty<'py>(&self, py: Python<'py>) -> PyResult<Option<Any<'py>>> {
        let of = difference(self.dimension);
        self.raw.expanded_si.map(|u| quantity_of(py, of, u)).transpose()
    }

    /// Its dimension in words.
    #[getter]
    fn dimension(&self) -> &'static str {
        self.dimension.name()
    }

    fn __repr__(&self) -> String {
        format!("Reading({:?}, {:?})", self.text, self.dimension.name())
    }

    fn __eq__(&self, other: &Self) -> bool {
        (self.raw.si, self.raw.expanded_si, self.dimension)
            == (other.raw.si, other.raw.expanded_si, other.dimension)
    }

    fn __getnewargs__(&self) -> (String, &'static str) {
        (self.text.clone(), self.dimension.name())
    }
}

/// A figure, its standard uncertainty and its limits, SI.
struct Judged {
    value: f64,
    standard: f64,
    limits: Limits,
}

/// The value with the uncertainty that stands in it: a reading, a text or a quantity.
fn value_of(value: &Any<'_>, dimension: Dimension) -> PyResult<(f64, Option<f64>, Dimension)> {
    if let Ok(reading) = value.cast::<PyReading>() {
        let reading = reading.get();
        return Ok((reading.raw.si, reading.raw.expanded_si, reading.dimension));
    }
    if let Ok(text) = value.cast::<PyString>() {
        let raw = parse_text(text.to_str()?, dimension).map_err(|e| e.at(None, "value"));
        return raw.or_raise(value.py()).map(|r| (r.si, r.expanded_si, dimension));
    }
    scalar_of("value", dimension, value).map(|si| (si, None, dimension))
}

fn expanded(given: Option<&Any<'_>>, dimension: Dimension) -> PyResult<Option<f64>> {
    let found = maybe_of("expanded_uncertainty", difference(dimension), given)?;
    match (found, given) {
        (Some(si), Some(given)) if si < 0.0 => Err(Error::OutOfRange {
            field: "expanded_uncertainty".into(),
            value: given.str()?.to_string(),
            allowed: "zero or more".into(),
        })
        .or_raise(given.py()),
        _ => Ok(found),
    }
}

fn judged(
    value: &Any<'_>,
    lower: Option<&Any<'_>>,
    upper: Option<&Any<'_>>,
    uncertainty: Option<&Any<'_>>,
    dimension: &str,
) -> PyResult<Judged> {
    let (value_si, own, dimension) = value_of(value, self::dimension(dimension)?)?;
    let expanded = expanded(uncertainty, dimension)?.or(own).unwrap_or(0.0);
    let (lower, upper) = (maybe_of("lower", dimension, lower)?, maybe_of("upper", dimension, upper)?);
    Ok(Judged {
        value: value_si,
        standard: expanded / COVERAGE_FACTOR,
        limits: Limits::new(lower, upper).or_raise(value.py())?,
    })
}

/// "pass", "fail" or "cannot_tell" by the guard bands of ISO 14253-1.
///
/// The value may carry its own expanded uncertainty (k = 2), as a Reading or a text; one given here comes first.
#[pyfunction]
#[pyo3(signature = (value, *, lower = None, upper = None, expanded_uncertainty = None, dimension = "length"))]
fn verdict(
    value: &Any<'_>,
    lower: Option<&Any<'_>>,
    upper: Option<&Any<'_>>,
    expanded_uncertainty: Option<&Any<'_>>,
    dimension: &str,
) -> PyResult<&'static str> {
    let judged = judged(value, lower, upper, expanded_uncertainty, dimension)?;
    Ok(match core::verdict(judged.value, judged.standard, &judged.limits) {
        Verdict::Pass => "pass",
        Verdict::Fail => "fail",
        Verdict::CannotTell => "cannot_tell",
    })
}

/// Probability that the true value is inside the limits (JCGM 106), a float; arguments as for `verdict`.
#[pyfunction]
#[pyo3(signature = (value, *, lower = None, upper = None, expanded_uncertainty = None, dimension = "length"))]
fn conformance_probability(
    value: &Any<'_>,
    lower: Option<&Any<'_>>,
    upper: Option<&Any<'_>>,
    expanded_uncertainty: Option<&Any<'_>>,
    dimension: &str,
) -> PyResult<f64> {
    let judged = judged(value, lower, upper, expanded_uncertainty, dimension)?;
    Ok(core::conformance_probability(judged.value, judged.standard, &judged.limits))
}

/// The guard band that an expanded uncertainty (k = 2) calls for, by the default rule of ISO 14253-1.
#[pyfunction]
#[pyo3(signature = (*, expanded_uncertainty, dimension = "length"))]
fn guard_band<'py>(py: Python<'py>, expanded_uncertainty: &Any<'py>, dimension: &str) -> PyResult<Any<'py>> {
    let dimension = self::dimension(dimension)?;
    let expanded = expanded(Some(expanded_uncertainty), dimension)?.unwrap_or(0.0);
    quantity_of(py, difference(dimension), core::guard_band(expanded / COVERAGE_FACTOR))
}

/// Mean of repeated readings, the standard uncertainty of that mean, and the degrees of freedom.
#[pyfunction]
#[pyo3(signature = (readings, /, dimension = "length"))]
fn type_a<'py>(
    py: Python<'py>,
    readings: &Any<'py>,
    dimension: &str,
) -> PyResult<(Any<'py>, Any<'py>, usize)> {
    let dimension = self::dimension(dimension)?;
    let items = readings.try_iter()?.enumerate();
    let all: Vec<f64> =
        items.map(|(i, r)| scalar_of(&format!("readings[{i}]"), dimension, &r?)).collect::<PyResult<_>>()?;
    let found = core::type_a(&all).or_raise(py)?;
    let mean = quantity_of(py, dimension, found.mean)?;
    Ok((mean, quantity_of(py, difference(dimension), found.standard)?, found.degrees_of_freedom))
}

/// Coverage factor for a two-sided coverage probability with some degrees of freedom (Student's t).
#[pyfunction]
#[pyo3(signature = (*, probability, degrees_of_freedom))]
fn coverage_factor(py: Python<'_>, probability: f64, degrees_of_freedom: f64) -> PyResult<f64> {
    core::coverage_factor(probability, degrees_of_freedom).or_raise(py)
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_class::<PyReading>()?;
    m.add_function(wrap_pyfunction!(verdict, m)?)?;
    m.add_function(wrap_pyfunction!(conformance_probability, m)?)?;
    m.add_function(wrap_pyfunction!(guard_band, m)?)?;
    m.add_function(wrap_pyfunction!(type_a, m)?)?;
    m.add_function(wrap_pyfunction!(coverage_factor, m)?)
}
