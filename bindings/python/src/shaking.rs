//! Shaking forces and moments of any layout.

use crate::cylinder::PyCylinder;
use crate::errors::OrRaise;
use crate::given::{positive, scalar, values_of};
use crate::records::{Record, each};
use crate::shown::{exact, mapped_pair, quantity, text};
use pyo3::prelude::*;
use pyo3::types::{PyComplex, PyDict, PyList};
use swept::Error;
use swept::balance::shaking::HIGHEST_ORDER;
use swept::balance::{self as core, Harmonic, RotatingMass, ShakingCylinder, ShakingEngine};
use swept::geometry::Station;
use swept::units::{Angle, AngularVelocity, Dimension, Dimensioned};

type Any<'py> = Bound<'py, PyAny>;

/// One order of a shaking force or moment at a speed: a vector that turns with the crank and one that turns against it.
///
/// A direction across the crank is an angle from bank angle zero, positive in running direction.
#[pyclass(frozen, name = "Harmonic", module = "swept")]
pub(crate) struct PyHarmonic {
    harmonic: Harmonic,
    speed: AngularVelocity,
    is_moment: bool,
}

impl PyHarmonic {
    /// An amount as the force or the moment that it is at the speed.
    fn amount<'py>(&self, py: Python<'py>, amount: f64) -> PyResult<Any<'py>> {
        match self.is_moment {
            true => quantity(py, core::moment_of(amount, self.speed)),
            false => quantity(py, core::force_of(amount, self.speed)),
        }
    }

    fn written(&self, py: Python<'_>, amount: f64) -> PyResult<String> {
        match self.is_moment {
            true => text(py, core::moment_of(amount, self.speed)),
            false => text(py, core::force_of(amount, self.speed)),
        }
    }
}

#[pymethods]
impl PyHarmonic {
    /// Which multiple of the crank's speed.
    #[getter]
    fn order(&self) -> usize {
        self.harmonic.order
    }

    /// The greatest over a turn: the long half axis of the ellipse.
    #[getter]
    fn greatest<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.amount(py, self.harmonic.greatest())
    }

    /// The least over a turn: the short half axis of the ellipse.
    #[getter]
    fn least<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.amount(py, self.harmonic.least())
    }

    /// What turns with the crank: how much, and its direction with the crank at zero.
    #[getter]
    fn forward<'py>(&self, py: Python<'py>) -> PyResult<(Any<'py>, Any<'py>)> {
        let part = self.harmonic.forward;
        Ok((self.amount(py, part.norm())?, quantity(py, Angle::from_si(part.arg()))?))
    }

    /// What turns against the crank: how much, and its direction with the crank at zero.
    #[getter]
    fn backward<'py>(&self, py: Python<'py>) -> PyResult<(Any<'py>, Any<'py>)> {
        let part = self.harmonic.backward;
        Ok((self.amount(py, part.norm())?, quantity(py, Angle::from_si(part.arg()))?))
    }

    /// The direction of the long half axis, from 0 to 180 deg; None of a circle, which has none.
    #[getter]
    fn direction<'py>(&self, py: Python<'py>) -> PyResult<Option<Any<'py>>> {
        self.harmonic.direction().map(|angle| quantity(py, angle)).transpose()
    }

    /// The amplitude of the part in one direction across the crank.
    fn along<'py>(&self, py: Python<'py>, direction: &Any<'py>) -> PyResult<Any<'py>> {
        self.amount(py, self.harmonic.along(scalar("direction", direction)?))
    }

    fn __repr__(&self, py: Python<'_>) -> PyResult<String> {
        let (greatest, least) = (self.harmonic.greatest(), self.harmonic.least());
        let direction = self.harmonic.direction().map(|angle| text(py, angle)).transpose()?;
        Ok(format!(
            "Harmonic(order={}, greatest=\"{}\", least=\"{}\", direction={})",
            self.harmonic.order,
            self.written(py, greatest)?,
            self.written(py, least)?,
            direction.map_or("None".into(), |angle| format!("\"{angle}\""))
        ))
    }

    fn __eq__(&self, other: &Self) -> bool {
        let kind = |h: &Self| (h.harmonic, h.speed, h.is_moment);
        kind(self) == kind(other)
    }
}

const CYLINDER: [&str; 5] = ["cylinder", "bank_angle", "throw_angle", "position", "reciprocating"];
const ROTATING: [&str; 4] = ["unbalance", "angle", "position", "turns"];

