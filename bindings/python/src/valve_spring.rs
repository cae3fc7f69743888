//! Valve springs: rate, load, heights, coil bind, stress, natural frequency.

use crate::errors::OrRaise;
use crate::given::{scalar, values_of};
use crate::records::parts;
use crate::shown::shaped_of;
use crate::value::{Shown, count, found, read, value_class};
use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;
use swept::units::{Dimension, Dimensioned, Force, Length};
use swept::valvetrain::spring::{self as core, HelicalSpring, InstalledSpring, SpringSet, ValveSpring};

type Any<'py> = Bound<'py, PyAny>;

/// A tuple of a height and the load there.
fn reading(field: &str, given: &Any<'_>) -> PyResult<(Length, Force)> {
    let [height, load] = parts(field, given, "a tuple of a height and the load there")?;
    Ok((scalar(&format!("{field} height"), &height)?, scalar(&format!("{field} load"), &load)?))
}

/// A spring's rate from two readings, each a tuple of a height and the load there.
#[pyfunction]
#[pyo3(signature = (*, first, second))]
fn rate_from_readings<'py>(py: Python<'py>, first: &Any<'py>, second: &Any<'py>) -> PyResult<Any<'py>> {
    found(py, core::rate_from_readings(reading("first", first)?, reading("second", second)?))
}

value_class! {
    /// A spring as the bench shows it: its rate, the load at a height, and its solid height. Heights are those of the spring under load.
    PyValveSpring(ValveSpring) named "ValveSpring" {
        /// Rate.
        rate: |s| s.rate();
        /// Free height, by the rate: where the load is none.
        free_height: |s| s.free_height();
        /// Solid height, all coils touching.
        solid_height: |s| s.solid_height();
    }

    #[new]
    #[pyo3(signature = (*, rate, height, load, solid_height))]
    fn new(
        py: Python<'_>,
        rate: &Any<'_>,
        height: &Any<'_>,
        load: &Any<'_>,
        solid_height: &Any<'_>,
    ) -> PyResult<Self> {
        read!(rate, height, load, solid_height);
        ValveSpring::new(rate, height, load, solid_height).or_raise(py).map(Self)
    }

    /// From two readings, each a tuple of a height and the load there, and the solid height.
    #[staticmethod]
    #[pyo3(signature = (*, first, second, solid_height))]
    fn from_readings(
        py: Python<'_>,
        first: &Any<'_>,
        second: &Any<'_>,
        solid_height: &Any<'_>,
    ) -> PyResult<Self> {
        read!(solid_height);
        let (first, second) = (reading("first", first)?, reading("second", second)?);
        ValveSpring::from_readings(first, second, solid_height).or_raise(py).map(Self)
    }

    /// Load at a height, which may be array-valued.
    fn load_at<'py>(&self, height: &Any<'py>) -> PyResult<Any<'py>> {
        let heights = values_of("height", Dimension::Length, height)?;
        shaped_of(height.py(), heights, |si| self.0.load_at(Length::from_si(si)))
    }

    /// Height at a load.
    fn height_at<'py>(&self, py: Python<'py>, load: &Any<'py>) -> PyResult<Any<'py>> {
        read!(load);
        found(py, self.0.height_at(load))
    }
}

