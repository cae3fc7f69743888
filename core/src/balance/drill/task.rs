//! What is asked: readings of two planes, sites, holes that are there, how sure the result must be.

use super::candidate::{Candidates, check_count};
use super::hole::{Bore, Place};
use super::plan::{DrillAnswer, answer};
use super::relax::Point;
use super::shortfall::{Shortage, shortfall};
use super::site::{DrillSite, Way};
use super::solve::{Outcome, Problem};
use super::{DEFAULT_MOST_HOLES, GUARD, MOST_HOLES};
use crate::error::{Error, Result, finite, finite_positive, non_negative, out_of_range};
use crate::units::{Angle, Dimensioned, Length, Ratio, Unbalance, written};
use num_complex::Complex64;

/// A correction plane: what was read and what is allowed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrillPlane {
    /// Along the crank axis.
    pub position: Length,
    /// Unbalance that was read.
    pub unbalance: Unbalance,
    /// Where it is heavy, positive in running direction from the crank's zero.
    pub heavy_at: Angle,
    /// Standard uncertainty of the reading, the same in every direction.
    pub uncertainty: Unbalance,
    /// Permissible residual unbalance of the plane.
    pub limit: Unbalance,
}

impl DrillPlane {
    fn check(&self) -> Result<()> {
        finite("position of a plane", self.position)?;
        non_negative("unbalance of a plane", self.unbalance)?;
        finite("angle of an unbalance", self.heavy_at)?;
        non_negative("uncertainty of a plane", self.uncertainty)?;
        finite_positive("limit of a plane", self.limit).map(|_| ())
    }

    pub(super) fn vector(&self) -> Complex64 {
        Complex64::from_polar(self.unbalance.si(), self.heavy_at.si())
    }
}

fn check_planes(planes: &[DrillPlane; 2]) -> Result<()> {
    planes.iter().try_for_each(DrillPlane::check)?;
    let [a, b] = planes;
    if a.position != b.position {
        return Ok(());
    }
    Err(out_of_range("position of the second plane", b.position, "another position than the first"))
}

/// A hole that is there: its neighbourhood is no site any more. What it did to the balance is in the reading.
#[derive(Debug, Clone, PartialEq)]
pub struct DrilledHole {
    /// The counterweight it is in, by the name its sites have.
    pub cheek: String,
    /// Along the crank axis.
    pub position: Length,
    /// Where it stands, positive in running direction.
    pub angle: Angle,
    /// Which way it goes.
    pub way: Way,
    /// Radius of its mouth (radial) or its axis (axial).
    pub radius: Length,
    /// Its diameter.
    pub diameter: Length,
    /// Depth of its full diameter.
    pub depth: Length,
}

impl DrilledHole {
    fn check(&self) -> Result<()> {
        finite("position of a hole", self.position)?;
        finite("angle of a hole", self.angle)?;
        finite_positive("radius of a hole", self.radius)?;
        finite_positive("hole diameter", self.diameter)?;
        let depth = non_negative("depth of a hole", self.depth)?;
        if self.way == Way::Radial && depth >= self.radius {
            return Err(out_of_range("depth of a hole", depth, format!("below {}", written(self.radius))));
        }
        Ok(())
    }

    pub(super) fn place(&self) -> Place {
        let bore = Bore { diameter: self.diameter.si(), depth: self.depth.si(), cone: 0.0 };
        Place::new(&bore, self.way, self.radius.si(), self.angle.si(), self.position.si())
    }
}

/// A hole on a cheek that no site names would be left out of every web, unseen.
pub(crate) fn check_cheek(field: &str, cheek: &str, sites: &[DrillSite]) -> Result<()> {
    if sites.iter().any(|site| site.cheek == cheek) {
        return Ok(());
    }
    let names: Vec<String> = sites.iter().map(|s| format!("\"{}\"", s.cheek)).collect();
    Err(Error::OutOfRange {
        field: field.into(),
        value: format!("\"{}\"", cheek.chars().take(40).collect::<String>()),
        allowed: format!("a cheek of the sites: {}", names.join(", ")),
    })
}

/// Which holes are asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct DrillTask {
    pub(super) planes: [DrillPlane; 2],
    pub(super) sites: Vec<DrillSite>,
    drilled: Vec<DrilledHole>,
    guard: f64,
    most_holes: usize,
}

impl DrillTask {
    /// Two planes and the sites, with a guard of 1.65 standard uncertainties and up to 6 holes.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::WrongLength`] without sites, drills or slugs, or with more holes to choose from than can be searched;
    /// [`Error::OutOfRange`] for planes at one position, and
    /// for figures that no counterweight or tool has.
    pub fn new(planes: [DrillPlane; 2], sites: Vec<DrillSite>) -> Result<Self> {
        check_planes(&planes)?;
        if sites.is_empty() {
            return Err(Error::WrongLength {
                field: "sites".into(),
                found: 0,
                expected: "at least 1".into(),
            });
        }
        sites.iter().try_for_each(DrillSite::check)?;
        check_count(&sites)?;
        Ok(Self { planes, sites, drilled: Vec::new(), guard: GUARD, most_holes: DEFAULT_MOST_HOLES })
    }

