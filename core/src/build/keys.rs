//! Every entry of a document taken in as a reading, and which reading belongs to which cylinder, main and throw.

use super::bearings;
use super::document::{Arrangement, Document, Limit, Ring, Text};
use super::grades::{self, GradeKeys};
use super::readings::{Allowed, Key, Readings};
use super::sections::Surveyed;
use crate::balance::RodMass;
use crate::error::{Error, Result};
use crate::units::{Angle, AngularVelocity, Dimensioned, Force, Length, Mass, Pressure, Volume};

/// More cylinders than this are taken for a slip of the pen.
const MOST_CYLINDERS: usize = 48;

type Maybe<Q> = Option<Key<Q>>;

/// The readings of one compression ring.
#[derive(Debug, Clone, Copy)]
pub(super) struct RingKeys {
    pub(super) gap: Maybe<Length>,
    pub(super) gauge_bore: Maybe<Length>,
    pub(super) width: Maybe<Length>,
    pub(super) groove: Maybe<Length>,
    pub(super) root: Maybe<Length>,
    pub(super) thickness: Maybe<Length>,
    pub(super) tension: Maybe<Force>,
}

/// Diameters read at angles and stations.
#[derive(Debug, Clone)]
pub(super) struct SurveyKeys {
    /// Which bearing, from 1.
    pub(super) bearing: usize,
    pub(super) of: Surveyed,
    pub(super) angles: Vec<Key<Angle>>,
    pub(super) stations: Vec<Key<Length>>,
    pub(super) diameters: Vec<Vec<Key<Length>>>,
}

/// The readings of one plain bearing.
#[derive(Debug, Clone, Copy)]
pub(super) struct BearingKeys {
    pub(super) housing: Maybe<Length>,
    pub(super) upper: Maybe<Length>,
    pub(super) lower: Maybe<Length>,
    pub(super) journal: Maybe<Length>,
    /// Crush heights of the upper and the lower shell.
    pub(super) crush: (Maybe<Length>, Maybe<Length>),
    /// The bore that the crush heights hold for.
    pub(super) checking: Maybe<Length>,
    /// Housing and journal as measured, whatever is cut.
    pub(super) measured: (Maybe<Length>, Maybe<Length>),
    /// Offset of eccentric shells, and the angle from the crown that is asked about.
    pub(super) off_crown: (Maybe<Length>, Maybe<Angle>),
}

/// The readings that belong to one cylinder.
#[derive(Debug, Clone, Copy)]
pub(super) struct CylinderKeys {
    pub(super) bore: Key<Length>,
    pub(super) planned: Maybe<Length>,
    /// What a proposed honing takes off the diameter; zero in the document.
    pub(super) stock: Key<Length>,
    pub(super) stroke: Key<Length>,
    pub(super) rod: Key<Length>,
    pub(super) pin_offset: Maybe<Length>,
    pub(super) deck_height: Maybe<Length>,
    pub(super) compression_height: Maybe<Length>,
    pub(super) crown: Maybe<Volume>,
    pub(super) land_diameter: Maybe<Length>,
    pub(super) land_height: Maybe<Length>,
    pub(super) piston: Maybe<Length>,
    pub(super) chamber: Maybe<Volume>,
    pub(super) gasket_bore: Maybe<Length>,
    pub(super) gasket_thickness: Maybe<Length>,
    pub(super) rings: [RingKeys; 2],
    pub(super) rod_bearing: BearingKeys,
    pub(super) rod_width: Maybe<Length>,
    pub(super) small_end: Maybe<Length>,
    pub(super) pin_bore: Maybe<Length>,
    pub(super) pin: Maybe<Length>,
    pub(super) masses: MassKeys,
    pub(super) bank: usize,
    pub(super) throw: usize,
}

/// What goes up and down with one cylinder.
#[derive(Debug, Clone, Copy)]
pub(super) struct MassKeys {
    pub(super) piston: Maybe<Mass>,
    pub(super) pin: Maybe<Mass>,
    pub(super) small_end: Maybe<Mass>,
    pub(super) big_end: Maybe<Mass>,
    pub(super) shells: Maybe<Mass>,
}

