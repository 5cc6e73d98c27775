//! The shape of the source: modules import only from those declared above them in `lib.rs`, files
//! stay small enough to read, and none has a name that says nothing.

use std::fs;
use std::path::{Path, PathBuf};

/// Most lines of a file.
const MOST_LINES: usize = 400;
/// Most lines of a function.
const MOST_OF_A_FUNCTION: usize = 60;
/// Functions that only put a record together, field by field.
const RECORDS: &[&str] = &["arm_compile"];
/// Most fields of a struct of a campaign.
const MOST_FIELDS: usize = 25;
/// Flat catalogues, which may be longer: vocabularies, registries and the records of a file.
const CATALOGUES: &[&str] = &[
    "src/scenario/vocabulary.rs",
    "src/scenario/spec.rs",
    "src/check/rules.rs",
    "src/measure.rs",
    "src/base/law/registry.rs",
    "src/report/columns.rs",
];
/// Files that are still longer, until they are parted.
const STILL_LONGER: &[&str] = &[];
/// File names that say nothing of what is in them.
const EMPTY_NAMES: &[&str] = &["utils", "util", "helpers", "helper", "common", "misc"];

pub fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// Every Rust file below `folder`, sorted.
pub fn files(folder: &Path) -> Vec<PathBuf> {
    let mut out = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            out.extend(files(&path));
        } else if path.extension().is_some_and(|e| e == "rs") {
            out.push(path);
        }
    }
    out.sort();
    out
}

/// Path below the root of the package, with `/`.
fn shown(path: &Path) -> String {
    let below = path.strip_prefix(root()).unwrap();
    below.display().to_string().replace('\\', "/")
}

/// Modules in the order in which `lib.rs` declares them.
fn declared(lib: &str) -> Vec<String> {
    let name = |line: &str| {
        let rest = line.strip_prefix("pub mod ").or(line.strip_prefix("mod "))?;
        Some(rest.strip_suffix(';')?.to_string())
    };
    lib.lines().filter_map(name).collect()
}

/// The top module a file below `src` belongs to.
fn module_of(path: &str) -> String {
    let below = path.strip_prefix("src/").unwrap();
    let first = below.split('/').next().unwrap();
    first.trim_end_matches(".rs").to_string()
}

/// Top modules that the code of a file names by `crate::`, with the line. Comments do not count:
/// a link to a module further down is no dependency.
fn named(text: &str) -> Vec<(usize, String)> {
    let mut out = Vec::new();
    for (i, line) in text.lines().enumerate() {
        let code = line.split("//").next().unwrap_or_default();
        for (at, _) in code.match_indices("crate::") {
            // `$crate::` in a macro is the same crate; `mycrate::` is another.
            let before = code[..at].chars().next_back();
            if before.is_some_and(|c| c.is_alphanumeric() || c == '_') {
                continue;
            }
            let rest = &code[at + "crate::".len()..];
            out.extend(heads(rest).into_iter().map(|m| (i + 1, m)));
        }
    }
    out
}

/// First segments of `a::b` or of each entry of `{a::b, c}`.
fn heads(rest: &str) -> Vec<String> {
    let head = |s: &str| {
        let word = |c: char| c.is_alphanumeric() || c == '_';
        s.trim().chars().take_while(|c| word(*c)).collect::<String>()
    };
    let Some(list) = rest.strip_prefix('{') else {
        return vec![head(rest)];
    };
    let mut depth = 0;
    let top = |c: char| {
        depth += i32::from(c == '{') - i32::from(c == '}');
        c == ',' && depth == 0
    };
    list.split(top).map(head).filter(|m| !m.is_empty()).collect()
}

#[test]
fn the_scanner_sees_what_code_imports() {
    let text =
        "use crate::{law::Law, units};\n// crate::cli\nlet x = crate::stats::f();\n$crate::a\n";
    let found: Vec<_> = named(text).into_iter().map(|(_, m)| m).collect();
    assert_eq!(found, ["law", "units", "stats", "a"]);
    assert_eq!(declared("pub mod a;\n/// b\nmod c;\nuse d;\n"), ["a", "c"]);
    assert_eq!(module_of("src/law/tests.rs"), "law");
    assert_eq!(module_of("src/law.rs"), "law");
}

