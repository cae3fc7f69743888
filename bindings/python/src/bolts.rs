//! Threads, bolts and bolted joints: figures of a formula, not a tightening instruction.

use crate::errors::OrRaise;
use crate::given::{list, positive, scalar};
use crate::shown::{exact, quantity, text};
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyTuple};
use swept::Error;
use swept::clearance::{self as core, BoltFriction, PropertyClass, ShankStep, Thread};
use swept::units::{Area, Dimensioned, Force, Length, Ratio};

type Any<'py> = Bound<'py, PyAny>;

/// A screw thread: "M10" (coarse), "M10x1.25" (mm) or "7/16-20" (inch and threads per inch).
#[pyclass(frozen, name = "Thread", module = "swept")]
pub(crate) struct PyThread(Thread);

impl PyThread {
    /// The name of the static method that makes it.
    fn maker(&self) -> &'static str {
        let metric = Thread::metric(self.0.diameter(), self.0.pitch());
        if metric.is_ok_and(|metric| metric == self.0) { "metric" } else { "unified" }
    }
}

fn friction(thread: &Any<'_>, head: &Any<'_>, diameter: &Any<'_>) -> PyResult<BoltFriction> {
    let (in_thread, under_head) = (scalar("thread_friction", thread)?, scalar("head_friction", head)?);
    BoltFriction::new(in_thread, under_head, positive("head_diameter", diameter)?).or_raise(thread.py())
}

#[pymethods]
impl PyThread {
    #[new]
    fn new(py: Python<'_>, text: &str) -> PyResult<Self> {
        Thread::parse(text).map_err(|e| e.at(None, "text")).or_raise(py).map(Self)
    }

    /// A metric thread of a nominal diameter and pitch.
    #[staticmethod]
    #[pyo3(signature = (*, diameter, pitch))]
    fn metric(py: Python<'_>, diameter: &Any<'_>, pitch: &Any<'_>) -> PyResult<Self> {
        let (diameter, pitch) = (positive("diameter", diameter)?, positive("pitch", pitch)?);
        Thread::metric(diameter, pitch).or_raise(py).map(Self)
    }

    /// A unified thread of a nominal diameter and pitch: one inch by the threads per inch.
    #[staticmethod]
    #[pyo3(signature = (*, diameter, pitch))]
    fn unified(py: Python<'_>, diameter: &Any<'_>, pitch: &Any<'_>) -> PyResult<Self> {
        let (diameter, pitch) = (positive("diameter", diameter)?, positive("pitch", pitch)?);
        Thread::unified(diameter, pitch).or_raise(py).map(Self)
    }

    /// Nominal diameter.
    #[getter]
    fn diameter<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.0.diameter())
    }

    /// Pitch.
    #[getter]
    fn pitch<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.0.pitch())
    }

    /// Pitch diameter.
    #[getter]
    fn pitch_diameter<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.0.pitch_diameter())
    }

    /// Tensile stress area.
    #[getter]
    fn stress_area<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.0.stress_area())
    }

    /// Proof load: stress area times a proof stress.
    fn proof_load<'py>(&self, py: Python<'py>, proof_stress: &Any<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.0.proof_load(positive("proof_stress", proof_stress)?).or_raise(py)?)
    }

    /// Torque that gives a preload, with the friction in the thread and under the head, whose bearing face has a mean diameter.
    #[pyo3(signature = (*, preload, thread_friction, head_friction, head_diameter))]
    fn torque_for<'py>(
        &self,
        py: Python<'py>,
        preload: &Any<'py>,
        thread_friction: &Any<'py>,
        head_friction: &Any<'py>,
        head_diameter: &Any<'py>,
    ) -> PyResult<Any<'py>> {
        let preload = positive("preload", preload)?;
        let friction = friction(thread_friction, head_friction, head_diameter)?;
        quantity(py, self.0.torque_for(preload, &friction).or_raise(py)?)
    }

    /// Preload that a torque gives; arguments as for `torque_for`.
    #[pyo3(signature = (*, torque, thread_friction, head_friction, head_diameter))]
    fn preload_from_torque<'py>(
        &self,
        py: Python<'py>,
        torque: &Any<'py>,
        thread_friction: &Any<'py>,
        head_friction: &Any<'py>,
        head_diameter: &Any<'py>,
    ) -> PyResult<Any<'py>> {
        let torque = positive("torque", torque)?;
        let friction = friction(thread_friction, head_friction, head_diameter)?;
        quantity(py, self.0.preload_from_torque(torque, &friction).or_raise(py)?)
    }

    fn __repr__(&self, py: Python<'_>) -> PyResult<String> {
        let (diameter, pitch) = (text(py, self.0.diameter())?, text(py, self.0.pitch())?);
        Ok(format!("Thread.{}(diameter=\"{diameter}\", pitch=\"{pitch}\")", self.maker()))
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.0 == other.0
    }

    fn __reduce__<'py>(slf: &Bound<'py, Self>) -> PyResult<(Any<'py>, Bound<'py, PyTuple>)> {
        let (py, this) = (slf.py(), slf.get());
        let named = PyDict::new(py);
        named.set_item("diameter", exact(this.0.diameter()))?;
        named.set_item("pitch", exact(this.0.pitch()))?;
        let maker = slf.get_type().getattr(this.maker())?;
        let partial = py.import("functools")?.getattr("partial")?.call((maker,), Some(&named))?;
        Ok((partial, PyTuple::empty(py)))
    }
}

