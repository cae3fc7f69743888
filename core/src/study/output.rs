//! The outputs of a design, and in which direction each moves with each figure.

use super::figure::{Figure, ValveFigures, unknown};
use crate::error::Result;
use crate::units::Dimension;
use crate::valvetrain::ValveKind;

/// What a design comes to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[non_exhaustive]
pub enum Output {
    /// Swept volume of all cylinders.
    Displacement,
    /// Swept volume of one cylinder.
    SweptVolume,
    /// Volume above the piston at top dead centre.
    ClearanceVolume,
    /// Static compression ratio.
    CompressionRatio,
    /// Compression ratio by the volume at intake closing.
    TrappedCompressionRatio,
    /// Piston below the deck at top dead centre.
    DeckClearance,
    /// Deck clearance and gasket.
    PistonToHead,
    /// Rod length over stroke.
    RodRatio,
    /// Bore over stroke.
    BoreStrokeRatio,
    /// Twice the travel times revolutions per second.
    MeanPistonSpeed,
    /// Greatest acceleration of the piston, without its sign.
    PeakAcceleration,
    /// Wall left between neighbouring bores.
    WallBetweenBores,
    /// Greatest angle of the rod, the angle of peak side thrust.
    PeakRodAngle,
    /// Reciprocating mass times the greatest acceleration.
    PeakInertiaForce,
    /// First-order shaking force of all cylinders: the greatest amount over a turn, what turns with the crank balanced.
    FirstOrderForce,
    /// Second-order shaking force of all cylinders.
    SecondOrderForce,
    /// Least clearance of the intake valve to the piston over the cycle, along the bore.
    IntakePistonToValve,
    /// The crank angle of that, from overlap top dead centre: the first of equals.
    IntakePistonToValveAngle,
    /// Least clearance of the exhaust valve to the piston over the cycle, along the bore.
    ExhaustPistonToValve,
    /// The crank angle of that, from overlap top dead centre: the first of equals.
    ExhaustPistonToValveAngle,
}

/// How an output moves with a figure, the others held.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Direction {
    /// It has no part in it.
    Still,
    /// It never falls as the figure rises.
    Rises,
    /// It never rises as the figure rises.
    Falls,
    /// Either, or not proved.
    Either,
}

impl Output {
    /// Every output.
    pub const ALL: [Self; 20] = [
        Self::Displacement,
        Self::SweptVolume,
        Self::ClearanceVolume,
        Self::CompressionRatio,
        Self::TrappedCompressionRatio,
        Self::DeckClearance,
        Self::PistonToHead,
        Self::RodRatio,
        Self::BoreStrokeRatio,
        Self::MeanPistonSpeed,
        Self::PeakAcceleration,
        Self::WallBetweenBores,
        Self::PeakRodAngle,
        Self::PeakInertiaForce,
        Self::FirstOrderForce,
        Self::SecondOrderForce,
        Self::IntakePistonToValve,
        Self::IntakePistonToValveAngle,
        Self::ExhaustPistonToValve,
        Self::ExhaustPistonToValveAngle,
    ];

