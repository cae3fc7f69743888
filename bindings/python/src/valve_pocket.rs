//! Clearance of a valve to the piston and to the walls of its pocket and of the bore.

use crate::cylinder::PyCylinder;
use crate::errors::OrRaise;
use crate::given::{list, values_of};
use crate::shown::{mapped_pair, shaped_of};
use crate::value::{Shown, count, or_zero, read, value_class};
use crate::valve_motion::PyValveMotion;
use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;
use swept::units::{Angle, Dimension, Dimensioned, Length};
use swept::valvetrain::pocket::{
    AdvanceLimits, ClearanceSearch, CrankGrid, CrownPocket, LeastClearance, LeastWall, MeasuredAlong,
    PistonAllowances, PistonToValve, ValveClearances, ValveHead, ValveMotion,
};

type Any<'py> = Bound<'py, PyAny>;

value_class! {
    /// A valve's head and where it sits: z along the cylinder axis, the offset in the plane of the tilt, positive to the side the head moves to when it opens.
    PyValveHead(ValveHead) named "ValveHead" {
        /// Diameter of the head.
        diameter: |h| h.diameter();
        /// Height of the rim above the lower face.
        margin: |h| h.margin();
        /// Angle of the stem to the cylinder axis.
        tilt: |h| h.tilt();
        /// Offset from the bore axis when seated, in the plane of the tilt.
        offset: |h| h.offset();
        /// Offset from the bore axis square to the plane of the tilt.
        sideways: |h| h.sideways();
        /// Height of the lower face's centre above the head's face plane when seated; positive: recessed.
        height: |h| h.height();
    }

    #[new]
    #[pyo3(signature = (*, diameter, margin, tilt, offset, height, sideways = None))]
    fn new(
        py: Python<'_>,
        diameter: &Any<'_>,
        margin: &Any<'_>,
        tilt: &Any<'_>,
        offset: &Any<'_>,
        height: &Any<'_>,
        sideways: Option<&Any<'_>>,
    ) -> PyResult<Self> {
        read!(diameter, margin, tilt, offset, height);
        ValveHead::new(diameter, margin, tilt, offset, or_zero("sideways", sideways)?, height).or_raise(py).map(Self)
    }
}

value_class! {
    /// A valve pocket in the crown, with its centre in the crown plane in the frame of its valve, and its depth below that centre along the cylinder axis.
    PyCrownPocket(CrownPocket) named "CrownPocket" {
        /// Offset of its centre from the bore axis, in the plane of the valve's tilt.
        offset: |p| p.offset();
        /// Offset of its centre square to that plane.
        sideways: |p| p.sideways();
        /// Diameter, square to its wall.
        diameter: |p| p.diameter();
        /// Depth below its centre in the crown plane, along the cylinder axis.
        depth: |p| p.depth();
        /// Angle of the floor to the crown plane: the tilt of the stem where it was cut along the stem.
        floor_angle: |p| p.floor_angle();
    }

    #[new]
    #[pyo3(signature = (*, offset, diameter, depth, floor_angle, sideways = None))]
    fn new(
        py: Python<'_>,
        offset: &Any<'_>,
        diameter: &Any<'_>,
        depth: &Any<'_>,
        floor_angle: &Any<'_>,
        sideways: Option<&Any<'_>>,
    ) -> PyResult<Self> {
        read!(offset, diameter, depth, floor_angle);
        CrownPocket::new(offset, or_zero("sideways", sideways)?, diameter, depth, floor_angle).or_raise(py).map(Self)
    }

    /// The same pocket of another depth.
    fn with_depth(&self, py: Python<'_>, depth: &Any<'_>) -> PyResult<Self> {
        read!(depth);
        self.0.with_depth(depth).or_raise(py).map(Self)
    }
}

