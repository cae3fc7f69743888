//! Rocker arms, the train from lifter to valve, lash.

use crate::errors::OrRaise;
use crate::given::{scalar, values_of};
use crate::shown::shaped_of;
use crate::value::{Shown, found, or_zero, read, value_class};
use crate::valve_lift::PyLift;
use pyo3::prelude::*;
use swept::units::{Dimension, Dimensioned, Length};
use swept::valvetrain::rocker::{
    self as core, LifterSeat, Rocker, RockerArm, Sweep, Train, TrainDerivatives, TrainGrowths,
};

type Any<'py> = Bound<'py, PyAny>;

value_class! {
    /// A rocker arm, the part: two arms about a pivot.
    PyRockerArm(RockerArm) named "RockerArm" {
        /// Distance of the pivot to the centre of the pad's arc or of the roller.
        tip_arm: |a| a.tip_arm();
        /// Radius of the pad or of the roller.
        tip_radius: |a| a.tip_radius();
        /// Distance of the pivot to the centre of the pushrod's cup.
        cup_arm: |a| a.cup_arm();
        /// Angle of the rocker from the tip's arm over the top to the cup's arm; 180 deg in line.
        included: |a| a.included();
    }

    #[new]
    #[pyo3(signature = (*, tip_arm, tip_radius, cup_arm, included))]
    fn new(
        py: Python<'_>,
        tip_arm: &Any<'_>,
        tip_radius: &Any<'_>,
        cup_arm: &Any<'_>,
        included: &Any<'_>,
    ) -> PyResult<Self> {
        read!(tip_arm, tip_radius, cup_arm, included);
        RockerArm::new(tip_arm, tip_radius, cup_arm, included).or_raise(py).map(Self)
    }
}

value_class! {
    /// The lower end of the pushrod with the lifter on the base circle, and the way it goes.
    PyLifterSeat(LifterSeat) named "LifterSeat" {
        /// Place beside the pivot, negative away from the valve.
        x: |s| s.x();
        /// Place above the tip plane of the seated stem, negative below it.
        y: |s| s.y();
        /// Lean of the lifter's axis from the valve's, towards the valve as it rises.
        lean: |s| s.lean();
    }

    #[new]
    #[pyo3(signature = (*, x, y, lean = None))]
    fn new(py: Python<'_>, x: &Any<'_>, y: &Any<'_>, lean: Option<&Any<'_>>) -> PyResult<Self> {
        read!(x, y);
        LifterSeat::new(x, y, or_zero("lean", lean)?).or_raise(py).map(Self)
    }
}

value_class! {
    /// Where the tip touches the stem from the seat to a lift; places are from the stem's axis, positive away from the pivot.
    PySweep(Sweep) named "Sweep" {
        /// Valve seated.
        seated: |s| s.seated;
        /// At the lift.
        open: |s| s.open;
        /// Nearest to the pivot.
        inner: |s| s.inner;
        /// Farthest from the pivot.
        outer: |s| s.outer;
    }

    /// How wide the contact wanders.
    #[getter]
    fn width<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.0.width().shown(py)
    }

    /// Middle of the sweep, from the stem's axis.
    #[getter]
    fn middle<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.0.middle().shown(py)
    }
}

value_class! {
    /// Derivatives of the valve's lift by the lifter's, floats.
    PyTrainDerivatives(TrainDerivatives) named "TrainDerivatives" {
        /// The ratio of valve to lifter.
        first: |d| d.first;
        /// Second derivative, per metre.
        second: |d| d.second;
        /// Third derivative, per metre squared.
        third: |d| d.third;
    }
}

/// A length of each of several, in the shape they came in.
fn each_length<'py>(
    field: &str,
    given: &Any<'py>,
    f: impl Fn(Length) -> swept::Result<Length> + Sync,
) -> PyResult<Any<'py>> {
    shaped_of(given.py(), values_of(field, Dimension::Length, given)?, |si| f(Length::from_si(si)))
}

