//! Flat and roller followers.

use crate::errors::OrRaise;
use crate::value::{Shown, found, or_zero, read, value_class};
use crate::valve_curve::{PyExtreme, PyLiftCurve};
use crate::valve_lift::PyLift;
use pyo3::prelude::*;
use swept::valvetrain::follower::{FlatFollower, FlatFollowerFace, PressureAngle, RollerFollower};

type Any<'py> = Bound<'py, PyAny>;

value_class! {
    /// How far the contact wanders over a flat face in a turn, from the follower's axis.
    PyFlatFollowerFace(FlatFollowerFace) named "FlatFollowerFace" {
        /// Farthest to the side whose surface rises: on the opening flank.
        opening: |f| PyExtreme(f.opening);
        /// Farthest to the other side, negative: on the closing flank.
        closing: |f| PyExtreme(f.closing);
    }

    /// Least width of a face that does not turn, with an allowance for both edges together.
    #[pyo3(signature = (allowance = None))]
    fn width<'py>(&self, py: Python<'py>, allowance: Option<&Any<'py>>) -> PyResult<Any<'py>> {
        found(py, self.0.width(or_zero("allowance", allowance)?))
    }

    /// Least diameter of a round face centred on the follower's axis, with an allowance for both edges together.
    #[pyo3(signature = (allowance = None))]
    fn diameter<'py>(&self, py: Python<'py>, allowance: Option<&Any<'py>>) -> PyResult<Any<'py>> {
        found(py, self.0.diameter(or_zero("allowance", allowance)?))
    }
}

value_class! {
    /// A follower with a flat face square to its travel, on a cam of a base circle.
    PyFlatFollower(FlatFollower) named "FlatFollower" {
        /// Radius of the base circle.
        base_radius: |f| f.base_radius();
    }

    #[new]
    #[pyo3(signature = (*, base_radius))]
    fn new(py: Python<'_>, base_radius: &Any<'_>) -> PyResult<Self> {
        read!(base_radius);
        FlatFollower::new(base_radius).or_raise(py).map(Self)
    }

    /// Radius of curvature of the cam's surface at the contact; below zero the surface cannot be made.
    fn radius_of_curvature<'py>(&self, py: Python<'py>, lift: &PyLift) -> PyResult<Any<'py>> {
        lift.figure(py, |l| Ok(self.0.radius_of_curvature(l)))
    }

    /// Distance of the contact from the follower's axis, positive on the side whose surface rises.
    fn contact<'py>(&self, py: Python<'py>, lift: &PyLift) -> PyResult<Any<'py>> {
        lift.figure(py, |l| Ok(self.0.contact(l)))
    }

    /// The point of the cam's surface that touches the face at a cam angle: x across, positive on the flank that opens, and y towards the nose.
    #[pyo3(signature = (lift, *, cam_angle))]
    fn profile<'py>(&self, lift: &PyLift, cam_angle: &Any<'py>) -> PyResult<(Any<'py>, Any<'py>)> {
        let x = lift.figure_at(cam_angle, |a, l| self.0.profile(a, l).x)?;
        Ok((x, lift.figure_at(cam_angle, |a, l| self.0.profile(a, l).y)?))
    }

    /// The least radius of curvature over a turn, and where.
    fn least_radius_of_curvature(&self, py: Python<'_>, curve: &PyLiftCurve) -> PyResult<PyExtreme> {
        py.detach(|| self.0.least_radius_of_curvature(|a| curve.0.at(a))).or_raise(py).map(PyExtreme)
    }

    /// The least radius of curvature, held against what is allowed; an error, with the base circle that would do, for a cam undercut or too sharp.
    #[pyo3(signature = (curve, *, allowed = None))]
    fn check_curvature(&self, py: Python<'_>, curve: &PyLiftCurve, allowed: Option<&Any<'_>>) -> PyResult<PyExtreme> {
        let allowed = or_zero("allowed", allowed)?;
        py.detach(|| self.0.check_curvature(|a| curve.0.at(a), allowed)).or_raise(py).map(PyExtreme)
    }

    /// The base circle radius that gives a least radius of curvature; zero where any would do.
    #[staticmethod]
    #[pyo3(signature = (curve, *, radius))]
    fn base_radius_for<'py>(py: Python<'py>, curve: &PyLiftCurve, radius: &Any<'py>) -> PyResult<Any<'py>> {
        read!(radius);
        found(py, py.detach(|| FlatFollower::base_radius_for(|a| curve.0.at(a), radius)))
    }

    /// How far the contact wanders over the face in a turn.
    fn face(&self, py: Python<'_>, curve: &PyLiftCurve) -> PyResult<PyFlatFollowerFace> {
        py.detach(|| self.0.face(|a| curve.0.at(a))).or_raise(py).map(PyFlatFollowerFace)
    }
}

