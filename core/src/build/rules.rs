//! Limits by a rule of thumb, only where a document asks for one, and labelled so.

use super::chain::{Chain, Limit};
use super::document::Limit as LimitText;
use super::readings::Point;
use super::terms::What;
use crate::clearance::{RingDuty, RingPosition, end_gap_rule};
use crate::error::{Error, Result};
use crate::metrology::Limits;
use crate::units::{Dimensioned, Length};

const DUTIES: &str = "\"naturally aspirated\", \"boosted\" or \"nitrous\"";

impl Chain {
    /// The limit that the rule of thumb gives for the i-th figure.
    pub(super) fn rule_limit(
        &self,
        i: usize,
        what: What,
        field: &str,
        text: &LimitText,
        rule: &str,
    ) -> Result<Limit> {
        let place = |error: Error| self.readings.place(error, &format!("{field}.rule"));
        if text.lower.is_some() || text.upper.is_some() || text.target.is_some() || text.whose.is_some() {
            return Err(place(refused(rule, "a rule stands alone, without lower, upper, target or whose")));
        }
        let position = match what {
            What::TopRingGap => RingPosition::Top,
            What::SecondRingGap => RingPosition::Second,
            What::PistonToWall | What::RodSideClearance | What::CrankEndFloat => {
                return self.plain_rule(i, what, rule).map_err(place);
            }
            _ => {
                return Err(place(refused(
                    rule,
                    "no rule of thumb is kept for this figure; write lower or upper, and whose",
                )));
            }
        };
        let duty = match rule {
            "naturally aspirated" => RingDuty::NaturallyAspirated,
            "boosted" => RingDuty::Boosted,
            "nitrous" => RingDuty::Nitrous,
            _ => return Err(place(refused(rule, DUTIES))),
        };
        let bore =
            self.bore_of(i).ok_or_else(|| place(refused(rule, "a ring of a cylinder of the engine")))?;
        let (lower, upper) = end_gap_rule(bore, position, duty).map_err(place)?;
        by_practice(lower.si(), upper.si(), rule)
    }

    /// The finish bore of the cylinder that the i-th figure belongs to.
    fn bore_of(&self, i: usize) -> Option<Length> {
        let cylinder = self.figures.get(i).and_then(|f| f.place.index).unwrap_or(1) - 1;
        let keys = self.keys.cylinders.get(cylinder)?;
        Some(keys.finish_bore(&Point::new(&self.readings, &self.readings.values)))
    }

    /// Rules that are two figures, or two shares of the bore.
    fn plain_rule(&self, i: usize, what: What, rule: &str) -> Result<Limit> {
        let thou = |x: f64| x * 25.4e-6;
        // A clearance for a bore of 4 in, in proportion to the bore.
        let per_bore = |x: f64| thou(x) * self.bore_of(i).map_or(f64::NAN, |b| b.si()) / thou(4000.0);
        let (lower, upper) = match (what, rule) {
            (What::PistonToWall, "forged 4032") => (per_bore(2.0), per_bore(3.5)), // common practice, no source
            (What::PistonToWall, "cast") => (per_bore(1.0), per_bore(2.0)), // common practice, no source
            (What::RodSideClearance, "two rods to a pin") => (thou(10.0), thou(20.0)), // common practice, no source
            (What::CrankEndFloat, "usual") => (thou(4.0), thou(8.0)), // common practice, no source
            (What::PistonToWall, _) => return Err(refused(rule, "\"forged 4032\" or \"cast\"")),
            (What::RodSideClearance, _) => return Err(refused(rule, "\"two rods to a pin\"")),
            _ => return Err(refused(rule, "\"usual\"")),
        };
        by_practice(lower, upper, rule)
    }
}

fn by_practice(lower: f64, upper: f64, rule: &str) -> Result<Limit> {
    Ok(Limit {
        limits: Limits::new(Some(lower), Some(upper))?,
        target: None,
        whose: format!("common practice, no source ({rule})"),
        natural: false,
    })
}

fn refused(rule: &str, allowed: &str) -> Error {
    Error::OutOfRange { field: "rule".into(), value: rule.into(), allowed: allowed.into() }
}