    /// Its name, as a study is written.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Displacement => "displacement",
            Self::SweptVolume => "swept_volume",
            Self::ClearanceVolume => "clearance_volume",
            Self::CompressionRatio => "compression_ratio",
            Self::TrappedCompressionRatio => "trapped_compression_ratio",
            Self::DeckClearance => "deck_clearance",
            Self::PistonToHead => "piston_to_head",
            Self::RodRatio => "rod_ratio",
            Self::BoreStrokeRatio => "bore_stroke_ratio",
            Self::MeanPistonSpeed => "mean_piston_speed",
            Self::PeakAcceleration => "peak_acceleration",
            Self::WallBetweenBores => "wall_between_bores",
            Self::PeakRodAngle => "peak_rod_angle",
            Self::PeakInertiaForce => "peak_inertia_force",
            Self::FirstOrderForce => "first_order_force",
            Self::SecondOrderForce => "second_order_force",
            Self::IntakePistonToValve => "intake_piston_to_valve",
            Self::IntakePistonToValveAngle => "intake_piston_to_valve_angle",
            Self::ExhaustPistonToValve => "exhaust_piston_to_valve",
            Self::ExhaustPistonToValveAngle => "exhaust_piston_to_valve_angle",
        }
    }

    /// Its dimension.
    pub const fn dimension(self) -> Dimension {
        match self {
            Self::Displacement | Self::SweptVolume | Self::ClearanceVolume => Dimension::Volume,
            Self::CompressionRatio
            | Self::TrappedCompressionRatio
            | Self::RodRatio
            | Self::BoreStrokeRatio => Dimension::Ratio,
            Self::DeckClearance
            | Self::PistonToHead
            | Self::WallBetweenBores
            | Self::IntakePistonToValve
            | Self::ExhaustPistonToValve => Dimension::Length,
            Self::MeanPistonSpeed => Dimension::Velocity,
            Self::PeakAcceleration => Dimension::Acceleration,
            Self::PeakInertiaForce | Self::FirstOrderForce | Self::SecondOrderForce => Dimension::Force,
            Self::PeakRodAngle | Self::IntakePistonToValveAngle | Self::ExhaustPistonToValveAngle => {
                Dimension::Angle
            }
        }
    }

    /// The output of a name.
    ///
    /// # Errors
    /// [`crate::Error::UnknownKey`] with the nearest names.
    pub fn parse(name: &str) -> Result<Self> {
        let found = Self::ALL.into_iter().find(|o| o.name() == name);
        found.ok_or_else(|| unknown(name, "output", Self::ALL.map(Self::name)))
    }

    /// How it moves with a figure, where all is an engine: volumes above the piston that are above zero without the deck's. `offset` is whether the pin is offset.
    ///
    /// Proved by property tests over random designs.
    pub(super) fn direction(self, figure: Figure, offset: bool) -> Direction {
        use Direction::{Either, Falls, Rises, Still};
        use Figure as F;
        match (self, figure) {
            (Self::Displacement | Self::SweptVolume, F::Bore | F::Stroke) => Rises,
            (Self::Displacement, F::Cylinders) => Rises,
            (Self::Displacement | Self::SweptVolume | Self::MeanPistonSpeed, F::RodLength) if offset => Falls,
            (Self::Displacement | Self::SweptVolume | Self::MeanPistonSpeed, F::PinOffset) => Either,
            (Self::MeanPistonSpeed, F::Stroke | F::Speed) => Rises,
            (Self::BoreStrokeRatio, F::Bore) | (Self::RodRatio, F::RodLength) => Rises,
            (Self::BoreStrokeRatio | Self::RodRatio, F::Stroke) => Falls,
            (Self::WallBetweenBores, F::BoreSpacing) => Rises,
            (Self::WallBetweenBores, F::Bore) => Falls,
            (Self::DeckClearance | Self::PistonToHead, F::DeckHeight | F::DeckClearance) => Rises,
            (Self::DeckClearance | Self::PistonToHead, F::Stroke | F::RodLength | F::CompressionHeight) => {
                Falls
            }
            (Self::DeckClearance | Self::PistonToHead, F::PinOffset) => Either,
            (Self::PistonToHead, F::GasketThickness) => Rises,
            (
                Self::PeakAcceleration | Self::PeakInertiaForce | Self::PeakRodAngle,
                F::Stroke | F::RodLength,
            ) if offset => Either,
            (Self::PeakAcceleration | Self::PeakInertiaForce, F::Stroke | F::Speed) => Rises,
            (Self::PeakAcceleration | Self::PeakInertiaForce, F::RodLength) => Falls,
            (Self::PeakInertiaForce, F::ReciprocatingMass) => Rises,
            (Self::PeakRodAngle, F::Stroke) => Rises,
            (Self::PeakRodAngle, F::RodLength) => Falls,
            (Self::PeakAcceleration | Self::PeakInertiaForce | Self::PeakRodAngle, F::PinOffset) => Either,
            (Self::FirstOrderForce | Self::SecondOrderForce, F::Speed | F::ReciprocatingMass) => Rises,
            (Self::FirstOrderForce, F::FirstOrderFactor) | (Self::SecondOrderForce, F::SecondOrderFactor) => {
                Rises
            }
            (Self::FirstOrderForce | Self::SecondOrderForce, F::Stroke | F::RodLength) if offset => Either,
            (Self::FirstOrderForce | Self::SecondOrderForce, F::PinOffset) => Either,
            (Self::FirstOrderForce | Self::SecondOrderForce, F::Stroke) => Rises,
            // Of the first order the rod moves the last digits only.
            (Self::FirstOrderForce | Self::SecondOrderForce, F::RodLength) => Falls,
            (Self::ClearanceVolume, F::Bore | F::PinOffset) => Either,
            (Self::ClearanceVolume, figure) => volume_above(figure),
            (Self::CompressionRatio, F::PinOffset) => Either,
            (Self::CompressionRatio, F::Bore | F::Stroke) => Rises,
            (Self::CompressionRatio, F::RodLength) if offset => Either,
            (Self::CompressionRatio, figure) => opposite(volume_above(figure)),
            (Self::TrappedCompressionRatio, F::Bore) => Rises,
            (Self::TrappedCompressionRatio, F::Stroke | F::RodLength | F::PinOffset | F::IntakeClosing) => {
                Either
            }
            (Self::TrappedCompressionRatio, figure) => opposite(volume_above(figure)),
            (Self::IntakePistonToValve, figure) => valve_clearance(ValveKind::Intake, figure, offset),
            (Self::ExhaustPistonToValve, figure) => valve_clearance(ValveKind::Exhaust, figure, offset),
            (Self::IntakePistonToValveAngle, figure) => valve_clearance_angle(ValveKind::Intake, figure),
            (Self::ExhaustPistonToValveAngle, figure) => valve_clearance_angle(ValveKind::Exhaust, figure),
            _ => Still,
        }
    }

    /// The valve whose clearance it is.
    pub(super) const fn valve_of_clearance(self) -> Option<ValveKind> {
        match self {
            Self::IntakePistonToValve => Some(ValveKind::Intake),
            Self::ExhaustPistonToValve => Some(ValveKind::Exhaust),
            _ => None,
        }
    }

    /// Whether the bound at a corner needs a clearance volume above zero, with and without the part above the deck.
    pub(super) const fn is_a_compression_ratio(self) -> bool {
        matches!(self, Self::CompressionRatio | Self::TrappedCompressionRatio)
    }

    /// Whether rounding never turns its direction: every step of its formula has each figure once, so that it is monotone to the last bit.
    pub(super) const fn is_monotone_to_the_bit(self, offset: bool) -> bool {
        let rounds = matches!(
            self,
            Self::CompressionRatio
                | Self::TrappedCompressionRatio
                | Self::ClearanceVolume
                | Self::FirstOrderForce
                | Self::SecondOrderForce
        );
        !offset && !rounds && self.valve_of_clearance().is_none()
    }
}

