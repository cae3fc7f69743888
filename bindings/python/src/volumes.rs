//! Clearance volume, compression ratio, and what gives a ratio.

use crate::cylinder::PyCylinder;
use crate::errors::OrRaise;
use crate::given::{positive, scalar};
use crate::shown::{exact, quantity, small_volume, written};
use pyo3::prelude::*;
use pyo3::types::PyDict;
use swept::geometry::{self as core, ClearanceVolume};
use swept::units::{Dimensioned, Volume, find};

type Any<'py> = Bound<'py, PyAny>;

/// The volumes above the piston at top dead centre.
///
/// The deck part is negative with the piston above the deck; the crown's is positive for a dish, negative for a dome.
#[pyclass(frozen, name = "ClearanceVolume", module = "swept")]
pub(crate) struct PyClearanceVolume(ClearanceVolume);

impl PyClearanceVolume {
    fn parts(&self) -> [(&'static str, Volume); 5] {
        let v = &self.0;
        [
            ("chamber", v.chamber),
            ("gasket", v.gasket),
            ("deck", v.deck),
            ("crown", v.crown),
            ("crevice", v.crevice),
        ]
    }
}

#[pymethods]
impl PyClearanceVolume {
    #[new]
    #[pyo3(signature = (*, chamber, gasket, deck, crown = None, crevice = None))]
    fn new(
        chamber: &Any<'_>,
        gasket: &Any<'_>,
        deck: &Any<'_>,
        crown: Option<&Any<'_>>,
        crevice: Option<&Any<'_>>,
    ) -> PyResult<Self> {
        let or_none = |field: &str, given: Option<&Any<'_>>| {
            given.map_or(Ok(Volume::from_si(0.0)), |g| scalar(field, g))
        };
        Ok(Self(ClearanceVolume {
            chamber: scalar("chamber", chamber)?,
            gasket: scalar("gasket", gasket)?,
            deck: scalar("deck", deck)?,
            crown: or_none("crown", crown)?,
            crevice: or_none("crevice", crevice)?,
        }))
    }

    /// Combustion chamber in the head.
    #[getter]
    fn chamber<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        small_volume(py, self.0.chamber)
    }

    /// Gasket: its bore area times its clamped thickness.
    #[getter]
    fn gasket<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        small_volume(py, self.0.gasket)
    }

    /// Between crown and deck.
    #[getter]
    fn deck<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        small_volume(py, self.0.deck)
    }

    /// Crown: dish positive, dome negative.
    #[getter]
    fn crown<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        small_volume(py, self.0.crown)
    }

    /// Ring-land crevice.
    #[getter]
    fn crevice<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        small_volume(py, self.0.crevice)
    }

    /// The clearance volume: the sum of the parts, which must be above zero.
    #[getter]
    fn total<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        small_volume(py, self.0.total().or_raise(py)?)
    }

    fn __repr__(&self, py: Python<'_>) -> PyResult<String> {
        let unit = find("cm3").or_raise(py)?;
        let parts = self.parts().map(|(name, v)| format!("{name}=\"{}\"", written(unit, v.si())));
        Ok(format!("ClearanceVolume({})", parts.join(", ")))
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.0 == other.0
    }

    fn __getnewargs_ex__<'py>(&self, py: Python<'py>) -> PyResult<((), Bound<'py, PyDict>)> {
        let named = PyDict::new(py);
        for (name, volume) in self.parts() {
            named.set_item(name, exact(volume))?;
        }
        Ok(((), named))
    }
}

/// Volume of a disc, such as a gasket's: negative for a negative height.
#[pyfunction]
#[pyo3(signature = (*, diameter, height))]
fn disc_volume<'py>(py: Python<'py>, diameter: &Any<'py>, height: &Any<'py>) -> PyResult<Any<'py>> {
    small_volume(py, core::disc_volume(positive("diameter", diameter)?, scalar("height", height)?))
}

/// The crevice between bore and top land, down to the top ring.
#[pyfunction]
#[pyo3(signature = (*, bore, land_diameter, land_height))]
fn ring_land_crevice<'py>(
    py: Python<'py>,
    bore: &Any<'py>,
    land_diameter: &Any<'py>,
    land_height: &Any<'py>,
) -> PyResult<Any<'py>> {
    let (land, height) = (scalar("land_diameter", land_diameter)?, scalar("land_height", land_height)?);
    small_volume(py, core::ring_land_crevice(positive("bore", bore)?, land, height).or_raise(py)?)
}

/// Compression ratio, a float: swept and clearance volume over clearance volume.
#[pyfunction]
#[pyo3(signature = (*, swept_volume, clearance_volume))]
fn compression_ratio(py: Python<'_>, swept_volume: &Any<'_>, clearance_volume: &Any<'_>) -> PyResult<f64> {
    let swept = scalar("swept_volume", swept_volume)?;
    let ratio = core::compression_ratio(swept, positive("clearance_volume", clearance_volume)?);
    Ok(ratio.or_raise(py)?.si())
}

