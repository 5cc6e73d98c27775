//! Random numbers by address: the number at (seed, campaign, path, occasion, purpose, index) is
//! always the same, whatever was drawn before, on whichever thread, in whichever alternative.
//!
//! The address is the counter of a Philox4x64-10 block function and the seed its key, so two
//! addresses never share a block. There is no state to carry and nothing to reset. Where a library
//! wants a generator, [`Stream`] walks the blocks of one address.
//!
//! Source: J. K. Salmon, M. A. Moraes, R. O. Dror, D. E. Shaw, "Parallel random numbers: as easy
//! as 1, 2, 3", SC11 (2011) (from memory); checked against its published known answers.

mod kept;

pub use kept::Kept;

use rand::TryRng;
use std::convert::Infallible;

/// Second key word: names this way of laying out addresses. Changing it changes every number.
const SCHEME: u64 = fnv1a64("philox4x64-10 campaign path occasion purpose/1");

const MULTIPLIERS: [u64; 2] = [0xD2E7_470E_E14C_6C93, 0xCA5A_8263_9512_1157];
const BUMPS: [u64; 2] = [0x9E37_79B9_7F4A_7C15, 0xBB67_AE85_84CA_A73B];
const ROUNDS: usize = 10;
/// Blocks computed side by side in [`Luck::fill`]: their multiplications overlap.
const LANES: usize = 4;

/// 64-bit FNV-1a hash of a text: the path word of an address.
///
/// Two different texts can share a hash, so whoever makes paths has to refuse such a pair.
/// Source: Fowler, Noll, Vo (from memory); checked against known answers.
pub const fn fnv1a64(text: &str) -> u64 {
    let bytes = text.as_bytes();
    let mut hash = 0xcbf2_9ce4_8422_2325_u64;
    // `const fn` knows no `for`.
    let mut i = 0;
    while i < bytes.len() {
        hash = (hash ^ bytes[i] as u64).wrapping_mul(0x0000_0100_0000_01b3);
        i += 1;
    }
    hash
}

/// A word as a uniform number strictly between 0 and 1: the midpoint of one of 2^52 equal cells.
/// It and its difference from 1 are exact; the least is 2^-53.
#[inline]
pub fn open01(word: u64) -> f64 {
    const CELL: f64 = 1.0 / (1u64 << 52) as f64;
    ((word >> 12) as f64 + 0.5) * CELL
}

/// `N` Philox4x64-10 blocks under one key.
#[inline]
fn philox<const N: usize>(mut counters: [[u64; 4]; N], mut key: [u64; 2]) -> [[u64; 4]; N] {
    for round in 0..ROUNDS {
        if round > 0 {
            key[0] = key[0].wrapping_add(BUMPS[0]);
            key[1] = key[1].wrapping_add(BUMPS[1]);
        }
        for c in &mut counters {
            let a = u128::from(MULTIPLIERS[0]) * u128::from(c[0]);
            let b = u128::from(MULTIPLIERS[1]) * u128::from(c[2]);
            *c = [
                (b >> 64) as u64 ^ c[1] ^ key[0],
                b as u64,
                (a >> 64) as u64 ^ c[3] ^ key[1],
                a as u64,
            ];
        }
    }
    counters
}

/// All luck of one seed. Copying it copies no state: there is none.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Luck {
    seed: u64,
}

impl Luck {
    /// The luck of this seed.
    pub const fn new(seed: u64) -> Self {
        Luck { seed }
    }

    /// Four random words at an address. `path` is the hash of what is drawn for
    /// ([`fnv1a64`] of a written path or name), `occasion` its slot or renewal, `purpose` tells
    /// apart what is drawn there, `block` counts on in fours.
    #[inline]
    pub fn block(
        &self,
        campaign: u64,
        path: u64,
        occasion: u64,
        purpose: u32,
        block: u32,
    ) -> [u64; 4] {
        self.blocks::<1>([campaign, path, occasion], purpose, block)[0]
    }

    /// The uniform number with this index at an address: word `index % 4` of block `index / 4`.
    #[inline]
    pub fn uniform(
        &self,
        campaign: u64,
        path: u64,
        occasion: u64,
        purpose: u32,
        index: u32,
    ) -> f64 {
        let words = self.block(campaign, path, occasion, purpose, index / 4);
        open01(words[index as usize % 4])
    }

