//! What the intake valve leaves open: curtain, gas speed, Mach index, runner, volume trapped at its closing.

use crate::error::{Result, finite_positive, non_negative, out_of_range};
use crate::geometry::{Cylinder, trapped_compression_ratio};
use crate::solve::bracketed;
use crate::units::{
    Angle, Area, Dimensioned, Length, Ratio, ThermodynamicTemperature, Velocity, Volume, written,
};
use core::f64::consts::{FRAC_PI_2, PI};

#[cfg(test)]
mod tests;

/// Specific gas constant of dry air, J/(kg K).
pub const GAS_CONSTANT_OF_AIR: f64 = 287.052_87; // ISO 2533:1975, standard atmosphere, from memory

/// Ratio of the specific heats of air.
pub const HEAT_RATIO_OF_AIR: f64 = 1.4; // ISO 2533:1975, standard atmosphere, from memory

/// Curtain area, the plain figure: pi x diameter x lift.
///
/// # Errors
/// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a diameter not above zero or a lift below zero.
///
/// # Source
/// Heywood, Internal Combustion Engine Fundamentals (1988), eq. 6.15 (from memory).
pub fn curtain_area(diameter: Length, lift: Length) -> Result<Area> {
    let diameter = finite_positive("valve diameter", diameter)?;
    Ok(diameter * non_negative("lift", lift)? * PI)
}

/// A poppet valve on its conical seat, and the throat behind it.
///
/// Of a meridian cut: the seat face runs from the inner seat edge outwards by the seat width w (measured radially) and towards the cylinder by w tan(b), with
/// the seat angle b from the plane of the head. At the outer edge of its face the valve has the head diameter D, so the inner edge has D - 2 w and the mean seat
/// diameter is D - w.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PoppetValve {
    head: Length,
    seat_width: Length,
    seat_angle: Angle,
    port: Length,
    stem: Length,
}

/// What is the narrowest place of an open valve.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum FlowStage {
    /// The frustum at right angles to the seat, from the inner edge of the valve's face.
    Seat,
    /// The frustum from the inner edge of the valve's face to the outer edge of the seat.
    SeatEdges,
    /// The throat: the port less the stem.
    Throat,
}

impl PoppetValve {
    /// From the head diameter (at the outer edge of the seat face), the radial seat width, the seat angle from the plane of the head, and the diameters of port and
    /// stem.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] unless the diameters are above zero, stem < port <= head, 0 <= seat width < head / 2 and the seat
    /// angle is from 0 to below 90 deg.
    pub fn new(
        head: Length,
        seat_width: Length,
        seat_angle: Angle,
        port: Length,
        stem: Length,
    ) -> Result<Self> {
        let head = finite_positive("valve head diameter", head)?;
        let seat_width = non_negative("seat width", seat_width)?;
        if seat_width * 2.0 >= head {
            let allowed = format!("below half the head diameter, {}", written(head / 2.0));
            return Err(out_of_range("seat width", seat_width, allowed));
        }
        let seat_angle = non_negative("seat angle", seat_angle)?;
        if seat_angle.si() >= FRAC_PI_2 {
            return Err(out_of_range("seat angle", seat_angle, "from 0 to below 90 deg"));
        }
        let port = finite_positive("port diameter", port)?;
        if port > head {
            return Err(out_of_range(
                "port diameter",
                port,
                format!("at most the head diameter, {}", written(head)),
            ));
        }
        let stem = finite_positive("stem diameter", stem)?;
        if stem >= port {
            return Err(out_of_range(
                "stem diameter",
                stem,
                format!("below the port diameter, {}", written(port)),
            ));
        }
        Ok(Self { head, seat_width, seat_angle, port, stem })
    }

    /// Head diameter, at the outer edge of the seat face.
    pub fn head_diameter(&self) -> Length {
        self.head
    }

    /// Mean seat diameter: head diameter - seat width.
    pub fn mean_seat_diameter(&self) -> Length {
        self.head - self.seat_width
    }

    /// Throat area: pi/4 (port^2 - stem^2).
    ///
    /// # Source
    /// Heywood (1988), eq. 6.9 (from memory).
    pub fn throat_area(&self) -> Area {
        (self.port - self.stem) * (self.port + self.stem) * (PI / 4.0)
    }

