//! Shells chosen from the grades that can be had, and files taken to rings: tables beside the findings.

use super::chain::{Chain, Figure};
use super::grades::GradeKeys;
use super::keys::BearingKeys;
use super::readings::{Key, Point};
use super::sheet::{Judgement, Printed};
use super::terms::What;
use crate::clearance::{ShellChoice, bearing_clearance};
use crate::error::Result;
use crate::metrology::{guard_band, propagate, verdict};
use crate::units::{Dimensioned, Length};
use serde::Serialize;

/// The shells chosen for one bearing.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ChosenShells {
    /// Which bearing: "main 2", "cylinder 3".
    #[serde(rename = "where")]
    pub place: String,
    /// Which of the upper grades, from 1, and its wall.
    pub upper: usize,
    /// The upper wall.
    pub upper_wall: Printed,
    /// Which of the lower grades, from 1, and its wall.
    pub lower: usize,
    /// The lower wall.
    pub lower_wall: Printed,
    /// The clearance they give.
    pub clearance: Printed,
    /// The clearance with the shells of the document, where those were measured.
    pub fitted: Option<Printed>,
    /// Whether the clearance is inside its limits.
    pub verdict: Judgement,
    /// What would have to be cut for the target, where no shell that can be had serves.
    pub remedy: Option<String>,
}

/// Shells chosen for one row of bearings.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Selection {
    /// The clearance aimed at, by its name in documents.
    pub what: &'static str,
    /// The trade's term.
    pub term: &'static str,
    /// What was aimed at.
    pub target: Printed,
    /// One choice for each bearing.
    pub choices: Vec<ChosenShells>,
    /// The largest distance from the target that remains: no choice has a smaller one.
    pub deviation: Printed,
    /// The spread that remains: no choice that comes as near to the target has a smaller one.
    pub spread: Printed,
    /// The spread with the shells of the document, where those were measured.
    pub fitted_spread: Option<Printed>,
}

/// What to file off one ring.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Filing {
    /// Which gap, by its name in documents.
    pub what: &'static str,
    /// The trade's term.
    pub term: &'static str,
    /// Which cylinder.
    #[serde(rename = "where")]
    pub place: String,
    /// The gap in the finish bore as it is.
    pub gap: Printed,
    /// The gap to file to: the target, or the middle of the limits, and no less than keeps the ring from butting when hot.
    pub to: Printed,
    /// What to take off; zero where the gap is there already.
    pub file: Printed,
    /// Why nothing can be filed, where the gap is too large.
    pub note: Option<&'static str>,
}

impl Chain {
    /// Shells chosen for the rows that have grades.
    pub(super) fn selections(&self) -> Result<Vec<Selection>> {
        let rods: Vec<BearingKeys> = self.keys.cylinders.iter().map(|c| c.rod_bearing).collect();
        let rows = [
            (What::MainBearingClearance, &self.keys.main_grades, self.keys.mains.as_slice()),
            (What::RodBearingClearance, &self.keys.rod_grades, rods.as_slice()),
        ];
        let made = rows.into_iter().map(|(what, grades, bearings)| match grades {
            Some(grades) => self.selection(what, grades, bearings),
            None => Ok(None),
        });
        Ok(made.collect::<Result<Vec<_>>>()?.into_iter().flatten().collect())
    }

    fn selection(
        &self,
        what: What,
        grades: &GradeKeys,
        bearings: &[BearingKeys],
    ) -> Result<Option<Selection>> {
        let at = Point::new(&self.readings, &self.readings.values);
        let Some(found) = grades.choose(bearings, &at)? else { return Ok(None) };
        let term = what.term();
        let unit = self.unit(&term);
        let print = |l: Length| Printed::new(unit, l.si());
        let wall = |keys: &[Key<Length>], i: usize| keys.get(i).map_or(Length::from_si(0.0), |k| at.get(*k));
        let figures: Vec<&Figure> =
            self.figures.iter().filter(|f| f.what == what && f.state.is_none()).collect();
        // Shells that were chosen, not measured, are no shells to compare with.
        let measured = bearings.iter().all(|b| b.upper.is_some_and(|k| self.measured(k)));
        let mut choices = Vec::new();
        let mut before = Vec::new();
        for ((choice, figure), bearing) in found.choices.iter().zip(&figures).zip(bearings) {
            let fitted = self.value(figure, &at)?;
            before.push(fitted);
            let limits = figure.limit.as_ref();
            let judged = limits.map(|l| {
                let standard = self.standard_of(bearing, grades, choice);
                standard.map(|u| verdict(choice.clearance.si(), u, &l.limits).into())
            });
            let judged = judged.transpose()?;
            let verdict = judged.unwrap_or(Judgement::NoLimit);
            choices.push(ChosenShells {
                place: figure.place.label.clone(),
                upper: choice.upper + 1,
                upper_wall: print(wall(&grades.upper, choice.upper)),
                lower: choice.lower + 1,
                lower_wall: print(wall(&grades.lower, choice.lower)),
                clearance: print(choice.clearance),
                fitted: measured.then(|| Printed::new(unit, fitted)),
                remedy: (verdict == Judgement::Fail)
                    .then(|| remedy(grades.target - choice.clearance, &print)),
                verdict,
            });
        }
        let spread = |all: &[f64]| {
            let (least, greatest) = all.iter().fold((f64::MAX, f64::MIN), |(l, g), x| (l.min(*x), g.max(*x)));
            Printed::difference(unit, greatest - least)
        };
        Ok(Some(Selection {
            what: term.name,
            term: term.term,
            target: print(grades.target),
            choices,
            deviation: Printed::difference(unit, found.deviation.si()),
            spread: Printed::difference(unit, found.spread.si()),
            fitted_spread: measured.then(|| spread(&before)),
        }))
    }

