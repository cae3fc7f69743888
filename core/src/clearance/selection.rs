//! Choosing bearing shells from their grades: the target hit as nearly as can be, with the least spread.

use super::bearing_clearance;
use crate::error::{Error, Result, finite, finite_positive};
use crate::units::{Dimensioned, Length};

/// The most bearings, and the most grades of a half, that are taken: every pair of grades of every bearing is looked at.
const MOST: usize = 200;

/// One bearing to be fitted with shells.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BearingSeat {
    /// Housing bore, with the cap torqued.
    pub housing_bore: Length,
    /// Journal or crankpin.
    pub journal: Length,
}

/// The shells chosen for one bearing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShellChoice {
    /// Which of the upper grades, from zero.
    pub upper: usize,
    /// Which of the lower grades, from zero.
    pub lower: usize,
    /// The clearance they give.
    pub clearance: Length,
}

/// Shells for every bearing, and what remains.
#[derive(Debug, Clone, PartialEq)]
pub struct ShellSelection {
    /// One choice for each bearing, in order.
    pub choices: Vec<ShellChoice>,
    /// The largest distance of a clearance from the target.
    pub deviation: Length,
    /// The largest clearance less the least.
    pub spread: Length,
}

/// Chooses an upper and a lower shell for each bearing from lists of wall thicknesses, up to 200 of each.
///
/// Each bearing comes as near to the target as its grades can bring it, so that no bearing that is far off draws others after it; among the
/// choices that are equally near (above and below the target), the spread of the clearances is made as small as it can be. Both are exact: the
/// first bearing by bearing, the second by a window over all clearances in order that holds one of each bearing.
///
/// # Errors
/// [`Error::WrongLength`] without bearings or grades, or with more than 200 of either; [`Error::NotFinite`]; [`Error::OutOfRange`] for a size not above zero.
pub fn select_shells(
    seats: &[BearingSeat],
    upper_grades: &[Length],
    lower_grades: &[Length],
    target: Length,
) -> Result<ShellSelection> {
    let target = finite("target clearance", target)?;
    for (name, count) in [
        ("bearings", seats.len()),
        ("upper grades", upper_grades.len()),
        ("lower grades", lower_grades.len()),
    ] {
        if !(1..=MOST).contains(&count) {
            let expected = format!("1 to {MOST}");
            return Err(Error::WrongLength { field: name.into(), found: count, expected });
        }
    }
    for (name, grades) in [("upper shell", upper_grades), ("lower shell", lower_grades)] {
        grades.iter().try_for_each(|g| finite_positive(name, *g).map(|_| ()))?;
    }
    let longest = upper_grades.iter().chain(lower_grades).fold(target, |most, wall| most.max(*wall));
    let pairs = |seat: &BearingSeat| -> Result<Vec<ShellChoice>> {
        let housing = finite_positive("housing bore", seat.housing_bore)?;
        let journal = finite_positive("journal", seat.journal)?;
        finite("clearance", bearing_clearance(housing, longest, longest, journal))?;
        let all = upper_grades.iter().enumerate().flat_map(|(upper, u)| {
            lower_grades.iter().enumerate().map(move |(lower, l)| ShellChoice {
                upper,
                lower,
                clearance: bearing_clearance(housing, *u, *l, journal),
            })
        });
        Ok(all.collect())
    };
    let candidates = seats.iter().map(pairs).collect::<Result<Vec<_>>>()?;
    let off = |c: &ShellChoice| (c.clearance - target).abs().si();
    let nearest = |all: &Vec<ShellChoice>| all.iter().map(off).fold(f64::INFINITY, f64::min);
    let deviation = candidates.iter().map(nearest).fold(0.0, f64::max);
    // Grades are steps of a micrometre or so: what rounding leaves is no difference.
    let kept: Vec<Vec<ShellChoice>> = candidates
        .iter()
        .map(|all| {
            let within = nearest(all) + 1e-12;
            all.iter().filter(|c| off(c) <= within).copied().collect()
        })
        .collect();
    let choices = least_spread(&kept);
    let clearances = || choices.iter().map(|c| c.clearance.si());
    let spread = clearances().fold(f64::NEG_INFINITY, f64::max) - clearances().fold(f64::INFINITY, f64::min);
    Ok(ShellSelection { choices, deviation: Length::from_si(deviation), spread: Length::from_si(spread) })
}

