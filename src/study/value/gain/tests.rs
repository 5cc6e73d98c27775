//! Two and three actions with normal, linear losses, of which the value of knowing has a closed form;
//! nested play of the same case beside the regression.

use super::*;
use crate::base::law::normal_below;
use crate::base::stream::{Luck, Stream};

fn seeded(seed: u64) -> Stream {
    Luck::new(seed).stream(0, 0, 0, 0)
}

/// Action 0 loses nothing; action 1 loses b + sum c_i theta_i, theta standard normal. With s^2 the sum
/// of c_i^2 over what is known:  value = s phi(b/s) - b Phi(-b/s).
fn closed_form(b: f64, known: &[f64]) -> f64 {
    let s = known.iter().map(|c| c * c).sum::<f64>().sqrt();
    let density = (-0.5 * (b / s).powi(2)).exp() / (2.0 * std::f64::consts::PI).sqrt();
    s * density - b * normal_below(-b / s)
}

const B: f64 = 0.5;
const C: [f64; 4] = [1.0, 0.5, 0.25, 0.0];

struct Case {
    parameters: Vec<Vec<f64>>,
    losses: Vec<Vec<f64>>,
    errors: Vec<Vec<f64>>,
}

/// Sets with `inner` plays each; a play adds noise of a standard deviation to the losses of action 1.
fn case(sets: usize, inner: usize, sd: f64, seed: u64) -> Case {
    let mut draws = seeded(seed);
    let mut normal = || -> f64 { StandardNormal.sample(&mut draws) };
    let parameters: Vec<Vec<f64>> =
        (0..C.len()).map(|_| (0..sets).map(|_| normal()).collect()).collect();
    let mut half = |j: usize| {
        let mean: f64 = C.iter().zip(&parameters).map(|(c, p)| c * p[j]).sum();
        let noise: f64 = (0..inner / 2).map(|_| sd * normal()).sum::<f64>() / (inner / 2) as f64;
        B + mean + noise
    };
    let halves: Vec<[f64; 2]> = (0..sets).map(|j| [half(j), half(j)]).collect();
    let of = |f: fn(&[f64; 2]) -> f64| halves.iter().map(f).collect::<Vec<f64>>();
    Case {
        losses: vec![vec![0.0; sets], of(|h| 0.5 * (h[0] + h[1]))],
        errors: vec![vec![0.0; sets], of(|h| 0.5 * (h[0] - h[1]))],
        parameters,
    }
}

impl Case {
    fn losses(&self) -> Losses {
        Losses::new(&self.losses, Some(&self.errors)).expect("two choices")
    }

    fn of(&self, known: &[usize], seed: u64) -> Gain {
        let slices: Vec<&[f64]> = known.iter().map(|i| self.parameters[*i].as_slice()).collect();
        self.losses().of(&slices, &mut seeded(seed))
    }
}

/// The closed form at b = 0 is s / (2 pi)^1/2, and what is known at b = 0.5, s = 1 (tables of the
/// unit normal loss integral: 0.1978, from memory).
#[test]
fn the_closed_form_is_the_unit_normal_loss() {
    assert!((closed_form(0.5, &[1.0]) - 0.1978).abs() < 5e-5);
    assert!((closed_form(0.0, &[2.0]) - 2.0 / (2.0 * std::f64::consts::PI).sqrt()).abs() < 1e-12);
}

/// Mean over 100 runs of 500 sets with noise of the size of the effects: within 4 standard errors of
/// the mean plus 3 % of the closed form (false alarm 6e-5 each), for each parameter that matters, a
/// group, and perfect information; and the noise, left in, would be seen.
#[test]
fn values_agree_with_the_closed_form() {
    let known: [&[usize]; 4] = [&[0], &[1], &[0, 1], &[0, 1, 2, 3]];
    let mut found = vec![Vec::new(); known.len() + 2];
    for seed in 0..100 {
        let case = case(500, 16, 4.0, 3000 + seed);
        for (k, which) in known.iter().enumerate() {
            let slices: Vec<&[f64]> =
                which.iter().map(|i| case.parameters[*i].as_slice()).collect();
            let losses = case.losses();
            let fit = Fit::of(&losses.deviations, &slices).expect("they vary");
            found[k].push(mean(&losses.after(&fit).0.gains));
        }
        found[known.len()].push(case.losses().perfect().value.unwrap());
        let raw = Losses::new(&case.losses, None).unwrap().perfect();
        found[known.len() + 1].push(raw.value.unwrap());
    }
    let expected =
        |which: &[usize]| closed_form(B, &which.iter().map(|i| C[*i]).collect::<Vec<_>>());
    for (k, all) in found[..=known.len()].iter().enumerate() {
        let expected = expected(known.get(k).copied().unwrap_or(&[0, 1, 2, 3]));
        let (got, error) = (mean(all), standard_error(all));
        let within = 4.0 * error + 0.03 * expected;
        assert!((got - expected).abs() < within, "{k}: {got} is not {expected}");
    }
    let perfect = expected(&[0, 1, 2, 3]);
    assert!(mean(&found[known.len() + 1]) > 1.2 * perfect, "noise would count as knowledge");
}

