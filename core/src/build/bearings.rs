//! Plain bearings: their readings, their surveys at angles and stations, and the figures that follow.

use super::chain::{Chain, Place, PlaceKind};
use super::document::{Bearings, Each};
use super::figures::missing;
use super::grades::{GradeKeys, fit_grades};
use super::keys::{BearingKeys, SurveyKeys, nth};
use super::operation::{Machining, Operation, machining};
use super::parts;
use super::readings::{Allowed, Key, Point, Readings};
use super::sections::Surveyed;
use super::terms::What;
use crate::clearance::{DiameterSurvey, bearing_clearance, crush_interference, shell_wall};
use crate::error::{Error, Result};
use crate::units::{Dimensioned, Length};

/// The figures of one row of bearings.
#[derive(Clone, Copy)]
struct Row {
    /// The table of the document.
    table: &'static str,
    place: PlaceKind,
    /// Where housings, shells and journals stand.
    entries: [&'static str; 4],
    clearance: What,
    least: What,
    off_crown: What,
    out_of_round: What,
    taper: What,
    crush: What,
}

const MAIN: Row = Row {
    table: "main_bearings",
    place: PlaceKind::Main,
    entries: [
        "main_bearings.housing_bore",
        "main_bearings.upper_shell",
        "main_bearings.lower_shell",
        "crank.main_journal",
    ],
    clearance: What::MainBearingClearance,
    least: What::MainBearingLeastClearance,
    off_crown: What::MainBearingOffCrown,
    out_of_round: What::MainBearingOutOfRound,
    taper: What::MainBearingTaper,
    crush: What::MainBearingCrush,
};

const ROD: Row = Row {
    table: "rod_bearings",
    place: PlaceKind::Cylinder,
    entries: ["rods.big_end_bore", "rod_bearings.upper_shell", "rod_bearings.lower_shell", "crank.crankpin"],
    clearance: What::RodBearingClearance,
    least: What::RodBearingLeastClearance,
    off_crown: What::RodBearingOffCrown,
    out_of_round: What::RodBearingOutOfRound,
    taper: What::RodBearingTaper,
    crush: What::RodBearingCrush,
};

/// Housing, upper shell, lower shell and journal.
#[derive(Clone, Copy)]
struct Four {
    housing: Key<Length>,
    upper: Key<Length>,
    lower: Key<Length>,
    journal: Key<Length>,
}

impl Four {
    fn clearance(&self, at: &Point<'_>) -> Length {
        bearing_clearance(at.get(self.housing), at.get(self.upper), at.get(self.lower), at.get(self.journal))
    }

