//! The outputs of a design, and in which direction each moves with each figure.

use super::figure::{Figure, unknown};
use crate::error::Result;
use crate::units::Dimension;

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
    pub const ALL: [Self; 16] = [
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
            Self::DeckClearance | Self::PistonToHead | Self::WallBetweenBores => Dimension::Length,
            Self::MeanPistonSpeed => Dimension::Velocity,
            Self::PeakAcceleration => Dimension::Acceleration,
            Self::PeakRodAngle => Dimension::Angle,
            Self::PeakInertiaForce | Self::FirstOrderForce | Self::SecondOrderForce => Dimension::Force,
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
            _ => Still,
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
        !offset && !rounds
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

fn opposite(direction: Direction) -> Direction {
    match direction {
        Direction::Rises => Direction::Falls,
        Direction::Falls => Direction::Rises,
        other => other,
    }
}
