//! Which keys of an entry differ: of a long entry only these are worth reading.

/// Both values of an entry without the keys that are the same in both; whole where that cannot be
/// told.
pub(super) fn apart(old: &str, new: &str) -> (String, String) {
    let (before, after) = (pairs(old), pairs(new));
    if before.len() < 2 || after.len() < 2 {
        return (old.into(), new.into());
    }
    let only = |of: &[&str], other: &[&str]| {
        of.iter().filter(|p| !other.contains(p)).copied().collect::<Vec<_>>().join(", ")
    };
    (only(&before, &after), only(&after, &before))
}

/// `key = value` by `key = value`; commas inside quotes and brackets part nothing.
fn pairs(text: &str) -> Vec<&str> {
    let (mut quoted, mut deep, mut from) = (false, 0_i32, 0);
    let mut out = Vec::new();
    for (i, c) in text.char_indices() {
        match c {
            '"' => quoted = !quoted,
            '[' | '{' if !quoted => deep += 1,
            ']' | '}' if !quoted => deep -= 1,
            ',' if !quoted && deep == 0 => {
                out.push(text[from..i].trim());
                from = i + 1;
            }
            _ => {}
        }
    }
    out.push(text[from..].trim());
    let is_pair = |p: &&str| p.contains(" = ");
    match out.iter().all(|p| is_pair(p) || *p == "...") {
        // Where the end of a long entry is left out, the dots are no key.
        true => out.into_iter().filter(is_pair).collect(),
        false => vec![text],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_keys_that_differ_are_told() {
        let old =
            "from = \"habitat\", ports = [\"a\", \"b\"], per_week = 3, dust.low = \"1 g\", ...";
        let new = old.replace("per_week = 3", "per_week = 4");
        assert_eq!(apart(old, &new), ("per_week = 3".into(), "per_week = 4".into()));
        let more = old.replace("per_week = 3, ", "");
        assert_eq!(apart(old, &more), ("per_week = 3".into(), String::new()));
        // A single value, and text that is no list of keys, stay as they are.
        assert_eq!(apart("\"5 h\"", "\"6 h, 7\""), ("\"5 h\"".into(), "\"6 h, 7\"".into()));
        assert_eq!(apart("", "a = 1, b = 2"), (String::new(), "a = 1, b = 2".into()));
    }
}
