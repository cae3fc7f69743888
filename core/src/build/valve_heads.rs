//! What a document says of a valve's head, its pocket and its seat.

use super::document::{Document, Text};
use super::readings::{Allowed, Key, Readings};
use super::valve_sections::{Pocket, Valve};
use crate::error::Result;
use crate::units::{Angle, Length};

type Maybe<Q> = Option<Key<Q>>;

/// Where the head sits, and its size.
#[derive(Debug, Clone, Copy)]
pub(super) struct HeadKeys {
    pub(super) diameter: Key<Length>,
    pub(super) margin: Maybe<Length>,
    pub(super) tilt: Maybe<Angle>,
    pub(super) offset: Maybe<Length>,
    pub(super) sideways: Maybe<Length>,
    pub(super) height: Key<Length>,
}

/// The pocket of each cylinder.
#[derive(Debug, Clone)]
pub(super) struct PocketKeys {
    pub(super) offset: Maybe<Length>,
    pub(super) sideways: Maybe<Length>,
    pub(super) diameter: Key<Length>,
    pub(super) depths: Vec<Key<Length>>,
    pub(super) floor: Maybe<Angle>,
}

/// Seat, throat and stem.
#[derive(Debug, Clone, Copy)]
pub(super) struct SeatKeys {
    pub(super) width: Key<Length>,
    pub(super) angle: Key<Angle>,
    pub(super) throat: Key<Length>,
    pub(super) stem: Key<Length>,
}

pub(super) fn head(v: &Valve, field: &str, r: &mut Readings) -> Result<Option<HeadKeys>> {
    let name = |n: &str| format!("{field}.{n}");
    let diameter = r.maybe(&name("head_diameter"), &v.head_diameter, Allowed::Positive)?;
    let margin = r.maybe(&name("margin"), &v.margin, Allowed::NonNegative)?;
    let tilt = r.maybe(&name("tilt"), &v.tilt, Allowed::Any)?;
    let offset = r.maybe(&name("offset"), &v.offset, Allowed::Any)?;
    let sideways = r.maybe(&name("sideways"), &v.sideways, Allowed::Any)?;
    let height = r.maybe(&name("height"), &v.height, Allowed::Any)?;
    let both = diameter.zip(height);
    Ok(both.map(|(diameter, height)| HeadKeys { diameter, margin, tilt, offset, sideways, height }))
}

pub(super) fn pocket(p: &Pocket, field: &str, doc: &Document, r: &mut Readings) -> Result<PocketKeys> {
    let name = |n: &str| format!("{field}.pocket.{n}");
    let depths = r.parts(
        &name("depth"),
        &Some(p.depth.clone()),
        doc.engine.cylinders,
        "cylinder",
        Allowed::NonNegative,
    )?;
    Ok(PocketKeys {
        offset: r.maybe(&name("offset"), &p.offset, Allowed::Any)?,
        sideways: r.maybe(&name("sideways"), &p.sideways, Allowed::Any)?,
        diameter: r.one(&name("diameter"), &p.diameter, Allowed::Positive)?,
        depths: depths.unwrap_or_default(),
        floor: r.maybe(&name("floor_angle"), &p.floor_angle, Allowed::Any)?,
    })
}

/// The entries that a seat needs and are not there.
pub(super) fn seat_lacks(v: &Valve) -> Vec<&'static str> {
    let all = [
        ("seat_width", v.seat_width.is_some()),
        ("seat_angle", v.seat_angle.is_some()),
        ("throat_diameter", v.throat_diameter.is_some()),
        ("stem_diameter", v.stem_diameter.is_some()),
    ];
    all.into_iter().filter(|(_, there)| !there).map(|(name, _)| name).collect()
}

pub(super) fn seat(v: &Valve, field: &str, r: &mut Readings) -> Result<Option<SeatKeys>> {
    let mut of =
        |n: &str, text: &Option<Text>| r.maybe::<Length>(&format!("{field}.{n}"), text, Allowed::Positive);
    let width = of("seat_width", &v.seat_width)?;
    let throat = of("throat_diameter", &v.throat_diameter)?;
    let stem = of("stem_diameter", &v.stem_diameter)?;
    let angle = r.maybe(&format!("{field}.seat_angle"), &v.seat_angle, Allowed::NonNegative)?;
    Ok(match (width, angle, throat, stem) {
        (Some(width), Some(angle), Some(throat), Some(stem)) => Some(SeatKeys { width, angle, throat, stem }),
        _ => None,
    })
}
