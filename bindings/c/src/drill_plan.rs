//! Drill plans: the holes, what is left after each, and how far the sites fall short where there is no plan.

use crate::drill::swept_drill_task;
use crate::status::{
    Failure, Outcome, check_out, finite_result, get, guard, swept_status, write, write_list,
};
use swept::Error;
use swept::balance::drill::{DEFAULT_EFFORT, DrillAnswer, DrillPlan, DrillStep, Shortfall};
use swept::units::Dimensioned;

/// One hole to drill, with a slug to press into it where the site is one of slugs.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_drill_step {
    /// Which of the sites, from 0.
    pub site: usize,
    /// Where the hole stands, rad.
    pub angle_rad: f64,
    /// Its diameter, m.
    pub diameter_m: f64,
    /// Depth of its full diameter, m.
    pub depth_m: f64,
    /// Metal of the crank that goes, kg.
    pub removed_kg: f64,
    /// Mass of the slug that comes; zero where none does, kg.
    pub slug_kg: f64,
    /// Unbalance of the hole itself: taken away at its angle, or added there where there is a slug, kg m.
    pub amount_kg_m: f64,
    /// Unbalance of plane A after this step, kg m.
    pub first_left_kg_m: f64,
    /// Where it is heavy, rad.
    pub first_heavy_at_rad: f64,
    /// Unbalance of plane B after this step, kg m.
    pub second_left_kg_m: f64,
    /// Where it is heavy, rad.
    pub second_heavy_at_rad: f64,
    /// 1 where both planes are inside their limits, less the guard, after this step, else 0.
    pub inside: i32,
}

/// What a plan comes to.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_drill_plan {
    /// What plane A's residual keeps to: its limit less the guard, kg m.
    pub first_guarded_kg_m: f64,
    /// What plane B's residual keeps to, kg m.
    pub second_guarded_kg_m: f64,
    /// Metal of the crank that goes in all, kg.
    pub removed_kg: f64,
    /// Mass of all slugs, kg.
    pub slugs_kg: f64,
    /// No plan has fewer holes.
    pub least_holes: usize,
    /// No plan with as many holes as this one removes less metal, kg.
    pub least_metal_kg: f64,
    /// 1 where no plan has fewer holes and none with as many removes less metal, else 0.
    pub proved: i32,
}

/// How far the sites fall short where there is no plan.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_drill_shortfall {
    /// Plane A keeps at least this, whatever becomes of plane B: a lower bound, kg m.
    pub first_least_kg_m: f64,
    /// Plane B keeps at least this, whatever becomes of plane A: a lower bound, kg m.
    pub second_least_kg_m: f64,
    /// What plane A's residual should keep to: its limit less the guard, kg m.
    pub first_guarded_kg_m: f64,
    /// What plane B's residual should keep to, kg m.
    pub second_guarded_kg_m: f64,
    /// One of the planes keeps at least so many times its guarded limit: a lower bound.
    pub least_factor: f64,
    /// With the holes given, the greater of both unbalances over the guarded limits.
    pub nearest_factor: f64,
    /// 1 where all sites are for drilling, so that mass can only go, else 0.
    pub only_drilling: i32,
}

impl swept_drill_step {
    fn of(step: &DrillStep) -> Self {
        let ((first, first_at), (second, second_at)) = (step.left(0), step.left(1));
        Self {
            site: step.site,
            angle_rad: step.hole.angle.si(),
            diameter_m: step.hole.diameter.si(),
            depth_m: step.hole.depth.si(),
            removed_kg: step.removed.si(),
            slug_kg: step.slug.si(),
            amount_kg_m: step.amount.si(),
            first_left_kg_m: first.si(),
            first_heavy_at_rad: first_at.si(),
            second_left_kg_m: second.si(),
            second_heavy_at_rad: second_at.si(),
            inside: i32::from(step.inside),
        }
    }
}

impl swept_drill_plan {
    fn of(plan: &DrillPlan) -> Outcome<Self> {
        let [first, second] = plan.guarded;
        Ok(Self {
            first_guarded_kg_m: first.si(),
            second_guarded_kg_m: second.si(),
            removed_kg: finite_result(plan.removed.si())?,
            slugs_kg: finite_result(plan.slugs.si())?,
            least_holes: plan.least_holes,
            least_metal_kg: finite_result(plan.least_metal.si())?,
            proved: i32::from(plan.proved),
        })
    }
}

