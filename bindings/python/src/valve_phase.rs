//! What shifts the phase of a cam: offset keys and bushes, chain stretch, centre distance.

use crate::errors::OrRaise;
use crate::value::{count, found, read, value_class};
use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;
use swept::valvetrain::timing::{self as core, ChainDrive, OffsetPart};

type Any<'py> = Bound<'py, PyAny>;

fn part(name: &str) -> PyResult<OffsetPart> {
    match name {
        "cam key" => Ok(OffsetPart::CamKey),
        "cam bush" => Ok(OffsetPart::CamBush),
        "crank key" => Ok(OffsetPart::CrankKey),
        _ => Err(PyValueError::new_err(format!(
            "part is {name:?}; write \"cam key\", \"cam bush\" or \"crank key\""
        ))),
    }
}

/// The advance, crank angle, that an offset at a radius gives: of a stepped "cam key" at the radius of the camshaft, an eccentric "cam bush" at that
/// of the dowel's circle, or a stepped "crank key" at that of the crankshaft.
///
/// The offset is positive where the driven part stands ahead in running direction.
#[pyfunction]
#[pyo3(signature = (part, *, offset, radius))]
fn crank_advance_of_offset<'py>(
    py: Python<'py>,
    part: &str,
    offset: &Any<'py>,
    radius: &Any<'py>,
) -> PyResult<Any<'py>> {
    read!(offset, radius);
    found(py, self::part(part)?.advance(offset, radius))
}

/// The offset of a "cam key", a "cam bush" or a "crank key" that gives an advance, a crank angle.
#[pyfunction]
#[pyo3(signature = (part, *, crank_advance, radius))]
fn offset_for_advance<'py>(
    py: Python<'py>,
    part: &str,
    crank_advance: &Any<'py>,
    radius: &Any<'py>,
) -> PyResult<Any<'py>> {
    read!(crank_advance, radius);
    found(py, self::part(part)?.offset_for(crank_advance, radius))
}

/// Pitch radius of a sprocket for a roller chain.
#[pyfunction]
#[pyo3(signature = (*, pitch, teeth))]
fn sprocket_pitch_radius<'py>(py: Python<'py>, pitch: &Any<'py>, teeth: i64) -> PyResult<Any<'py>> {
    read!(pitch);
    found(py, core::sprocket_pitch_radius(pitch, count(teeth)))
}

value_class! {
    /// A chain or a belt straight from the crank to an overhead cam, tight on the side that the crank pulls; radii are pitch radii.
    PyChainDrive(ChainDrive) named "ChainDrive" {
        /// Pitch radius of the crank sprocket.
        crank_radius: |d| d.crank_radius();
        /// Pitch radius of the cam sprocket.
        cam_radius: |d| d.cam_radius();
        /// Distance of the centres.
        centre_distance: |d| d.centre_distance();
    }

    #[new]
    #[pyo3(signature = (*, crank_radius, cam_radius, centre_distance))]
    fn new(py: Python<'_>, crank_radius: &Any<'_>, cam_radius: &Any<'_>, centre_distance: &Any<'_>) -> PyResult<Self> {
        read!(crank_radius, cam_radius, centre_distance);
        ChainDrive::new(crank_radius, cam_radius, centre_distance).or_raise(py).map(Self)
    }

    /// Length of the free tight span.
    #[getter]
    fn tight_span<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        crate::value::Shown::shown(&self.0.tight_span(), py)
    }

    /// The advance, crank angle, that stretch of the tight span brings: never above zero.
    fn crank_advance_from_stretch<'py>(&self, elongation: &Any<'py>) -> PyResult<Any<'py>> {
        let py = elongation.py();
        read!(elongation);
        found(py, self.0.advance_from_stretch(elongation))
    }

    /// The advance, crank angle, that a change of the centre distance brings: below zero where a milled head or deck brings the centres closer.
    fn crank_advance_from_centre_distance<'py>(&self, change: &Any<'py>) -> PyResult<Any<'py>> {
        let py = change.py();
        read!(change);
        found(py, self.0.advance_from_centre_distance(change))
    }
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_class::<PyChainDrive>()?;
    m.add_function(wrap_pyfunction!(crank_advance_of_offset, m)?)?;
    m.add_function(wrap_pyfunction!(offset_for_advance, m)?)?;
    m.add_function(wrap_pyfunction!(sprocket_pitch_radius, m)?)
}
