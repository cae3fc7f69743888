//! Units and quantities as functions.

use crate::errors::OrRaise;
use crate::{given, shown};
use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;
use swept::units::Dimension;

/// The dimension of this name, in words or with underscores.
pub(crate) fn dimension(name: &str) -> PyResult<Dimension> {
    let words = name.replace('_', " ");
    let found = Dimension::ALL.iter().find(|d| d.name() == words);
    found.copied().ok_or_else(|| {
        let known: Vec<&str> = Dimension::ALL.iter().map(|d| d.name()).collect();
        PyValueError::new_err(format!("dimension is {name:?}; known are {}", known.join(", ")))
    })
}

/// How many of the unit `to_unit` are `value` of the unit `from_unit`, as a float.
#[pyfunction]
#[pyo3(signature = (value, from_unit, to_unit, /))]
fn convert(py: Python<'_>, value: f64, from_unit: &str, to_unit: &str) -> PyResult<f64> {
    swept::units::convert(value, from_unit, to_unit).or_raise(py)
}

/// A text or a quantity of any registry, checked for its dimension, as a quantity in the display system.
#[pyfunction]
#[pyo3(signature = (value, dimension = "length"))]
fn quantity<'py>(py: Python<'py>, value: &Bound<'py, PyAny>, dimension: &str) -> PyResult<Bound<'py, PyAny>> {
    let dimension = self::dimension(dimension)?;
    let si = given::scalar_of("value", dimension, value)?;
    shown::quantity_of(py, dimension, si)
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_function(wrap_pyfunction!(convert, m)?)?;
    m.add_function(wrap_pyfunction!(quantity, m)?)
}
