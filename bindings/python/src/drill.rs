//! Which holes to drill in a crankshaft's counterweights, or where to add slugs of heavy alloy.

use crate::errors::OrRaise;
use crate::records::{Record, each};
use crate::shown::{quantity, text};
use pyo3::exceptions::PyTypeError;
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyTuple};
use swept::Error;
use swept::balance::drill::{
    CAUTIONS, DEFAULT_EFFORT, DEFAULT_MOST_HOLES, DrillAnswer, DrillPlan, DrillPlane, DrillSite, DrillStep,
    DrillTask, DrilledHole, GUARD, POINT_ANGLE, Shortage, Slug, Way, Work,
};
use swept::units::{Angle, Dimensioned, Length, Ratio, Unbalance};

type Any<'py> = Bound<'py, PyAny>;

/// A plan to drill, or how far the sites fall short.
#[pyclass(frozen, name = "DrillPlan", module = "swept")]
pub(crate) struct PyDrillPlan(DrillAnswer);

/// The hole as `drilled` takes it.
fn hole<'py>(py: Python<'py>, hole: &DrilledHole) -> PyResult<Bound<'py, PyDict>> {
    let named = PyDict::new(py);
    named.set_item("cheek", &hole.cheek)?;
    named.set_item("position", quantity(py, hole.position)?)?;
    named.set_item("angle", quantity(py, hole.angle)?)?;
    named.set_item("axial", hole.way == Way::Axial)?;
    named.set_item("radius", quantity(py, hole.radius)?)?;
    named.set_item("diameter", quantity(py, hole.diameter)?)?;
    named.set_item("depth", quantity(py, hole.depth)?)?;
    Ok(named)
}

fn step<'py>(py: Python<'py>, step: &DrillStep) -> PyResult<Bound<'py, PyDict>> {
    let left = |plane| {
        let (amount, heavy_at) = step.left(plane);
        PyResult::Ok((quantity(py, amount)?, quantity(py, heavy_at)?))
    };
    let named = PyDict::new(py);
    named.set_item("site", step.site)?;
    named.set_item("hole", hole(py, &step.hole)?)?;
    named.set_item("removed", quantity(py, step.removed)?)?;
    named.set_item("slug", quantity(py, step.slug)?)?;
    named.set_item("amount", quantity(py, step.amount)?)?;
    named.set_item("left", (left(0)?, left(1)?))?;
    named.set_item("inside", step.inside)?;
    Ok(named)
}

fn steps<'py>(py: Python<'py>, all: &[DrillStep]) -> PyResult<Vec<Bound<'py, PyDict>>> {
    all.iter().map(|s| step(py, s)).collect()
}

impl PyDrillPlan {
    fn plan(&self) -> Option<&DrillPlan> {
        self.0.plan()
    }

    fn guards(&self) -> [Unbalance; 2] {
        match &self.0 {
            DrillAnswer::Plan(plan) => plan.guarded,
            DrillAnswer::Short(short) => short.guarded,
        }
    }
}