impl MassKeys {
    /// What goes up and down, where all of it was weighed.
    pub(super) fn reciprocating(&self) -> Option<[Key<Mass>; 3]> {
        Some([self.piston?, self.pin?, self.small_end?])
    }

    /// What turns with the pin for one rod, where all of it was weighed; the oil belongs to the pin.
    pub(super) fn rotating(&self) -> Option<[Key<Mass>; 2]> {
        Some([self.big_end?, self.shells?])
    }
}

/// Wall readings around one bore.
#[derive(Debug, Clone)]
pub(super) struct WallKeys {
    pub(super) cylinder: usize,
    pub(super) readings: Vec<(Key<Angle>, Key<Length>)>,
}

/// All readings of an engine.
#[derive(Debug)]
pub(super) struct Keys {
    pub(super) cylinders: Vec<CylinderKeys>,
    pub(super) mains: Vec<BearingKeys>,
    pub(super) crankpin_width: Option<Vec<Key<Length>>>,
    pub(super) thrust: Maybe<Length>,
    pub(super) thrust_bearing: Maybe<Length>,
    pub(super) spacing: Maybe<Length>,
    pub(super) pressure: Maybe<Pressure>,
    pub(super) speed: Maybe<AngularVelocity>,
    pub(super) intake_closing: Maybe<Angle>,
    pub(super) walls: Vec<WallKeys>,
    pub(super) main_surveys: Vec<SurveyKeys>,
    pub(super) rod_surveys: Vec<SurveyKeys>,
    pub(super) main_grades: Option<GradeKeys>,
    pub(super) rod_grades: Option<GradeKeys>,
}

/// How many crankpins an engine of this arrangement has.
pub(super) fn throws(doc: &Document) -> usize {
    match doc.engine.arrangement {
        Arrangement::Vee => doc.engine.cylinders / 2,
        _ => doc.engine.cylinders,
    }
}

/// Checks the count of cylinders against the arrangement.
pub(super) fn check_cylinders(doc: &Document, readings: &Readings) -> Result<()> {
    let n = doc.engine.cylinders;
    let paired = matches!(doc.engine.arrangement, Arrangement::Vee | Arrangement::Flat);
    let allowed = match (n, paired) {
        (1..=MOST_CYLINDERS, false) => return Ok(()),
        (1..=MOST_CYLINDERS, true) if n.is_multiple_of(2) => return Ok(()),
        (_, true) => "an even number from 2 to 48",
        _ => "1 to 48",
    };
    let error =
        Error::OutOfRange { field: "cylinders".into(), value: n.to_string(), allowed: allowed.into() };
    Err(readings.place(error, "engine.cylinders"))
}

/// A list of angles of the design.
pub(super) fn angles(readings: &Readings, field: &str, texts: &[Text]) -> Result<Vec<Angle>> {
    texts.iter().enumerate().map(|(i, t)| readings.exact(&format!("{field}[{}]", i + 1), t)).collect()
}

/// Which bank a cylinder (from 0) is on: banks alternate in a vee and a flat engine; explicit banks go by their angle.
fn banks(doc: &Document, readings: &Readings) -> Result<Vec<usize>> {
    let n = doc.engine.cylinders;
    match (&doc.engine.arrangement, &doc.engine.bank_angles) {
        (Arrangement::Vee | Arrangement::Flat, _) => Ok((0..n).map(|i| i % 2).collect()),
        (Arrangement::Explicit, Some(texts)) => {
            let field = "engine.bank_angles";
            readings.exact_length(field, texts.len(), n, "cylinder")?;
            let all = angles(readings, field, texts)?;
            let first_of = |a: &Angle| all.iter().position(|b| b == a).unwrap_or(0);
            Ok(all.iter().map(first_of).collect())
        }
        _ => Ok(vec![0; n]),
    }
}

pub(super) fn nth<Q>(keys: &Option<Vec<Key<Q>>>, i: usize) -> Maybe<Q> {
    keys.as_ref().and_then(|k| k.get(i)).copied()
}