#[test]
fn a_module_imports_only_from_those_above_it() {
    let order = declared(&fs::read_to_string(root().join("src/lib.rs")).unwrap());
    assert!(order.len() > 10, "{order:?}");
    let place = |m: &str| order.iter().position(|o| o == m);
    let mut faults = Vec::new();
    for path in files(&root().join("src")) {
        let (name, text) = (shown(&path), fs::read_to_string(&path).unwrap());
        let Some(own) = place(&module_of(&name)) else {
            continue; // lib.rs and main.rs stand above and below everything
        };
        for (line, module) in named(&text) {
            if place(&module).is_some_and(|other| other > own) {
                faults.push(format!("{name}:{line} names `{module}`, declared below it"));
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn every_module_is_declared_in_lib() {
    let order = declared(&fs::read_to_string(root().join("src/lib.rs")).unwrap());
    for path in files(&root().join("src")) {
        let module = module_of(&shown(&path));
        let known = order.contains(&module) || module == "lib" || module == "main";
        assert!(known, "{}", path.display());
    }
}

#[test]
fn files_are_short_enough_to_read() {
    let long = |path: &PathBuf| {
        let lines = fs::read_to_string(path).unwrap().lines().count();
        let name = shown(path);
        let excused = CATALOGUES.contains(&name.as_str()) || STILL_LONGER.contains(&name.as_str());
        let over = lines > MOST_LINES && !excused;
        over.then(|| format!("{name}: {lines} lines"))
    };
    let faults: Vec<_> = files(&root().join("src")).iter().filter_map(long).collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// Functions of a file with their lines, by indentation (files are formatted).
fn functions(text: &str) -> Vec<(String, usize)> {
    let lines: Vec<&str> = text.lines().collect();
    let indent = |l: &str| l.len() - l.trim_start().len();
    let name = |l: &str| {
        let (before, rest) = l.split_once("fn ")?;
        let heads = before.split_whitespace().all(|w| w.starts_with("pub") || w == "const");
        let word = |c: char| c.is_alphanumeric() || c == '_';
        heads.then(|| rest.chars().take_while(|c| word(*c)).collect::<String>())
    };
    let mut out = Vec::new();
    for (i, line) in lines.iter().enumerate() {
        let Some(name) = name(line).filter(|n| !n.is_empty()) else { continue };
        let end = format!("{}}}", " ".repeat(indent(line)));
        let length = match line.trim_end().ends_with('}') {
            true => 1,
            false => lines[i..].iter().position(|l| *l == end).map_or(1, |n| n + 1),
        };
        out.push((name, length));
    }
    out
}

/// Structs of a file with how many named fields they have.
fn structs(text: &str) -> Vec<(String, usize)> {
    let mut out = Vec::new();
    for part in text.split("\npub").skip(1).chain(text.split("\nstruct ").skip(1)) {
        let Some((head, rest)) = part.split_once('{') else { continue };
        let Some(name) = head.split_whitespace().rev().find(|w| *w != "=") else { continue };
        if head.contains(';') || !head.contains("struct ") {
            continue;
        }
        let body = rest.split("\n}").next().unwrap_or_default();
        let field = |l: &&str| {
            let one = l.starts_with("    ") && !l.starts_with("     ");
            one && !l.trim_start().starts_with("//") && l.contains(": ")
        };
        out.push((name.to_string(), body.lines().filter(field).count()));
    }
    out
}

#[test]
fn the_scanners_measure_functions_and_structs() {
    let text = "\npub struct A<'a> {\n    /// x: y\n    pub a: u8,\n    b: u8,\n}\n\
                impl A {\n    pub(super) const fn f() {\n        1;\n    }\n    fn g() {}\n}\n";
    assert_eq!(functions(text), [("f".to_string(), 3), ("g".to_string(), 1)]);
    assert_eq!(structs(text), [("A<'a>".to_string(), 2)]);
}

#[test]
fn functions_are_short_enough_to_read() {
    let mut faults = Vec::new();
    let mut seen = 0;
    for path in files(&root().join("src")) {
        for (name, lines) in functions(&fs::read_to_string(&path).unwrap()) {
            seen += 1;
            if lines > MOST_OF_A_FUNCTION && !RECORDS.contains(&name.as_str()) {
                faults.push(format!("{}: {name} has {lines} lines", shown(&path)));
            }
        }
    }
    assert!(seen > 1500, "the scanner found {seen} functions");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn owners_of_a_campaign_have_few_fields() {
    let mut faults = Vec::new();
    let mut seen = 0;
    for path in files(&root().join("src/campaign")) {
        for (name, fields) in structs(&fs::read_to_string(&path).unwrap()) {
            seen += 1;
            if fields > MOST_FIELDS {
                faults.push(format!("{}: {name} has {fields} fields", shown(&path)));
            }
        }
    }
    assert!(seen > 50, "the scanner found {seen} structs");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn catalogues_that_may_be_longer_are_there() {
    for name in CATALOGUES {
        assert!(root().join(name).is_file(), "{name}");
    }
}

#[test]
fn file_names_say_what_is_in_them() {
    for folder in ["src", "tests", "benches"] {
        for path in files(&root().join(folder)) {
            let stem = path.file_stem().unwrap().to_str().unwrap();
            let parts = path.iter().filter_map(|p| p.to_str());
            let names = parts.skip(root().iter().count()).chain([stem]);
            for name in names {
                assert!(!EMPTY_NAMES.contains(&name), "{}", path.display());
            }
        }
    }
}

/// Numbers of the rules in `src/RULES.md`, in order.
fn rules() -> Vec<u32> {
    let text = fs::read_to_string(root().join("src/RULES.md")).unwrap();
    let number = |line: &str| line.strip_prefix("**")?.split_once('.')?.0.parse().ok();
    text.lines().filter_map(number).collect()
}

/// Numbers that a text cites: after `rule` or `rules`, lists and ranges too.
fn cited(text: &str) -> Vec<u32> {
    let mut out = Vec::new();
    for (at, word) in text.match_indices("rule") {
        let rest = text[at + word.len()..].trim_start_matches('s').trim_start();
        let part = |c: char| c.is_ascii_digit() || matches!(c, ',' | ' ' | 'a' | 'n' | 'd');
        let list: String = rest.chars().take_while(|c| part(*c)).collect();
        if rest.starts_with(|c: char| c.is_ascii_digit()) {
            let numbers = list.split(|c: char| !c.is_ascii_digit());
            out.extend(numbers.filter_map(|n| n.parse::<u32>().ok()));
        }
    }
    out
}

#[test]
fn every_rule_cited_stands_in_the_rules_of_play() {
    assert_eq!(cited("(rule 12, 13) and rules 3 and 40), rules of play 7"), [12, 13, 3, 40]);
    let known = rules();
    assert_eq!(known, (1..=43).collect::<Vec<_>>(), "rules are numbered without a gap");
    let mut faults = Vec::new();
    let mut seen = 0;
    for folder in ["src", "tests", "benches"] {
        for path in files(&root().join(folder)) {
            for (i, line) in fs::read_to_string(&path).unwrap().lines().enumerate() {
                let Some((_, comment)) = line.split_once("//") else { continue };
                for n in cited(comment) {
                    seen += 1;
                    if !known.contains(&n) {
                        faults.push(format!("{}:{} cites rule {n}", shown(&path), i + 1));
                    }
                }
            }
        }
    }
    assert!(seen > 80, "the scanner found {seen} citations");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// The code of a file: without its comments, and without the tests at its end.
fn code(text: &str) -> String {
    let body = text.split("#[cfg(test)]").next().unwrap_or_default();
    body.lines().map(|l| l.split("//").next().unwrap_or_default()).collect::<Vec<_>>().join("\n")
}

/// Does a word stand in a text, not as part of another?
fn stands_in(word: &str, text: &str) -> bool {
    let part = |c: char| c.is_alphanumeric() || c == '_';
    text.match_indices(word).any(|(at, _)| {
        let before = text[..at].chars().next_back().is_some_and(part);
        let after = text[at + word.len()..].chars().next().is_some_and(part);
        !before && !after
    })
}

/// Functions of a code with their bodies.
fn bodies(code: &str) -> Vec<(String, String)> {
    let mut out = Vec::new();
    for (at, _) in code.match_indices("fn ") {
        let name: String =
            code[at + 3..].chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
        let Some(open) = code[at..].find('{').map(|o| at + o) else { continue };
        let mut depth = 0;
        let end = code[open..].char_indices().find(|(_, c)| {
            depth += i32::from(*c == '{') - i32::from(*c == '}');
            depth == 0
        });
        if let Some((length, _)) = end {
            out.push((name, code[open..=open + length].to_string()));
        }
    }
    out
}

/// Every physical relation is played: no function of `physics` stands in the registry, and so in
/// `list laws` and on the page of evidence, that nothing outside calls, directly or by others there.
/// Names are compared as words, so a common name (`after`) may hide an unused function, never the
/// other way round.
#[test]
fn every_physical_function_is_reached_from_the_program() {
    let physics = |p: &Path| shown(p).starts_with("src/physics/");
    let all = files(&root().join("src"));
    let read = |p: &PathBuf| code(&fs::read_to_string(p).unwrap());
    let outside: Vec<String> = all.iter().filter(|p| !physics(p)).map(read).collect();
    let inside: Vec<(String, String)> = all
        .iter()
        .filter(|p| physics(p) && !p.ends_with("tests.rs"))
        .flat_map(|p| bodies(&read(p)))
        .collect();
    assert!(inside.len() > 60, "{}", inside.len());
    let mut used: Vec<bool> =
        inside.iter().map(|(n, _)| outside.iter().any(|t| stands_in(n, t))).collect();
    loop {
        let next: Vec<usize> = (0..inside.len())
            .filter(|i| !used[*i])
            .filter(|i| {
                let mut callers = inside.iter().zip(&used).filter(|(_, u)| **u);
                callers.any(|((_, body), _)| stands_in(&inside[*i].0, body))
            })
            .collect();
        if next.is_empty() {
            break;
        }
        next.into_iter().for_each(|i| used[i] = true);
    }
    let unused: Vec<&str> =
        inside.iter().zip(&used).filter(|(_, u)| !**u).map(|((n, _), _)| n.as_str()).collect();
    // Those make the registry at compile time, these are operators.
    let excused = ["count", "join", "add_assign", "mul"];
    let faults: Vec<_> = unused.iter().filter(|n| !excused.contains(n)).collect();
    assert!(faults.is_empty(), "nothing outside src/physics calls {faults:?}");
}