value_class! {
    /// A rocker arm in place, without lash: the tip touches the seated stem, and the pushrod fills the gap between cup and lifter.
    PyRocker(Rocker) named "Rocker" {
        /// The part.
        arm: |r| PyRockerArm(*r.arm());
        /// Distance of the stem's axis from the pivot.
        stem: |r| r.stem();
        /// Height of the pivot above the tip plane of the seated stem, negative below it.
        height: |r| r.height();
        /// The lower end of the pushrod.
        lifter: |r| PyLifterSeat(*r.lifter());
    }

    #[new]
    #[pyo3(signature = (arm, *, stem, height, lifter))]
    fn new(
        py: Python<'_>,
        arm: &PyRockerArm,
        stem: &Any<'_>,
        height: &Any<'_>,
        lifter: &PyLifterSeat,
    ) -> PyResult<Self> {
        read!(stem, height);
        Rocker::new(arm.0, stem, height, lifter.0).or_raise(py).map(Self)
    }

    /// Length of the pushrod between the centres of its ends, without lash.
    #[getter]
    fn pushrod_length<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.0.pushrod_length().shown(py)
    }

    /// Angle of the tip's arm above the square to the valve's axis with the valve seated.
    #[getter]
    fn tip_angle<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.0.tip_angle().shown(py)
    }

    /// The same with another height of the pivot.
    fn with_height(&self, py: Python<'_>, height: &Any<'_>) -> PyResult<Self> {
        read!(height);
        self.0.with_height(height).or_raise(py).map(Self)
    }

    /// The same with a pushrod of another length, its pivot set along its stud until the lash is gone.
    fn with_pushrod(&self, py: Python<'_>, length: &Any<'_>) -> PyResult<Self> {
        read!(length);
        py.detach(|| self.0.with_pushrod(length)).or_raise(py).map(Self)
    }

    /// The same with the pushrod at which the contact wanders least over the stem tip, for a lift of the lifter.
    fn least_sweep(&self, py: Python<'_>, lifter: &Any<'_>) -> PyResult<Self> {
        read!(lifter);
        py.detach(|| self.0.least_sweep(lifter)).or_raise(py).map(Self)
    }

    /// The same with the pushrod at which the middle of the sweep is on the stem's axis, for a lift of the lifter.
    fn centred(&self, py: Python<'_>, lifter: &Any<'_>) -> PyResult<Self> {
        read!(lifter);
        py.detach(|| self.0.centred(lifter)).or_raise(py).map(Self)
    }

    /// How far the rocker has turned the opening way at a lift of the lifter, which may be array-valued.
    fn turned<'py>(&self, lifter: &Any<'py>) -> PyResult<Any<'py>> {
        let lifts = values_of("lifter", Dimension::Length, lifter)?;
        shaped_of(lifter.py(), lifts, |si| self.0.turned(Length::from_si(si)))
    }

    /// Lift of the valve at a lift of the lifter, which may be array-valued.
    fn valve_lift<'py>(&self, lifter: &Any<'py>) -> PyResult<Any<'py>> {
        each_length("lifter", lifter, |l| self.0.valve_lift(l))
    }

    /// Lift of the lifter that gives a lift of the valve, which may be array-valued.
    fn lifter_lift<'py>(&self, valve: &Any<'py>) -> PyResult<Any<'py>> {
        each_length("valve", valve, |v| self.0.lifter_lift(v))
    }

    /// The ratio at a lift of the lifter, and the next two derivatives.
    fn derivatives(&self, py: Python<'_>, lifter: &Any<'_>) -> PyResult<PyTrainDerivatives> {
        read!(lifter);
        self.0.derivatives(lifter).or_raise(py).map(PyTrainDerivatives)
    }

    /// Place of the contact on the stem tip at a lift of the valve, which may be array-valued: from the stem's axis, positive away from the pivot.
    fn contact<'py>(&self, valve: &Any<'py>) -> PyResult<Any<'py>> {
        each_length("valve", valve, |v| self.0.contact(v))
    }

    /// Where the contact wanders over the stem tip from the seat to a lift of the valve.
    fn sweep(&self, py: Python<'_>, valve: &Any<'_>) -> PyResult<PySweep> {
        read!(valve);
        self.0.sweep(valve).or_raise(py).map(PySweep)
    }
}

/// How the valve follows the lifter: directly, by a fixed ratio, or over a rocker.
#[pyclass(frozen, name = "Train", module = "swept")]
#[derive(Clone, PartialEq)]
pub(crate) struct PyTrain(pub(crate) Train);

