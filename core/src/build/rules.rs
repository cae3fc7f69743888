//! Limits by a rule of thumb, only where a document asks for one, and labelled so.

use super::chain::{Chain, Limit};
use super::document::Limit as LimitText;
use super::readings::Point;
use super::terms::What;
use crate::clearance::{RingDuty, RingPosition, end_gap_rule};
use crate::error::{Error, Result};
use crate::metrology::Limits;
use crate::units::Dimensioned;

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
        let cylinder = self.figures.get(i).and_then(|f| f.place.index).unwrap_or(1) - 1;
        let Some(keys) = self.keys.cylinders.get(cylinder) else {
            return Err(place(refused(rule, "a ring of a cylinder of the engine")));
        };
        let bore = keys.finish_bore(&Point::new(&self.readings, &self.readings.values));
        let (lower, upper) = end_gap_rule(bore, position, duty).map_err(place)?;
        Ok(Limit {
            limits: Limits::new(Some(lower.si()), Some(upper.si()))?,
            target: None,
            whose: format!("common practice, no source ({rule})"),
        })
    }
}

fn refused(rule: &str, allowed: &str) -> Error {
    Error::OutOfRange { field: "rule".into(), value: rule.into(), allowed: allowed.into() }
}
