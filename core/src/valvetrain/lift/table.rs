//! Lobes from measured tables.

use super::spline::{Clamped, Segment, non_decreasing};
use super::{LiftCurve, TURN, degrees};
use crate::error::{Error, Result, finite, finite_positive};
use crate::units::{Angle, Dimensioned, Length, written};
use crate::valvetrain::CamAngle;
use core::f64::consts::TAU;

/// Fewest rows of a table.
const LEAST_ROWS: usize = 8;

/// Fewest rows with lift.
const LEAST_LIFTED: usize = 4;

/// Share of the greatest lift by which a reading may stray from one hump on a base circle without lift.
const STRAY_SHARE: f64 = 0.005;

/// How many standard deviations of the readings they may stray, when smoothed.
const STRAY_DEVIATIONS: f64 = 5.0;

/// Share of the greatest lift that a slope, per radian, may have from rounding alone: a row of such a slope is level, so that a table
/// alike on both flanks has its nose in the middle.
const LEVEL: f64 = 1e-12;

/// A lift curve from a table, and what became of the readings.
#[derive(Debug, Clone, PartialEq)]
pub struct MeasuredLift {
    /// The curve, with its nose at the cam angle zero.
    pub curve: LiftCurve,
    /// How it stands to the readings.
    pub fit: TableFit,
}

/// How a curve stands to the readings it was made from: the loss.
#[derive(Debug, Clone, PartialEq)]
pub struct TableFit {
    /// Where the nose was found, as an angle of the table; the curve is counted from there.
    pub nose: CamAngle,
    /// Root mean square of readings less curve.
    pub rms: Length,
    /// The reading farthest from the curve: reading less curve.
    pub largest: Length,
    /// The angle of that reading, as in the table.
    pub largest_at: CamAngle,
    /// Greatest reading less the greatest lift of the curve: above zero where smoothing took the top off, below zero where the nose lies
    /// between readings.
    pub peak_lost: Length,
    /// Angles of the table where the acceleration jumps on the lobe because the smooth spline would not have kept the flank monotone.
    pub kinks: Vec<CamAngle>,
}

impl LiftCurve {
    /// The curve through the readings of a table.
    ///
    /// The table has one lobe: cam angles of any zero that rise (steps need not be equal), and either begins and ends on the base
    /// circle or covers a whole turn, wherever it begins. Between readings runs the cubic spline with continuous acceleration, which leaves the
    /// base circle without velocity at the last reading without lift. Its error falls with the fourth power of the step, its
    /// acceleration's with the second; the jerk is constant between readings.
    ///
    /// The curve is monotone on both flanks whatever the readings. Where readings stray from that, or from zero on the base circle, by no more
    /// than 0.5 % of the greatest lift, neighbours are put at their mean, and the base circle at zero. Where the spline would dip
    /// between two readings its slopes there are lessened, and the acceleration jumps ([`TableFit::kinks`]).
    ///
    /// # Errors
    /// [`Error::WrongLength`] for unequal lists, fewer than 8 rows or fewer than 4 on the lobe; [`Error::NotFinite`]; [`Error::OutOfRange`]
    /// for angles that do not rise or cover more than a turn, for a table that begins or ends with lift, and for readings that stray
    /// too far: below zero, or of a second hump. Rows are counted from 1.
    ///
    /// # Source
    /// de Boor, A Practical Guide to Splines, chapter IV (from memory); Fritsch and Carlson (1980); the share that may stray is a choice of this
    /// library.
    pub fn interpolated(angles: &[CamAngle], lifts: &[Length]) -> Result<MeasuredLift> {
        measured(angles, lifts, None)
    }

    /// The curve of a table whose readings have a known standard deviation, smoothed by no more than that.
    ///
    /// Of all curves that stray from the readings by this root mean square it is the one with the least integral of the squared acceleration,
    /// without lift and velocity at the first and the last row. Smoothing lowers the peaks of lift and acceleration: the loss is in
    /// [`TableFit`]. Then as [`LiftCurve::interpolated`]; readings may stray by five standard deviations.
    ///
    /// # Errors
    /// As [`LiftCurve::interpolated`]; [`Error::OutOfRange`] for a deviation not above zero, or so great that it would leave no lobe.
    ///
    /// # Source
    /// Reinsch, Smoothing by spline functions, Numerische Mathematik 10 (1967; from memory).
    pub fn smoothed(angles: &[CamAngle], lifts: &[Length], deviation: Length) -> Result<MeasuredLift> {
        measured(angles, lifts, Some(finite_positive("standard deviation", deviation)?))
    }
}

/// One reading: its row in the table, its angle there, its angle on a turn about the nose, and its lift, SI.
#[derive(Debug, Clone, Copy)]
struct Row {
    row: usize,
    in_table: f64,
    angle: f64,
    lift: f64,
}

