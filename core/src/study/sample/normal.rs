//! Normal deviates, branch-free, so that they are made side by side in vectors: the same additions, multiplications, divisions and roots in any width.
//!
//! The polynomials are minimax fits of the relative error, made by the Remez exchange in 50 digits from the functions themselves and then rounded to doubles.

use super::random::{centred, uniform};
use core::f64::consts::{FRAC_PI_2, LN_2, LOG2_E};

/// c0 + c1 x + c2 x^2 + ..., by Horner's rule.
#[inline(always)]
fn polynomial<const N: usize>(coefficients: [f64; N], x: f64) -> f64 {
    let mut sum = 0.0;
    let mut i = N;
    for c in coefficients.into_iter().rev() {
        sum = if i == N { c } else { sum * x + c };
        i -= 1;
    }
    sum
}

/// Natural logarithm of a normal number above zero, to about one unit in the last place.
///
/// x = 2^e (1 + f) with 1 + f from sqrt(1/2) to sqrt(2); s = f / (2 + f); ln(1 + f) = 2 artanh s = f - s (f - s^2 P(s^2)).
#[inline(always)]
pub(super) fn log(x: f64) -> f64 {
    const ROOT_HALF: u64 = 0x3FE6_A09E_667F_3BCD;
    const ONE: u64 = 0x3FF0_0000_0000_0000;
    let bits = x.to_bits().wrapping_add(ONE - ROOT_HALF);
    // The biased exponent as the last digits of 2^52 + it.
    let e = f64::from_bits((bits >> 52) | 0x4330_0000_0000_0000) - (4_503_599_627_370_496.0 + 1023.0);
    let f = f64::from_bits((bits & 0x000F_FFFF_FFFF_FFFF).wrapping_add(ROOT_HALF)) - 1.0;
    let s = f / (2.0 + f);
    let z = s * s;
    let p = polynomial(
        [
            0.6666666666666734,
            0.3999999999941469,
            0.2857142874238511,
            0.22222198573351978,
            0.18183564320816914,
            0.15314050623490924,
            0.14795949478481474,
        ],
        z,
    );
    e * LN_2 + (f - s * (f - z * p))
}

/// Sine and cosine of so many right angles, from -1/2 to 1/2, to about one unit in the last place.
#[inline(always)]
fn sine_cosine(quarter: f64) -> (f64, f64) {
    let w = quarter * quarter;
    let s = polynomial(
        [
            -0.645964097506245,
            0.07969262624606273,
            -0.004681754132616244,
            0.00016044115259833104,
            -3.5986493400960412e-06,
            5.6346750091452355e-08,
        ],
        w,
    );
    let c = polynomial(
        [
            -1.233700550136157,
            0.2536695079000529,
            -0.020863480737573756,
            0.0009192599677585882,
            -2.5200192416080606e-05,
            4.656003795562808e-07,
        ],
        w,
    );
    (quarter * (FRAC_PI_2 + w * s), 1.0 + w * c)
}

/// Two independent standard normal deviates from two random words: the radius from the upper bits of the first, the direction from the upper bits of the second,
/// within an eighth of a turn of the first axis, and from its last bits: which of the axes, and which end of it.
///
/// None is beyond sqrt(106 ln 2) = 8.58.
///
/// # Source
/// Box, Muller, A note on the generation of random normal deviates, Ann. Math. Stat. 29 (1958) 610 (from memory).
#[inline(always)]
pub(super) fn pair(first: u64, second: u64) -> (f64, f64) {
    let radius = (-2.0 * log(uniform(first))).sqrt();
    let (s, c) = sine_cosine(centred(second));
    let other = second & 2 != 0;
    let (x, y) = if other { (s, c) } else { (c, s) };
    let radius = f64::from_bits(radius.to_bits() ^ (second << 63));
    (radius * x, radius * y)
}

/// Beyond every deviate.
pub(super) const MOST_DEVIATE: f64 = 8.6;