#[pymethods]
impl PyDrillPlan {
    /// The holes in their order, each the one that helps most, so that the work may stop once inside; none where all is inside already, or
    /// where there is no plan.
    ///
    /// Each is a dict: ``site``, which of the sites, from 0; ``hole``, as `plan_drilling` takes it for ``drilled``; ``removed`` metal of the crank; mass of
    /// the ``slug``; ``amount`` of the hole's own unbalance; ``left``, of both planes amount and angle at which it is heavy; ``inside``, both planes.
    #[getter]
    fn steps<'py>(&self, py: Python<'py>) -> PyResult<Vec<Bound<'py, PyDict>>> {
        steps(py, self.plan().map_or(&[], |plan| plan.steps.as_slice()))
    }

    /// Whether the plan brings both planes inside their limits less the guard; there is no plan where it is False.
    #[getter]
    fn inside(&self) -> bool {
        self.plan().is_some()
    }

    /// Whether no plan has fewer holes and none with as many removes less metal; without a plan, whether it is proved that there is none.
    #[getter]
    fn proved(&self) -> bool {
        match &self.0 {
            DrillAnswer::Plan(plan) => plan.proved,
            DrillAnswer::Short(short) => short.shortage != Shortage::Effort,
        }
    }

    /// Metal of the crank that goes in all; None without a plan.
    #[getter]
    fn removed<'py>(&self, py: Python<'py>) -> PyResult<Option<Any<'py>>> {
        self.plan().map(|plan| quantity(py, plan.removed)).transpose()
    }

    /// Mass of all slugs; None without a plan.
    #[getter]
    fn slugs<'py>(&self, py: Python<'py>) -> PyResult<Option<Any<'py>>> {
        self.plan().map(|plan| quantity(py, plan.slugs)).transpose()
    }

    /// No plan has fewer holes; None without a plan.
    #[getter]
    fn least_holes(&self) -> Option<usize> {
        self.plan().map(|plan| plan.least_holes)
    }

    /// No plan with as many holes as this one removes less metal; None without a plan.
    #[getter]
    fn least_metal<'py>(&self, py: Python<'py>) -> PyResult<Option<Any<'py>>> {
        self.plan().map(|plan| quantity(py, plan.least_metal)).transpose()
    }

    /// What is left in each plane may not pass this: its limit less the guard.
    #[getter]
    fn guarded<'py>(&self, py: Python<'py>) -> PyResult<(Any<'py>, Any<'py>)> {
        let [first, second] = self.guards();
        Ok((quantity(py, first)?, quantity(py, second)?))
    }

    /// Why there is no plan, with the figures; None where there is one.
    #[getter]
    fn shortfall(&self) -> Option<String> {
        self.0.shortfall().map(ToString::to_string)
    }

    /// Without a plan, the holes found that come nearest to the limits, as ``steps``.
    #[getter]
    fn nearest<'py>(&self, py: Python<'py>) -> PyResult<Vec<Bound<'py, PyDict>>> {
        steps(py, self.0.shortfall().map_or(&[], |short| short.nearest.as_slice()))
    }

    fn __repr__(&self, py: Python<'_>) -> PyResult<String> {
        match &self.0 {
            DrillAnswer::Short(short) => Ok(format!("DrillPlan(shortfall={:?})", short.to_string())),
            DrillAnswer::Plan(plan) => {
                let (count, removed) = (plan.steps.len(), text(py, plan.removed)?);
                let holes = if count == 1 { "1 hole".to_owned() } else { format!("{count} holes") };
                let proved = if plan.proved { "True" } else { "False" };
                Ok(format!("DrillPlan({holes}, removed=\"{removed}\", proved={proved})"))
            }
        }
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.0 == other.0
    }
}

const PLANE: [&str; 5] = ["position", "unbalance", "heavy_at", "uncertainty", "limit"];
const HOLE: [&str; 7] = ["cheek", "position", "angle", "axial", "radius", "diameter", "depth"];
#[rustfmt::skip]
const SITE: [&str; 18] = [
    "cheek", "position", "from", "to", "angle_step", "axial", "radius", "web", "density", "width",
    "drills", "point", "least_depth", "greatest_depth", "depth_step",
    "slug_diameters", "slug_lengths", "slug_density",
];
const DRILLING: [&str; 4] = ["drills", "least_depth", "greatest_depth", "depth_step"];
const SLUGS: [&str; 3] = ["slug_diameters", "slug_lengths", "slug_density"];

fn plane(name: &str, given: &Any<'_>) -> PyResult<DrillPlane> {
    let record = Record::new(name, given, &PLANE)?;
    Ok(DrillPlane {
        position: record.scalar("position")?,
        unbalance: record.scalar("unbalance")?,
        heavy_at: record.scalar("heavy_at")?,
        uncertainty: record.scalar("uncertainty")?,
        limit: record.scalar("limit")?,
    })
}

fn way(record: &Record<'_>) -> PyResult<Way> {
    Ok(if record.flag("axial")? { Way::Axial } else { Way::Radial })
}

fn site(name: &str, given: &Any<'_>) -> PyResult<DrillSite> {
    let record = Record::new(name, given, &SITE)?;
    Ok(DrillSite {
        cheek: record.text("cheek")?,
        position: record.scalar("position")?,
        from: record.scalar("from")?,
        to: record.scalar("to")?,
        step: record.scalar("angle_step")?,
        way: way(&record)?,
        radius: record.scalar("radius")?,
        web: record.scalar("web")?,
        density: record.density("density")?,
        width: record.maybe("width")?,
        work: work(name, &record, given.py())?,
    })
}

