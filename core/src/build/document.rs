//! The build document: what was specified and measured, as a person writes it in TOML.
//!
//! Only its form stands here; dimensions and ranges are checked where an entry becomes a reading.

use super::balance_sections::Balance;
use super::sections::{Bolt, Fit, Matching, Materials, Pins, PressFit, State, Survey};
use super::valve_sections::Valves;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::{Deserialize, Deserializer, Error as _, SeqAccess, Visitor};
use std::borrow::Cow;
use std::collections::BTreeMap;

/// One figure with its unit and, where known, its expanded uncertainty (k = 2): "86.00 mm +/- 0.01 mm".
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Text(pub(super) String);

/// One figure for all, or a list: one for each cylinder, main or throw.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Each {
    One(Text),
    Many(Vec<Text>),
}

struct TextVisitor;

impl<'de> Visitor<'de> for TextVisitor {
    type Value = Text;
    fn expecting(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str("a figure with its unit in quotes, such as \"86.00 mm\"")
    }
    fn visit_str<E: serde::de::Error>(self, v: &str) -> Result<Text, E> {
        Ok(Text(v.into()))
    }
    fn visit_i64<E: serde::de::Error>(self, v: i64) -> Result<Text, E> {
        Ok(Text(v.to_string()))
    }
    fn visit_f64<E: serde::de::Error>(self, v: f64) -> Result<Text, E> {
        Ok(Text(v.to_string()))
    }
}

impl<'de> Deserialize<'de> for Text {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        d.deserialize_any(TextVisitor)
    }
}

struct EachVisitor;

impl<'de> Visitor<'de> for EachVisitor {
    type Value = Each;
    fn expecting(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str("a figure with its unit in quotes, or a list of them")
    }
    fn visit_str<E: serde::de::Error>(self, v: &str) -> Result<Each, E> {
        TextVisitor.visit_str(v).map(Each::One)
    }
    fn visit_i64<E: serde::de::Error>(self, v: i64) -> Result<Each, E> {
        TextVisitor.visit_i64(v).map(Each::One)
    }
    fn visit_f64<E: serde::de::Error>(self, v: f64) -> Result<Each, E> {
        TextVisitor.visit_f64(v).map(Each::One)
    }
    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Each, A::Error> {
        let mut many = Vec::new();
        while let Some(text) = seq.next_element()? {
            many.push(text);
        }
        if many.is_empty() {
            return Err(A::Error::custom("the list is empty"));
        }
        Ok(Each::Many(many))
    }
}

impl<'de> Deserialize<'de> for Each {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        d.deserialize_any(EachVisitor)
    }
}

impl JsonSchema for Text {
    fn schema_name() -> Cow<'static, str> {
        "Figure".into()
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "type": "string",
            "description": "A number with its unit, and its expanded uncertainty (k = 2) where known.",
            "examples": ["86.00 mm", "4.1252 +/- 0.0002 in"],
        })
    }
}

impl JsonSchema for Each {
    fn schema_name() -> Cow<'static, str> {
        "FigureOrList".into()
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let one = generator.subschema_for::<Text>();
        json_schema!({
            "description": "One figure for all, or a list with one for each.",
            "anyOf": [one, { "type": "array", "items": one, "minItems": 1 }],
        })
    }
}

