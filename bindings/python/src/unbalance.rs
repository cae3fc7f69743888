//! Unbalance vectors, planes, and balance quality grades.

use crate::errors::OrRaise;
use crate::given::{positive, scalar};
use crate::shown::{exact, quantity, text};
use pyo3::exceptions::PyTypeError;
use pyo3::prelude::*;
use pyo3::types::PyDict;
use swept::balance::unbalance::{BalanceGrade, UnbalanceVector};

type Any<'py> = Bound<'py, PyAny>;

/// An unbalance in one plane across the shaft: how much, and at which angle the rotor is heavy.
///
/// Angles are counted on the rotor from its mark, positive in running direction. Vectors in one plane add up with ``+``.
#[pyclass(frozen, name = "UnbalanceVector", module = "swept")]
pub(crate) struct PyUnbalanceVector(pub(crate) UnbalanceVector);

/// The vector that was given.
pub(crate) fn vector(field: &str, given: &Any<'_>) -> PyResult<UnbalanceVector> {
    match given.cast::<PyUnbalanceVector>() {
        Ok(vector) => Ok(vector.get().0),
        Err(_) => Err(PyTypeError::new_err(format!("{field} must be an UnbalanceVector"))),
    }
}

#[pymethods]
impl PyUnbalanceVector {
    #[new]
    #[pyo3(signature = (*, amount, heavy_at))]
    fn new(py: Python<'_>, amount: &Any<'_>, heavy_at: &Any<'_>) -> PyResult<Self> {
        let (amount, angle) = (scalar("amount", amount)?, scalar("heavy_at", heavy_at)?);
        UnbalanceVector::heavy_at(amount, angle).or_raise(py).map(Self)
    }

    /// A mass at a radius, heavy at an angle.
    #[staticmethod]
    #[pyo3(signature = (*, mass, radius, angle))]
    fn from_mass(py: Python<'_>, mass: &Any<'_>, radius: &Any<'_>, angle: &Any<'_>) -> PyResult<Self> {
        let (mass, radius) = (scalar("mass", mass)?, scalar("radius", radius)?);
        UnbalanceVector::from_mass(mass, radius, scalar("angle", angle)?).or_raise(py).map(Self)
    }

    /// How much.
    #[getter]
    fn amount<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.0.amount())
    }

    /// The angle at which it is heavy, from 0 to below 360 deg.
    #[getter]
    fn heavy_at<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.0.angle())
    }

    /// The angle at which weight is added to correct it: opposite the heavy spot.
    #[getter]
    fn add_at<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.0.add_at())
    }

    /// The angle at which weight is taken off to correct it: at the heavy spot.
    #[getter]
    fn remove_at<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.0.remove_at())
    }

    /// The opposite vector: what a correction weight must bring, heavy where weight is added.
    fn opposite(&self) -> Self {
        Self(self.0.opposite())
    }

    fn __add__(&self, py: Python<'_>, other: &Self) -> PyResult<Self> {
        UnbalanceVector::sum(&[self.0, other.0]).or_raise(py).map(Self)
    }

    fn __repr__(&self, py: Python<'_>) -> PyResult<String> {
        let (amount, angle) = (text(py, self.0.amount())?, text(py, self.0.angle())?);
        Ok(format!("UnbalanceVector(amount=\"{amount}\", heavy_at=\"{angle}\")"))
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.0 == other.0
    }

    fn __getnewargs_ex__<'py>(&self, py: Python<'py>) -> PyResult<((), Bound<'py, PyDict>)> {
        let named = PyDict::new(py);
        named.set_item("amount", exact(self.0.amount()))?;
        named.set_item("heavy_at", exact(self.0.angle()))?;
        Ok(((), named))
    }
}

/// A balance quality grade of ISO 21940-11, such as "G 6.3": the speed in mm/s of the centre of mass about the shaft's axis that may remain.
#[pyclass(frozen, name = "BalanceGrade", module = "swept")]
pub(crate) struct PyBalanceGrade(BalanceGrade);

#[pymethods]
impl PyBalanceGrade {
    #[new]
    fn new(py: Python<'_>, text: &str) -> PyResult<Self> {
        BalanceGrade::parse(text).map_err(|e| e.at(None, "text")).or_raise(py).map(Self)
    }

    /// The finest grade that a residual unbalance meets; None where it is coarser than all.
    #[staticmethod]
    #[pyo3(signature = (*, residual, mass, speed))]
    fn met_by(py: Python<'_>, residual: &Any<'_>, mass: &Any<'_>, speed: &Any<'_>) -> PyResult<Option<Self>> {
        let (residual, mass) = (scalar("residual", residual)?, positive("mass", mass)?);
        let met = BalanceGrade::met_by(residual, mass, positive("speed", speed)?).or_raise(py)?;
        Ok(met.map(Self))
    }

    /// Permissible residual unbalance of the whole rotor at its highest service speed.
    #[pyo3(signature = (*, mass, speed))]
    fn permissible<'py>(&self, py: Python<'py>, mass: &Any<'py>, speed: &Any<'py>) -> PyResult<Any<'py>> {
        let (mass, speed) = (positive("mass", mass)?, positive("speed", speed)?);
        quantity(py, self.0.permissible(mass, speed).or_raise(py)?)
    }

    /// Permissible distance of the centre of mass from the shaft's axis.
    fn permissible_eccentricity<'py>(&self, py: Python<'py>, speed: &Any<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.0.permissible_eccentricity(positive("speed", speed)?).or_raise(py)?)
    }

    fn __str__(&self) -> String {
        self.0.to_string()
    }

    fn __repr__(&self) -> String {
        format!("BalanceGrade(\"{}\")", self.0)
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.0 == other.0
    }

    fn __getnewargs__(&self) -> (String,) {
        (self.0.to_string(),)
    }
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_class::<PyUnbalanceVector>()?;
    m.add_class::<PyBalanceGrade>()
}
