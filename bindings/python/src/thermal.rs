//! `Material`, and what grows with heat.

use crate::errors::OrRaise;
use crate::given::{positive, scalar};
use crate::shown::quantity;
use pyo3::prelude::*;
use pyo3::types::PyTuple;
use std::hash::{DefaultHasher, Hash, Hasher};
use swept::clearance::{self as core, Material};
use swept::units::Dimensioned;

type Any<'py> = Bound<'py, PyAny>;

/// A material of engine parts by its name, one of `MATERIALS`: expansion and elastic constants, with their source.
///
/// Expansion holds from 0 degC to the last temperature of the material's data; beyond, it is refused.
#[pyclass(frozen, name = "Material", module = "swept")]
pub(crate) struct PyMaterial(Material);

#[pymethods]
impl PyMaterial {
    #[new]
    fn new(py: Python<'_>, name: &str) -> PyResult<Self> {
        Material::named(name).or_raise(py).map(Self)
    }

    /// What it is called.
    #[getter]
    fn name(&self) -> &'static str {
        self.0.name()
    }

    /// Where its data on expansion come from.
    #[getter]
    fn source(&self) -> &'static str {
        self.0.source()
    }

    /// Young's modulus at room temperature.
    #[getter]
    fn young<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.0.young())
    }

    /// Poisson's ratio at room temperature.
    #[getter]
    fn poisson(&self) -> f64 {
        self.0.poisson().si()
    }

    /// Mean coefficient of expansion from 20 degC to a temperature: the middle of what sources give.
    fn mean_expansion<'py>(&self, py: Python<'py>, temperature: &Any<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.0.mean_coefficient(scalar("temperature", temperature)?).or_raise(py)?)
    }

    /// The least and the greatest mean coefficient from 20 degC to a temperature, as far as sources differ.
    fn mean_expansion_range<'py>(
        &self,
        py: Python<'py>,
        temperature: &Any<'py>,
    ) -> PyResult<(Any<'py>, Any<'py>)> {
        let range = self.0.mean_coefficient_range(scalar("temperature", temperature)?);
        let (least, greatest) = range.or_raise(py)?;
        Ok((quantity(py, least)?, quantity(py, greatest)?))
    }

    /// Thermal strain from 20 degC to a temperature, a float.
    fn thermal_strain(&self, py: Python<'_>, temperature: &Any<'_>) -> PyResult<f64> {
        let strain = self.0.thermal_strain(scalar("temperature", temperature)?);
        Ok(strain.or_raise(py)?.si())
    }

    /// A length, bore or diameter at another temperature than it was read at.
    #[pyo3(signature = (*, length, from_temperature, to_temperature))]
    fn at_temperature<'py>(
        &self,
        py: Python<'py>,
        length: &Any<'py>,
        from_temperature: &Any<'py>,
        to_temperature: &Any<'py>,
    ) -> PyResult<Any<'py>> {
        let from = scalar("from_temperature", from_temperature)?;
        let to = scalar("to_temperature", to_temperature)?;
        quantity(py, self.0.at_temperature(scalar("length", length)?, from, to).or_raise(py)?)
    }

    fn __repr__(&self) -> String {
        format!("Material({:?})", self.0.name())
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.0 == other.0
    }

    fn __hash__(&self) -> u64 {
        let mut hasher = DefaultHasher::new();
        self.0.hash(&mut hasher);
        hasher.finish()
    }

    fn __getnewargs__(&self) -> (&'static str,) {
        (self.0.name(),)
    }
}

/// End gap of a ring when hot, from the strains of ring and bore since the gap was read; zero or less: it butts.
#[pyfunction]
#[pyo3(signature = (*, gap, bore, ring_strain, bore_strain))]
fn hot_end_gap<'py>(
    py: Python<'py>,
    gap: &Any<'py>,
    bore: &Any<'py>,
    ring_strain: &Any<'py>,
    bore_strain: &Any<'py>,
) -> PyResult<Any<'py>> {
    let (ring, wall) = (scalar("ring_strain", ring_strain)?, scalar("bore_strain", bore_strain)?);
    quantity(py, core::hot_end_gap(scalar("gap", gap)?, positive("bore", bore)?, ring, wall))
}

/// By how much to heat a part so that a length of it grows by so much; below zero, to cool it.
#[pyfunction]
#[pyo3(signature = (*, growth, length, expansion))]
fn heating_for<'py>(
    py: Python<'py>,
    growth: &Any<'py>,
    length: &Any<'py>,
    expansion: &Any<'py>,
) -> PyResult<Any<'py>> {
    let (growth, length) = (scalar("growth", growth)?, positive("length", length)?);
    quantity(py, core::heating_for(growth, length, positive("expansion", expansion)?).or_raise(py)?)
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add("MATERIALS", PyTuple::new(m.py(), Material::ALL.map(Material::name))?)?;
    m.add_class::<PyMaterial>()?;
    m.add_function(wrap_pyfunction!(hot_end_gap, m)?)?;
    m.add_function(wrap_pyfunction!(heating_for, m)?)
}
