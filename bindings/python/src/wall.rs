//! Walls left around and between bores, and the stress in them.

use crate::errors::OrRaise;
use crate::given::{positive, scalar};
use crate::shown::{exact, quantity, text};
use pyo3::prelude::*;
use swept::geometry::{self as core, ThickCylinder, WallReading};
use swept::units::{Dimensioned, Length, Pressure};

type Any<'py> = Bound<'py, PyAny>;

/// Wall thickness read at one angle around a bore: from the front of the block, clockwise seen from the deck.
#[pyclass(frozen, name = "WallReading", module = "swept", from_py_object)]
#[derive(Clone)]
pub(crate) struct PyWallReading(WallReading);

#[pymethods]
impl PyWallReading {
    #[new]
    fn new(angle: &Any<'_>, wall: &Any<'_>) -> PyResult<Self> {
        Ok(Self(WallReading { angle: scalar("angle", angle)?, wall: scalar("wall", wall)? }))
    }

    /// Where it was read.
    #[getter]
    fn angle<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.0.angle)
    }

    /// The thickness there.
    #[getter]
    fn wall<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.0.wall)
    }

    fn __repr__(&self, py: Python<'_>) -> PyResult<String> {
        Ok(format!("WallReading(\"{}\", \"{}\")", text(py, self.0.angle)?, text(py, self.0.wall)?))
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.0 == other.0
    }

    fn __getnewargs__(&self) -> (String, String) {
        (exact(self.0.angle), exact(self.0.wall))
    }
}

fn readings(all: &[PyWallReading]) -> Vec<WallReading> {
    all.iter().map(|r| r.0).collect()
}

/// Wall left between two neighbouring bores; negative where they would meet.
#[pyfunction]
#[pyo3(signature = (*, spacing, bore))]
fn wall_between_bores<'py>(py: Python<'py>, spacing: &Any<'py>, bore: &Any<'py>) -> PyResult<Any<'py>> {
    quantity(py, core::wall_between_bores(positive("spacing", spacing)?, positive("bore", bore)?))
}

/// Wall left at a reading after an overbore; the shift is how far the bore's centre moves towards that reading.
#[pyfunction]
#[pyo3(signature = (*, wall, bore, new_bore, shift_towards = None))]
fn wall_after_overbore<'py>(
    py: Python<'py>,
    wall: &Any<'py>,
    bore: &Any<'py>,
    new_bore: &Any<'py>,
    shift_towards: Option<&Any<'py>>,
) -> PyResult<Any<'py>> {
    let shift = shift_towards.map_or(Ok(Length::from_si(0.0)), |s| scalar("shift_towards", s))?;
    let (bore, new_bore) = (positive("bore", bore)?, positive("new_bore", new_bore)?);
    quantity(py, core::wall_after_overbore(scalar("wall", wall)?, bore, new_bore, shift))
}

/// The reading with the thinnest wall; the first of equals.
#[pyfunction]
#[pyo3(signature = (readings, /))]
fn thinnest_wall(py: Python<'_>, readings: Vec<PyWallReading>) -> PyResult<PyWallReading> {
    core::thinnest_wall(&self::readings(&readings)).or_raise(py).map(PyWallReading)
}

/// The largest bore, kept on its centre, that leaves a least wall at every reading.
#[pyfunction]
#[pyo3(signature = (readings, /, *, bore, least))]
fn bore_for_wall<'py>(
    py: Python<'py>,
    readings: Vec<PyWallReading>,
    bore: &Any<'py>,
    least: &Any<'py>,
) -> PyResult<Any<'py>> {
    let (bore, least) = (positive("bore", bore)?, scalar("least", least)?);
    quantity(py, core::bore_for_wall(&self::readings(&readings), bore, least).or_raise(py)?)
}

/// Hoop stress at the bore of a wall of even thickness, nothing pressing from outside (Lame).
#[pyfunction]
#[pyo3(signature = (*, bore, wall, pressure))]
fn wall_hoop_stress<'py>(
    py: Python<'py>,
    bore: &Any<'py>,
    wall: &Any<'py>,
    pressure: &Any<'py>,
) -> PyResult<Any<'py>> {
    let (bore, wall) = (positive("bore", bore)?, scalar("wall", wall)?);
    quantity(py, core::wall_hoop_stress(bore, wall, scalar("pressure", pressure)?).or_raise(py)?)
}

