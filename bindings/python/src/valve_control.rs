//! Whether the springs hold the valve train to the cam; masses and stiffness of the train.

use crate::errors::OrRaise;
use crate::given::scalar;
use crate::value::{Shown, cam, found, or_zero, read, value_class};
use crate::valve_curve::PyLiftCurve;
use crate::valve_lift::PyLift;
use crate::valve_motion::Driven;
use crate::valve_rocker::PyTrain;
use crate::valve_spring::PySpringSet;
use pyo3::prelude::*;
use swept::units::{Dimensioned, Mass, Ratio};
use swept::valvetrain::spring::{self as core, FloatSpeed, LeastMargin, SpringControl, TrainMasses};

type Any<'py> = Bound<'py, PyAny>;

value_class! {
    /// The moving parts of one valve's train.
    PyTrainMasses(TrainMasses) named "TrainMasses" {
        /// Effective mass at the valve: it has the kinetic energy of all parts at the valve's velocity.
        effective: |m| m.effective();
    }

    /// ``rocker`` is its mass at the tip, see `mass_at_tip`; ``ratio`` is that of valve to lifter. What is not said is not there.
    #[new]
    #[pyo3(signature = (
        *, valve, retainer_and_locks = None, springs = None, rocker = None, lifter_and_pushrod = None, ratio = None
    ))]
    fn new(
        py: Python<'_>,
        valve: &Any<'_>,
        retainer_and_locks: Option<&Any<'_>>,
        springs: Option<&Any<'_>>,
        rocker: Option<&Any<'_>>,
        lifter_and_pushrod: Option<&Any<'_>>,
        ratio: Option<&Any<'_>>,
    ) -> PyResult<Self> {
        read!(valve);
        let mass = |field, given| or_zero::<Mass>(field, given);
        let made = TrainMasses::new(
            valve,
            mass("retainer_and_locks", retainer_and_locks)?,
            mass("springs", springs)?,
            mass("rocker", rocker)?,
            mass("lifter_and_pushrod", lifter_and_pushrod)?,
            ratio.map_or(Ok(Ratio::from_si(1.0)), |given| scalar("ratio", given))?,
        );
        made.or_raise(py).map(Self)
    }
}

/// The mass at a rocker's tip that has its moment of inertia about the pivot, a float in kg m2; the arm is from the pivot to the stem's axis.
#[pyfunction]
#[pyo3(signature = (*, inertia, arm))]
fn mass_at_tip<'py>(py: Python<'py>, inertia: f64, arm: &Any<'py>) -> PyResult<Any<'py>> {
    read!(arm);
    found(py, core::mass_at_tip(inertia, arm))
}

/// How far the valve train gives under a force at the valve: a static estimate.
#[pyfunction]
#[pyo3(signature = (*, force, stiffness))]
fn train_deflection<'py>(py: Python<'py>, force: &Any<'py>, stiffness: &Any<'py>) -> PyResult<Any<'py>> {
    read!(force, stiffness);
    found(py, core::train_deflection(force, stiffness))
}

/// Natural frequency of the valve train as one mass on its stiffness, both at the valve: an estimate.
#[pyfunction]
#[pyo3(signature = (*, stiffness, effective_mass))]
fn train_frequency<'py>(
    py: Python<'py>,
    stiffness: &Any<'py>,
    effective_mass: &Any<'py>,
) -> PyResult<Any<'py>> {
    read!(stiffness, effective_mass);
    found(py, core::train_frequency(stiffness, effective_mass))
}

/// Frequency of the lobe's main event, lift and return as one oscillation, from the duration as an angle of the cam; the speed is the crank's. The
/// natural frequency of the train should stand well above it.
#[pyfunction]
#[pyo3(signature = (*, cam_duration, crank_speed))]
fn event_frequency<'py>(
    py: Python<'py>,
    cam_duration: &Any<'py>,
    crank_speed: &Any<'py>,
) -> PyResult<Any<'py>> {
    read!(crank_speed);
    found(py, SpringControl::event_frequency(cam("cam_duration", cam_duration)?, crank_speed))
}

value_class! {
    /// The speed at which the valve leaves the cam.
    PyFloatSpeed(FloatSpeed) named "FloatSpeed" {
        /// Speed of the crank.
        crank_speed: |f| f.crank;
        /// Where it happens first, angle of the cam from the nose.
        cam_angle: |f| f.angle;
        /// Spring force there, equal to the force needed.
        force: |f| f.force;
    }
}

