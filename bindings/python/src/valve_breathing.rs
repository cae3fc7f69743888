//! What the intake valve leaves open, and what flows through it.

use crate::cylinder::PyCylinder;
use crate::errors::OrRaise;
use crate::given::values_of;
use crate::shown::shaped_of;
use crate::value::{Shown, found, read, value_class};
use pyo3::prelude::*;
use swept::units::{Dimension, Dimensioned, Length};
use swept::valvetrain::breathing::{self as core, FlowStage, PoppetValve};

type Any<'py> = Bound<'py, PyAny>;

/// Curtain area, the plain figure: pi times the diameter times the lift.
#[pyfunction]
#[pyo3(signature = (*, diameter, lift))]
fn curtain_area<'py>(py: Python<'py>, diameter: &Any<'py>, lift: &Any<'py>) -> PyResult<Any<'py>> {
    read!(diameter, lift);
    found(py, core::curtain_area(diameter, lift))
}

value_class! {
    /// A poppet valve on its conical seat, and the throat behind it.
    ///
    /// The head diameter is that at the outer edge of the seat face, the seat width is measured radially, the seat angle is from the plane of the head.
    PyPoppetValve(PoppetValve) named "PoppetValve" {
        /// Head diameter, at the outer edge of the seat face.
        head_diameter: |v| v.head_diameter();
        /// Mean seat diameter: head diameter less seat width.
        mean_seat_diameter: |v| v.mean_seat_diameter();
        /// Throat area: port less stem.
        throat_area: |v| v.throat_area();
    }

    #[new]
    #[pyo3(signature = (*, head_diameter, seat_width, seat_angle, port_diameter, stem_diameter))]
    fn new(
        py: Python<'_>,
        head_diameter: &Any<'_>,
        seat_width: &Any<'_>,
        seat_angle: &Any<'_>,
        port_diameter: &Any<'_>,
        stem_diameter: &Any<'_>,
    ) -> PyResult<Self> {
        read!(head_diameter, seat_width, seat_angle, port_diameter, stem_diameter);
        let made = PoppetValve::new(head_diameter, seat_width, seat_angle, port_diameter, stem_diameter);
        made.or_raise(py).map(Self)
    }

    /// The lift at which the plain curtain of the head diameter is as large as the throat.
    #[getter]
    fn lift_for_curtain<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.0.lift_for_curtain().shown(py)
    }

    /// The lift up to which the narrowest frustum stands at right angles to the seat; None for a flat seat, where it always does.
    #[getter]
    fn end_of_seat_stage<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.0.end_of_seat_stage().shown(py)
    }

    /// The lift from which the throat is the narrowest place: more lift opens nothing more.
    #[getter]
    fn lift_for_throat<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        found(py, self.0.lift_for_throat())
    }

    /// The minimum flow area at a lift, which may be array-valued.
    fn minimum_area<'py>(&self, lift: &Any<'py>) -> PyResult<Any<'py>> {
        let lifts = values_of("lift", Dimension::Length, lift)?;
        shaped_of(lift.py(), lifts, |si| self.0.minimum_area(Length::from_si(si)))
    }

    /// Which place is the narrowest at a lift: "seat", "seat edges" or "throat".
    fn stage(&self, py: Python<'_>, lift: &Any<'_>) -> PyResult<&'static str> {
        read!(lift);
        Ok(match self.0.stage(lift).or_raise(py)? {
            FlowStage::Seat => "seat",
            FlowStage::SeatEdges => "seat edges",
            FlowStage::Throat => "throat",
        })
    }
}

/// Mean gas speed through the valves, the area of all valves of the kind together.
#[pyfunction]
#[pyo3(signature = (*, mean_piston_speed, piston_area, valve_area))]
fn mean_gas_speed<'py>(
    py: Python<'py>,
    mean_piston_speed: &Any<'py>,
    piston_area: &Any<'py>,
    valve_area: &Any<'py>,
) -> PyResult<Any<'py>> {
    read!(mean_piston_speed, piston_area, valve_area);
    found(py, core::mean_gas_speed(mean_piston_speed, piston_area, valve_area))
}

/// Mach index, a float: mean gas speed through the nominal area of all intake valves over the mean flow coefficient and the speed of sound. Volumetric
/// efficiency falls off above about 0.6.
#[pyfunction]
#[pyo3(signature = (*, mean_gas_speed, flow_coefficient, speed_of_sound))]
fn mach_index(
    py: Python<'_>,
    mean_gas_speed: &Any<'_>,
    flow_coefficient: &Any<'_>,
    speed_of_sound: &Any<'_>,
) -> PyResult<f64> {
    read!(mean_gas_speed, flow_coefficient, speed_of_sound);
    core::mach_index(mean_gas_speed, flow_coefficient, speed_of_sound).or_raise(py).map(Dimensioned::si)
}

/// Speed of sound in dry air as an ideal gas.
#[pyfunction]
fn speed_of_sound_in_air<'py>(py: Python<'py>, temperature: &Any<'py>) -> PyResult<Any<'py>> {
    read!(temperature);
    found(py, core::speed_of_sound_in_air(temperature))
}

/// Volume of a runner that tapers straight from one area to another of the same shape.
#[pyfunction]
#[pyo3(signature = (*, length, entry_area, exit_area))]
fn runner_volume<'py>(
    py: Python<'py>,
    length: &Any<'py>,
    entry_area: &Any<'py>,
    exit_area: &Any<'py>,
) -> PyResult<Any<'py>> {
    read!(length, entry_area, exit_area);
    found(py, core::runner_volume(length, entry_area, exit_area))
}

/// The length of a runner between two areas that gives a volume.
#[pyfunction]
#[pyo3(signature = (*, volume, entry_area, exit_area))]
fn runner_length_for<'py>(
    py: Python<'py>,
    volume: &Any<'py>,
    entry_area: &Any<'py>,
    exit_area: &Any<'py>,
) -> PyResult<Any<'py>> {
    read!(volume, entry_area, exit_area);
    found(py, core::runner_length_for(volume, entry_area, exit_area))
}

/// Volume trapped at the closing of the intake valve, a crank angle after bottom dead centre: all above the piston then, the clearance volume included.
#[pyfunction]
#[pyo3(signature = (*, cylinder, clearance_volume, crank_intake_closing))]
fn trapped_volume<'py>(
    py: Python<'py>,
    cylinder: &PyCylinder,
    clearance_volume: &Any<'py>,
    crank_intake_closing: &Any<'py>,
) -> PyResult<Any<'py>> {
    read!(clearance_volume, crank_intake_closing);
    found(py, core::trapped_volume(&cylinder.0, clearance_volume, crank_intake_closing))
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_class::<PyPoppetValve>()?;
    m.add_function(wrap_pyfunction!(curtain_area, m)?)?;
    m.add_function(wrap_pyfunction!(mean_gas_speed, m)?)?;
    m.add_function(wrap_pyfunction!(mach_index, m)?)?;
    m.add_function(wrap_pyfunction!(speed_of_sound_in_air, m)?)?;
    m.add_function(wrap_pyfunction!(runner_volume, m)?)?;
    m.add_function(wrap_pyfunction!(runner_length_for, m)?)?;
    m.add_function(wrap_pyfunction!(trapped_volume, m)?)
}