value_class! {
    /// A spring at its installed height, that with the valve seated.
    PyInstalledSpring(InstalledSpring) named "InstalledSpring" {
        /// The spring.
        spring: |s| PyValveSpring(*s.spring());
        /// Installed height.
        height: |s| s.height();
    }

    #[new]
    #[pyo3(signature = (spring, *, height))]
    fn new(py: Python<'_>, spring: &PyValveSpring, height: &Any<'_>) -> PyResult<Self> {
        read!(height);
        InstalledSpring::new(spring.0, height).or_raise(py).map(Self)
    }

    /// Load with the valve seated.
    #[getter]
    fn seat_load<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.0.seat_load().shown(py)
    }

    /// Height at a lift of the valve.
    fn open_height<'py>(&self, py: Python<'py>, lift: &Any<'py>) -> PyResult<Any<'py>> {
        read!(lift);
        found(py, self.0.open_height(lift))
    }

    /// Load at a lift of the valve, which may be array-valued.
    fn load<'py>(&self, lift: &Any<'py>) -> PyResult<Any<'py>> {
        let lifts = values_of("lift", Dimension::Length, lift)?;
        shaped_of(lift.py(), lifts, |si| self.0.load(Length::from_si(si)))
    }

    /// Coil-bind margin at a lift of the valve: open height less solid height; below zero the coils would bind before that lift.
    fn coil_bind_margin<'py>(&self, py: Python<'py>, lift: &Any<'py>) -> PyResult<Any<'py>> {
        read!(lift);
        found(py, self.0.coil_bind_margin(lift))
    }

    /// Thickness of shim under the spring that brings a load with the valve seated; below zero, what to take out.
    fn shim_for<'py>(&self, py: Python<'py>, seat_load: &Any<'py>) -> PyResult<Any<'py>> {
        read!(seat_load);
        found(py, self.0.shim_for(seat_load))
    }

    /// The same with a shim more under the spring; below zero, with that much taken out.
    fn shimmed(&self, py: Python<'_>, thickness: &Any<'_>) -> PyResult<Self> {
        read!(thickness);
        self.0.shimmed(thickness).or_raise(py).map(Self)
    }
}

value_class! {
    /// Springs that act on one valve, nested or one alone: rates and loads add, the first to bind stops the valve.
    PySpringSet(SpringSet) named "SpringSet" {
        /// Sum of the rates.
        rate: |s| s.rate();
        /// Sum of the loads with the valve seated.
        seat_load: |s| s.seat_load();
        /// Lift at which the first spring binds.
        lift_to_bind: |s| s.lift_to_bind();
    }

    #[new]
    #[pyo3(signature = (springs, /))]
    fn new(py: Python<'_>, springs: Vec<PyRef<'_, PyInstalledSpring>>) -> PyResult<Self> {
        let springs: Vec<InstalledSpring> = springs.iter().map(|s| s.0).collect();
        SpringSet::of(&springs).or_raise(py).map(Self)
    }

    /// Sum of the loads at a lift of the valve, which may be array-valued.
    fn load<'py>(&self, lift: &Any<'py>) -> PyResult<Any<'py>> {
        let lifts = values_of("lift", Dimension::Length, lift)?;
        shaped_of(lift.py(), lifts, |si| self.0.load(Length::from_si(si)))
    }

    /// Coil-bind margin of the first spring to bind; below zero it would bind before that lift.
    fn coil_bind_margin<'py>(&self, py: Python<'py>, lift: &Any<'py>) -> PyResult<Any<'py>> {
        read!(lift);
        found(py, self.0.coil_bind_margin(lift))
    }
}

/// A cylindrical helical compression spring of round wire; the mean diameter is the outside less the wire.
#[pyclass(frozen, name = "HelicalSpring", module = "swept")]
#[derive(Clone, PartialEq)]
pub(crate) struct PyHelicalSpring(HelicalSpring);

#[pymethods]
impl PyHelicalSpring {
    #[new]
    #[pyo3(signature = (*, wire, mean_diameter, active_coils, total_coils))]
    fn new(
        py: Python<'_>,
        wire: &Any<'_>,
        mean_diameter: &Any<'_>,
        active_coils: &Any<'_>,
        total_coils: &Any<'_>,
    ) -> PyResult<Self> {
        read!(wire, mean_diameter, active_coils, total_coils);
        HelicalSpring::new(wire, mean_diameter, active_coils, total_coils).or_raise(py).map(Self)
    }

    /// With squared and ground ends: two coils more than active ones.
    #[staticmethod]
    #[pyo3(signature = (*, wire, mean_diameter, active_coils))]
    fn squared_and_ground(
        py: Python<'_>,
        wire: &Any<'_>,
        mean_diameter: &Any<'_>,
        active_coils: &Any<'_>,
    ) -> PyResult<Self> {
        read!(wire, mean_diameter, active_coils);
        HelicalSpring::squared_and_ground(wire, mean_diameter, active_coils).or_raise(py).map(Self)
    }

    /// Spring index: mean diameter over wire diameter, a float.
    #[getter]
    fn index(&self) -> f64 {
        self.0.index().si()
    }

