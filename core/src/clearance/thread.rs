//! Screw threads: stress area, proof load, torque and preload with friction in the thread and under the head.
//!
//! Figures of a formula, not a tightening instruction: fasteners are torqued by their maker's procedure.

use crate::error::{Error, Result, finite_positive, non_negative, out_of_range};
use crate::units::{Area, Dimensioned, Force, Length, Pressure, Ratio, Torque, written};
use core::f64::consts::PI;

/// Half the thread angle of metric and unified threads: 30 deg. ISO 68-1, ASME B1.1 (from memory).
pub(super) const HALF_FLANK: f64 = PI / 6.0;

/// A metric or unified screw thread.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thread {
    diameter: Length,
    pitch: Length,
    /// What the stress diameter is smaller by, in pitches.
    depth: f64,
}

/// Coarse pitches of the metric threads by diameter, mm. ISO 261 (from memory).
const COARSE: [(f64, f64); 15] = [
    (3.0, 0.5),
    (4.0, 0.7),
    (5.0, 0.8),
    (6.0, 1.0),
    (7.0, 1.0),
    (8.0, 1.25),
    (10.0, 1.5),
    (12.0, 1.75),
    (14.0, 2.0),
    (16.0, 2.0),
    (18.0, 2.5),
    (20.0, 2.5),
    (22.0, 2.5),
    (24.0, 3.0),
    (27.0, 3.0),
];

impl Thread {
    /// A metric thread of a nominal diameter and pitch.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] unless 0 < 2 x pitch < diameter.
    pub fn metric(diameter: Length, pitch: Length) -> Result<Self> {
        Self::new(diameter, pitch, 0.9382) // ISO 898-1, As = pi/4 (d - 0.9382 P)^2 (from memory)
    }

    /// A unified thread of a nominal diameter and pitch (one inch by the threads per inch).
    ///
    /// # Errors
    /// As [`Thread::metric`].
    pub fn unified(diameter: Length, pitch: Length) -> Result<Self> {
        Self::new(diameter, pitch, 0.9743) // ASME B1.1, At = pi/4 (d - 0.9743/n)^2 (from memory)
    }

    fn new(diameter: Length, pitch: Length, depth: f64) -> Result<Self> {
        let diameter = finite_positive("thread diameter", diameter)?;
        let pitch = finite_positive("pitch", pitch)?;
        if pitch * 2.0 >= diameter {
            return Err(out_of_range(
                "pitch",
                pitch,
                format!("below half the diameter, {}", written(diameter / 2.0)),
            ));
        }
        Ok(Self { diameter, pitch, depth })
    }

    /// Reads "M10", "M10x1.25" (mm) or "7/16-20" (inch and threads per inch).
    ///
    /// # Errors
    /// [`Error::Unreadable`]; a metric thread without a pitch is read as coarse where ISO 261 has one.
    ///
    /// # Example
    /// ```
    /// use swept::clearance::Thread;
    /// use swept::units::Dimensioned;
    /// assert!((Thread::parse("M10x1.25")?.stress_area().si() * 1e6 - 61.2).abs() < 0.01);
    /// # Ok::<(), swept::Error>(())
    /// ```
    pub fn parse(text: &str) -> Result<Self> {
        let refused = |reason: &str| Error::Unreadable {
            value: text.chars().take(20).collect(),
            reason: format!("{reason}; write a thread as M10, M10x1.25 or 7/16-20"),
        };
        let number = |t: &str| t.trim().parse::<f64>().map_err(|_| refused("not a number"));
        let text = text.trim();
        if let Some(metric) = text.strip_prefix('M') {
            let (d, p) = match metric.split_once(['x', '\u{d7}']) {
                Some((d, p)) => (number(d)?, number(p)?),
                None => {
                    let d = number(metric)?;
                    let coarse = COARSE.iter().find(|(size, _)| *size == d);
                    (d, coarse.ok_or_else(|| refused("no coarse pitch is kept for it"))?.1)
                }
            };
            return Self::metric(Length::from_si(d / 1e3), Length::from_si(p / 1e3));
        }
        let (d, threads) = text.split_once('-').ok_or_else(|| refused("no thread"))?;
        let d = match d.split_once('/') {
            Some((above, below)) => number(above)? / number(below)?,
            None => number(d)?,
        };
        let inch = |x: f64| Length::from_si(x * 127.0 / 5e3);
        Self::unified(inch(d), inch(1.0 / number(threads)?))
    }

    /// Nominal diameter.
    pub fn diameter(&self) -> Length {
        self.diameter
    }

    /// Pitch.
    pub fn pitch(&self) -> Length {
        self.pitch
    }

    /// Pitch diameter: d - 0.649519 P.
    ///
    /// # Source
    /// ISO 724 and ASME B1.1, d2 = d - 3/4 H with H = sqrt(3)/2 P (from memory).
    pub fn pitch_diameter(&self) -> Length {
        self.diameter - self.pitch * (0.75 * 3f64.sqrt() / 2.0)
    }

