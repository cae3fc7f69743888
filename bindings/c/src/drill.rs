//! Which holes to drill in counterweights, or where to add slugs, for the balance of a crankshaft.

use crate::clearance::not_one_of;
use crate::status::{Outcome, check_out, entry, guard, slice, swept_status, text, write};
use core::ffi::c_char;
use std::ffi::CString;
use std::sync::LazyLock;
use swept::balance::drill::{
    CAUTIONS, DEFAULT_MOST_HOLES, DrillPlane, DrillSite, DrillTask, DrilledHole, GUARD, Slug, Way, Work,
};
use swept::units::{Angle, Dimensioned, Length, Ratio, Unbalance};

/// A correction plane: what was read and what is allowed.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_drill_plane {
    /// Along the crank axis, m.
    pub position_m: f64,
    /// Unbalance that was read, kg m.
    pub unbalance_kg_m: f64,
    /// Where it is heavy, positive in running direction from the crank's zero, rad.
    pub heavy_at_rad: f64,
    /// Standard uncertainty of the reading, kg m.
    pub uncertainty_kg_m: f64,
    /// Permissible residual unbalance, kg m.
    pub limit_kg_m: f64,
}

/// A slug that the shop stocks.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_slug {
    /// Its diameter: that of its hole, m.
    pub diameter_m: f64,
    /// Its length: the depth of its hole, m.
    pub length_m: f64,
}

/// A part of a counterweight where holes are allowed.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_drill_site {
    /// The counterweight, a zero-terminated text; sites with one name share its metal.
    pub cheek: *const c_char,
    /// Along the crank axis: the centroid of the holes, m.
    pub position_m: f64,
    /// One end of the counterweight's metal, in running direction from the crank's zero, rad.
    pub from_rad: f64,
    /// Its other end, further in running direction, rad.
    pub to_rad: f64,
    /// Step of the angle, from the first end, rad.
    pub step_rad: f64,
    /// 0: radial, from outside towards the crank axis; 1: axial, parallel to it.
    pub axial: i32,
    /// Radius of the mouth (radial) or of the hole's axis (axial), m.
    pub radius_m: f64,
    /// Least metal between holes of one counterweight, and between a hole and either end, m.
    pub web_m: f64,
    /// Density of the counterweight, kg/m3.
    pub density_kg_m3: f64,
    /// Width of the cheek along the crank axis, m; NaN where not known.
    pub width_m: f64,
    /// Angle across the drill's point, pi/2 to pi, rad; NaN for a site of slugs whose bores go through or are flat.
    pub point_rad: f64,
    /// Drills that the shop has, m.
    pub drills_m: *const f64,
    /// How many drills; looked at where there are no slugs.
    pub drill_count: usize,
    /// Least depth of the full diameter, m; this and the next two are looked at where there are no slugs.
    pub least_depth_m: f64,
    /// Greatest depth of the full diameter, m.
    pub greatest_depth_m: f64,
    /// Step of the depth, from the least, m.
    pub depth_step_m: f64,
    /// Slugs that the shop has; holes are bored for them and filled.
    pub slugs: *const swept_slug,
    /// How many slugs; 0 for a site where holes are drilled and left empty.
    pub slug_count: usize,
    /// Density of the slugs, kg/m3; looked at where there are slugs.
    pub slug_density_kg_m3: f64,
}

/// A hole that is there: its neighbourhood is no site any more. What it did to the balance is in the reading.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_drilled_hole {
    /// The counterweight it is in, by the name its sites have.
    pub cheek: *const c_char,
    /// Along the crank axis, m.
    pub position_m: f64,
    /// Where it stands, positive in running direction, rad.
    pub angle_rad: f64,
    /// 0: radial, 1: axial.
    pub axial: i32,
    /// Radius of its mouth (radial) or its axis (axial), m.
    pub radius_m: f64,
    /// Its diameter, m.
    pub diameter_m: f64,
    /// Depth of its full diameter, m.
    pub depth_m: f64,
}

/// What is asked: readings of two planes, sites, holes that are there, how sure the result must be.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_drill_task {
    /// Plane A.
    pub first: swept_drill_plane,
    /// Plane B, at another position.
    pub second: swept_drill_plane,
    /// Where holes are allowed.
    pub sites: *const swept_drill_site,
    /// How many sites.
    pub site_count: usize,
    /// The holes that are there, all of them; null with a count of zero for none.
    pub drilled: *const swept_drilled_hole,
    /// How many holes are there.
    pub drilled_count: usize,
    /// Standard uncertainties that each limit is reduced by; NaN for 1.65.
    pub guard: f64,
    /// The most holes, 1 to 12; 0 for 6.
    pub most_holes: usize,
    /// How much work the search may take; 0 for the default.
    pub effort: u64,
}

fn way(axial: i32) -> Outcome<Way> {
    match axial {
        0 => Ok(Way::Radial),
        1 => Ok(Way::Axial),
        other => Err(not_one_of("axial", other, "0 (radial) or 1 (axial)")),
    }
}

