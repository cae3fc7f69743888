//! `Cylinder` and its motion.

use crate::errors::OrRaise;
use crate::given::{positive, scalar, values_of};
use crate::shown::{exact, mapped, quantity, text};
use pyo3::prelude::*;
use pyo3::types::PyDict;
use std::hash::{DefaultHasher, Hash, Hasher};
use swept::geometry::Cylinder;
use swept::units::{Angle, AngularVelocity, Dimension, Dimensioned, Volume};

type Any<'py> = Bound<'py, PyAny>;

/// One cylinder with its slider-crank: bore, stroke, rod length, pin offset.
///
/// The stroke is twice the crank radius; the pin offset is positive towards the major thrust side. Crank angles are
/// from true top dead centre, positive in running direction. Angles may be array-valued.
#[pyclass(frozen, name = "Cylinder", module = "swept")]
pub(crate) struct PyCylinder(pub(crate) Cylinder);

#[pymethods]
impl PyCylinder {
    #[new]
    #[pyo3(signature = (*, bore, stroke, rod_length, pin_offset = None))]
    fn new(
        bore: &Any<'_>,
        stroke: &Any<'_>,
        rod_length: &Any<'_>,
        pin_offset: Option<&Any<'_>>,
    ) -> PyResult<Self> {
        let offset = pin_offset.map(|o| scalar("pin_offset", o)).transpose()?;
        let made = Cylinder::new(
            positive("bore", bore)?,
            scalar("stroke", stroke)?,
            scalar("rod_length", rod_length)?,
            offset.unwrap_or(swept::units::Length::from_si(0.0)),
        );
        made.or_raise(bore.py()).map(Self)
    }

