//! What comes back: the steps in their order with what each leaves.

use super::candidate::{Candidates, effects};
use super::hole::Bore;
use super::search::Chosen;
use super::shortfall::Shortfall;
use super::site::DrillSite;
use super::solve::Solved;
use super::task::{DrillTask, DrilledHole};
use crate::units::{Angle, Dimensioned, Length, Mass, Unbalance};
use core::f64::consts::TAU;
use num_complex::Complex64;

/// One hole to drill, with a slug to press into it where the site is one of slugs.
#[derive(Debug, Clone, PartialEq)]
pub struct DrillStep {
    /// Which of the task's sites.
    pub site: usize,
    /// The hole: cheek, angle, diameter, depth of the full diameter.
    pub hole: DrilledHole,
    /// Metal of the crank that goes.
    pub removed: Mass,
    /// Mass of the slug that comes; zero where none does.
    pub slug: Mass,
    /// Unbalance of the hole itself: taken away at its angle, or added there where there is a slug.
    pub amount: Unbalance,
    /// Unbalance of the two planes after this step, kg m: real part at the crank's zero, imaginary part a right angle on in running direction.
    pub residual: [Complex64; 2],
    /// Whether both planes are inside their limits, less the guard, after this step.
    pub inside: bool,
}

impl DrillStep {
    /// How much unbalance is left in a plane (0 or 1) after this step, and where it is heavy, from 0 to below a turn.
    pub fn left(&self, plane: usize) -> (Unbalance, Angle) {
        polar(of_plane(self.residual, plane))
    }
}

/// The holes to drill.
#[derive(Debug, Clone, PartialEq)]
pub struct DrillPlan {
    /// In their order: each the one that helps most, so that the work may stop once inside. Empty where all is inside already.
    pub steps: Vec<DrillStep>,
    /// What each plane's residual keeps to: its limit less the guard.
    pub guarded: [Unbalance; 2],
    /// Metal of the crank that goes in all.
    pub removed: Mass,
    /// Mass of all slugs.
    pub slugs: Mass,
    /// No plan has fewer holes.
    pub least_holes: usize,
    /// No plan with as many holes as this one removes less metal.
    pub least_metal: Mass,
    /// Whether no plan has fewer holes, and none with as many removes less metal.
    pub proved: bool,
}

/// A plan, or how far the sites fall short.
#[derive(Debug, Clone, PartialEq)]
pub enum DrillAnswer {
    /// The holes to drill.
    Plan(DrillPlan),
    /// None found, with the figures.
    Short(Shortfall),
}

impl DrillAnswer {
    /// The plan, if there is one.
    pub fn plan(&self) -> Option<&DrillPlan> {
        match self {
            Self::Plan(plan) => Some(plan),
            Self::Short(_) => None,
        }
    }

    /// How far the sites fall short, if they do.
    pub fn shortfall(&self) -> Option<&Shortfall> {
        match self {
            Self::Plan(_) => None,
            Self::Short(shortfall) => Some(shortfall),
        }
    }
}

/// That of a plane, 0 or 1.
pub(super) fn of_plane<T>([first, second]: [T; 2], plane: usize) -> T {
    if plane == 0 { first } else { second }
}

fn polar(vector: Complex64) -> (Unbalance, Angle) {
    (Unbalance::from_si(vector.norm()), Angle::from_si(vector.arg().rem_euclid(TAU)))
}

/// What a hole adds to the two planes, kg m.
fn change(task: &DrillTask, site: &DrillSite, angle: f64, amount: f64) -> [Complex64; 2] {
    effects(&task.planes, site).map(|effect| Complex64::from_polar(effect * amount, angle))
}

/// A step before its place in the order is known.
fn step(task: &DrillTask, candidates: &Candidates, (index, choice): &Chosen) -> Option<DrillStep> {
    let column = candidates.columns.get(*index)?;
    let site = task.sites.get(column.site)?;
    let Bore { diameter, depth, .. } = choice.hole.bore;
    let hole = DrilledHole {
        cheek: site.cheek.clone(),
        position: site.position,
        angle: Angle::from_si(column.angle),
        way: site.way,
        radius: site.radius,
        diameter: Length::from_si(diameter),
        depth: Length::from_si(depth),
    };
    Some(DrillStep {
        site: column.site,
        hole,
        removed: Mass::from_si(choice.hole.removed),
        slug: Mass::from_si(choice.hole.slug),
        amount: Unbalance::from_si(choice.hole.amount),
        residual: change(task, site, column.angle, choice.hole.amount),
        inside: false,
    })
}

/// The holes in their order: each the one that helps most of those left.
pub(super) fn ordered(
    task: &DrillTask,
    candidates: &Candidates,
    holes: &[Chosen],
    guarded: [Unbalance; 2],
) -> Vec<DrillStep> {
    let mut left: Vec<DrillStep> = holes.iter().filter_map(|hole| step(task, candidates, hole)).collect();
    let mut residual = task.planes.each_ref().map(super::DrillPlane::vector);
    let mut steps = Vec::with_capacity(left.len());
    while !left.is_empty() {
        let after = |index: &usize| {
            left.get(*index).map_or(f64::INFINITY, |step| worst(sum(residual, step.residual), guarded))
        };
        let best = (0..left.len()).min_by(|i, j| after(i).total_cmp(&after(j)));
        let mut step = left.remove(best.unwrap_or_default());
        residual = sum(residual, step.residual);
        step.residual = residual;
        // The search took the holes for inside in its own scale; here rounding may add its last digit.
        step.inside = worst(residual, guarded) <= 1.0 + 1e-9;
        steps.push(step);
    }
    steps
}

/// The plan of the holes found.
pub(super) fn answer(
    task: &DrillTask,
    candidates: &Candidates,
    solved: &Solved,
    guarded: [Unbalance; 2],
) -> DrillPlan {
    let steps = ordered(task, candidates, &solved.holes, guarded);
    let total = |of: fn(&DrillStep) -> Mass| steps.iter().map(of).fold(Mass::from_si(0.0), |sum, m| sum + m);
    let (removed, slugs) = (total(|step| step.removed), total(|step| step.slug));
    let least_metal = Mass::from_si(solved.least_metal * candidates.metal);
    let proved = solved.proved();
    DrillPlan {
        steps,
        guarded,
        removed,
        slugs,
        least_holes: solved.least_holes,
        least_metal: if proved { removed } else { least_metal.min(removed) },
        proved,
    }
}

fn sum([a, b]: [Complex64; 2], [c, d]: [Complex64; 2]) -> [Complex64; 2] {
    [a + c, b + d]
}

/// The greater of both unbalances over their limits.
fn worst([a, b]: [Complex64; 2], [limit_a, limit_b]: [Unbalance; 2]) -> f64 {
    (a.norm() / limit_a.si()).max(b.norm() / limit_b.si())
}
