//! `report.html` and `vestibule report`.

use super::*;

#[test]
fn the_page_is_made_again_to_the_last_byte_from_the_files_alone() {
    let s = Starter::new();
    assert_eq!(code(&s.play("out", &["--campaigns", "64", "--threads", "1"])), 0);
    let page = s.path("out/report.html");
    let written = fs::read_to_string(&page).unwrap();
    fs::remove_file(&page).unwrap();
    // The campaign file is not needed, and where the folder stands does not matter.
    let elsewhere = tempfile::tempdir().unwrap();
    let moved = elsewhere.path().join("moved");
    fs::rename(s.path("out"), &moved).unwrap();
    fs::remove_dir_all(s.path("base")).unwrap();
    let made = vestibule(elsewhere.path(), &["report", "moved"]);
    assert_eq!(code(&made), 0, "{}", err(&made));
    assert!(out(&made).contains("report.html"));
    assert_eq!(fs::read_to_string(moved.join("report.html")).unwrap(), written);
}

#[test]
fn the_page_tells_the_numbers_of_its_tables() {
    let s = Starter::new();
    assert_eq!(code(&s.play("out", &["--campaigns", "64"])), 0);
    let page = s.path("out/report.html");
    let before = fs::read_to_string(&page).unwrap();
    assert!(before.starts_with("<!DOCTYPE html>") && before.trim_end().ends_with("</html>"));
    let table = s.path("out/summary.csv");
    let text = fs::read_to_string(&table).unwrap();
    let row = text.lines().find(|l| l.contains(",gas_lost_kg,")).unwrap();
    let mean = row.split(',').nth(4).unwrap();
    fs::write(&table, text.replace(mean, "123456")).unwrap();
    assert_eq!(code(&s.run(&["report", "out"])), 0);
    let after = fs::read_to_string(&page).unwrap();
    assert!(!before.contains(">123456") && after.contains(">123456"));
}

#[test]
fn a_table_that_is_not_there_is_named_and_the_rest_is_shown() {
    let s = Starter::new();
    assert_eq!(code(&s.play("out", &["--campaigns", "64"])), 0);
    fs::remove_file(s.path("out/distribution.csv")).unwrap();
    assert_eq!(code(&s.run(&["report", "out"])), 0);
    let page = fs::read_to_string(s.path("out/report.html")).unwrap();
    assert!(page.contains("this folder has no distribution.csv"));
    assert!(page.contains("<figure id=\"fig-door\""));
}

#[test]
fn what_cannot_be_read_is_refused_and_nothing_is_written() {
    let s = Starter::new();
    let nowhere = s.run(&["report", "nowhere"]);
    assert_eq!(code(&nowhere), 4);
    assert!(err(&nowhere).contains("cannot read nowhere/manifest.json"), "{}", err(&nowhere));
    assert!(!s.path("nowhere").exists());
    let empty = s.path("empty");
    fs::create_dir(&empty).unwrap();
    assert_eq!(code(&s.run(&["report", "empty"])), 4);
    fs::write(empty.join("manifest.json"), "{}").unwrap();
    let wrong = s.run(&["report", "empty"]);
    assert_eq!(code(&wrong), 1);
    assert!(err(&wrong).contains("run the campaign again"), "{}", err(&wrong));
    assert_eq!(names(&empty), ["manifest.json"]);
    assert_eq!(code(&s.play("out", &["--campaigns", "64"])), 0);
    fs::write(s.path("out/havens.csv"), "a,b\n1\n").unwrap();
    let ragged = s.run(&["report", "out"]);
    assert_eq!(code(&ragged), 1, "{}", err(&ragged));
}

/// What contributes most, in the terminal and on the page, is the same item.
#[test]
fn the_terminal_and_the_page_agree_on_what_contributes_most() {
    let s = Starter::new();
    let played = s.play("out", &["--campaigns", "200"]);
    assert_eq!(code(&played), 0);
    let page = fs::read_to_string(s.path("out/report.html")).unwrap();
    let figure = page.split("<figure id=\"fig-drivers-hours\"").nth(1).unwrap();
    let told = figure.split("</i> contributes most").next().unwrap();
    let item = told.rsplit("<i>").next().unwrap();
    let terminal = out(&played);
    let words = terminal.split_whitespace().collect::<Vec<_>>().join(" ");
    let line = words.split("contributors to EVA crew-hours lost").nth(1).unwrap();
    assert!(!item.is_empty() && line.contains(item), "{item}: {line}");
    // The same share, to the same digits.
    let share = figure.split("contributes most: without it there would be ").nth(1).unwrap();
    let share = share.split('\u{a0}').next().unwrap();
    assert!(share.starts_with(|c: char| c.is_ascii_digit()), "{share}");
    assert!(line.contains(&format!("without it {share} % less.")), "{share}: {line}");
}
