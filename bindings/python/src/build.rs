//! Build documents; the sheet crosses as JSON.

use crate::errors::OrRaise;
use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;
use swept::build::Build;
use swept::metrology::Distribution;

/// A build document, read and checked.
#[pyclass(frozen, name = "NativeBuild", module = "swept._swept")]
pub(crate) struct PyBuild(Build);

#[pymethods]
impl PyBuild {
    #[new]
    fn new(py: Python<'_>, text: &str) -> PyResult<Self> {
        py.detach(|| Build::parse(text)).or_raise(py).map(Self)
    }

    /// The sheet, as JSON.
    fn sheet_json(&self, py: Python<'_>) -> PyResult<String> {
        py.detach(|| self.0.sheet().map(|sheet| sheet.to_json())).or_raise(py)
    }

    /// What the document says about one cylinder, counted from 1, as a study takes it: fixed figures and limits, as JSON.
    fn study_json(&self, py: Python<'_>, cylinder: usize) -> PyResult<String> {
        py.detach(|| self.0.study(cylinder).map(|study| study.to_json())).or_raise(py)
    }

    /// One figure over the drawing tolerances of its readings, as JSON.
    fn tolerance_stack_json(
        &self,
        py: Python<'_>,
        what: &str,
        place: usize,
        trials: usize,
        distribution: &str,
    ) -> PyResult<String> {
        let distribution = self::distribution(distribution)?;
        let made = || self.0.tolerance_stack(what, place, trials, distribution).map(|s| s.to_json());
        py.detach(made).or_raise(py)
    }
}

pub(crate) fn distribution(name: &str) -> PyResult<Distribution> {
    match name {
        "normal" => Ok(Distribution::Normal),
        "rectangular" => Ok(Distribution::Rectangular),
        _ => {
            let message = format!("distribution is {name:?}; write \"normal\" or \"rectangular\"");
            Err(PyValueError::new_err(message))
        }
    }
}

/// The JSON Schema of build documents.
#[pyfunction]
fn build_schema() -> String {
    Build::schema_json()
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_class::<PyBuild>()?;
    m.add_function(wrap_pyfunction!(build_schema, m)?)
}