/// Trapped compression ratio, a float: cylinder volume when the intake closes over clearance volume.
///
/// The closing is given after true bottom dead centre, negative before it.
#[pyfunction]
#[pyo3(signature = (*, cylinder, clearance_volume, intake_closing))]
fn trapped_compression_ratio(
    py: Python<'_>,
    cylinder: &PyCylinder,
    clearance_volume: &Any<'_>,
    intake_closing: &Any<'_>,
) -> PyResult<f64> {
    let clearance = positive("clearance_volume", clearance_volume)?;
    let closing = scalar("intake_closing", intake_closing)?;
    Ok(core::trapped_compression_ratio(&cylinder.0, clearance, closing).or_raise(py)?.si())
}

/// The clearance volume that gives a compression ratio.
#[pyfunction]
#[pyo3(signature = (*, ratio, swept_volume))]
fn clearance_volume_for<'py>(
    py: Python<'py>,
    ratio: &Any<'py>,
    swept_volume: &Any<'py>,
) -> PyResult<Any<'py>> {
    let swept = scalar("swept_volume", swept_volume)?;
    small_volume(py, core::clearance_volume_for(scalar("ratio", ratio)?, swept).or_raise(py)?)
}

/// The chamber volume that gives a compression ratio, the other parts as they stand.
#[pyfunction]
#[pyo3(signature = (*, ratio, swept_volume, volumes))]
fn chamber_volume_for<'py>(
    py: Python<'py>,
    ratio: &Any<'py>,
    swept_volume: &Any<'py>,
    volumes: &PyClearanceVolume,
) -> PyResult<Any<'py>> {
    let (ratio, swept) = (scalar("ratio", ratio)?, scalar("swept_volume", swept_volume)?);
    small_volume(py, core::chamber_volume_for(ratio, swept, volumes.0).or_raise(py)?)
}

/// The crown volume (dish positive, dome negative) that gives a compression ratio, the other parts as they stand.
#[pyfunction]
#[pyo3(signature = (*, ratio, swept_volume, volumes))]
fn crown_volume_for<'py>(
    py: Python<'py>,
    ratio: &Any<'py>,
    swept_volume: &Any<'py>,
    volumes: &PyClearanceVolume,
) -> PyResult<Any<'py>> {
    let (ratio, swept) = (scalar("ratio", ratio)?, scalar("swept_volume", swept_volume)?);
    small_volume(py, core::crown_volume_for(ratio, swept, volumes.0).or_raise(py)?)
}

/// The clamped gasket thickness that gives a compression ratio, the other parts as they stand.
#[pyfunction]
#[pyo3(signature = (*, ratio, swept_volume, volumes, gasket_bore))]
fn gasket_thickness_for<'py>(
    py: Python<'py>,
    ratio: &Any<'py>,
    swept_volume: &Any<'py>,
    volumes: &PyClearanceVolume,
    gasket_bore: &Any<'py>,
) -> PyResult<Any<'py>> {
    let (ratio, swept) = (scalar("ratio", ratio)?, scalar("swept_volume", swept_volume)?);
    let bore = scalar("gasket_bore", gasket_bore)?;
    quantity(py, core::gasket_thickness_for(ratio, swept, volumes.0, bore).or_raise(py)?)
}

/// The deck height that gives a compression ratio; the deck part of the volumes is replaced.
#[pyfunction]
#[pyo3(signature = (*, ratio, cylinder, compression_height, volumes))]
fn deck_height_for_ratio<'py>(
    py: Python<'py>,
    ratio: &Any<'py>,
    cylinder: &PyCylinder,
    compression_height: &Any<'py>,
    volumes: &PyClearanceVolume,
) -> PyResult<Any<'py>> {
    let height = positive("compression_height", compression_height)?;
    let found = core::deck_height_for_ratio(scalar("ratio", ratio)?, &cylinder.0, height, volumes.0);
    quantity(py, found.or_raise(py)?)
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_class::<PyClearanceVolume>()?;
    m.add_function(wrap_pyfunction!(disc_volume, m)?)?;
    m.add_function(wrap_pyfunction!(ring_land_crevice, m)?)?;
    m.add_function(wrap_pyfunction!(compression_ratio, m)?)?;
    m.add_function(wrap_pyfunction!(trapped_compression_ratio, m)?)?;
    m.add_function(wrap_pyfunction!(clearance_volume_for, m)?)?;
    m.add_function(wrap_pyfunction!(chamber_volume_for, m)?)?;
    m.add_function(wrap_pyfunction!(crown_volume_for, m)?)?;
    m.add_function(wrap_pyfunction!(gasket_thickness_for, m)?)?;
    m.add_function(wrap_pyfunction!(deck_height_for_ratio, m)?)
}
