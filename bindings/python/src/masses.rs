//! What goes up and down, what goes round, the bob weight with its share, and counterweight cheeks.

use crate::errors::OrRaise;
use crate::given::{list, positive, scalar};
use crate::records::{each, parts};
use crate::shown::{exact, listed, quantity, text};
use pyo3::prelude::*;
use pyo3::types::PyDict;
use swept::balance::{self as core, CounterweightSector, RodMass, ThrowPiston};
use swept::units::{Angle, Dimensioned, Length, Mass};

type Any<'py> = Bound<'py, PyAny>;

/// A connecting rod weighed at both ends, each level with the other supported at its centre.
#[pyclass(frozen, name = "RodMass", module = "swept")]
pub(crate) struct PyRodMass(RodMass);

#[pymethods]
impl PyRodMass {
    #[new]
    #[pyo3(signature = (*, big_end, small_end))]
    fn new(py: Python<'_>, big_end: &Any<'_>, small_end: &Any<'_>) -> PyResult<Self> {
        let rod = RodMass::new(scalar("big_end", big_end)?, scalar("small_end", small_end)?);
        rod.or_raise(py).map(Self)
    }

    /// From the weights of both ends and of the whole rod, which must agree within the slack of the scale.
    #[staticmethod]
    #[pyo3(signature = (*, big_end, small_end, total, slack))]
    fn checked(
        py: Python<'_>,
        big_end: &Any<'_>,
        small_end: &Any<'_>,
        total: &Any<'_>,
        slack: &Any<'_>,
    ) -> PyResult<Self> {
        let ends = (scalar("big_end", big_end)?, scalar("small_end", small_end)?);
        let rod = RodMass::checked(ends.0, ends.1, scalar("total", total)?, scalar("slack", slack)?);
        rod.or_raise(py).map(Self)
    }

    /// What turns with the crankpin.
    #[getter]
    fn big_end<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.0.big_end())
    }

    /// What goes up and down with the piston.
    #[getter]
    fn small_end<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.0.small_end())
    }

    /// Both ends.
    #[getter]
    fn total<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.0.total())
    }

    fn __repr__(&self, py: Python<'_>) -> PyResult<String> {
        let (big, small) = (text(py, self.0.big_end())?, text(py, self.0.small_end())?);
        Ok(format!("RodMass(big_end=\"{big}\", small_end=\"{small}\")"))
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.0 == other.0
    }

    fn __getnewargs_ex__<'py>(&self, py: Python<'py>) -> PyResult<((), Bound<'py, PyDict>)> {
        let named = PyDict::new(py);
        named.set_item("big_end", exact(self.0.big_end()))?;
        named.set_item("small_end", exact(self.0.small_end()))?;
        Ok(((), named))
    }
}

/// What goes up and down with one cylinder: piston, pin, locks, rings, small end of the rod.
#[pyfunction]
#[pyo3(signature = (*, piston, pin, locks, rings, rod))]
fn reciprocating_mass<'py>(
    py: Python<'py>,
    piston: &Any<'py>,
    pin: &Any<'py>,
    locks: &Any<'py>,
    rings: &Any<'py>,
    rod: &PyRodMass,
) -> PyResult<Any<'py>> {
    let (piston, pin) = (scalar("piston", piston)?, scalar("pin", pin)?);
    let (locks, rings) = (scalar("locks", locks)?, scalar("rings", rings)?);
    quantity(py, core::reciprocating_mass(piston, pin, locks, rings, &rod.0).or_raise(py)?)
}

/// What goes round with one rod: its big end, its pair of shells, and the oil that the pin holds.
#[pyfunction]
#[pyo3(signature = (*, rod, shells, oil))]
fn rotating_mass<'py>(
    py: Python<'py>,
    rod: &PyRodMass,
    shells: &Any<'py>,
    oil: &Any<'py>,
) -> PyResult<Any<'py>> {
    let (shells, oil) = (scalar("shells", shells)?, scalar("oil", oil)?);
    quantity(py, core::rotating_mass(&rod.0, shells, oil).or_raise(py)?)
}

/// The bob weight of one throw: all that goes round on it, and a share of all that goes up and down; one mass of each for a rod.
#[pyfunction]
#[pyo3(signature = (*, rotating, reciprocating, share))]
fn bob_weight<'py>(
    py: Python<'py>,
    rotating: &Any<'py>,
    reciprocating: &Any<'py>,
    share: &Any<'py>,
) -> PyResult<Any<'py>> {
    let rotating: Vec<Mass> = list("rotating", rotating)?;
    let reciprocating: Vec<Mass> = list("reciprocating", reciprocating)?;
    quantity(py, core::bob_weight(&rotating, &reciprocating, scalar("share", share)?).or_raise(py)?)
}

/// How much to take off each part so that all weigh what the lightest weighs; an error where one would lose more than `most`.
#[pyfunction]
#[pyo3(signature = (masses, *, most))]
fn to_lightest<'py>(py: Python<'py>, masses: &Any<'py>, most: &Any<'py>) -> PyResult<Any<'py>> {
    let masses: Vec<Mass> = list("masses", masses)?;
    listed(py, &core::to_lightest(&masses, scalar("most", most)?).or_raise(py)?)
}