/// A section of the document: a struct whose keys are all that may stand there.
macro_rules! section {
    ($(#[$doc:meta])* $name:ident { $($(#[$field_doc:meta])* $field:ident: $type:ty),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, serde::Deserialize, JsonSchema)]
        #[serde(deny_unknown_fields)]
        pub(super) struct $name {
            $($(#[$field_doc])* pub(super) $field: $type),+
        }
    };
}

section! {
    /// A build document: what was specified and measured of one short block.
    Document {
        /// The version of this form; now 1.
        schema: u32,
        /// What the sheet is headed with.
        #[serde(default)] title: String,
        /// The units of the sheet: metric or inch.
        #[serde(default)] display: Display,
        engine: Engine,
        block: Block,
        crank: Crank,
        rods: Rods,
        #[serde(default)] pistons: Pistons,
        #[serde(default)] rings: Rings,
        #[serde(default)] head: Head,
        #[serde(default)] main_bearings: Bearings,
        #[serde(default)] rod_bearings: Bearings,
        #[serde(default)] pins: Pins,
        #[serde(default)] materials: Materials,
        /// Temperatures of the parts in states other than that of measurement, each by a name of your own, such as `running`.
        #[serde(default)] states: BTreeMap<String, State>,
        #[serde(default)] bolts: Vec<Bolt>,
        #[serde(default)] press_fits: Vec<PressFit>,
        /// Fits by ISO 286.
        #[serde(default)] fits: Vec<Fit>,
        balance: Option<Balance>,
        valves: Option<Valves>,
        matching: Option<Matching>,
        /// Drawing tolerances, by the name of the entry that they belong to: `"block.bore" = "+0.02/-0 mm"`.
        #[serde(default)] tolerances: BTreeMap<String, Text>,
        /// Limits of the figures, by their names.
        #[serde(default)] limits: BTreeMap<String, Limit>,
    }
}

pub(super) use section;

/// The system of units that a sheet is printed in.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, serde::Serialize, serde::Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Display {
    /// Millimetres, cubic centimetres, grams.
    #[default]
    Metric,
    /// Inches and cubic inches; small volumes stay in cm3, as in the trade.
    Inch,
}

/// How the cylinders stand.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, serde::Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub(super) enum Arrangement {
    #[default]
    InLine,
    Vee,
    Flat,
    Explicit,
}

/// Strokes of the working cycle.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, serde::Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub(super) enum Strokes {
    #[default]
    FourStroke,
    TwoStroke,
}

section! {
    /// The engine as a whole.
    Engine {
        cylinders: usize,
        #[serde(default)] arrangement: Arrangement,
        #[serde(default)] cycle: Strokes,
        /// Included angle between the banks of a vee.
        bank_angle: Option<Text>,
        /// Angle of each cylinder's bank, for an explicit arrangement.
        bank_angles: Option<Vec<Text>>,
        /// Angle of each crank throw: one a cylinder, or one a crankpin for a vee.
        throw_angles: Option<Vec<Text>>,
        firing_order: Option<Vec<usize>>,
        /// Greatest shaft speed, for piston speed and acceleration.
        speed: Option<Text>,
        /// Intake closing after bottom dead centre, for the trapped compression ratio.
        intake_closing: Option<Text>,
    }
}

section! {
    /// The block: bores, deck, walls.
    Block {
        bore: Each,
        /// The bore to be cut; where given, all figures are for this bore.
        planned_bore: Option<Each>,
        /// Main bearing centre to deck.
        deck_height: Option<Each>,
        /// Distance between the centres of neighbouring bores.
        bore_spacing: Option<Text>,
        /// Greatest cylinder pressure, for the hoop stress in the wall.
        peak_pressure: Option<Text>,
        /// Wall thickness readings around the bores.
        #[serde(default)] walls: Vec<Wall>,
    }
}

section! {
    /// Wall thickness around one bore, read at the present bore.
    Wall {
        cylinder: usize,
        /// Where: from the front of the block, seen from the deck, clockwise.
        angles: Vec<Text>,
        thickness: Vec<Text>,
    }
}

section! {
    /// The crankshaft.
    Crank {
        /// Twice the throw radius.
        stroke: Each,
        main_journal: Option<Each>,
        crankpin: Option<Each>,
        /// Width of each crankpin between its cheeks.
        crankpin_width: Option<Each>,
        /// Width of the thrust journal between its faces.
        thrust_journal_width: Option<Text>,
        /// Width of the thrust bearing over its faces.
        thrust_bearing_width: Option<Text>,
    }
}

