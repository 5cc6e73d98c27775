//! Key paths as findings show them: `element.habitat.volume`, `list.ingress[3].takes`, names that are no
//! bare keys in quotes.

use std::fmt;

/// One step of a path.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::scenario) enum Step {
    /// A key of a table.
    Key(String),
    /// An item of a list, from 0.
    Item(usize),
}

/// A path into the tree of a campaign.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeyPath {
    pub(in crate::scenario) steps: Vec<Step>,
}

impl KeyPath {
    /// The path that a text spells; `None` if it spells none.
    pub fn parse(text: &str) -> Option<KeyPath> {
        let mut steps = Vec::new();
        let mut rest = text.trim();
        while !rest.is_empty() {
            rest = match steps.is_empty() {
                true => rest,
                false if rest.starts_with('[') => rest,
                false => rest.strip_prefix('.')?,
            };
            let (step, behind) = step(rest)?;
            steps.push(step);
            rest = behind;
        }
        let first_is_key = matches!(steps.first(), Some(Step::Key(_)));
        first_is_key.then_some(KeyPath { steps })
    }

    /// Does one of the two lead into the other, or to the same place?
    pub fn overlaps(&self, other: &KeyPath) -> bool {
        self.steps.iter().zip(&other.steps).all(|(a, b)| a == b)
    }
}

/// The first step of a text, and what stands behind it.
fn step(text: &str) -> Option<(Step, &str)> {
    if let Some(item) = text.strip_prefix('[') {
        let (number, rest) = item.split_once(']')?;
        return Some((Step::Item(number.parse().ok()?), rest));
    }
    if let Some(quoted) = text.strip_prefix('"') {
        let (key, rest) = quoted.split_once('"')?;
        return (!key.is_empty()).then(|| (Step::Key(key.to_string()), rest));
    }
    let end = text.find(['.', '[']).unwrap_or(text.len());
    let key = text[..end].trim();
    let bare = |c: char| c.is_ascii_alphanumeric() || c == '_' || c == '-' || c == ' ';
    let fits = !key.is_empty() && key.chars().all(bare);
    fits.then(|| (Step::Key(key.to_string()), &text[end..]))
}

impl fmt::Display for KeyPath {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, step) in self.steps.iter().enumerate() {
            let bare = |c: char| c.is_ascii_alphanumeric() || c == '_' || c == '-';
            match step {
                Step::Item(n) => write!(f, "[{n}]")?,
                Step::Key(key) => {
                    f.write_str(if i == 0 { "" } else { "." })?;
                    match key.chars().all(bare) {
                        true => f.write_str(key)?,
                        false => write!(f, "{key:?}")?,
                    }
                }
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_are_read_as_they_are_shown() {
        for text in ["a", "element.habitat.volume", "list.ingress[3].takes", "a.\"b c\".d[0][1]"] {
            assert_eq!(KeyPath::parse(text).unwrap().to_string(), text);
        }
        for text in ["", ".a", "a..b", "[0]", "a[x]", "a]", "a.\"b", "a,b"] {
            assert_eq!(KeyPath::parse(text), None, "{text}");
        }
    }

    #[test]
    fn paths_overlap_where_one_leads_into_the_other() {
        let path = |t| KeyPath::parse(t).unwrap();
        assert!(path("a.b").overlaps(&path("a.b.c")) && path("a.b.c").overlaps(&path("a.b")));
        assert!(!path("a.b").overlaps(&path("a.c")) && !path("a[0]").overlaps(&path("a[1]")));
    }
}