/// Drills or slugs, never both.
fn work(name: &str, record: &Record<'_>, py: Python<'_>) -> PyResult<Work> {
    let drills = record.get("drills")?.is_some();
    let (own, other) = if drills { (&DRILLING[..], &SLUGS[..]) } else { (&SLUGS[..], &DRILLING[..]) };
    for key in other {
        if record.get(key)?.is_some() {
            let keys = own.join(", ");
            return Err(PyTypeError::new_err(format!("{name} has {key:?} beside {keys}; a site has either")));
        }
    }
    let point = record.maybe("point")?.unwrap_or(Angle::from_si(POINT_ANGLE));
    if drills {
        return Ok(Work::Drill {
            diameters: record.list("drills")?,
            point,
            least: record.scalar("least_depth")?,
            greatest: record.scalar("greatest_depth")?,
            step: record.scalar("depth_step")?,
        });
    }
    let diameters: Vec<Length> = record.list("slug_diameters")?;
    let lengths: Vec<Length> = record.list("slug_lengths")?;
    if diameters.len() != lengths.len() {
        let expected = format!("{}, as many as slug_diameters", diameters.len());
        let error =
            Error::WrongLength { field: record.place("slug_lengths"), found: lengths.len(), expected };
        return Err(error).or_raise(py);
    }
    let slug = |(diameter, length)| Slug { diameter, length };
    let stock = diameters.into_iter().zip(lengths).map(slug).collect();
    Ok(Work::AddSlugs { stock, density: record.density("slug_density")?, point: Some(point) })
}

fn drilled_hole(name: &str, given: &Any<'_>) -> PyResult<DrilledHole> {
    let record = Record::new(name, given, &HOLE)?;
    Ok(DrilledHole {
        cheek: record.text("cheek")?,
        position: record.scalar("position")?,
        angle: record.scalar("angle")?,
        way: way(&record)?,
        radius: record.scalar("radius")?,
        diameter: record.scalar("diameter")?,
        depth: record.scalar("depth")?,
    })
}

/// The fewest holes that bring both planes inside their limits less the guard, and of such plans the one that removes the least metal.
///
/// Each of the two ``planes`` is a dict: ``position``, ``unbalance``, ``heavy_at``, standard ``uncertainty`` of the reading, ``limit``. Each of the
/// ``sites`` is a dict: ``cheek``, the counterweight's name; ``position``; its metal ``from`` an angle ``to`` another in running direction;
/// ``angle_step``; ``axial``, whether holes are parallel to the crank, else from outside; ``radius`` of the mouth, or of an axial hole's axis; ``web``, least
/// metal between holes; ``density``, a float in kg/m3; ``width`` of the cheek where known. For drilling it has ``drills``, ``least_depth``,
/// ``greatest_depth``, ``depth_step``; for slugs, ``slug_diameters``, as many ``slug_lengths``, and ``slug_density``, a float in kg/m3. Either has,
/// unless 118 deg, the drill's ``point``; 180 deg for a flat bottom or a bore right through. ``drilled`` are the holes that are there already, with what they did in the readings: dicts of ``cheek``,
/// ``position``, ``angle``, ``axial``, ``radius``, ``diameter``, ``depth``. ``effort`` is how much work the search may take.
///
/// What cannot be brought inside is a result, not an error: see ``shortfall``. `DRILL_CAUTIONS` is what the person at the drill must know.
#[pyfunction]
#[pyo3(signature = (
    *, planes, sites, drilled = None, guard = GUARD, most_holes = DEFAULT_MOST_HOLES, effort = DEFAULT_EFFORT
))]
fn plan_drilling(
    py: Python<'_>,
    planes: &Any<'_>,
    sites: &Any<'_>,
    drilled: Option<&Any<'_>>,
    guard: f64,
    most_holes: usize,
    effort: u64,
) -> PyResult<PyDrillPlan> {
    let planes = each("planes", planes, plane)?;
    let found = planes.len();
    let wrong = |_| Error::WrongLength { field: "planes".into(), found, expected: "2".into() };
    let planes: [DrillPlane; 2] = planes.try_into().map_err(wrong).or_raise(py)?;
    let sites = each("sites", sites, site)?;
    let drilled = drilled.map(|given| each("drilled", given, drilled_hole)).transpose()?;
    let answer = py.detach(|| {
        let task = DrillTask::new(planes, sites)?.with_guard(Ratio::from_si(guard))?;
        task.with_most_holes(most_holes)?.with_drilled(drilled.unwrap_or_default())?.plan(effort)
    });
    answer.or_raise(py).map(PyDrillPlan)
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_class::<PyDrillPlan>()?;
    m.add("DRILL_CAUTIONS", PyTuple::new(m.py(), CAUTIONS)?)?;
    m.add_function(wrap_pyfunction!(plan_drilling, m)?)
}
