//! What a document says of the balance, and what follows from it at a point: engine, bob weights, unbalance by design.

use super::balance_sections::{Balance, Counterweight};
use super::document::Text;
use super::drilling::Sites;
use super::figures::missing;
use super::keys::CylinderKeys;
use super::readings::{Allowed, Key, Point, Readings};
use super::trials;
use crate::balance::counterweight::CounterweightSector;
use crate::balance::unbalance::{PlacedUnbalance, UnbalanceVector, to_planes};
use crate::balance::{RotatingMass, ShakingCylinder, ShakingEngine, ThrowPiston, best_share, bob_weight};
use crate::error::{Error, Result, out_of_range};
use crate::geometry::{Layout, Station};
use crate::units::{Angle, Dimensioned, Length, Mass, Ratio, Unbalance};

/// How a counterweight's unbalance is known.
#[derive(Debug, Clone, Copy)]
enum Weight {
    Read(Key<Unbalance>),
    Sector { inner: Key<Length>, outer: Key<Length>, angle: Key<Angle>, thickness: Key<Length>, density: f64 },
}

/// What turns besides rods and bob weights.
#[derive(Debug, Clone, Copy)]
pub(super) struct Turning {
    weight: Weight,
    angle: Key<Angle>,
    position: Key<Length>,
    turns: i32,
}

impl Turning {
    fn at(&self, at: &Point<'_>) -> Result<RotatingMass> {
        let unbalance = match self.weight {
            Weight::Read(key) => at.get(key),
            Weight::Sector { inner, outer, angle, thickness, density } => CounterweightSector::new(
                at.get(inner),
                at.get(outer),
                at.get(angle),
                at.get(thickness),
                density,
            )?
            .unbalance(),
        };
        RotatingMass::new(unbalance, at.get(self.angle), at.get(self.position), self.turns)
    }
}

/// All that is known of the balance.
#[derive(Debug)]
pub(super) struct BalanceKeys {
    stations: Vec<Station>,
    pins: Vec<Key<Length>>,
    offsets: Option<Vec<Key<Length>>>,
    share: Option<Key<Ratio>>,
    oil: Option<Key<Mass>>,
    /// The most that may come off a piston, a big end, a small end.
    pub(super) most_off: [Option<Key<Mass>>; 3],
    pub(super) turning: Vec<Turning>,
    pub(super) planes: Option<[Key<Length>; 2]>,
    /// Amount and angle of each plane, as read.
    pub(super) readings: Option<[(Key<Unbalance>, Key<Angle>); 2]>,
    /// What may remain in each plane, and whose figure it is.
    pub(super) permissible: Option<([Unbalance; 2], String)>,
    cylinders: Vec<CylinderKeys>,
    pub(super) sites: Sites,
}

