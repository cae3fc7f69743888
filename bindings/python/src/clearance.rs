//! Clearances between parts; positive is a gap.

use crate::errors::OrRaise;
use crate::given::{list, positive, scalar};
use crate::shown::quantity;
use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;
use swept::clearance::{self as core, RingDuty, RingPosition};

type Any<'py> = Bound<'py, PyAny>;

/// Bearing clearance on the diameter: housing bore less both shell walls less the journal.
#[pyfunction]
#[pyo3(signature = (*, housing_bore, upper_shell, lower_shell, journal))]
fn bearing_clearance<'py>(
    py: Python<'py>,
    housing_bore: &Any<'py>,
    upper_shell: &Any<'py>,
    lower_shell: &Any<'py>,
    journal: &Any<'py>,
) -> PyResult<Any<'py>> {
    let (upper, lower) = (positive("upper_shell", upper_shell)?, positive("lower_shell", lower_shell)?);
    let housing = positive("housing_bore", housing_bore)?;
    quantity(py, core::bearing_clearance(housing, upper, lower, positive("journal", journal)?))
}

/// Piston-to-wall clearance on the diameter.
#[pyfunction]
#[pyo3(signature = (*, bore, piston_diameter))]
fn piston_to_wall<'py>(py: Python<'py>, bore: &Any<'py>, piston_diameter: &Any<'py>) -> PyResult<Any<'py>> {
    let piston = positive("piston_diameter", piston_diameter)?;
    quantity(py, core::piston_to_wall(positive("bore", bore)?, piston))
}

/// Ring side clearance, all of it on one side.
#[pyfunction]
#[pyo3(signature = (*, groove_width, ring_width))]
fn side_clearance<'py>(
    py: Python<'py>,
    groove_width: &Any<'py>,
    ring_width: &Any<'py>,
) -> PyResult<Any<'py>> {
    let groove = positive("groove_width", groove_width)?;
    quantity(py, core::side_clearance(groove, positive("ring_width", ring_width)?))
}

/// Crankshaft end float (end play, thrust clearance).
#[pyfunction]
#[pyo3(signature = (*, thrust_journal_width, thrust_bearing_width))]
fn end_float<'py>(
    py: Python<'py>,
    thrust_journal_width: &Any<'py>,
    thrust_bearing_width: &Any<'py>,
) -> PyResult<Any<'py>> {
    let journal = positive("thrust_journal_width", thrust_journal_width)?;
    quantity(py, core::end_float(journal, positive("thrust_bearing_width", thrust_bearing_width)?))
}

/// Rod side clearance of a crankpin: its width less the widths of all rods on it.
#[pyfunction]
#[pyo3(signature = (*, crankpin_width, rod_widths))]
fn rod_side_clearance<'py>(
    py: Python<'py>,
    crankpin_width: &Any<'py>,
    rod_widths: &Any<'py>,
) -> PyResult<Any<'py>> {
    let rods = list("rod_widths", rod_widths)?;
    quantity(py, core::rod_side_clearance(positive("crankpin_width", crankpin_width)?, &rods))
}

/// End gap of a ring in a bore, from the gap it has in a gauge bore.
#[pyfunction]
#[pyo3(signature = (*, gap, gauge_bore, bore))]
fn end_gap_in_bore<'py>(
    py: Python<'py>,
    gap: &Any<'py>,
    gauge_bore: &Any<'py>,
    bore: &Any<'py>,
) -> PyResult<Any<'py>> {
    let (gap, gauge) = (scalar("gap", gap)?, positive("gauge_bore", gauge_bore)?);
    quantity(py, core::end_gap_in_bore(gap, gauge, positive("bore", bore)?))
}

fn position(name: &str) -> PyResult<RingPosition> {
    match name {
        "top" => Ok(RingPosition::Top),
        "second" => Ok(RingPosition::Second),
        _ => Err(PyValueError::new_err(format!("position is {name:?}; write \"top\" or \"second\""))),
    }
}

fn duty(name: &str) -> PyResult<RingDuty> {
    match name {
        "naturally aspirated" => Ok(RingDuty::NaturallyAspirated),
        "boosted" => Ok(RingDuty::Boosted),
        "nitrous" => Ok(RingDuty::Nitrous),
        _ => {
            let message =
                format!("duty is {name:?}; write \"naturally aspirated\", \"boosted\" or \"nitrous\"");
            Err(PyValueError::new_err(message))
        }
    }
}

/// Least and greatest ring end gap by the rule of thumb (common practice); the ring maker's figure comes first.
#[pyfunction]
#[pyo3(signature = (*, bore, position, duty))]
fn end_gap_rule<'py>(
    py: Python<'py>,
    bore: &Any<'py>,
    position: &str,
    duty: &str,
) -> PyResult<(Any<'py>, Any<'py>)> {
    let (position, duty) = (self::position(position)?, self::duty(duty)?);
    let (least, greatest) = core::end_gap_rule(positive("bore", bore)?, position, duty).or_raise(py)?;
    Ok((quantity(py, least)?, quantity(py, greatest)?))
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_function(wrap_pyfunction!(bearing_clearance, m)?)?;
    m.add_function(wrap_pyfunction!(piston_to_wall, m)?)?;
    m.add_function(wrap_pyfunction!(side_clearance, m)?)?;
    m.add_function(wrap_pyfunction!(end_float, m)?)?;
    m.add_function(wrap_pyfunction!(rod_side_clearance, m)?)?;
    m.add_function(wrap_pyfunction!(end_gap_in_bore, m)?)?;
    m.add_function(wrap_pyfunction!(end_gap_rule, m)?)
}
