//! Grades of shells that can be had, and which of them serve a row of bearings best.

use super::document::{Bearings, Limit, Text};
use super::keys::BearingKeys;
use super::readings::{Allowed, Key, Point, Readings};
use crate::clearance::{BearingSeat, ShellChoice, ShellSelection, select_shells};
use crate::error::{Error, Result};
use crate::units::{Dimensioned, Length, quantity_of};

/// The shells that can be had, to choose from, and the clearance to aim at.
#[derive(Debug, Clone)]
pub(super) struct GradeKeys {
    pub(super) upper: Vec<Key<Length>>,
    pub(super) lower: Vec<Key<Length>>,
    pub(super) target: Length,
    /// The limits of the clearance, SI.
    limits: (Option<f64>, Option<f64>),
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
    let mut all = |name: &str, texts: &[Text]| -> Result<Vec<Key<Length>>> {
        let one = |(i, text): (usize, &Text)| r.one(&format!("{name}[{}]", i + 1), text, Allowed::Positive);
        texts.iter().enumerate().map(one).collect()
    };
    let target = Length::from_si(target);
    Ok(Some(GradeKeys {
        upper: all(&upper, &b.upper_grades)?,
        lower: all(&lower, &b.lower_grades)?,
        target,
        limits,
    }))
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
    let Some(found) = grades.choose(all, &Point::new(r, &values))? else { return Ok(()) };
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
    ///
    /// A bearing that no pair of grades brings inside the limits takes the pair nearest to the target and does not count for the others: one
    /// journal that is far off must not draw the good ones after it.
    pub(super) fn choose(&self, all: &[BearingKeys], at: &Point<'_>) -> Result<Option<ShellSelection>> {
        let seat = |b: &BearingKeys| {
            Some(BearingSeat { housing_bore: at.get(b.housing?), journal: at.get(b.journal?) })
        };
        let Some(seats) = all.iter().map(seat).collect::<Option<Vec<BearingSeat>>>() else {
            return Ok(None);
        };
        let walls = |keys: &[Key<Length>]| keys.iter().map(|k| at.get(*k)).collect::<Vec<Length>>();
        let (upper, lower) = (walls(&self.upper), walls(&self.lower));
        let select = |seats: &[BearingSeat]| select_shells(seats, &upper, &lower, self.target);
        let inside = |c: &ShellChoice| {
            let above = self.limits.0.is_none_or(|l| c.clearance.si() >= l - ROUNDING);
            above && self.limits.1.is_none_or(|u| c.clearance.si() <= u + ROUNDING)
        };
        let mut choices = Vec::new();
        for seat in &seats {
            choices.extend(select(&[*seat])?.choices);
        }
        let served: Vec<bool> = choices.iter().map(inside).collect();
        let good: Vec<BearingSeat> =
            seats.iter().zip(&served).filter(|(_, served)| **served).map(|(s, _)| *s).collect();
        if good.is_empty() {
            return select(&seats).map(Some);
        }
        let together = select(&good)?;
        let mut together_choices = together.choices.iter();
        if together.choices.iter().all(inside) {
            for (choice, _) in choices.iter_mut().zip(&served).filter(|(_, served)| **served) {
                *choice = together_choices.next().copied().unwrap_or(*choice);
            }
            return Ok(Some(ShellSelection { choices, ..together }));
        }
        // Evened out, some would leave the limits: each stays nearest to the target.
        let clearances = || choices.iter().zip(&served).filter(|(_, s)| **s).map(|(c, _)| c.clearance);
        let off = |c: Length| (c - self.target).abs();
        let zero = Length::from_si(0.0);
        let greatest = clearances().fold(zero, |a, c| a.max(c));
        let least = clearances().fold(greatest, |a, c| a.min(c));
        let deviation = clearances().map(off).fold(zero, |a, c| a.max(c));
        Ok(Some(ShellSelection { choices, deviation, spread: greatest - least }))
    }
}

/// What rounding may leave at a limit, m.
const ROUNDING: f64 = 1e-12;
