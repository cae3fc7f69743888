//! Bearing shells: walls off the crown, crush, the choice of grades; surveys of bores and journals.

use crate::errors::OrRaise;
use crate::given::{Values, list, positive, scalar, values_of};
use crate::shown::{exact, listed, quantity, text};
use pyo3::exceptions::PyTypeError;
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyString, PyTuple};
use swept::Error;
use swept::clearance::{self as core, BearingSeat, DiameterSurvey, ShellSelection};
use swept::units::{Dimension, Dimensioned, Length};

type Any<'py> = Bound<'py, PyAny>;

/// Wall of an eccentric shell at an angle from its crown, its bore struck about a centre off by the offset.
#[pyfunction]
#[pyo3(signature = (*, crown_wall, offset, angle))]
fn shell_wall<'py>(
    py: Python<'py>,
    crown_wall: &Any<'py>,
    offset: &Any<'py>,
    angle: &Any<'py>,
) -> PyResult<Any<'py>> {
    let (crown, offset) = (positive("crown_wall", crown_wall)?, scalar("offset", offset)?);
    quantity(py, core::shell_wall(crown, offset, scalar("angle", angle)?).or_raise(py)?)
}

/// The offset of an eccentric shell from its wall at the crown and at an angle from there.
#[pyfunction]
#[pyo3(signature = (*, crown_wall, wall, angle))]
fn shell_offset<'py>(
    py: Python<'py>,
    crown_wall: &Any<'py>,
    wall: &Any<'py>,
    angle: &Any<'py>,
) -> PyResult<Any<'py>> {
    let (crown, wall) = (positive("crown_wall", crown_wall)?, positive("wall", wall)?);
    quantity(py, core::shell_offset(crown, wall, scalar("angle", angle)?).or_raise(py)?)
}

/// Interference on the diameter that the crush heights of a pair of shells give.
#[pyfunction]
#[pyo3(signature = (*, upper_crush_height, lower_crush_height))]
fn crush_interference<'py>(
    py: Python<'py>,
    upper_crush_height: &Any<'py>,
    lower_crush_height: &Any<'py>,
) -> PyResult<Any<'py>> {
    let upper = scalar("upper_crush_height", upper_crush_height)?;
    let lower = scalar("lower_crush_height", lower_crush_height)?;
    quantity(py, core::crush_interference(upper, lower).or_raise(py)?)
}

/// What the shells were chosen from.
struct Grades {
    housing_bores: Vec<Length>,
    journals: Vec<Length>,
    upper: Vec<Length>,
    lower: Vec<Length>,
    target: Length,
}

impl Grades {
    fn select(&self) -> swept::Result<ShellSelection> {
        if self.journals.len() != self.housing_bores.len() {
            return Err(Error::WrongLength {
                field: "journals".into(),
                found: self.journals.len(),
                expected: format!("{}, as many as housing_bores", self.housing_bores.len()),
            });
        }
        let pairs = self.housing_bores.iter().zip(&self.journals);
        let seats: Vec<BearingSeat> =
            pairs.map(|(bore, journal)| BearingSeat { housing_bore: *bore, journal: *journal }).collect();
        core::select_shells(&seats, &self.upper, &self.lower, self.target)
    }
}

fn texts(all: &[Length]) -> Vec<String> {
    all.iter().copied().map(exact).collect()
}

/// The shells that `select_shells` chose, one pair for each bearing in order.
#[pyclass(frozen, name = "ShellSelection", module = "swept")]
pub(crate) struct PyShellSelection {
    from: Grades,
    found: ShellSelection,
}

#[pymethods]
impl PyShellSelection {
    /// Which of the upper grades each bearing gets, from 0.
    #[getter]
    fn upper<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, self.found.choices.iter().map(|c| c.upper).collect::<Vec<_>>())
    }

    /// Which of the lower grades each bearing gets, from 0.
    #[getter]
    fn lower<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, self.found.choices.iter().map(|c| c.lower).collect::<Vec<_>>())
    }

    /// The clearance of every bearing, one array-valued quantity.
    #[getter]
    fn clearances<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        listed(py, &self.found.choices.iter().map(|c| c.clearance).collect::<Vec<_>>())
    }

    /// The largest distance of a clearance from the target.
    #[getter]
    fn deviation<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.found.deviation)
    }

    /// The largest clearance less the least.
    #[getter]
    fn spread<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.found.spread)
    }

    fn __repr__(&self, py: Python<'_>) -> PyResult<String> {
        let clearances: Vec<String> =
            self.found.choices.iter().map(|c| text(py, c.clearance)).collect::<PyResult<_>>()?;
        let (upper, lower) = (self.upper(py)?.repr()?, self.lower(py)?.repr()?);
        Ok(format!("ShellSelection(upper={upper}, lower={lower}, clearances={clearances:?})"))
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.found == other.found
    }

    /// A selection is pickled as what it was chosen from, and chosen again.
    fn __reduce__<'py>(slf: &Bound<'py, Self>) -> PyResult<(Any<'py>, Bound<'py, PyTuple>)> {
        let (py, from) = (slf.py(), &slf.get().from);
        let named = PyDict::new(py);
        named.set_item("housing_bores", texts(&from.housing_bores))?;
        named.set_item("journals", texts(&from.journals))?;
        named.set_item("upper_grades", texts(&from.upper))?;
        named.set_item("lower_grades", texts(&from.lower))?;
        named.set_item("target", exact(from.target))?;
        let again = py.import("swept")?.getattr("select_shells")?;
        let partial = py.import("functools")?.getattr("partial")?.call((again,), Some(&named))?;
        Ok((partial, PyTuple::empty(py)))
    }
}

