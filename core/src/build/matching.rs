//! Which piston, rod and pin goes to which cylinder: the chain's own figures with the readings of the parts exchanged.

use super::chain::{Chain, Figure};
use super::document::Document;
use super::keys::CylinderKeys;
use super::readings::Point;
use super::sheet::Printed;
use super::terms::What;
use crate::clearance::matching::{DEFAULT_EFFORT, MOST_PLACES, MatchedFigure, Matching, match_parts};
use crate::error::{Error, Result};
use serde::Serialize;

const PISTON: usize = 0;
const ROD: usize = 1;
const PIN: usize = 2;
const PARTS: [&str; 3] = ["piston", "rod", "pin"];

/// Figures that can be evened out, and the parts that each depends on.
const CHOICES: [(What, &[usize]); 6] = [
    (What::DeckClearance, &[PISTON, ROD]),
    (What::PistonToWall, &[PISTON]),
    (What::ReciprocatingMass, &[PISTON, ROD, PIN]),
    (What::RodBearingClearance, &[ROD]),
    (What::PinToBoss, &[PISTON, PIN]),
    (What::PinToRod, &[ROD, PIN]),
];

/// One figure of one cylinder, before and after.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MatchedValue {
    /// With the parts in the order they came.
    pub delivered: Printed,
    /// With the parts as matched.
    pub matched: Printed,
}

/// The parts of one cylinder, and its figures.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MatchedRow {
    /// Which cylinder.
    #[serde(rename = "where")]
    pub place: String,
    /// For each type of part, which one, from 1 in the order of the document.
    pub parts: Vec<usize>,
    /// The figures, in the order asked for.
    pub figures: Vec<MatchedValue>,
}

/// One figure over all cylinders, before and after.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MatchedSpread {
    /// Its name in documents.
    pub what: &'static str,
    /// The trade's term.
    pub term: &'static str,
    /// Greatest less least with the parts in the order they came.
    pub delivered: Printed,
    /// Greatest less least as matched.
    pub matched: Printed,
    /// No order has a smaller spread than this, those before it being as they are.
    pub bound: Printed,
    /// Whether the spread is proved the least.
    pub proved: bool,
}

/// Which part goes where.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MatchingTable {
    /// The types of parts that are exchanged.
    pub parts: Vec<&'static str>,
    /// What is evened out, the first first.
    pub figures: Vec<MatchedSpread>,
    /// One row for each cylinder.
    pub rows: Vec<MatchedRow>,
    /// Whether the parts keep the limits in the order they came.
    pub delivered_holds: bool,
    /// Why the limits could not be kept, where they could not.
    pub note: Option<String>,
}

/// What a document asks to be evened out.
#[derive(Debug, Clone)]
pub(super) struct Asked {
    order: Vec<(What, &'static [usize])>,
}

impl Asked {
    /// Reads what is to be evened out, each figure known to the chain.
    pub(super) fn read(doc: &Document, chain: &Chain) -> Result<Option<Self>> {
        let Some(matching) = &doc.matching else { return Ok(None) };
        let field = "matching.order";
        let refused = |value: String, allowed: String| {
            let error = Error::OutOfRange { field: "order".into(), value, allowed };
            Err(chain.readings.place(error, field))
        };
        let names = || CHOICES.map(|(what, _)| what.term().name).join(", ");
        if matching.order.is_empty() {
            return refused("empty".into(), format!("at least one of {}", names()));
        }
        let cylinders = chain.keys.cylinders.len();
        if cylinders > MOST_PLACES {
            return refused(format!("{cylinders} cylinders"), format!("at most {MOST_PLACES}"));
        }
        let mut order = Vec::new();
        for name in &matching.order {
            let Some(choice) = CHOICES.into_iter().find(|(what, _)| what.term().name == name) else {
                return refused(name.clone(), names());
            };
            if order.contains(&choice) {
                return refused(name.clone(), "each figure once".into());
            }
            if chain.matched_figures(choice.0).len() != cylinders {
                let needs = chain.not_computed.iter().find(|n| n.term == choice.0.term().term);
                let remedy = match needs {
                    Some(n) => format!("to be evened out, {name} needs {}", n.needs),
                    None => format!("the document gives too little for {name}"),
                };
                return Err(chain.readings.place(Error::MissingKey { field: name.clone(), remedy }, field));
            }
            order.push(choice);
        }
        Ok(Some(Self { order }))
    }
}

impl CylinderKeys {
    /// The readings that go with one of its parts; the same places of the list for every cylinder.
    fn of_part(&self, part: usize) -> Vec<Option<usize>> {
        match part {
            PISTON => vec![
                self.piston.map(|k| k.index),
                self.compression_height.map(|k| k.index),
                self.crown.map(|k| k.index),
                self.pin_offset.map(|k| k.index),
                self.land_diameter.map(|k| k.index),
                self.land_height.map(|k| k.index),
                self.pin_bore.map(|k| k.index),
                self.masses.piston.map(|k| k.index),
            ],
            ROD => vec![
                Some(self.rod.index),
                self.rod_bearing.housing.map(|k| k.index),
                self.rod_width.map(|k| k.index),
                self.small_end.map(|k| k.index),
                self.masses.small_end.map(|k| k.index),
            ],
            _ => vec![self.pin.map(|k| k.index), self.masses.pin.map(|k| k.index)],
        }
    }
}

impl Chain {
    /// The figures of a name as measured, cylinder by cylinder.
    fn matched_figures(&self, what: What) -> Vec<&Figure> {
        self.figures.iter().filter(|f| f.what == what && f.state.is_none()).collect()
    }