value_class! {
    /// Clearances of a valve at one place of the piston and one lift; below zero where the parts would meet.
    PyValveClearances(ValveClearances) named "ValveClearances" {
        /// To the piston along the cylinder axis.
        axial: |c| c.axial;
        /// To the piston along the stem: how far the valve goes when pushed down until it touches.
        along_stem: |c| c.along_stem;
        /// From the rim to the pocket's wall, square to it; None while the rim is above the crown plane or without a pocket.
        pocket_wall: |c| c.pocket_wall;
        /// From the rim to the bore, square to the cylinder axis.
        bore_wall: |c| c.bore_wall;
    }
}

value_class! {
    /// The least clearance of a valve to its piston, and where it is.
    PyLeastClearance(LeastClearance) named "LeastClearance" {
        /// The clearance; below zero where the parts would meet.
        clearance: |l| l.clearance;
        /// The first crank angle looked at that has it, from overlap top dead centre.
        crank_angle: |l| l.crank;
        /// The lift there.
        lift: |l| l.lift;
        /// How many clearances were computed to find it.
        evaluations: |l| l.evaluations;
    }
}

value_class! {
    /// Between which advances, crank angles, a valve keeps a clearance.
    PyAdvanceLimits(AdvanceLimits) named "AdvanceLimits" {
        /// The least advance that keeps it, crank angle; negative: retard.
        crank_least: |a| a.least;
        /// The greatest advance that keeps it, crank angle.
        crank_greatest: |a| a.greatest;
        /// Whether every advance looked at between them keeps it too.
        unbroken: |a| a.unbroken;
    }
}

value_class! {
    /// The least clearance of the rim to a wall, and where it is.
    PyLeastWall(LeastWall) named "LeastWall" {
        /// The clearance; below zero where the parts would meet.
        clearance: |l| l.clearance;
        /// The first crank angle looked at that has it, from overlap top dead centre.
        crank_angle: |l| l.crank;
        /// The lift there.
        lift: |l| l.lift;
    }
}

fn measured(along: &str) -> PyResult<MeasuredAlong> {
    match along {
        "cylinder axis" => Ok(MeasuredAlong::CylinderAxis),
        "stem" => Ok(MeasuredAlong::Stem),
        _ => Err(PyValueError::new_err(format!("along is {along:?}; write \"cylinder axis\" or \"stem\""))),
    }
}

pub(crate) fn grid(py: Python<'_>, per_turn: i64) -> PyResult<CrankGrid> {
    CrankGrid::new(count(per_turn)).or_raise(py)
}

type Search<'a> = ClearanceSearch<'a, &'a (dyn Fn(Angle) -> Length + Sync)>;

