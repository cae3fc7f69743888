//! Press and shrink fits.

use crate::errors::OrRaise;
use crate::given::{positive, scalar};
use crate::shown::{exact, quantity, text};
use pyo3::prelude::*;
use pyo3::types::PyDict;
use swept::clearance::{PressFit, PressPart};
use swept::units::{Dimensioned, Length, Pressure, Ratio};

type Any<'py> = Bound<'py, PyAny>;

/// A part as it was given, which `PressPart` does not tell.
#[derive(Clone, Copy)]
struct Given {
    bore: Length,
    outside: Length,
    young: Pressure,
    poisson: Ratio,
}

impl Given {
    fn part(&self, py: Python<'_>, which: &str) -> PyResult<PressPart> {
        let part = PressPart::new(self.bore, self.outside, self.young, self.poisson);
        part.map_err(|e| e.at(None, which)).or_raise(py)
    }

    fn written(&self, py: Python<'_>, which: &str) -> PyResult<String> {
        Ok(format!(
            "{which}_bore=\"{}\", {which}_outside=\"{}\", {which}_young=\"{}\", {which}_poisson={:?}",
            text(py, self.bore)?,
            text(py, self.outside)?,
            text(py, self.young)?,
            self.poisson.si()
        ))
    }

    fn name(&self, which: &str, named: &Bound<'_, PyDict>) -> PyResult<()> {
        named.set_item(format!("{which}_bore"), exact(self.bore))?;
        named.set_item(format!("{which}_outside"), exact(self.outside))?;
        named.set_item(format!("{which}_young"), exact(self.young))?;
        named.set_item(format!("{which}_poisson"), self.poisson.si())
    }
}

/// Two parts pressed or shrunk together with an interference on the diameter, the outer one's bore on the inner one's outside.
///
/// Diameters are those of the free parts; `inner_bore="0 mm"` is a solid shaft. Tension is positive.
#[pyclass(frozen, name = "PressFit", module = "swept")]
pub(crate) struct PyPressFit {
    inner: Given,
    outer: Given,
    fit: PressFit,
}