    /// The matching that the document asks for.
    pub(super) fn matching(&self) -> Result<Option<MatchingTable>> {
        let Some(asked) = &self.matching else { return Ok(None) };
        let n = self.keys.cylinders.len();
        let limited = |limits: bool| -> Result<Vec<MatchedFigure>> {
            asked.order.iter().map(|(what, parts)| self.to_match(*what, parts, limits)).collect()
        };
        let (found, note) = match match_parts(n, PARTS.len(), &limited(true)?, DEFAULT_EFFORT) {
            Ok(found) => (found, None),
            // Limits that cannot be kept are said, and the parts evened out all the same.
            Err(error) => {
                (match_parts(n, PARTS.len(), &limited(false)?, DEFAULT_EFFORT)?, Some(error.to_string()))
            }
        };
        self.matching_table(asked, &found, note).map(Some)
    }

    /// One figure with every combination of the parts that it depends on.
    fn to_match(&self, what: What, depends: &[usize], limited: bool) -> Result<MatchedFigure> {
        let figures = self.matched_figures(what);
        let limits = figures.first().and_then(|f| f.limit.as_ref()).filter(|_| limited);
        let bounds = limits.map_or((None, None), |l| (l.limits.lower(), l.limits.upper()));
        MatchedFigure::new(figures.len(), PARTS.len(), depends, bounds, |place, parts| {
            self.with_parts(&figures, place, depends, parts)
        })
    }

    /// A figure of a cylinder with the parts of others in it.
    fn with_parts(
        &self,
        figures: &[&Figure],
        place: usize,
        depends: &[usize],
        parts: &[usize],
    ) -> Result<f64> {
        let cylinders = &self.keys.cylinders;
        let mut moved: Vec<(usize, f64)> = Vec::new();
        for part in depends {
            let other = parts.get(*part).and_then(|from| cylinders.get(*from));
            let (Some(own), Some(other)) = (cylinders.get(place), other) else { continue };
            let pairs = own.of_part(*part).into_iter().zip(other.of_part(*part));
            moved.extend(pairs.filter_map(|(to, from)| Some((to?, *self.readings.values.get(from?)?))));
        }
        moved.sort_by_key(|(to, _)| *to);
        let (keys, values): (Vec<usize>, Vec<f64>) = moved.into_iter().unzip();
        let here = Point::new(&self.readings, &self.readings.values).moved(&keys, &values);
        figures.get(place).map_or(Ok(f64::NAN), |figure| self.value(figure, &here))
    }

    fn matching_table(&self, asked: &Asked, found: &Matching, note: Option<String>) -> Result<MatchingTable> {
        let mut used: Vec<usize> = asked.order.iter().flat_map(|(_, parts)| parts.iter().copied()).collect();
        used.sort_unstable();
        used.dedup();
        let mut rows = Vec::new();
        for (place, parts) in found.assignment.iter().enumerate() {
            let mut figures = Vec::new();
            for (what, depends) in &asked.order {
                let unit = self.unit(&what.term());
                let all = self.matched_figures(*what);
                let own = vec![place; PARTS.len()];
                figures.push(MatchedValue {
                    delivered: Printed::new(unit, self.with_parts(&all, place, depends, &own)?),
                    matched: Printed::new(unit, self.with_parts(&all, place, depends, parts)?),
                });
            }
            rows.push(MatchedRow {
                place: format!("cylinder {}", place + 1),
                parts: used.iter().filter_map(|t| parts.get(*t).map(|p| p + 1)).collect(),
                figures,
            });
        }
        let spreads = found.spreads.iter().zip(&found.bounds).zip(&found.delivered);
        let figures = asked.order.iter().zip(spreads).map(|((what, _), ((matched, bound), delivered))| {
            let (term, unit) = (what.term(), self.unit(&what.term()));
            MatchedSpread {
                what: term.name,
                term: term.term,
                delivered: Printed::difference(unit, *delivered),
                matched: Printed::difference(unit, *matched),
                bound: Printed::difference(unit, *bound),
                proved: bound >= matched,
            }
        });
        Ok(MatchingTable {
            parts: used.iter().filter_map(|t| PARTS.get(*t).copied()).collect(),
            figures: figures.collect(),
            rows,
            delivered_holds: found.delivered_holds && note.is_none(),
            note,
        })
    }
}