fn ring(r: &mut Readings, doc: &Ring, field: &str, n: usize) -> Result<Vec<RingKeys>> {
    let mut all = |name: &str, each| {
        r.parts::<Length>(&format!("{field}.{name}"), each, n, "cylinder", Allowed::Positive)
    };
    let gap = all("end_gap", &doc.end_gap)?;
    let gauge_bore = all("gauge_bore", &doc.gauge_bore)?;
    let (width, groove) = (all("width", &doc.width)?, all("groove_width", &doc.groove_width)?);
    let root = all("groove_root_diameter", &doc.groove_root_diameter)?;
    let thickness = all("radial_thickness", &doc.radial_thickness)?;
    let tension = r.parts(&format!("{field}.tension"), &doc.tension, n, "cylinder", Allowed::Positive)?;
    let one = |i| RingKeys {
        root: nth(&root, i),
        thickness: nth(&thickness, i),
        tension: nth(&tension, i),
        gap: nth(&gap, i),
        gauge_bore: nth(&gauge_bore, i),
        width: nth(&width, i),
        groove: nth(&groove, i),
    };
    Ok((0..n).map(one).collect())
}

impl Keys {
    /// Takes the whole document in.
    pub(super) fn read(doc: &Document, r: &mut Readings) -> Result<Self> {
        check_cylinders(doc, r)?;
        let (cylinders, rod_grades) = cylinders(doc, r)?;
        let pins = throws(doc);
        let (mains, main_grades) = mains(doc, r)?;
        Ok(Self {
            crankpin_width: r.maybe_each(
                "crank.crankpin_width",
                &doc.crank.crankpin_width,
                pins,
                "crankpin",
                Allowed::Positive,
            )?,
            thrust: r.maybe(
                "crank.thrust_journal_width",
                &doc.crank.thrust_journal_width,
                Allowed::Positive,
            )?,
            thrust_bearing: r.maybe(
                "crank.thrust_bearing_width",
                &doc.crank.thrust_bearing_width,
                Allowed::Positive,
            )?,
            spacing: r.maybe("block.bore_spacing", &doc.block.bore_spacing, Allowed::Positive)?,
            pressure: r.maybe("block.peak_pressure", &doc.block.peak_pressure, Allowed::NonNegative)?,
            speed: r.maybe("engine.speed", &doc.engine.speed, Allowed::Positive)?,
            intake_closing: r.maybe(
                "engine.intake_closing",
                &doc.engine.intake_closing,
                Allowed::Between(
                    -core::f64::consts::PI,
                    core::f64::consts::PI,
                    "between -180 deg and 180 deg after bottom dead centre",
                ),
            )?,
            walls: walls(doc, r)?,
            main_surveys: bearings::surveys(&doc.main_bearings, "main_bearings", mains.len(), r)?,
            rod_surveys: bearings::surveys(&doc.rod_bearings, "rod_bearings", cylinders.len(), r)?,
            mains,
            cylinders,
            main_grades,
            rod_grades,
        })
    }
}

