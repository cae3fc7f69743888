//! Random numbers by counter: draw of a sample under a seed as a pure function, so that any chunk of the samples can be drawn by any thread, and drawn again.

/// The odd number next to 2^64 over the golden ratio.
const STEP: u64 = 0x9E37_79B9_7F4A_7C15;

/// The finaliser: a bijection of 64-bit words after which each bit depends on each.
///
/// # Source
/// Steele, Lea, Flood, Fast splittable pseudorandom number generators, OOPSLA 2014, figures 16 and 17: `mix64variant13` as SplitMix64 uses it, and the golden
/// gamma (from memory).
#[inline(always)]
const fn mix(word: u64) -> u64 {
    let word = (word ^ (word >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    let word = (word ^ (word >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    word ^ (word >> 31)
}

/// The start of a stream: SplitMix64 from it gives the words of the stream, one for each sample. Streams that start by chance within 2^40 steps of each other are
/// one in 2^23 pairs.
pub(super) const fn stream(seed: u64, stream: u64) -> u64 {
    mix(mix(seed).wrapping_add(stream.wrapping_add(1).wrapping_mul(STEP)))
}

/// How far the counter of a stream is at a sample.
#[inline(always)]
pub(super) const fn counter(sample: u64) -> u64 {
    sample.wrapping_add(1).wrapping_mul(STEP)
}

/// The word of a stream at a counter: 64 random bits.
#[inline(always)]
pub(super) const fn word(start: u64, counter: u64) -> u64 {
    mix(start.wrapping_add(counter))
}

/// The upper 52 bits as a number in the middle of one of 2^52 equal parts of 0 to 1; never 0, never 1.
#[inline(always)]
pub(super) fn uniform(word: u64) -> f64 {
    // 1 <= x < 2 from the bits; the difference is exact.
    f64::from_bits((word >> 12) | 0x3FF0_0000_0000_0000) - (1.0 - f64::EPSILON / 2.0)
}

/// The upper 51 bits as a number from -1/2 to 1/2, in the middle of one of 2^51 equal parts; never 0.
#[inline(always)]
pub(super) fn centred(word: u64) -> f64 {
    f64::from_bits((word >> 12) | 0x3FF0_0000_0000_0001) - 1.5
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Words of neighbouring samples and streams.
    fn table(seed: u64, samples: u64, streams: u64) -> Vec<Vec<u64>> {
        (0..streams).map(|s| (0..samples).map(|i| word(stream(seed, s), counter(i))).collect()).collect()
    }

    #[test]
    fn the_first_words_are_splitmix64() {
        // The reference sequence of SplitMix64 from the state 1234567, as published with many implementations.
        let known = [6457827717110365317u64, 3203168211198807973, 9817491932198370423, 4593380528125082431];
        for (i, known) in known.into_iter().enumerate() {
            assert_eq!(word(1_234_567, counter(i as u64)), known);
        }
    }

    #[test]
    fn uniform_is_inside_and_symmetric() {
        assert_eq!(uniform(0), f64::EPSILON / 2.0);
        assert_eq!(uniform(u64::MAX), 1.0 - f64::EPSILON / 2.0);
        assert_eq!((centred(0), centred(u64::MAX)), (f64::EPSILON - 0.5, 0.5 - f64::EPSILON));
        for i in 0..1000 {
            let word = word(1, counter(i));
            assert_eq!(centred(!word), -centred(word));
            assert!((centred(word) - (uniform(word) - 0.5)).abs() < f64::EPSILON);
        }
    }

    /// Chi-square of counts that should be equal, less its degrees of freedom, in its standard deviations.
    fn excess(counts: &[u64]) -> f64 {
        let mean = counts.iter().sum::<u64>() as f64 / counts.len() as f64;
        let square: f64 = counts.iter().map(|c| (*c as f64 - mean).powi(2) / mean).sum();
        let free = counts.len() as f64 - 1.0;
        (square - free) / (2.0 * free).sqrt()
    }

    #[test]
    fn every_bit_is_set_half_of_the_time_and_alone() {
        let n = 1 << 16;
        for words in table(7, n, 8) {
            // Each bit, and each pair of bits: 5 standard deviations of a binomial count.
            let most = 5.0 * (n as f64).sqrt() / 2.0;
            for a in 0..64 {
                let set = words.iter().filter(|w| *w >> a & 1 == 1).count() as f64;
                assert!((set - n as f64 / 2.0).abs() < most, "bit {a}: {set}");
                let b = (a + 17) % 64;
                let alike = words.iter().filter(|w| (*w >> a ^ *w >> b) & 1 == 1).count() as f64;
                assert!((alike - n as f64 / 2.0).abs() < most, "bits {a}, {b}: {alike}");
            }
        }
    }

    #[test]
    fn bins_are_filled_evenly_and_so_are_pairs_of_neighbours() {
        for seed in [0, 1, u64::MAX] {
            let words = table(seed, 1 << 18, 6);
            for (s, one) in words.iter().enumerate() {
                let mut bins = vec![0; 1 << 10];
                one.iter().for_each(|w| bins[(w >> 54) as usize] += 1);
                assert!(excess(&bins).abs() < 4.0, "seed {seed} stream {s}: {}", excess(&bins));
                // The next sample of the stream, and the same sample of the next stream.
                let next_stream = &words[(s + 1) % words.len()];
                for other in [&one[1..], &next_stream[..]] {
                    let mut pairs = vec![0; 1 << 10];
                    one.iter().zip(other).for_each(|(a, b)| pairs[((a >> 59) << 5 | b >> 59) as usize] += 1);
                    assert!(excess(&pairs).abs() < 4.0, "seed {seed} stream {s}: {}", excess(&pairs));
                    let mut low = vec![0; 1 << 10];
                    one.iter().zip(other).for_each(|(a, b)| low[((a & 31) << 5 | b & 31) as usize] += 1);
                    assert!(excess(&low).abs() < 4.0, "seed {seed} stream {s}, low bits: {}", excess(&low));
                }
            }
        }
    }

    #[test]
    fn neighbours_are_not_correlated() {
        let n = 1 << 18;
        let words = table(3, n, 6);
        let centred = |w: u64| (uniform(w) - 0.5) * 12f64.sqrt();
        for (s, one) in words.iter().enumerate() {
            for (t, other) in words.iter().enumerate() {
                for lag in 0..4 {
                    if s == t && lag == 0 {
                        continue;
                    }
                    let sum: f64 =
                        one.iter().zip(&other[lag..]).map(|(a, b)| centred(*a) * centred(*b)).sum();
                    let deviations = sum / (n as f64).sqrt();
                    assert!(deviations.abs() < 4.5, "streams {s}, {t}, lag {lag}: {deviations}");
                }
            }
        }
    }
}
