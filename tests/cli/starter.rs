//! One golden row per measure of what `run` writes for the starter: 64 campaigns, seed 1. It holds
//! the numbers on their whole way, from the files to the cells of summary.csv; `golden.rs` holds
//! those of single campaigns.
//!
//! A change that moves a number is announced in DEVELOPERS.md (VALUE) and made in the same commit
//! with `VESTIBULE_UPDATE_GOLDEN=1 cargo test --test cli starter::`.

use super::*;

const HEADER: [&str; 5] = ["architecture", "measure", "mean", "p50", "n_used"];

fn golden() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden/starter-summary.csv")
}

/// The columns of [`HEADER`] of a table, row by row.
fn read(path: &Path) -> Vec<Vec<String>> {
    let mut table = csv::Reader::from_path(path).unwrap_or_else(|e| panic!("{path:?}: {e}"));
    let header = table.headers().unwrap().clone();
    let at = HEADER.map(|h| header.iter().position(|c| c == h).unwrap_or_else(|| panic!("{h}")));
    table.records().map(|r| r.unwrap()).map(|r| at.map(|i| r[i].to_string()).to_vec()).collect()
}

/// What the program writes.
fn written() -> Vec<Vec<String>> {
    let s = Starter::new();
    assert_eq!(code(&s.play("out", &["--campaigns", "64", "--seed", "1"])), 0);
    read(&s.path("out/summary.csv"))
}

fn update(rows: &[Vec<String>]) {
    let mut out = csv::Writer::from_path(golden()).unwrap();
    out.write_record(HEADER).unwrap();
    rows.iter().for_each(|r| out.write_record(r).unwrap());
    out.flush().unwrap();
}

/// A line for every cell that moved and every row that came or went.
fn moved(got: &[Vec<String>], want: &[Vec<String>]) -> Vec<String> {
    let index = |rows: &[Vec<String>]| -> BTreeMap<[String; 2], Vec<String>> {
        rows.iter().map(|r| ([r[0].clone(), r[1].clone()], r[2..].to_vec())).collect()
    };
    let (got, want) = (index(got), index(want));
    let mut out = Vec::new();
    for (key, new) in &got {
        let name = key.join(", ");
        let Some(old) = want.get(key) else {
            out.push(format!("{name}: not in the golden file"));
            continue;
        };
        for (column, (n, o)) in
            HEADER[2..].iter().zip(new.iter().zip(old)).filter(|c| c.1.0 != c.1.1)
        {
            out.push(format!("{name}: {column} was {o:?}, is {n:?}"));
        }
    }
    let gone = want.keys().filter(|k| !got.contains_key(*k));
    out.extend(gone.map(|k| format!("{}: no longer written", k.join(", "))));
    out
}

#[test]
fn the_starter_gives_its_golden_numbers() {
    let got = written();
    if std::env::var_os("VESTIBULE_UPDATE_GOLDEN").is_some() {
        update(&got);
    }
    let moved = moved(&got, &read(&golden()));
    assert!(
        moved.is_empty(),
        "numbers of the starter moved; if that was meant, see the head of this file:\n  {}",
        moved.join("\n  ")
    );
}

#[test]
fn every_measure_has_one_row_in_the_order_of_the_registry() {
    let rows = read(&golden());
    let written: Vec<[&str; 2]> = rows.iter().map(|r| [r[0].as_str(), r[1].as_str()]).collect();
    let of = |arm| MEASURES.iter().map(move |m| [arm, m.name]);
    let registered: Vec<[&str; 2]> = of("lock").chain(of("low-pressure")).collect();
    assert_eq!(written, registered);
    let with_mean = rows.iter().filter(|r| !r[2].is_empty()).count();
    assert!(with_mean * 2 > rows.len(), "most measures have a mean: {with_mean}");
}

/// The comparison itself can fail: a digit, a row too many, a row too few.
#[test]
fn what_moved_is_named() {
    let row = |m: &str, mean: &str| ["lock", m, mean, "1", "64"].map(String::from).to_vec();
    let said = moved(&[row("a", "1.5"), row("b", "2")], &[row("a", "1.25"), row("c", "3")]);
    let want = [
        "lock, a: mean was \"1.25\", is \"1.5\"",
        "lock, b: not in the golden file",
        "lock, c: no longer written",
    ];
    assert_eq!(said, want);
    assert!(moved(&[row("a", "1")], &[row("a", "1")]).is_empty());
}
