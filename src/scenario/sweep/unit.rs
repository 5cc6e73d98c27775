//! A quantity taken apart into its number and its unit as written, and put together again: values of a
//! factor are spread in the unit that the sweep file is written in.

use crate::scenario::tree::Value;

/// Number and unit of a quantity; the unit of a bare number is empty.
pub(super) fn apart(value: &Value) -> Option<(f64, &str)> {
    match value {
        Value::Text(text) => {
            let text = text.trim();
            let end = text.find(char::is_whitespace)?;
            let number = text[..end].parse::<f64>().ok().filter(|x| x.is_finite())?;
            Some((number, text[end..].trim()))
        }
        #[allow(clippy::cast_precision_loss)] // counts of the files are far below 2^53
        Value::Whole(n) => Some((*n as f64, "")),
        Value::Real(x) if x.is_finite() => Some((*x, "")),
        _ => None,
    }
}

/// A number as a campaign file would have it.
pub(super) fn together(number: f64, unit: &str) -> Value {
    match unit {
        "" => Value::Real(number),
        unit => Value::Text(format!("{number} {unit}")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quantity_is_the_same_when_put_together_again() {
        let text = |t: &str| Value::Text(t.to_string());
        assert_eq!(apart(&text("6.2e-5 /h")), Some((6.2e-5, "/h")));
        assert_eq!(apart(&text(" 10 m3/min ")), Some((10.0, "m3/min")));
        assert_eq!(apart(&Value::Whole(3)), Some((3.0, "")));
        assert_eq!(apart(&text("ten m")), None);
        let Value::Text(back) = together(0.1 + 0.2, "kg") else { panic!("a text") };
        assert_eq!(apart(&Value::Text(back)), Some((0.1 + 0.2, "kg")));
    }
}