value_class! {
    /// Where the springs have least left over a turn at a speed; forces at the valve.
    PyLeastMargin(LeastMargin) named "LeastMargin" {
        /// Where, angle of the cam from the nose.
        cam_angle: |m| m.angle;
        /// What the springs push there.
        available: |m| m.forces.available;
        /// What it takes to keep the parts on the cam there.
        needed: |m| m.forces.needed;
        /// What is left between cam and follower there, brought to the valve; below zero they part.
        contact: |m| m.forces.contact;
        /// Spring force less the force needed.
        margin: |m| m.forces.margin();
    }
}

/// Springs that hold an effective mass at the valve to its cam.
///
/// A kinematic estimate of rigid parts: bending, surge of the springs, friction and gas forces, which bring float on earlier or later, are left out.
#[pyclass(frozen, name = "SpringControl", module = "swept")]
#[derive(Clone, PartialEq)]
pub(crate) struct PySpringControl(SpringControl);

#[pymethods]
impl PySpringControl {
    #[new]
    #[pyo3(signature = (springs, *, effective_mass))]
    fn new(py: Python<'_>, springs: &PySpringSet, effective_mass: &Any<'_>) -> PyResult<Self> {
        read!(effective_mass);
        SpringControl::new(springs.0, effective_mass).or_raise(py).map(Self)
    }

    /// The springs.
    #[getter]
    fn springs(&self) -> PySpringSet {
        PySpringSet(*self.0.springs())
    }

    /// The effective mass.
    #[getter]
    fn effective_mass<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.0.mass().shown(py)
    }

    /// What the springs push at a motion of the valve, and what it takes to keep the parts on the cam at a crank speed, zero where the cam itself
    /// pushes; then the margin, and what is left between cam and follower brought to the valve, below zero where they part.
    ///
    /// The motion may be array-valued, as `LiftCurve.at`, `Train.valve` and `ValveMotion.at` give it: forces against the angle.
    #[pyo3(signature = (valve, *, crank_speed))]
    #[allow(clippy::type_complexity)] // four forces
    fn forces<'py>(
        &self,
        py: Python<'py>,
        valve: &PyLift,
        crank_speed: &Any<'py>,
    ) -> PyResult<(Any<'py>, Any<'py>, Any<'py>, Any<'py>)> {
        read!(crank_speed);
        let forces = |lift| self.0.forces(lift, crank_speed);
        Ok((
            valve.figure(py, |lift| Ok(forces(lift)?.available))?,
            valve.figure(py, |lift| Ok(forces(lift)?.needed))?,
            valve.figure(py, |lift| Ok(forces(lift)?.margin()))?,
            valve.figure(py, |lift| Ok(forces(lift)?.contact))?,
        ))
    }

    /// The speed at which the springs no longer hold the valve, moved by a curve over a train and a lash, to the cam.
    #[pyo3(signature = (curve, *, train = None, lash = None))]
    fn float_speed(
        &self,
        py: Python<'_>,
        curve: &PyLiftCurve,
        train: Option<&PyTrain>,
        lash: Option<&Any<'_>>,
    ) -> PyResult<PyFloatSpeed> {
        let driven = Driven::new(py, curve, train, lash)?;
        py.detach(|| self.0.float_speed(|cam| driven.at(cam))).or_raise(py).map(PyFloatSpeed)
    }

    /// Where the springs have least left over a turn at a crank speed, the valve moved by a curve over a train and a lash.
    #[pyo3(signature = (curve, *, crank_speed, train = None, lash = None))]
    fn least_margin(
        &self,
        py: Python<'_>,
        curve: &PyLiftCurve,
        crank_speed: &Any<'_>,
        train: Option<&PyTrain>,
        lash: Option<&Any<'_>>,
    ) -> PyResult<PyLeastMargin> {
        read!(crank_speed);
        let driven = Driven::new(py, curve, train, lash)?;
        py.detach(|| self.0.least_margin(|cam| driven.at(cam), crank_speed)).or_raise(py).map(PyLeastMargin)
    }

    fn __repr__(&self, py: Python<'_>) -> PyResult<String> {
        let (springs, mass) = (self.springs().written(py)?, self.0.mass().written(py)?);
        Ok(format!("SpringControl({springs}, effective_mass={mass})"))
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.0 == other.0
    }
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_class::<PyTrainMasses>()?;
    m.add_class::<PyFloatSpeed>()?;
    m.add_class::<PyLeastMargin>()?;
    m.add_class::<PySpringControl>()?;
    m.add_function(wrap_pyfunction!(mass_at_tip, m)?)?;
    m.add_function(wrap_pyfunction!(train_deflection, m)?)?;
    m.add_function(wrap_pyfunction!(train_frequency, m)?)?;
    m.add_function(wrap_pyfunction!(event_frequency, m)?)
}
