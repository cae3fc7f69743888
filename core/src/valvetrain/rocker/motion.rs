//! Where the rocker stands at a lift of the lifter, how fast it turns, and where its tip touches the stem.

use super::{Rocker, TrainDerivatives};
use crate::error::{Result, non_negative, out_of_range};
use crate::units::{Angle, Dimensioned, Length, written};
use core::f64::consts::TAU;

/// A vector in the plane of the rocker, m.
pub(super) type Plane = [f64; 2];

pub(super) fn dot(a: Plane, b: Plane) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

fn minus(a: Plane, b: Plane) -> Plane {
    [a[0] - b[0], a[1] - b[1]]
}

/// a p + b q.
fn sum(a: f64, p: Plane, b: f64, q: Plane) -> Plane {
    [a * p[0] + b * q[0], a * p[1] + b * q[1]]
}

/// A vector turned clockwise by a right angle: the derivative of one that turns the opening way.
fn clockwise(a: Plane) -> Plane {
    [a[1], -a[0]]
}

/// Where the tip touches the stem from seat to a lift; places are from the stem's axis, positive away from the pivot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sweep {
    /// Valve seated.
    pub seated: Length,
    /// At the lift.
    pub open: Length,
    /// Nearest to the pivot.
    pub inner: Length,
    /// Farthest from the pivot.
    pub outer: Length,
}

impl Sweep {
    /// How wide the contact wanders.
    pub fn width(&self) -> Length {
        self.outer - self.inner
    }

    /// Middle of the sweep, from the stem's axis, positive away from the pivot.
    pub fn middle(&self) -> Length {
        (self.inner + self.outer) / 2.0
    }
}

impl Rocker {
    /// The pushrod's length taken from the valve seated and the lifter on the base circle.
    pub(super) fn fitted(mut self) -> Result<Self> {
        let pushrod = minus(self.cup(0.0), self.lower_end(0.0));
        self.pushrod = pushrod[0].hypot(pushrod[1]);
        self.turning(0.0, Length::from_si(0.0))?;
        Ok(self)
    }

    /// How far the rocker has turned the opening way at a lift of the lifter.
    ///
    /// The cup lies on a circle about the pivot and on one of the pushrod's length about its lower end: of the two meetings, that where
    /// the pushrod turns the rocker the opening way.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a lift below zero, or one that the rocker cannot follow: the
    /// pushrod would have to pass the line through pivot and cup, or the tip the side of the pivot.
    pub fn turned(&self, lifter: Length) -> Result<Angle> {
        let lift = non_negative("lift of the lifter", lifter)?;
        let beta = self.opened(lift.si());
        self.turning(beta, lift)?;
        Ok(Angle::from_si(beta))
    }

    /// Lift of the valve: v = a (sin(gamma) - sin(gamma - beta)).
    ///
    /// a: arm of the tip; gamma: its angle with the valve seated; beta: how far the rocker has turned. The radius of pad or roller
    /// drops out, for it stands on a plane.
    ///
    /// # Errors
    /// As [`Rocker::turned`].
    pub fn valve_lift(&self, lifter: Length) -> Result<Length> {
        let beta = self.turned(lifter)?.si();
        let arm = self.arm.tip_arm.si();
        let lift = arm * (self.tip_angle.sin() - (self.tip_angle - beta).sin());
        // Rounding must not press the valve into its seat.
        Ok(Length::from_si(lift.max(0.0)))
    }

    /// The ratio at a lift of the lifter, dv/ds, and the next two derivatives, all exact.
    ///
    /// With r the pushrod from its lower end to the cup, c the cup from the pivot, w its derivative by the rocker's angle beta, u the
    /// lifter's direction, the pushrod's length keeps r.r' = 0, r'.r' + r.r'' = 0, 3 r'.r'' + r.r''' = 0, where r' = w b1 - u, r'' = w
    /// b2 - c b1^2, r''' = w b3 - 3 c b1 b2 - w b1^3. These give b1, b2, b3, the derivatives of beta by the lift of the lifter; with x
    /// and y the place of the tip's centre from the pivot, v' = x b1, v'' = x b2 + y b1^2, v''' = x b3 + 3 y b1 b2 - x b1^3.
    ///
    /// # Errors
    /// As [`Rocker::turned`].
    ///
    /// # Source
    /// Implicit differentiation of the pushrod's constant length; Uicker, Pennock and Shigley, Theory of Machines and Mechanisms, kinematic
    /// coefficients (from memory).
    pub fn derivatives(&self, lifter: Length) -> Result<TrainDerivatives> {
        let beta = self.turned(lifter)?.si();
        let (c, u) = (self.cup_from_pivot(beta), self.direction());
        let (r, w) = (minus(self.cup(beta), self.lower_end(lifter.si())), clockwise(c));
        let (rw, rc) = (dot(r, w), dot(r, c));
        let b1 = dot(r, u) / rw;
        let r1 = sum(b1, w, -1.0, u);
        let b2 = (b1 * b1 * rc - dot(r1, r1)) / rw;
        let r2 = sum(b2, w, -b1 * b1, c);
        let b3 = b1 * b1 * b1 + 3.0 * (b1 * b2 * rc - dot(r1, r2)) / rw;
        let [x, y] = self.tip_from_pivot(beta);
        Ok(TrainDerivatives {
            first: x * b1,
            second: x * b2 + y * b1 * b1,
            third: x * (b3 - b1 * b1 * b1) + 3.0 * y * b1 * b2,
        })
    }