    /// Bore diameter.
    #[getter]
    fn bore<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.0.bore())
    }

    /// Stroke as the crank is specified: twice the crank radius.
    #[getter]
    fn stroke<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.0.stroke())
    }

    /// Rod length, centre to centre.
    #[getter]
    fn rod_length<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.0.rod_length())
    }

    /// Pin offset, positive towards the major thrust side.
    #[getter]
    fn pin_offset<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.0.pin_offset())
    }

    /// Crank radius (throw): half the stroke.
    #[getter]
    fn crank_radius<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.0.crank_radius())
    }

    /// True piston travel between the dead centres; more than the stroke with a pin offset.
    #[getter]
    fn travel<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.0.travel())
    }

    /// Bore area.
    #[getter]
    fn area<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.0.area())
    }

    /// Swept volume of this cylinder: bore area times travel.
    #[getter]
    fn swept_volume<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.0.swept_volume())
    }

    /// Rod length over stroke, a float.
    #[getter]
    fn rod_ratio(&self) -> f64 {
        self.0.rod_ratio().si()
    }

    /// Bore over stroke, a float; above one is oversquare.
    #[getter]
    fn bore_stroke_ratio(&self) -> f64 {
        self.0.bore_stroke_ratio().si()
    }

    /// Pin height above the main centre at true top dead centre.
    #[getter]
    fn pin_height_at_tdc<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.0.pin_height_at_tdc())
    }

    /// Pin height above the main centre at true bottom dead centre.
    #[getter]
    fn pin_height_at_bdc<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.0.pin_height_at_bdc())
    }

    /// Throw's angle from the cylinder axis at true top dead centre.
    #[getter]
    fn top_dead_centre<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.0.top_dead_centre())
    }

    /// Throw's angle from the cylinder axis at true bottom dead centre.
    #[getter]
    fn bottom_dead_centre<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.0.bottom_dead_centre())
    }

    /// Largest rod angle to the cylinder axis over a revolution: the angle of peak side thrust.
    #[getter]
    fn peak_rod_angle<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.0.peak_rod_angle())
    }

    /// Mean piston speed at a shaft speed such as "6500 rpm".
    fn mean_piston_speed<'py>(&self, speed: &Any<'py>) -> PyResult<Any<'py>> {
        quantity(speed.py(), self.0.mean_piston_speed(scalar("speed", speed)?))
    }

    /// Largest magnitude of the piston acceleration over a revolution at steady speed.
    fn peak_acceleration<'py>(&self, speed: &Any<'py>) -> PyResult<Any<'py>> {
        quantity(speed.py(), self.0.peak_acceleration(scalar("speed", speed)?))
    }

    /// Distance of the piston below true top dead centre.
    fn piston_position<'py>(&self, angle: &Any<'py>) -> PyResult<Any<'py>> {
        let angles = values_of("angle", Dimension::Angle, angle)?;
        mapped(angle.py(), angles, |a| self.0.piston_position(Angle::from_si(a)))
    }

    /// Velocity of the piston, positive away from the head.
    #[pyo3(signature = (angle, *, speed))]
    fn piston_velocity<'py>(&self, angle: &Any<'py>, speed: &Any<'py>) -> PyResult<Any<'py>> {
        let speed: AngularVelocity = scalar("speed", speed)?;
        let angles = values_of("angle", Dimension::Angle, angle)?;
        mapped(angle.py(), angles, |a| self.0.piston_velocity(Angle::from_si(a), speed))
    }

    /// Acceleration of the piston at steady speed, positive away from the head.
    #[pyo3(signature = (angle, *, speed))]
    fn piston_acceleration<'py>(&self, angle: &Any<'py>, speed: &Any<'py>) -> PyResult<Any<'py>> {
        let speed: AngularVelocity = scalar("speed", speed)?;
        let angles = values_of("angle", Dimension::Angle, angle)?;
        mapped(angle.py(), angles, |a| self.0.piston_acceleration(Angle::from_si(a), speed))
    }

    /// Angle of the rod to the cylinder axis, positive with the crankpin on the side it moves to after top dead centre.
    fn rod_angle<'py>(&self, angle: &Any<'py>) -> PyResult<Any<'py>> {
        let angles = values_of("angle", Dimension::Angle, angle)?;
        mapped(angle.py(), angles, |a| self.0.rod_angle(Angle::from_si(a)))
    }

    /// Volume above the piston: clearance volume plus bore area times piston position.
    #[pyo3(signature = (angle, *, clearance_volume))]
    fn cylinder_volume<'py>(&self, angle: &Any<'py>, clearance_volume: &Any<'py>) -> PyResult<Any<'py>> {
        let clearance: Volume = positive("clearance_volume", clearance_volume)?;
        let angles = values_of("angle", Dimension::Angle, angle)?;
        mapped(angle.py(), angles, |a| self.0.cylinder_volume(Angle::from_si(a), clearance))
    }

    fn __repr__(&self, py: Python<'_>) -> PyResult<String> {
        Ok(format!(
            "Cylinder(bore=\"{}\", stroke=\"{}\", rod_length=\"{}\", pin_offset=\"{}\")",
            text(py, self.0.bore())?,
            text(py, self.0.stroke())?,
            text(py, self.0.rod_length())?,
            text(py, self.0.pin_offset())?,
        ))
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.0 == other.0
    }

    fn __hash__(&self) -> u64 {
        let mut hasher = DefaultHasher::new();
        for length in [self.0.bore(), self.0.stroke(), self.0.rod_length(), self.0.pin_offset()] {
            // Adding zero makes -0 and 0, which are equal, alike.
            (length.si() + 0.0).to_bits().hash(&mut hasher);
        }
        hasher.finish()
    }

    fn __getnewargs_ex__<'py>(&self, py: Python<'py>) -> PyResult<((), Bound<'py, PyDict>)> {
        let named = PyDict::new(py);
        named.set_item("bore", exact(self.0.bore()))?;
        named.set_item("stroke", exact(self.0.stroke()))?;
        named.set_item("rod_length", exact(self.0.rod_length()))?;
        named.set_item("pin_offset", exact(self.0.pin_offset()))?;
        Ok(((), named))
    }
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_class::<PyCylinder>()
}
