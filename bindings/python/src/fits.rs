//! Fits: pins in bores, rings in grooves and on the wall, limits and fits by ISO 286.

use crate::errors::OrRaise;
use crate::given::positive;
use crate::shown::quantity;
use pyo3::prelude::*;
use swept::Error;
use swept::clearance::{self as core, IsoFit, ToleranceClass};

type Any<'py> = Bound<'py, PyAny>;

/// Clearance of a pin in a boss, a bush or a rod eye, on the diameter; below zero the pin is pressed in.
#[pyfunction]
#[pyo3(signature = (*, bore, pin_diameter))]
fn pin_clearance<'py>(py: Python<'py>, bore: &Any<'py>, pin_diameter: &Any<'py>) -> PyResult<Any<'py>> {
    let pin = positive("pin_diameter", pin_diameter)?;
    quantity(py, core::pin_clearance(positive("bore", bore)?, pin))
}

/// Ring back clearance, on one side with the piston central.
#[pyfunction]
#[pyo3(signature = (*, bore, groove_root_diameter, radial_thickness))]
fn back_clearance<'py>(
    py: Python<'py>,
    bore: &Any<'py>,
    groove_root_diameter: &Any<'py>,
    radial_thickness: &Any<'py>,
) -> PyResult<Any<'py>> {
    let root = positive("groove_root_diameter", groove_root_diameter)?;
    let thickness = positive("radial_thickness", radial_thickness)?;
    quantity(py, core::back_clearance(positive("bore", bore)?, root, thickness))
}

/// Mean pressure of a ring on the wall from its tangential force (ring tension) and the width of its running face.
#[pyfunction]
#[pyo3(signature = (*, tangential_force, bore, width))]
fn ring_wall_pressure<'py>(
    py: Python<'py>,
    tangential_force: &Any<'py>,
    bore: &Any<'py>,
    width: &Any<'py>,
) -> PyResult<Any<'py>> {
    let force = positive("tangential_force", tangential_force)?;
    let (bore, width) = (positive("bore", bore)?, positive("width", width)?);
    quantity(py, core::ring_wall_pressure(force, bore, width).or_raise(py)?)
}

/// The standard tolerance of a grade, 5 to 11 for IT5 to IT11, at a nominal size up to 315 mm (ISO 286-1).
#[pyfunction]
#[pyo3(signature = (*, nominal, grade))]
fn standard_tolerance<'py>(py: Python<'py>, nominal: &Any<'py>, grade: i64) -> PyResult<Any<'py>> {
    let nominal = positive("nominal", nominal)?;
    let narrow = u8::try_from(grade).map_err(|_| Error::OutOfRange {
        field: "tolerance grade".into(),
        value: grade.to_string(),
        allowed: "IT5 to IT11".into(),
    });
    quantity(py, narrow.and_then(|grade| core::standard_tolerance(nominal, grade)).or_raise(py)?)
}

/// Lower and upper deviation of a tolerance class, "H7" (a hole) or "p6" (a shaft), at a nominal size (ISO 286-1).
#[pyfunction]
#[pyo3(signature = (*, tolerance_class, nominal))]
fn deviations<'py>(
    py: Python<'py>,
    tolerance_class: &str,
    nominal: &Any<'py>,
) -> PyResult<(Any<'py>, Any<'py>)> {
    let class = ToleranceClass::parse(tolerance_class).map_err(|e| e.at(None, "tolerance_class"));
    let found = class.or_raise(py)?.deviations(positive("nominal", nominal)?).or_raise(py)?;
    Ok((quantity(py, found.lower)?, quantity(py, found.upper)?))
}

/// Least and greatest clearance of a fit such as "40 H7/p6", its size in mm; below zero is interference (ISO 286-1).
#[pyfunction]
fn fit_clearance<'py>(py: Python<'py>, fit: &str) -> PyResult<(Any<'py>, Any<'py>)> {
    let parsed = IsoFit::parse(fit).map_err(|e| e.at(None, "fit"));
    let (least, greatest) = parsed.and_then(|fit| fit.clearance()).or_raise(py)?;
    Ok((quantity(py, least)?, quantity(py, greatest)?))
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_function(wrap_pyfunction!(pin_clearance, m)?)?;
    m.add_function(wrap_pyfunction!(back_clearance, m)?)?;
    m.add_function(wrap_pyfunction!(ring_wall_pressure, m)?)?;
    m.add_function(wrap_pyfunction!(standard_tolerance, m)?)?;
    m.add_function(wrap_pyfunction!(deviations, m)?)?;
    m.add_function(wrap_pyfunction!(fit_clearance, m)?)
}