    /// The first `out.len()` uniform numbers at an address, as [`Luck::uniform`] gives them one by
    /// one, at a fraction of the cost: a block gives four, and several blocks are computed in step.
    pub fn fill(&self, campaign: u64, path: u64, occasion: u64, purpose: u32, out: &mut [f64]) {
        let address = [campaign, path, occasion];
        let mut first = 0;
        for part in out.chunks_mut(4 * LANES) {
            match part.len().div_ceil(4) {
                1 => spread(self.blocks::<1>(address, purpose, first), part),
                2 => spread(self.blocks::<2>(address, purpose, first), part),
                3 => spread(self.blocks::<3>(address, purpose, first), part),
                _ => spread(self.blocks::<LANES>(address, purpose, first), part),
            }
            first += LANES as u32;
        }
    }

    /// A generator over the words of one address, for libraries that want one.
    pub fn stream(&self, campaign: u64, path: u64, occasion: u64, purpose: u32) -> Stream {
        Stream {
            luck: *self,
            address: [campaign, path, occasion],
            purpose,
            next_block: 0,
            words: [0; 4],
            used: 4,
        }
    }

    /// `N` consecutive blocks of one address.
    #[inline]
    fn blocks<const N: usize>(&self, address: [u64; 3], purpose: u32, first: u32) -> [[u64; 4]; N] {
        let [campaign, path, occasion] = address;
        let mut counters = [[campaign, path, occasion, 0]; N];
        for (lane, counter) in counters.iter_mut().enumerate() {
            let block = first.wrapping_add(lane as u32);
            counter[3] = u64::from(purpose) << 32 | u64::from(block);
        }
        philox(counters, [self.seed, SCHEME])
    }
}

/// Writes the words of some blocks as uniform numbers, as far as there is room.
#[inline]
fn spread<const N: usize>(blocks: [[u64; 4]; N], out: &mut [f64]) {
    for (uniform, word) in out.iter_mut().zip(blocks.as_flattened()) {
        *uniform = open01(*word);
    }
}

/// A generator in the sense of the `rand` crate over the words of one address, so that
/// `rand_distr` takes it. For draws that need no pairing one by one (posterior parameters,
/// designs); inside a campaign numbers are read by address. Repeats after 2^34 words.
#[derive(Clone, Debug)]
pub struct Stream {
    luck: Luck,
    address: [u64; 3],
    purpose: u32,
    next_block: u32,
    words: [u64; 4],
    used: usize,
}

impl Stream {
    /// The next word.
    #[inline]
    fn word(&mut self) -> u64 {
        if self.used == 4 {
            let [words] = self.luck.blocks::<1>(self.address, self.purpose, self.next_block);
            self.words = words;
            self.next_block = self.next_block.wrapping_add(1);
            self.used = 0;
        }
        let word = self.words[self.used];
        self.used += 1;
        word
    }
}

impl TryRng for Stream {
    type Error = Infallible;

    /// Upper half of a whole word: a short draw uses up as much as a long one.
    fn try_next_u32(&mut self) -> Result<u32, Infallible> {
        Ok((self.word() >> 32) as u32)
    }

    fn try_next_u64(&mut self) -> Result<u64, Infallible> {
        Ok(self.word())
    }