/// Proof stress of a steel bolt of a property class, "8.8", "9.8", "10.9" or "12.9", and nominal diameter (ISO 898-1).
#[pyfunction]
#[pyo3(signature = (*, property_class, diameter))]
fn proof_stress<'py>(py: Python<'py>, property_class: &str, diameter: &Any<'py>) -> PyResult<Any<'py>> {
    let class = PropertyClass::named(property_class).or_raise(py)?;
    quantity(py, class.proof_stress(positive("diameter", diameter)?))
}

/// Lengths and areas, one of each for a step of the shank.
fn steps(lengths: &Any<'_>, areas: &Any<'_>) -> PyResult<Vec<ShankStep>> {
    let all: Vec<Length> = list("lengths", lengths)?;
    let carrying: Vec<Area> = list("areas", areas)?;
    if all.len() != carrying.len() {
        let error = Error::WrongLength {
            field: "areas".into(),
            found: carrying.len(),
            expected: format!("{}, as many as lengths", all.len()),
        };
        return Err(error).or_raise(lengths.py());
    }
    Ok(all.into_iter().zip(carrying).map(|(length, area)| ShankStep { length, area }).collect())
}

/// Stiffness of a stepped shank in N/m, a float: lengths and carrying areas of its steps, one of each, and Young's modulus.
#[pyfunction]
#[pyo3(signature = (*, lengths, areas, young))]
fn shank_stiffness(py: Python<'_>, lengths: &Any<'_>, areas: &Any<'_>, young: &Any<'_>) -> PyResult<f64> {
    core::shank_stiffness(&steps(lengths, areas)?, positive("young", young)?).or_raise(py)
}

/// Stretch of a stepped shank under a preload.
#[pyfunction]
#[pyo3(signature = (*, preload, lengths, areas, young))]
fn stretch_for<'py>(
    py: Python<'py>,
    preload: &Any<'py>,
    lengths: &Any<'py>,
    areas: &Any<'py>,
    young: &Any<'py>,
) -> PyResult<Any<'py>> {
    let (preload, steps) = (positive("preload", preload)?, steps(lengths, areas)?);
    quantity(py, core::stretch_for(preload, &steps, positive("young", young)?).or_raise(py)?)
}

/// Preload from the measured stretch of a stepped shank.
#[pyfunction]
#[pyo3(signature = (*, stretch, lengths, areas, young))]
fn preload_from_stretch<'py>(
    py: Python<'py>,
    stretch: &Any<'py>,
    lengths: &Any<'py>,
    areas: &Any<'py>,
    young: &Any<'py>,
) -> PyResult<Any<'py>> {
    let (stretch, steps) = (positive("stretch", stretch)?, steps(lengths, areas)?);
    quantity(py, core::preload_from_stretch(stretch, &steps, positive("young", young)?).or_raise(py)?)
}

/// Turn of the nut past snug for a stretch, the clamped parts giving by the compression.
#[pyfunction]
#[pyo3(signature = (*, stretch, compression, pitch))]
fn turn_for<'py>(
    py: Python<'py>,
    stretch: &Any<'py>,
    compression: &Any<'py>,
    pitch: &Any<'py>,
) -> PyResult<Any<'py>> {
    let (stretch, compression) = (scalar("stretch", stretch)?, scalar("compression", compression)?);
    quantity(py, core::turn_for(stretch, compression, positive("pitch", pitch)?).or_raise(py)?)
}

/// Preload from the turn of the nut past snug; stiffness of bolt and parts as floats in N/m, without the second rigid parts.
#[pyfunction]
#[pyo3(signature = (*, angle, pitch, bolt_stiffness, parts_stiffness = None))]
fn preload_from_turn<'py>(
    py: Python<'py>,
    angle: &Any<'py>,
    pitch: &Any<'py>,
    bolt_stiffness: f64,
    parts_stiffness: Option<f64>,
) -> PyResult<Any<'py>> {
    let (angle, pitch) = (positive("angle", angle)?, positive("pitch", pitch)?);
    quantity(py, core::preload_from_turn(angle, pitch, bolt_stiffness, parts_stiffness).or_raise(py)?)
}

