//! How many digits people read: numbers end at the first digit of the half-width of their interval
//! (0.6 %, 30 days, 13 sorties); what stands behind it is noise. Files keep every digit.

use crate::measure::Measure;

/// Position of the last digit that is shown, as a power of ten: -1 for one decimal, 1 for tens.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Digits(i32);

impl Digits {
    /// The first digit of a half-width, though never less than the first of the value; of a value
    /// without one, the third digit of the value.
    pub fn of(value: f64, half: Option<f64>) -> Digits {
        let first = |x: f64| x.abs().log10().floor() as i32;
        match half {
            Some(h) if h > 0.0 && h.is_finite() => match value != 0.0 && value.is_finite() {
                true => Digits(first(h).min(first(value))),
                false => Digits(first(h)),
            },
            _ if value != 0.0 && value.is_finite() => Digits((first(value) - 2).min(0)),
            _ => Digits(0),
        }
    }

    /// The same for an interval: half its width, or the distance of the only limit that is known.
    pub fn of_interval(value: f64, low: Option<f64>, high: Option<f64>) -> Digits {
        let half = match (low, high) {
            (Some(l), Some(h)) => Some((h - l) / 2.0),
            (Some(x), None) | (None, Some(x)) => Some((x - value).abs()),
            (None, None) => None,
        };
        Digits::of(value, half)
    }

    /// A number with these digits. Tens and more are rounded to; what is below a millionth or above a
    /// million is written with a power of ten.
    pub fn show(self, x: f64) -> String {
        if !x.is_finite() {
            return format!("{x}");
        }
        let unit = 10_f64.powi(self.0);
        let rounded = (x / unit).round() * unit;
        if rounded == 0.0 {
            return "0".into();
        }
        let size = rounded.abs().log10().floor() as i32;
        if !(-4..=6).contains(&size) {
            return format!("{rounded:.*e}", (size - self.0).clamp(0, 6) as usize);
        }
        format!("{rounded:.*}", (-self.0).clamp(0, 12) as usize)
    }
}

/// A value of a measure as people read it: per cent for shares.
pub fn scaled(m: &Measure, x: f64) -> f64 {
    if m.is_share() { 100.0 * x } else { x }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_end_at_the_first_digit_of_the_half_width() {
        let cases = [
            (89.74, 4.55, "90"),
            (157.0, 0.95, "157.0"),
            (1609.2, 46.5, "1610"),
            (133.4, 13.0, "130"),
            (3.0, 20.0, "3"),
            (91.6, 0.4, "91.6"),
            (0.00058, 0.00021, "0.0006"),
            (2.31e-5, 1.2e-6, "2.3e-5"),
            (3.21e7, 2.0e6, "3.2e7"),
        ];
        for (x, half, text) in cases {
            assert_eq!(Digits::of(x, Some(half)).show(x), text, "{x} +- {half}");
        }
    }

    #[test]
    fn what_is_known_exactly_keeps_three_digits_or_whole_numbers() {
        let of = |x: f64| Digits::of(x, None).show(x);
        assert_eq!([of(1496.4), of(82.14), of(0.0553), of(0.0)], ["1496", "82.1", "0.0553", "0"]);
        assert_eq!(Digits::of(165.0, Some(0.0)).show(165.0), "165");
        assert_eq!(Digits::of_interval(0.0, None, Some(0.6)).show(0.6), "0.6");
        assert_eq!(Digits::of_interval(5.0, Some(4.0), Some(6.0)).show(4.0), "4");
    }
}