#[pymethods]
impl PyPressFit {
    #[new]
    #[pyo3(signature = (
        *, inner_bore, inner_outside, inner_young, inner_poisson, outer_bore, outer_outside, outer_young,
        outer_poisson, interference
    ))]
    #[allow(clippy::too_many_arguments)] // two parts of four figures each, all named by the caller
    fn new(
        py: Python<'_>,
        inner_bore: &Any<'_>,
        inner_outside: &Any<'_>,
        inner_young: &Any<'_>,
        inner_poisson: &Any<'_>,
        outer_bore: &Any<'_>,
        outer_outside: &Any<'_>,
        outer_young: &Any<'_>,
        outer_poisson: &Any<'_>,
        interference: &Any<'_>,
    ) -> PyResult<Self> {
        let inner = Given {
            bore: scalar("inner_bore", inner_bore)?,
            outside: positive("inner_outside", inner_outside)?,
            young: positive("inner_young", inner_young)?,
            poisson: scalar("inner_poisson", inner_poisson)?,
        };
        let outer = Given {
            bore: positive("outer_bore", outer_bore)?,
            outside: positive("outer_outside", outer_outside)?,
            young: positive("outer_young", outer_young)?,
            poisson: scalar("outer_poisson", outer_poisson)?,
        };
        let interference = scalar("interference", interference)?;
        let parts = (inner.part(py, "inner part")?, outer.part(py, "outer part")?);
        let fit = PressFit::new(parts.0, parts.1, interference).or_raise(py)?;
        Ok(Self { inner, outer, fit })
    }

    /// Contact pressure (Lame).
    #[getter]
    fn pressure<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.fit.pressure())
    }

    /// Diameter of the contact: the free bore of the outer part.
    #[getter]
    fn diameter<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.fit.diameter())
    }

    /// Interference on the diameter.
    #[getter]
    fn interference<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.fit.interference())
    }

    /// Hoop stresses by name: inner_at_bore, inner_at_contact, outer_at_contact, outer_at_outside.
    fn stresses<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        let found = self.fit.stresses().or_raise(py)?;
        let named = PyDict::new(py);
        named.set_item("inner_at_bore", quantity(py, found.inner_at_bore)?)?;
        named.set_item("inner_at_contact", quantity(py, found.inner_at_contact)?)?;
        named.set_item("outer_at_contact", quantity(py, found.outer_at_contact)?)?;
        named.set_item("outer_at_outside", quantity(py, found.outer_at_outside)?)?;
        Ok(named)
    }

    /// Tresca's equivalent stress of the inner and of the outer part where it is largest, to be held against their yield strength.
    fn equivalent_stresses<'py>(&self, py: Python<'py>) -> PyResult<(Any<'py>, Any<'py>)> {
        let (inner, outer) = self.fit.equivalent_stresses().or_raise(py)?;
        Ok((quantity(py, inner)?, quantity(py, outer)?))
    }

    /// Axial force that a length of contact holds.
    #[pyo3(signature = (*, length, friction))]
    fn holding_force<'py>(
        &self,
        py: Python<'py>,
        length: &Any<'py>,
        friction: &Any<'py>,
    ) -> PyResult<Any<'py>> {
        let (length, friction) = (positive("length", length)?, scalar("friction", friction)?);
        quantity(py, self.fit.holding_force(length, friction).or_raise(py)?)
    }

    /// Torque that a length of contact holds.
    #[pyo3(signature = (*, length, friction))]
    fn holding_torque<'py>(
        &self,
        py: Python<'py>,
        length: &Any<'py>,
        friction: &Any<'py>,
    ) -> PyResult<Any<'py>> {
        let (length, friction) = (positive("length", length)?, scalar("friction", friction)?);
        quantity(py, self.fit.holding_torque(length, friction).or_raise(py)?)
    }

    /// By how much to heat the outer part, or to cool the inner one, to assemble with a gap on the diameter.
    #[pyo3(signature = (*, gap, expansion))]
    fn assembly_temperature<'py>(
        &self,
        py: Python<'py>,
        gap: &Any<'py>,
        expansion: &Any<'py>,
    ) -> PyResult<Any<'py>> {
        let (gap, expansion) = (scalar("gap", gap)?, positive("expansion", expansion)?);
        quantity(py, self.fit.assembly_temperature(gap, expansion).or_raise(py)?)
    }

    /// The fit with both parts warmer than at assembly; an error where the interference is lost.
    #[pyo3(signature = (*, outer_expansion, outer_rise, inner_expansion, inner_rise))]
    fn warmed(
        &self,
        py: Python<'_>,
        outer_expansion: &Any<'_>,
        outer_rise: &Any<'_>,
        inner_expansion: &Any<'_>,
        inner_rise: &Any<'_>,
    ) -> PyResult<Self> {
        let outer = (scalar("outer_expansion", outer_expansion)?, scalar("outer_rise", outer_rise)?);
        let inner = (scalar("inner_expansion", inner_expansion)?, scalar("inner_rise", inner_rise)?);
        let fit = self.fit.warmed(outer, inner).or_raise(py)?;
        Ok(Self { inner: self.inner, outer: self.outer, fit })
    }

    fn __repr__(&self, py: Python<'_>) -> PyResult<String> {
        let (inner, outer) = (self.inner.written(py, "inner")?, self.outer.written(py, "outer")?);
        Ok(format!("PressFit({inner}, {outer}, interference=\"{}\")", text(py, self.fit.interference())?))
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.fit == other.fit
    }

    fn __getnewargs_ex__<'py>(&self, py: Python<'py>) -> PyResult<((), Bound<'py, PyDict>)> {
        let named = PyDict::new(py);
        self.inner.name("inner", &named)?;
        self.outer.name("outer", &named)?;
        named.set_item("interference", exact(self.fit.interference()))?;
        Ok(((), named))
    }
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_class::<PyPressFit>()
}
