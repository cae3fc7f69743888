//! Lift at an angle of the cam, with its derivatives.

use crate::errors::OrRaise;
use crate::given::{Values, values_of};
use crate::shown::shaped;
use crate::value::Shown;
use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;
use swept::units::{Angle, Dimension, Dimensioned, Length};
use swept::valvetrain::CamAngle;
use swept::valvetrain::lift::Lift;

type Any<'py> = Bound<'py, PyAny>;

/// Lift and its derivatives by the cam angle, at one angle or, array-valued, at many.
///
/// The derivatives are lengths: velocity per radian of the cam, acceleration per radian of the cam squared, jerk per radian cubed. pint converts a
/// velocity to "mm/degree", degrees of the cam.
#[pyclass(frozen, name = "Lift", module = "swept")]
#[derive(Clone, PartialEq)]
pub(crate) struct PyLift {
    all: Vec<Lift>,
    shape: Option<Vec<usize>>,
}

impl PyLift {
    /// Some motion at each of the angles.
    pub(crate) fn at_each(
        py: Python<'_>,
        angles: Values<'_>,
        motion: impl Fn(Angle) -> swept::Result<Lift> + Sync,
    ) -> PyResult<Self> {
        let (angles, shape) = split(angles)?;
        let all = py.detach(|| angles.into_iter().map(|a| motion(Angle::from_si(a))).collect());
        swept::Result::or_raise(all, py).map(|all| Self { all, shape })
    }

    /// Another motion from each.
    pub(crate) fn mapped(
        &self,
        py: Python<'_>,
        f: impl Fn(Lift) -> swept::Result<Lift> + Sync,
    ) -> PyResult<Self> {
        let all = py.detach(|| self.all.iter().map(|lift| f(*lift)).collect());
        swept::Result::or_raise(all, py).map(|all| Self { all, shape: self.shape.clone() })
    }

    /// A figure of each.
    pub(crate) fn figure<'py, Q: Dimensioned + Send>(
        &self,
        py: Python<'py>,
        f: impl Fn(Lift) -> swept::Result<Q> + Sync,
    ) -> PyResult<Any<'py>> {
        let all: swept::Result<Vec<Q>> = py.detach(|| self.all.iter().map(|lift| f(*lift)).collect());
        shaped(py, &all.or_raise(py)?, self.shape.as_deref())
    }

    /// A figure of each at the cam angle it belongs to.
    pub(crate) fn figure_at<'py, Q: Dimensioned + Send>(
        &self,
        cam_angle: &Any<'py>,
        f: impl Fn(CamAngle, Lift) -> Q + Sync,
    ) -> PyResult<Any<'py>> {
        let py = cam_angle.py();
        let (angles, shape) = split(values_of("cam_angle", Dimension::Angle, cam_angle)?)?;
        if shape != self.shape {
            return Err(PyValueError::new_err("cam_angle must have the shape of the lift"));
        }
        let pairs = angles.into_iter().zip(&self.all);
        let all: Vec<Q> =
            py.detach(|| pairs.map(|(a, lift)| f(CamAngle::of_cam(Angle::from_si(a)), *lift)).collect());
        shaped(py, &all, self.shape.as_deref())
    }
}

/// The values, and the shape of an array.
fn split(values: Values<'_>) -> PyResult<(Vec<f64>, Option<Vec<usize>>)> {
    match values {
        Values::One(si) => Ok((vec![si], None)),
        Values::Many(all, shape) => Ok((all, Some(shape.extract()?))),
    }
}

#[pymethods]
impl PyLift {
    #[new]
    #[pyo3(signature = (*, lift, velocity, acceleration, jerk = None))]
    fn new(
        lift: &Any<'_>,
        velocity: &Any<'_>,
        acceleration: &Any<'_>,
        jerk: Option<&Any<'_>>,
    ) -> PyResult<Self> {
        let read = |field: &str, given| split(values_of(field, Dimension::Length, given)?);
        let (lift, shape) = read("lift", lift)?;
        let alike = |field: &str, given| {
            let (all, its) = read(field, given)?;
            let wrong = || PyValueError::new_err(format!("{field} must have the shape of lift"));
            if its == shape { Ok(all) } else { Err(wrong()) }
        };
        let (velocity, acceleration) = (alike("velocity", velocity)?, alike("acceleration", acceleration)?);
        let jerk = jerk.map_or_else(|| Ok(vec![0.0; lift.len()]), |jerk| alike("jerk", jerk))?;
        let of = Length::from_si;
        let rows = lift.into_iter().zip(velocity).zip(acceleration.into_iter().zip(jerk));
        let row = |((s, v), (a, j))| Lift { lift: of(s), velocity: of(v), acceleration: of(a), jerk: of(j) };
        Ok(Self { all: rows.map(row).collect(), shape })
    }

    /// Lift, zero on the base circle, positive away from it.
    #[getter]
    fn lift<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.figure(py, |l| Ok(l.lift))
    }

    /// First derivative, per radian of the cam.
    #[getter]
    fn velocity<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.figure(py, |l| Ok(l.velocity))
    }

    /// Second derivative, per radian of the cam squared.
    #[getter]
    fn acceleration<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.figure(py, |l| Ok(l.acceleration))
    }

    /// Third derivative, per radian of the cam cubed.
    #[getter]
    fn jerk<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.figure(py, |l| Ok(l.jerk))
    }

    fn __repr__(&self, py: Python<'_>) -> PyResult<String> {
        match (&self.shape, self.all.as_slice()) {
            (None, [l]) => Ok(format!(
                "Lift(lift={}, velocity={}, acceleration={}, jerk={})",
                l.lift.written(py)?,
                l.velocity.written(py)?,
                l.acceleration.written(py)?,
                l.jerk.written(py)?
            )),
            (_, all) => Ok(format!("<Lift at {} angles>", all.len())),
        }
    }

    fn __eq__(&self, other: &Self) -> bool {
        self == other
    }
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_class::<PyLift>()
}
