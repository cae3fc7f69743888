//! The least clearance of the valves to the piston over the crank angle: of designs in columns, of a study, and of a box of designs.

use super::batch::inside;
use super::boxes::Ranges;
use super::figure::{Figure, ValveFigures};
use super::given::possible;
use super::nearest::{Angles, Bounded, Every, Lobe, Nearest, Search};
use super::plan::Shape;
use super::wide::{Simd, WithSimd, wide};
use super::workers::Workers;
use crate::error::{Error, Result};
use crate::geometry::Cylinder;
use crate::geometry::motion::SliderCrank;
use crate::units::{Dimensioned, Length};
use crate::valvetrain::ValveKind;

/// The crank of each design: each column has a value for each, or one value for all.
#[derive(Debug, Clone, Copy)]
pub struct CrankColumns<'c> {
    /// Stroke.
    pub stroke: &'c [f64],
    /// Rod length.
    pub rod_length: &'c [f64],
    /// Pin offset, positive towards the major thrust side.
    pub pin_offset: &'c [f64],
    /// How far the cam is turned to be earlier, degrees of the crank; negative later.
    pub cam_advance: &'c [f64],
}

/// One valve of each design: each column has a value for each, or one value for all.
#[derive(Debug, Clone, Copy)]
pub struct ValveColumns<'c> {
    /// Gap between the valve on its seat and the piston at top dead centre, along the bore.
    pub static_clearance: &'c [f64],
    /// Greatest lift along the stem.
    pub lift: &'c [f64],
    /// Crank angle for which the valve is off its seat, degrees.
    pub duration: &'c [f64],
    /// Crank angle of greatest lift from overlap top dead centre, degrees: of an exhaust valve before it, so negative.
    pub centreline: &'c [f64],
    /// Angle of the stem to the bore, degrees.
    pub valve_angle: &'c [f64],
}

/// Where the least clearance of a valve goes, of each design.
#[derive(Debug)]
pub struct LeastColumns<'o> {
    /// The least clearance, along the bore; below zero where the parts would meet.
    pub clearance: &'o mut [f64],
    /// The first crank angle that has it, whole degrees from -360 to 359 from overlap top dead centre.
    pub angle: &'o mut [f64],
}

/// Rows that one worker does at a time.
const ROWS: usize = 256;

/// Greatest lift along the bore.
#[inline(always)]
pub(super) fn rise(lift: f64, valve_angle: f64) -> f64 {
    lift * along_bore(valve_angle)
}

/// What share of a lift is along the bore.
#[inline(always)]
fn along_bore(valve_angle: f64) -> f64 {
    valve_angle.to_radians().cos()
}

/// Crank angle of greatest lift.
#[inline(always)]
pub(super) fn centre(centreline: f64, cam_advance: f64) -> f64 {
    centreline - cam_advance
}

/// The clearance, from the gap at the seat and how far the piston stands below the valve without that.
#[inline(always)]
pub(super) fn clearance(static_clearance: f64, below: f64) -> f64 {
    static_clearance + below
}

#[inline(always)]
fn crank([stroke, rod, offset]: [f64; 3]) -> SliderCrank {
    let [stroke, rod, offset] = [stroke, rod, offset].map(Length::from_si);
    Cylinder::unchecked(stroke, stroke, rod, offset).slider_crank()
}

/// Whether a figure can be this; of both valves the same can be.
#[inline(always)]
fn can_be(figure: Figure, value: f64) -> bool {
    inside(value, possible(figure)) != 0
}

/// The value of a row, of a column that may have one value for all.
#[inline(always)]
fn value(column: &[f64], row: usize) -> f64 {
    let row = if column.len() == 1 { 0 } else { row };
    column.get(row).copied().unwrap_or(f64::NAN)
}