/// exp x for x from -708 to 0, to about one unit in the last place.
///
/// x = k ln 2 + r; 2^k (1 + r + r^2 P(r)).
#[inline(always)]
fn exponential(x: f64) -> f64 {
    // The sum with this has the whole number as its last digits.
    const WHOLE: f64 = 6_755_399_441_055_744.0;
    // ln 2 in two parts, the first with zeros at its end, so that its product with k is exact.
    const HIGH: f64 = 6.931_471_803_691_238e-1;
    const LOW: f64 = 1.908_214_929_270_587_7e-10;
    let sum = x * LOG2_E + WHOLE;
    let k = sum - WHOLE;
    let r = (x - k * HIGH) - k * LOW;
    let p = polynomial(
        [
            0.500000000000001,
            0.16666666666666674,
            0.041666666666518734,
            0.008333333333321957,
            0.0013888888948813184,
            0.0001984126988735405,
            2.480148620664405e-05,
            2.7557241475913757e-06,
            2.763307651398986e-07,
            2.511037344502776e-08,
        ],
        r,
    );
    (1.0 + (r + r * r * p)) * f64::from_bits(sum.to_bits().wrapping_add(1023) << 52)
}

/// The standard normal distribution function, to a few units in the last place and what the square of z is rounded by; 0 below -37.5.
///
/// (1 + z) exp(z^2 / 2) times the upper tail is a polynomial in (z - 5) / (z + 5): Chebyshev's interpolation from 0 to 42. The idea: Shepherd, Laframboise,
/// Chebyshev approximation of (1 + 2x) exp(x^2) erfc x, Math. Comput. 36 (1981) 249 (from memory).
#[inline(always)]
pub(super) fn distribution(z: f64) -> f64 {
    let far = z.abs();
    let far = if far < 37.5 { far } else { 37.5 };
    let p = polynomial(
        [
            0.46151582985003775,
            -0.09155228183400926,
            0.03103036842597065,
            0.010002352385251075,
            -0.026401042966668467,
            0.024536963243031694,
            -0.01517041539528781,
            0.006522000677251775,
            -0.0016760724182982552,
            7.791516455680155e-06,
            0.00018233457968830396,
            -5.360714414714778e-05,
            -9.897672785523182e-06,
            9.058288871847126e-06,
            -6.675214518045632e-08,
            -1.3039236680577717e-06,
            1.2276712108901355e-07,
            1.9111090107654211e-07,
            -2.1993833407422455e-08,
            -2.638313084807989e-08,
            1.7688413252088156e-09,
            2.2558326769481833e-09,
        ],
        (far - 5.0) / (far + 5.0),
    );
    let tail = exponential(-0.5 * far * far) * p / (1.0 + far);
    let tail = if far < 37.5 { tail } else { 0.0 };
    if z < 0.0 { tail } else { 1.0 - tail }
}

