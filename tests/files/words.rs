//! No old word of the trade is left in what is written: every text in the source, README, the rules of
//! play, the pages of the demos and clusters, and the comments of every file that is shipped.

use crate::prose::{fixed, old_words};
use std::fs;
use std::path::{Path, PathBuf};

fn home() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Files below a folder with one of the endings, results left out.
fn below(folder: &str, endings: &[&str]) -> Vec<PathBuf> {
    fn walk(folder: &Path, out: &mut Vec<PathBuf>) {
        for e in fs::read_dir(folder).unwrap() {
            let path = e.unwrap().path();
            match path.is_dir() {
                true if path.ends_with("results") => {}
                true => walk(&path, out),
                false => out.push(path),
            }
        }
    }
    let mut out = Vec::new();
    walk(&home().join(folder), &mut out);
    out.retain(|p| p.extension().is_some_and(|e| endings.iter().any(|x| e == *x)));
    out.sort();
    out
}

fn named(path: &Path) -> String {
    path.strip_prefix(home()).unwrap().display().to_string()
}

/// Texts of a source file, comments and unit tests left out, lines that go on joined.
fn texts(source: &str) -> Vec<String> {
    let code = source.split("#[cfg(test)]\nmod ").next().unwrap();
    let lines = code.lines().filter(|l| !l.trim_start().starts_with("//"));
    let code: String = lines.map(|l| format!("{l}\n")).collect();
    let mut out = Vec::new();
    let mut open: Option<String> = None;
    let mut chars = code.chars().peekable();
    while let Some(c) = chars.next() {
        match (&mut open, c) {
            (None, '\'') => {
                // A character, not a lifetime: its quote must not open a text.
                let mut ahead = chars.clone();
                let first = ahead.next();
                if first == Some('\\') || ahead.next() == Some('\'') {
                    chars.next();
                    if first == Some('\\') {
                        chars.next();
                    }
                    while chars.next_if(|c| *c != '\'').is_some() {}
                    chars.next();
                }
            }
            (None, '"') => open = Some(String::new()),
            (None, _) => {}
            (Some(_), '"') => out.extend(open.take()),
            (Some(text), '\\') => match chars.next() {
                Some('\n') => while chars.next_if(|c| c.is_whitespace()).is_some() {},
                Some('n') => text.push('\n'),
                Some(c) => text.push(c),
                None => {}
            },
            (Some(text), c) => text.push(c),
        }
    }
    assert!(open.is_none(), "a text does not end");
    out.iter().map(|t| without_places(t)).collect()
}

/// A text of a format without the names of what is put into it.
fn without_places(text: &str) -> String {
    let mut pieces = text.split('{');
    let first = pieces.next().unwrap_or("").to_string();
    let after = pieces.map(|p| p.split_once('}').map_or(p, |(_, rest)| rest));
    after.fold(first, |out, p| out + "x" + p)
}

/// What an engineer reads of a shipped file: its comments.
fn comments(file: &str) -> String {
    let comment = |l: &str| l.split_once('#').map(|(_, c)| c.to_string() + "\n");
    file.lines().filter_map(comment).collect()
}

#[test]
fn no_text_of_the_source_says_an_old_word() {
    // Texts of stories are said in words of the trade by `report/story/trade.rs`, which is tested by
    // what `replay` prints; the glossary names the old words.
    let other = ["src/campaign/", "src/measure/glossary.rs", "src/report/story/trade.rs"];
    let (mut left, mut seen) = (Vec::new(), 0);
    for path in below("src", &["rs"]) {
        let name = named(&path);
        let apart = name.ends_with("tests.rs") || name.contains("/tests/");
        if apart || other.iter().any(|o| name.starts_with(o)) {
            continue;
        }
        let texts = texts(&fs::read_to_string(&path).unwrap());
        // What begins with `^` is a pattern of the schema.
        let read = |t: &&String| !fixed(t) && t.contains(' ') && !t.starts_with('^');
        for text in texts.iter().filter(read) {
            seen += 1;
            left.extend(old_words(&name, text));
        }
    }
    assert!(seen > 2500, "{seen}");
    assert!(left.is_empty(), "{} old words are left:\n{}", left.len(), left.join("\n"));
}

#[test]
fn no_page_and_no_comment_of_a_shipped_file_says_an_old_word() {
    let mut left = Vec::new();
    let mut pages = below("runs", &["md"]);
    pages.extend([home().join("README.md"), home().join("src/RULES.md")]);
    assert!(pages.len() > 8, "{pages:?}");
    for path in pages {
        left.extend(old_words(&named(&path), &fs::read_to_string(&path).unwrap()));
    }
    let mut files = below("runs", &["toml", "py", "sh", "sbatch", "pbs"]);
    files.extend(below("src/cli/starter", &["toml"]));
    assert!(files.len() > 20, "{files:?}");
    for path in files {
        let text = comments(&fs::read_to_string(&path).unwrap());
        left.extend(old_words(&named(&path), &text));
    }
    assert!(left.is_empty(), "{} old words are left:\n{}", left.len(), left.join("\n"));
}

#[test]
fn texts_are_found_and_fixed_words_excepted() {
    let code = "f('\"', 'a', \"a way back\");\n// \"ways back\"\n g(\"two \\\n   lines\")\n";
    assert_eq!(texts(code), ["a way back", "two lines"]);
    assert_eq!(old_words("x", "a way back").len(), 1);
    assert_eq!(old_words("x", "missed, `way back`, \"missed\"").len(), 1);
    assert!(old_words("x", "  stand down    until it is over; mending, clearly_x").is_empty());
    assert_eq!(comments("a = 1 # one\nb = 2\n# two\n"), " one\n two\n");
}