fn cylinder(name: &str, given: &Any<'_>) -> PyResult<ShakingCylinder> {
    let record = Record::new(name, given, &CYLINDER)?;
    let cylinder = record.needed("cylinder")?;
    let cylinder = cylinder.cast::<PyCylinder>().map_err(|_| record.wrong("cylinder", "a Cylinder"))?;
    Ok(ShakingCylinder {
        cylinder: cylinder.get().0,
        station: Station {
            bank_angle: record.scalar("bank_angle")?,
            throw_angle: record.scalar("throw_angle")?,
        },
        position: record.scalar("position")?,
        reciprocating: record.scalar("reciprocating")?,
    })
}

fn rotating(name: &str, given: &Any<'_>) -> PyResult<RotatingMass> {
    let record = Record::new(name, given, &ROTATING)?;
    let turns = record.get("turns")?;
    let turns = turns.map(|turns| turns.extract().map_err(|_| record.wrong("turns", "a small integer")));
    let made = RotatingMass::new(
        record.scalar("unbalance")?,
        record.scalar("angle")?,
        record.scalar("position")?,
        turns.transpose()?.unwrap_or(1),
    );
    made.map_err(|e| e.at(None, name)).or_raise(given.py())
}

/// An order as it came, so that a negative one is told as it is.
fn order(py: Python<'_>, order: i64) -> PyResult<usize> {
    let refused = |_| Error::OutOfRange {
        field: "order".into(),
        value: order.to_string(),
        allowed: format!("1 to {HIGHEST_ORDER}"),
    };
    usize::try_from(order).map_err(refused).or_raise(py)
}

/// An engine that shakes: its cylinders, and all that turns.
///
/// Each cylinder is a dict: ``cylinder`` (a `Cylinder`), ``bank_angle``, ``throw_angle``, ``position`` along the crank, ``reciprocating`` mass. Each of
/// what turns (crankpins with their big ends, counterweights, balance shafts) is a dict: ``unbalance``, the ``angle`` where it is heavy with the
/// crank at zero, ``position``, and ``turns`` for each turn of the crank, 1 where nothing is said, negative against it.
#[pyclass(frozen, name = "ShakingEngine", module = "swept")]
pub(crate) struct PyShakingEngine(ShakingEngine);

impl PyShakingEngine {
    /// The lists that make it: quantities as texts in the display system, or to the last bit.
    fn named<'py>(&self, py: Python<'py>, bits: bool) -> PyResult<[Bound<'py, PyList>; 2]> {
        let (cylinders, rotating) = (PyList::empty(py), PyList::empty(py));
        for c in self.0.cylinders() {
            let named = PyDict::new(py);
            named.set_item("cylinder", Py::new(py, PyCylinder(c.cylinder))?)?;
            named.set_item("bank_angle", either(py, c.station.bank_angle, bits)?)?;
            named.set_item("throw_angle", either(py, c.station.throw_angle, bits)?)?;
            named.set_item("position", either(py, c.position, bits)?)?;
            named.set_item("reciprocating", either(py, c.reciprocating, bits)?)?;
            cylinders.append(named)?;
        }
        for m in self.0.rotating() {
            let named = PyDict::new(py);
            named.set_item("unbalance", either(py, m.unbalance, bits)?)?;
            named.set_item("angle", either(py, m.angle, bits)?)?;
            named.set_item("position", either(py, m.position, bits)?)?;
            named.set_item("turns", m.turns)?;
            rotating.append(named)?;
        }
        Ok([cylinders, rotating])
    }
}

fn either<Q: Dimensioned>(py: Python<'_>, q: Q, bits: bool) -> PyResult<String> {
    if bits { Ok(exact(q)) } else { text(py, q) }
}

#[pymethods]
impl PyShakingEngine {
    #[new]
    #[pyo3(signature = (*, cylinders, rotating = None))]
    fn new(py: Python<'_>, cylinders: &Any<'_>, rotating: Option<&Any<'_>>) -> PyResult<Self> {
        let cylinders = each("cylinders", cylinders, cylinder)?;
        let rotating = rotating.map(|given| each("rotating", given, self::rotating)).transpose()?;
        ShakingEngine::new(cylinders, rotating.unwrap_or_default()).or_raise(py).map(Self)
    }

    /// The same engine with more that turns, such as counterweights.
    fn with_masses(&self, py: Python<'_>, rotating: &Any<'_>) -> PyResult<Self> {
        self.0.with(&each("rotating", rotating, self::rotating)?).or_raise(py).map(Self)
    }