impl Row {
    /// The refusal of its lift, with its place.
    fn refused(&self, allowed: String) -> Error {
        let value = format!("{} at {}", written(Length::from_si(self.lift)), degrees(self.in_table));
        Error::OutOfRange { field: format!("lift[{}]", self.row), value, allowed }
    }
}

fn measured(angles: &[CamAngle], lifts: &[Length], deviation: Option<Length>) -> Result<MeasuredLift> {
    let rows = read(angles, lifts)?;
    let peak = rows.iter().map(|r| r.lift).fold(0.0, f64::max);
    if let Some(s) = deviation.filter(|s| s.si() > peak / 10.0) {
        let allowed =
            format!("up to a tenth of the greatest lift, {}", written(Length::from_si(peak / 10.0)));
        return Err(crate::error::out_of_range("standard deviation", s, allowed));
    }
    let stray = (STRAY_SHARE * peak).max(STRAY_DEVIATIONS * deviation.map_or(0.0, Length::si));
    let rows = from_base_to_base(rows, stray)?;
    let lobe = one_hump(&rows, stray)?;
    let lobe = match deviation {
        None => lobe,
        Some(s) => {
            let angles: Vec<f64> = rows.iter().map(|r| r.angle).collect();
            let lifts = pinned(rows.iter().map(|r| r.lift).collect());
            let smooth = Clamped::new(&angles).smoothed_to(&lifts, s.si())?;
            let smooth = rows.iter().zip(smooth).map(|(r, lift)| Row { lift, ..*r }).collect::<Vec<_>>();
            one_hump(&smooth, f64::INFINITY)?
        }
    };
    let (curve, nose, kinks) = curve_through(&lobe)?;
    Ok(MeasuredLift { fit: fit(&curve, nose, kinks, &rows), curve })
}

/// The rows of the table, checked one by one.
fn read(angles: &[CamAngle], lifts: &[Length]) -> Result<Vec<Row>> {
    let expected =
        |found: usize, expected: String| Error::WrongLength { field: "lift".into(), found, expected };
    if lifts.len() != angles.len() {
        return Err(expected(lifts.len(), format!("one for each of the {} angles", angles.len())));
    }
    if lifts.len() < LEAST_ROWS {
        return Err(expected(lifts.len(), format!("{LEAST_ROWS} or more")));
    }
    let mut rows: Vec<Row> = Vec::with_capacity(lifts.len());
    for (i, (angle, lift)) in angles.iter().zip(lifts).enumerate() {
        let angle = finite(&format!("angle[{}]", i + 1), angle.on_cam())?.si();
        let lift = finite(&format!("lift[{}]", i + 1), *lift)?.si();
        if let Some(before) = rows.last().filter(|b| angle <= b.angle) {
            let allowed = format!("above the row before, {}", degrees(before.angle));
            return Err(Error::OutOfRange {
                field: format!("angle[{}]", i + 1),
                value: degrees(angle),
                allowed,
            });
        }
        rows.push(Row { row: i + 1, in_table: angle, angle, lift });
    }
    finite_positive("greatest lift", Length::from_si(rows.iter().map(|r| r.lift).fold(f64::MIN, f64::max)))?;
    Ok(rows)
}

/// The rows beginning and ending on the base circle: a table of a whole turn is cut opposite its greatest lift.
fn from_base_to_base(mut rows: Vec<Row>, stray: f64) -> Result<Vec<Row>> {
    let span = span(&rows);
    if span > TURN {
        let allowed = "up to a turn of the cam, 360 deg, from the first to the last row".into();
        return Err(Error::OutOfRange { field: "angles".into(), value: degrees(span), allowed });
    }
    let with_lift = [rows.first(), rows.last()].into_iter().flatten().find(|r| r.lift.abs() > stray).copied();
    let Some(with_lift) = with_lift else { return Ok(rows) };
    let steps = rows.iter().zip(rows.iter().skip(1)).map(|(a, b)| b.angle - a.angle);
    let widest = steps.fold(0.0, f64::max);
    if TAU - span > 1.5 * widest {
        let zero = written(Length::from_si(stray));
        let allowed = format!(
            "within {zero} of zero at the first and the last row, for the table covers no whole turn but {}",
            degrees(span)
        );
        return Err(with_lift.refused(allowed));
    }
    drop_repeated_end(&mut rows, stray)?;
    let cut = peak_of(&rows).angle + TAU / 2.0;
    let turned = |r: Row| Row { angle: r.angle - TAU * ((r.angle - cut) / TAU).ceil(), ..r };
    let mut rows: Vec<Row> = rows.into_iter().map(turned).collect();
    rows.sort_by(|a, b| a.angle.total_cmp(&b.angle));
    let with_lift = [rows.first(), rows.last()].into_iter().flatten().find(|r| r.lift.abs() > stray).copied();
    match with_lift {
        None => Ok(rows),
        Some(r) => {
            Err(r.refused(format!("within {} of zero opposite the nose", written(Length::from_si(stray)))))
        }
    }
}

