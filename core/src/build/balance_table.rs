//! Balance on the sheet: bob weights, orders, planes, what the forces trace over a turn, and where to drill.

use super::balance_keys::BalanceKeys;
use super::chain::Chain;
use super::drill_rows::DrillTable;
use super::readings::Point;
use super::sheet::Printed;
use super::terms::What;
use crate::balance::unbalance::UnbalanceVector;
use crate::balance::{Harmonic, ShakingEngine, force_of, moment_of, residual_of_share, to_lightest};
use crate::error::Result;
use crate::units::{Angle, AngularVelocity, Dimensioned, Length, Mass};
use serde::Serialize;

/// Degrees between two points of a trace.
const STEP: usize = 5;

/// The bob weight of one throw.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ThrowRow {
    /// Which throw.
    #[serde(rename = "where")]
    pub place: String,
    /// All that turns with the pin: big ends, shells, oil.
    pub rotating: Printed,
    /// All that goes up and down on it.
    pub reciprocating: Printed,
    /// The share of that in the bob weight.
    pub share: f64,
    /// The bob weight.
    pub bob_weight: Printed,
    /// What the first order leaves that turns against the crank, as a mass at the crank radius.
    pub backward: Printed,
    /// What it leaves that turns with the crank.
    pub forward: Printed,
}

/// One order of the shaking forces and moments, without counterweights and with them.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OrderRow {
    /// Which multiple of the crank's speed.
    pub order: usize,
    /// Greatest force of pistons, rods and pins alone.
    pub force_bare: Printed,
    /// Greatest force with all that turns.
    pub force: Printed,
    /// Greatest moment about the middle of the crankpins, alone.
    pub moment_bare: Printed,
    /// Greatest moment with all that turns.
    pub moment: Printed,
}

/// The unbalance that takes away all of the first order that turns with the crank.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CounterweightAdvice {
    /// Which plane.
    #[serde(rename = "where")]
    pub place: String,
    /// Along the crank.
    pub position: Printed,
    /// How much.
    pub unbalance: Printed,
    /// Where it is to be heavy, in degrees with the crank at zero.
    pub heavy_at_deg: f64,
}

/// One correction plane.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlaneRow {
    /// Which plane.
    #[serde(rename = "where")]
    pub place: String,
    /// Along the crank.
    pub position: Printed,
    /// What the crank with its bob weights is heavy by before any drilling, from the document's counterweights.
    pub design: Option<Printed>,
    /// Where.
    pub design_heavy_at_deg: Option<f64>,
    /// What the machine read.
    pub read: Option<Printed>,
    /// Where it is heavy.
    pub read_heavy_at_deg: Option<f64>,
    /// What the reading and the design differ by, as vectors; much of it tells of a slip in the document or the machine's setup.
    pub difference: Option<Printed>,
    /// What may remain.
    pub permissible: Option<Printed>,
}

/// Force and moment at one crank angle.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TracePoint {
    /// Degrees.
    pub crank_deg: f64,
    /// Along bank angle zero, N.
    pub along_n: f64,
    /// Across it, N.
    pub across_n: f64,
    /// Moment of the forces along bank angle zero, N m.
    pub moment_along_nm: f64,
    /// Moment of the forces across it, N m.
    pub moment_across_nm: f64,
}

/// What the exact force and moment trace over one turn.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Trace {
    /// Pistons, rods and pins alone.
    pub bare: Vec<TracePoint>,
    /// With all that turns, and the counterweights of the document.
    pub balanced: Vec<TracePoint>,
}

/// What to take off one part, so that all of its kind weigh what the lightest weighs.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LightenRow {
    /// "piston", "rod, big end" or "rod, small end".
    pub part: &'static str,
    /// Which cylinder.
    #[serde(rename = "where")]
    pub place: String,
    /// What it weighs.
    pub mass: Printed,
    /// What to take off.
    pub take_off: Printed,
    /// Whether that is more than the document allows.
    pub too_much: bool,
}

/// The balance of the engine.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BalanceTable {
    /// Bob weights; empty where a part was not weighed.
    pub throws: Vec<ThrowRow>,
    /// Parts to lighten; the lightest of each kind stays as it is.
    pub lighten: Vec<LightenRow>,
    /// Orders 1 to 6; empty without a speed.
    pub orders: Vec<OrderRow>,
    /// The best pair of counterweights in the correction planes.
    pub advice: Vec<CounterweightAdvice>,
    /// The correction planes.
    pub planes: Vec<PlaneRow>,
    /// Over one turn, at the document's speed.
    pub trace: Option<Trace>,
    /// Where to drill.
    pub drilling: Option<DrillTable>,
}