/// The least clearances of the intake and the exhaust valve to the piston over a cycle of 720 crank degrees, of designs in columns; lengths in any one
/// unit. The same, to the bit, for any number of threads.
///
/// Clearance along the bore at a crank angle t: static clearance + drop(t) - cos(valve angle) lift(t), with
/// - drop, how far the piston stands below top dead centre ([`Cylinder::piston_position`]);
/// - lift by the 3-4-5 polynomial ([`Programme::Polynomial345`](crate::valvetrain::Programme)): greatest lift x (10 x^3 - 15 x^4 + 6 x^5), with x = 1 - |t - centre| / (duration / 2), zero where
///   that is below zero; centre = centreline - cam advance. The cam's own lift without lash, one lobe that is not repeated beyond the cycle.
///
/// It is looked at for whole degrees, t from -360 to 359, where 0 is overlap top dead centre; of equal clearances the first angle counts. t is the angle of the throw from the
/// bore axis: with an offset pin, true top dead centre stands asin(offset / (rod length + stroke / 2)) before 0. Between two whole degrees it can be less, by some micrometres: half a degree
/// from the angle of the least, c''/2 x (0.5 deg)^2. This is geometry alone: rods stretch, valves float and cams twist at speed; leave a margin.
///
/// Rows whose figures are of no engine (not finite, a rod too short to turn, a negative lift, a duration not above zero or
/// over 720 degrees, a centreline or an advance beyond 360, a valve lying down) get NaN, clearance and angle.
///
/// # Errors
/// [`Error::WrongLength`] for a column that has neither one value nor one for each row; [`Error::Stopped`].
///
/// # Source
/// Drop: Heywood, Internal Combustion Engine Fundamentals (1988), eqs. 2.4 and 2.5, extended by the offset; lift: Norton, Cam Design and Manufacturing Handbook, the 3-4-5 polynomial (both from
/// memory); the clearance is geometry.
///
/// # Example
/// ```
/// use swept::study::{CrankColumns, LeastColumns, ValveColumns, Workers, valve_clearances};
/// let crank = CrankColumns { stroke: &[86.0], rod_length: &[143.0], pin_offset: &[0.0], cam_advance: &[0.0, 4.0] };
/// let valve = |centreline| ValveColumns {
///     static_clearance: &[6.5], lift: &[10.5], duration: &[270.0], centreline, valve_angle: &[15.0],
/// };
/// let (mut a, mut b, mut c, mut d) = ([0.0; 2], [0.0; 2], [0.0; 2], [0.0; 2]);
/// let intake = LeastColumns { clearance: &mut a, angle: &mut b };
/// let exhaust = LeastColumns { clearance: &mut c, angle: &mut d };
/// valve_clearances(&crank, &[valve(&[108.0]), valve(&[-112.0])], [intake, exhaust], &Workers::default())?;
/// // An earlier cam brings the intake valve nearer to the piston and the exhaust valve farther from it.
/// assert!(a[1] < a[0] && c[1] > c[0] && b[0] > 0.0 && d[0] < 0.0);
/// # Ok::<(), swept::Error>(())
/// ```
pub fn valve_clearances(
    crank: &CrankColumns,
    valves: &[ValveColumns; 2],
    out: [LeastColumns; 2],
    workers: &Workers,
) -> Result<()> {
    let [intake, exhaust] = out;
    let slices = [intake.clearance, intake.angle, exhaust.clearance, exhaust.angle];
    let rows = slices.first().map_or(0, |s| s.len());
    check_lengths(crank, valves, &slices, rows)?;
    let [a, b, c, d] = slices.map(|slice| slice.chunks_mut(ROWS));
    let parts = a.zip(b).zip(c.zip(d)).enumerate();
    let done = workers.each(
        parts,
        || (),
        |(), (part, ((a, b), (c, d)))| {
            wide(Part { first: part * ROWS, crank, valves, out: [[a, b], [c, d]] });
            Ok(())
        },
    );
    done.map(|_| ())
}