/// The inverse of the standard normal distribution function, for probabilities from 1e-300 to the last double below 1.
///
/// # Source
/// Wichura, Algorithm AS 241: the percentage points of the normal distribution, Appl. Statist. 37 (1988) 477, PPND16 (coefficients from memory, checked against
/// the inverse of the error function).
#[inline(always)]
pub(super) fn inverse(p: f64) -> f64 {
    let q = p - 0.5;
    let near = 0.180625 - q * q;
    let middle = q
        * (polynomial(
            [
                3.387_132_872_796_366_6,
                1.331_416_678_917_843_8e2,
                1.971_590_950_306_551_3e3,
                1.373_169_376_550_946e4,
                4.592_195_393_154_987e4,
                6.726_577_092_700_87e4,
                3.343_057_558_358_813e4,
                2.509_080_928_730_122_7e3,
            ],
            near,
        ) / polynomial(
            [
                1.0,
                4.231_333_070_160_091e1,
                6.871_870_074_920_579e2,
                5.394_196_021_424_751e3,
                2.121_379_430_158_659_7e4,
                3.930_789_580_009_271e4,
                2.872_908_573_572_194_3e4,
                5.226_495_278_852_855e3,
            ],
            near,
        ));
    let tail = if q < 0.0 { p } else { 1.0 - p };
    let r = (-log(tail)).sqrt();
    let far = r - 1.6;
    let far = polynomial(
        [
            1.423_437_110_749_683_5,
            4.630_337_846_156_546,
            5.769_497_221_460_691,
            3.647_848_324_763_204_5,
            1.270_458_252_452_368_4,
            2.417_807_251_774_506e-1,
            2.272_384_498_926_918_4e-2,
            7.745_450_142_783_414e-4,
        ],
        far,
    ) / polynomial(
        [
            1.0,
            2.053_191_626_637_759,
            1.676_384_830_183_803_8,
            6.897_673_349_851e-1,
            1.481_039_764_274_800_8e-1,
            1.519_866_656_361_645_7e-2,
            5.475_938_084_995_345e-4,
            1.050_750_071_644_416_9e-9,
        ],
        far,
    );
    let farther = r - 5.0;
    let farther = polynomial(
        [
            6.657_904_643_501_103,
            5.463_784_911_164_114,
            1.784_826_539_917_291_3,
            2.965_605_718_285_048_7e-1,
            2.653_218_952_657_612_4e-2,
            1.242_660_947_388_078_4e-3,
            2.711_555_568_743_487_6e-5,
            2.010_334_399_292_288_1e-7,
        ],
        farther,
    ) / polynomial(
        [
            1.0,
            5.998_322_065_558_88e-1,
            1.369_298_809_227_358e-1,
            1.487_536_129_085_061_5e-2,
            7.868_691_311_456_133e-4,
            1.846_318_317_510_054_8e-5,
            1.421_511_758_316_446e-7,
            2.044_263_103_389_939_8e-15,
        ],
        farther,
    );
    let outer = if r <= 5.0 { far } else { farther };
    let outer = if q < 0.0 { -outer } else { outer };
    if q.abs() <= 0.425 { middle } else { outer }
}

#[cfg(test)]
mod tests {
    use super::super::random::{counter, stream, word};
    use super::*;
    use core::f64::consts::TAU;

    #[test]
    fn logarithm_sine_and_cosine_are_those_of_the_library() {
        for i in 0..200_000u64 {
            let x = uniform(word(5, counter(i))) * 2f64.powi((i % 60) as i32 - 55);
            assert!((log(x) / x.ln() - 1.0).abs() < 4.0 * f64::EPSILON, "ln {x}: {} {}", log(x), x.ln());
            let quarter = centred(word(6, counter(i)));
            let (s, c) = sine_cosine(quarter);
            let (sine, cosine) = (quarter * FRAC_PI_2).sin_cos();
            assert!(
                (s / sine - 1.0).abs() < 2.0 * f64::EPSILON && (c / cosine - 1.0).abs() < 2.0 * f64::EPSILON
            );
        }
        // Next to 1 the logarithm is small, and stays as good.
        for k in [1.0, 3.0, 1e3, 1e9] {
            let x = 1.0 - k * f64::EPSILON / 2.0;
            assert!((log(x) / x.ln() - 1.0).abs() < 2.0 * f64::EPSILON);
        }
        assert_eq!(log(1.0), 0.0);
    }

    #[test]
    fn the_farthest_deviate_is_known() {
        let (x, y) = pair(0, 0);
        assert!(x.abs().max(y.abs()) < MOST_DEVIATE && x.hypot(y) > 8.57, "{x} {y}");
    }

    #[test]
    fn the_distribution_function_is_that_of_the_tables() {
        // By arithmetic of 40 digits.
        for (z, p) in [
            (0.0, 0.5),
            (-1.0, 0.15865525393145705),
            (1.0, 0.8413447460685429),
            (-0.71, 0.23885206808998674),
            (-3.0, 0.0013498980316300946),
            (-10.0, 7.619853024160525e-24),
            (-37.0, 5.725571222524577e-300),
            (-5.5, 1.8989562465887718e-08),
        ] {
            let found = distribution(z);
            assert!((found / p - 1.0).abs() < 4.0 * f64::EPSILON * (1.0 + z * z / 4.0), "{z}: {found:e}");
        }
        assert_eq!((distribution(-40.0), distribution(40.0)), (0.0, 1.0));
        for i in -708..=0 {
            let x = f64::from(i) * 0.9999;
            assert!((exponential(x) / x.exp() - 1.0).abs() < 2.0 * f64::EPSILON);
        }
    }

