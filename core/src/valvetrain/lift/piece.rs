//! Pieces that a lift curve is made of.

use super::programme::Programme;

/// How many terms a polynomial lobe has at most.
pub(super) const TERMS: usize = 6;

/// One piece of a lift curve, from one cam angle to another, rad.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Piece {
    pub(super) start: f64,
    pub(super) end: f64,
    /// Counted backwards from its end: a closing flank is an opening one in a mirror.
    pub(super) mirrored: bool,
    pub(super) form: Form,
}

/// Lift over the way t from the beginning of the piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Form {
    /// c0 + c1 t + c2 t^2 + c3 t^3.
    Cubic([f64; 4]),
    /// base + along x + fading I(x) + rise S(x), x = t / length, with S the programme and I its integral.
    Programme { programme: Programme, base: f64, along: f64, fading: f64, rise: f64 },
    /// top (1 + sum of c x^e), x = t / length.
    Powers { top: f64, terms: [(u8, f64); TERMS] },
}

impl Piece {
    pub(super) fn length(&self) -> f64 {
        self.end - self.start
    }

    /// Lift and three derivatives at a cam angle, m and m/rad^n.
    pub(super) fn at(&self, angle: f64) -> [f64; 4] {
        if !self.mirrored {
            return self.form.at(angle - self.start, self.length());
        }
        let [s, v, a, j] = self.form.at(self.end - angle, self.length());
        [s, -v, a, -j]
    }

    /// Integral of the lift over the piece, m rad.
    pub(super) fn area(&self) -> f64 {
        let l = self.length();
        match self.form {
            Form::Cubic([c0, c1, c2, c3]) => l * (c0 + l * (c1 / 2.0 + l * (c2 / 3.0 + l * c3 / 4.0))),
            Form::Programme { programme, base, along, fading, rise } => {
                l * (base + along / 2.0 + fading * programme.second_integral() + rise / 2.0)
            }
            Form::Powers { top, terms } => {
                top * l * (1.0 + terms.iter().map(|&(e, c)| c / (f64::from(e) + 1.0)).sum::<f64>())
            }
        }
    }

    /// Parts within each of which velocity and acceleration have no more than one greatest or least value.
    pub(super) fn parts(&self) -> u32 {
        match self.form {
            Form::Cubic(_) => 1,
            Form::Programme { .. } | Form::Powers { .. } => 64,
        }
    }
}

impl Form {
    fn at(&self, t: f64, length: f64) -> [f64; 4] {
        match *self {
            Self::Cubic([c0, c1, c2, c3]) => [
                c0 + t * (c1 + t * (c2 + t * c3)),
                c1 + t * (2.0 * c2 + t * 3.0 * c3),
                2.0 * c2 + t * 6.0 * c3,
                6.0 * c3,
            ],
            Self::Programme { programme, base, along, fading, rise } => {
                let x = t / length;
                let [i, s, v, a, j] = programme.at(x);
                let stretched = [
                    base + along * x + fading * i + rise * s,
                    along + fading * s + rise * v,
                    fading * v + rise * a,
                    fading * a + rise * j,
                ];
                per_radian(stretched, length)
            }
            Self::Powers { top, terms } => {
                let x = t / length;
                let mut sum = [top, 0.0, 0.0, 0.0];
                for (exponent, c) in terms {
                    add_power(&mut sum, exponent, top * c, x);
                }
                per_radian(sum, length)
            }
        }
    }
}

/// Derivatives by x = t / length, made derivatives by t.
fn per_radian([s, v, a, j]: [f64; 4], length: f64) -> [f64; 4] {
    [s, v / length, a / (length * length), j / (length * length * length)]
}

/// Adds c x^e and its derivatives.
fn add_power(sum: &mut [f64; 4], exponent: u8, c: f64, x: f64) {
    let mut factor = c;
    for (n, total) in (0u8..).zip(sum.iter_mut()) {
        let Some(left) = exponent.checked_sub(n) else { return };
        *total += factor * power(x, left);
        factor *= f64::from(left);
    }
}

/// x^n by squaring: `powi` does not promise the same bits everywhere.
fn power(x: f64, n: u8) -> f64 {
    let (mut result, mut square, mut left) = (1.0, x, n);
    while left > 0 {
        if left & 1 == 1 {
            result *= square;
        }
        square *= square;
        left >>= 1;
    }
    result
}