fn cylinders(doc: &Document, r: &mut Readings) -> Result<(Vec<CylinderKeys>, Option<GradeKeys>)> {
    use Allowed::{Any, NonNegative, Positive};
    const C: &str = "cylinder";
    let n = doc.engine.cylinders;
    let banks = banks(doc, r)?;
    let pin_of = |i: usize| match doc.engine.arrangement {
        Arrangement::Vee => i / 2,
        _ => i,
    };
    let bore = r.each("block.bore", &doc.block.bore, n, C, Positive)?;
    let planned = r.maybe_each("block.planned_bore", &doc.block.planned_bore, n, C, Positive)?;
    let deck_height = r.maybe_each("block.deck_height", &doc.block.deck_height, n, C, Positive)?;
    let stroke = r.each("crank.stroke", &doc.crank.stroke, n, C, Positive)?;
    let crankpin = r.parts("crank.crankpin", &doc.crank.crankpin, throws(doc), "crankpin", Positive)?;
    let rod = r.each("rods.length", &doc.rods.length, n, C, Positive)?;
    let big_end = r.parts("rods.big_end_bore", &doc.rods.big_end_bore, n, C, Positive)?;
    let rod_width = r.maybe_each("rods.width", &doc.rods.width, n, C, Positive)?;
    let p = &doc.pistons;
    let piston = r.maybe_each("pistons.diameter", &p.diameter, n, C, Positive)?;
    let height = r.parts("pistons.compression_height", &p.compression_height, n, C, Positive)?;
    let crown = r.parts("pistons.crown_volume", &p.crown_volume, n, C, Any)?;
    let offset = r.maybe_each("pistons.pin_offset", &p.pin_offset, n, C, Any)?;
    let land_diameter = r.maybe_each("pistons.top_land_diameter", &p.top_land_diameter, n, C, Positive)?;
    let land_height = r.maybe_each("pistons.top_land_height", &p.top_land_height, n, C, NonNegative)?;
    let top = ring(r, &doc.rings.top, "rings.top", n)?;
    let second = ring(r, &doc.rings.second, "rings.second", n)?;
    let chamber = r.parts("head.chamber_volume", &doc.head.chamber_volume, n, C, NonNegative)?;
    let gasket_bore = r.maybe("head.gasket_bore", &doc.head.gasket_bore, Positive)?;
    let gasket_thickness = r.maybe("head.gasket_thickness", &doc.head.gasket_thickness, NonNegative)?;
    let b = &doc.rod_bearings;
    if b.housing_bore.is_some() {
        let error = Error::UnknownKey {
            field: "rod_bearings.housing_bore".into(),
            remedy: "the housing bores of the rods stand under rods.big_end_bore".into(),
        };
        return Err(r.place(error, "rod_bearings.housing_bore"));
    }
    let small_end = r.parts("rods.small_end_bore", &doc.rods.small_end_bore, n, C, Positive)?;
    let pin_bore = r.parts("pistons.pin_bore", &p.pin_bore, n, C, Positive)?;
    let pin = r.parts("pins.diameter", &doc.pins.diameter, n, C, Positive)?;
    let piston_mass = r.parts("pistons.mass", &p.mass, n, C, Positive)?;
    let pin_mass = r.parts("pins.mass", &doc.pins.mass, n, C, Positive)?;
    let small_end_mass = r.parts("rods.small_end_mass", &doc.rods.small_end_mass, n, C, Positive)?;
    let big_end_mass = r.parts("rods.big_end_mass", &doc.rods.big_end_mass, n, C, Positive)?;
    let shell_mass = r.parts("rod_bearings.shell_mass", &b.shell_mass, n, C, Positive)?;
    let rod_mass = r.parts("rods.mass", &doc.rods.mass, n, C, Positive)?;
    rods_add_up(&big_end_mass, &small_end_mass, &rod_mass, r)?;
    let housings: Vec<_> = (0..n).map(|i| nth(&big_end, i)).collect();
    let journals: Vec<_> = (0..n).map(|i| nth(&crankpin, pin_of(i))).collect();
    let grades = grades::grades(b, "rod_bearings", limit_of(doc, "rod_bearing_clearance"), r)?;
    let bearings = bearings::read(b, "rod_bearings", grades.as_ref(), &housings, &journals, C, r)?;
    let rings = top.into_iter().zip(second);
    let per_cylinder = bore.into_iter().zip(stroke).zip(rod).zip(rings).zip(banks).zip(bearings);
    let all = per_cylinder
        .enumerate()
        .map(|(i, (((((bore, stroke), rod), (top, second)), bank), rod_bearing))| CylinderKeys {
            bore,
            planned: nth(&planned, i),
            stock: r.stock(i + 1),
            stroke,
            rod,
            pin_offset: nth(&offset, i),
            deck_height: nth(&deck_height, i),
            compression_height: nth(&height, i),
            crown: nth(&crown, i),
            land_diameter: nth(&land_diameter, i),
            land_height: nth(&land_height, i),
            piston: nth(&piston, i),
            chamber: nth(&chamber, i),
            gasket_bore,
            gasket_thickness,
            rings: [top, second],
            rod_bearing,
            small_end: nth(&small_end, i),
            pin_bore: nth(&pin_bore, i),
            pin: nth(&pin, i),
            masses: MassKeys {
                piston: nth(&piston_mass, i),
                pin: nth(&pin_mass, i),
                small_end: nth(&small_end_mass, i),
                big_end: nth(&big_end_mass, i),
                shells: nth(&shell_mass, i),
            },
            rod_width: nth(&rod_width, i),
            bank,
            throw: pin_of(i),
        })
        .collect();
    Ok((all, grades))
}

