//! Which part goes to which place, on plain numbers: the tables fix the units.

use crate::errors::OrRaise;
use pyo3::buffer::PyBuffer;
use pyo3::exceptions::{PyTypeError, PyValueError};
use pyo3::prelude::*;
use pyo3::types::PyDict;
use swept::clearance::matching::{self as core, DEFAULT_EFFORT, MatchedFigure};

/// An order of the parts, how even it is, and what is proved of it.
#[pyclass(frozen, name = "Matching", module = "swept")]
pub(crate) struct PyMatching(core::Matching);

#[pymethods]
impl PyMatching {
    /// The part of each type at each place, counted from 0: ``assignment[place][type]``.
    #[getter]
    fn assignment(&self) -> Vec<Vec<usize>> {
        self.0.assignment.clone()
    }

    /// The greatest value less the least of each figure.
    #[getter]
    fn spreads(&self) -> Vec<f64> {
        self.0.spreads.clone()
    }

    /// Proved lower bounds of the spreads; equal to them where they are the least.
    #[getter]
    fn bounds(&self) -> Vec<f64> {
        self.0.bounds.clone()
    }

    /// Whether every spread is proved the least.
    #[getter]
    fn proved(&self) -> bool {
        self.0.proved
    }

    /// The spreads with the parts in the order they came.
    #[getter]
    fn delivered(&self) -> Vec<f64> {
        self.0.delivered.clone()
    }

    /// Whether the limits hold with the parts in the order they came.
    #[getter]
    fn delivered_holds(&self) -> bool {
        self.0.delivered_holds
    }

    fn __repr__(&self) -> String {
        format!(
            "Matching(spreads={:?}, bounds={:?}, proved={})",
            self.0.spreads, self.0.bounds, self.0.proved
        )
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.0 == other.0
    }
}

/// Matches parts to places so that every limit holds and the figures are as even as they can be, the first first.
///
/// Each figure is a dict: ``depends``, the types of parts it depends on, from 0; ``values``, an array with an axis for the place and one for each of
/// those types, all of the length ``places``; ``lower`` and ``upper``, where it has limits. ``effort`` is how many nodes the search may take.
#[pyfunction]
#[pyo3(signature = (*, places, types, figures, effort = DEFAULT_EFFORT))]
fn match_parts(
    py: Python<'_>,
    places: usize,
    types: usize,
    figures: Vec<Bound<'_, PyDict>>,
    effort: u64,
) -> PyResult<PyMatching> {
    let read = |(i, figure)| self::figure(i, figure, places, types);
    let figures = figures.iter().enumerate().map(read).collect::<PyResult<Vec<MatchedFigure>>>()?;
    py.detach(|| core::match_parts(places, types, &figures, effort)).or_raise(py).map(PyMatching)
}

fn figure(i: usize, given: &Bound<'_, PyDict>, places: usize, types: usize) -> PyResult<MatchedFigure> {
    let py = given.py();
    let known = ["depends", "values", "lower", "upper"];
    for key in given.keys() {
        let key: String = key.extract()?;
        if !known.contains(&key.as_str()) {
            let message = format!("figures[{i}] has no {key:?}; it has {}", known.join(", "));
            return Err(PyTypeError::new_err(message));
        }
    }
    let needed = |key: &str| {
        let missing = || PyTypeError::new_err(format!("figures[{i}] lacks {key:?}"));
        given.get_item(key)?.ok_or_else(missing)
    };
    let limit =
        |key: &str| given.get_item(key)?.map(|v| v.extract::<Option<f64>>()).transpose().map(Option::flatten);
    let depends: Vec<usize> = needed("depends")?.extract()?;
    let array = py.import("numpy")?.call_method1("ascontiguousarray", (needed("values")?, "float64"))?;
    let shape: Vec<usize> = array.getattr("shape")?.extract()?;
    if shape != vec![places; depends.len() + 1] {
        let message = format!(
            "figures[{i}]: values has the shape {shape:?}; needed is {:?}, the place first, then each type of depends",
            vec![places; depends.len() + 1]
        );
        return Err(PyValueError::new_err(message));
    }
    let values = PyBuffer::<f64>::get(&array)?.to_vec(py)?;
    let at = |place: usize, parts: &[usize]| {
        let index =
            depends.iter().fold(place, |index, t| index * places + parts.get(*t).copied().unwrap_or(0));
        Ok(values.get(index).copied().unwrap_or(f64::NAN))
    };
    MatchedFigure::new(places, types, &depends, (limit("lower")?, limit("upper")?), at).or_raise(py)
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_class::<PyMatching>()?;
    m.add_function(wrap_pyfunction!(match_parts, m)?)
}