value_class! {
    /// A pressure angle of a roller follower, and where on the cam it is.
    PyPressureAngle(PressureAngle) named "PressureAngle" {
        /// Where, angle of the cam from the nose.
        cam_angle: |p| p.angle;
        /// The angle between the push of the cam and the follower's travel, positive where the follower rises.
        value: |p| p.value;
    }
}

value_class! {
    /// A follower with a roller, on a cam of a base circle; the offset of its travel from the cam's axis is positive on the side whose surface rises.
    PyRollerFollower(RollerFollower) named "RollerFollower" {
        /// Radius of the base circle.
        base_radius: |f| f.base_radius();
        /// Radius of the roller.
        roller_radius: |f| f.roller_radius();
        /// Offset of the travel from the axis of the cam.
        offset: |f| f.offset();
    }

    #[new]
    #[pyo3(signature = (*, base_radius, roller_radius, offset = None))]
    fn new(
        py: Python<'_>,
        base_radius: &Any<'_>,
        roller_radius: &Any<'_>,
        offset: Option<&Any<'_>>,
    ) -> PyResult<Self> {
        read!(base_radius, roller_radius);
        RollerFollower::new(base_radius, roller_radius, or_zero("offset", offset)?).or_raise(py).map(Self)
    }

    /// Radius of the prime circle: base circle and roller.
    #[getter]
    fn prime_radius<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.0.prime_radius().shown(py)
    }

    /// Pressure angle, positive where the follower rises.
    fn pressure_angle<'py>(&self, py: Python<'py>, lift: &PyLift) -> PyResult<Any<'py>> {
        lift.figure(py, |l| Ok(self.0.pressure_angle(l)))
    }

    /// Radius of curvature of the pitch curve, positive where convex, negative where hollow, infinite where straight.
    fn pitch_radius_of_curvature<'py>(&self, py: Python<'py>, lift: &PyLift) -> PyResult<Any<'py>> {
        lift.figure(py, |l| Ok(self.0.pitch_radius_of_curvature(l)))
    }

    /// Radius of curvature of the cam's surface, positive where convex, negative where hollow.
    fn radius_of_curvature<'py>(&self, py: Python<'py>, lift: &PyLift) -> PyResult<Any<'py>> {
        lift.figure(py, |l| Ok(self.0.radius_of_curvature(l)))
    }

    /// The point of the cam's surface that touches the roller at a cam angle: x across, positive on the flank that opens, and y towards the nose.
    #[pyo3(signature = (lift, *, cam_angle))]
    fn profile<'py>(&self, lift: &PyLift, cam_angle: &Any<'py>) -> PyResult<(Any<'py>, Any<'py>)> {
        let x = lift.figure_at(cam_angle, |a, l| self.0.profile(a, l).x)?;
        Ok((x, lift.figure_at(cam_angle, |a, l| self.0.profile(a, l).y)?))
    }

    /// The greatest pressure angle over a turn, whatever its sign.
    fn greatest_pressure_angle(&self, py: Python<'_>, curve: &PyLiftCurve) -> PyResult<PyPressureAngle> {
        py.detach(|| self.0.greatest_pressure_angle(|a| curve.0.at(a))).or_raise(py).map(PyPressureAngle)
    }

    /// The greatest pressure angle, held against a limit; an error, with the base circle that would do, beyond it.
    #[pyo3(signature = (curve, *, most))]
    fn check_pressure_angle(&self, py: Python<'_>, curve: &PyLiftCurve, most: &Any<'_>) -> PyResult<PyPressureAngle> {
        read!(most);
        py.detach(|| self.0.check_pressure_angle(|a| curve.0.at(a), most)).or_raise(py).map(PyPressureAngle)
    }

    /// The base circle radius that gives a greatest pressure angle, with the same roller and offset; zero where any would do.
    #[pyo3(signature = (curve, *, most))]
    fn base_radius_for_pressure_angle<'py>(
        &self,
        py: Python<'py>,
        curve: &PyLiftCurve,
        most: &Any<'py>,
    ) -> PyResult<Any<'py>> {
        read!(most);
        found(py, py.detach(|| self.0.base_radius_for_pressure_angle(|a| curve.0.at(a), most)))
    }

    /// The least convex radius of curvature of the cam's surface over a turn, and where: zero or below where the cam is undercut.
    fn least_radius_of_curvature(&self, py: Python<'_>, curve: &PyLiftCurve) -> PyResult<PyExtreme> {
        py.detach(|| self.0.least_radius_of_curvature(|a| curve.0.at(a))).or_raise(py).map(PyExtreme)
    }

    /// The least convex radius of curvature, held against what is allowed; an error, with the base circle that would do, for a cam undercut or too sharp.
    #[pyo3(signature = (curve, *, allowed = None))]
    fn check_curvature(&self, py: Python<'_>, curve: &PyLiftCurve, allowed: Option<&Any<'_>>) -> PyResult<PyExtreme> {
        let allowed = or_zero("allowed", allowed)?;
        py.detach(|| self.0.check_curvature(|a| curve.0.at(a), allowed)).or_raise(py).map(PyExtreme)
    }

    /// The base circle radius that gives a least convex radius of curvature, with the same roller and offset.
    #[pyo3(signature = (curve, *, radius))]
    fn base_radius_for_curvature<'py>(
        &self,
        py: Python<'py>,
        curve: &PyLiftCurve,
        radius: &Any<'py>,
    ) -> PyResult<Any<'py>> {
        read!(radius);
        found(py, py.detach(|| self.0.base_radius_for_curvature(|a| curve.0.at(a), radius)))
    }

    /// The least hollow radius of the cam's surface over a turn, the greatest of a wheel that can grind it, and where; None on a cam convex all around.
    fn greatest_wheel_radius(&self, py: Python<'_>, curve: &PyLiftCurve) -> PyResult<Option<PyExtreme>> {
        let hollow = py.detach(|| self.0.greatest_wheel_radius(|a| curve.0.at(a))).or_raise(py)?;
        Ok(hollow.map(PyExtreme))
    }

    /// The hollow of the flank, held against the radius of the grinding wheel; an error for a wheel that does not fit.
    #[pyo3(signature = (curve, *, wheel_radius))]
    fn check_wheel(
        &self,
        py: Python<'_>,
        curve: &PyLiftCurve,
        wheel_radius: &Any<'_>,
    ) -> PyResult<Option<PyExtreme>> {
        read!(wheel_radius);
        let hollow = py.detach(|| self.0.check_wheel(|a| curve.0.at(a), wheel_radius)).or_raise(py)?;
        Ok(hollow.map(PyExtreme))
    }
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_class::<PyFlatFollowerFace>()?;
    m.add_class::<PyFlatFollower>()?;
    m.add_class::<PyPressureAngle>()?;
    m.add_class::<PyRollerFollower>()
}
