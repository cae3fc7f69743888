//! Distance between the heads of two open valves.

use crate::errors::OrRaise;
use crate::value::{found, read, value_class};
use crate::valve_motion::PyValveMotion;
use crate::valve_pocket::{PyValveHead, grid};
use pyo3::prelude::*;
use swept::valvetrain::pocket::{LeastHeadDistance, ValvePair};

type Any<'py> = Bound<'py, PyAny>;

value_class! {
    /// The least distance between two heads while both valves are open, and where it is.
    PyLeastHeadDistance(LeastHeadDistance) named "LeastHeadDistance" {
        /// The distance between the nearest points found; zero where the heads meet.
        distance: |l| l.least.distance;
        /// What the distance is proved to be at least.
        at_least: |l| l.least.at_least;
        /// The first crank angle looked at that has it, from overlap top dead centre.
        crank_angle: |l| l.crank;
        /// The lift of the first valve there.
        first_lift: |l| l.first_lift;
        /// The lift of the second valve there.
        second_lift: |l| l.second_lift;
    }
}

/// Two valves above one bore; the plane of tilt of the second is turned about the bore axis from that of the first: by 180 deg with the stems in a V.
#[pyclass(frozen, name = "ValvePair", module = "swept")]
#[derive(Clone, PartialEq)]
pub(crate) struct PyValvePair(ValvePair);

#[pymethods]
impl PyValvePair {
    #[new]
    #[pyo3(signature = (first, second, *, turned))]
    fn new(py: Python<'_>, first: &PyValveHead, second: &PyValveHead, turned: &Any<'_>) -> PyResult<Self> {
        read!(turned);
        ValvePair::new(first.0, second.0, turned).or_raise(py).map(Self)
    }

    /// The distance between the heads at two lifts, zero where they meet, and what it is proved to be at least.
    #[pyo3(signature = (*, first_lift, second_lift))]
    fn distance<'py>(
        &self,
        py: Python<'py>,
        first_lift: &Any<'py>,
        second_lift: &Any<'py>,
    ) -> PyResult<Any<'py>> {
        read!(first_lift, second_lift);
        found(py, self.0.distance(first_lift, second_lift).map(|d| (d.distance, d.at_least)))
    }

    /// The least distance over a turn of the crank about overlap top dead centre, in ``per_turn`` equal steps, of the angles at which both valves are open;
    /// None without such an angle.
    #[pyo3(signature = (*, first, second, per_turn = 3600))]
    fn least(
        &self,
        py: Python<'_>,
        first: &PyValveMotion,
        second: &PyValveMotion,
        per_turn: i64,
    ) -> PyResult<Option<PyLeastHeadDistance>> {
        let grid = grid(py, per_turn)?;
        let least = py.detach(|| self.0.least(grid, &first.of_core()?, &second.of_core()?)).or_raise(py)?;
        Ok(least.map(PyLeastHeadDistance))
    }

    fn __repr__(&self) -> &'static str {
        "<ValvePair>"
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.0 == other.0
    }
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_class::<PyLeastHeadDistance>()?;
    m.add_class::<PyValvePair>()
}
