//! Tolerance stacks of a user's own function, on plain numbers: the function fixes the units.

use crate::budget::{called, raised_first};
use crate::build::distribution;
use crate::errors::OrRaise;
use pyo3::prelude::*;
use std::cell::RefCell;
use swept::metrology::{self as core, Limits, Tolerance};

/// What a figure becomes over the tolerances of its inputs.
#[pyclass(frozen, name = "ToleranceStack", module = "swept")]
pub(crate) struct PyToleranceStack(core::Stack);

#[pymethods]
impl PyToleranceStack {
    /// With every input at its nominal value.
    #[getter]
    fn nominal(&self) -> f64 {
        self.0.nominal
    }

    /// With every input in the middle of its zone.
    #[getter]
    fn middle(&self) -> f64 {
        self.0.middle
    }

    /// Least and greatest value, every input at an end of its zone.
    #[getter]
    fn worst_case(&self) -> (f64, f64) {
        self.0.worst
    }

    /// Least and greatest value by the root of the sum of squares about the middle.
    #[getter]
    fn root_sum_square(&self) -> (f64, f64) {
        self.0.root_sum_square
    }

    /// What half the zone of each input does to the figure, with its sign.
    #[getter]
    fn effects(&self) -> Vec<f64> {
        self.0.effects.clone()
    }

    /// The share of each input in the sum of squares, 0 to 1.
    #[getter]
    fn shares(&self) -> Vec<f64> {
        (0..self.0.effects.len()).map(|i| self.0.share(i)).collect()
    }

    fn __repr__(&self) -> String {
        let s = &self.0;
        format!(
            "ToleranceStack(nominal={}, worst_case={:?}, root_sum_square={:?})",
            s.nominal, s.worst, s.root_sum_square
        )
    }
}

/// What sampling found of a figure.
#[pyclass(frozen, name = "Sampled", module = "swept")]
pub(crate) struct PySampled(core::Sampled);

#[pymethods]
impl PySampled {
    /// How many trials.
    #[getter]
    fn trials(&self) -> usize {
        self.0.trials
    }

    /// Mean.
    #[getter]
    fn mean(&self) -> f64 {
        self.0.mean
    }

    /// Standard deviation.
    #[getter]
    fn standard_deviation(&self) -> f64 {
        self.0.standard
    }

    /// The 0.135 % and the 99.865 % quantile.
    #[getter]
    fn quantiles(&self) -> (f64, f64) {
        self.0.quantiles
    }

    /// The share of the trials outside the limits; None without limits.
    #[getter]
    fn outside(&self) -> Option<f64> {
        self.0.outside
    }

    fn __repr__(&self) -> String {
        let s = &self.0;
        format!("Sampled(trials={}, mean={}, standard_deviation={})", s.trials, s.mean, s.standard)
    }
}

fn zones(py: Python<'_>, tolerances: Vec<(f64, f64)>) -> PyResult<Vec<Tolerance>> {
    tolerances
        .into_iter()
        .map(|(lower, upper)| Tolerance::new(lower, upper))
        .collect::<Result<_, _>>()
        .or_raise(py)
}

/// Worst case, root of the sum of squares and the effect of each input of ``function(values)``, which takes a list of floats.
///
/// ``tolerances`` has a pair for each value: least and greatest deviation.
#[pyfunction]
#[pyo3(signature = (function, values, tolerances))]
fn tolerance_stack(
    py: Python<'_>,
    function: &Bound<'_, PyAny>,
    values: Vec<f64>,
    tolerances: Vec<(f64, f64)>,
) -> PyResult<PyToleranceStack> {
    let raised = RefCell::new(None);
    let found = core::stack(&values, &zones(py, tolerances)?, |x| called(function, x, &raised));
    raised_first(raised, found, py).map(PyToleranceStack)
}

/// Samples ``function(values)`` over the tolerances of its inputs (JCGM 101); the same trials give the same result, always.
///
/// ``distribution`` is how inputs lie in their zones: "normal", three standard deviations to the ends, or "rectangular".
#[pyfunction]
#[pyo3(signature = (function, values, tolerances, *, distribution = "normal", trials = 100_000, lower = None, upper = None))]
#[allow(clippy::too_many_arguments)] // Python's keywords
fn sample_tolerances(
    py: Python<'_>,
    function: &Bound<'_, PyAny>,
    values: Vec<f64>,
    tolerances: Vec<(f64, f64)>,
    distribution: &str,
    trials: usize,
    lower: Option<f64>,
    upper: Option<f64>,
) -> PyResult<PySampled> {
    let limits = match (lower, upper) {
        (None, None) => None,
        (lower, upper) => Some(Limits::new(lower, upper).or_raise(py)?),
    };
    let raised = RefCell::new(None);
    let found = core::sample(
        &values,
        &zones(py, tolerances)?,
        self::distribution(distribution)?,
        trials,
        limits.as_ref(),
        |x| called(function, x, &raised),
    );
    raised_first(raised, found, py).map(PySampled)
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_class::<PyToleranceStack>()?;
    m.add_class::<PySampled>()?;
    m.add_function(wrap_pyfunction!(tolerance_stack, m)?)?;
    m.add_function(wrap_pyfunction!(sample_tolerances, m)?)
}
