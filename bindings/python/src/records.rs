//! Lists, tuples and dicts that Python passes in: known keys only, each figure read by the name of its place.

use crate::given::{list, scalar};
use pyo3::exceptions::PyTypeError;
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyString};
use swept::units::Dimensioned;

type Any<'py> = Bound<'py, PyAny>;

/// Reads every item of a list, each with its name such as "sites\[0\]".
pub(crate) fn each<'py, T>(
    field: &str,
    given: &Any<'py>,
    read: impl Fn(&str, &Any<'py>) -> PyResult<T>,
) -> PyResult<Vec<T>> {
    let refused = || PyTypeError::new_err(format!("{field} must be a list"));
    if given.is_instance_of::<PyString>() || given.is_instance_of::<PyDict>() {
        return Err(refused());
    }
    let items = given.try_iter().map_err(|_| refused())?.enumerate();
    items.map(|(i, item)| read(&format!("{field}[{i}]"), &item?)).collect()
}

/// The parts of a tuple; `what` says what it holds.
pub(crate) fn parts<'py, const N: usize>(
    field: &str,
    given: &Any<'py>,
    what: &str,
) -> PyResult<[Any<'py>; N]> {
    let refused = || PyTypeError::new_err(format!("{field} must be {what}"));
    if given.is_instance_of::<PyString>() {
        return Err(refused());
    }
    let items = given.try_iter().map_err(|_| refused())?;
    items.collect::<PyResult<Vec<_>>>()?.try_into().map_err(|_| refused())
}

/// A dict with its name.
pub(crate) struct Record<'py> {
    name: String,
    dict: Bound<'py, PyDict>,
}

impl<'py> Record<'py> {
    /// A dict that has no other keys than these; None stands for a key left out.
    pub(crate) fn new(name: &str, given: &Any<'py>, known: &[&str]) -> PyResult<Self> {
        let dict = given.cast::<PyDict>().map_err(|_| {
            PyTypeError::new_err(format!("{name} must be a dict with the keys {}", known.join(", ")))
        })?;
        for key in dict.keys() {
            let key = key.str()?.to_string();
            if !known.contains(&key.as_str()) {
                let message = format!("{name} has no {key:?}; it has {}", known.join(", "));
                return Err(PyTypeError::new_err(message));
            }
        }
        Ok(Self { name: name.into(), dict: dict.clone() })
    }

    /// What stands under a key, if anything does.
    pub(crate) fn get(&self, key: &str) -> PyResult<Option<Any<'py>>> {
        Ok(self.dict.get_item(key)?.filter(|value| !value.is_none()))
    }

    /// What stands under a key, or an error.
    pub(crate) fn needed(&self, key: &str) -> PyResult<Any<'py>> {
        self.get(key)?.ok_or_else(|| PyTypeError::new_err(format!("{} lacks {key:?}", self.name)))
    }

    /// The name of a key's place.
    pub(crate) fn place(&self, key: &str) -> String {
        format!("{}.{key}", self.name)
    }

    /// An error that says what a key must be.
    pub(crate) fn wrong(&self, key: &str, what: &str) -> PyErr {
        PyTypeError::new_err(format!("{} must be {what}", self.place(key)))
    }

    /// A quantity.
    pub(crate) fn scalar<Q: Dimensioned>(&self, key: &str) -> PyResult<Q> {
        scalar(&self.place(key), &self.needed(key)?)
    }

    /// A quantity, if there is one.
    pub(crate) fn maybe<Q: Dimensioned>(&self, key: &str) -> PyResult<Option<Q>> {
        self.get(key)?.map(|value| scalar(&self.place(key), &value)).transpose()
    }

    /// A list of quantities.
    pub(crate) fn list<Q: Dimensioned>(&self, key: &str) -> PyResult<Vec<Q>> {
        list(&self.place(key), &self.needed(key)?)
    }

    /// A text.
    pub(crate) fn text(&self, key: &str) -> PyResult<String> {
        self.needed(key)?.extract().map_err(|_| self.wrong(key, "a text"))
    }

    /// A density, a float in kg/m3.
    pub(crate) fn density(&self, key: &str) -> PyResult<f64> {
        self.needed(key)?.extract().map_err(|_| self.wrong(key, "a number, kg/m3"))
    }

    /// True or false; false where nothing is said.
    pub(crate) fn flag(&self, key: &str) -> PyResult<bool> {
        self.get(key)?
            .map_or(Ok(false), |value| value.extract().map_err(|_| self.wrong(key, "True or False")))
    }
}
