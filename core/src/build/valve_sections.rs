//! The valves section of a build document: cams, followers, rockers, valves, pockets, springs.

use super::document::{Each, Text, section};
use schemars::JsonSchema;

section! {
    /// The valve train. All figures of a cam are for one lobe of its kind; intake and exhaust alike unless written apart.
    Valves {
        intake: Valve,
        exhaust: Valve,
        /// The lift, at the valve, at which events, duration and overlap are stated.
        checking_lift: Text,
        /// Whether both lobes are on one camshaft, so that setting it moves both; two camshafts are set apart.
        #[serde(default = "yes")] one_camshaft: bool,
        /// What the rod stretches at speed, for the clearance of the valves to the piston.
        rod_stretch: Option<Text>,
        /// What bearings, pin and rock of the piston give, for the same.
        bearing_and_rock: Option<Text>,
        /// Advances of the cam to look at, in crank degrees from as installed, such as ["-6 deg", "6 deg"].
        advance_range: Option<[Text; 2]>,
        /// Temperature of the air at the intake valve, for the Mach index.
        air_temperature: Option<Text>,
        /// Mean flow coefficient of the intake valve over its lift, for the Mach index.
        flow_coefficient: Option<Text>,
        /// The angle about the cylinder axis between the planes in which the two stems lean; 180 deg where they lean opposite ways.
        turned: Option<Text>,
        /// The chain or belt of an overhead cam, for what milling and stretch do to its phase.
        drive: Option<Drive>,
    }
}

section! {
    /// A chain or belt straight from crank to cam. A cam that was degreed as it stands has these effects in its readings.
    Drive {
        chain_pitch: Text,
        crank_teeth: u32,
        /// Twice those of the crank.
        cam_teeth: u32,
        /// Distance of the centres of crank and cam before milling.
        centre_distance: Text,
        /// What was taken off the deck and the head's face together; below zero for a thicker gasket.
        milled: Option<Text>,
        /// By how much the tight span has grown longer.
        stretch: Option<Text>,
    }
}

fn yes() -> bool {
    true
}

section! {
    /// One kind of valve, with its lobe.
    Valve {
        lobe: Lobe,
        /// Crank degrees of the nose from overlap top dead centre: after it for the intake, before it for the exhaust. Or `wheel`.
        centreline: Option<Text>,
        /// The cam card's centreline, counted alike, to compare with.
        ground_centreline: Option<Text>,
        /// Readings of a degree wheel, instead of the centreline.
        wheel: Option<Wheel>,
        /// Valve lift over follower lift; 1 where nothing is said.
        rocker_ratio: Option<Text>,
        /// The rocker's geometry, instead of a ratio.
        rocker: Option<Rocker>,
        /// Lash at the valve, cold; 0 where nothing is said.
        lash: Option<Text>,
        /// Lash at the valve in the states of temperatures; as cold where nothing is said. Without states it changes nothing.
        hot_lash: Option<Text>,
        /// How many of these valves each cylinder has.
        #[serde(default = "one")] count: usize,
        head_diameter: Option<Text>,
        /// Height of the rim above the lower face of the head.
        margin: Option<Text>,
        /// Angle of the stem to the cylinder axis; 0 where nothing is said.
        tilt: Option<Text>,
        /// Place of the centre of the head's lower face when seated, from the bore axis in the plane of the tilt: positive on the side that the head
        /// moves to as it opens, so below zero for stems in a V that opens upward; 0 where nothing is said.
        offset: Option<Text>,
        /// The same, square to that plane.
        sideways: Option<Text>,
        /// Height of the lower face's centre above the head's face when seated; negative where it stands proud.
        height: Option<Text>,
        pocket: Option<Pocket>,
        seat_width: Option<Text>,
        /// Angle of the seat to the plane of the head, such as "45 deg".
        seat_angle: Option<Text>,
        throat_diameter: Option<Text>,
        stem_diameter: Option<Text>,
        /// From the retainer to the seal or guide, valve closed.
        retainer_to_seal: Option<Text>,
        #[serde(default)] springs: Vec<Spring>,
        moving: Option<Moving>,
    }
}

fn one() -> usize {
    1
}

