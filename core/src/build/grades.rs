//! Grades of shells that can be had, and which of them serve a row of bearings best.

use super::document::{Bearings, Limit, Text};
use super::keys::BearingKeys;
use super::readings::{Allowed, Key, Point, Readings};
use crate::clearance::{BearingSeat, ShellSelection, select_shells};
use crate::error::{Error, Result};
use crate::units::{Dimensioned, Length, quantity_of};

/// The shells that can be had, to choose from, and the clearance to aim at.
#[derive(Debug, Clone)]
pub(super) struct GradeKeys {
    pub(super) upper: Vec<Key<Length>>,
    pub(super) lower: Vec<Key<Length>>,
    pub(super) target: Length,
}

/// Reads the grades of a row, where there are any; what to aim at is the target or the middle of the limits of the row's clearance.
pub(super) fn grades(
    b: &Bearings,
    table: &str,
    limit: (&str, Option<&Limit>),
    r: &mut Readings,
) -> Result<Option<GradeKeys>> {
    let (upper, lower) = (format!("{table}.upper_grades"), format!("{table}.lower_grades"));
    match (b.upper_grades.is_empty(), b.lower_grades.is_empty()) {
        (true, true) => return Ok(None),
        (false, false) => {}
        (none, _) => {
            let (there, missing) = if none { (&lower, &upper) } else { (&upper, &lower) };
            let remedy = "grades of both halves are needed".into();
            return Err(r.place(Error::MissingKey { field: missing.clone(), remedy }, there));
        }
    }
    let read = |name: &str, text: &Option<Text>, r: &Readings| {
        let one = text.as_ref().map(|t| quantity_of(&t.0, Length::DIMENSION)).transpose();
        one.map(|q| q.map(|(si, _)| si)).map_err(|e| r.place(e, &format!("limits.{}.{name}", limit.0)))
    };
    let entry = |name: &str, of: fn(&Limit) -> &Option<Text>| match limit.1 {
        Some(l) => read(name, of(l), r),
        None => Ok(None),
    };
    let limits = (entry("lower", |l| &l.lower)?, entry("upper", |l| &l.upper)?);
    let middle = limits.0.zip(limits.1).map(|(low, high)| (low + high) / 2.0);
    let target = entry("target", |l| &l.target)?.or(middle);
    let Some(target) = target else {
        let remedy = "to choose shells, a target or both limits of the clearance are needed".into();
        return Err(r.place(Error::MissingKey { field: format!("limits.{}", limit.0), remedy }, &upper));
    };
    let (upper, lower) = (
        r.list(&upper, &b.upper_grades, Allowed::Positive)?,
        r.list(&lower, &b.lower_grades, Allowed::Positive)?,
    );
    Ok(Some(GradeKeys { upper, lower, target: Length::from_si(target) }))
}

/// Fits the shells that serve best where none was measured.
pub(super) fn fit_grades(
    all: &mut [BearingKeys],
    grades: &GradeKeys,
    table: &str,
    of: &str,
    r: &mut Readings,
) -> Result<()> {
    if all.iter().any(|b| b.upper.is_some() || b.lower.is_some()) {
        return Ok(());
    }
    let values = r.values.clone();
    let chosen = grades.choose(all, &Point::new(r, &values));
    let Some(found) = chosen.map_err(|e| r.place(e, &format!("{table}.upper_grades")))? else {
        return Ok(());
    };
    for (i, (bearing, choice)) in all.iter_mut().zip(&found.choices).enumerate() {
        let mut fit = |half: &str, keys: &[Key<Length>], grade: usize| {
            let name = format!("{table}.{half}_grades[{}], {of} {}", grade + 1, i + 1);
            keys.get(grade).map(|key| r.copy(*key, &name))
        };
        bearing.upper = fit("upper", &grades.upper, choice.upper);
        bearing.lower = fit("lower", &grades.lower, choice.lower);
    }
    Ok(())
}

impl GradeKeys {
    /// The best shells for these bearings; none where a housing or a journal is not known.
    pub(super) fn choose(&self, all: &[BearingKeys], at: &Point<'_>) -> Result<Option<ShellSelection>> {
        let seat = |b: &BearingKeys| {
            Some(BearingSeat { housing_bore: at.get(b.housing?), journal: at.get(b.journal?) })
        };
        let Some(seats) = all.iter().map(seat).collect::<Option<Vec<BearingSeat>>>() else {
            return Ok(None);
        };
        let walls = |keys: &[Key<Length>]| keys.iter().map(|k| at.get(*k)).collect::<Vec<Length>>();
        select_shells(&seats, &walls(&self.upper), &walls(&self.lower), self.target).map(Some)
    }
}
