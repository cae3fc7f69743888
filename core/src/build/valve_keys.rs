//! What a document says of the valve train, and what follows from it at a point: motion of the valves, timing, clearances.

use super::document::Document;
use super::figures::missing;
use super::readings::{Allowed, Key, Point, Readings};
use super::valve_drive::DriveKeys;
use super::valve_heads::{HeadKeys, PocketKeys, SeatKeys, head, pocket, seat, seat_lacks};
use super::valve_lobes;
use super::valve_profile::{ProfileKeys, profile};
use super::valve_sections::{Valve, Valves};
use super::valve_springs::{MovingKeys, SpringKeys, set};
use crate::error::{Error, Result};
use crate::units::{Angle, Dimensioned, Length, Ratio, ThermodynamicTemperature, find};
use crate::valvetrain::CamAngle;
use crate::valvetrain::breathing::PoppetValve;
use crate::valvetrain::lift::{Lift, LiftCurve, TableFit};
use crate::valvetrain::pocket::{CrownPocket, PistonAllowances, ValveHead, ValveMotion};
use crate::valvetrain::rocker::Train;
use crate::valvetrain::spring::SpringControl;
use crate::valvetrain::timing::{CamTiming, ValveKind, ValveTiming};
use crate::valvetrain::wheel::WheelFit;
use std::sync::Arc;

type Maybe<Q> = Option<Key<Q>>;

/// How the valve follows the lifter.
#[derive(Debug, Clone, Copy)]
enum TrainKeys {
    Ratio(Maybe<Ratio>),
    Rocker(Train),
}

/// One kind of valve.
#[derive(Debug, Clone)]
pub(super) struct ValveKeys {
    pub(super) kind: ValveKind,
    pub(super) curve: Arc<LiftCurve>,
    /// How the curve stands to its table, where it has one.
    pub(super) table: Option<TableFit>,
    /// What the degree wheel found, where it was read.
    pub(super) wheel: Option<WheelFit>,
    train: TrainKeys,
    lash: Maybe<Length>,
    hot_lash: Maybe<Length>,
    /// As the document counts it: after overlap top dead centre for the intake, before it for the exhaust.
    pub(super) centreline: Key<Angle>,
    pub(super) ground: Maybe<Angle>,
    /// From as installed; zero until a cut moves it.
    pub(super) advance: Key<Angle>,
    pub(super) count: usize,
    head: Option<HeadKeys>,
    pub(super) pocket: Option<PocketKeys>,
    pub(super) seat: Option<SeatKeys>,
    /// What a seat lacks.
    seat_lacks: Vec<&'static str>,
    pub(super) retainer: Maybe<Length>,
    pub(super) springs: Vec<SpringKeys>,
    pub(super) moving: Option<MovingKeys>,
    pub(super) profile: Option<ProfileKeys>,
}

/// The whole valve train.
#[derive(Debug)]
pub(super) struct ValveTrainKeys {
    pub(super) valves: [ValveKeys; 2],
    pub(super) checking_lift: Key<Length>,
    stretch: Maybe<Length>,
    rock: Maybe<Length>,
    pub(super) air: Maybe<ThermodynamicTemperature>,
    pub(super) flow: Maybe<Ratio>,
    pub(super) turned: Option<Angle>,
    pub(super) drive: Option<DriveKeys>,
    pub(super) range: Option<[Angle; 2]>,
}

impl ValveTrainKeys {
    pub(super) fn read(v: &Valves, doc: &Document, r: &mut Readings) -> Result<Self> {
        let degrees = find("deg")?;
        let mut advance = |name: &str| r.found::<Angle>(name, "valves", degrees, 0.0, None);
        let [first, second] = match v.one_camshaft {
            true => [advance("advance of the cam, from as installed"); 2],
            false => {
                ["intake", "exhaust"].map(|n| advance(&format!("advance of the {n} cam, from as installed")))
            }
        };
        let intake = ValveKeys::read(&v.intake, ValveKind::Intake, first, doc, r)?;
        let exhaust = ValveKeys::read(&v.exhaust, ValveKind::Exhaust, second, doc, r)?;
        let share = Allowed::Between(0.0, 1.0 + 1e-12, "above 0, at most 1");
        let range = match &v.advance_range {
            None => None,
            Some([low, high]) => {
                let (low, high): (Angle, Angle) =
                    (r.exact("valves.advance_range[1]", low)?, r.exact("valves.advance_range[2]", high)?);
                if low >= high {
                    let allowed = format!("above {}", crate::units::written(low));
                    let error = crate::error::out_of_range("end of the range", high, allowed);
                    return Err(r.place(error, "valves.advance_range[2]"));
                }
                Some([low, high])
            }
        };
        Ok(Self {
            valves: [intake, exhaust],
            checking_lift: r.one("valves.checking_lift", &v.checking_lift, Allowed::Positive)?,
            stretch: r.maybe("valves.rod_stretch", &v.rod_stretch, Allowed::NonNegative)?,
            rock: r.maybe("valves.bearing_and_rock", &v.bearing_and_rock, Allowed::NonNegative)?,
            air: r.maybe("valves.air_temperature", &v.air_temperature, Allowed::Positive)?,
            flow: r.maybe("valves.flow_coefficient", &v.flow_coefficient, share)?,
            drive: v.drive.as_ref().map(|d| DriveKeys::read(d, r)).transpose()?,
            turned: v.turned.as_ref().map(|t| r.exact("valves.turned", t)).transpose()?,
            range,
        })
    }

