//! Unbalances in planes along the shaft: static part, couple and pair; what may remain at bearings and in planes.

use crate::errors::OrRaise;
use crate::given::scalar;
use crate::records::{each, parts};
use crate::shown::{quantity, text};
use crate::unbalance::{PyUnbalanceVector, vector};
use pyo3::prelude::*;
use swept::balance::unbalance::{self as core, BearingAllocation, PlacedUnbalance, RotorUnbalance};

type Any<'py> = Bound<'py, PyAny>;
type Pair = (PyUnbalanceVector, PyUnbalanceVector);

fn pair([first, second]: [PlacedUnbalance; 2]) -> Pair {
    (PyUnbalanceVector(first.vector()), PyUnbalanceVector(second.vector()))
}

/// Tuples of an `UnbalanceVector` and its position.
fn placed(field: &str, given: &Any<'_>) -> PyResult<Vec<PlacedUnbalance>> {
    each(field, given, |name, item| {
        let [here, position] = parts(name, item, "a tuple of an UnbalanceVector and its position")?;
        let position = scalar(&format!("{name} position"), &position)?;
        PlacedUnbalance::new(vector(name, &here)?, position).or_raise(item.py())
    })
}

/// The unbalance of a rigid rotor: the resultant of vectors in any number of planes, and their moment about a centre, best the centre of mass.
///
/// Each of the vectors is a tuple of an `UnbalanceVector` and its position along the shaft.
#[pyclass(frozen, name = "RotorUnbalance", module = "swept")]
pub(crate) struct PyRotorUnbalance(RotorUnbalance);

#[pymethods]
impl PyRotorUnbalance {
    #[new]
    #[pyo3(signature = (vectors, *, centre))]
    fn new(py: Python<'_>, vectors: &Any<'_>, centre: &Any<'_>) -> PyResult<Self> {
        RotorUnbalance::new(&placed("vectors", vectors)?, scalar("centre", centre)?).or_raise(py).map(Self)
    }

    /// The static part: the resultant, in the plane of the centre.
    #[getter]
    fn static_part(&self) -> PyUnbalanceVector {
        PyUnbalanceVector(self.0.static_part())
    }

    /// The centre that the parts refer to.
    #[getter]
    fn centre<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.0.centre())
    }

    /// The couple part as a pair of opposite vectors in planes at two positions.
    #[pyo3(signature = (*, first, second))]
    fn couple_in(&self, py: Python<'_>, first: &Any<'_>, second: &Any<'_>) -> PyResult<Pair> {
        Ok(pair(self.0.couple_in(scalar("first", first)?, scalar("second", second)?).or_raise(py)?))
    }

    /// All of it as a pair of vectors in planes at two positions, the dynamic unbalance.
    #[pyo3(signature = (*, first, second))]
    fn dynamic_in(&self, py: Python<'_>, first: &Any<'_>, second: &Any<'_>) -> PyResult<Pair> {
        Ok(pair(self.0.dynamic_in(scalar("first", first)?, scalar("second", second)?).or_raise(py)?))
    }

    fn __repr__(&self, py: Python<'_>) -> PyResult<String> {
        let whole = self.0.static_part();
        let (amount, angle) = (text(py, whole.amount())?, text(py, whole.angle())?);
        Ok(format!("<RotorUnbalance: {amount} heavy at {angle}, about {}>", text(py, self.0.centre())?))
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.0 == other.0
    }
}

/// The two vectors, in planes at the positions ``first`` and ``second``, that act as all the vectors together.
///
/// Each of the vectors is a tuple of an `UnbalanceVector` and its position along the shaft.
#[pyfunction]
#[pyo3(signature = (vectors, *, first, second))]
fn to_planes(py: Python<'_>, vectors: &Any<'_>, first: &Any<'_>, second: &Any<'_>) -> PyResult<Pair> {
    let (first, second) = (scalar("first", first)?, scalar("second", second)?);
    Ok(pair(core::to_planes(&placed("vectors", vectors)?, first, second).or_raise(py)?))
}

/// The weights to add in planes at the positions ``first`` and ``second``, heavy where to add, against the unbalance that a balancing machine shows, heavy at
/// its angle, in two or more planes.
///
/// Each of ``found`` is a tuple of an `UnbalanceVector` and its position along the shaft.
#[pyfunction]
#[pyo3(signature = (found, *, first, second))]
fn correction_of_unbalance(
    py: Python<'_>,
    found: &Any<'_>,
    first: &Any<'_>,
    second: &Any<'_>,
) -> PyResult<Pair> {
    let (first, second) = (scalar("first", first)?, scalar("second", second)?);
    let correction =
        swept::balance::influence::correction_of_unbalance(&placed("found", found)?, first, second);
    Ok(pair(correction.or_raise(py)?))
}

/// The permissible residual unbalance shared out to the planes of two bearings with the centre of mass between them: that of the first, that of
/// the second, and whether the shares were beyond 0.3 to 0.7 and were brought back to that.
#[pyfunction]
#[pyo3(signature = (*, permissible, centre_to_first, centre_to_second))]
fn allocate_to_bearings<'py>(
    py: Python<'py>,
    permissible: &Any<'py>,
    centre_to_first: &Any<'py>,
    centre_to_second: &Any<'py>,
) -> PyResult<(Any<'py>, Any<'py>, bool)> {
    let shared = core::allocate_to_bearings(
        scalar("permissible", permissible)?,
        scalar("centre_to_first", centre_to_first)?,
        scalar("centre_to_second", centre_to_second)?,
    );
    let shared = shared.or_raise(py)?;
    Ok((quantity(py, shared.a)?, quantity(py, shared.b)?, shared.limited))
}

/// What may remain in two correction planes, each a position, so that neither bearing's allowance is passed at whatever angles.
///
/// ``allowed`` and ``bearings`` are tuples for the two bearings, ``planes`` one for the two planes, the first that nearer to the first bearing.
#[pyfunction]
#[pyo3(signature = (*, allowed, bearings, planes))]
fn allocate_to_planes<'py>(
    py: Python<'py>,
    allowed: &Any<'py>,
    bearings: &Any<'py>,
    planes: &Any<'py>,
) -> PyResult<(Any<'py>, Any<'py>)> {
    let [a, b] = parts("allowed", allowed, "a tuple of two unbalances")?;
    let allowed =
        BearingAllocation { a: scalar("allowed[0]", &a)?, b: scalar("allowed[1]", &b)?, limited: false };
    let places = |name: &str, given: &Any<'py>| -> PyResult<_> {
        let [a, b] = parts(name, given, "a tuple of two positions")?;
        Ok([scalar(&format!("{name}[0]"), &a)?, scalar(&format!("{name}[1]"), &b)?])
    };
    let (bearings, planes) = (places("bearings", bearings)?, places("planes", planes)?);
    let [first, second] = core::allocate_to_planes(allowed, bearings, planes).or_raise(py)?;
    Ok((quantity(py, first)?, quantity(py, second)?))
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_class::<PyRotorUnbalance>()?;
    m.add_function(wrap_pyfunction!(to_planes, m)?)?;
    m.add_function(wrap_pyfunction!(correction_of_unbalance, m)?)?;
    m.add_function(wrap_pyfunction!(allocate_to_bearings, m)?)?;
    m.add_function(wrap_pyfunction!(allocate_to_planes, m)?)
}