impl BalanceKeys {
    pub(super) fn read(
        b: &Balance,
        layout: &Layout,
        cylinders: &[CylinderKeys],
        r: &mut Readings,
    ) -> Result<Self> {
        use Allowed::{Any, NonNegative};
        let throws = cylinders.iter().map(|c| c.throw + 1).max().unwrap_or(0);
        let (pin_field, offset_field) = ("balance.pin_positions", "balance.rod_offsets");
        r.exact_length(pin_field, b.pin_positions.len(), throws, "crankpin")?;
        let pins = r.list(pin_field, &b.pin_positions, Any)?;
        let offsets = match &b.rod_offsets {
            Some(texts) => {
                r.exact_length(offset_field, texts.len(), cylinders.len(), "cylinder")?;
                Some(r.list(offset_field, texts, Any)?)
            }
            None => None,
        };
        let one = 1.0 + 1e-12;
        let share = Allowed::Between(-1e-12, one, "0 to 100 %");
        let planes = r.maybe("balance.first_plane", &b.first_plane, Any)?.zip(r.maybe(
            "balance.second_plane",
            &b.second_plane,
            Any,
        )?);
        check_planes(b, r)?;
        if let Some((first, second)) = planes {
            let at = Point::new(r, &r.values);
            if at.get(first) == at.get(second) {
                let error = out_of_range("second plane", at.get(second), "another position than the first");
                return Err(r.place(error, "balance.second_plane"));
            }
        }
        let readings = match (&b.readings, &b.trials) {
            (None, None) => None,
            (None, Some(trials)) => Some(trials::found(trials, r)?),
            (Some(_), Some(_)) => {
                let remedy = "readings of a machine or trial runs, not both".into();
                let error = Error::UnknownKey { field: "balance.trials".into(), remedy };
                return Err(r.place(error, "balance.trials"));
            }
            (Some(m), None) => {
                let mut heavy = |name: &str,
                                 h: &super::balance_sections::Heavy|
                 -> Result<(Key<Unbalance>, Key<Angle>)> {
                    let field = format!("balance.readings.{name}");
                    let amount = r.one(&format!("{field}.amount"), &h.amount, NonNegative)?;
                    Ok((amount, r.one(&format!("{field}.heavy_at"), &h.heavy_at, Any)?))
                };
                Some([heavy("first", &m.first)?, heavy("second", &m.second)?])
            }
        };
        let for_all = r.maybe("balance.most_off", &b.most_off, NonNegative)?;
        let mut most_off = |kind: &str, text: &Option<Text>| -> Result<Option<Key<Mass>>> {
            Ok(r.maybe(&format!("balance.{kind}_most_off"), text, NonNegative)?.or(for_all))
        };
        let most_off = [
            most_off("piston", &b.piston_most_off)?,
            most_off("big_end", &b.big_end_most_off)?,
            most_off("small_end", &b.small_end_most_off)?,
        ];
        Ok(Self {
            stations: layout.stations().to_vec(),
            pins,
            offsets,
            most_off,
            share: r.maybe("balance.share", &b.share, share)?,
            oil: r.maybe("balance.oil", &b.oil, NonNegative)?,
            turning: turning(b, r)?,
            planes: planes.map(|(a, b)| [a, b]),
            readings,
            permissible: None,
            cylinders: cylinders.to_vec(),
            sites: Sites::read(b, r)?,
        })
    }

    pub(super) fn throws(&self) -> usize {
        self.pins.len()
    }

    /// The angle of a throw with the crank at zero.
    fn throw_angle(&self, throw: usize) -> Angle {
        let of = |(c, s): (&CylinderKeys, &Station)| (c.throw == throw).then_some(s.throw_angle);
        let found = self.cylinders.iter().zip(&self.stations).find_map(of);
        found.unwrap_or(Angle::from_si(0.0))
    }

    /// Reciprocating mass of a cylinder; none where a part was not weighed.
    pub(super) fn reciprocating(c: &CylinderKeys, at: &Point<'_>) -> Option<Mass> {
        c.masses.reciprocating().map(|parts| at.sum(&parts))
    }

    /// What turns with the pin for one rod; none where a part was not weighed.
    pub(super) fn rotating(c: &CylinderKeys, at: &Point<'_>) -> Option<Mass> {
        c.masses.rotating().map(|parts| at.sum(&parts))
    }

    /// All that turns with the pin of a throw: the big ends with their shells, the oil in the pin with the first.
    pub(super) fn round(&self, throw: usize, at: &Point<'_>) -> Vec<Mass> {
        let on = self.cylinders.iter().filter(|c| c.throw == throw);
        let mut all: Vec<Mass> = on.filter_map(|c| Self::rotating(c, at)).collect();
        if let (Some(first), Some(oil)) = (all.first_mut(), self.oil) {
            *first += at.get(oil);
        }
        all
    }

    /// The crank's radius at a throw.
    fn radius(&self, throw: usize, at: &Point<'_>) -> Result<Length> {
        let of = self.cylinders.iter().find(|c| c.throw == throw);
        Ok(of.map(|c| c.cylinder(at)).transpose()?.map_or(Length::from_si(0.0), |c| c.crank_radius()))
    }

    /// The share of the reciprocating mass: as stated, or the best for the pistons of the throw.
    pub(super) fn share(&self, throw: usize, at: &Point<'_>) -> Result<Ratio> {
        match self.share {
            Some(key) => Ok(at.get(key)),
            None => best_share(&self.pistons(throw, at)),
        }
    }

    /// The pistons that hang on a throw.
    pub(super) fn pistons(&self, throw: usize, at: &Point<'_>) -> Vec<ThrowPiston> {
        let on = self.cylinders.iter().zip(&self.stations).filter(|(c, _)| c.throw == throw);
        on.filter_map(|(c, s)| {
            Some(ThrowPiston {
                bank_angle: s.bank_angle,
                pin_angle: Angle::from_si(0.0),
                reciprocating: Self::reciprocating(c, at)?,
            })
        })
        .collect()
    }