fn check_lengths(
    crank: &CrankColumns,
    [intake, exhaust]: &[ValveColumns; 2],
    out: &[&mut [f64]; 4],
    rows: usize,
) -> Result<()> {
    let valve = |v: &ValveColumns, of: ValveFigures| {
        [
            (of.static_clearance, v.static_clearance.len()),
            (of.lift, v.lift.len()),
            (of.duration, v.duration.len()),
            (of.centreline, v.centreline.len()),
            (of.valve_angle, v.valve_angle.len()),
        ]
    };
    let cranks = [
        (Figure::Stroke, crank.stroke.len()),
        (Figure::RodLength, crank.rod_length.len()),
        (Figure::PinOffset, crank.pin_offset.len()),
        (Figure::CamAdvance, crank.cam_advance.len()),
    ];
    let intake = valve(intake, ValveFigures::of(ValveKind::Intake));
    let exhaust = valve(exhaust, ValveFigures::of(ValveKind::Exhaust));
    for (figure, found) in cranks.into_iter().chain(intake).chain(exhaust) {
        if found != rows && found != 1 {
            let expected = format!("one, or one for each of the {rows} rows");
            return Err(Error::WrongLength { field: figure.name().into(), found, expected });
        }
    }
    match out.iter().map(|slice| slice.len()).find(|found| *found != rows) {
        None => Ok(()),
        Some(found) => {
            let expected = format!("{rows}, as the first");
            Err(Error::WrongLength { field: "least clearances and their angles".into(), found, expected })
        }
    }
}

/// Some rows of the columns.
struct Part<'p> {
    first: usize,
    crank: &'p CrankColumns<'p>,
    valves: &'p [ValveColumns<'p>; 2],
    /// By valve: clearance and angle.
    out: [[&'p mut [f64]; 2]; 2],
}

impl WithSimd for Part<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) {
        let angles = Angles::table();
        let (mut search, mut last) = (Bounded::new(), [f64::NAN; 3]);
        let mut tilts = [(f64::NAN, f64::NAN); 2];
        let cranks = [self.crank.stroke, self.crank.rod_length, self.crank.pin_offset];
        let [[a, b], [c, d]] = self.out;
        for (i, ((a, b), (c, d))) in a.iter_mut().zip(b).zip(c.iter_mut().zip(d)).enumerate() {
            let row = self.first + i;
            let of = |column| value(column, row);
            let this = cranks.map(of);
            if this != last {
                search.set(simd, angles, crank(this));
                last = this;
            }
            let advance = of(self.crank.cam_advance);
            for ((valve, [clear, angle]), tilt) in self.valves.iter().zip([[a, b], [c, d]]).zip(&mut tilts) {
                // All rows may share the angle of the valve.
                let (valve_angle, duration) = (of(valve.valve_angle), of(valve.duration));
                let centreline = of(valve.centreline);
                let possible = can_be(Figure::CamAdvance, advance)
                    & can_be(Figure::IntakeValveAngle, valve_angle)
                    & can_be(Figure::IntakeDuration, duration)
                    & can_be(Figure::IntakeCentreline, centreline);
                if valve_angle != tilt.0 {
                    *tilt = (valve_angle, along_bore(valve_angle));
                }
                let lobe = Lobe::new(of(valve.lift) * tilt.1, duration, centre(centreline, advance));
                let nearest = search.nearest(simd, angles, &lobe);
                let least = clearance(of(valve.static_clearance), nearest.below);
                (*clear, *angle) =
                    if possible & least.is_finite() { (least, nearest.degree) } else { (f64::NAN, f64::NAN) };
            }
        }
    }
}

/// A block of a study: the angle where a valve is nearest, from stroke, rod length, pin offset, rise, duration and centre.
struct AnglesOf<'b> {
    inputs: [&'b [f64]; 6],
    out: &'b mut [f64],
}

impl WithSimd for AnglesOf<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) {
        let angles = Angles::table();
        let (mut search, mut last) = (Bounded::new(), [f64::NAN; 3]);
        for (i, out) in self.out.iter_mut().enumerate() {
            let [stroke, rod, offset, rise, duration, centre] =
                self.inputs.map(|x| x.get(i).copied().unwrap_or(f64::NAN));
            let this = [stroke, rod, offset];
            if this != last {
                search.set(simd, angles, crank(this));
                last = this;
            }
            *out = search.nearest(simd, angles, &Lobe::new(rise, duration, centre)).degree;
        }
    }
}