fn pistons(given: &Any<'_>) -> PyResult<Vec<ThrowPiston>> {
    each("pistons", given, |name, item| {
        let [bank, pin, mass] = parts(name, item, "a tuple of bank angle, pin angle and reciprocating mass")?;
        Ok(ThrowPiston {
            bank_angle: scalar(&format!("{name} bank angle"), &bank)?,
            pin_angle: scalar(&format!("{name} pin angle"), &pin)?,
            reciprocating: scalar(&format!("{name} reciprocating mass"), &mass)?,
        })
    })
}

/// The share of the reciprocating mass, a float, that leaves the least greatest force of the first order.
///
/// Each piston on the throw is a tuple: its bank angle, its own pin's angle from the throw ("0 deg" on a common pin), its reciprocating mass.
#[pyfunction]
fn best_share(py: Python<'_>, pistons: &Any<'_>) -> PyResult<f64> {
    Ok(core::best_share(&self::pistons(pistons)?).or_raise(py)?.si())
}

/// The share, a float, that leaves the least force of the first order in one direction across the crank; pistons as for `best_share`.
#[pyfunction]
#[pyo3(signature = (pistons, *, direction))]
fn best_share_along(py: Python<'_>, pistons: &Any<'_>, direction: &Any<'_>) -> PyResult<f64> {
    let direction = scalar("direction", direction)?;
    Ok(core::best_share_along(&self::pistons(pistons)?, direction).or_raise(py)?.si())
}

/// What the first order leaves at a share, as masses at the crank radius that turn with and against the crank; pistons as for `best_share`.
#[pyfunction]
#[pyo3(signature = (pistons, *, share))]
fn residual_of_share<'py>(
    py: Python<'py>,
    pistons: &Any<'py>,
    share: &Any<'py>,
) -> PyResult<(Any<'py>, Any<'py>)> {
    let left = core::residual_of_share(&self::pistons(pistons)?, scalar("share", share)?).or_raise(py)?;
    Ok((quantity(py, left.forward)?, quantity(py, left.backward)?))
}

/// A counterweight cheek: a sector of a ring, of even thickness, of a metal whose density is a float in kg/m3 (steel 7850, iron 7200).
#[pyclass(frozen, name = "CounterweightSector", module = "swept")]
pub(crate) struct PyCounterweightSector {
    radii: (Length, Length),
    included_angle: Angle,
    thickness: Length,
    density: f64,
    sector: CounterweightSector,
}

#[pymethods]
impl PyCounterweightSector {
    #[new]
    #[pyo3(signature = (*, inner_radius, outer_radius, included_angle, thickness, density))]
    fn new(
        py: Python<'_>,
        inner_radius: &Any<'_>,
        outer_radius: &Any<'_>,
        included_angle: &Any<'_>,
        thickness: &Any<'_>,
        density: f64,
    ) -> PyResult<Self> {
        let radii = (scalar("inner_radius", inner_radius)?, positive("outer_radius", outer_radius)?);
        let included_angle = positive("included_angle", included_angle)?;
        let thickness = positive("thickness", thickness)?;
        let sector = CounterweightSector::new(radii.0, radii.1, included_angle, thickness, density);
        Ok(Self { radii, included_angle, thickness, density, sector: sector.or_raise(py)? })
    }

    /// Its mass.
    #[getter]
    fn mass<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.sector.mass())
    }

    /// Mass times the distance of its centre from the axis, heavy at the middle of the sector.
    #[getter]
    fn unbalance<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.sector.unbalance())
    }

    fn __repr__(&self, py: Python<'_>) -> PyResult<String> {
        Ok(format!(
            "CounterweightSector(inner_radius=\"{}\", outer_radius=\"{}\", included_angle=\"{}\", thickness=\"{}\", density={:?})",
            text(py, self.radii.0)?,
            text(py, self.radii.1)?,
            text(py, self.included_angle)?,
            text(py, self.thickness)?,
            self.density
        ))
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.sector == other.sector
    }

    fn __getnewargs_ex__<'py>(&self, py: Python<'py>) -> PyResult<((), Bound<'py, PyDict>)> {
        let named = PyDict::new(py);
        named.set_item("inner_radius", exact(self.radii.0))?;
        named.set_item("outer_radius", exact(self.radii.1))?;
        named.set_item("included_angle", exact(self.included_angle))?;
        named.set_item("thickness", exact(self.thickness))?;
        named.set_item("density", self.density)?;
        Ok(((), named))
    }
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_class::<PyRodMass>()?;
    m.add_class::<PyCounterweightSector>()?;
    m.add_function(wrap_pyfunction!(reciprocating_mass, m)?)?;
    m.add_function(wrap_pyfunction!(rotating_mass, m)?)?;
    m.add_function(wrap_pyfunction!(bob_weight, m)?)?;
    m.add_function(wrap_pyfunction!(to_lightest, m)?)?;
    m.add_function(wrap_pyfunction!(best_share, m)?)?;
    m.add_function(wrap_pyfunction!(best_share_along, m)?)?;
    m.add_function(wrap_pyfunction!(residual_of_share, m)?)
}
