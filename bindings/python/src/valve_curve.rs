//! Lift curves: of programmes, polynomials and tables.

use crate::errors::OrRaise;
use crate::given::{list, values_of};
use crate::shown::{mapped, text};
use crate::value::{Shown, cam, found, read, value_class};
use crate::valve_lift::PyLift;
use pyo3::exceptions::{PyTypeError, PyValueError};
use pyo3::prelude::*;
use swept::Error;
use swept::units::{Angle, Dimension, Dimensioned, Length};
use swept::valvetrain::CamAngle;
use swept::valvetrain::lift::{Extreme, Extremes, Flank, LiftCurve, MeasuredLift, Programme, Ramp};

type Any<'py> = Bound<'py, PyAny>;

fn programme(name: &str) -> PyResult<Programme> {
    match name {
        "3-4-5" => Ok(Programme::Polynomial345),
        "4-5-6-7" => Ok(Programme::Polynomial4567),
        "cycloidal" => Ok(Programme::Cycloidal),
        "harmonic" => Ok(Programme::Harmonic),
        _ => Err(PyValueError::new_err(format!(
            "programme is {name:?}; write \"3-4-5\", \"4-5-6-7\", \"cycloidal\" or \"harmonic\""
        ))),
    }
}

/// One flank of a lobe: a motion programme ("3-4-5", "4-5-6-7", "cycloidal" or "harmonic") over a length of the cam, perhaps on a ramp that takes up the
/// lash at constant velocity; the length of the ramp, an angle of the cam too, comes on top of the flank's.
#[pyclass(frozen, name = "Flank", module = "swept")]
#[derive(Clone, PartialEq)]
pub(crate) struct PyFlank {
    programme: String,
    length: CamAngle,
    ramp: Option<Ramp>,
    flank: Flank,
}

#[pymethods]
impl PyFlank {
    #[new]
    #[pyo3(signature = (programme, *, cam_length, ramp_height = None, cam_ramp_length = None))]
    fn new(
        py: Python<'_>,
        programme: &str,
        cam_length: &Any<'_>,
        ramp_height: Option<&Any<'_>>,
        cam_ramp_length: Option<&Any<'_>>,
    ) -> PyResult<Self> {
        let length = cam("cam_length", cam_length)?;
        let flank = Flank::new(self::programme(programme)?, length).or_raise(py)?;
        let ramp = match (ramp_height, cam_ramp_length) {
            (None, None) => None,
            (Some(ramp_height), Some(over)) => {
                read!(ramp_height);
                Some(Ramp::new(ramp_height, cam("cam_ramp_length", over)?).or_raise(py)?)
            }
            _ => return Err(PyTypeError::new_err("a ramp has both ramp_height and cam_ramp_length")),
        };
        let flank = ramp.map_or(flank, |ramp| flank.with_ramp(ramp));
        Ok(Self { programme: programme.into(), length, ramp, flank })
    }

    /// Name of the motion programme.
    #[getter]
    fn programme(&self) -> &str {
        &self.programme
    }

    /// Length without the ramp, angle of the cam.
    #[getter]
    fn cam_length<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.length.shown(py)
    }

    /// Lift at the upper end of the ramp; None without one.
    #[getter]
    fn ramp_height<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.ramp.map(|r| r.height()).shown(py)
    }

    /// Length of the ramp, angle of the cam; None without one.
    #[getter]
    fn cam_ramp_length<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.ramp.map(|r| r.length()).shown(py)
    }

    /// Constant velocity of the ramp, per radian of the cam; None without one.
    #[getter]
    fn ramp_velocity<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.ramp.map(|r| r.velocity()).shown(py)
    }

    fn __repr__(&self, py: Python<'_>) -> PyResult<String> {
        let (height, over) = (self.ramp.map(|r| r.height()), self.ramp.map(|r| r.length()));
        Ok(format!(
            "Flank(\"{}\", cam_length={}, ramp_height={}, cam_ramp_length={})",
            self.programme,
            self.length.written(py)?,
            height.written(py)?,
            over.written(py)?
        ))
    }

    fn __eq__(&self, other: &Self) -> bool {
        self == other
    }
}

value_class! {
    /// A greatest or least value over a turn of the cam, and where it stands.
    PyExtreme(Extreme) named "Extreme" {
        /// Where, angle of the cam from the nose.
        cam_angle: |e| e.angle;
        /// What; a derivative is per radian of the cam, or per its square.
        value: |e| e.value;
    }
}