    /// Tensile stress area: pi/4 (d - 0.9382 P)^2 of a metric, pi/4 (d - 0.9743 P)^2 of a unified thread.
    ///
    /// # Source
    /// ISO 898-1:2013, 9.1.6.1; ASME B1.1, appendix B (from memory).
    pub fn stress_area(&self) -> Area {
        let d = self.diameter - self.pitch * self.depth;
        d * d * (PI / 4.0)
    }

    /// The proof load of a proof stress: stress area x proof stress.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] unless the stress is above zero.
    pub fn proof_load(&self, proof_stress: Pressure) -> Result<Force> {
        Ok(self.stress_area() * finite_positive("proof stress", proof_stress)?)
    }

    /// Torque over preload of a bolt: in the thread and under the head, m.
    ///
    /// T / F = d2/2 (tan l + f / cos a) / (1 - f tan l / cos a) + f_h d_h / 2, with tan l = P / (pi d2), the half flank angle a
    /// = 30 deg, friction f in the thread and f_h under the head, whose mean bearing diameter is d_h.
    ///
    /// # Source
    /// Shigley, Mechanical Engineering Design, eqs. 8-5 and 8-24 to 8-26 (from memory), with the pitch diameter as mean diameter.
    fn torque_arm(&self, friction: &BoltFriction) -> Result<f64> {
        let d2 = self.pitch_diameter().si();
        let lead = self.pitch.si() / (PI * d2);
        let f = friction.thread / HALF_FLANK.cos();
        let below = 1.0 - f * lead;
        if below <= 0.0 {
            return Err(Error::OutOfRange {
                field: "friction in the thread".into(),
                value: friction.thread.to_string(),
                allowed: "below what locks the thread".into(),
            });
        }
        Ok(d2 / 2.0 * (lead + f) / below + friction.head * friction.head_diameter.si() / 2.0)
    }

    /// The torque that gives a preload.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] unless the preload is above zero, or with friction that locks the thread.
    ///
    /// # Source
    /// Shigley, eq. 8-26 (from memory).
    pub fn torque_for(&self, preload: Force, friction: &BoltFriction) -> Result<Torque> {
        let preload = finite_positive("preload", preload)?;
        Ok(Torque::from_si(preload.si() * self.torque_arm(friction)?))
    }

    /// The preload that a torque gives.
    ///
    /// # Errors
    /// As [`Thread::torque_for`].
    pub fn preload_from_torque(&self, torque: Torque, friction: &BoltFriction) -> Result<Force> {
        let torque = finite_positive("torque", torque)?;
        Ok(Force::from_si(torque.si() / self.torque_arm(friction)?))
    }
}

/// Friction in the thread and under the head, with the mean diameter of the head's bearing face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoltFriction {
    thread: f64,
    head: f64,
    head_diameter: Length,
}

impl BoltFriction {
    /// Friction coefficients and the mean bearing diameter of the head.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for a coefficient below zero or a diameter not above zero.
    pub fn new(thread: Ratio, head: Ratio, head_diameter: Length) -> Result<Self> {
        Ok(Self {
            thread: non_negative("friction in the thread", thread)?.si(),
            head: non_negative("friction under the head", head)?.si(),
            head_diameter: finite_positive("mean bearing diameter of the head", head_diameter)?,
        })
    }
}

/// Property class of a steel bolt.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PropertyClass {
    /// 8.8.
    Class8_8,
    /// 9.8.
    Class9_8,
    /// 10.9.
    Class10_9,
    /// 12.9.
    Class12_9,
}

impl PropertyClass {
    /// Every class.
    pub const ALL: [Self; 4] = [Self::Class8_8, Self::Class9_8, Self::Class10_9, Self::Class12_9];

    /// What it is called: "10.9".
    pub const fn name(self) -> &'static str {
        match self {
            Self::Class8_8 => "8.8",
            Self::Class9_8 => "9.8",
            Self::Class10_9 => "10.9",
            Self::Class12_9 => "12.9",
        }
    }

    /// The class of this name.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] with all names for one that is not known.
    pub fn named(name: &str) -> Result<Self> {
        Self::ALL.into_iter().find(|c| c.name() == name.trim()).ok_or_else(|| Error::OutOfRange {
            field: "property class".into(),
            value: name.chars().take(20).collect(),
            allowed: Self::ALL.map(Self::name).join(", "),
        })
    }

    /// Proof stress of a bolt of this class and diameter.
    ///
    /// # Source
    /// ISO 898-1:2013, table 3 (from memory); class 8.8 has 580 MPa to 16 mm, 600 MPa above.
    pub fn proof_stress(self, diameter: Length) -> Pressure {
        let mpa = match self {
            Self::Class8_8 if diameter.si() <= 16e-3 => 580.0,
            Self::Class8_8 => 600.0,
            Self::Class9_8 => 650.0,
            Self::Class10_9 => 830.0,
            Self::Class12_9 => 970.0,
        };
        Pressure::from_si(mpa * 1e6)
    }
}