/// The angles of a block of a study.
pub(super) fn fill_angles(out: &mut [f64], inputs: [&[f64]; 6]) {
    wide(AnglesOf { inputs, out });
}

/// How far the piston stands below the valve at the angles found: what the search saw there, to the bit.
pub(super) fn fill_below(out: &mut [f64], inputs: [&[f64]; 6], degrees: &[f64]) {
    for (i, (out, degree)) in out.iter_mut().zip(degrees).enumerate() {
        let [stroke, rod, offset, rise, duration, centre] =
            inputs.map(|x| x.get(i).copied().unwrap_or(f64::NAN));
        *out = Lobe::new(rise, duration, centre).at(&crank([stroke, rod, offset]), *degree);
    }
}

/// The nearest of a valve at every angle, with the centre of its lift anywhere between two: as near as any of them, or as far.
struct Between {
    crank: SliderCrank,
    lobe: Lobe,
    centres: (f64, f64),
    near: bool,
}

impl WithSimd for Between {
    type Output = Nearest;

    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) -> Nearest {
        let (angles, mut every) = (Angles::table(), Every::new());
        every.set(simd, angles, self.crank);
        let (first, last) = self.centres;
        let greater = |a: f64, b: f64| if a > b { a } else { b };
        match self.near {
            true => every.nearest_where(simd, angles, &self.lobe, |degree| {
                greater(greater(first - degree, degree - last), 0.0)
            }),
            false => {
                every.nearest_where(simd, angles, &self.lobe, |degree| greater(last - degree, degree - first))
            }
        }
    }
}

/// Rounding moves no clearance by so much of it, or by so many study units, the slider-crank's own aside.
const SLACK: f64 = 1e-9;

/// What the least clearance of a valve is at least and at most for all designs of a box; none where that is not known.
///
/// At every angle the clearance is least with the least gap at the seat, the greatest lift, the longest duration and the centre of lift nearest to the angle. Where the pin is not offset, the
/// piston stands highest with the shortest stroke and the longest rod; else the box must have one stroke, rod and offset.
pub(super) fn range(valve: ValveKind, shape: Shape, ranges: &Ranges) -> Option<(f64, f64)> {
    let at = |figure: Figure| ranges.get(figure.index()).copied().unwrap_or((f64::NAN, f64::NAN));
    let of = ValveFigures::of(valve);
    let (stroke, rod, offset) = (at(Figure::Stroke), at(Figure::RodLength), at(Figure::PinOffset));
    if shape.offset && [stroke, rod, offset].iter().any(|(least, greatest)| least != greatest) {
        return None;
    }
    let (lift, tilt, duration) = (at(of.lift), at(of.valve_angle), at(of.duration));
    let (centreline, advance) = (at(of.centreline), at(Figure::CamAdvance));
    let centres = (centre(centreline.0, advance.1), centre(centreline.1, advance.0));
    let side = |near: bool, crank: SliderCrank, lobe: Lobe, gap: f64| {
        let found = wide(Between { crank, lobe, centres, near });
        let least = clearance(gap, found.below);
        (least, SLACK * (1.0 + least.abs()) + crank.rounding())
    };
    let lobe = |lift, tilt, duration| Lobe::new(rise(lift, tilt), duration, centres.0);
    let gap = at(of.static_clearance);
    let near = side(true, crank([stroke.0, rod.1, offset.0]), lobe(lift.1, tilt.0, duration.1), gap.0);
    let far = side(false, crank([stroke.1, rod.0, offset.0]), lobe(lift.0, tilt.1, duration.0), gap.1);
    let (low, high) = (near.0 - near.1, far.0 + far.1);
    (!low.is_nan() && !high.is_nan()).then_some((low, high))
}

#[cfg(test)]
mod tests;