    pub(super) fn intake(&self) -> &ValveKeys {
        let [intake, _] = &self.valves;
        intake
    }

    /// Both lobes at the checking lift.
    pub(super) fn timing(&self, at: &Point<'_>) -> Result<CamTiming> {
        let lift = at.get(self.checking_lift);
        let [intake, exhaust] = &self.valves;
        CamTiming::new(intake.timing(lift, at)?, exhaust.timing(lift, at)?)
    }

    /// What brings the piston nearer to the valves than the bare parts say; heat is in the states.
    pub(super) fn allowances(&self, at: &Point<'_>) -> Result<PistonAllowances> {
        let of = |key: Maybe<Length>| key.map_or(Length::from_si(0.0), |k| at.get(k));
        PistonAllowances::new(of(self.stretch), of(self.rock), Length::from_si(0.0))
    }
}

impl ValveKeys {
    fn read(
        v: &Valve,
        kind: ValveKind,
        advance: Key<Angle>,
        doc: &Document,
        r: &mut Readings,
    ) -> Result<Self> {
        let field = format!("valves.{}", kind.name());
        let name = |n: &str| format!("{field}.{n}");
        let (curve, table) = valve_lobes::lobe(&v.lobe, &name("lobe"), r)?;
        let (centreline, wheel) = match (&v.centreline, &v.wheel) {
            (Some(text), None) => (r.one(&name("centreline"), text, Allowed::Positive)?, None),
            (None, Some(wheel)) => {
                let (key, fit) = valve_lobes::wheel(wheel, kind, &field, r)?;
                (key, Some(fit))
            }
            (both, _) => return Err(one_of(&field, "centreline", "wheel", both.is_some(), r)),
        };
        if v.count == 0 || v.count > 4 {
            let error = Error::OutOfRange {
                field: "count".into(),
                value: v.count.to_string(),
                allowed: "1 to 4".into(),
            };
            return Err(r.place(error, &name("count")));
        }
        let keys = Self {
            kind,
            curve: Arc::new(curve),
            table,
            wheel,
            train: train(v, &field, r)?,
            lash: r.maybe(&name("lash"), &v.lash, Allowed::NonNegative)?,
            hot_lash: r.maybe(&name("hot_lash"), &v.hot_lash, Allowed::NonNegative)?,
            centreline,
            ground: r.maybe(&name("ground_centreline"), &v.ground_centreline, Allowed::Positive)?,
            advance,
            count: v.count,
            head: head(v, &field, r)?,
            pocket: v.pocket.as_ref().map(|p| pocket(p, &field, doc, r)).transpose()?,
            seat: seat(v, &field, r)?,
            seat_lacks: seat_lacks(v),
            retainer: r.maybe(&name("retainer_to_seal"), &v.retainer_to_seal, Allowed::Any)?,
            springs: springs(v, &field, r)?,
            moving: v.moving.as_ref().map(|m| MovingKeys::read(m, &name("moving"), r)).transpose()?,
            profile: profile(&v.lobe, &name("lobe"), r)?,
        };
        let part = |e: Error| {
            let own = format!("{field}{}", Self::field_of(&e));
            r.place(e, &own)
        };
        keys.at_rest(&Point::new(r, &r.values)).map_err(part)?;
        Ok(keys)
    }