/// Degrees from 0 to below 360.
pub(super) fn degrees(angle: Angle) -> f64 {
    let turned = angle.si().to_degrees().rem_euclid(360.0);
    if turned >= 360.0 { 0.0 } else { turned }
}

impl Chain {
    /// The balance, where the document has it.
    pub(super) fn balance_table(&self) -> Result<Option<BalanceTable>> {
        let Some(keys) = &self.balance else { return Ok(None) };
        let at = Point::new(&self.readings, &self.readings.values);
        let weighed = self.figures.iter().any(|f| f.what == What::BobWeight);
        let speed = self.keys.speed.filter(|_| weighed).map(|k| at.get(k));
        let both = match weighed {
            true => Some((keys.engine(&at, true)?, keys.engine(&at, false)?)),
            false => None,
        };
        let middle = keys.middle(&at);
        let (mut orders, mut trace) = (Vec::new(), None);
        if let (Some((bare, whole)), Some(speed)) = (&both, speed) {
            for order in 1..=crate::balance::shaking::HIGHEST_ORDER {
                orders.push(self.order_row(order, [bare, whole], middle, speed)?);
            }
            trace =
                Some(Trace { bare: traced(bare, speed, middle)?, balanced: traced(whole, speed, middle)? });
        }
        let throws = if weighed { self.throw_rows(keys, &at)? } else { Vec::new() };
        let advice = match (&both, keys.planes) {
            (Some((bare, _)), Some(planes)) => self.advice(bare, planes.map(|p| at.get(p)))?,
            _ => Vec::new(),
        };
        let planes = self.plane_rows(keys, weighed, &at)?;
        let lighten = self.lighten_rows(keys, &at)?;
        Ok(Some(BalanceTable {
            throws,
            lighten,
            orders,
            advice,
            planes,
            trace,
            drilling: self.drill_table(keys, &at)?,
        }))
    }

    fn throw_rows(&self, keys: &BalanceKeys, at: &Point<'_>) -> Result<Vec<ThrowRow>> {
        let grams = self.unit(&What::BobWeight.term());
        let row = |figure: &super::chain::Figure| -> Result<ThrowRow> {
            let throw = figure.place.index.unwrap_or(1) - 1;
            let (pistons, share) = (keys.pistons(throw, at), keys.share(throw, at)?);
            let left = residual_of_share(&pistons, share)?;
            let whole: f64 = pistons.iter().map(|p| p.reciprocating.si()).sum();
            Ok(ThrowRow {
                place: figure.place.label.clone(),
                rotating: Printed::new(grams, keys.round(throw, at).iter().map(|m| m.si()).sum()),
                reciprocating: Printed::new(grams, whole),
                share: share.si(),
                bob_weight: Printed::new(grams, keys.bob_weight(throw, at)?.si()),
                backward: Printed::new(grams, left.backward.si()),
                forward: Printed::new(grams, left.forward.si()),
            })
        };
        self.figures.iter().filter(|f| f.what == What::BobWeight).map(row).collect()
    }