/// The regression and nested play (theta_1 outside, 400 plays of the rest inside) of the same case, both
/// against the closed form: nested play of 2000 outer draws is within 4 standard errors plus its own
/// bias upward, at most the inner noise; regression of 2000 sets is within its interval.
#[test]
fn nested_play_says_the_same() {
    let expected = closed_form(B, &C[..1]);
    let mut draws = seeded(77);
    let mut normal = || -> f64 { StandardNormal.sample(&mut draws) };
    let nested: Vec<f64> = (0..2000)
        .map(|_| {
            let theta = normal();
            let inner = 400;
            let one = |normal: &mut dyn FnMut() -> f64| {
                let rest: f64 = C[1..].iter().map(|c| c * normal()).sum();
                B + C[0] * theta + rest + normal()
            };
            let mean = (0..inner).map(|_| one(&mut normal)).sum::<f64>() / f64::from(inner);
            (-mean).max(0.0)
        })
        .collect();
    // The inner mean has variance (0.3125 + 1) / 400; it widens the spread of 1 by so much.
    let bias = closed_form(B, &[(1.0f64 + 1.3125 / 400.0).sqrt()]) - expected;
    let (got, error) = (mean(&nested), standard_error(&nested));
    assert!((got - expected - bias).abs() < 4.0 * error, "{got} is not {expected} + {bias}");
    let gain = case(2000, 16, 4.0, 78).of(&[0], 1);
    let (low, high) = (gain.low.unwrap(), gain.high.unwrap());
    assert!(low < got && got < high, "nested {got} is not in {low} to {high}");
    assert_eq!(gain.verdict, Verdict::Could);
    assert_eq!(gain.instead, Some(1));
}

/// Intervals for the first parameter cover the closed form in at least 179 of 200 runs (binomial with
/// 0.95: 179 to 198 at false alarm 1e-3; the upper end is a bound, so that they may be wide); an idle
/// parameter is told to change the choice in at most 20 of 200 (floor at 5 %: 99.9 % quantile).
#[test]
fn intervals_cover_and_idle_parameters_tell_nothing() {
    let (expected, mut covered, mut idle) = (closed_form(B, &C[..1]), 0, 0);
    for seed in 0..200 {
        let case = case(300, 4, 2.0, 9000 + seed);
        let first = case.of(&[0], seed);
        covered += u64::from(first.low.unwrap() <= expected && expected <= first.high.unwrap());
        idle += u64::from(case.of(&[3], seed).verdict == Verdict::Could);
    }
    assert!(covered >= 179, "{covered} of 200");
    assert!(idle <= 20, "{idle} of 200");
}

/// One choice is far better whatever the parameters: perfect information and each of them cannot
/// change it, the value is 0 without an upper limit, and the note says how seldom.
#[test]
fn a_clear_choice_stays() {
    let mut case = case(400, 16, 0.4, 5);
    case.losses[1].iter_mut().for_each(|x| *x += 50.0);
    for gain in [case.losses().perfect(), case.of(&[0], 1)] {
        assert_eq!((gain.value, gain.high, gain.changes), (Some(0.0), None, 0));
        assert_eq!(gain.verdict, Verdict::Cannot);
        assert!(gain.note.contains("none of 400 sets"), "{}", gain.note);
    }
    assert!(Losses::new(&case.losses[..1], None).is_none());
    assert_eq!(case.losses().of(&[&[1.0; 400]], &mut seeded(1)).verdict, Verdict::Unknown);
}

/// Three choices: losses 0, x, -x with x standard normal. Knowing x is worth E|x| = (2/pi)^1/2.
#[test]
fn three_choices() {
    let mut draws = seeded(6);
    let x: Vec<f64> = (0..2000).map(|_| StandardNormal.sample(&mut draws)).collect();
    // The third choice is a little worse than its mirror image, so that the first is taken now.
    let off = mean(&x).abs() + 1e-3;
    let losses = vec![
        vec![0.0; 2000],
        x.iter().map(|x| off + x).collect(),
        x.iter().map(|x| off - x).collect(),
    ];
    let gain = Losses::new(&losses, None).unwrap().of(&[&x], &mut seeded(7));
    let expected = (2.0 / std::f64::consts::PI).sqrt();
    let error = 4.0 * (1.0 - 2.0 / std::f64::consts::PI).sqrt() / 2000f64.sqrt() + off;
    assert!((gain.value.unwrap() - expected).abs() < error, "{gain:?}");
    assert!(gain.changes > 1900);
}