/// A thick-walled cylinder under inner and outer pressure (Lame); tension is positive.
#[pyclass(frozen, name = "ThickCylinder", module = "swept")]
pub(crate) struct PyThickCylinder {
    inner: Length,
    outer: Length,
    cylinder: ThickCylinder,
}

/// The outer pressure, none where it is not given.
fn outside(given: Option<&Any<'_>>) -> PyResult<Pressure> {
    given.map_or(Ok(Pressure::from_si(0.0)), |p| scalar("outer_pressure", p))
}

#[pymethods]
impl PyThickCylinder {
    #[new]
    #[pyo3(signature = (*, inner_radius, outer_radius))]
    fn new(py: Python<'_>, inner_radius: &Any<'_>, outer_radius: &Any<'_>) -> PyResult<Self> {
        let (inner, outer) = (scalar("inner_radius", inner_radius)?, scalar("outer_radius", outer_radius)?);
        let cylinder = ThickCylinder::new(inner, outer).or_raise(py)?;
        Ok(Self { inner, outer, cylinder })
    }

    /// Hoop stress at a radius inside the wall.
    #[pyo3(signature = (*, radius, inner_pressure, outer_pressure = None))]
    fn hoop_stress<'py>(
        &self,
        py: Python<'py>,
        radius: &Any<'py>,
        inner_pressure: &Any<'py>,
        outer_pressure: Option<&Any<'py>>,
    ) -> PyResult<Any<'py>> {
        let (p, q) = (scalar("inner_pressure", inner_pressure)?, outside(outer_pressure)?);
        quantity(py, self.cylinder.hoop_stress(p, q, scalar("radius", radius)?).or_raise(py)?)
    }

    /// Radial stress at a radius inside the wall.
    #[pyo3(signature = (*, radius, inner_pressure, outer_pressure = None))]
    fn radial_stress<'py>(
        &self,
        py: Python<'py>,
        radius: &Any<'py>,
        inner_pressure: &Any<'py>,
        outer_pressure: Option<&Any<'py>>,
    ) -> PyResult<Any<'py>> {
        let (p, q) = (scalar("inner_pressure", inner_pressure)?, outside(outer_pressure)?);
        quantity(py, self.cylinder.radial_stress(p, q, scalar("radius", radius)?).or_raise(py)?)
    }

    /// Axial stress with closed ends.
    #[pyo3(signature = (*, inner_pressure, outer_pressure = None))]
    fn axial_stress_closed<'py>(
        &self,
        py: Python<'py>,
        inner_pressure: &Any<'py>,
        outer_pressure: Option<&Any<'py>>,
    ) -> PyResult<Any<'py>> {
        let (p, q) = (scalar("inner_pressure", inner_pressure)?, outside(outer_pressure)?);
        quantity(py, self.cylinder.axial_stress_closed(p, q).or_raise(py)?)
    }

    fn __repr__(&self, py: Python<'_>) -> PyResult<String> {
        let (inner, outer) = (text(py, self.inner)?, text(py, self.outer)?);
        Ok(format!("ThickCylinder(inner_radius=\"{inner}\", outer_radius=\"{outer}\")"))
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.cylinder == other.cylinder
    }

    fn __getnewargs_ex__<'py>(&self, py: Python<'py>) -> PyResult<((), Bound<'py, pyo3::types::PyDict>)> {
        let named = pyo3::types::PyDict::new(py);
        named.set_item("inner_radius", exact(self.inner))?;
        named.set_item("outer_radius", exact(self.outer))?;
        Ok(((), named))
    }
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_class::<PyWallReading>()?;
    m.add_class::<PyThickCylinder>()?;
    m.add_function(wrap_pyfunction!(wall_between_bores, m)?)?;
    m.add_function(wrap_pyfunction!(wall_after_overbore, m)?)?;
    m.add_function(wrap_pyfunction!(thinnest_wall, m)?)?;
    m.add_function(wrap_pyfunction!(bore_for_wall, m)?)?;
    m.add_function(wrap_pyfunction!(wall_hoop_stress, m)?)
}