#[pymethods]
impl PyTrain {
    /// The lifter moves the valve itself.
    #[staticmethod]
    fn direct() -> Self {
        Self(Train::direct())
    }

    /// A rocker of one ratio at every lift, valve to lifter.
    #[staticmethod]
    fn ratio(py: Python<'_>, ratio: &Any<'_>) -> PyResult<Self> {
        read!(ratio);
        Train::ratio(ratio).or_raise(py).map(Self)
    }

    /// A rocker of real geometry.
    #[staticmethod]
    fn over(rocker: &PyRocker) -> Self {
        Self(Train::over(rocker.0))
    }

    /// The rocker, where the train has one of real geometry.
    #[getter]
    fn rocker(&self) -> Option<PyRocker> {
        self.0.rocker().copied().map(PyRocker)
    }

    /// Lift of the valve without lash at a lift of the lifter, which may be array-valued.
    fn valve_lift<'py>(&self, lifter: &Any<'py>) -> PyResult<Any<'py>> {
        each_length("lifter", lifter, |l| self.0.valve_lift(l))
    }

    /// Lift of the lifter at a lift of the valve without lash, which may be array-valued.
    fn lifter_lift<'py>(&self, valve: &Any<'py>) -> PyResult<Any<'py>> {
        each_length("valve", valve, |v| self.0.lifter_lift(v))
    }

    /// The ratio at a lift of the lifter, and the next two derivatives.
    fn derivatives(&self, py: Python<'_>, lifter: &Any<'_>) -> PyResult<PyTrainDerivatives> {
        read!(lifter);
        self.0.derivatives(lifter).or_raise(py).map(PyTrainDerivatives)
    }

    /// The motion of the valve from that of the lifter; with a lash at the valve the lift less the lash, nothing until it is taken up.
    #[pyo3(signature = (lifter, *, lash = None))]
    fn valve(&self, py: Python<'_>, lifter: &PyLift, lash: Option<&Any<'_>>) -> PyResult<PyLift> {
        let lash: Option<Length> = lash.map(|given| scalar("lash", given)).transpose()?;
        lifter.mapped(py, |lift| match lash {
            None => self.0.valve(lift),
            Some(lash) => self.0.valve_with_lash(lift, lash),
        })
    }

    fn __repr__(&self, py: Python<'_>) -> PyResult<String> {
        if let Some(rocker) = self.rocker() {
            return Ok(format!("Train.over({})", rocker.written(py)?));
        }
        let ratio = self.0.derivatives(Length::from_si(0.0)).or_raise(py)?.first;
        Ok(if self.0 == Train::direct() { "Train.direct()".into() } else { format!("Train.ratio({ratio})") })
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.0 == other.0
    }
}

/// Lash at the valve when hot, from the cold lash, the rocker's ratio on the base circle and how much the parts grow, each a length; below zero the
/// valve is held off its seat by so much.
///
/// ``engine``: block, gasket and head from the cam to the rocker's pivot; ``pushrod``: lifter and pushrod together; ``head``: from the valve's seat to
/// the pivot; ``valve``: from its seat to the stem tip. What is not said does not grow.
#[pyfunction]
#[pyo3(signature = (*, cold, ratio, engine = None, pushrod = None, head = None, valve = None))]
fn hot_lash<'py>(
    py: Python<'py>,
    cold: &Any<'py>,
    ratio: &Any<'py>,
    engine: Option<&Any<'py>>,
    pushrod: Option<&Any<'py>>,
    head: Option<&Any<'py>>,
    valve: Option<&Any<'py>>,
) -> PyResult<Any<'py>> {
    read!(cold, ratio);
    let growths = TrainGrowths {
        engine: or_zero("engine", engine)?,
        pushrod: or_zero("pushrod", pushrod)?,
        head: or_zero("head", head)?,
        valve: or_zero("valve", valve)?,
    };
    found(py, core::hot_lash(cold, ratio, growths))
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_class::<PyRockerArm>()?;
    m.add_class::<PyLifterSeat>()?;
    m.add_class::<PySweep>()?;
    m.add_class::<PyTrainDerivatives>()?;
    m.add_class::<PyRocker>()?;
    m.add_class::<PyTrain>()?;
    m.add_function(wrap_pyfunction!(hot_lash, m)?)
}