    /// Shells of any wall are proposed only where the document does not list those that can be had.
    fn cuts(&self, graded: bool) -> Vec<Machining> {
        let mut ways = vec![
            machining(Operation::GrindJournal, [self.journal.index]),
            machining(Operation::HoneHousing, [self.housing.index]),
        ];
        if !graded {
            ways.insert(0, machining(Operation::ChooseShell, [self.upper.index, self.lower.index]));
        }
        ways
    }
}

impl BearingKeys {
    /// Housing, shells and journal, or what is missing.
    fn four(&self, names: [&str; 4]) -> core::result::Result<Four, String> {
        match (self.housing, self.upper, self.lower, self.journal) {
            (Some(housing), Some(upper), Some(lower), Some(journal)) => {
                Ok(Four { housing, upper, lower, journal })
            }
            (h, u, l, j) => {
                let there = [h.is_some(), u.is_some(), l.is_some(), j.is_some()];
                Err(missing(&names.into_iter().zip(there).collect::<Vec<_>>()))
            }
        }
    }
}

/// A bore or journal of each bearing, where it is known.
type Sizes<'a> = &'a [Option<Key<Length>>];

/// Reads a row of bearings, housings and journals being known.
pub(super) fn read(
    b: &Bearings,
    table: &str,
    grades: Option<&GradeKeys>,
    housings: Sizes<'_>,
    journals: Sizes<'_>,
    of: &str,
    r: &mut Readings,
) -> Result<Vec<BearingKeys>> {
    let n = housings.len();
    let mut all = |name: &str, each: &Option<Each>| {
        r.parts::<Length>(&format!("{table}.{name}"), each, n, of, Allowed::Positive)
    };
    let (upper, lower) = (all("upper_shell", &b.upper_shell)?, all("lower_shell", &b.lower_shell)?);
    let crush_upper = all("upper_crush_height", &b.upper_crush_height)?;
    let crush_lower = all("lower_crush_height", &b.lower_crush_height)?;
    let offset = r.maybe(&format!("{table}.shell_offset"), &b.shell_offset, Allowed::NonNegative)?;
    let quarter = core::f64::consts::FRAC_PI_2;
    let allowed = Allowed::Between(0.0, quarter * (1.0 + 1e-12), "above 0 deg and at most 90 deg");
    let off_crown = r.maybe(&format!("{table}.off_crown_angle"), &b.off_crown_angle, allowed)?;
    let checking = r.maybe(&format!("{table}.checking_bore"), &b.checking_bore, Allowed::Positive)?;
    let known = |sizes: Sizes<'_>, i: usize| sizes.get(i).copied().flatten();
    let measured: Vec<_> = (0..n)
        .map(|i| (known(housings, i).map(|k| r.as_measured(k)), known(journals, i).map(|k| r.as_measured(k))))
        .collect();
    let one = |i: usize| BearingKeys {
        checking: checking.or(measured.get(i).and_then(|m| m.0)),
        measured: measured.get(i).copied().unwrap_or((None, None)),
        housing: housings.get(i).copied().flatten(),
        upper: nth(&upper, i),
        lower: nth(&lower, i),
        journal: journals.get(i).copied().flatten(),
        crush: (nth(&crush_upper, i), nth(&crush_lower, i)),
        off_crown: (offset, off_crown),
    };
    let mut all: Vec<BearingKeys> = (0..n).map(one).collect();
    if let Some(grades) = grades {
        fit_grades(&mut all, grades, table, of, r)?;
    }
    Ok(all)
}

/// Reads the surveys of a row of `n` bearings.
pub(super) fn surveys(b: &Bearings, table: &str, n: usize, r: &mut Readings) -> Result<Vec<SurveyKeys>> {
    let mut all: Vec<SurveyKeys> = Vec::new();
    for (i, survey) in b.surveys.iter().enumerate() {
        let field = format!("{table}.surveys[{}]", i + 1);
        let again = all.iter().any(|s| s.bearing == survey.bearing && s.of == survey.of);
        if !(1..=n).contains(&survey.bearing) || again {
            let error = Error::OutOfRange {
                field: "bearing".into(),
                value: survey.bearing.to_string(),
                allowed: format!("1 to {n}, each once for housing, fitted and journal"),
            };
            return Err(r.place(error, &format!("{field}.bearing")));
        }
        let part = match (survey.of, table) {
            (Surveyed::Journal, _) => parts::CRANK,
            (_, "main_bearings") => parts::MAIN_HOUSINGS,
            _ => parts::RODS,
        };
        let diameters = format!("{field}.diameters");
        r.exact_length(&diameters, survey.diameters.len(), survey.stations.len(), "station")?;
        let angles_field = format!("{field}.angles");
        let angles = r.list(&angles_field, &survey.angles, Allowed::Any)?;
        all_differ(&angles, r, &angles_field)?;
        let stations = r.list(&format!("{field}.stations"), &survey.stations, Allowed::Any)?;
        let mut rows = Vec::new();
        for (j, texts) in survey.diameters.iter().enumerate() {
            let field = format!("{diameters}[{}]", j + 1);
            r.exact_length(&field, texts.len(), survey.angles.len(), "angle")?;
            let row = r.list(&field, texts, Allowed::Positive)?;
            rows.push(row.into_iter().map(|key| r.belongs(key, part)).collect());
        }
        let keys = SurveyKeys { bearing: survey.bearing, of: survey.of, angles, stations, diameters: rows };
        let at = r.values.clone();
        keys.survey(&Point::new(r, &at)).map_err(|e| r.place(e, &diameters))?;
        all.push(keys);
    }
    Ok(all)
}

/// Refuses angles that are read twice; a diameter at 0 and at 180 deg is one.
fn all_differ(angles: &[Key<crate::units::Angle>], r: &Readings, field: &str) -> Result<()> {
    let value = |k: &Key<crate::units::Angle>| r.values.get(k.index).copied().unwrap_or(f64::NAN);
    for (i, a) in angles.iter().enumerate() {
        for b in angles.iter().take(i) {
            let apart = (value(a) - value(b)).rem_euclid(core::f64::consts::PI);
            if apart.min(core::f64::consts::PI - apart) < 1e-6 {
                let allowed = "angles that differ, half a turn being the same diameter".into();
                let value = format!("{:.6} deg, twice", value(a).to_degrees());
                return Err(r.place(Error::OutOfRange { field: "angle".into(), value, allowed }, field));
            }
        }
    }
    Ok(())
}

impl SurveyKeys {
    fn survey(&self, at: &Point<'_>) -> Result<DiameterSurvey> {
        let row = |row: &Vec<Key<Length>>| row.iter().map(|d| at.get(*d)).collect();
        DiameterSurvey::new(
            self.angles.iter().map(|a| at.get(*a)).collect(),
            self.stations.iter().map(|s| at.get(*s)).collect(),
            self.diameters.iter().map(row).collect(),
        )
    }
}

impl Chain {
    /// All figures of main and rod bearings.
    pub(super) fn add_bearings(&mut self) {
        let surveys = |all: &[SurveyKeys], i| all.iter().filter(|s| s.bearing == i + 1).cloned().collect();
        for (i, keys) in self.keys.mains.clone().into_iter().enumerate() {
            let surveys: Vec<SurveyKeys> = surveys(&self.keys.main_surveys, i);
            self.add_bearing(&MAIN, i, keys, &surveys);
        }
        for (i, c) in self.keys.cylinders.clone().into_iter().enumerate() {
            let surveys: Vec<SurveyKeys> = surveys(&self.keys.rod_surveys, i);
            self.add_bearing(&ROD, i, c.rod_bearing, &surveys);
        }
    }