/// A figure that NaN says is missing.
fn given<Q: Dimensioned>(si: f64) -> Option<Q> {
    (!si.is_nan()).then(|| Q::from_si(si))
}

impl swept_drill_plane {
    fn plane(&self) -> DrillPlane {
        DrillPlane {
            position: Length::from_si(self.position_m),
            unbalance: Unbalance::from_si(self.unbalance_kg_m),
            heavy_at: Angle::from_si(self.heavy_at_rad),
            uncertainty: Unbalance::from_si(self.uncertainty_kg_m),
            limit: Unbalance::from_si(self.limit_kg_m),
        }
    }
}

impl swept_drill_site {
    /// Reads what is done at the site.
    ///
    /// # Safety
    /// Its lists are null or valid for reads of their counts.
    unsafe fn work(&self) -> Outcome<Work> {
        // SAFETY: passed on from the caller.
        let drills = unsafe { slice(self.drills_m, self.drill_count, "drills_m")? };
        // SAFETY: passed on from the caller.
        let slugs = unsafe { slice(self.slugs, self.slug_count, "slugs")? };
        if slugs.is_empty() {
            return Ok(Work::Drill {
                diameters: drills.iter().map(|d| Length::from_si(*d)).collect(),
                point: Angle::from_si(self.point_rad),
                least: Length::from_si(self.least_depth_m),
                greatest: Length::from_si(self.greatest_depth_m),
                step: Length::from_si(self.depth_step_m),
            });
        }
        let length = Length::from_si;
        let slug = |s: &swept_slug| Slug { diameter: length(s.diameter_m), length: length(s.length_m) };
        let stock = slugs.iter().map(slug).collect();
        Ok(Work::AddSlugs { stock, density: self.slug_density_kg_m3, point: given(self.point_rad) })
    }

    /// Reads a site.
    ///
    /// # Safety
    /// Its pointers are null or valid for reads of their counts, its text zero-terminated.
    unsafe fn site(&self) -> Outcome<DrillSite> {
        Ok(DrillSite {
            // SAFETY: passed on from the caller.
            cheek: unsafe { text(self.cheek, "cheek")? }.into(),
            position: Length::from_si(self.position_m),
            from: Angle::from_si(self.from_rad),
            to: Angle::from_si(self.to_rad),
            step: Angle::from_si(self.step_rad),
            way: way(self.axial)?,
            radius: Length::from_si(self.radius_m),
            web: Length::from_si(self.web_m),
            density: self.density_kg_m3,
            width: given(self.width_m),
            // SAFETY: passed on from the caller.
            work: unsafe { self.work()? },
        })
    }
}

impl swept_drilled_hole {
    /// Reads a hole.
    ///
    /// # Safety
    /// Its text is null or zero-terminated.
    unsafe fn hole(&self) -> Outcome<DrilledHole> {
        Ok(DrilledHole {
            // SAFETY: passed on from the caller.
            cheek: unsafe { text(self.cheek, "cheek")? }.into(),
            position: Length::from_si(self.position_m),
            angle: Angle::from_si(self.angle_rad),
            way: way(self.axial)?,
            radius: Length::from_si(self.radius_m),
            diameter: Length::from_si(self.diameter_m),
            depth: Length::from_si(self.depth_m),
        })
    }
}

impl swept_drill_task {
    /// Reads a task.
    ///
    /// # Safety
    /// Its pointers, and those of its sites and holes, are null or valid for reads of their counts, its texts zero-terminated.
    pub(crate) unsafe fn checked(&self) -> Outcome<DrillTask> {
        // SAFETY: passed on from the caller.
        let sites = unsafe { slice(self.sites, self.site_count, "sites")? };
        // SAFETY: passed on from the caller.
        let drilled = unsafe { slice(self.drilled, self.drilled_count, "drilled")? };
        // SAFETY: as above, for what each points to.
        let sites = sites.iter().map(|s| unsafe { s.site() }).collect::<Outcome<_>>()?;
        // SAFETY: as above.
        let drilled = drilled.iter().map(|h| unsafe { h.hole() }).collect::<Outcome<_>>()?;
        let task = DrillTask::new([self.first.plane(), self.second.plane()], sites)?;
        let most = if self.most_holes == 0 { DEFAULT_MOST_HOLES } else { self.most_holes };
        let guard = given(self.guard).unwrap_or(Ratio::from_si(GUARD));
        Ok(task.with_guard(guard)?.with_most_holes(most)?.with_drilled(drilled)?)
    }
}

static TEXTS: LazyLock<Vec<CString>> =
    LazyLock::new(|| CAUTIONS.iter().map(|text| CString::new(*text).unwrap_or_default()).collect());

/// How many cautions there are for the person at the drill.
#[unsafe(no_mangle)]
pub extern "C" fn swept_drill_caution_count() -> usize {
    CAUTIONS.len()
}

/// What the person at the drill must know, by its index, from 0 and below swept_drill_caution_count(). Static, not to be freed.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_drill_caution(index: usize, out: *mut *const c_char) -> swept_status {
    guard(|| {
        check_out(out)?;
        write(out, entry(&TEXTS, index, "cautions")?.as_ptr())
    })
}
