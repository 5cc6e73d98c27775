//! The words of the trade: every one is used where people read, and none of the words they replaced is
//! left there. Names of keys, files, parts and values are fixed: they stand in quotes, with underscores,
//! hyphens or slashes, and are no prose.

use super::*;
use vestibule::measure::glossary::{OLD, TERMS};

/// Everything the commands say on larkspur and on the starter, by command.
fn said() -> Vec<(String, String)> {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    let home = tempfile::tempdir().unwrap();
    let folder = home.path().join("results");
    let folder = folder.to_str().unwrap();
    let file = "runs/larkspur/campaign.toml";
    let replay = ["replay", file, "--architecture", "suitport-pair", "--campaign", "0"];
    let commands: [&[&str]; 9] = [
        &["run", file, "--campaigns", "64", "--out", folder, "-v"],
        &["check", file],
        &replay,
        &["--help"],
        &["run", "--help"],
        &["list", "measures"],
        &["list", "rules"],
        &["list", "conditions"],
        &["list", "effects"],
    ];
    let mut all: Vec<(String, String)> = commands
        .iter()
        .map(|c| {
            let o = vestibule(here, c);
            assert_eq!(code(&o), 0, "{c:?}: {}", err(&o));
            (c.join(" "), out(&o) + &err(&o))
        })
        .collect();
    let readme = fs::read_to_string(Path::new(folder).join("README.txt")).unwrap();
    all.push(("README.txt".into(), readme));
    all
}

/// Words that are prose: nothing between backticks, no name of a key, file, part or list.
fn prose(text: &str) -> String {
    let outside: Vec<&str> = text.split('`').step_by(2).collect();
    let plain = |w: &&str| !w.contains(['_', '/', '=', '#']) && !w.trim_matches('-').contains('-');
    let words = outside.join(" x ");
    words.split_whitespace().filter(plain).collect::<Vec<_>>().join(" ").to_lowercase()
}

#[test]
fn every_word_of_the_trade_is_used_and_none_of_the_old_ones() {
    let said = said();
    let all: String = said
        .iter()
        .map(|(_, text)| text.split_whitespace().collect::<Vec<_>>().join(" ") + "\n")
        .collect();
    let all = all.to_lowercase();
    let unused: Vec<&str> =
        TERMS.iter().map(|t| t.title).filter(|t| !all.contains(&t.to_lowercase())).collect();
    assert!(unused.is_empty(), "no text uses {unused:?}");
    let mut left = Vec::new();
    for (what, text) in &said {
        let text = prose(text);
        for (old, _) in OLD {
            let begins = |(i, _): &(usize, &str)| !text[..*i].ends_with(char::is_alphanumeric);
            for (i, _) in text.match_indices(old).filter(begins) {
                let around: String = text[..i].chars().rev().take(40).collect();
                let around: String = around.chars().rev().collect();
                let after: String = text[i..].chars().take(40).collect();
                left.push(format!("{what}: ...{around}{after}"));
            }
        }
    }
    assert!(left.is_empty(), "{} old words are left:\n{}", left.len(), left.join("\n"));
}

#[test]
fn prose_has_no_names() {
    assert_eq!(
        prose("the `way back` of haven_way_back is a way-back/x here"),
        "the x of is a here"
    );
}