    fn add_bearing(&mut self, row: &Row, i: usize, keys: BearingKeys, surveys: &[SurveyKeys]) {
        let place = Place::nth(row.place, i);
        self.add_surveys(row, &place, keys, surveys);
        self.add_crush(row, &place, keys);
        match keys.four(row.entries) {
            Err(needs) => self.lacks(row.clearance, &needs),
            Ok(four) => {
                let graded = match row.place {
                    PlaceKind::Main => self.keys.main_grades.is_some(),
                    _ => self.keys.rod_grades.is_some(),
                };
                let cuts = four.cuts(graded);
                self.add(row.clearance, place.clone(), row.table, cuts.clone(), move |at| {
                    Ok(four.clearance(at).si())
                });
                self.add_off_crown(row, &place, keys, four, cuts);
            }
        }
    }

    fn add_off_crown(
        &mut self,
        row: &Row,
        place: &Place,
        keys: BearingKeys,
        four: Four,
        cuts: Vec<Machining>,
    ) {
        let (offset, angle) = match keys.off_crown {
            (Some(offset), Some(angle)) => (offset, angle),
            (None, None) => return,
            _ => return self.lacks(row.off_crown, row.off_crown.needs()),
        };
        self.add(row.off_crown, place.clone(), row.table, cuts, move |at| {
            let wall = |crown: Key<Length>| shell_wall(at.get(crown), at.get(offset), at.get(angle));
            let (upper, lower) = (wall(four.upper)?, wall(four.lower)?);
            Ok(bearing_clearance(at.get(four.housing), upper, lower, at.get(four.journal)).si())
        });
    }

