//! Valve train: timing, lift, followers, rockers, springs, breathing, and the clearance of valves to pistons.
//!
//! Cam degrees are never crank degrees: an angle of the cam is a [`CamAngle`], measured from the nose of the lobe; an
//! [`Angle`](crate::units::Angle) is an angle of the crank, measured from overlap top dead centre (the one between the exhaust and
//! the intake stroke), positive in running direction.

pub mod angle;
pub mod breathing;
pub mod follower;
pub mod lift;
pub mod pocket;
pub mod rocker;
mod scan;
pub mod spring;
pub mod timing;
pub mod wheel;

pub use angle::CamAngle;
pub use breathing::{FlowStage, PoppetValve};
pub use follower::{FlatFollower, FlatFollowerFace, PressureAngle, ProfilePoint, RollerFollower};
pub use lift::{Extreme, Extremes, Flank, Lift, LiftCurve, MeasuredLift, Programme, Ramp, TableFit};
pub use rocker::{LifterSeat, Rocker, RockerArm, Sweep, Train, TrainDerivatives, TrainGrowths, hot_lash};
pub use spring::{HelicalSpring, InstalledSpring, SpringControl, SpringSet, TrainMasses, ValveSpring};
pub use timing::{CamTiming, ChainDrive, OffsetPart, ValveEvents, ValveKind, ValveTiming};
pub use wheel::{MidpointAgainst, WheelFit, WheelReadings, WheelUncertainty, WheelZero};