    /// The bob weight of a throw.
    pub(super) fn bob_weight(&self, throw: usize, at: &Point<'_>) -> Result<Mass> {
        let on = || self.cylinders.iter().filter(|c| c.throw == throw);
        let round = self.round(throw, at);
        let up_and_down: Vec<Mass> = on().filter_map(|c| Self::reciprocating(c, at)).collect();
        bob_weight(&round, &up_and_down, self.share(throw, at)?)
    }

    /// The engine with all its masses; `bare` leaves counterweights and balance shafts out.
    pub(super) fn engine(&self, at: &Point<'_>, bare: bool) -> Result<ShakingEngine> {
        let mut cylinders = Vec::new();
        let mut rotating = Vec::new();
        for (i, (c, station)) in self.cylinders.iter().zip(&self.stations).enumerate() {
            let pin = self.pins.get(c.throw).map_or(Length::from_si(0.0), |k| at.get(*k));
            let offset =
                self.offsets.as_ref().and_then(|o| o.get(i)).map_or(Length::from_si(0.0), |k| at.get(*k));
            let (position, cylinder) = (pin + offset, c.cylinder(at)?);
            let none = Mass::from_si(0.0);
            let mass = Self::reciprocating(c, at).unwrap_or(none);
            cylinders.push(ShakingCylinder { cylinder, station: *station, position, reciprocating: mass });
            let round = Self::rotating(c, at).unwrap_or(none);
            rotating.push(RotatingMass::on_crank(
                round,
                cylinder.crank_radius(),
                station.throw_angle,
                position,
            )?);
        }
        for (throw, pin) in self.pins.iter().enumerate() {
            let Some(oil) = self.oil else { break };
            let (radius, angle) = (self.radius(throw, at)?, self.throw_angle(throw));
            rotating.push(RotatingMass::on_crank(at.get(oil), radius, angle, at.get(*pin))?);
        }
        if !bare {
            rotating.extend(self.turning.iter().map(|t| t.at(at)).collect::<Result<Vec<_>>>()?);
        }
        ShakingEngine::new(cylinders, rotating)
    }

    /// What the crank with its bob weights and counterweights is heavy by in the two planes, before anything is drilled.
    pub(super) fn design(&self, planes: [Key<Length>; 2], at: &Point<'_>) -> Result<[PlacedUnbalance; 2]> {
        let mut all = Vec::new();
        for (throw, pin) in self.pins.iter().enumerate() {
            let (bob, radius) = (self.bob_weight(throw, at)?, self.radius(throw, at)?);
            let bob = UnbalanceVector::from_mass(bob, radius, self.throw_angle(throw))?;
            all.push(PlacedUnbalance::new(bob, at.get(*pin))?);
        }
        for turning in self.turning.iter().filter(|t| t.turns == 1) {
            let mass = turning.at(at)?;
            all.push(PlacedUnbalance::new(
                UnbalanceVector::heavy_at(mass.unbalance, mass.angle)?,
                mass.position,
            )?);
        }
        let [a, b] = planes;
        to_planes(&all, at.get(a), at.get(b))
    }
}

/// What is about correction planes needs both of them.
fn check_planes(b: &Balance, r: &Readings) -> Result<()> {
    let planes = [("balance.first_plane", &b.first_plane), ("balance.second_plane", &b.second_plane)];
    let of_planes = [
        ("balance.readings", b.readings.is_some()),
        ("balance.trials", b.trials.is_some()),
        ("balance.permissible", b.permissible.is_some()),
        ("balance.grade", b.grade.is_some()),
        ("balance.sites", !b.sites.is_empty()),
        ("balance.first_plane", b.first_plane.is_some()),
        ("balance.second_plane", b.second_plane.is_some()),
    ];
    let absent = planes.iter().find(|(_, text)| text.is_none());
    let (Some((field, _)), Some((for_what, _))) = (absent, of_planes.iter().find(|(_, there)| *there)) else {
        return Ok(());
    };
    let remedy = format!("{for_what} needs balance.first_plane and balance.second_plane");
    Err(r.place(Error::MissingKey { field: (*field).into(), remedy }, for_what))
}

