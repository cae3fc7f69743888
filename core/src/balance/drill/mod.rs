//! Correction of a crankshaft's unbalance: which holes to drill in its counterweights, or where to add slugs of heavy alloy.
//!
//! Two planes have a measured unbalance each, with an angle at which the crank is heavy, and a limit. Sites are parts of
//! counterweights where the shop may drill, with its drills and steps. The plan has the fewest holes that bring both planes inside their
//! limits less a guard for the uncertainty of the readings, of such plans one that removes the least metal of the crank, and of plans
//! that remove as little, one that leaves little: as little as a share of the work finds.
//!
//! # Method
//! Branch and bound by number of holes: 1, 2, 3 and so on. A node of the search has some holes chosen by site and angle; it is refuted
//! where not even means of bores reach both limits under the ceiling of metal, which is a convex problem in five dimensions. Where all
//! sites and angles are chosen the bores are searched, the last two by geometry. For the least metal the ceiling is
//! raised from the bound of the whole problem, so that the first plan found is near the best.
//!
//! # What is proved
//! The search counts its work, not time, so that the result is the same on any machine. A plan is *proved* where all plans with fewer
//! holes, and all with as many and less metal, have been refuted. Where the work runs out first, the best plan found comes back with
//! bounds: [`DrillPlan::least_holes`], and [`DrillPlan::least_metal`] of plans with as many holes as this one.
//!
//! Angles are positive in running direction, seen along the crank axis, from the crank's zero. An unbalance is *heavy at* its angle; a hole
//! makes its angle lighter, a slug makes it heavier.

#[cfg(test)]
mod brute;
mod candidate;
mod hole;
mod nearest;
mod plan;
mod relax;
mod search;
mod settle;
mod shortfall;
mod site;
mod solve;
mod spread;
mod task;
#[cfg(test)]
mod tests;

pub use plan::{DrillAnswer, DrillPlan, DrillStep};
pub use shortfall::{Shortage, Shortfall};
pub(crate) use site::density_in;
pub use site::{
    DrillSite, GREATEST_HEAVY_ALLOY_DENSITY, IRON_DENSITY, LEAST_HEAVY_ALLOY_DENSITY, POINT_ANGLE,
    STEEL_DENSITY, Slug, Way, Work,
};
pub(crate) use task::check_cheek;
pub use task::{DrillPlane, DrillTask, DrilledHole};

/// Standard uncertainties of the reading that its limit is reduced by: one-sided 95 % (ISO 14253-1, guard band; from memory).
pub const GUARD: f64 = 1.65;

/// The most holes of a plan, if nothing else is asked for.
pub const DEFAULT_MOST_HOLES: usize = 6;

/// The most holes of a plan that can be asked for.
pub const MOST_HOLES: usize = 12;

/// Work of the search that is enough for eight counterweights and some thousand holes to choose from.
pub const DEFAULT_EFFORT: u64 = 60_000_000;

/// What the person at the drill must know; belongs on every sheet with a plan (common practice, no source).
pub const CAUTIONS: [&str; 9] = [
    "The crank is weighed, marked and drilled at rest: the drive is locked off before anyone reaches in, and the guard is closed before it spins.",
    "Clamp the crank and the drill so that neither can turn or lift when the drill grips or breaks through.",
    "Keep away from fillets, journals, oil ways and their plugs, keyways and threaded holes: find them on the drawing or with a rod before drilling.",
    "Holes only where the crank's maker allows them, and no deeper or wider; the maker's limits go before this plan.",
    "A slug must not be able to fly out: parallel to the crank axis, pressed with the fit its maker states, and retained by staking or welding as he states.",
    "No slug in a cracked, case-hardened or unknown material without the maker's consent.",
    "Centre each hole at its marked angle and radius, drill to the full-diameter depth, deburr the mouth, and clear chips from oil ways.",
    "Drill the steps in their order and read the balance again after each large one: stop as soon as both planes are inside.",
    "Look for cracks after drilling; a crank that was hardened is checked by its maker's method.",
];
