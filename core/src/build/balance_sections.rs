//! The balance section of a build document: positions, counterweights, readings of a balancing machine, sites to drill.

use super::document::{Text, section};
use schemars::JsonSchema;

section! {
    /// How the crank is balanced.
    Balance {
        /// Where the middle of each crankpin stands along the crank, from any point, the same for all positions here.
        pin_positions: Vec<Text>,
        /// How far each cylinder's axis stands from the middle of its crankpin, where two rods share one.
        rod_offsets: Option<Vec<Text>>,
        /// Share of the reciprocating mass in the bob weight; the best for the layout where nothing is said.
        share: Option<Text>,
        /// Oil that is trapped in each crankpin.
        oil: Option<Text>,
        /// Where correction is possible: two planes.
        first_plane: Option<Text>,
        second_plane: Option<Text>,
        /// Where the two bearings stand that carry the crank on the machine or in the block, to share the permissible unbalance out.
        first_bearing: Option<Text>,
        second_bearing: Option<Text>,
        centre_of_mass: Option<Text>,
        /// Mass of the crank as it is balanced, bob weights included.
        rotor_mass: Option<Text>,
        /// Balance quality grade, such as "G 16", for engine.speed.
        grade: Option<String>,
        /// Permissible residual unbalance of each plane, the maker's, instead of a grade.
        permissible: Option<Text>,
        #[serde(default)] counterweights: Vec<Counterweight>,
        /// What else turns: damper and flexplate weights, balance shafts.
        #[serde(default)] external: Vec<External>,
        /// What a balancing machine read with the bob weights on.
        readings: Option<MachineReadings>,
        /// Trial runs, instead of readings: what they find is then the reading.
        trials: Option<Trials>,
        /// The most that may come off a piston, or off either end of a rod, to make all as light as the lightest.
        most_off: Option<Text>,
        /// That of one kind of part, where it differs.
        piston_most_off: Option<Text>,
        big_end_most_off: Option<Text>,
        small_end_most_off: Option<Text>,
        #[serde(default)] sites: Vec<Site>,
        /// Holes that were drilled since the crank was bare, with what they did already in the readings.
        #[serde(default)] drilled: Vec<Drilled>,
        /// The most holes of a plan; 6 where nothing is said.
        most_holes: Option<usize>,
    }
}

section! {
    /// A counterweight: its unbalance, or a sector of even thickness.
    Counterweight {
        position: Text,
        /// The middle of it, with the crank at zero.
        angle: Text,
        /// Net of the crankpin and the webs beside it: what the bare cheek is heavy by at this angle.
        unbalance: Option<Text>,
        /// Or the sector of even thickness that is left when pin and webs are set against it.
        inner_radius: Option<Text>,
        outer_radius: Option<Text>,
        included_angle: Option<Text>,
        thickness: Option<Text>,
        /// "iron" or "steel".
        metal: Option<String>,
    }
}

section! {
    /// An unbalance that turns with the crank or at a multiple of its speed.
    External {
        name: String,
        position: Text,
        angle: Text,
        unbalance: Text,
        /// 1 with the crank, 2 at twice its speed, negative against it.
        turns: i32,
    }
}

section! {
    /// What a balancing machine read in the two planes: heavy at.
    MachineReadings {
        first: Heavy,
        second: Heavy,
    }
}

section! {
    /// An unbalance and where it is heavy.
    Heavy {
        amount: Text,
        /// From the crank's zero, positive in running direction.
        heavy_at: Text,
    }
}

section! {
    /// Trial runs with two sensors, for both planes.
    Trials {
        /// How phases are counted: "lead", in the sense of the weights' angles, or "lag", against it.
        phase: String,
        /// Expanded, k = 2, of every amplitude.
        relative_uncertainty: Option<Text>,
        /// Expanded, k = 2, of every phase.
        phase_uncertainty: Option<Text>,
        /// Without trial weights, both sensors.
        baseline: Vec<Vibration>,
        runs: Vec<Run>,
    }
}

section! {
    /// What one sensor read; the amplitude is a number, in one unit for all.
    Vibration {
        amplitude: Text,
        phase: Text,
    }
}

section! {
    /// One run with a trial weight.
    Run {
        /// 1 or 2.
        plane: usize,
        weight: Text,
        /// Where it was put, from the crank's zero, positive in running direction.
        at: Text,
        readings: Vec<Vibration>,
        /// Whether it stays on.
        #[serde(default)] stays: bool,
    }
}

section! {
    /// Where holes may be drilled, or slugs of heavy alloy pressed in.
    Site {
        /// The counterweight; sites of one name share its metal.
        cheek: String,
        position: Text,
        /// One end of its metal, in running direction from the crank's zero.
        from: Text,
        to: Text,
        angle_step: Text,
        /// Whether the holes are parallel to the crank; else they go from outside to its axis.
        #[serde(default)] axial: bool,
        /// Of the mouth, or of the axis of an axial hole.
        radius: Text,
        /// Least metal between holes, and to either end.
        web: Text,
        /// "iron" or "steel".
        metal: String,
        width: Option<Text>,
        #[serde(default)] drills: Vec<Text>,
        /// Angle of the drill's point, under a slug too; 118 deg where nothing is said, 180 deg for a flat bottom or a bore right through.
        point: Option<Text>,
        least_depth: Option<Text>,
        greatest_depth: Option<Text>,
        depth_step: Option<Text>,
        /// Slugs instead of drills: diameters, and as many lengths.
        #[serde(default)] slug_diameters: Vec<Text>,
        #[serde(default)] slug_lengths: Vec<Text>,
        /// Density of the slugs in g/cm3, 17 to 18.5.
        slug_density: Option<Text>,
    }
}

section! {
    /// A hole that is there already.
    Drilled {
        cheek: String,
        position: Text,
        angle: Text,
        #[serde(default)] axial: bool,
        radius: Text,
        diameter: Text,
        depth: Text,
    }
}
