//! A lobe at work: the valve's motion over the train and the lash, against the cam angle and against the crank angle.

use crate::errors::OrRaise;
use crate::given::{scalar, values_of};
use crate::value::{Shown, found, or_zero, read};
use crate::valve_curve::PyLiftCurve;
use crate::valve_lift::PyLift;
use crate::valve_rocker::PyTrain;
use pyo3::prelude::*;
use swept::units::{Angle, Dimension, Dimensioned, Length};
use swept::valvetrain::pocket::ValveMotion;
use swept::valvetrain::{CamAngle, Lift, LiftCurve, Train};

type Any<'py> = Bound<'py, PyAny>;

/// A valve's motion against the cam angle: a curve over a train, less the lash.
#[derive(Clone, PartialEq)]
pub(crate) struct Driven {
    curve: LiftCurve,
    train: Train,
    lash: Length,
}

impl Driven {
    /// Directly driven and without lash where nothing is said; refuses a train that cannot follow up to the nose.
    pub(crate) fn new(
        py: Python<'_>,
        curve: &PyLiftCurve,
        train: Option<&PyTrain>,
        lash: Option<&Any<'_>>,
    ) -> PyResult<Self> {
        let train = train.map_or_else(Train::direct, |t| t.0);
        let made = Self { curve: curve.0.clone(), train, lash: or_zero("lash", lash)? };
        made.greatest().or_raise(py)?;
        Ok(made)
    }

    pub(crate) fn at(&self, cam: CamAngle) -> swept::Result<Lift> {
        self.train.valve_with_lash(self.curve.at(cam), self.lash)
    }

    fn greatest(&self) -> swept::Result<Length> {
        let nose = Lift { lift: self.curve.maximum(), ..Lift::default() };
        Ok(self.train.valve_with_lash(nose, self.lash)?.lift)
    }
}

/// One valve moved by a lobe whose nose stands at a crank angle from overlap top dead centre: its lift along the stem.
///
/// The train is direct and the lash zero where nothing is said.
#[pyclass(frozen, name = "ValveMotion", module = "swept")]
#[derive(Clone, PartialEq)]
pub(crate) struct PyValveMotion {
    driven: Driven,
    centreline: Angle,
}

impl PyValveMotion {
    fn motion_at(&self, crank: Angle) -> swept::Result<Lift> {
        self.driven.at(CamAngle::of_crank(crank - self.centreline))
    }

    pub(crate) fn lift_at(&self, crank: Angle) -> swept::Result<Length> {
        Ok(self.motion_at(crank)?.lift)
    }

    pub(crate) fn peak(&self) -> Angle {
        self.centreline
    }

    /// Not a number where the train cannot follow, which the searches of the core refuse.
    pub(crate) fn lift_or_nan(&self, crank: Angle) -> Length {
        self.lift_at(crank).unwrap_or(Length::from_si(f64::NAN))
    }

    /// For the searches of the core.
    pub(crate) fn of_core(&self) -> swept::Result<ValveMotion<impl Fn(Angle) -> Length + '_>> {
        ValveMotion::new(|crank| self.lift_or_nan(crank), self.centreline)
    }
}

#[pymethods]
impl PyValveMotion {
    #[new]
    #[pyo3(signature = (curve, *, crank_centreline, train = None, lash = None))]
    fn new(
        py: Python<'_>,
        curve: &PyLiftCurve,
        crank_centreline: &Any<'_>,
        train: Option<&PyTrain>,
        lash: Option<&Any<'_>>,
    ) -> PyResult<Self> {
        let centreline = scalar("crank_centreline", crank_centreline)?;
        Ok(Self { driven: Driven::new(py, curve, train, lash)?, centreline })
    }

    /// The lobe's curve, lift of the lifter against the cam angle.
    #[getter]
    fn curve(&self) -> PyLiftCurve {
        PyLiftCurve(self.driven.curve.clone())
    }

    /// From the lifter to the valve.
    #[getter]
    fn train(&self) -> PyTrain {
        PyTrain(self.driven.train)
    }

    /// Lash at the valve.
    #[getter]
    fn lash<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.driven.lash.shown(py)
    }

    /// Crank angle of the nose, from overlap top dead centre.
    #[getter]
    fn crank_centreline<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.centreline.shown(py)
    }

    /// Greatest lift of the valve.
    #[getter]
    fn maximum<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        found(py, self.driven.greatest())
    }

    /// Motion of the valve at a crank angle from overlap top dead centre, which may be array-valued; the derivatives are by the cam angle.
    #[pyo3(signature = (*, crank_angle))]
    fn at(&self, crank_angle: &Any<'_>) -> PyResult<PyLift> {
        let angles = values_of("crank_angle", Dimension::Angle, crank_angle)?;
        PyLift::at_each(crank_angle.py(), angles, |crank| self.motion_at(crank))
    }

    /// The same valve with its cam earlier by a crank angle; later where it is negative.
    #[pyo3(signature = (*, crank_angle))]
    fn advanced(&self, crank_angle: &Any<'_>) -> PyResult<Self> {
        let py = crank_angle.py();
        read!(crank_angle);
        let moved = self.of_core().and_then(|m| Ok(m.advanced(crank_angle)?.peak())).or_raise(py)?;
        Ok(Self { driven: self.driven.clone(), centreline: moved })
    }

    fn __repr__(&self, py: Python<'_>) -> PyResult<String> {
        let curve = Bound::new(py, self.curve())?.repr()?.to_string();
        let train = Bound::new(py, self.train())?.repr()?.to_string();
        let (centreline, lash) = (self.centreline.written(py)?, self.driven.lash.written(py)?);
        Ok(format!("ValveMotion({curve}, crank_centreline={centreline}, train={train}, lash={lash})"))
    }

    fn __eq__(&self, other: &Self) -> bool {
        self == other
    }
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_class::<PyValveMotion>()
}