value_class! {
    /// Greatest and least velocity and acceleration over the lobe, each an `Extreme`.
    PyExtremes(Extremes) named "Extremes" {
        /// Greatest velocity, on the opening flank.
        greatest_velocity: |e| PyExtreme(e.greatest_velocity);
        /// Least velocity (the fastest closing), on the closing flank.
        least_velocity: |e| PyExtreme(e.least_velocity);
        /// Greatest acceleration.
        greatest_acceleration: |e| PyExtreme(e.greatest_acceleration);
        /// Least acceleration, where the spring must hold the valve train to the cam.
        least_acceleration: |e| PyExtreme(e.least_acceleration);
    }
}

/// Lift over a turn of the cam: one lobe with its nose at the cam angle zero, zero outside it. All its angles are angles of the cam, half as many
/// degrees as the crank turns meanwhile.
#[pyclass(frozen, name = "LiftCurve", module = "swept")]
#[derive(Clone, PartialEq)]
pub(crate) struct PyLiftCurve(pub(crate) LiftCurve);

impl Shown for PyLiftCurve {
    fn shown<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        Ok(Bound::new(py, self.clone())?.into_any())
    }
}

/// What the core's type of an exponent cannot hold is refused as the core refuses what is out of its range.
fn each_exponent(given: &[i64]) -> swept::Result<Vec<u8>> {
    let one = |(i, e): (usize, &i64)| {
        u8::try_from(*e).map_err(|_| Error::OutOfRange {
            field: format!("exponents[{}]", i + 1),
            value: e.to_string(),
            allowed: "2 to 100, each above the one before".into(),
        })
    };
    given.iter().enumerate().map(one).collect()
}

fn table(cam_angles: &Any<'_>, lifts: &Any<'_>) -> PyResult<(Vec<CamAngle>, Vec<Length>)> {
    let angles: Vec<Angle> = list("cam_angles", cam_angles)?;
    Ok((angles.into_iter().map(CamAngle::of_cam).collect(), list("lifts", lifts)?))
}

#[pymethods]
impl PyLiftCurve {
    /// A lobe of two flanks with a dwell of constant lift between them, whose middle is the nose; ``lift`` is the whole lift, ramps included.
    #[staticmethod]
    #[pyo3(signature = (*, lift, opening, closing = None, cam_dwell = None))]
    fn of_flanks(
        py: Python<'_>,
        lift: &Any<'_>,
        opening: &PyFlank,
        closing: Option<&PyFlank>,
        cam_dwell: Option<&Any<'_>>,
    ) -> PyResult<Self> {
        read!(lift);
        let dwell = cam_dwell.map_or(Ok(CamAngle::of_cam(Angle::from_si(0.0))), |d| cam("cam_dwell", d))?;
        let closing = closing.unwrap_or(opening);
        LiftCurve::of_flanks(lift, opening.flank, closing.flank, dwell).or_raise(py).map(Self)
    }

    /// A symmetrical polynomial lobe of three to six rising exponents, such as 2, 6, 10, 14, over a half length of the cam on either side of the nose.
    #[staticmethod]
    #[pyo3(signature = (*, exponents, lift, cam_half_length))]
    fn polynomial(
        py: Python<'_>,
        exponents: Vec<i64>,
        lift: &Any<'_>,
        cam_half_length: &Any<'_>,
    ) -> PyResult<Self> {
        read!(lift);
        let exponents = each_exponent(&exponents).or_raise(py)?;
        let half = cam("cam_half_length", cam_half_length)?;
        LiftCurve::polynomial(&exponents, lift, half).or_raise(py).map(Self)
    }

    /// The curve through the readings of a table: rising cam angles of any zero, over one lobe from base circle to base circle or over a whole turn.
    #[staticmethod]
    #[pyo3(signature = (*, cam_angles, lifts))]
    fn interpolated(py: Python<'_>, cam_angles: &Any<'_>, lifts: &Any<'_>) -> PyResult<PyMeasuredLift> {
        let (angles, lifts) = table(cam_angles, lifts)?;
        py.detach(|| LiftCurve::interpolated(&angles, &lifts)).or_raise(py).map(PyMeasuredLift)
    }

    /// The curve of a table whose readings have a known standard deviation, smoothed by no more than that; what is lost is stated beside it.
    #[staticmethod]
    #[pyo3(signature = (*, cam_angles, lifts, deviation))]
    fn smoothed(
        py: Python<'_>,
        cam_angles: &Any<'_>,
        lifts: &Any<'_>,
        deviation: &Any<'_>,
    ) -> PyResult<PyMeasuredLift> {
        let (angles, lifts) = table(cam_angles, lifts)?;
        read!(deviation);
        py.detach(|| LiftCurve::smoothed(&angles, &lifts, deviation)).or_raise(py).map(PyMeasuredLift)
    }