    /// All that is made of the readings once, so that what cannot be is refused where the document is read.
    fn at_rest(&self, at: &Point<'_>) -> Result<()> {
        let most = self.curve.maximum();
        self.train(at)?.valve_lift(most)?;
        if let Some(profile) = self.profile {
            profile.least_radius(&self.curve, at)?;
        }
        self.valve_head(at)?;
        self.poppet(at)?;
        self.springs.iter().try_for_each(|s| s.stress(Length::from_si(0.0), at).map(|_| ()))
    }

    /// The key that an error of a part is about.
    fn field_of(error: &Error) -> &'static str {
        match error.field() {
            Some("stem angle") => ".tilt",
            Some("head diameter" | "valve head diameter") => ".head_diameter",
            Some("seat width") => ".seat_width",
            Some("seat angle") => ".seat_angle",
            Some("port diameter") => ".throat_diameter",
            Some("stem diameter") => ".stem_diameter",
            _ => "",
        }
    }

    /// The figures that the clearance to the piston needs and are not there; empty where all are.
    pub(super) fn needs_for_head(&self) -> String {
        match self.head {
            Some(_) => String::new(),
            None => missing(&[
                (&format!("valves.{}.head_diameter", self.kind.name()), false),
                (&format!("valves.{}.height", self.kind.name()), false),
            ]),
        }
    }

    pub(super) fn train(&self, at: &Point<'_>) -> Result<Train> {
        match self.train {
            TrainKeys::Ratio(None) => Ok(Train::direct()),
            TrainKeys::Ratio(Some(key)) => Train::ratio(at.get(key)),
            TrainKeys::Rocker(train) => Ok(train),
        }
    }

    pub(super) fn lash(&self, at: &Point<'_>) -> Length {
        let hot = self.hot_lash.filter(|_| at.is_in_a_state());
        hot.or(self.lash).map_or(Length::from_si(0.0), |k| at.get(k))
    }

    /// The angle of the nose from overlap top dead centre, below zero before it, as the cam is set.
    pub(super) fn crank_centreline(&self, at: &Point<'_>) -> Result<Angle> {
        let written = at.get(self.centreline);
        let signed = match self.kind {
            ValveKind::Intake => written,
            ValveKind::Exhaust => -written,
        };
        Ok(signed - at.get(self.advance))
    }

    /// The valve's motion by the cam angle, lash taken up.
    pub(super) fn motion_on_cam(&self, at: &Point<'_>) -> Result<impl Fn(CamAngle) -> Lift + use<>> {
        self.motion_on_cam_with(self.lash(at), at)
    }

    fn motion_on_cam_with(&self, lash: Length, at: &Point<'_>) -> Result<impl Fn(CamAngle) -> Lift + use<>> {
        let (train, curve) = (self.train(at)?, self.curve.clone());
        // A train that follows the lift of the nose follows every lift below it.
        train.valve_lift(curve.maximum())?;
        Ok(move |cam| train.valve_with_lash(curve.at(cam), lash).unwrap_or_default())
    }

    /// The valve's lift by the crank angle from overlap top dead centre.
    pub(super) fn motion(&self, at: &Point<'_>) -> Result<ValveMotion<impl Fn(Angle) -> Length + use<>>> {
        self.motion_with(self.lash(at), at)
    }

    /// The same with another lash.
    pub(super) fn motion_with(
        &self,
        lash: Length,
        at: &Point<'_>,
    ) -> Result<ValveMotion<impl Fn(Angle) -> Length + use<>>> {
        let (peak, by_cam) = (self.crank_centreline(at)?, self.motion_on_cam_with(lash, at)?);
        ValveMotion::new(move |crank: Angle| by_cam(CamAngle::of_crank(crank - peak)).lift, peak)
    }

    /// Lift of the valve at the nose, lash taken up.
    pub(super) fn greatest_lift(&self, at: &Point<'_>) -> Result<Length> {
        Ok(self.motion_on_cam(at)?(CamAngle::of_cam(Angle::from_si(0.0))).lift)
    }

    /// When the valve is open beyond a lift.
    pub(super) fn timing(&self, lift: Length, at: &Point<'_>) -> Result<ValveTiming> {
        let greatest = self.greatest_lift(at)?;
        if lift >= greatest {
            let allowed = format!(
                "below the lift of the {} valve, {}",
                self.kind.name(),
                crate::units::written(greatest)
            );
            return Err(crate::error::out_of_range("checking lift", lift, allowed));
        }
        let follower = self.train(at)?.lifter_lift(lift + self.lash(at))?;
        let (opening, closing) = (self.curve.opening_at(follower)?, self.curve.closing_at(follower)?);
        ValveTiming::asymmetrical(self.crank_centreline(at)?, -opening.on_crank(), closing.on_crank(), lift)
    }

    pub(super) fn valve_head(&self, at: &Point<'_>) -> Result<Option<ValveHead>> {
        let Some(h) = self.head else { return Ok(None) };
        let of = |key: Maybe<Length>| key.map_or(Length::from_si(0.0), |k| at.get(k));
        let tilt = h.tilt.map_or(Angle::from_si(0.0), |k| at.get(k));
        ValveHead::new(at.get(h.diameter), of(h.margin), tilt, of(h.offset), of(h.sideways), at.get(h.height))
            .map(Some)
    }

    /// The pocket of a cylinder, from 0.
    pub(super) fn crown_pocket(&self, cylinder: usize, at: &Point<'_>) -> Result<Option<CrownPocket>> {
        let (Some(p), Some(h)) = (&self.pocket, self.head) else { return Ok(None) };
        let Some(depth) = p.depths.get(cylinder) else { return Ok(None) };
        let of = |own: Maybe<Length>, valve: Maybe<Length>| {
            own.or(valve).map_or(Length::from_si(0.0), |k| at.get(k))
        };
        let floor = p.floor.or(h.tilt).map_or(Angle::from_si(0.0), |k| at.get(k));
        let (offset, sideways) = (of(p.offset, h.offset), of(p.sideways, h.sideways));
        CrownPocket::new(offset, sideways, at.get(p.diameter), at.get(*depth), floor).map(Some)
    }

    pub(super) fn poppet(&self, at: &Point<'_>) -> Result<Option<PoppetValve>> {
        let (Some(s), Some(h)) = (self.seat, self.head) else { return Ok(None) };
        PoppetValve::new(
            at.get(h.diameter),
            at.get(s.width),
            at.get(s.angle),
            at.get(s.throat),
            at.get(s.stem),
        )
        .map(Some)
    }

    /// The springs with what they hold to the cam.
    pub(super) fn control(&self, moving: &MovingKeys, at: &Point<'_>) -> Result<SpringControl> {
        let ratio = Ratio::from_si(self.train(at)?.derivatives(Length::from_si(0.0))?.first);
        SpringControl::new(set(&self.springs, at)?, moving.effective(&self.springs, ratio, at)?)
    }

    /// Whether a lash is written that only states of temperatures use.
    pub(super) fn has_hot_lash(&self) -> bool {
        self.hot_lash.is_some()
    }

    /// Whether the head is known but not how its stem leans.
    pub(super) fn lacks_tilt(&self) -> bool {
        self.head.is_some_and(|h| h.tilt.is_none())
    }

    /// The entries that seat and throat need and are not there.
    pub(super) fn needs_for_seat(&self) -> Vec<String> {
        let name = |n: &str| format!("valves.{}.{n}", self.kind.name());
        let mut needs: Vec<String> = self.seat_lacks.iter().map(|n| name(n)).collect();
        if self.head.is_none() {
            needs.push(name("head_diameter"));
        }
        needs
    }

    pub(super) fn head_diameter(&self) -> Maybe<Length> {
        self.head.map(|h| h.diameter)
    }
}