section! {
    /// The connecting rods.
    Rods {
        /// Centre to centre.
        length: Each,
        /// Housing bore of the big end, without shells.
        big_end_bore: Option<Each>,
        /// Width of the big end.
        width: Option<Each>,
        /// Bore of the small end, in its bush where it has one.
        small_end_bore: Option<Each>,
        /// Mass of the big end, weighed level with the small end supported.
        big_end_mass: Option<Each>,
        /// The whole rod, to check both ends against.
        mass: Option<Each>,
        /// Mass of the small end, weighed level with the big end supported.
        small_end_mass: Option<Each>,
    }
}

section! {
    /// The pistons.
    #[derive(Default)]
    Pistons {
        /// At the gauge point.
        diameter: Option<Each>,
        /// Pin centre to crown.
        compression_height: Option<Each>,
        /// Dish positive, dome negative.
        crown_volume: Option<Each>,
        /// Offset of the pin from the cylinder axis, positive towards the major thrust side.
        pin_offset: Option<Each>,
        top_land_diameter: Option<Each>,
        /// Crown to the top ring.
        top_land_height: Option<Each>,
        /// Bore of the pin bosses.
        pin_bore: Option<Each>,
        /// Mass of the piston with its rings and locks, without its pin.
        mass: Option<Each>,
    }
}

section! {
    /// The compression rings.
    #[derive(Default)]
    Rings {
        #[serde(default)] top: Ring,
        #[serde(default)] second: Ring,
    }
}

section! {
    /// One compression ring and its groove.
    #[derive(Default)]
    Ring {
        end_gap: Option<Each>,
        /// The bore that the end gap was read in, where it is not `block.bore`.
        gauge_bore: Option<Each>,
        width: Option<Each>,
        groove_width: Option<Each>,
        /// Diameter of the groove's root.
        groove_root_diameter: Option<Each>,
        /// Radial thickness of the ring.
        radial_thickness: Option<Each>,
        /// Tangential force that closes the ring to its gap (ring tension).
        tension: Option<Each>,
    }
}

section! {
    /// The cylinder head and its gasket.
    #[derive(Default)]
    Head {
        chamber_volume: Option<Each>,
        gasket_bore: Option<Text>,
        /// Thickness when clamped.
        gasket_thickness: Option<Text>,
    }
}

section! {
    /// One row of plain bearings.
    #[derive(Default)]
    Bearings {
        /// Housing bore without shells; of the rods, it stands under `rods.big_end_bore`.
        housing_bore: Option<Each>,
        upper_shell: Option<Each>,
        lower_shell: Option<Each>,
        /// Mass of one pair of shells.
        shell_mass: Option<Each>,
        /// Walls of the upper shells that can be had, to choose from.
        #[serde(default)] upper_grades: Vec<Text>,
        /// Walls of the lower shells that can be had, to choose from.
        #[serde(default)] lower_grades: Vec<Text>,
        /// What a half shell stands proud of the housing, along the circumference, under the maker's checking load.
        upper_crush_height: Option<Each>,
        lower_crush_height: Option<Each>,
        /// Bore of the checking block that the crush heights hold for; the housing as measured where nothing is said.
        checking_bore: Option<Text>,
        /// Offset of the bore of eccentric shells from their outside.
        shell_offset: Option<Text>,
        /// The angle from the crown at which the clearance of eccentric shells is wanted, such as "75 deg".
        off_crown_angle: Option<Text>,
        /// Diameters at several angles and stations.
        #[serde(default)] surveys: Vec<Survey>,
    }
}

section! {
    /// Limits of one figure, and whose they are.
    Limit {
        lower: Option<Text>,
        upper: Option<Text>,
        /// What a cut should aim at.
        target: Option<Text>,
        /// Who set them: the parts maker, the engine builder.
        whose: Option<String>,
        /// A rule of thumb, common practice without a source; for ring gaps "naturally aspirated", "boosted" or "nitrous",
        /// for piston-to-wall "forged 4032" or "cast", for rod side clearance "two rods to a pin", for end float "usual".
        rule: Option<String>,
    }
}
