//! Parts of samples that a function of Python's has answered.

use crate::study::asked;
use pyo3::prelude::*;
use pyo3::types::PyString;
use std::sync::{Mutex, PoisonError};
use swept::Error;
use swept::study::{Farm, Workers};

type Any<'py> = Bound<'py, PyAny>;

/// Calls a function of Python's with the request and how many parts there are, and iterates over the answers.
struct PyFarm {
    function: Py<PyAny>,
    /// What it raised.
    raised: Mutex<Option<PyErr>>,
}

impl PyFarm {
    /// Takes all answers; what Python raises, apart from what was refused.
    fn all(
        &self,
        py: Python<'_>,
        (request, parts): (&str, u64),
        take: &mut dyn FnMut(&str) -> swept::Result<()>,
    ) -> PyResult<swept::Result<()>> {
        for answer in self.function.bind(py).call1((request, parts))?.try_iter()? {
            let answer = answer?.cast_into::<PyString>()?;
            if let Err(refused) = take(answer.to_str()?) {
                return Ok(Err(refused));
            }
        }
        Ok(Ok(()))
    }
}

impl Farm for PyFarm {
    fn farm(
        &self,
        request: &str,
        parts: u64,
        take: &mut dyn FnMut(&str) -> swept::Result<()>,
    ) -> swept::Result<()> {
        Python::attach(|py| self.all(py, (request, parts), take)).unwrap_or_else(|raised| {
            *self.raised.lock().unwrap_or_else(PoisonError::into_inner) = Some(raised);
            Err(Error::Stopped { done: 0.0 })
        })
    }
}

/// Asks a question whose parts a function of Python's has answered; what it raises is raised.
pub(crate) fn farmed<T: Send>(
    function: &Any<'_>,
    question: impl FnOnce(&dyn Farm, &Workers<'_>) -> swept::Result<T> + Send,
) -> PyResult<T> {
    let farm = PyFarm { function: function.clone().unbind(), raised: Mutex::new(None) };
    let found = asked(function.py(), 0, &|_, _| Ok(()), |workers| question(&farm, workers));
    match farm.raised.into_inner().unwrap_or_else(PoisonError::into_inner) {
        Some(raised) => Err(raised),
        None => found,
    }
}