    /// One order, 1 to 6, of the shaking force.
    #[pyo3(signature = (order, *, speed))]
    fn force(&self, py: Python<'_>, order: i64, speed: &Any<'_>) -> PyResult<PyHarmonic> {
        let speed = positive("speed", speed)?;
        let harmonic = self.0.force(self::order(py, order)?).or_raise(py)?;
        Ok(PyHarmonic { harmonic, speed, is_moment: false })
    }

    /// One order, 1 to 6, of the shaking moment about a position along the crank: a vector in the direction of the forces.
    #[pyo3(signature = (order, *, speed, about))]
    fn moment(&self, py: Python<'_>, order: i64, speed: &Any<'_>, about: &Any<'_>) -> PyResult<PyHarmonic> {
        let (speed, about) = (positive("speed", speed)?, scalar("about", about)?);
        let harmonic = self.0.moment(self::order(py, order)?, about).or_raise(py)?;
        Ok(PyHarmonic { harmonic, speed, is_moment: true })
    }

    /// The exact shaking force at a crank angle: along bank angle zero, and across it towards positive angles.
    #[pyo3(signature = (angle, *, speed))]
    fn force_at<'py>(
        &self,
        py: Python<'py>,
        angle: &Any<'py>,
        speed: &Any<'py>,
    ) -> PyResult<(Any<'py>, Any<'py>)> {
        let speed = positive("speed", speed)?;
        let angles = values_of("angle", Dimension::Angle, angle)?;
        mapped_pair(py, angles, |a| self.0.force_at(Angle::from_si(a), speed))
    }

    /// The exact shaking moment at a crank angle about a position: of the forces along bank angle zero, and of those across it.
    #[pyo3(signature = (angle, *, speed, about))]
    fn moment_at<'py>(
        &self,
        py: Python<'py>,
        angle: &Any<'py>,
        speed: &Any<'py>,
        about: &Any<'py>,
    ) -> PyResult<(Any<'py>, Any<'py>)> {
        let (speed, about) = (positive("speed", speed)?, scalar("about", about)?);
        let angles = values_of("angle", Dimension::Angle, angle)?;
        mapped_pair(py, angles, |a| self.0.moment_at(Angle::from_si(a), speed, about))
    }

    /// The two counterweights, in planes at these positions, that take away all of the first order that turns with the crank: dicts as
    /// `with_masses` takes them, heavy at their angle.
    #[pyo3(signature = (*, first, second))]
    fn counterweights<'py>(
        &self,
        py: Python<'py>,
        first: &Any<'py>,
        second: &Any<'py>,
    ) -> PyResult<(Bound<'py, PyDict>, Bound<'py, PyDict>)> {
        let (first, second) = (scalar("first", first)?, scalar("second", second)?);
        let [first, second] = self.0.counterweights(first, second).or_raise(py)?;
        let named = |m: RotatingMass| {
            let named = PyDict::new(py);
            named.set_item("unbalance", quantity(py, m.unbalance)?)?;
            named.set_item("angle", quantity(py, m.angle)?)?;
            named.set_item("position", quantity(py, m.position)?)?;
            PyResult::Ok(named)
        };
        Ok((named(first)?, named(second)?))
    }

    fn __repr__(&self, py: Python<'_>) -> PyResult<String> {
        let [cylinders, rotating] = self.named(py, false)?;
        Ok(format!("ShakingEngine(cylinders={}, rotating={})", cylinders.repr()?, rotating.repr()?))
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.0 == other.0
    }

    fn __getnewargs_ex__<'py>(&self, py: Python<'py>) -> PyResult<((), Bound<'py, PyDict>)> {
        let [cylinders, rotating] = self.named(py, true)?;
        let named = PyDict::new(py);
        named.set_item("cylinders", cylinders)?;
        named.set_item("rotating", rotating)?;
        Ok(((), named))
    }
}

/// Harmonics of the acceleration of a piston, order 1 to 6, over the crank radius and the square of the speed, as complex numbers: cosine
/// terms of the throw's angle from the cylinder axis, with their phase where the pin is offset.
#[pyfunction]
fn acceleration_harmonics<'py>(py: Python<'py>, cylinder: &PyCylinder) -> Vec<Bound<'py, PyComplex>> {
    let all = core::acceleration_harmonics(&cylinder.0);
    all.iter().map(|a| PyComplex::from_doubles(py, a.re, a.im)).collect()
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_class::<PyHarmonic>()?;
    m.add_class::<PyShakingEngine>()?;
    m.add_function(wrap_pyfunction!(acceleration_harmonics, m)?)
}