/// The volume above the piston, the bore aside.
fn volume_above(figure: Figure) -> Direction {
    use Figure as F;
    match figure {
        F::ChamberVolume
        | F::CrownVolume
        | F::CreviceVolume
        | F::GasketBore
        | F::GasketThickness
        | F::DeckHeight
        | F::DeckClearance => Direction::Rises,
        F::Stroke | F::RodLength | F::CompressionHeight => Direction::Falls,
        _ => Direction::Still,
    }
}

/// The least clearance of a valve. At any angle the piston stands lower with a longer stroke and higher with a longer rod where no pin is offset, and the valve is less
/// open with less lift or a shorter duration.
fn valve_clearance(valve: ValveKind, figure: Figure, offset: bool) -> Direction {
    let of = ValveFigures::of(valve);
    match figure {
        Figure::RodLength | Figure::Stroke if offset => Direction::Either,
        Figure::Stroke => Direction::Rises,
        Figure::RodLength => Direction::Falls,
        _ if figure == of.static_clearance || figure == of.valve_angle => Direction::Rises,
        _ if figure == of.lift || figure == of.duration => Direction::Falls,
        _ => valve_clearance_angle(valve, figure),
    }
}

/// The angle of the least clearance of a valve. The gap at the seat is the same at every angle.
fn valve_clearance_angle(valve: ValveKind, figure: Figure) -> Direction {
    let of = ValveFigures::of(valve);
    let moves = [
        Figure::Stroke,
        Figure::RodLength,
        Figure::PinOffset,
        Figure::CamAdvance,
        of.lift,
        of.duration,
        of.centreline,
        of.valve_angle,
    ];
    if moves.contains(&figure) { Direction::Either } else { Direction::Still }
}

fn opposite(direction: Direction) -> Direction {
    match direction {
        Direction::Rises => Direction::Falls,
        Direction::Falls => Direction::Rises,
        other => other,
    }
}
