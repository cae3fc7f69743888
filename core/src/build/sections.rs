//! Sections of a build document beyond the bare measurements: pins, materials, temperatures, bolts, fits, matching.

use super::document::{Each, Limit, Text, section};
use schemars::JsonSchema;
use std::collections::BTreeMap;

/// How the piston pin is held.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, serde::Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub(super) enum PinFit {
    /// Free in the bosses and in the rod.
    #[default]
    Floating,
    /// Pressed into the rod.
    Pressed,
}

section! {
    /// The piston pins.
    #[derive(Default)]
    Pins {
        diameter: Option<Each>,
        #[serde(default)] fit: PinFit,
        mass: Option<Each>,
    }
}

section! {
    /// What the parts are made of: the name of a material, or a coefficient of expansion, such as "11.5 um/m/K +/- 0.5 um/m/K".
    #[derive(Default)]
    Materials {
        /// The temperature at which everything was measured; 20 degC where nothing is said.
        measured_at: Option<Text>,
        block: Option<Text>,
        /// Cylinder walls or liners; as the block where nothing is said.
        bores: Option<Text>,
        /// Main bearing housings; as the block where nothing is said.
        main_housings: Option<Text>,
        crank: Option<Text>,
        rods: Option<Text>,
        shells: Option<Text>,
        pistons: Option<Text>,
        pins: Option<Text>,
        rings: Option<Text>,
    }
}

section! {
    /// One state of temperatures.
    State {
        block: Option<Text>,
        /// As the block where nothing is said.
        bores: Option<Text>,
        /// As the block where nothing is said.
        main_housings: Option<Text>,
        crank: Option<Text>,
        rods: Option<Text>,
        /// As the crank where nothing is said.
        shells: Option<Text>,
        /// Crown, lands and grooves of the pistons.
        crowns: Option<Text>,
        /// Skirt and pin bosses of the pistons.
        skirts: Option<Text>,
        pins: Option<Text>,
        top_rings: Option<Text>,
        /// As the top rings where nothing is said.
        second_rings: Option<Text>,
        /// Limits of the figures in this state, by their names.
        #[serde(default)] limits: BTreeMap<String, Limit>,
    }
}

/// What a survey measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub(super) enum Surveyed {
    /// The housing bore without shells, cap torqued.
    Housing,
    /// The bore with the shells fitted, cap torqued.
    Fitted,
    /// The journal.
    Journal,
}

section! {
    /// Diameters of one bearing at several angles and stations.
    Survey {
        /// Which, from 1.
        bearing: usize,
        of: Surveyed,
        /// From the parting line.
        angles: Vec<Text>,
        /// Along the axis.
        stations: Vec<Text>,
        /// A row for each station, in it a diameter for each angle.
        diameters: Vec<Vec<Text>>,
    }
}

section! {
    /// One bolt, or a group of equal bolts.
    Bolt {
        name: String,
        /// Such as "M10x1.25" or "7/16-20".
        thread: String,
        /// Such as "10.9".
        property_class: Option<String>,
        /// Instead of a property class.
        proof_stress: Option<Text>,
        thread_friction: Option<Text>,
        head_friction: Option<Text>,
        /// Mean diameter of the bearing face under the head.
        head_diameter: Option<Text>,
        torque: Option<Text>,
        stretch: Option<Text>,
        /// Turn past snug.
        turn: Option<Text>,
        /// Lengths of the steps of the shank between the faces; what the head and the engaged thread give comes on top, some 0.4 diameters each
        /// (VDI 2230, from memory): without it the preload from a stretch or a turn comes out too high.
        #[serde(default)] step_lengths: Vec<Text>,
        /// Diameters of these steps; "thread" for a stretch that carries on the stress area.
        #[serde(default)] step_diameters: Vec<Text>,
        young: Option<Text>,
        /// Stiffness of the clamped parts over that of the bolt.
        parts_over_bolt_stiffness: Option<Text>,
        /// Outer load on this one bolt.
        outer_load: Option<Text>,
        /// Between the bolt and the normal of the parting face.
        angle: Option<Text>,
        /// Limits of the figures of this bolt, by their names.
        #[serde(default)] limits: BTreeMap<String, Limit>,
    }
}

section! {
    /// The temperatures of a press fit in one state.
    PressState {
        inner: Text,
        outer: Text,
    }
}

section! {
    /// Two parts pressed or shrunk together: a seat, guide, liner, bush or pin.
    PressFit {
        name: String,
        /// Bore of the outer part, free.
        bore: Text,
        /// Outside of the inner part, free.
        outside: Text,
        /// Bore of the inner part; absent for a solid one.
        inner_bore: Option<Text>,
        /// Outside of the outer part, as far as its metal helps.
        outer_outside: Text,
        /// Length of the contact.
        length: Option<Text>,
        friction: Option<Text>,
        inner_material: String,
        outer_material: String,
        /// Yield strength, for a limit on the stress.
        inner_yield: Option<Text>,
        outer_yield: Option<Text>,
        /// The gap on the diameter that assembly by heating needs.
        assembly_gap: Option<Text>,
        /// Mean coefficient of expansion of the inner part from the cold bath to 20 degC, for assembly by cooling: it is well below the one when warm.
        cold_expansion: Option<Text>,
        /// Temperatures in the states, by their names.
        #[serde(default)] states: BTreeMap<String, PressState>,
        /// Limits of the figures of this fit, by their names.
        #[serde(default)] limits: BTreeMap<String, Limit>,
    }
}

section! {
    /// A hole and a shaft against a fit by ISO 286.
    Fit {
        name: String,
        /// Such as "22 H6/g5".
        fit: String,
        hole: Option<Text>,
        shaft: Option<Text>,
    }
}

section! {
    /// Which part goes where: what is to be evened out, in order.
    Matching {
        /// Of deck_clearance, piston_to_wall, reciprocating_mass, rod_bearing_clearance.
        order: Vec<String>,
    }
}