    /// Lift, velocity, acceleration and jerk at an angle of the cam from the nose, which may be array-valued.
    #[pyo3(signature = (*, cam_angle))]
    fn at(&self, cam_angle: &Any<'_>) -> PyResult<PyLift> {
        let angles = values_of("cam_angle", Dimension::Angle, cam_angle)?;
        PyLift::at_each(cam_angle.py(), angles, |a| Ok(self.0.at(CamAngle::of_cam(a))))
    }

    /// Lift at an angle of the cam from the nose, which may be array-valued.
    #[pyo3(signature = (*, cam_angle))]
    fn lift<'py>(&self, cam_angle: &Any<'py>) -> PyResult<Any<'py>> {
        let angles = values_of("cam_angle", Dimension::Angle, cam_angle)?;
        mapped(cam_angle.py(), angles, |a| self.0.lift(CamAngle::of_cam(Angle::from_si(a))))
    }

    /// Greatest lift: that of the nose.
    #[getter]
    fn maximum<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.0.maximum().shown(py)
    }

    /// Where the opening flank has a lift, angle of the cam: negative, or zero at the nose.
    fn cam_opening_at<'py>(&self, py: Python<'py>, lift: &Any<'py>) -> PyResult<Any<'py>> {
        read!(lift);
        found(py, self.0.opening_at(lift))
    }

    /// Where the closing flank has a lift, angle of the cam: positive, or zero at the nose.
    fn cam_closing_at<'py>(&self, py: Python<'py>, lift: &Any<'py>) -> PyResult<Any<'py>> {
        read!(lift);
        found(py, self.0.closing_at(lift))
    }

    /// How long a lift is exceeded, angle of the cam.
    fn cam_duration_at<'py>(&self, py: Python<'py>, lift: &Any<'py>) -> PyResult<Any<'py>> {
        read!(lift);
        found(py, self.0.duration_at(lift))
    }

    /// How long a lift is exceeded, crank angle: the duration as the trade states it.
    fn crank_duration_at<'py>(&self, py: Python<'py>, lift: &Any<'py>) -> PyResult<Any<'py>> {
        read!(lift);
        found(py, self.0.duration_at(lift).map(CamAngle::on_crank))
    }

    /// Area under the curve: a length, for it is the lift times the cam angle in radians.
    #[getter]
    fn area<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.0.area().shown(py)
    }

    /// Greatest and least velocity and acceleration, with the first angle where each stands.
    #[getter]
    fn extremes(&self) -> PyExtremes {
        PyExtremes(self.0.extremes())
    }

    fn __repr__(&self, py: Python<'_>) -> PyResult<String> {
        let closed = Length::from_si(0.0);
        let (opens, closes) =
            (self.0.opening_at(closed).or_raise(py)?, self.0.closing_at(closed).or_raise(py)?);
        Ok(format!(
            "<LiftCurve: {} over {} to {} of the cam>",
            text(py, self.0.maximum())?,
            text(py, opens.on_cam())?,
            text(py, closes.on_cam())?
        ))
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.0 == other.0
    }
}

value_class! {
    /// A lift curve from a table, and how it stands to the readings: the loss.
    PyMeasuredLift(MeasuredLift) named "MeasuredLift" {
        /// The curve, with its nose at the cam angle zero.
        curve: |m| PyLiftCurve(m.curve.clone());
        /// Where the nose was found, angle of the cam as in the table.
        cam_nose: |m| m.fit.nose;
        /// Root mean square of readings less curve.
        rms: |m| m.fit.rms;
        /// The reading farthest from the curve: reading less curve.
        largest: |m| m.fit.largest;
        /// Where that reading stands, angle of the cam as in the table.
        cam_largest_at: |m| m.fit.largest_at;
        /// Greatest reading less the greatest lift of the curve: above zero where smoothing took the top off.
        peak_lost: |m| m.fit.peak_lost;
        /// Angles of the cam, as in the table, where the acceleration jumps so that the flank stays monotone.
        cam_kinks: |m| m.fit.kinks.clone();
    }
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_class::<PyFlank>()?;
    m.add_class::<PyExtreme>()?;
    m.add_class::<PyExtremes>()?;
    m.add_class::<PyLiftCurve>()?;
    m.add_class::<PyMeasuredLift>()
}