    /// The lift at which the plain curtain of the head diameter is as large as the throat: throat area / (pi D). A quarter of the diameter for a throat of the head's
    /// size without a stem.
    ///
    /// # Source
    /// Heywood (1988), section 6.3.2 (from memory).
    pub fn lift_for_curtain(&self) -> Length {
        self.throat_area() / (self.head * PI)
    }

    /// The lift up to which the narrowest frustum stands at right angles to the seat: w / (sin(b) cos(b)); none for a flat seat, where it always does.
    ///
    /// # Source
    /// Heywood (1988), eq. 6.7 (from memory).
    pub fn end_of_seat_stage(&self) -> Option<Length> {
        let (sin, cos) = self.seat_angle.si().sin_cos();
        (sin > 0.0).then(|| self.seat_width / (sin * cos))
    }

    /// The smallest area between valve and seat at a lift, SI, the throat left out.
    ///
    /// Seat stage: the two faces are parallel, L cos(b) apart. The perpendicular from the valve's inner edge, radius (D - 2 w) / 2, meets the seat further out by
    /// L sin(b) cos(b), so the frustum's area is pi L cos(b) (D - 2 w + L sin(b) cos(b)). It ends where that foot reaches the outer edge of the seat.
    /// Then the side of the frustum runs from edge to edge, sqrt(w^2 + (L - w tan(b))^2) on the mean seat diameter.
    fn frustum(&self, lift: f64) -> f64 {
        let (sin, cos) = self.seat_angle.si().sin_cos();
        let (head, width) = (self.head.si(), self.seat_width.si());
        let outwards = lift * sin * cos;
        if outwards <= width {
            return PI * lift * cos * (head - 2.0 * width + outwards);
        }
        let rise = lift - width * sin / cos;
        PI * (head - width) * (width * width + rise * rise).sqrt()
    }

    /// The minimum flow area at a lift: the smallest of the frustum between the faces, the frustum between their edges, and the throat.
    ///
    /// Up to L = w / (sin(b) cos(b)): pi L cos(b) (D - 2 w + L/2 sin(2 b)). Above: pi (D - w) sqrt((L - w tan(b))^2 + w^2). Never more than the throat,
    /// pi/4 (port^2 - stem^2).
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a lift below zero.
    ///
    /// # Source
    /// Heywood (1988), eqs. 6.7 to 6.9 (from memory); the frusta derived anew.
    ///
    /// # Example
    /// ```
    /// use swept::{units::parse, valvetrain::breathing::PoppetValve};
    /// let valve = PoppetValve::new(parse("46 mm")?, parse("1.5 mm")?, parse("45 deg")?, parse("40 mm")?, parse("7 mm")?)?;
    /// let area = valve.minimum_area(parse("2 mm")?)?;
    /// assert!((area.value * 1e6 - 195.486).abs() < 1e-3);
    /// # Ok::<(), swept::Error>(())
    /// ```
    pub fn minimum_area(&self, lift: Length) -> Result<Area> {
        let lift = non_negative("lift", lift)?.si();
        Ok(Area::from_si(self.frustum(lift).min(self.throat_area().si())))
    }

    /// Which place is the narrowest at a lift.
    ///
    /// # Errors
    /// As [`PoppetValve::minimum_area`].
    pub fn stage(&self, lift: Length) -> Result<FlowStage> {
        let lift = non_negative("lift", lift)?;
        if self.frustum(lift.si()) >= self.throat_area().si() {
            return Ok(FlowStage::Throat);
        }
        let past = self.end_of_seat_stage().is_some_and(|end| lift > end);
        Ok(if past { FlowStage::SeatEdges } else { FlowStage::Seat })
    }

    /// The lift from which the throat is the narrowest place: more lift opens nothing more.
    ///
    /// # Errors
    /// [`crate::Error::NoSolution`], which no valve that its constructor accepts gives.
    ///
    /// # Source
    /// Heywood (1988), eq. 6.9 (from memory); found by [`bracketed`] from the frusta, so that it also holds where the throat is reached in the seat stage.
    pub fn lift_for_throat(&self) -> Result<Length> {
        let throat = self.throat_area().si();
        let (sin, cos) = self.seat_angle.si().sin_cos();
        // Beyond both of these lifts either frustum is larger than the throat.
        let inner = (self.head - self.seat_width * 2.0).si();
        let by_seat = throat / (PI * cos * inner);
        let by_edges = throat / (PI * self.mean_seat_diameter().si()) + self.seat_width.si() * sin / cos;
        let most = 1.001 * by_seat.max(by_edges);
        bracketed("lift", 0.0, most, |lift| Ok(self.frustum(lift) - throat)).map(Length::from_si)
    }
}

