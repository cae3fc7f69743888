//! Lash, cold and hot.

use crate::error::{Result, finite, finite_positive, non_negative};
use crate::units::{Dimensioned, Length, Ratio};

/// How much the parts grow from cold to hot, each a length of its own; below zero where it shrinks.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct TrainGrowths {
    /// Block, gasket and head, from the cam to the rocker's pivot: opens the lash by the ratio.
    pub engine: Length,
    /// Lifter and pushrod together: closes the lash by the ratio.
    pub pushrod: Length,
    /// Head, from the valve's seat to the rocker's pivot: opens the lash.
    pub head: Length,
    /// Valve, from its seat to the stem tip: closes the lash.
    pub valve: Length,
}

/// Lash at the valve when hot: cold lash + ratio (engine - pushrod) + head - valve.
///
/// The ratio is that of the rocker on the base circle, [`Train::derivatives`](super::Train::derivatives) at no lift. With the lifter
/// on the valve itself the ratio is 1, and the pivot is the cam's own axis: `engine` and `pushrod` are the growths between cam and
/// lifter, `head` that from the seat to the cam. Below zero the valve is held off its seat by so much.
///
/// # Errors
/// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a cold lash below zero or a ratio not above zero.
///
/// # Source
/// Plane kinematics of the parts' growths; common practice, no source.
pub fn hot_lash(cold: Length, ratio: Ratio, growths: TrainGrowths) -> Result<Length> {
    let cold = non_negative("cold lash", cold)?;
    let ratio = finite_positive("rocker ratio", ratio)?.si();
    let opens = finite("growth of the engine from cam to pivot", growths.engine)?
        - finite("growth of lifter and pushrod", growths.pushrod)?;
    let head = finite("growth of the head from seat to pivot", growths.head)?;
    let valve = finite("growth of the valve", growths.valve)?;
    Ok(cold + opens * ratio + head - valve)
}