    /// Place of the contact on the stem tip at a lift of the valve, from the stem's axis, positive away from the pivot.
    ///
    /// sqrt(a^2 - (a sin(gamma) - v)^2) less the distance of the stem's axis: the contact is right below the centre of pad or roller.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a lift below zero or beyond what the arm can reach.
    pub fn contact(&self, valve: Length) -> Result<Length> {
        let valve = non_negative("lift of the valve", valve)?;
        let arm = self.arm.tip_arm.si();
        let rise = arm * self.tip_angle.sin() - valve.si();
        if rise <= -arm {
            let most = Length::from_si(arm * (1.0 + self.tip_angle.sin()));
            return Err(out_of_range("lift of the valve", valve, format!("below {}", written(most))));
        }
        Ok(Length::from_si(((arm - rise) * (arm + rise)).max(0.0).sqrt()) - self.stem)
    }

    /// Where the contact wanders over the stem tip from the seat to a lift of the valve.
    ///
    /// It is farthest from the pivot where the tip's arm lies square to the valve's axis, if it passes there.
    ///
    /// # Errors
    /// As [`Rocker::contact`].
    pub fn sweep(&self, valve: Length) -> Result<Sweep> {
        let (seated, open) = (self.contact(Length::from_si(0.0))?, self.contact(valve)?);
        let arm = self.arm.tip_arm;
        let rise = arm.si() * self.tip_angle.sin();
        let passes_square = rise >= 0.0 && rise <= valve.si();
        let farther = if seated > open { seated } else { open };
        let nearer = if seated > open { open } else { seated };
        let outer = if passes_square { arm - self.stem } else { farther };
        Ok(Sweep { seated, open, inner: nearer, outer })
    }

    /// The lift of the lifter that gives a lift of the valve: the inverse of [`Rocker::valve_lift`].
    ///
    /// The lower end lies on the lifter's axis, the pushrod's length from the cup: s = r.u - sqrt(L^2 - r.r + (r.u)^2), with r the cup
    /// from the lower end on the base circle and u the lifter's direction.
    ///
    /// # Errors
    /// As [`Rocker::turned`] and [`Rocker::contact`].
    pub fn lifter_lift(&self, valve: Length) -> Result<Length> {
        self.contact(valve)?;
        if valve.si() == 0.0 {
            return Ok(valve);
        }
        let sine = self.tip_angle.sin() - valve.si() / self.arm.tip_arm.si();
        let beta = self.tip_angle - sine.asin();
        let r = minus(self.cup(beta), self.lower_end(0.0));
        let along = dot(r, self.direction());
        let lift = along - (self.pushrod * self.pushrod - dot(r, r) + along * along).sqrt();
        let lift = Length::from_si(lift.max(0.0));
        self.turning(beta, lift).map_err(|_| {
            let allowed = "a lift at which the pushrod still turns the rocker the opening way";
            out_of_range("lift of the valve", valve, allowed)
        })?;
        Ok(lift)
    }

    /// The turn at a lift, by the meeting of two circles; not a number where they do not meet.
    fn opened(&self, lift: f64) -> f64 {
        if lift == 0.0 {
            return 0.0;
        }
        let start = self.cup_from_pivot(0.0);
        let lower = minus(self.lower_end(lift), [0.0, self.height.si()]);
        let (arm, distance) = (self.arm.cup_arm.si(), lower[0].hypot(lower[1]));
        let between =
            (arm * arm + distance * distance - self.pushrod * self.pushrod) / (2.0 * arm * distance);
        // The cup's angle clockwise from the lower end's, less that of its own start: a pushrod that opens stands on this side.
        let before = dot(clockwise(lower), start).atan2(dot(lower, start));
        let turned = between.acos() - before;
        turned - TAU * (turned / TAU).round()
    }

    /// Refuses a turn where the pushrod does not push the rocker, or the tip not the valve, the opening way.
    fn turning(&self, beta: f64, lift: Length) -> Result<()> {
        let r = minus(self.cup(beta), self.lower_end(lift.si()));
        let pushed = dot(r, clockwise(self.cup_from_pivot(beta)));
        let [x, _] = self.tip_from_pivot(beta);
        // Not a number fails here, too.
        if pushed > 0.0 && dot(r, self.direction()) > 0.0 && x > 0.0 {
            return Ok(());
        }
        if lift.si() > 0.0 {
            let allowed = "a lift at which the pushrod still turns the rocker the opening way, and the tip pushes the valve";
            return Err(out_of_range("lift of the lifter", lift, allowed));
        }
        let cup = Angle::from_si(self.cup_angle(beta));
        let allowed = "one that the pushrod turns clockwise, the opening way";
        Err(out_of_range("angle of the cup's arm, from the square to the valve's axis,", cup, allowed))
    }

    fn cup_angle(&self, beta: f64) -> f64 {
        self.tip_angle + self.arm.included.si() - beta
    }

    fn cup_from_pivot(&self, beta: f64) -> Plane {
        let (sin, cos) = self.cup_angle(beta).sin_cos();
        [self.arm.cup_arm.si() * cos, self.arm.cup_arm.si() * sin]
    }

    fn cup(&self, beta: f64) -> Plane {
        sum(1.0, self.cup_from_pivot(beta), 1.0, [0.0, self.height.si()])
    }

    fn tip_from_pivot(&self, beta: f64) -> Plane {
        let (sin, cos) = (self.tip_angle - beta).sin_cos();
        [self.arm.tip_arm.si() * cos, self.arm.tip_arm.si() * sin]
    }

    /// The way of the lifter.
    fn direction(&self) -> Plane {
        let (sin, cos) = self.lifter.lean.si().sin_cos();
        [sin, cos]
    }

    fn lower_end(&self, lift: f64) -> Plane {
        sum(1.0, [self.lifter.x.si(), self.lifter.y.si()], lift, self.direction())
    }
}
