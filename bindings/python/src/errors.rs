//! The core's errors as the classes of `swept.errors`.

use pyo3::prelude::*;
use pyo3::types::PyDict;
use swept::{Error, ErrorKind};

/// Name and frozen code of every kind, for the parity test.
pub(crate) fn kinds() -> Vec<(&'static str, i32)> {
    ErrorKind::ALL.iter().map(|kind| (kind.name(), kind.code())).collect()
}

/// Turns a result of the core into one of Python.
pub(crate) trait OrRaise<T> {
    /// The value, or the Python exception of the error's kind.
    fn or_raise(self, py: Python<'_>) -> PyResult<T>;
}

impl<T> OrRaise<T> for swept::Result<T> {
    fn or_raise(self, py: Python<'_>) -> PyResult<T> {
        self.map_err(|error| exception(py, &error, error.to_string()))
    }
}

/// The Python exception of an error, with a message of its own.
pub(crate) fn exception(py: Python<'_>, error: &Error, message: String) -> PyErr {
    build(py, error, message).unwrap_or_else(|failed| failed)
}

fn build(py: Python<'_>, error: &Error, message: String) -> PyResult<PyErr> {
    let kind = error.kind();
    let class = py.import("swept.errors")?.getattr(kind.name())?;
    let facts = PyDict::new(py);
    facts.set_item("field", error.field())?;
    facts.set_item("value", error.value())?;
    facts.set_item("allowed", error.allowed())?;
    facts.set_item("line", error.line())?;
    Ok(PyErr::from_value(class.call((message,), Some(&facts))?))
}