/// One candidate of each bearing, so that the clearances lie in the narrowest window.
fn least_spread(candidates: &[Vec<ShellChoice>]) -> Vec<ShellChoice> {
    let mut all: Vec<(usize, ShellChoice)> = candidates
        .iter()
        .enumerate()
        .flat_map(|(bearing, list)| list.iter().map(move |c| (bearing, *c)))
        .collect();
    all.sort_by(|a, b| a.1.clearance.si().total_cmp(&b.1.clearance.si()));
    let mut latest: Vec<Option<ShellChoice>> = vec![None; candidates.len()];
    let mut best: Vec<ShellChoice> = Vec::new();
    let mut narrowest = f64::INFINITY;
    for (bearing, choice) in all {
        if let Some(place) = latest.get_mut(bearing) {
            *place = Some(choice);
        }
        // The window ends here; its start is the least of the latest of each bearing.
        let Some(window) = latest.iter().copied().collect::<Option<Vec<ShellChoice>>>() else { continue };
        let start = window.iter().map(|c| c.clearance.si()).fold(f64::INFINITY, f64::min);
        let width = choice.clearance.si() - start;
        if width < narrowest {
            (narrowest, best) = (width, window);
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn um(x: f64) -> Length {
        Length::from_si(x / 1e6)
    }

    fn seats(gaps: &[f64]) -> Vec<BearingSeat> {
        // Without shells the gap is 4 mm and something.
        gaps.iter().map(|g| BearingSeat { housing_bore: um(59_000.0), journal: um(55_000.0 - g) }).collect()
    }

    #[test]
    fn the_nearest_grades_are_chosen() {
        let grades = [um(1998.0), um(2000.0), um(2002.0)];
        let found = select_shells(&seats(&[40.0, 44.0, 46.0]), &grades, &grades, um(42.0)).unwrap();
        let clearances: Vec<f64> = found.choices.iter().map(|c| (c.clearance.si() * 1e6).round()).collect();
        assert_eq!(clearances, [42.0, 42.0, 42.0]);
        assert!(found.deviation.si() < 1e-12 && found.spread.si() < 1e-12);
        let many = vec![um(2000.0); 201];
        assert!(select_shells(&seats(&[40.0]), &many, &grades, um(42.0)).is_err());
        assert!(select_shells(&seats(&[40.0]), &[Length::from_si(1e308)], &grades, um(42.0)).is_err());
        assert!(select_shells(&[], &grades, &grades, um(42.0)).is_err());
        assert!(select_shells(&seats(&[40.0]), &[], &grades, um(42.0)).is_err());
        assert!(select_shells(&seats(&[40.0]), &[um(f64::NAN)], &grades, um(42.0)).is_err());
    }

    proptest! {
        #[test]
        fn no_other_choice_is_better(gaps in proptest::collection::vec(20i32..60, 1..4), grades in proptest::collection::vec(-6i32..6, 1..4), target in 30i32..50) {
            let seats = seats(&gaps.iter().map(|g| f64::from(*g)).collect::<Vec<_>>());
            let grades: Vec<Length> = grades.iter().map(|g| um(2000.0 + f64::from(*g))).collect();
            let target = um(f64::from(target));
            let found = select_shells(&seats, &grades, &grades, target).unwrap();
            // Every choice there is, by counting.
            let pairs: Vec<(Length, Length)> = grades.iter().flat_map(|u| grades.iter().map(move |l| (*u, *l))).collect();
            let best = (0..pairs.len().pow(seats.len() as u32)).map(|mut code| {
                let clearances: Vec<f64> = seats.iter().map(|s| {
                    let (u, l) = pairs[code % pairs.len()];
                    code /= pairs.len();
                    bearing_clearance(s.housing_bore, u, l, s.journal).si()
                }).collect();
                let deviations: Vec<i64> = clearances.iter().map(|c| ((c - target.si()).abs() * 1e9).round() as i64).collect();
                let spread = clearances.iter().fold(f64::MIN, |a, b| a.max(*b)) - clearances.iter().fold(f64::MAX, |a, b| a.min(*b));
                (deviations.iter().sum::<i64>(), (spread * 1e9).round() as i64)
            }).min().unwrap();
            let sum: i64 = found.choices.iter().map(|c| ((c.clearance - target).abs().si() * 1e9).round() as i64).sum();
            prop_assert_eq!((sum, (found.spread.si() * 1e9).round() as i64), best);
            let worst = found.choices.iter().map(|c| (c.clearance - target).abs().si()).fold(0.0, f64::max);
            prop_assert!((worst - found.deviation.si()).abs() < 1e-15);
        }
    }
}