/// Chooses an upper and a lower shell for each bearing from the wall thicknesses of the grades, any number of each.
///
/// First the largest distance from the target clearance is made as small as it can be, then the spread of the clearances.
#[pyfunction]
#[pyo3(signature = (*, housing_bores, journals, upper_grades, lower_grades, target))]
fn select_shells(
    py: Python<'_>,
    housing_bores: &Any<'_>,
    journals: &Any<'_>,
    upper_grades: &Any<'_>,
    lower_grades: &Any<'_>,
    target: &Any<'_>,
) -> PyResult<PyShellSelection> {
    let from = Grades {
        housing_bores: list("housing_bores", housing_bores)?,
        journals: list("journals", journals)?,
        upper: list("upper_grades", upper_grades)?,
        lower: list("lower_grades", lower_grades)?,
        target: scalar("target", target)?,
    };
    let found = py.detach(|| from.select()).or_raise(py)?;
    Ok(PyShellSelection { from, found })
}

/// Rows of diameters: nested lists, a list of array-valued quantities, or one quantity in two dimensions.
fn rows(given: &Any<'_>) -> PyResult<Vec<Vec<Length>>> {
    let refused = || {
        let message = "diameters must be rows, one for each station, such as diameters=[[\"59.002 mm\", \"59.004 mm\"]]";
        PyTypeError::new_err(message)
    };
    if given.is_instance_of::<PyString>() {
        return Err(refused());
    }
    if !given.hasattr("m_as")? {
        let each = given.try_iter().map_err(|_| refused())?.enumerate();
        return each.map(|(i, row)| list(&format!("diameters[{i}]"), &row?)).collect();
    }
    let Values::Many(all, shape) = values_of("diameters", Dimension::Length, given)? else {
        return Err(refused());
    };
    let Ok((stations, angles)) = shape.extract::<(usize, usize)>() else {
        return Err(refused());
    };
    let row = |i: usize| all.iter().skip(i * angles).take(angles).map(|si| Length::from_si(*si)).collect();
    Ok((0..stations).map(row).collect())
}

/// Diameters of one bore or journal: a row for each station along its axis, in each row a reading for each angle.
#[pyclass(frozen, name = "DiameterSurvey", module = "swept")]
pub(crate) struct PyDiameterSurvey {
    survey: DiameterSurvey,
    diameters: Vec<Vec<Length>>,
}

#[pymethods]
impl PyDiameterSurvey {
    #[new]
    #[pyo3(signature = (*, angles, stations, diameters))]
    fn new(py: Python<'_>, angles: &Any<'_>, stations: &Any<'_>, diameters: &Any<'_>) -> PyResult<Self> {
        let (angles, stations, diameters) =
            (list("angles", angles)?, list("stations", stations)?, rows(diameters)?);
        let survey = DiameterSurvey::new(angles, stations, diameters.clone()).or_raise(py)?;
        Ok(Self { survey, diameters })
    }

    /// The angles read, one array-valued quantity.
    #[getter]
    fn angles<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        listed(py, self.survey.angles())
    }

    /// The stations read, one array-valued quantity.
    #[getter]
    fn stations<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        listed(py, self.survey.stations())
    }

    /// The least diameter: of a bore what a journal has to pass.
    #[getter]
    fn least<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.survey.least())
    }

    /// The greatest diameter: of a journal what a bore has to pass.
    #[getter]
    fn greatest<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.survey.greatest())
    }

    /// The mean of all diameters.
    #[getter]
    fn mean<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.survey.mean())
    }

    /// Out-of-round: the largest difference of two diameters at one station; lobes of odd number do not show.
    #[getter]
    fn out_of_round<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.survey.out_of_round())
    }

    /// Taper: the largest difference of two diameters at one angle.
    #[getter]
    fn taper<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        quantity(py, self.survey.taper())
    }

    fn __repr__(&self, py: Python<'_>) -> PyResult<String> {
        let (stations, angles) = (self.survey.stations().len(), self.survey.angles().len());
        let (least, greatest) = (text(py, self.survey.least())?, text(py, self.survey.greatest())?);
        Ok(format!("DiameterSurvey({stations} stations, {angles} angles, \"{least}\" to \"{greatest}\")"))
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.survey == other.survey
    }

    fn __getnewargs_ex__<'py>(&self, py: Python<'py>) -> PyResult<((), Bound<'py, PyDict>)> {
        let named = PyDict::new(py);
        let angles: Vec<String> = self.survey.angles().iter().copied().map(exact).collect();
        named.set_item("angles", angles)?;
        named.set_item("stations", texts(self.survey.stations()))?;
        named.set_item("diameters", self.diameters.iter().map(|row| texts(row)).collect::<Vec<_>>())?;
        Ok(((), named))
    }
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_class::<PyShellSelection>()?;
    m.add_class::<PyDiameterSurvey>()?;
    m.add_function(wrap_pyfunction!(shell_wall, m)?)?;
    m.add_function(wrap_pyfunction!(shell_offset, m)?)?;
    m.add_function(wrap_pyfunction!(crush_interference, m)?)?;
    m.add_function(wrap_pyfunction!(select_shells, m)?)
}