/// Calls with a search of the core, without the lock of Python.
fn searched<T: Send>(
    py: Python<'_>,
    gap: &PistonToValve,
    motion: &PyValveMotion,
    (along, per_turn): (&str, i64),
    look: impl FnOnce(Search<'_>) -> swept::Result<T> + Send,
) -> PyResult<T> {
    let (along, grid) = (measured(along)?, grid(py, per_turn)?);
    let answer = py.detach(|| {
        let lift = |crank| motion.lift_or_nan(crank);
        let lift: &(dyn Fn(Angle) -> Length + Sync) = &lift;
        look(ClearanceSearch { gap, grid, along, motion: ValveMotion::new(lift, motion.peak())? })
    });
    answer.or_raise(py)
}

/// One valve above one piston.
///
/// ``piston_to_head`` is the distance at top dead centre, negative where the crown stands above the head's face plane. The allowances are what brings the
/// piston nearer to the head when running: stretch of the rod; clearance taken up in bearings and pin, with rock of the piston; growth with heat.
#[pyclass(frozen, name = "PistonToValve", module = "swept")]
#[derive(Clone, PartialEq)]
pub(crate) struct PyPistonToValve(PistonToValve);

#[pymethods]
impl PyPistonToValve {
    #[new]
    #[pyo3(signature = (
        *, cylinder, valve, piston_to_head, pocket = None, rod_stretch = None, bearing_and_rock = None, thermal = None
    ))]
    #[allow(clippy::too_many_arguments)] // Python's keywords
    fn new(
        py: Python<'_>,
        cylinder: &PyCylinder,
        valve: &PyValveHead,
        piston_to_head: &Any<'_>,
        pocket: Option<&PyCrownPocket>,
        rod_stretch: Option<&Any<'_>>,
        bearing_and_rock: Option<&Any<'_>>,
        thermal: Option<&Any<'_>>,
    ) -> PyResult<Self> {
        read!(piston_to_head);
        let allowances = PistonAllowances::new(
            or_zero("rod_stretch", rod_stretch)?,
            or_zero("bearing_and_rock", bearing_and_rock)?,
            or_zero("thermal", thermal)?,
        );
        let allowances = allowances.or_raise(py)?;
        let pocket = pocket.map(|p| p.0);
        PistonToValve::new(cylinder.0, valve.0, piston_to_head, pocket, allowances).or_raise(py).map(Self)
    }

    /// The cylinder.
    #[getter]
    fn cylinder(&self) -> PyCylinder {
        PyCylinder(*self.0.cylinder())
    }

    /// The valve.
    #[getter]
    fn valve(&self) -> PyValveHead {
        PyValveHead(*self.0.valve())
    }

    /// The pocket; None without one.
    #[getter]
    fn pocket(&self) -> Option<PyCrownPocket> {
        self.0.pocket().copied().map(PyCrownPocket)
    }

    /// Piston-to-head distance at top dead centre.
    #[getter]
    fn piston_to_head<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.0.piston_to_head().shown(py)
    }

    /// Sum of the allowances.
    #[getter]
    fn allowances<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.0.allowances().sum().shown(py)
    }

    /// All clearances at a crank angle from overlap top dead centre and a lift along the stem.
    #[pyo3(signature = (*, crank_angle, lift))]
    fn at(&self, py: Python<'_>, crank_angle: &Any<'_>, lift: &Any<'_>) -> PyResult<PyValveClearances> {
        read!(crank_angle, lift);
        self.0.at(crank_angle, lift).or_raise(py).map(PyValveClearances)
    }

    /// All clearances with the piston a distance below top dead centre, at a lift along the stem.
    #[pyo3(signature = (position, *, lift))]
    fn at_position(&self, py: Python<'_>, position: &Any<'_>, lift: &Any<'_>) -> PyResult<PyValveClearances> {
        read!(position, lift);
        self.0.at_position(position, lift).or_raise(py).map(PyValveClearances)
    }

    /// Clearances to the piston along the cylinder axis and along the stem at a crank angle from overlap top dead centre, which may be array-valued,
    /// with the valve where its motion has it.
    #[pyo3(signature = (*, crank_angle, motion))]
    fn clearances<'py>(
        &self,
        crank_angle: &Any<'py>,
        motion: &PyValveMotion,
    ) -> PyResult<(Any<'py>, Any<'py>)> {
        let angles = values_of("crank_angle", Dimension::Angle, crank_angle)?;
        mapped_pair(crank_angle.py(), angles, |si| {
            let crank = Angle::from_si(si);
            let found = self.0.at(crank, motion.lift_at(crank)?)?;
            Ok((found.axial, found.along_stem))
        })
    }

    /// Clearance of the rim to the bore, square to the cylinder axis, at a lift, which may be array-valued.
    fn bore_wall<'py>(&self, lift: &Any<'py>) -> PyResult<Any<'py>> {
        let lifts = values_of("lift", Dimension::Length, lift)?;
        let seated = Length::from_si(0.0);
        shaped_of(lift.py(), lifts, |si| Ok(self.0.at_position(seated, Length::from_si(si))?.bore_wall))
    }

    /// The least clearance over a turn of the crank about overlap top dead centre, measured along the "cylinder axis" or the "stem", in ``per_turn`` equal
    /// steps; computed at every angle or, with the same result, only where it can be.
    #[pyo3(signature = (motion, *, along = "stem", per_turn = 3600, every_angle = false))]
    fn least(
        &self,
        py: Python<'_>,
        motion: &PyValveMotion,
        along: &str,
        per_turn: i64,
        every_angle: bool,
    ) -> PyResult<PyLeastClearance> {
        let look = searched(py, &self.0, motion, (along, per_turn), |s| {
            if every_angle { s.every_angle() } else { s.bounded() }
        });
        look.map(PyLeastClearance)
    }

    /// The least clearance with the cam advanced by each of several crank angles; negative ones retard it.
    #[pyo3(signature = (motion, *, crank_advances, along = "stem", per_turn = 3600))]
    fn least_at_advances(
        &self,
        py: Python<'_>,
        motion: &PyValveMotion,
        crank_advances: &Any<'_>,
        along: &str,
        per_turn: i64,
    ) -> PyResult<Vec<PyLeastClearance>> {
        let advances: Vec<Angle> = list("crank_advances", crank_advances)?;
        let all = searched(py, &self.0, motion, (along, per_turn), |s| s.at_advances(&advances))?;
        Ok(all.into_iter().map(PyLeastClearance).collect())
    }

    /// The least and the greatest advance, crank angles from ``crank_low`` to ``crank_high``, at which the clearance is what is needed or more.
    #[pyo3(signature = (motion, *, needed, crank_low, crank_high, along = "stem", per_turn = 3600))]
    #[allow(clippy::too_many_arguments)] // Python's keywords
    fn advance_limits(
        &self,
        py: Python<'_>,
        motion: &PyValveMotion,
        needed: &Any<'_>,
        crank_low: &Any<'_>,
        crank_high: &Any<'_>,
        along: &str,
        per_turn: i64,
    ) -> PyResult<PyAdvanceLimits> {
        read!(needed, crank_low, crank_high);
        let limits = |s: Search<'_>| s.advance_limits(needed, crank_low, crank_high);
        searched(py, &self.0, motion, (along, per_turn), limits).map(PyAdvanceLimits)
    }

    /// How deep the pocket must be at its centre for a clearance; all else of the pocket stays.
    #[pyo3(signature = (motion, *, needed, along = "stem", per_turn = 3600))]
    fn pocket_depth<'py>(
        &self,
        py: Python<'py>,
        motion: &PyValveMotion,
        needed: &Any<'py>,
        along: &str,
        per_turn: i64,
    ) -> PyResult<Any<'py>> {
        read!(needed);
        searched(py, &self.0, motion, (along, per_turn), |s| s.pocket_depth(needed))?.shown(py)
    }

    /// The least clearance of the rim to the wall of its pocket over a turn; None without a pocket, or where the rim never comes below the crown plane.
    #[pyo3(signature = (motion, *, per_turn = 3600))]
    fn least_pocket_wall(
        &self,
        py: Python<'_>,
        motion: &PyValveMotion,
        per_turn: i64,
    ) -> PyResult<Option<PyLeastWall>> {
        let wall = searched(py, &self.0, motion, ("cylinder axis", per_turn), |s| s.least_pocket_wall())?;
        Ok(wall.map(PyLeastWall))
    }

    /// The least clearance of the rim to the bore over a turn.
    #[pyo3(signature = (motion, *, per_turn = 3600))]
    fn least_bore_wall(
        &self,
        py: Python<'_>,
        motion: &PyValveMotion,
        per_turn: i64,
    ) -> PyResult<Option<PyLeastWall>> {
        let wall = searched(py, &self.0, motion, ("cylinder axis", per_turn), |s| s.least_bore_wall())?;
        Ok(wall.map(PyLeastWall))
    }

    fn __repr__(&self, py: Python<'_>) -> PyResult<String> {
        let (valve, pocket) = (self.valve().written(py)?, self.pocket().written(py)?);
        let (stack, allowances) =
            (self.0.piston_to_head().written(py)?, self.0.allowances().sum().written(py)?);
        Ok(format!(
            "<PistonToValve: {valve}, pocket {pocket}, piston to head {stack}, allowances {allowances}>"
        ))
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.0 == other.0
    }
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_class::<PyValveHead>()?;
    m.add_class::<PyCrownPocket>()?;
    m.add_class::<PyValveClearances>()?;
    m.add_class::<PyLeastClearance>()?;
    m.add_class::<PyAdvanceLimits>()?;
    m.add_class::<PyLeastWall>()?;
    m.add_class::<PyPistonToValve>()
}