/// Takes off a last row that repeats the first one a turn later.
fn drop_repeated_end(rows: &mut Vec<Row>, stray: f64) -> Result<()> {
    let (Some(first), Some(last)) = (rows.first().copied(), rows.last().copied()) else { return Ok(()) };
    if last.angle - first.angle < TAU * (1.0 - 1e-9) {
        return Ok(());
    }
    if (last.lift - first.lift).abs() > stray {
        let allowed = format!("as the first row, a turn before: {}", written(Length::from_si(first.lift)));
        return Err(last.refused(allowed));
    }
    rows.pop();
    Ok(())
}

fn span(rows: &[Row]) -> f64 {
    rows.last().map_or(0.0, |r| r.angle) - rows.first().map_or(0.0, |r| r.angle)
}

/// The first row of the greatest lift.
fn peak_of(rows: &[Row]) -> Row {
    let none = Row { row: 0, in_table: 0.0, angle: 0.0, lift: f64::NEG_INFINITY };
    rows.iter().fold(none, |best, r| if r.lift > best.lift { *r } else { best })
}

/// The rows of the lobe, from the last without lift to the first without lift, rising up to one place and falling from there.
fn one_hump(rows: &[Row], stray: f64) -> Result<Vec<Row>> {
    let highest = peak_of(rows).row;
    let peak = rows.iter().position(|r| r.row == highest).unwrap_or(0);
    let (rising, falling) = rows.split_at(peak);
    let up = above_base(non_decreasing(rising.iter().map(|r| r.lift)));
    let mut down = above_base(non_decreasing(falling.iter().rev().map(|r| r.lift)));
    down.reverse();
    let hump: Vec<Row> =
        rows.iter().zip(up.into_iter().chain(down)).map(|(r, lift)| Row { lift, ..*r }).collect();
    let moved = |(r, h): (&Row, &Row)| (r.lift - h.lift).abs();
    let farthest = rows.iter().zip(&hump).max_by(|a, b| moved(*a).total_cmp(&moved(*b)));
    if let Some((read, hump)) = farthest.filter(|pair| moved(*pair) > stray) {
        let (near, by) = (written(Length::from_si(hump.lift)), written(Length::from_si(stray)));
        let why = "a lobe does not go below zero, rises to one nose and falls from there";
        return Err(read.refused(format!("{near} within {by}: {why}")));
    }
    lifted(&hump)
}

/// Lifts of a flank from its foot on, with the base circle at zero: what is no higher than the first row, or below zero.
fn above_base(lifts: Vec<f64>) -> Vec<f64> {
    let base = lifts.first().copied().unwrap_or(0.0).max(0.0);
    lifts.into_iter().map(|s| if s <= base { 0.0 } else { s }).collect()
}

/// The rows with lift, and one without on each side.
fn lifted(rows: &[Row]) -> Result<Vec<Row>> {
    let from = rows.iter().position(|r| r.lift > 0.0).unwrap_or(0).saturating_sub(1);
    let to = rows.iter().rposition(|r| r.lift > 0.0).unwrap_or(0) + 1;
    let lobe: Vec<Row> = rows.iter().take(to + 1).skip(from).copied().collect();
    let found = lobe.iter().filter(|r| r.lift > 0.0).count();
    if found < LEAST_LIFTED {
        let expected = format!("{LEAST_LIFTED} or more on the lobe");
        return Err(Error::WrongLength { field: "rows with lift".into(), found, expected });
    }
    Ok(lobe)
}

/// Lifts with nothing at both ends.
fn pinned(mut lifts: Vec<f64>) -> Vec<f64> {
    for end in [0, lifts.len().saturating_sub(1)] {
        if let Some(lift) = lifts.get_mut(end) {
            *lift = 0.0;
        }
    }
    lifts
}