/// Mean gas speed through the valves: mean piston speed x piston area / valve area, the area of all valves of the kind together.
///
/// # Errors
/// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a speed below zero or an area not above zero.
///
/// # Source
/// Heywood (1988), eq. 6.10, its mean over the stroke (from memory); continuity.
pub fn mean_gas_speed(mean_piston_speed: Velocity, piston_area: Area, valve_area: Area) -> Result<Velocity> {
    let speed = non_negative("mean piston speed", mean_piston_speed)?;
    let piston = finite_positive("piston area", piston_area)?;
    Ok(speed * (piston / finite_positive("valve area", valve_area)?))
}

/// Mach index: the mean gas speed through the nominal valve area (pi/4 x head diameter^2, of all intake valves) over the mean flow coefficient and the speed of
/// sound, Z = (piston area / valve area) x mean piston speed / (C_i a).
///
/// Volumetric efficiency falls off above about 0.6.
///
/// # Errors
/// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a gas speed below zero, or a coefficient or a speed of sound not above zero, or a coefficient over 1.
///
/// # Source
/// Taylor, The Internal Combustion Engine in Theory and Practice, vol. 1, chapter 6 (from memory).
pub fn mach_index(
    mean_gas_speed: Velocity,
    flow_coefficient: Ratio,
    speed_of_sound: Velocity,
) -> Result<Ratio> {
    let gas = non_negative("mean gas speed", mean_gas_speed)?;
    let coefficient = finite_positive("mean inlet flow coefficient", flow_coefficient)?;
    if coefficient.si() > 1.0 {
        return Err(out_of_range("mean inlet flow coefficient", coefficient, "above zero and at most 1"));
    }
    Ok(gas / (finite_positive("speed of sound", speed_of_sound)? * coefficient))
}

/// Speed of sound in dry air as an ideal gas: sqrt(k R T), with k = [`HEAT_RATIO_OF_AIR`] and R = [`GAS_CONSTANT_OF_AIR`].
///
/// # Errors
/// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a temperature not above absolute zero.
///
/// # Source
/// ISO 2533:1975, standard atmosphere (from memory).
pub fn speed_of_sound_in_air(temperature: ThermodynamicTemperature) -> Result<Velocity> {
    let kelvin = temperature.si();
    if kelvin.is_finite() && kelvin <= 0.0 {
        return Err(out_of_range("temperature", temperature, "above absolute zero, -273.15 degC"));
    }
    let kelvin = finite_positive("temperature", temperature)?.si();
    Ok(Velocity::from_si((HEAT_RATIO_OF_AIR * GAS_CONSTANT_OF_AIR * kelvin).sqrt()))
}

/// Volume of a runner that tapers straight from one area to another of the same shape: length / 3 x (A + sqrt(A B) + B). Of one area all along: length x A.
///
/// # Errors
/// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a length or an area not above zero.
///
/// # Source
/// Volume of the frustum of a cone or pyramid.
pub fn runner_volume(length: Length, entry: Area, exit: Area) -> Result<Volume> {
    Ok(finite_positive("runner length", length)? * mean_runner_area(entry, exit)?)
}

/// The length of a runner between two areas that gives a volume.
///
/// # Errors
/// As [`runner_volume`], for the volume instead of the length.
pub fn runner_length_for(volume: Volume, entry: Area, exit: Area) -> Result<Length> {
    Ok(finite_positive("runner volume", volume)? / mean_runner_area(entry, exit)?)
}

/// The area that the volume of a taper has over its length: (A + sqrt(A B) + B) / 3.
fn mean_runner_area(entry: Area, exit: Area) -> Result<Area> {
    let (entry, exit) = (finite_positive("entry area", entry)?, finite_positive("exit area", exit)?);
    let middle = Area::from_si(entry.si().sqrt() * exit.si().sqrt());
    Ok((entry + middle + exit) / 3.0)
}

/// Volume trapped at the closing of the intake valve, `intake_closing` after bottom dead centre: all that is above the piston then, the clearance volume
/// included. It is [`trapped_compression_ratio`] x the clearance volume.
///
/// # Errors
/// As [`trapped_compression_ratio`].
pub fn trapped_volume(cylinder: &Cylinder, clearance: Volume, intake_closing: Angle) -> Result<Volume> {
    Ok(clearance * trapped_compression_ratio(cylinder, clearance, intake_closing)?)
}
