//! What of a text is prose, and which old words of the trade are left in it.

use vestibule::measure::glossary::OLD;

/// Keys, values, files and names that are fixed although they hold an old word. They stand in quotes,
/// between backticks, alone in a cell, or as the first thing of a line of a list; in prose they are no
/// excuse.
pub const FIXED: &[&str] = &[
    // values
    "way back",
    "next way back",
    "missed",
    "late",
    "no way back used",
    "not told apart from noise",
    "stand down",
    // keys, columns and measures
    "luck",
    "upkeep",
    "upkeep hours",
    "misses",
    "ways_back",
    "way_back",
    "broken",
    "campaign_haven_missed",
    "haven_missed",
    "haven_late",
    "haven_way_back",
    "upkeep_h",
];

/// Is this a value or key as it stands, or the cause of a table, which names a port before it?
pub fn fixed(text: &str) -> bool {
    let own = text.rsplit(": ").next().unwrap_or(text);
    FIXED.contains(&own.trim()) && !text.contains(". ")
}

/// Words that are prose, in lower case with single blanks: nothing between backticks, no quoted value,
/// no fixed value at the beginning of a line, no name of a key, file, part or list.
pub fn prose(text: &str) -> String {
    let outside: Vec<&str> = text.split('`').step_by(2).collect();
    let mut text = outside.join(" x ");
    for value in FIXED {
        text = text.replace(&format!("\"{value}\""), " x ");
    }
    let listed = |line: &str| {
        let own = line.trim_start();
        let value = FIXED.iter().filter(|v| own.starts_with(&format!("{v}  ")));
        value.max_by_key(|v| v.len()).map_or(own.to_string(), |v| own[v.len()..].to_string())
    };
    let text: String = text.lines().map(|l| listed(l) + "\n").collect();
    let inside = |w: &str, c: char| w.trim_matches(|x: char| x.is_ascii_punctuation()).contains(c);
    let plain = |w: &&str| {
        !w.contains(['_', '/', '=', '#']) && !w.trim_matches('-').contains('-') && !inside(w, '.')
    };
    text.split_whitespace().filter(plain).collect::<Vec<_>>().join(" ").to_lowercase()
}

/// Old words that are left in the prose of a text, each with what stands around it.
pub fn old_words(what: &str, text: &str) -> Vec<String> {
    let text = prose(text);
    let mut left = Vec::new();
    for (old, _) in OLD {
        let whole = |i: usize| {
            !text[..i].ends_with(char::is_alphanumeric)
                && !text[i + old.len()..].starts_with(char::is_alphanumeric)
        };
        for (i, _) in text.match_indices(old).filter(|(i, _)| whole(*i)).take(3) {
            let before: Vec<char> = text[..i].chars().rev().take(40).collect();
            let before: String = before.into_iter().rev().collect();
            let from: String = text[i..].chars().take(40).collect();
            left.push(format!("{what}: [{old}] ...{before}{from}"));
        }
    }
    left
}