fn springs(v: &Valve, field: &str, r: &mut Readings) -> Result<Vec<SpringKeys>> {
    let one = |(i, s)| SpringKeys::read(s, &format!("{field}.springs[{}]", i + 1), r);
    v.springs.iter().enumerate().map(one).collect()
}

/// The refusal of two entries that stand for each other, both or neither.
fn one_of(field: &str, first: &str, second: &str, both: bool, r: &Readings) -> Error {
    if both {
        let extra = format!("{field}.{second}");
        let remedy = format!("{first} or {second}, not both");
        return r.place(Error::UnknownKey { field: extra.clone(), remedy }, &extra);
    }
    let needed = format!("{field}.{first}");
    let remedy = format!("or {second}");
    r.place(Error::MissingKey { field: needed, remedy }, field)
}

fn train(v: &Valve, field: &str, r: &mut Readings) -> Result<TrainKeys> {
    match (&v.rocker_ratio, &v.rocker) {
        (ratio, None) => {
            Ok(TrainKeys::Ratio(r.maybe(&format!("{field}.rocker_ratio"), ratio, Allowed::Positive)?))
        }
        (None, Some(rocker)) => {
            super::valve_springs::rocker(rocker, &format!("{field}.rocker"), r).map(TrainKeys::Rocker)
        }
        (Some(_), Some(_)) => Err(one_of(field, "rocker_ratio", "rocker", true, r)),
    }
}