    /// Solid height with ground ends.
    #[getter]
    fn solid_height<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.0.solid_height().shown(py)
    }

    /// Wahl's factor, for curvature and direct shear, a float.
    #[getter]
    fn wahl_factor(&self) -> f64 {
        self.0.wahl_factor().si()
    }

    /// Bergstraesser's factor, for curvature and direct shear, a float.
    #[getter]
    fn bergstraesser_factor(&self) -> f64 {
        self.0.bergstraesser_factor().si()
    }

    /// Rate, from the wire's shear modulus.
    #[pyo3(signature = (*, shear_modulus))]
    fn rate<'py>(&self, py: Python<'py>, shear_modulus: &Any<'py>) -> PyResult<Any<'py>> {
        read!(shear_modulus);
        found(py, self.0.rate(shear_modulus))
    }

    /// Mass of the active coils, from the wire's density, a float in kg/m3.
    #[pyo3(signature = (*, density))]
    fn active_mass<'py>(&self, py: Python<'py>, density: f64) -> PyResult<Any<'py>> {
        found(py, self.0.active_mass(density))
    }

    /// Shear stress on the inside of the coil under a load, with the factor "wahl" or "bergstraesser".
    #[pyo3(signature = (load, *, factor = "bergstraesser"))]
    fn shear_stress<'py>(&self, py: Python<'py>, load: &Any<'py>, factor: &str) -> PyResult<Any<'py>> {
        let factor = match factor {
            "wahl" => self.0.wahl_factor(),
            "bergstraesser" => self.0.bergstraesser_factor(),
            _ => {
                let message = format!("factor is {factor:?}; write \"wahl\" or \"bergstraesser\"");
                return Err(PyValueError::new_err(message));
            }
        };
        read!(load);
        found(py, self.0.shear_stress(load, factor))
    }

    fn __repr__(&self, py: Python<'_>) -> PyResult<String> {
        let solid = self.0.solid_height().written(py)?;
        Ok(format!("<HelicalSpring: index {}, solid height {solid}>", self.0.index().written(py)?))
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.0 == other.0
    }
}

/// Clearance of the retainer to the seal or the guide at a lift, from the gap with the valve seated; below zero they would meet.
#[pyfunction]
#[pyo3(signature = (*, installed_gap, lift))]
fn retainer_clearance<'py>(py: Python<'py>, installed_gap: &Any<'py>, lift: &Any<'py>) -> PyResult<Any<'py>> {
    read!(installed_gap, lift);
    found(py, core::retainer_clearance(installed_gap, lift))
}

/// Lowest natural frequency of a spring between two ends that hold still (surge), from its rate and the mass of its active coils.
#[pyfunction]
#[pyo3(signature = (*, rate, active_mass))]
fn surge_frequency<'py>(py: Python<'py>, rate: &Any<'py>, active_mass: &Any<'py>) -> PyResult<Any<'py>> {
    read!(rate, active_mass);
    found(py, core::surge_frequency(rate, active_mass))
}

/// A natural frequency over that of a harmonic of the cam, a float; at 1 the harmonic meets it. The speed is the crank's.
#[pyfunction]
#[pyo3(signature = (*, frequency, crank_speed, harmonic = 1))]
fn harmonic_frequency_ratio(
    py: Python<'_>,
    frequency: &Any<'_>,
    crank_speed: &Any<'_>,
    harmonic: i64,
) -> PyResult<f64> {
    read!(frequency, crank_speed);
    core::harmonic_frequency_ratio(frequency, crank_speed, count(harmonic)).or_raise(py).map(Dimensioned::si)
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_class::<PyValveSpring>()?;
    m.add_class::<PyInstalledSpring>()?;
    m.add_class::<PySpringSet>()?;
    m.add_class::<PyHelicalSpring>()?;
    m.add_function(wrap_pyfunction!(rate_from_readings, m)?)?;
    m.add_function(wrap_pyfunction!(retainer_clearance, m)?)?;
    m.add_function(wrap_pyfunction!(surge_frequency, m)?)?;
    m.add_function(wrap_pyfunction!(harmonic_frequency_ratio, m)?)
}
