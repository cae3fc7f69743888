//! Walls, thick cylinders, firing intervals.

use crate::clearance::not_one_of;
use crate::status::{Outcome, check_out, guard, positive, put, q, slice, swept_status};
use swept::geometry::{self, Cycle, Layout, Station, ThickCylinder, WallReading};
use swept::units::Dimensioned;

/// Wall left between two bores, m.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_wall_between_bores(
    spacing_m: f64,
    bore_m: f64,
    out: *mut f64,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        put(
            out,
            geometry::wall_between_bores(positive("bore spacing", spacing_m)?, positive("bore", bore_m)?)
                .si(),
        )
    })
}

/// Wall left at a reading after an overbore, m; the shift is of the bore's centre towards the reading.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_wall_after_overbore(
    wall_m: f64,
    bore_m: f64,
    new_bore_m: f64,
    shift_towards_m: f64,
    out: *mut f64,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        put(
            out,
            geometry::wall_after_overbore(
                q("wall", wall_m)?,
                positive("bore", bore_m)?,
                positive("new bore", new_bore_m)?,
                q("shift", shift_towards_m)?,
            )
            .si(),
        )
    })
}

/// Hoop stress at the bore of a wall of even thickness (Lame), Pa.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_wall_hoop_stress(
    bore_m: f64,
    wall_m: f64,
    pressure_pa: f64,
    out: *mut f64,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        put(
            out,
            geometry::wall_hoop_stress(
                positive("bore", bore_m)?,
                q("wall", wall_m)?,
                q("pressure", pressure_pa)?,
            )?
            .si(),
        )
    })
}

/// Hoop stress of a thick cylinder at a radius (Lame), tension positive, Pa.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_thick_cylinder_hoop_stress(
    inner_radius_m: f64,
    outer_radius_m: f64,
    inner_pressure_pa: f64,
    outer_pressure_pa: f64,
    radius_m: f64,
    out: *mut f64,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        put(
            out,
            ThickCylinder::new(q("inner radius", inner_radius_m)?, q("outer radius", outer_radius_m)?)?
                .hoop_stress(
                    q("inner pressure", inner_pressure_pa)?,
                    q("outer pressure", outer_pressure_pa)?,
                    q("radius", radius_m)?,
                )?
                .si(),
        )
    })
}

/// Radial stress of a thick cylinder at a radius (Lame), tension positive, Pa.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_thick_cylinder_radial_stress(
    inner_radius_m: f64,
    outer_radius_m: f64,
    inner_pressure_pa: f64,
    outer_pressure_pa: f64,
    radius_m: f64,
    out: *mut f64,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        put(
            out,
            ThickCylinder::new(q("inner radius", inner_radius_m)?, q("outer radius", outer_radius_m)?)?
                .radial_stress(
                    q("inner pressure", inner_pressure_pa)?,
                    q("outer pressure", outer_pressure_pa)?,
                    q("radius", radius_m)?,
                )?
                .si(),
        )
    })
}

/// Axial stress of a thick cylinder with closed ends (Lame), Pa.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_thick_cylinder_axial_stress(
    inner_radius_m: f64,
    outer_radius_m: f64,
    inner_pressure_pa: f64,
    outer_pressure_pa: f64,
    out: *mut f64,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        put(
            out,
            ThickCylinder::new(q("inner radius", inner_radius_m)?, q("outer radius", outer_radius_m)?)?
                .axial_stress_closed(
                    q("inner pressure", inner_pressure_pa)?,
                    q("outer pressure", outer_pressure_pa)?,
                )?
                .si(),
        )
    })
}

/// Wall thickness read at one angle around a bore.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_wall_reading {
    /// From the front of the block, clockwise seen from the deck, rad.
    pub angle_rad: f64,
    /// The thickness there, m.
    pub wall_m: f64,
}

/// Reads wall readings.
///
/// # Safety
/// `readings` is null or valid for reads of `count` values.
unsafe fn walls(readings: *const swept_wall_reading, count: usize) -> Outcome<Vec<WallReading>> {
    // SAFETY: passed on from the caller.
    let readings = unsafe { slice(readings, count, "readings")? };
    let one = |r: &swept_wall_reading| {
        Ok(WallReading { angle: q("angle", r.angle_rad)?, wall: q("wall", r.wall_m)? })
    };
    readings.iter().map(one).collect()
}

/// The reading with the thinnest wall.
///
/// # Safety
/// `readings` is valid for reads of `count` values, `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_thinnest_wall(
    readings: *const swept_wall_reading,
    count: usize,
    out: *mut swept_wall_reading,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        // SAFETY: passed on from the caller.
        let thinnest = geometry::thinnest_wall(&unsafe { walls(readings, count)? })?;
        let value = swept_wall_reading { angle_rad: thinnest.angle.si(), wall_m: thinnest.wall.si() };
        // SAFETY: not null; the caller promises that it is valid for a write.
        unsafe { out.write(value) };
        Ok(())
    })
}

/// The largest bore, kept on its centre, that leaves a least wall at every reading, m.
///
/// # Safety
/// `readings` is valid for reads of `count` values, `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_bore_for_wall(
    readings: *const swept_wall_reading,
    count: usize,
    bore_m: f64,
    least_wall_m: f64,
    out: *mut f64,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        // SAFETY: passed on from the caller.
        let walls = unsafe { walls(readings, count)? };
        put(
            out,
            geometry::bore_for_wall(&walls, positive("bore", bore_m)?, q("least wall", least_wall_m)?)?.si(),
        )
    })
}

/// One cylinder's bank and throw.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_station {
    /// Angle of the cylinder axis about the crank, positive in running direction, rad.
    pub bank_angle_rad: f64,
    /// Angle of its crank throw from the same zero, rad.
    pub throw_angle_rad: f64,
}

/// Crank angle from each cylinder of a firing order (from 1) to the next, rad. `strokes`: 4 or 2; `order` and `out_rad` are of
/// `count` values, one for each station.
///
/// # Safety
/// `stations` and `order` are valid for reads and `out_rad` for writes of `count` values; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_firing_intervals(
    stations: *const swept_station,
    order: *const usize,
    count: usize,
    strokes: i32,
    out_rad: *mut f64,
) -> swept_status {
    guard(|| {
        check_out(out_rad)?;
        let cycle = match strokes {
            4 => Cycle::FourStroke,
            2 => Cycle::TwoStroke,
            other => return Err(not_one_of("strokes", other, "4 or 2")),
        };
        // SAFETY: passed on from the caller.
        let (stations, order) =
            unsafe { (slice(stations, count, "stations")?, slice(order, count, "order")?) };
        let one = |s: &swept_station| {
            let bank_angle = q("bank angle", s.bank_angle_rad)?;
            Ok(Station { bank_angle, throw_angle: q("throw angle", s.throw_angle_rad)? })
        };
        let layout = Layout::explicit(stations.iter().map(one).collect::<Outcome<_>>()?, cycle)?;
        for (i, interval) in layout.firing_intervals(order)?.into_iter().enumerate() {
            // SAFETY: there are `count` intervals, and the caller promises as many places.
            unsafe { out_rad.add(i).write(interval.si()) };
        }
        Ok(())
    })
}
