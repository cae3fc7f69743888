//! What kind of figure each is: gaps and clearances, what a figure made on asking needs, why nothing mends it, where it ends by nature.

use super::terms::What;

impl What {
    /// Whether it is a gap, a wall or an interference, which no engine has below zero.
    pub(super) const fn is_a_gap(self) -> bool {
        matches!(
            self,
            Self::WallThickness
                | Self::WallBetweenBores
                | Self::PressInterference
                | Self::ValveToPocketWall
                | Self::ValveToBore
                | Self::ValveToValve
                | Self::CoilBindMargin
                | Self::RetainerToSeal
        ) || (self.is_a_clearance() && !matches!(self, Self::DeckClearance))
    }

    /// Whether it is a clearance or an interference, which changes with temperature.
    pub(super) const fn is_a_clearance(self) -> bool {
        matches!(
            self,
            Self::DeckClearance
                | Self::PistonToHead
                | Self::MainBearingClearance
                | Self::MainBearingLeastClearance
                | Self::MainBearingOffCrown
                | Self::MainBearingCrush
                | Self::RodBearingClearance
                | Self::RodBearingLeastClearance
                | Self::RodBearingOffCrown
                | Self::RodBearingCrush
                | Self::PistonToWall
                | Self::PinToBoss
                | Self::PinToRod
                | Self::PinInterference
                | Self::TopRingGap
                | Self::SecondRingGap
                | Self::TopRingSideClearance
                | Self::SecondRingSideClearance
                | Self::TopRingBackClearance
                | Self::SecondRingBackClearance
                | Self::CrankEndFloat
                | Self::RodSideClearance
                | Self::IntakeValveToPiston
                | Self::ExhaustValveToPiston
        )
    }

    /// Whether it exists in every state of temperatures.
    pub(super) const fn has_states(self) -> bool {
        self.is_a_clearance()
            || matches!(
                self,
                Self::PressInterference
                    | Self::PressPressure
                    | Self::PressInnerStress
                    | Self::PressOuterStress
                    | Self::PressHoldingForce
                    | Self::PressHoldingTorque
            )
    }

    /// What a figure that is made only where it is asked for needs.
    pub(super) const fn needs(self) -> &'static str {
        match self {
            Self::MainBearingCrush => "main_bearings.upper_crush_height and lower_crush_height",
            Self::RodBearingCrush => "rod_bearings.upper_crush_height and lower_crush_height",
            Self::MainBearingOffCrown => "main_bearings.shell_offset and off_crown_angle",
            Self::RodBearingOffCrown => "rod_bearings.shell_offset and off_crown_angle",
            Self::MainBearingOutOfRound | Self::MainBearingTaper | Self::MainBearingLeastClearance => {
                "main_bearings.surveys"
            }
            Self::RodBearingOutOfRound | Self::RodBearingTaper | Self::RodBearingLeastClearance => {
                "rod_bearings.surveys"
            }
            Self::PinToBoss => "pistons.pin_bore and pins.diameter",
            Self::PinToRod => "rods.small_end_bore and pins.diameter, with floating pins",
            Self::PinInterference => "rods.small_end_bore and pins.diameter, with pins.fit pressed",
            Self::TopRingBackClearance => "rings.top.groove_root_diameter and radial_thickness",
            Self::SecondRingBackClearance => "rings.second.groove_root_diameter and radial_thickness",
            Self::TopRingWallPressure => "rings.top.tension and width",
            Self::SecondRingWallPressure => "rings.second.tension and width",
            Self::ReciprocatingMass => "pistons.mass, pins.mass and rods.small_end_mass",
            _ => "entries that the document does not have, or stands in a table of its own",
        }
    }

    /// Why nothing that is cut brings it in, where it has no operation.
    pub(super) const fn without_cut(self) -> &'static str {
        match self {
            Self::ResidualUnbalance => {
                "drilling or adding mass: the drill plan of the balance section, where there is one; it needs balance.sites"
            }
            Self::BobWeight
            | Self::ReciprocatingMass
            | Self::RotatingMass
            | Self::DesignUnbalance
            | Self::ShakingForceFirst
            | Self::ShakingMomentFirst => {
                "other masses or counterweights: the balance section says how much to take off which part, and which counterweights would serve"
            }
            _ => "no operation that swept knows changes this figure; another part, or the maker's advice",
        }
    }

    /// What it means to be at its natural limit.
    pub(super) const fn natural_limit(self) -> &'static str {
        match self {
            Self::TopRingGap | Self::SecondRingGap => "geometry: at zero the ring butts",
            Self::PistonToHead => "geometry: below zero the piston meets the head",
            Self::IntakeValveToPiston | Self::ExhaustValveToPiston => {
                "geometry: below zero the valve meets the piston"
            }
            Self::CoilBindMargin => "geometry: below zero the spring binds",
            Self::PressInterference | Self::PinInterference => "geometry: below zero the fit is loose",
            Self::BoltProofShare => "the proof load",
            Self::BoltSeparationMargin => "mechanics: at one the joint opens",
            Self::MainBearingCrush | Self::RodBearingCrush => "geometry: below zero the shells are loose",
            _ => "geometry: below zero the parts overlap",
        }
    }
}