/// Refuses rods whose ends do not weigh what the whole rod weighs, within the stated uncertainties and half a gram.
fn rods_add_up(big: &Masses, small: &Masses, whole: &Masses, r: &Readings) -> Result<()> {
    const SLACK: f64 = 0.5e-3; // a workshop scale's digit; common practice, no source
    for i in 0..whole.as_ref().map_or(0, Vec::len) {
        let (Some(big), Some(small), Some(whole)) = (nth(big, i), nth(small, i), nth(whole, i)) else {
            continue;
        };
        let value = |k: Key<Mass>| Mass::from_si(r.values.get(k.index).copied().unwrap_or(f64::NAN));
        let slack = SLACK + 2.0 * [big, small, whole].map(|k| r.standard(k.index)).iter().sum::<f64>();
        let field = r.entries.get(whole.index).map_or(String::new(), |e| e.field.clone());
        RodMass::checked(value(big), value(small), value(whole), Mass::from_si(slack))
            .map_err(|e| r.place(e, &field))?;
    }
    Ok(())
}

type Masses = Option<Vec<Key<Mass>>>;

/// The limit of a figure in the document, with its name.
fn limit_of<'a>(doc: &'a Document, name: &'a str) -> (&'a str, Option<&'a Limit>) {
    (name, doc.limits.get(name))
}

/// The main bearings: as many as the first list of them has, else one more than crankpins.
fn mains(doc: &Document, r: &mut Readings) -> Result<(Vec<BearingKeys>, Option<GradeKeys>)> {
    use super::document::Each;
    const M: &str = "main bearing";
    let b = &doc.main_bearings;
    let listed = [&b.housing_bore, &doc.crank.main_journal, &b.upper_shell, &b.lower_shell];
    let count = listed.iter().find_map(|each| match each {
        Some(Each::Many(texts)) => Some(texts.len()),
        _ => None,
    });
    let n = count.unwrap_or(throws(doc) + 1);
    let housing = r.parts("main_bearings.housing_bore", &b.housing_bore, n, M, Allowed::Positive)?;
    let journal = r.parts("crank.main_journal", &doc.crank.main_journal, n, M, Allowed::Positive)?;
    let housings: Vec<_> = (0..n).map(|i| nth(&housing, i)).collect();
    let journals: Vec<_> = (0..n).map(|i| nth(&journal, i)).collect();
    let grades = grades::grades(b, "main_bearings", limit_of(doc, "main_bearing_clearance"), r)?;
    let all = bearings::read(b, "main_bearings", grades.as_ref(), &housings, &journals, M, r)?;
    Ok((all, grades))
}

fn walls(doc: &Document, r: &mut Readings) -> Result<Vec<WallKeys>> {
    let mut all: Vec<WallKeys> = Vec::new();
    for (i, wall) in doc.block.walls.iter().enumerate() {
        let field = format!("block.walls[{}]", i + 1);
        let known = (1..=doc.engine.cylinders).contains(&wall.cylinder);
        if !known || all.iter().any(|w| w.cylinder == wall.cylinder) {
            let error = Error::OutOfRange {
                field: "cylinder".into(),
                value: wall.cylinder.to_string(),
                allowed: format!("1 to {}, each once", doc.engine.cylinders),
            };
            return Err(r.place(error, &format!("{field}.cylinder")));
        }
        let thickness = format!("{field}.thickness");
        r.exact_length(&thickness, wall.thickness.len(), wall.angles.len(), "angle")?;
        if wall.thickness.is_empty() {
            r.exact_length(&thickness, 0, 1, "angle")?;
        }
        let mut readings = Vec::new();
        for (j, (angle, text)) in wall.angles.iter().zip(&wall.thickness).enumerate() {
            let at = r.one(&format!("{field}.angles[{}]", j + 1), angle, Allowed::Any)?;
            readings.push((at, r.one(&format!("{thickness}[{}]", j + 1), text, Allowed::Positive)?));
        }
        all.push(WallKeys { cylinder: wall.cylinder, readings });
    }
    Ok(all)
}