fn turning(b: &Balance, r: &mut Readings) -> Result<Vec<Turning>> {
    let mut all = Vec::new();
    for (i, weight) in b.counterweights.iter().enumerate() {
        let field = format!("balance.counterweights[{}]", i + 1);
        let turning = Turning {
            weight: counterweight(weight, &field, r)?,
            angle: r.one(&format!("{field}.angle"), &weight.angle, Allowed::Any)?,
            position: r.one(&format!("{field}.position"), &weight.position, Allowed::Any)?,
            turns: 1,
        };
        turning.at(&Point::new(r, &r.values)).map_err(|e| {
            let part = match e.field() {
                Some("inner radius") => ".inner_radius",
                Some("outer radius") => ".outer_radius",
                Some("included angle") => ".included_angle",
                Some("thickness") => ".thickness",
                _ => "",
            };
            r.place(e, &format!("{field}{part}"))
        })?;
        all.push(turning);
    }
    for (i, external) in b.external.iter().enumerate() {
        let field = format!("balance.external[{}]", i + 1);
        let unbalance = r.one(&format!("{field}.unbalance"), &external.unbalance, Allowed::NonNegative)?;
        let turning = Turning {
            weight: Weight::Read(unbalance),
            angle: r.one(&format!("{field}.angle"), &external.angle, Allowed::Any)?,
            position: r.one(&format!("{field}.position"), &external.position, Allowed::Any)?,
            turns: external.turns,
        };
        turning.at(&Point::new(r, &r.values)).map_err(|e| r.place(e, &format!("{field}.turns")))?;
        all.push(turning);
    }
    Ok(all)
}

fn counterweight(doc: &Counterweight, field: &str, r: &mut Readings) -> Result<Weight> {
    let parts = [
        ("inner_radius", doc.inner_radius.is_some()),
        ("outer_radius", doc.outer_radius.is_some()),
        ("included_angle", doc.included_angle.is_some()),
        ("thickness", doc.thickness.is_some()),
        ("metal", doc.metal.is_some()),
    ];
    let name = |n: &str| format!("{field}.{n}");
    if let Some(unbalance) = &doc.unbalance {
        if let Some((extra, _)) = parts.iter().find(|(_, there)| *there) {
            let remedy = "a counterweight has its unbalance or its sector, not both".into();
            return Err(r.place(Error::UnknownKey { field: name(extra), remedy }, &name(extra)));
        }
        return Ok(Weight::Read(r.one(&name("unbalance"), unbalance, Allowed::NonNegative)?));
    }
    let (Some(inner), Some(outer), Some(angle), Some(thickness), Some(metal)) =
        (&doc.inner_radius, &doc.outer_radius, &doc.included_angle, &doc.thickness, &doc.metal)
    else {
        let remedy = format!("its unbalance, or the rest of its sector: {}", missing(&parts));
        return Err(r.place(Error::MissingKey { field: name("unbalance"), remedy }, field));
    };
    let weight = Weight::Sector {
        inner: r.one(&name("inner_radius"), inner, Allowed::NonNegative)?,
        outer: r.one(&name("outer_radius"), outer, Allowed::Positive)?,
        angle: r.one(&name("included_angle"), angle, Allowed::Positive)?,
        thickness: r.one(&name("thickness"), thickness, Allowed::Positive)?,
        density: metal_density(metal).map_err(|e| r.place(e, &name("metal")))?,
    };
    Ok(weight)
}

/// The density of a crank's metal, kg/m3.
pub(super) fn metal_density(name: &str) -> Result<f64> {
    match name.trim() {
        "iron" => Ok(crate::balance::drill::IRON_DENSITY),
        "steel" => Ok(crate::balance::drill::STEEL_DENSITY),
        other => Err(Error::OutOfRange {
            field: "metal".into(),
            value: other.chars().take(40).collect(),
            allowed: "iron or steel".into(),
        }),
    }
}

impl BalanceKeys {
    /// The middle of the crankpins, which moments are about.
    pub(super) fn middle(&self, at: &Point<'_>) -> Length {
        let sum: f64 = self.pins.iter().map(|p| at.get(*p).si()).sum();
        Length::from_si(sum / self.pins.len().max(1) as f64)
    }
}