    /// With another guard than 1.65 standard uncertainties.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] below zero.
    pub fn with_guard(mut self, guard: Ratio) -> Result<Self> {
        self.guard = non_negative("guard", guard)?.si();
        Ok(self)
    }

    /// With another most number of holes than 6.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for 0 and above [`MOST_HOLES`].
    pub fn with_most_holes(mut self, most: usize) -> Result<Self> {
        if !(1..=MOST_HOLES).contains(&most) {
            return Err(Error::OutOfRange {
                field: "most holes".into(),
                value: most.to_string(),
                allowed: format!("1 to {MOST_HOLES}"),
            });
        }
        self.most_holes = most;
        Ok(self)
    }

    /// With these holes there already, all of them; with new readings, the way to go on midway.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for a hole of no size or past the crank axis, on a cheek that no site names, or not on its cheek.
    pub fn with_drilled(mut self, drilled: Vec<DrilledHole>) -> Result<Self> {
        drilled.iter().try_for_each(DrilledHole::check)?;
        drilled.iter().try_for_each(|hole| self.check_on_cheek(hole))?;
        self.drilled = drilled;
        Ok(self)
    }

    /// A hole that is not on its cheek is a slip, and its metal would be drilled again.
    fn check_on_cheek(&self, hole: &DrilledHole) -> Result<()> {
        check_cheek("cheek of a drilled hole", &hole.cheek, &self.sites)?;
        let mut slip = None;
        for site in self.sites.iter().filter(|site| site.cheek == hole.cheek) {
            match site.check_holds(hole) {
                Ok(()) => return Ok(()),
                Err(error) => slip = slip.or(Some(error)),
            }
        }
        slip.map_or(Ok(()), Err)
    }

    /// The same task with new readings.
    ///
    /// # Errors
    /// As [`DrillTask::new`].
    pub fn with_planes(mut self, planes: [DrillPlane; 2]) -> Result<Self> {
        check_planes(&planes)?;
        self.planes = planes;
        Ok(self)
    }

    /// The two planes.
    pub fn planes(&self) -> &[DrillPlane; 2] {
        &self.planes
    }

    /// The sites.
    pub fn sites(&self) -> &[DrillSite] {
        &self.sites
    }

    /// The holes that were there.
    pub fn drilled(&self) -> &[DrilledHole] {
        &self.drilled
    }

    /// The most holes of a plan.
    pub fn most_holes(&self) -> usize {
        self.most_holes
    }

    /// What the residual of each plane must keep to: its limit less k standard uncertainties of its reading.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] where nothing is left.
    ///
    /// # Source
    /// ISO 14253-1, guard band (from memory).
    pub fn guarded(&self) -> Result<[Unbalance; 2]> {
        let guard = |plane: &DrillPlane| {
            let taken = plane.uncertainty * Ratio::from_si(self.guard);
            if plane.limit > taken {
                return Ok(plane.limit - taken);
            }
            let allowed = format!(
                "above the guard of the reading, {} x its uncertainty = {}",
                self.guard,
                written(taken)
            );
            Err(out_of_range("limit of a plane", plane.limit, allowed))
        };
        let [a, b] = &self.planes;
        Ok([guard(a)?, guard(b)?])
    }

    /// The plan, or how far the sites fall short.
    ///
    /// `effort` is the work that the search may take, such as [`super::DEFAULT_EFFORT`].
    ///
    /// # Errors
    /// [`Error::OutOfRange`] where a limit is not above its guard; [`Error::NotFinite`] for figures whose products are beyond all numbers.
    pub fn plan(&self, effort: u64) -> Result<DrillAnswer> {
        let candidates = Candidates::new(&self.planes, &self.sites, &self.drilled);
        let limits = self.guarded()?;
        let [a, b] = self.planes.each_ref().map(|plane| plane.vector() / candidates.amount);
        let base: Point = [a.re, a.im, b.re, b.im, 0.0];
        let scaled = limits.map(|limit| limit.si() / candidates.amount);
        if !base.iter().chain(&scaled).all(|part| part.is_finite()) {
            let value = "beyond all numbers against the greatest hole".into();
            return Err(Error::NotFinite { field: "unbalance of a plane".into(), value });
        }
        let problem = Problem { candidates: &candidates, base, limits: scaled, most: self.most_holes };
        let shortage = match problem.solve(effort) {
            Outcome::Plan(solved) => {
                return Ok(DrillAnswer::Plan(answer(self, &candidates, &solved, limits)));
            }
            Outcome::OutOfReach => Shortage::OutOfReach,
            Outcome::Refuted => Shortage::BetweenSteps,
            Outcome::Exhausted => Shortage::Effort,
        };
        Ok(DrillAnswer::Short(shortfall(self, &problem, shortage, limits, effort)))
    }
}