    /// The interference of the shells in their housing; when warm, of shells grown with the shells' material in a housing grown with its own.
    fn add_crush(&mut self, row: &Row, place: &Place, keys: BearingKeys) {
        let (upper, lower) = keys.crush;
        let (Some(upper), Some(lower), Some(housing), Some(checking)) =
            (upper, lower, keys.housing, keys.checking)
        else {
            if upper.is_some() || lower.is_some() {
                self.lacks(row.crush, row.crush.needs());
            }
            return;
        };
        self.add(row.crush, place.clone(), row.table, Vec::new(), move |at| {
            let surplus = crush_interference(at.get(upper), at.get(lower))?;
            Ok((at.get_as(checking, parts::SHELLS) - at.get(housing) + surplus).si())
        });
    }

    /// Out-of-round and taper of what was surveyed, and the least clearance that it leaves.
    fn add_surveys(&mut self, row: &Row, place: &Place, keys: BearingKeys, surveys: &[SurveyKeys]) {
        if surveys.is_empty() {
            return;
        }
        for survey in surveys {
            let word = match survey.of {
                Surveyed::Housing => "housing",
                Surveyed::Fitted => "bore with shells",
                Surveyed::Journal => "journal",
            };
            let place = place.clone().with(word);
            let s = survey.clone();
            self.add(row.out_of_round, place.clone(), row.table, Vec::new(), move |at| {
                Ok(s.survey(at)?.out_of_round().si())
            });
            let s = survey.clone();
            self.add(row.taper, place, row.table, Vec::new(), move |at| Ok(s.survey(at)?.taper().si()));
        }
        let of = |what: Surveyed| surveys.iter().find(|s| s.of == what).cloned();
        // A cut of the housing or the journal moves what was surveyed as well.
        let (housing_cut, journal_cut) =
            (keys.housing.zip(keys.measured.0), keys.journal.zip(keys.measured.1));
        let journal =
            of(Surveyed::Journal).map(|s| Size::Greatest(s, journal_cut)).or(keys.journal.map(Size::Read));
        let housing =
            of(Surveyed::Housing).map(|s| Size::Least(s, housing_cut)).or(keys.housing.map(Size::Read));
        let bore = match (of(Surveyed::Fitted), housing, keys.upper, keys.lower) {
            (Some(fitted), ..) => Some((Size::Least(fitted, housing_cut), None)),
            (None, Some(housing), Some(upper), Some(lower)) => Some((housing, Some((upper, lower)))),
            _ => None,
        };
        let (Some((bore, shells)), Some(journal)) = (bore, journal) else {
            let [housing, upper, lower, journal] = row.entries;
            let needs = format!("a survey of the fitted bore, or {housing}, {upper} and {lower}; {journal}");
            return self.lacks(row.least, &needs);
        };
        self.add(row.least, place.clone(), row.table, Vec::new(), move |at| {
            let none = Length::from_si(0.0);
            let (upper, lower) = shells.map_or((none, none), |(u, l)| (at.get(u), at.get(l)));
            Ok(bearing_clearance(bore.at(at)?, upper, lower, journal.at(at)?).si())
        });
    }
}

/// A diameter: as read, or the one that counts of a survey.
///
/// Beside a survey stands the size that a cut moves, now and as measured.
enum Size {
    Read(Key<Length>),
    Least(SurveyKeys, Cut),
    Greatest(SurveyKeys, Cut),
}

type Cut = Option<(Key<Length>, Key<Length>)>;

impl Size {
    /// By how much a cut has moved it; nothing in the document.
    fn moved(cut: &Cut, at: &Point<'_>) -> Length {
        cut.map_or(Length::from_si(0.0), |(now, measured)| at.standing(now) - at.standing(measured))
    }

    fn at(&self, at: &Point<'_>) -> Result<Length> {
        match self {
            Self::Read(key) => Ok(at.get(*key)),
            Self::Least(survey, cut) => Ok(survey.survey(at)?.least() + Self::moved(cut, at)),
            Self::Greatest(survey, cut) => Ok(survey.survey(at)?.greatest() + Self::moved(cut, at)),
        }
    }
}