section! {
    /// A lobe: a programme with its figures, or a table of lifts. Angles are of the cam.
    Lobe {
        /// "3-4-5", "4-5-6-7", "cycloidal", "harmonic", "polynomial", or "table".
        programme: String,
        /// Lift of the follower at the nose.
        lift: Option<Text>,
        /// Cam angle of the opening flank, without its ramp.
        opening: Option<Text>,
        /// Cam angle of the closing flank; as the opening one where nothing is said.
        closing: Option<Text>,
        /// Cam angle for which the nose stands still.
        dwell: Option<Text>,
        /// Ramp at the foot of each flank: its height and its cam angle.
        ramp_height: Option<Text>,
        ramp_length: Option<Text>,
        /// Exponents of a polynomial lobe, such as [2, 10, 18, 26].
        #[serde(default)] exponents: Vec<u8>,
        /// Of a table: cam angles and the follower's lifts there.
        #[serde(default)] angles: Vec<Text>,
        #[serde(default)] lifts: Vec<Text>,
        /// Standard deviation of the readings of a table: it is smoothed by as much.
        deviation: Option<Text>,
        /// "flat" or "roller", to check the cam's profile.
        follower: Option<String>,
        base_circle_radius: Option<Text>,
        roller_radius: Option<Text>,
    }
}

section! {
    /// Readings of a degree wheel at several lifts, as the trade writes events: opening before its dead centre, closing after its.
    Wheel {
        lifts: Vec<Text>,
        openings: Vec<Text>,
        closings: Vec<Text>,
        /// What the wheel reads with the piston at top dead centre, positive past its zero; nothing where it was set there.
        zero: Option<Text>,
        /// Or what it reads with the piston at a positive stop, before top dead centre and after it.
        stop_before: Option<Text>,
        stop_after: Option<Text>,
    }
}

section! {
    /// A rocker in its plane; design figures, valve closed.
    Rocker {
        /// From the pivot to the centre of the pad's arc or of the roller, and its radius.
        tip_arm: Text,
        tip_radius: Text,
        /// From the pivot to the centre of the pushrod's cup.
        cup_arm: Text,
        /// Between the two arms.
        included_angle: Text,
        /// From the pivot to the stem's axis.
        stem_across: Text,
        /// Of the pivot above the stem's tip.
        pivot_height: Text,
        /// Lower end of the pushrod: beside the pivot, negative away from the valve, and above the stem's tip, negative below it.
        lifter_across: Text,
        lifter_height: Text,
        /// By which the lifter's axis leans from the valve's, towards the valve as it rises.
        lifter_lean: Option<Text>,
        /// The pushrod's length, where the pivot is set to it along its stud.
        pushrod: Option<Text>,
    }
}

section! {
    /// A valve pocket in the crown.
    Pocket {
        /// Place of its centre, as for the valve; below the head's centre where nothing is said.
        offset: Option<Text>,
        sideways: Option<Text>,
        diameter: Text,
        /// Below its centre in the crown plane, along the cylinder axis; one for all or one for each cylinder.
        depth: Each,
        /// Angle of the floor to the crown plane; the stem's where nothing is said.
        floor_angle: Option<Text>,
    }
}

section! {
    /// A valve spring; of a nest, each for itself.
    Spring {
        /// Valve closed.
        installed_height: Text,
        /// A reading of the spring tester: the load at a height.
        test_height: Text,
        test_load: Text,
        /// The rate; or a second reading.
        rate: Option<Text>,
        second_height: Option<Text>,
        second_load: Option<Text>,
        /// Height with all coils closed; or from wire and coils, with ground ends.
        solid_height: Option<Text>,
        wire_diameter: Option<Text>,
        total_coils: Option<Text>,
        /// Mean diameter of the coils and the coils that move, for the stress and the natural frequency.
        mean_diameter: Option<Text>,
        active_coils: Option<Text>,
        mass: Option<Text>,
    }
}

section! {
    /// What moves with a valve, for the speed at which it leaves the cam.
    Moving {
        valve: Text,
        retainer_and_locks: Text,
        /// The rocker's moment of inertia about its pivot over the square of its arm to the stem, as a mass.
        rocker: Option<Text>,
        lifter_and_pushrod: Option<Text>,
    }
}