    /// Pistons and both ends of the rods against the lightest of their kind, each kind that was weighed part by part.
    fn lighten_rows(&self, keys: &BalanceKeys, at: &Point<'_>) -> Result<Vec<LightenRow>> {
        type Of = fn(&super::keys::MassKeys) -> Option<super::readings::Key<Mass>>;
        let kinds: [(&'static str, Of); 3] =
            [("piston", |m| m.piston), ("rod, big end", |m| m.big_end), ("rod, small end", |m| m.small_end)];
        let grams = self.unit(&What::BobWeight.term());
        let mut rows = Vec::new();
        for ((part, of), most) in kinds.into_iter().zip(keys.most_off) {
            let most = most.map(|k| at.get(k));
            let all = self.keys.cylinders.iter().map(|c| of(&c.masses).map(|k| at.get(k)));
            let Some(masses) = all.collect::<Option<Vec<Mass>>>() else { continue };
            let heaviest = masses.iter().fold(Mass::from_si(0.0), |most, m| most.max(*m));
            for (i, (mass, off)) in masses.iter().zip(to_lightest(&masses, heaviest)?).enumerate() {
                if off.si() > 0.0 {
                    rows.push(LightenRow {
                        part,
                        place: format!("cylinder {}", i + 1),
                        mass: Printed::new(grams, mass.si()),
                        take_off: Printed::new(grams, off.si()),
                        too_much: most.is_some_and(|m| off.si() > m.si() * (1.0 + 1e-9)),
                    });
                }
            }
        }
        Ok(rows)
    }

    fn order_row(
        &self,
        order: usize,
        [bare, whole]: [&ShakingEngine; 2],
        middle: Length,
        speed: AngularVelocity,
    ) -> Result<OrderRow> {
        let force = |h: Harmonic| {
            Printed::new(self.unit(&What::ShakingForceFirst.term()), force_of(h.greatest(), speed).si())
        };
        let moment = |h: Harmonic| {
            Printed::new(self.unit(&What::ShakingMomentFirst.term()), moment_of(h.greatest(), speed).si())
        };
        Ok(OrderRow {
            order,
            force_bare: force(bare.force(order)?),
            force: force(whole.force(order)?),
            moment_bare: moment(bare.moment(order, middle)?),
            moment: moment(whole.moment(order, middle)?),
        })
    }

    fn advice(&self, bare: &ShakingEngine, planes: [Length; 2]) -> Result<Vec<CounterweightAdvice>> {
        let [first, second] = planes;
        let weights = bare.counterweights(first, second)?;
        let amount = self.unit(&What::DesignUnbalance.term());
        let row = |(word, w): (&str, &crate::balance::RotatingMass)| CounterweightAdvice {
            place: word.into(),
            position: Printed::new(self.unit(&What::DeckClearance.term()), w.position.si()),
            unbalance: Printed::new(amount, w.unbalance.si()),
            heavy_at_deg: degrees(w.angle),
        };
        Ok(["first plane", "second plane"].into_iter().zip(&weights).map(row).collect())
    }

    fn plane_rows(&self, keys: &BalanceKeys, weighed: bool, at: &Point<'_>) -> Result<Vec<PlaneRow>> {
        let Some(planes) = keys.planes else { return Ok(Vec::new()) };
        let designed = weighed && self.figures.iter().any(|f| f.what == What::DesignUnbalance);
        let design = if designed { Some(keys.design(planes, at)?) } else { None };
        let amount = self.unit(&What::ResidualUnbalance.term());
        let mut rows = Vec::new();
        for (i, word) in ["first plane", "second plane"].into_iter().enumerate() {
            let design: Option<UnbalanceVector> = design.as_ref().and_then(|d| d.get(i)).map(|p| p.vector());
            let read = keys.readings.and_then(|r| r.get(i).copied());
            let permissible = keys.permissible.as_ref().and_then(|(both, _)| both.get(i).copied());
            let measured =
                read.map(|(a, angle)| UnbalanceVector::heavy_at(at.get(a), at.get(angle))).transpose()?;
            let apart = design.zip(measured).map(|(d, m)| (d.complex() - m.complex()).norm());
            rows.push(PlaneRow {
                place: word.into(),
                position: Printed::new(
                    self.unit(&What::DeckClearance.term()),
                    planes.get(i).map_or(f64::NAN, |p| at.get(*p).si()),
                ),
                design: design.map(|d| Printed::new(amount, d.amount().si())),
                design_heavy_at_deg: design.map(|d| degrees(d.angle())),
                read: read.map(|(a, _)| Printed::new(amount, at.get(a).si())),
                read_heavy_at_deg: read.map(|(_, angle)| degrees(at.get(angle))),
                difference: apart.map(|x| Printed::new(amount, x)),
                permissible: permissible.map(|u| Printed::new(amount, u.si())),
            });
        }
        Ok(rows)
    }
}

fn traced(engine: &ShakingEngine, speed: AngularVelocity, about: Length) -> Result<Vec<TracePoint>> {
    let point = |crank: usize| -> Result<TracePoint> {
        let angle = Angle::from_si((crank as f64).to_radians());
        let (along, across) = engine.force_at(angle, speed)?;
        let (moment_along, moment_across) = engine.moment_at(angle, speed, about)?;
        Ok(TracePoint {
            crank_deg: crank as f64,
            along_n: along.si(),
            across_n: across.si(),
            moment_along_nm: moment_along.si(),
            moment_across_nm: moment_across.si(),
        })
    };
    (0..=360).step_by(STEP).map(point).collect()
}
