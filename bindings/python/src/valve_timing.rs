//! Valve events, timing of a lobe and of a cam.

use crate::errors::OrRaise;
use crate::value::{Shown, cam, found, read, value_class};
use crate::valve_motion::PyValveMotion;
use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;
use swept::units::Angle;
use swept::valvetrain::{CamTiming, ValveEvents, ValveKind, ValveTiming};

type Any<'py> = Bound<'py, PyAny>;

fn kind(name: &str) -> PyResult<ValveKind> {
    match name {
        "intake" => Ok(ValveKind::Intake),
        "exhaust" => Ok(ValveKind::Exhaust),
        _ => Err(PyValueError::new_err(format!("kind is {name:?}; write \"intake\" or \"exhaust\""))),
    }
}

value_class! {
    /// The events of one valve as the trade writes them, in crank degrees, each from the dead centre it lies near; negative on the other side of it.
    ///
    /// Intake: opening before top, closing after bottom dead centre. Exhaust: opening before bottom, closing after top dead centre.
    PyValveEvents(ValveEvents) named "ValveEvents" {
        /// "intake" or "exhaust".
        kind: |e| e.kind.name();
        /// Opening before its dead centre, crank angle; negative after it.
        crank_opening_before: |e| e.opening;
        /// Closing after its dead centre, crank angle; negative before it.
        crank_closing_after: |e| e.closing;
    }

    #[new]
    #[pyo3(signature = (kind, *, crank_opening_before, crank_closing_after))]
    fn new(kind: &str, crank_opening_before: &Any<'_>, crank_closing_after: &Any<'_>) -> PyResult<Self> {
        read!(crank_opening_before, crank_closing_after);
        let kind = self::kind(kind)?;
        Ok(Self(ValveEvents { kind, opening: crank_opening_before, closing: crank_closing_after }))
    }

    /// Duration, crank angle: opening before, half a turn, closing after.
    #[getter]
    fn crank_duration<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        found(py, self.0.duration())
    }

    fn __str__(&self) -> String {
        self.0.to_string()
    }
}

value_class! {
    /// When one lobe holds its valve open beyond a stated lift. All its angles are crank angles, from overlap top dead centre, positive in running
    /// direction: the intake's centreline is above zero, the exhaust's below.
    PyValveTiming(ValveTiming) named "ValveTiming" {
        /// Crank angle of the nose, from overlap top dead centre.
        crank_centreline: |t| t.centreline();
        /// Crank angle from the lift on the way up to the centreline.
        crank_opening_flank: |t| t.opening_flank();
        /// Crank angle from the centreline to the lift on the way down.
        crank_closing_flank: |t| t.closing_flank();
        /// The lift at which the valve counts as open.
        lift: |t| t.lift();
    }

    /// A lobe alike on both flanks, from its centreline and its duration at a lift, both crank angles.
    #[staticmethod]
    #[pyo3(signature = (*, crank_centreline, crank_duration, lift))]
    fn symmetrical(py: Python<'_>, crank_centreline: &Any<'_>, crank_duration: &Any<'_>, lift: &Any<'_>) -> PyResult<Self> {
        read!(crank_centreline, crank_duration, lift);
        ValveTiming::symmetrical(crank_centreline, crank_duration, lift).or_raise(py).map(Self)
    }

    /// A lobe with flanks of their own: the crank angles from the lift to the centreline and from the centreline to the lift.
    #[staticmethod]
    #[pyo3(signature = (*, crank_centreline, crank_opening_flank, crank_closing_flank, lift))]
    fn asymmetrical(
        py: Python<'_>,
        crank_centreline: &Any<'_>,
        crank_opening_flank: &Any<'_>,
        crank_closing_flank: &Any<'_>,
        lift: &Any<'_>,
    ) -> PyResult<Self> {
        read!(crank_centreline, crank_opening_flank, crank_closing_flank, lift);
        let made = ValveTiming::asymmetrical(crank_centreline, crank_opening_flank, crank_closing_flank, lift);
        made.or_raise(py).map(Self)
    }

    /// A lobe alike on both flanks, from its events: the centreline is midway.
    #[staticmethod]
    #[pyo3(signature = (events, *, lift))]
    fn from_events(py: Python<'_>, events: &PyValveEvents, lift: &Any<'_>) -> PyResult<Self> {
        read!(lift);
        ValveTiming::from_events(events.0, lift).or_raise(py).map(Self)
    }

    /// A lobe with flanks of their own, from its events and the centreline found at the nose, a crank angle.
    #[staticmethod]
    #[pyo3(signature = (events, *, crank_centreline, lift))]
    fn from_events_and_centreline(
        py: Python<'_>,
        events: &PyValveEvents,
        crank_centreline: &Any<'_>,
        lift: &Any<'_>,
    ) -> PyResult<Self> {
        read!(crank_centreline, lift);
        ValveTiming::from_events_and_centreline(events.0, crank_centreline, lift).or_raise(py).map(Self)
    }

    /// "intake" or "exhaust", by the side of the centreline.
    #[getter]
    fn kind(&self) -> &'static str {
        self.0.kind().name()
    }

    /// Crank angle of the opening, from overlap top dead centre.
    #[getter]
    fn crank_opening<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.0.opening().shown(py)
    }

    /// Crank angle of the closing, from overlap top dead centre.
    #[getter]
    fn crank_closing<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.0.closing().shown(py)
    }

    /// Crank angle for which the valve is open beyond the lift.
    #[getter]
    fn crank_duration<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.0.duration().shown(py)
    }

    /// The events as the trade writes them.
    #[getter]
    fn events(&self) -> PyValveEvents {
        PyValveEvents(self.0.events())
    }

    /// The same lobe earlier by a crank angle; later where it is negative.
    #[pyo3(signature = (*, crank_angle))]
    fn advanced(&self, py: Python<'_>, crank_angle: &Any<'_>) -> PyResult<Self> {
        read!(crank_angle);
        self.0.advanced(crank_angle).or_raise(py).map(Self)
    }

    /// By how much this installed lobe is earlier than it was ground, crank angle; negative where it is later.
    fn crank_advance_over<'py>(&self, py: Python<'py>, ground: &Self) -> PyResult<Any<'py>> {
        self.0.advance_over(&ground.0).shown(py)
    }
}