    /// Standard uncertainty of a clearance with the shells chosen.
    fn standard_of(&self, bearing: &BearingKeys, grades: &GradeKeys, choice: &ShellChoice) -> Result<f64> {
        let shells = (grades.upper.get(choice.upper), grades.lower.get(choice.lower));
        let (Some(housing), Some(journal), (Some(upper), Some(lower))) =
            (bearing.housing, bearing.journal, shells)
        else {
            return Ok(f64::NAN);
        };
        let keys = [housing, *upper, *lower, journal];
        let x = keys.map(|k| self.readings.values.get(k.index).copied().unwrap_or(f64::NAN));
        let u = keys.map(|k| self.readings.standard(k.index));
        let clearance = |x: &[f64]| {
            let at = |i: usize| Length::from_si(x.get(i).copied().unwrap_or(f64::NAN));
            Ok(bearing_clearance(at(0), at(1), at(2), at(3)).si())
        };
        propagate(&x, &u, clearance).map(|b| b.standard)
    }

    /// Whether a reading stands in the document as the part's own, and was not chosen from grades.
    fn measured(&self, key: Key<Length>) -> bool {
        self.readings.entries.get(key.index).is_some_and(|e| !e.field.contains("_grades["))
    }

    /// What to file off each ring whose gap has limits.
    pub(super) fn filings(&self) -> Result<Vec<Filing>> {
        let gap = |f: &&Figure| matches!(f.what, What::TopRingGap | What::SecondRingGap) && f.state.is_none();
        let mut rows = Vec::new();
        for figure in self.figures.iter().filter(gap) {
            let Some(limit) = &figure.limit else { continue };
            let (lower, upper) = (limit.limits.lower(), limit.limits.upper());
            let found = self.evaluate(figure, &self.readings.values)?;
            let now = found.value();
            // Without a target a gap that is proved large enough stays as it is.
            let large = lower.is_none_or(|l| now >= l + guard_band(found.budget.standard));
            let middle = lower.map(|l| upper.map_or(l, |u| (l + u) / 2.0)).filter(|_| !large);
            let aim = limit.target.or(middle).unwrap_or(now);
            let to = aim.max(now - self.sure_when_hot(figure)?);
            let (term, unit) = (figure.what.term(), self.unit(&figure.what.term()));
            rows.push(Filing {
                what: term.name,
                term: term.term,
                place: figure.place.label.clone(),
                gap: Printed::new(unit, now),
                to: Printed::new(unit, to),
                file: Printed::new(unit, (to - now).max(0.0)),
                note: upper.filter(|u| now > *u).map(|_| "the gap is too large already: another ring"),
            });
        }
        Ok(rows)
    }

    /// The least gap of the same ring over all states that is sure, its guard band taken off: what it may lose before it butts.
    fn sure_when_hot(&self, cold: &Figure) -> Result<f64> {
        let same = |f: &&Figure| f.what == cold.what && f.place == cold.place && f.state.is_some();
        let mut least = f64::INFINITY;
        for hot in self.figures.iter().filter(same) {
            let found = self.evaluate(hot, &self.readings.values)?.budget;
            least = least.min(found.value - guard_band(found.standard));
        }
        Ok(least)
    }
}

/// What brings a clearance to its target where no shell does: metal off the journal or the housing; metal cannot be put on.
fn remedy(short: Length, print: &impl Fn(Length) -> Printed) -> String {
    if short.si() > 0.0 {
        let by = print(short).text;
        format!(
            "no shell that can be had serves: grind the journal by {by} undersize, or hone the housing by {by}"
        )
    } else {
        let by = print(-short).text;
        format!(
            "no shell that can be had serves: undersize shells, thicker by {by} in all, on the journal as it is"
        )
    }
}