    /// Words in little-endian order, whatever the machine.
    fn try_fill_bytes(&mut self, out: &mut [u8]) -> Result<(), Infallible> {
        for part in out.chunks_mut(8) {
            let bytes = self.word().to_le_bytes();
            part.copy_from_slice(&bytes[..part.len()]);
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use rand::Rng;
    use rand_distr::{Distribution, Gamma, StandardNormal};
    use statrs::distribution::{ChiSquared, ContinuousCDF};

    /// Known answers of the Philox authors' library (zero vector as quoted in public text, the
    /// others from memory; agreement of 256 bits is no accident).
    #[test]
    fn philox_known_answers() {
        let cases = [
            (
                [0; 4],
                [0; 2],
                [0x16554d9eca36314c, 0xdb20fe9d672d0fdc, 0xd7e772cee186176b, 0x7e68b68aec7ba23b],
            ),
            (
                [u64::MAX; 4],
                [u64::MAX; 2],
                [0x87b092c3013fe90b, 0x438c3c67be8d0224, 0x9cc7d7c69cd777b6, 0xa09caebf594f0ba0],
            ),
            (
                [0x243f6a8885a308d3, 0x13198a2e03707344, 0xa4093822299f31d0, 0x082efa98ec4e6c89],
                [0x452821e638d01377, 0xbe5466cf34e90c6c],
                [0xa528f45403e61d95, 0x38c72dbd566e9788, 0xa5a1610e72fd18b5, 0x57bd43b5e52b7fe6],
            ),
        ];
        for (counter, key, expected) in cases {
            assert_eq!(philox([counter], key), [expected]);
            assert_eq!(philox([counter; 3], key), [expected; 3]);
        }
    }

    /// Known answers of the hash (first three: common test vectors; last: computed).
    #[test]
    fn fnv_known_answers() {
        assert_eq!(fnv1a64(""), 0xcbf29ce484222325);
        assert_eq!(fnv1a64("a"), 0xaf63dc4c8601ec8c);
        assert_eq!(fnv1a64("foobar"), 0x85944171f73967e8);
        assert_eq!(fnv1a64("hatch.demand"), 0xa3744f198df0c336);
    }

    /// Golden: the layout of addresses. A change here changes every result of every seed.
    #[test]
    fn the_layout_of_addresses_is_frozen() {
        let luck = Luck::new(2_024);
        let words = luck.block(7, fnv1a64("habitat/lock/hatch"), 3, 5, 2);
        let counter = [7, fnv1a64("habitat/lock/hatch"), 3, 5 << 32 | 2];
        assert_eq!([words], philox([counter], [2_024, SCHEME]));
        assert_eq!(SCHEME, GOLDEN_SCHEME);
        assert_eq!(words, GOLDEN_WORDS);
    }
    /// Computed by a second implementation in another language.
    const GOLDEN_SCHEME: u64 = 0x39975f48a40b20a9;
    const GOLDEN_WORDS: [u64; 4] =
        [0x892f304b188c9717, 0x8494accb7722b668, 0xd3862c39cf87d1d9, 0xc53c139d64459204];

    #[test]
    fn uniform_numbers_are_open_and_exact() {
        let least = open01(0);
        assert_eq!(least, 2f64.powi(-53));
        assert_eq!(1.0 - open01(u64::MAX), least);
        // Value from an independent implementation of the 52-bit form.
        assert_eq!(open01(0x24126ea15001e420), 0.14090625227255027);
    }

    proptest! {
        /// Many at once are the same as one by one, for every length, and as a stream gives them.
        #[test]
        fn fill_is_uniform_by_uniform(seed: u64, campaign: u64, path: u64, n in 0..70usize) {
            let luck = Luck::new(seed);
            let mut all = vec![0.0; n];
            luck.fill(campaign, path, 3, 4, &mut all);
            let mut stream = luck.stream(campaign, path, 3, 4);
            for (index, value) in all.into_iter().enumerate() {
                prop_assert_eq!(value, luck.uniform(campaign, path, 3, 4, index as u32));
                prop_assert_eq!(value, open01(stream.next_u64()));
            }
        }
    }

    #[test]
    fn bytes_are_words_in_little_endian_order() {
        let luck = Luck::new(1);
        let mut bytes = [0; 11];
        luck.stream(1, 2, 3, 4).fill_bytes(&mut bytes);
        let words = luck.block(1, 2, 3, 4, 0);
        assert_eq!(bytes[..8], words[0].to_le_bytes());
        assert_eq!(bytes[8..], words[1].to_le_bytes()[..3]);
        let mut stream = luck.stream(1, 2, 3, 4);
        assert_eq!(u64::from(stream.next_u32()), words[0] >> 32);
        assert_eq!(stream.next_u64(), words[1]);
    }

    /// Mean and variance of draws that `rand_distr` makes from a stream: within 4 standard errors
    /// of the true ones; false-alarm rate about 6e-5 for each of four comparisons.
    #[test]
    fn rand_distr_takes_a_stream() {
        let mut stream = Luck::new(11).stream(0, fnv1a64("posterior"), 0, 0);
        let n = 200_000;
        let gamma = Gamma::new(2.5, 2.0).unwrap();
        let (mut normal_sum, mut square_sum, mut gamma_sum, mut gamma_square) =
            (0.0, 0.0, 0.0, 0.0);
        for _ in 0..n {
            let z: f64 = StandardNormal.sample(&mut stream);
            normal_sum += z;
            square_sum += z * z;
            let g: f64 = gamma.sample(&mut stream);
            gamma_sum += g;
            gamma_square += (g - 5.0) * (g - 5.0);
        }
        let root = f64::from(n).sqrt();
        let n = f64::from(n);
        assert!((normal_sum / n).abs() < 4.0 / root);
        assert!((square_sum / n - 1.0).abs() < 4.0 * 2f64.sqrt() / root);
        assert!((gamma_sum / n - 5.0).abs() < 4.0 * 10f64.sqrt() / root);
        // Fourth central moment of a gamma law: (3 + 6/shape) variance^2.
        let spread = ((3.0 + 6.0 / 2.5 - 1.0) * 100.0f64).sqrt();
        assert!((gamma_square / n - 10.0).abs() < 4.0 * spread / root);
    }

    /// Counting only one word of the address up, or the index, gives uniform numbers with
    /// independent neighbours: chi-square on 256 cells of single numbers and on 16 x 16 cells of
    /// overlapping-free pairs. Two-sided false-alarm rate 1e-4 per comparison, ten comparisons.
    #[test]
    fn numbers_are_uniform_in_every_direction() {
        let luck = Luck::new(20);
        let directions: [&dyn Fn(u64) -> f64; 5] = [
            &|i| luck.uniform(i, 1, 2, 3, 0),
            &|i| luck.uniform(1, i, 2, 3, 1),
            &|i| luck.uniform(1, 2, i, 3, 2),
            &|i| luck.uniform(1, 2, 3, i as u32, 3),
            &|i| luck.uniform(1, 2, 3, 4, i as u32),
        ];
        let law = ChiSquared::new(255.0).unwrap();
        let (low, high) = (law.inverse_cdf(5e-5), law.inverse_cdf(1.0 - 5e-5));
        for (which, draw) in directions.iter().enumerate() {
            let mut single = [0u32; 256];
            let mut pairs = [0u32; 256];
            for i in 0..1 << 16 {
                let (a, b) = (draw(2 * i), draw(2 * i + 1));
                single[(a * 256.0) as usize] += 1;
                single[(b * 256.0) as usize] += 1;
                pairs[(a * 16.0) as usize * 16 + (b * 16.0) as usize] += 1;
            }
            for (counts, each) in [(single, 512.0), (pairs, 256.0)] {
                let squares = counts.map(|c| (f64::from(c) - each).powi(2) / each);
                let chi: f64 = squares.iter().sum();
                assert!(low < chi && chi < high, "direction {which}: {chi}");
            }
        }
    }

    /// Numbers of neighbouring addresses do not go together: correlation of n = 2^16 pairs below
    /// 4 standard errors (1/sqrt n); false-alarm rate 6e-5 for each of four directions.
    #[test]
    fn neighbouring_addresses_are_unrelated() {
        let luck = Luck::new(21);
        let n = 1 << 16;
        let mut sums = [0.0; 4];
        for i in 0..n {
            let at = |c, p, o, u| luck.uniform(c, p, o, u, 0) - 0.5;
            let here = at(i, 1, 1, 1);
            sums[0] += here * at(i, 2, 1, 1);
            sums[1] += here * at(i, 1, 2, 1);
            sums[2] += here * at(i, 1, 1, 2);
            sums[3] += here * (Luck::new(22).uniform(i, 1, 1, 1, 0) - 0.5);
        }
        for sum in sums {
            let correlation = 12.0 * sum / n as f64;
            assert!(correlation.abs() < 4.0 / (n as f64).sqrt(), "{correlation}");
        }
    }
}