    #[test]
    fn the_inverse_is_that_of_the_distribution_function() {
        // Points of the tables that are known to many digits: Abramowitz, Stegun, Handbook of Mathematical Functions, table 26.5 (from memory).
        for (p, z) in [(0.975, 1.959963984540054), (0.9, 1.2815515655446004), (0.999, 3.090232306167813)] {
            assert!((inverse(p) - z).abs() < 4e-15 * z, "{p}: {}", inverse(p));
        }
        // There and back: z from -37, where the probability is 1e-300, to 8.
        let mut worst: f64 = 0.0;
        for i in 0..=4500 {
            let z = -37.0 + f64::from(i) / 100.0;
            let p = distribution(z);
            // What a step of the last place of the probability moves z by.
            let density = (-z * z / 2.0).exp() / TAU.sqrt();
            let allowed = 4e-15 * z.abs().max(1.0) + 2.0 * f64::EPSILON * p / density;
            let off = (inverse(p) - z).abs();
            worst = worst.max(off / allowed);
        }
        assert!(worst < 1.0, "{worst} of what is allowed");
    }

    /// Greatest distance of the distribution of the values from a law, times the root of their number (Kolmogorov).
    fn distance(mut values: Vec<f64>, law: impl Fn(f64) -> f64) -> f64 {
        values.sort_by(f64::total_cmp);
        let n = values.len() as f64;
        let off = values.iter().enumerate().map(|(i, x)| {
            let p = law(*x);
            (p - i as f64 / n).abs().max((p - (i + 1) as f64 / n).abs())
        });
        off.fold(0.0, f64::max) * n.sqrt()
    }

    #[test]
    fn pairs_are_normal_and_independent() {
        let n = 400_000;
        let (first, second) = (stream(9, 0), stream(9, 1));
        let both: Vec<(f64, f64)> =
            (0..n).map(|i| pair(word(first, counter(i)), word(second, counter(i)))).collect();
        // 1.95 is exceeded by one true sample in a thousand.
        assert!(distance(both.iter().map(|p| p.0).collect(), distribution) < 1.95);
        assert!(distance(both.iter().map(|p| p.1).collect(), distribution) < 1.95);
        // The sum of two is normal with twice the variance, whatever quadrant; so is the difference.
        let half = core::f64::consts::FRAC_1_SQRT_2;
        assert!(distance(both.iter().map(|p| (p.0 + p.1) * half).collect(), distribution) < 1.95);
        assert!(distance(both.iter().map(|p| (p.0 - p.1) * half).collect(), distribution) < 1.95);
        // Moments against 0, 1, 0, 3 and products against 0, five standard errors.
        let root = (n as f64).sqrt();
        let mean = |f: &dyn Fn(&(f64, f64)) -> f64| both.iter().map(f).sum::<f64>() / n as f64;
        for (found, want, deviation) in [
            (mean(&|p| p.0), 0.0, 1.0),
            (mean(&|p| p.0 * p.0), 1.0, 2f64.sqrt()),
            (mean(&|p| p.0.powi(3)), 0.0, 15f64.sqrt()),
            (mean(&|p| p.1.powi(4)), 3.0, 96f64.sqrt()),
            (mean(&|p| p.0 * p.1), 0.0, 1.0),
            (mean(&|p| p.0 * p.0 * p.1 * p.1), 1.0, 8f64.sqrt()),
        ] {
            assert!((found - want).abs() < 5.0 * deviation / root, "{found} for {want}");
        }
    }
}
