//! Checks against general-purpose libraries of another language, written down by the tests that run
//! them in `tests/reference/checks.csv`: group, what, source, expected, got, tolerance. A tolerance is
//! in the unit of the value, or a share of the expected value with `relative` behind it.

use super::record::Standing::CommonPractice;
use super::record::{Check, Group, check, plain, relative};
use std::path::Path;

/// One line of the file.
fn read(line: &csv::StringRecord) -> Result<Check, String> {
    let cell = |i: usize| line.get(i).unwrap_or("").trim();
    let number =
        |i: usize| cell(i).parse::<f64>().map_err(|e| format!("{}: {:?}: {e}", cell(1), cell(i)));
    let share = cell(5).strip_suffix("relative").map(str::trim);
    let size = share
        .unwrap_or(cell(5))
        .parse()
        .map_err(|e| format!("{}: tolerance {:?}: {e}", cell(1), cell(5)))?;
    let tolerance = if share.is_some() { relative(size) } else { plain(size) };
    Ok(check(&format!("{}: {}", cell(0), cell(1)), "", number(4)?, number(3)?, tolerance)
        .from(CommonPractice, cell(2)))
}

/// The group, if there is a file.
pub fn checks() -> Option<Group> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/checks.csv");
    if !path.exists() {
        return None;
    }
    let mut file = csv::Reader::from_path(&path).expect("checks.csv opens");
    let head: Vec<String> = file.headers().expect("a header").iter().map(str::to_string).collect();
    assert_eq!(head, ["group", "what", "source", "expected", "got", "tolerance"]);
    let checks: Result<Vec<Check>, String> =
        file.records().map(|l| read(&l.expect("a line"))).collect();
    Some(Group {
        title: "General-purpose libraries",
        about: "Gas properties, distributions, integrals, differential equations and an event \
            simulation from \
                libraries that know nothing of this program; the tests run them and write the numbers down.",
        checks: checks.unwrap_or_else(|fault| panic!("tests/reference/checks.csv: {fault}")),
    })
}

#[test]
fn a_line_is_read_with_both_kinds_of_tolerance() {
    let line = |tolerance| {
        csv::StringRecord::from(vec!["gas", "density", "a library", "2.0", "2.01", tolerance])
    };
    assert_eq!(read(&line("0.02")).unwrap().fault(), None);
    assert!(read(&line("0.002")).unwrap().fault().is_some());
    assert_eq!(read(&line("0.006 relative")).unwrap().fault(), None);
    assert!(read(&line("0.004 relative")).unwrap().fault().is_some());
    assert!(read(&line("some")).is_err());
}