/// The curve through the rows of a lobe, the angle of its nose, and the angles where the acceleration jumps.
fn curve_through(lobe: &[Row]) -> Result<(LiftCurve, f64, Vec<f64>)> {
    let (angles, lifts): (Vec<f64>, Vec<f64>) = lobe.iter().map(|r| (r.angle, r.lift)).unzip();
    let level = LEVEL * peak_of(lobe).lift;
    let smooth = Clamped::new(&angles).slopes(&lifts).into_iter();
    let smooth: Vec<f64> = smooth.map(|slope| if slope.abs() <= level { 0.0 } else { slope }).collect();
    let top = Top::of(lobe, &smooth);
    let mut slopes = smooth.clone();
    while settle(lobe, &mut slopes, &top) {}
    let jumps = lobe.iter().zip(smooth.iter().zip(&slopes)).filter(|(_, (a, b))| a != b);
    let kinks = jumps.map(|(r, _)| r.in_table).collect();
    let mut pieces = Vec::with_capacity(lobe.len());
    let mut nose = top.dwell(lobe);
    for (i, segment) in segments(lobe, &slopes).enumerate() {
        if top.cut == Some(i) && segment.holds_nose() {
            let halves = segment.cut_at_nose()?;
            nose = (halves[0].end, halves[0].end);
            pieces.extend(halves);
        } else {
            pieces.push(segment.piece());
        }
    }
    let zero = nose.0 + (nose.1 - nose.0) / 2.0;
    for piece in &mut pieces {
        (piece.start, piece.end) = (piece.start - zero, piece.end - zero);
    }
    let at_nose = pieces.iter().find(|p| p.end >= nose.0 - zero).map_or(0.0, |p| p.at(p.end)[0]);
    let maximum = lifts.iter().copied().fold(at_nose, f64::max);
    Ok((LiftCurve::of_pieces(pieces, maximum, (nose.0 - zero, nose.1 - zero)), zero, kinks))
}

/// Where the lobe is highest, by rows.
struct Top {
    /// First and last row of the greatest lift.
    rows: (usize, usize),
    /// The segment that holds the nose between its rows.
    cut: Option<usize>,
}

impl Top {
    fn of(lobe: &[Row], slopes: &[f64]) -> Self {
        let highest = peak_of(lobe).lift;
        let first = lobe.iter().position(|r| r.lift == highest).unwrap_or(0);
        let last = lobe.iter().rposition(|r| r.lift == highest).unwrap_or(0);
        let slope = slopes.get(first).copied().unwrap_or(0.0);
        let cut = match last - first {
            0 if slope < 0.0 => first.checked_sub(1),
            0 | 1 if slope > 0.0 => Some(first),
            _ => None,
        };
        Self { rows: (first, last), cut }
    }

    /// The angles of the first and the last row of the greatest lift.
    fn dwell(&self, lobe: &[Row]) -> (f64, f64) {
        let angle = |i: usize| lobe.get(i).map_or(0.0, |r| r.angle);
        (angle(self.rows.0), angle(self.rows.1))
    }
}

fn segments(lobe: &[Row], slopes: &[f64]) -> impl Iterator<Item = Segment> {
    let ends = lobe.iter().zip(slopes);
    ends.clone().zip(ends.skip(1)).map(|((a, &m0), (b, &m1))| Segment {
        angles: (a.angle, b.angle),
        lifts: (a.lift, b.lift),
        slopes: (m0, m1),
    })
}

/// Lessens slopes until each segment is monotone, save one that holds the nose; whether it had to.
///
/// It ends: slopes are drawn into a region that drawing their neighbours does not leave.
fn settle(lobe: &[Row], slopes: &mut [f64], top: &Top) -> bool {
    let mut changed = false;
    for i in 0..lobe.len().saturating_sub(1) {
        let Some(segment) = segments(lobe, slopes).nth(i) else { break };
        if top.cut == Some(i) && segment.holds_nose() {
            continue;
        }
        let Some(better) = segment.monotone_slopes() else { continue };
        for (slope, value) in slopes.iter_mut().skip(i).zip([better.0, better.1]) {
            *slope = value;
        }
        changed = true;
    }
    changed
}

fn fit(curve: &LiftCurve, nose: f64, kinks: Vec<f64>, rows: &[Row]) -> TableFit {
    let cam = |rad: f64| CamAngle::of_cam(Angle::from_si(rad));
    let left = |r: &Row| r.lift - curve.lift(cam(r.angle - nose)).si();
    let squares: f64 = rows.iter().map(|r| left(r) * left(r)).sum();
    let peak = peak_of(rows);
    let nose_in_table = nose + (peak.in_table - peak.angle);
    let none = Row { row: 0, in_table: nose_in_table, angle: nose, lift: curve.maximum };
    let worst =
        rows.iter().fold(none, |worst, r| if left(r).abs() > left(&worst).abs() { *r } else { worst });
    TableFit {
        nose: cam(nose_in_table),
        rms: Length::from_si((squares / rows.len() as f64).sqrt()),
        largest: Length::from_si(left(&worst)),
        largest_at: cam(worst.in_table),
        peak_lost: Length::from_si(peak.lift - curve.maximum),
        kinks: kinks.into_iter().map(cam).collect(),
    }
}