/// Stiffness in N/m, a float, of clamped parts of one material between a head and a nut: an estimate by two frusta.
#[pyfunction]
#[pyo3(signature = (*, grip, diameter, young))]
fn parts_stiffness(py: Python<'_>, grip: &Any<'_>, diameter: &Any<'_>, young: &Any<'_>) -> PyResult<f64> {
    let (grip, diameter) = (positive("grip", grip)?, positive("diameter", diameter)?);
    core::parts_stiffness(grip, diameter, positive("young", young)?).or_raise(py)
}

/// A bolt preloaded in a joint, with the stiffness of bolt and clamped parts as floats in one unit: only their ratio counts.
#[pyclass(frozen, name = "BoltedJoint", module = "swept")]
pub(crate) struct PyBoltedJoint {
    preload: Force,
    bolt: f64,
    parts: f64,
    joint: core::BoltedJoint,
}

#[pymethods]
impl PyBoltedJoint {
    #[new]
    #[pyo3(signature = (*, preload, bolt_stiffness, parts_stiffness))]
    fn new(py: Python<'_>, preload: &Any<'_>, bolt_stiffness: f64, parts_stiffness: f64) -> PyResult<Self> {
        let preload = positive("preload", preload)?;
        let (bolt, parts) = (Ratio::from_si(bolt_stiffness), Ratio::from_si(parts_stiffness));
        let joint = core::BoltedJoint::new(preload, bolt, parts).or_raise(py)?;
        Ok(Self { preload, bolt: bolt_stiffness, parts: parts_stiffness, joint })
    }

    /// The share of an outer load that the bolt takes, a float.
    #[getter]
    fn load_share(&self) -> f64 {
        self.joint.load_share().si()
    }

    /// Load in the bolt under an outer load that pulls the joint apart.
    fn bolt_load<'py>(&self, py: Python<'py>, outer: &Any<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.joint.bolt_load(scalar("outer", outer)?).or_raise(py)?)
    }

    /// What still clamps the joint under an outer load; zero once it is open.
    fn clamp_load<'py>(&self, py: Python<'py>, outer: &Any<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.joint.clamp_load(scalar("outer", outer)?).or_raise(py)?)
    }

    /// The outer load that opens the joint.
    #[getter]
    fn separation_load<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.joint.separation_load())
    }

    fn __repr__(&self, py: Python<'_>) -> PyResult<String> {
        Ok(format!(
            "BoltedJoint(preload=\"{}\", bolt_stiffness={:?}, parts_stiffness={:?})",
            text(py, self.preload)?,
            self.bolt,
            self.parts
        ))
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.joint == other.joint
    }

    fn __getnewargs_ex__<'py>(&self, py: Python<'py>) -> PyResult<((), Bound<'py, PyDict>)> {
        let named = PyDict::new(py);
        named.set_item("preload", exact(self.preload))?;
        named.set_item("bolt_stiffness", self.bolt)?;
        named.set_item("parts_stiffness", self.parts)?;
        Ok(((), named))
    }
}

/// What a bolt at an angle to the parting line's normal does: it clamps the cap, and pulls it sideways.
#[pyfunction]
#[pyo3(signature = (*, preload, angle))]
fn angled_clamp<'py>(
    py: Python<'py>,
    preload: &Any<'py>,
    angle: &Any<'py>,
) -> PyResult<(Any<'py>, Any<'py>)> {
    let (preload, angle) = (scalar("preload", preload)?, scalar("angle", angle)?);
    let (clamping, sideways) = core::angled_clamp(preload, angle).or_raise(py)?;
    Ok((quantity(py, clamping)?, quantity(py, sideways)?))
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_class::<PyThread>()?;
    m.add_class::<PyBoltedJoint>()?;
    m.add_function(wrap_pyfunction!(proof_stress, m)?)?;
    m.add_function(wrap_pyfunction!(shank_stiffness, m)?)?;
    m.add_function(wrap_pyfunction!(stretch_for, m)?)?;
    m.add_function(wrap_pyfunction!(preload_from_stretch, m)?)?;
    m.add_function(wrap_pyfunction!(turn_for, m)?)?;
    m.add_function(wrap_pyfunction!(preload_from_turn, m)?)?;
    m.add_function(wrap_pyfunction!(parts_stiffness, m)?)?;
    m.add_function(wrap_pyfunction!(angled_clamp, m)?)
}
