//! The least clearances of the valves to the piston, of designs in columns.

use crate::columns::{Column, check_apart, check_room, columns_of, room, span, swept_column};
use crate::status::{guard, swept_status};
use crate::study::{asked, swept_workers};
use std::borrow::Cow;
use swept::study::{Figure, LeastColumns, si, taken, valve_clearances, valve_columns};
use swept::units::Dimension;

/// The values of a column in the units of a study, in which the answers come: those there where it is in these, else converted.
fn studied(column: &Column) -> Cow<'static, [f64]> {
    match column.unit.filter(|unit| taken(unit, 1.0) != 1.0) {
        None => Cow::Borrowed(column.values),
        Some(unit) => Cow::Owned(column.values.iter().map(|value| taken(unit, *value)).collect()),
    }
}

/// The least clearances of the intake and the exhaust valve to the piston over a cycle of 720 crank degrees, of `rows` designs in columns, and the crank angles that have
/// them. A column has a value for each row, or one for all.
///
/// Figures are `stroke`, `rod_length`, `pin_offset` (positive towards the major thrust side), `cam_advance` (positive for an earlier cam), and of each valve, such as
/// `intake_lift`: `static_clearance` (gap between the valve on its seat and the piston at top dead centre, along the bore), `lift` (greatest, along the stem), `duration`,
/// `centreline` (crank angle of greatest lift from overlap top dead centre: of an exhaust valve negative) and `valve_angle` (of the stem to the bore). Offset, advance and
/// valve angles are zero where they are not given.
///
/// Clearances are along the bore, m, below zero where the parts would meet; angles are the first of the whole crank degrees from -360 to 359 that has it, rad from overlap
/// top dead centre. Lift is the 3-4-5 polynomial, without lash. NaN, clearance and angle, for rows of no engine: not finite, a rod too short to turn, a negative lift, no
/// duration. This is geometry alone: rods stretch, valves float and cams twist at speed; leave a margin. Columns in mm and degrees are read where they are, others are
/// converted to memory of the call's own.
///
/// A figure that has no part in it or is given twice is an unknown key, one that is missing a missing key. Arrays to write to that share memory with one another or with
/// the columns are out of range. Where the watch stops the call, some of the arrays may have been written.
///
/// # Safety
/// `columns` is valid for reads of `count` columns, each with zero-terminated texts and its values valid for reads; `workers` is null or valid for a read, its watch null or a
/// function that may be called with its `user`; the outputs are valid for writes of `rows` doubles each, or null where that is zero; any other null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_valve_clearances_of_columns(
    columns: *const swept_column,
    count: usize,
    workers: *const swept_workers,
    rows: usize,
    out_intake_clearance_m: *mut f64,
    out_intake_angle_rad: *mut f64,
    out_exhaust_clearance_m: *mut f64,
    out_exhaust_angle_rad: *mut f64,
) -> swept_status {
    guard(|| {
        let outs =
            [out_intake_clearance_m, out_intake_angle_rad, out_exhaust_clearance_m, out_exhaust_angle_rad];
        outs.into_iter().try_for_each(|out| check_room(out, rows))?;
        // SAFETY: passed on from the caller.
        let columns = unsafe { columns_of(columns, count)? };
        let read: Vec<_> = columns.iter().map(Column::span).collect();
        check_apart(outs.iter().map(|out| span(*out, rows)).collect(), &read)?;
        let values: Vec<(Figure, Cow<'_, [f64]>)> = columns.iter().map(|c| (c.figure, studied(c))).collect();
        let given: Vec<(Figure, &[f64])> = values.iter().map(|(f, values)| (*f, &**values)).collect();
        let (crank, valves) = valve_columns(&given)?;
        // SAFETY: checked, and apart from all that is read and written; the caller promises as many places.
        let [clearance, angle, exhaust_clearance, exhaust_angle] = outs.map(|out| unsafe { room(out, rows) });
        let least = [
            LeastColumns { clearance, angle },
            LeastColumns { clearance: exhaust_clearance, angle: exhaust_angle },
        ];
        // SAFETY: passed on from the caller.
        unsafe { asked(workers, |workers| valve_clearances(&crank, &valves, least, workers))? };
        let dimensions = [Dimension::Length, Dimension::Angle, Dimension::Length, Dimension::Angle];
        for (out, dimension) in outs.into_iter().zip(dimensions) {
            // SAFETY: as above; the slices before are used no more.
            for value in unsafe { room(out, rows) } {
                *value = si(dimension, *value);
            }
        }
        Ok(())
    })
}
