//! Whole numbers as people write them: `20000`, `20_000`, `2e4`.

/// Largest count that is read: a float holds every whole number up to here.
const MOST: f64 = 9_007_199_254_740_992.0;

/// Reads a count of at least 1.
///
/// # Errors
/// What is wrong with it and what to write.
pub fn count(text: &str) -> Result<u64, String> {
    let plain = text.replace('_', "");
    let n = match plain.parse::<u64>() {
        Ok(n) => n,
        Err(_) => whole(&plain)?,
    };
    if n == 0 { Err("at least 1 is needed".into()) } else { Ok(n) }
}

fn whole(text: &str) -> Result<u64, String> {
    let wrong = || "write a whole number, for example 20000 or 2e4".to_string();
    // What begins with a letter would be read as `inf` or `nan`.
    if !text.starts_with(|c: char| c.is_ascii_digit() || c == '+') {
        return Err(wrong());
    }
    let x: f64 = text.parse().map_err(|_| wrong())?;
    let fits = x.fract() == 0.0 && (0.0..=MOST).contains(&x);
    if fits { Ok(x as u64) } else { Err(wrong()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_are_read_as_people_write_them() {
        let cases =
            [("20000", 20_000), ("2e4", 20_000), ("1.5e3", 1500), ("20_000", 20_000), ("1", 1)];
        for (text, n) in cases {
            assert_eq!(count(text), Ok(n), "{text}");
        }
        assert_eq!(count(&u64::MAX.to_string()), Ok(u64::MAX));
        for text in ["0", "0.5", "1e-3", "1e40", "-3", "ten", "inf", "nan", "", "1e", "2,000"] {
            assert!(count(text).is_err(), "{text}");
        }
    }
}
