//! How the cylinders stand.

use crate::cylinder::PyCylinder;
use crate::errors::OrRaise;
use crate::given::{list, scalar};
use crate::shown::{exact, listed, quantity};
use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;
use pyo3::types::PyTuple;
use swept::Error;
use swept::geometry::{Cycle, Layout, Station};
use swept::units::Angle;

type Any<'py> = Bound<'py, PyAny>;

/// Bank and throw angles of all cylinders, cylinder 1 first, and the working cycle.
#[pyclass(frozen, name = "Layout", module = "swept")]
pub(crate) struct PyLayout {
    layout: Layout,
    cycle: Cycle,
}

const CYCLES: [(&str, Cycle); 2] = [("four-stroke", Cycle::FourStroke), ("two-stroke", Cycle::TwoStroke)];

fn cycle(name: &str) -> PyResult<Cycle> {
    let found = CYCLES.iter().find(|(known, _)| *known == name).map(|(_, cycle)| *cycle);
    found.ok_or_else(|| {
        PyValueError::new_err(format!("cycle is {name:?}; write \"four-stroke\" or \"two-stroke\""))
    })
}

impl PyLayout {
    fn made(py: Python<'_>, name: &str, make: impl FnOnce(Cycle) -> swept::Result<Layout>) -> PyResult<Self> {
        let cycle = cycle(name)?;
        let layout = make(cycle).or_raise(py)?;
        Ok(Self { layout, cycle })
    }

    fn angles(&self, of: impl Fn(&Station) -> Angle) -> Vec<Angle> {
        self.layout.stations().iter().map(of).collect()
    }

    fn cycle_name(&self) -> &'static str {
        CYCLES.iter().find(|(_, cycle)| *cycle == self.cycle).map_or("", |(name, _)| name)
    }

    /// A cylinder counted from one; a negative number as the error it is.
    fn counted(&self, py: Python<'_>, field: &str, number: i64) -> PyResult<usize> {
        usize::try_from(number).or_else(|_| {
            Err(Error::OutOfRange {
                field: field.into(),
                value: number.to_string(),
                allowed: format!("1 to {}", self.layout.len()),
            })
            .or_raise(py)
        })
    }
}

#[pymethods]
impl PyLayout {
    /// Cylinders in line, one throw angle each.
    #[staticmethod]
    #[pyo3(signature = (*, throw_angles, cycle = "four-stroke"))]
    fn inline(py: Python<'_>, throw_angles: &Any<'_>, cycle: &str) -> PyResult<Self> {
        let throws = list("throw_angles", throw_angles)?;
        Self::made(py, cycle, |c| Layout::inline(&throws, c))
    }

    /// A vee of this included angle, two rods to a crankpin: cylinders 1 and 2 on the first pin,
    /// odd ones on the bank at plus half the angle.
    #[staticmethod]
    #[pyo3(signature = (*, bank_angle, pin_angles, cycle = "four-stroke"))]
    fn vee(py: Python<'_>, bank_angle: &Any<'_>, pin_angles: &Any<'_>, cycle: &str) -> PyResult<Self> {
        let (bank, pins) = (scalar("bank_angle", bank_angle)?, list("pin_angles", pin_angles)?);
        Self::made(py, cycle, |c| Layout::vee(bank, &pins, c))
    }

    /// Opposed banks, one throw angle for each cylinder, odd ones on the bank at +90 deg.
    #[staticmethod]
    #[pyo3(signature = (*, throw_angles, cycle = "four-stroke"))]
    fn flat(py: Python<'_>, throw_angles: &Any<'_>, cycle: &str) -> PyResult<Self> {
        let throws = list("throw_angles", throw_angles)?;
        Self::made(py, cycle, |c| Layout::flat(&throws, c))
    }

    /// Any bank and throw angles, one of each for a cylinder.
    #[staticmethod]
    #[pyo3(signature = (*, bank_angles, throw_angles, cycle = "four-stroke"))]
    fn explicit(
        py: Python<'_>,
        bank_angles: &Any<'_>,
        throw_angles: &Any<'_>,
        cycle: &str,
    ) -> PyResult<Self> {
        let banks: Vec<Angle> = list("bank_angles", bank_angles)?;
        let throws: Vec<Angle> = list("throw_angles", throw_angles)?;
        if banks.len() != throws.len() {
            let error = Error::WrongLength {
                field: "throw_angles".into(),
                found: throws.len(),
                expected: format!("{}, as many as bank_angles", banks.len()),
            };
            return Err(error).or_raise(py);
        }
        let station = |(bank_angle, throw_angle)| Station { bank_angle, throw_angle };
        let stations = banks.into_iter().zip(throws).map(station).collect();
        Self::made(py, cycle, |c| Layout::explicit(stations, c))
    }

    /// Bank angle of every cylinder, one array-valued quantity.
    #[getter]
    fn bank_angles<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        listed(py, &self.angles(|s| s.bank_angle))
    }

    /// Throw angle of every cylinder, one array-valued quantity.
    #[getter]
    fn throw_angles<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        listed(py, &self.angles(|s| s.throw_angle))
    }

    /// "four-stroke" or "two-stroke".
    #[getter]
    fn cycle(&self) -> &'static str {
        self.cycle_name()
    }

    /// Crank angle, 0 to 360 deg, at which a cylinder (from 1) has its throw in line with its axis.
    fn top_dead_centre<'py>(&self, py: Python<'py>, cylinder: i64) -> PyResult<Any<'py>> {
        let cylinder = self.counted(py, "cylinder", cylinder)?;
        quantity(py, self.layout.top_dead_centre(cylinder).or_raise(py)?)
    }

    /// Crank angle from each cylinder of a firing order to the next, the last to the first.
    fn firing_intervals<'py>(&self, py: Python<'py>, order: Vec<i64>) -> PyResult<Any<'py>> {
        let order: Vec<usize> =
            order.into_iter().map(|n| self.counted(py, "firing order", n)).collect::<PyResult<_>>()?;
        listed(py, &self.layout.firing_intervals(&order).or_raise(py)?)
    }

    /// Displacement of the engine with this cylinder in every place.
    fn displacement<'py>(&self, py: Python<'py>, cylinder: &PyCylinder) -> PyResult<Any<'py>> {
        quantity(py, self.layout.displacement(&cylinder.0))
    }

    fn __len__(&self) -> usize {
        self.layout.len()
    }

    fn __repr__(&self) -> String {
        format!("Layout({} cylinders, {})", self.layout.len(), self.cycle_name())
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.layout == other.layout
    }

    fn __reduce__<'py>(slf: &Bound<'py, Self>) -> PyResult<(Any<'py>, Bound<'py, PyTuple>)> {
        let py = slf.py();
        let this = slf.get();
        let banks: Vec<String> = this.angles(|s| s.bank_angle).into_iter().map(exact).collect();
        let throws: Vec<String> = this.angles(|s| s.throw_angle).into_iter().map(exact).collect();
        let rebuild = py.import("swept._quantities")?.getattr("rebuilt_layout")?;
        Ok((rebuild, (banks, throws, this.cycle_name()).into_pyobject(py)?))
    }
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_class::<PyLayout>()
}
