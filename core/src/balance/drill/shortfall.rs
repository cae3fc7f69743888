//! How far the sites fall short where there is no plan, and why.

use super::plan::{DrillStep, of_plane, ordered};
use super::solve::Problem;
use super::task::DrillTask;
use crate::units::{Dimensioned, Unbalance};
use core::fmt;

/// Why there is no plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum Shortage {
    /// No hole fits any site: webs, the ends of the metal and holes that are there leave no room.
    NoRoom,
    /// No hole at any site makes this plane (0 or 1) lighter where it is heavy, and the plane is outside: the metal stands elsewhere. Where all
    /// sites are for drilling, only adding mass opposite, or metal nearer to where it is heavy, can serve.
    NoneHelps(usize),
    /// The sites stand at angles from which this plane (0 or 1) stays outside, however much is removed or added there.
    Angles(usize),
    /// All that may be removed or added with these holes leaves this plane (0 or 1) outside: more has to go or come than they can.
    Plane(usize),
    /// Each plane can be brought inside, but not both with one set of holes.
    OutOfReach,
    /// The steps of angle and depth, and the webs, leave no plan, though holes between the steps might do; all plans were refuted.
    BetweenSteps,
    /// The work ran out before a plan was found or all were refuted.
    Effort,
}

/// How far the sites fall short.
#[derive(Debug, Clone, PartialEq)]
pub struct Shortfall {
    /// Why there is no plan.
    pub shortage: Shortage,
    /// Whether all sites are for drilling, so that mass can only go.
    pub only_drilling: bool,
    /// The most holes that were allowed.
    pub most_holes: usize,
    /// Unbalance of each plane as read.
    pub read: [Unbalance; 2],
    /// Each plane keeps at least this, whatever becomes of the other: a lower bound.
    pub least: [Unbalance; 2],
    /// One of the planes keeps at least so many times its guarded limit: a lower bound.
    pub least_factor: f64,
    /// With the holes of `nearest`, the greater of both unbalances over the guarded limits.
    pub nearest_factor: f64,
    /// The holes found that come nearest to the limits, within a hundredth of the bound where the effort sufficed; none of them if none helps.
    pub nearest: Vec<DrillStep>,
    /// What each plane's residual should keep to: its limit less the guard.
    pub guarded: [Unbalance; 2],
}

impl fmt::Display for Shortfall {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let holes = holes_up_to(self.most_holes);
        match self.shortage {
            Shortage::NoRoom => {
                f.write_str("no hole fits any site: the webs, the ends of the metal and the holes that are there leave no room")
            }
            Shortage::NoneHelps(plane) => {
                let remedy = match self.only_drilling {
                    true => "there is no metal to take where it is heavy; only adding mass opposite can serve, or a site nearer",
                    false => "other sites are needed",
                };
                self.write_read(f, plane)?;
                write!(f, ", and no hole at these sites makes it lighter: {remedy}")
            }
            Shortage::Angles(plane) => {
                self.write_read(f, plane)?;
                write!(f, ", and at these angles no depth leaves less than {:.1} g mm", self.gram_millimetres(plane).0)?;
                f.write_str(": there is no metal near enough to where it is heavy, nor mass to add opposite")
            }
            Shortage::Plane(plane) => {
                self.write_read(f, plane)?;
                write!(f, ", and keeps at least {:.1} g mm with {holes}", self.gram_millimetres(plane).0)?;
                f.write_str(": too much would have to go for these sites, drills and depths")
            }
            Shortage::OutOfReach => {
                write!(f, "each plane could be brought inside, but no set of {holes} serves both")?;
                self.write_factors(f)
            }
            Shortage::BetweenSteps => {
                write!(f, "no set of {holes} with these webs and steps brings both planes inside (all were refuted)")?;
                self.write_factors(f)
            }
            Shortage::Effort => {
                write!(f, "no set of {holes} was found before the search effort ran out")?;
                self.write_factors(f)
            }
        }
    }
}

/// In words.
fn holes_up_to(most: usize) -> String {
    if most == 1 { "one hole".into() } else { format!("up to {most} holes") }
}

impl Shortfall {
    /// Least, read and guarded limit of a plane, g mm.
    fn gram_millimetres(&self, plane: usize) -> (f64, f64, f64) {
        let of = |both: [Unbalance; 2]| 1e6 * of_plane(both, plane).si();
        (of(self.least), of(self.read), of(self.guarded))
    }

    fn write_read(&self, f: &mut fmt::Formatter<'_>, plane: usize) -> fmt::Result {
        let name = of_plane(["first", "second"], plane);
        let (_, read, limit) = self.gram_millimetres(plane);
        write!(f, "the {name} plane has {read:.1} g mm against a limit less guard of {limit:.1} g mm")
    }

    fn write_factors(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [found, bound] = [self.nearest_factor, self.least_factor];
        write!(
            f,
            ": the nearest found leaves {found:.2} times a limit less guard, and none less than {bound:.2} times"
        )
    }
}

/// Why there is no plan, and what stays at the least.
pub(super) fn shortfall(
    task: &DrillTask,
    problem: &Problem,
    shortage: Shortage,
    guarded: [Unbalance; 2],
    effort: u64,
) -> Shortfall {
    let scale = problem.candidates.amount;
    let least = [0, 1].map(|plane| Unbalance::from_si(problem.least_in_plane(plane) * scale));
    let read = task.planes.each_ref().map(|plane| plane.unbalance);
    let mut shortage = if problem.candidates.columns.is_empty() { Shortage::NoRoom } else { shortage };
    if shortage == Shortage::OutOfReach {
        let planes = least.iter().zip(&read).zip(&guarded).enumerate();
        for (plane, ((least, read), limit)) in planes.rev() {
            if least > limit {
                let helped = least.si() < read.si() * (1.0 - 1e-6);
                let beyond = problem.beyond_angles(plane) * scale > limit.si();
                shortage = match (helped, beyond) {
                    (false, _) => Shortage::NoneHelps(plane),
                    (true, true) => Shortage::Angles(plane),
                    (true, false) => Shortage::Plane(plane),
                };
            }
        }
    }
    let near = problem.nearest(shortage != Shortage::Effort, effort);
    Shortfall {
        shortage,
        only_drilling: task.sites.iter().all(|site| !site.adds()),
        most_holes: task.most_holes(),
        read,
        least,
        least_factor: near.least,
        nearest_factor: near.factor,
        nearest: ordered(task, problem.candidates, &near.holes, guarded),
        guarded,
    }
}
