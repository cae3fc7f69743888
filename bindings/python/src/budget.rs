//! Uncertainty budgets of a user's own function, on plain numbers: the function fixes the units.

use crate::errors::OrRaise;
use pyo3::prelude::*;
use std::cell::RefCell;
use swept::Error;
use swept::metrology as core;

/// A figure with its standard uncertainty and each input's part in it.
#[pyclass(frozen, name = "Budget", module = "swept")]
pub(crate) struct PyBudget(core::Budget);

#[pymethods]
impl PyBudget {
    /// The figure.
    #[getter]
    fn value(&self) -> f64 {
        self.0.value
    }

    /// Its combined standard uncertainty.
    #[getter]
    fn standard_uncertainty(&self) -> f64 {
        self.0.standard
    }

    /// The sensitivity times the standard uncertainty of each input, with its sign.
    #[getter]
    fn contributions(&self) -> Vec<f64> {
        self.0.contributions.clone()
    }

    /// The share of each input in the variance of independent inputs, 0 to 1.
    #[getter]
    fn shares(&self) -> Vec<f64> {
        (0..self.0.contributions.len()).map(|i| self.0.share(i)).collect()
    }

    /// The expanded uncertainty for a coverage factor.
    #[pyo3(signature = (coverage_factor = core::reading::COVERAGE_FACTOR))]
    fn expanded_uncertainty(&self, coverage_factor: f64) -> f64 {
        self.0.expanded(coverage_factor)
    }

    fn __repr__(&self) -> String {
        format!("Budget(value={}, standard_uncertainty={})", self.0.value, self.0.standard)
    }
}

/// The uncertainty of `function(values)` by the law of propagation (JCGM 100, eqs. 10 and 16), `function` taking a list of floats.
///
/// `correlation` is a square matrix of coefficients; without one the inputs are independent. What `function` raises is passed on.
#[pyfunction]
#[pyo3(signature = (function, values, standard_uncertainties, correlation = None))]
fn propagate(
    py: Python<'_>,
    function: &Bound<'_, PyAny>,
    values: Vec<f64>,
    standard_uncertainties: Vec<f64>,
    correlation: Option<Vec<Vec<f64>>>,
) -> PyResult<PyBudget> {
    let raised = RefCell::new(None);
    let f = |x: &[f64]| called(function, x, &raised);
    let budget = match correlation {
        None => core::propagate(&values, &standard_uncertainties, f),
        Some(rows) => core::propagate_correlated(&values, &standard_uncertainties, &rows.concat(), f),
    };
    raised_first(raised, budget, py).map(PyBudget)
}

/// The value of a function of Python at `x`; what it raises is kept aside.
pub(crate) fn called(
    function: &Bound<'_, PyAny>,
    x: &[f64],
    raised: &RefCell<Option<PyErr>>,
) -> swept::Result<f64> {
    let value = function.call1((x.to_vec(),)).and_then(|value| value.extract::<f64>());
    let value = value.map_err(|error| {
        raised.borrow_mut().get_or_insert(error);
        refused("raised")
    })?;
    if value.is_finite() { Ok(value) } else { Err(refused(&value.to_string())) }
}

/// What the function raised, else what was found.
pub(crate) fn raised_first<T>(
    raised: RefCell<Option<PyErr>>,
    found: swept::Result<T>,
    py: Python<'_>,
) -> PyResult<T> {
    match raised.into_inner() {
        Some(error) => Err(error),
        None => found.or_raise(py),
    }
}

fn refused(value: &str) -> Error {
    Error::NotFinite { field: "what the function returns".into(), value: value.into() }
}

/// Effective degrees of freedom of a budget (Welch and Satterthwaite; JCGM 100, eq. G.2b).
#[pyfunction]
fn effective_degrees_of_freedom(
    py: Python<'_>,
    contributions: Vec<f64>,
    degrees_of_freedom: Vec<f64>,
) -> PyResult<f64> {
    core::effective_degrees_of_freedom(&contributions, &degrees_of_freedom).or_raise(py)
}

/// Correlation coefficient of the means of two series read together (JCGM 100, eqs. 14 and 17).
#[pyfunction]
#[pyo3(signature = (first, second, /))]
fn correlation_of_means(py: Python<'_>, first: Vec<f64>, second: Vec<f64>) -> PyResult<f64> {
    core::correlation_of_means(&first, &second).or_raise(py)
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_class::<PyBudget>()?;
    m.add_function(wrap_pyfunction!(propagate, m)?)?;
    m.add_function(wrap_pyfunction!(effective_degrees_of_freedom, m)?)?;
    m.add_function(wrap_pyfunction!(correlation_of_means, m)?)
}
