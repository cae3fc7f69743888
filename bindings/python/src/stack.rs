//! The deck stack.

use crate::cylinder::PyCylinder;
use crate::errors::OrRaise;
use crate::given::{positive, scalar};
use crate::shown::quantity;
use pyo3::prelude::*;
use swept::geometry as core;

type Any<'py> = Bound<'py, PyAny>;

/// Deck clearance at top dead centre, positive with the piston below the deck.
#[pyfunction]
#[pyo3(signature = (*, cylinder, deck_height, compression_height))]
fn deck_clearance<'py>(
    py: Python<'py>,
    cylinder: &PyCylinder,
    deck_height: &Any<'py>,
    compression_height: &Any<'py>,
) -> PyResult<Any<'py>> {
    let height = positive("deck_height", deck_height)?;
    let pin_to_crown = positive("compression_height", compression_height)?;
    quantity(py, core::deck_clearance(&cylinder.0, height, pin_to_crown))
}

/// Piston-to-head distance at top dead centre: deck clearance plus clamped gasket thickness.
#[pyfunction]
#[pyo3(signature = (*, deck_clearance, gasket_thickness))]
fn piston_to_head<'py>(
    py: Python<'py>,
    deck_clearance: &Any<'py>,
    gasket_thickness: &Any<'py>,
) -> PyResult<Any<'py>> {
    let clearance = scalar("deck_clearance", deck_clearance)?;
    quantity(py, core::piston_to_head(clearance, scalar("gasket_thickness", gasket_thickness)?))
}

/// The deck height (main centre to deck) that gives a deck clearance.
#[pyfunction]
#[pyo3(signature = (*, cylinder, compression_height, deck_clearance))]
fn deck_height_for<'py>(
    py: Python<'py>,
    cylinder: &PyCylinder,
    compression_height: &Any<'py>,
    deck_clearance: &Any<'py>,
) -> PyResult<Any<'py>> {
    let pin_to_crown = positive("compression_height", compression_height)?;
    let clearance = scalar("deck_clearance", deck_clearance)?;
    quantity(py, core::deck_height_for(&cylinder.0, pin_to_crown, clearance).or_raise(py)?)
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_function(wrap_pyfunction!(deck_clearance, m)?)?;
    m.add_function(wrap_pyfunction!(piston_to_head, m)?)?;
    m.add_function(wrap_pyfunction!(deck_height_for, m)?)
}