value_class! {
    /// The timing of the intake and the exhaust lobe of one cylinder, at one lift.
    PyCamTiming(CamTiming) named "CamTiming" {
        /// The intake lobe.
        intake: |c| PyValveTiming(c.intake());
        /// The exhaust lobe.
        exhaust: |c| PyValveTiming(c.exhaust());
    }

    #[new]
    #[pyo3(signature = (*, intake, exhaust))]
    fn new(py: Python<'_>, intake: &PyValveTiming, exhaust: &PyValveTiming) -> PyResult<Self> {
        CamTiming::new(intake.0, exhaust.0).or_raise(py).map(Self)
    }

    /// Two lobes alike on both flanks, from the lobe separation, an angle of the cam, and the advance (positive: both earlier) and durations at a lift,
    /// crank angles.
    #[staticmethod]
    #[pyo3(signature = (*, cam_separation, crank_advance, crank_intake_duration, crank_exhaust_duration, lift))]
    fn from_separation(
        py: Python<'_>,
        cam_separation: &Any<'_>,
        crank_advance: &Any<'_>,
        crank_intake_duration: &Any<'_>,
        crank_exhaust_duration: &Any<'_>,
        lift: &Any<'_>,
    ) -> PyResult<Self> {
        let separation = cam("cam_separation", cam_separation)?;
        read!(crank_advance, crank_intake_duration, crank_exhaust_duration, lift);
        let (intake, exhaust): (Angle, Angle) = (crank_intake_duration, crank_exhaust_duration);
        CamTiming::from_separation(separation, crank_advance, intake, exhaust, lift).or_raise(py).map(Self)
    }

    /// Lobe separation (lobe centre angle): the angle of the cam between the two noses.
    #[getter]
    fn cam_separation<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.0.lobe_separation().shown(py)
    }

    /// Advance, crank angle; positive: both lobes earlier than split evenly about overlap top dead centre.
    #[getter]
    fn crank_advance<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.0.advance().shown(py)
    }

    /// Crank angle from the intake opening to the exhaust closing, at the lift of the timing; negative: no overlap, and by how much.
    #[getter]
    fn crank_overlap<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.0.overlap().shown(py)
    }

    /// The same cam earlier by a crank angle; later where it is negative.
    #[pyo3(signature = (*, crank_angle))]
    fn advanced(&self, py: Python<'_>, crank_angle: &Any<'_>) -> PyResult<Self> {
        read!(crank_angle);
        self.0.advanced(crank_angle).or_raise(py).map(Self)
    }

    /// By how much this installed cam is earlier than it was ground, crank angle; negative where it is later.
    fn crank_advance_over<'py>(&self, py: Python<'py>, ground: &Self) -> PyResult<Any<'py>> {
        self.0.advance_over(&ground.0).shown(py)
    }

    /// Area under the lesser of both lifts from the intake opening to the exhaust closing; zero without overlap.
    ///
    /// A length, for it is the lift times the crank angle in radians: pint converts it to "mm degree".
    #[pyo3(signature = (*, intake, exhaust))]
    fn overlap_area<'py>(&self, py: Python<'py>, intake: &PyValveMotion, exhaust: &PyValveMotion) -> PyResult<Any<'py>> {
        let area = py.detach(|| self.0.overlap_area(|a| intake.lift_or_nan(a), |a| exhaust.lift_or_nan(a)));
        found(py, area)
    }
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_class::<PyValveEvents>()?;
    m.add_class::<PyValveTiming>()?;
    m.add_class::<PyCamTiming>()
}
