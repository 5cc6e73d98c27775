//! The standard normal law: its distribution function and the inverse of it.

// The coefficients stand as they were published.
#![expect(clippy::excessive_precision)]

use statrs::function::erf::erfc;
use std::f64::consts::{FRAC_1_SQRT_2, PI};

/// 95th percentile of the standard normal law, 1.644853626951... (any table; common practice).
pub const Z95: f64 = 1.644_853_626_951_472_7;

/// Chance that a standard normal value lies below `z`: erfc(-z/sqrt 2)/2. Relative error about
/// 1e-10, that of the error function of `statrs`.
pub fn normal_below(z: f64) -> f64 {
    0.5 * erfc(-z * FRAC_1_SQRT_2)
}

/// Density of the standard normal law at `z`.
pub(super) fn normal_density(z: f64) -> f64 {
    (-0.5 * z * z).exp() / (2.0 * PI).sqrt()
}

/// Value below which a standard normal lies with chance `u`, for 0 < u < 1.
///
/// Rational approximations on three ranges, relative error about 1e-15 at the given precision.
/// Source: M. J. Wichura, "The percentage points of the normal distribution", Algorithm AS 241
/// (PPND16), Applied Statistics 37 (1988) 477-484; coefficients from memory, checked by going
/// forward through [`normal_below`] again (see the tests).
/// Limits: u below 1e-300 is beyond the third range; outside (0, 1) the result is NaN or infinite.
pub fn normal_quantile(u: f64) -> f64 {
    let q = u - 0.5;
    if q.abs() <= 0.425 {
        let r = 0.180_625 - q * q;
        return q * polynomial(&CENTRE_ABOVE, r) / polynomial(&CENTRE_BELOW, r);
    }
    // The nearer tail; 1 - u is exact for u above a half.
    let tail = if q < 0.0 { u } else { 1.0 - u };
    let r = (-tail.ln()).sqrt();
    let z = if r <= 5.0 {
        let r = r - 1.6;
        polynomial(&NEAR_ABOVE, r) / polynomial(&NEAR_BELOW, r)
    } else {
        let r = r - 5.0;
        polynomial(&FAR_ABOVE, r) / polynomial(&FAR_BELOW, r)
    };
    z.copysign(q)
}

/// Horner's rule; lowest power first.
#[inline]
fn polynomial(coefficients: &[f64; 8], x: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, c| sum * x + c)
}

const CENTRE_ABOVE: [f64; 8] = [
    3.387_132_872_796_366_608_0,
    1.331_416_678_917_843_774_5e2,
    1.971_590_950_306_551_442_7e3,
    1.373_169_376_550_946_112_5e4,
    4.592_195_393_154_987_145_7e4,
    6.726_577_092_700_870_085_3e4,
    3.343_057_558_358_812_810_5e4,
    2.509_080_928_730_122_672_7e3,
];
const CENTRE_BELOW: [f64; 8] = [
    1.0,
    4.231_333_070_160_091_125_2e1,
    6.871_870_074_920_579_083_0e2,
    5.394_196_021_424_751_107_7e3,
    2.121_379_430_158_659_586_7e4,
    3.930_789_580_009_271_061_0e4,
    2.872_908_573_572_194_267_4e4,
    5.226_495_278_852_854_561_0e3,
];
const NEAR_ABOVE: [f64; 8] = [
    1.423_437_110_749_683_577_34,
    4.630_337_846_156_545_295_90,
    5.769_497_221_460_691_405_50,
    3.647_848_324_763_204_605_04,
    1.270_458_252_452_368_382_58,
    2.417_807_251_774_506_117_70e-1,
    2.272_384_498_926_918_458_33e-2,
    7.745_450_142_783_414_076_40e-4,
];
const NEAR_BELOW: [f64; 8] = [
    1.0,
    2.053_191_626_637_758_821_87,
    1.676_384_830_183_803_849_40,
    6.897_673_349_851_000_045_50e-1,
    1.481_039_764_274_800_745_90e-1,
    1.519_866_656_361_645_719_66e-2,
    5.475_938_084_995_344_946_00e-4,
    1.050_750_071_644_416_843_24e-9,
];
const FAR_ABOVE: [f64; 8] = [
    6.657_904_643_501_103_777_20,
    5.463_784_911_164_114_369_90,
    1.784_826_539_917_291_335_80,
    2.965_605_718_285_048_912_30e-1,
    2.653_218_952_657_612_309_30e-2,
    1.242_660_947_388_078_438_60e-3,
    2.711_555_568_743_487_578_15e-5,
    2.010_334_399_292_288_132_65e-7,
];
const FAR_BELOW: [f64; 8] = [
    1.0,
    5.998_322_065_558_879_376_90e-1,
    1.369_298_809_227_358_053_10e-1,
    1.487_536_129_085_061_485_25e-2,
    7.868_691_311_456_132_591_00e-4,
    1.846_318_317_510_054_681_80e-5,
    1.421_511_758_316_445_888_70e-7,
    2.044_263_103_389_939_785_64e-15,
];