impl swept_drill_shortfall {
    fn of(short: &Shortfall) -> Outcome<Self> {
        let ([least_a, least_b], [guarded_a, guarded_b]) = (short.least, short.guarded);
        Ok(Self {
            first_least_kg_m: finite_result(least_a.si())?,
            second_least_kg_m: finite_result(least_b.si())?,
            first_guarded_kg_m: guarded_a.si(),
            second_guarded_kg_m: guarded_b.si(),
            least_factor: finite_result(short.least_factor)?,
            nearest_factor: finite_result(short.nearest_factor)?,
            only_drilling: i32::from(short.only_drilling),
        })
    }
}

/// The plan, or how far the sites fall short.
///
/// # Safety
/// As [`swept_plan_drilling`].
unsafe fn answer(task: *const swept_drill_task) -> Outcome<DrillAnswer> {
    // SAFETY: passed on from the caller.
    let given = unsafe { get(task, "task")? };
    let effort = if given.effort == 0 { DEFAULT_EFFORT } else { given.effort };
    // SAFETY: passed on from the caller.
    Ok(unsafe { given.checked()? }.plan(effort)?)
}

/// Writes the steps and then the whole.
///
/// # Safety
/// `out_steps` is valid for writes of `capacity` steps, or null with a capacity of zero; the others are valid for a write.
unsafe fn give<T>(
    steps: &[DrillStep],
    whole: T,
    (out_steps, capacity): (*mut swept_drill_step, usize),
    out_count: *mut usize,
    out: *mut T,
) -> Outcome<()> {
    let count = steps.len();
    if count > capacity {
        let expected = format!("at least {count}, the holes of the plan");
        return Err(Error::WrongLength { field: "capacity".into(), found: capacity, expected }.into());
    }
    // SAFETY: the caller promises as many places as `capacity`.
    unsafe { write_list(out_steps, steps.iter().map(swept_drill_step::of)) };
    write(out_count, count)?;
    write(out, whole)
}

/// Refuses null where something is to be written.
fn check_outs<T>(
    steps: *mut swept_drill_step,
    capacity: usize,
    count: *mut usize,
    whole: *mut T,
) -> Outcome<()> {
    if capacity > 0 {
        check_out(steps)?;
    }
    check_out(count)?;
    check_out(whole)
}

/// The fewest holes, and of such plans the least metal removed, that bring both planes inside their limits less the guard. Written are the holes in
/// their order, each the one that helps most, how many they are (none where all is inside already), and what the plan comes to. Where the
/// sites fall short the status is SWEPT_NO_SOLUTION, the message says by how much, and swept_nearest_drilling() gives the holes that come nearest. A `capacity`
/// below the holes of the plan is a wrong length; 12 places always suffice. Show swept_drill_caution() with every plan.
///
/// # Safety
/// `task` is valid for a read, its pointers and those of its sites and holes for reads of their counts; `out_steps` is valid for writes of `capacity` steps, or null
/// with a capacity of zero; `out_count` and `out_plan` are valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_plan_drilling(
    task: *const swept_drill_task,
    out_steps: *mut swept_drill_step,
    capacity: usize,
    out_count: *mut usize,
    out_plan: *mut swept_drill_plan,
) -> swept_status {
    guard(|| {
        check_outs(out_steps, capacity, out_count, out_plan)?;
        // SAFETY: passed on from the caller.
        match unsafe { answer(task)? } {
            // SAFETY: as above.
            DrillAnswer::Plan(plan) => unsafe {
                let whole = swept_drill_plan::of(&plan)?;
                give(&plan.steps, whole, (out_steps, capacity), out_count, out_plan)
            },
            DrillAnswer::Short(short) => Err(Failure::Nothing(short.to_string())),
        }
    })
}

/// Where swept_plan_drilling() finds no plan: the holes that come nearest to the limits, and how far the sites fall short. The same search, so that it takes
/// the same time again. Where there is a plan the status is SWEPT_NO_SOLUTION and the message says so. Show swept_drill_caution() with the holes.
///
/// # Safety
/// As swept_plan_drilling(); `out_shortfall` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_nearest_drilling(
    task: *const swept_drill_task,
    out_steps: *mut swept_drill_step,
    capacity: usize,
    out_count: *mut usize,
    out_shortfall: *mut swept_drill_shortfall,
) -> swept_status {
    guard(|| {
        check_outs(out_steps, capacity, out_count, out_shortfall)?;
        // SAFETY: passed on from the caller.
        match unsafe { answer(task)? } {
            DrillAnswer::Plan(_) => {
                Err(Failure::Nothing("there is a plan: swept_plan_drilling() gives its holes".into()))
            }
            // SAFETY: as above.
            DrillAnswer::Short(short) => unsafe {
                let whole = swept_drill_shortfall::of(&short)?;
                give(&short.nearest, whole, (out_steps, capacity), out_count, out_shortfall)
            },
        }
    })
}
