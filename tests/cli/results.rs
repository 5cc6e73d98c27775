//! The files of a run.

use super::*;

#[test]
fn the_files_are_the_same_for_any_threads_and_from_any_folder() {
    let s = Starter::new();
    s.patch("seal = 2", "seal = 0"); // worth a finding, so that its place is compared too
    let options = ["--campaigns", "300", "--keep-campaigns", "--threads"];
    assert_eq!(code(&s.play("one", &[&options[..], &["1"]].concat())), 0);
    assert_eq!(code(&s.play("two", &[&options[..], &["2"]].concat())), 0);
    let elsewhere = tempfile::tempdir().unwrap();
    let (file, folder) = (s.path("base/campaign.toml"), s.path("three"));
    let absolute = ["run", file.to_str().unwrap(), "--out", folder.to_str().unwrap()];
    let third = vestibule(elsewhere.path(), &[&absolute[..], &options[..], &["2"]].concat());
    assert_eq!(code(&third), 0, "{}", err(&third));
    let one = contents(&s.path("one"));
    assert_eq!(one.len(), FILES.len() + 1);
    let findings = String::from_utf8_lossy(&one["findings.csv"]);
    assert!(findings.contains(",campaign.toml,"), "{findings}");
    assert_eq!(one, contents(&s.path("two")));
    assert_eq!(one, contents(&s.path("three")));
}

#[test]
fn an_empty_cell_has_a_note_and_nothing_seen_has_an_upper_limit() {
    let s = Starter::new();
    assert_eq!(code(&s.play("results", &["--campaigns", "40"])), 0);
    for file in ["summary.csv", "havens.csv", "breakdown.csv"] {
        let rows = rows(&s.path("results").join(file));
        assert!(!rows.is_empty(), "{file}");
        for row in rows {
            let empty = |(name, cell): (&String, &String)| {
                cell.is_empty() && !["unit", "note"].contains(&name.as_str())
            };
            assert!(!row.iter().any(empty) || !row["note"].is_empty(), "{file}: {row:?}");
        }
    }
    let summary = rows(&s.path("results/summary.csv"));
    let missed = summary.iter().find(|r| r["measure"] == "campaign_haven_missed").unwrap();
    // No campaign of the first 40 of seed 1 has a miss; 1 - 0.05^(1/40), by hand.
    assert_eq!((missed["mean"].as_str(), missed["mean_low95"].as_str()), ("0", "0"));
    let high: f64 = missed["mean_high95"].parse().unwrap();
    assert!((high - 0.072_157_524_505_514_6).abs() < 1e-12, "{high}");
    assert_eq!(missed["method"], "upper95 one-sided");
}

#[test]
fn kept_campaigns_come_in_order_and_add_up_to_the_summary() {
    let s = Starter::new();
    assert_eq!(code(&s.play("results", &["--campaigns", "130", "--keep-campaigns"])), 0);
    let kept = rows(&s.path("results/campaigns.csv"));
    assert_eq!(kept.len(), 260);
    for (i, row) in kept.iter().enumerate() {
        assert_eq!(row["campaign"], (i / 2).to_string());
        assert_eq!(row["architecture"], ["lock", "low-pressure"][i % 2]);
    }
    let kept: Vec<_> = kept.iter().filter(|r| r["architecture"] == "lock").collect();
    let mean: f64 =
        kept.iter().map(|r| r["gas_lost_kg"].parse::<f64>().unwrap()).sum::<f64>() / 130.0;
    let summary = rows(&s.path("results/summary.csv"));
    let gas = summary.iter().find(|r| r["measure"] == "gas_lost_kg").unwrap();
    let estimated: f64 = gas["mean"].parse().unwrap();
    assert!((mean / estimated - 1.0).abs() < 1e-12, "{mean} {estimated}");
}

#[test]
fn kept_campaigns_of_an_earlier_run_do_not_stay() {
    let s = Starter::new();
    assert_eq!(code(&s.play("results", &["--campaigns", "40", "--keep-campaigns"])), 0);
    assert!(s.path("results/campaigns.csv").is_file());
    fs::write(s.path("results/notes.txt"), "mine").unwrap();
    assert_eq!(code(&s.play("results", &["--campaigns", "41"])), 0);
    let mut expected: Vec<&str> = [&FILES[..], &["notes.txt"]].concat();
    expected.sort_unstable();
    assert_eq!(names(&s.path("results")), expected);
}

#[test]
fn the_manifest_names_what_the_numbers_depend_on() {
    let s = Starter::new();
    assert_eq!(
        code(&s.play("results", &["--campaigns", "40", "--seed", "18446744073709551615"])),
        0
    );
    let text = fs::read_to_string(s.path("results/manifest.json")).unwrap();
    let m: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert_eq!(m["seed"], "18446744073709551615");
    assert_eq!(m["campaigns"], 40);
    let fingerprint = m["fingerprint"].as_str().unwrap();
    assert!(fingerprint.len() == 18 && fingerprint.starts_with("0x"), "{fingerprint}");
    assert_eq!(m["files"][0], "campaign.toml");
    for key in ["command", "threads", "wall_seconds", "host", "finished_unix"] {
        assert!(m["run"].get(key).is_some() && m.get(key).is_none(), "{key}");
    }
}

/// Same bytes for any number of threads around the block of 64 campaigns.
#[test]
fn threads_do_not_change_a_byte_around_a_block() {
    let s = Starter::new();
    for campaigns in ["1", "63", "64", "65"] {
        let files = ["1", "2", "8"].map(|threads| {
            let out = format!("r-{campaigns}-{threads}");
            let options = ["--keep-campaigns", "--campaigns", campaigns, "--threads", threads];
            assert_eq!(code(&s.play(&out, &options)), 0);
            contents(&s.path(&out))
        });
        assert_eq!(files[0], files[1], "{campaigns} campaigns");
        assert_eq!(files[0], files[2], "{campaigns} campaigns");
    }
}

#[test]
fn another_seed_gives_other_numbers() {
    let s = Starter::new();
    let [a, b] = ["5", "6"].map(|seed| {
        assert_eq!(code(&s.play(seed, &["--campaigns", "64", "--seed", seed])), 0);
        contents(&s.path(seed)).remove("summary.csv").expect("the summary")
    });
    assert_ne!(a, b);
}

/// Every cell of every table stands in the workbook, numbers as numbers to the last digit; a text that
/// looks like a formula stays text.
#[test]
fn the_workbook_holds_the_cells_of_the_tables() {
    use calamine::{Data, DataType, Reader, Xlsx, open_workbook};
    let s = Starter::new();
    s.patch(
        "[architecture.lock]",
        "[law.odd]\nlow = \"1 min\"\nhigh = \"2 min\"\nsource = \"=1+1\"\n\n[architecture.lock]",
    );
    assert_eq!(code(&s.play("results", &["--campaigns", "40"])), 0);
    let mut book: Xlsx<_> = open_workbook(s.path("results/summary.xlsx")).unwrap();
    assert_eq!(book.sheet_names()[..2], ["matrix", "columns"]);
    let first = book.worksheet_range("matrix").unwrap();
    let says = |text: &str| first.cells().any(|(.., c)| c.as_string().as_deref() == Some(text));
    assert!(says(vestibule::report::CAUTION));
    let tables: Vec<&str> = FILES.iter().filter_map(|f| f.strip_suffix(".csv")).collect();
    assert_eq!(book.sheet_names().len(), tables.len() + 2);
    let mut numbers = 0;
    for table in tables {
        let sheet = book.worksheet_range(table).unwrap();
        let mut csv = csv::ReaderBuilder::new()
            .has_headers(false)
            .from_path(s.path(&format!("results/{table}.csv")))
            .unwrap();
        for (r, record) in csv.records().enumerate() {
            for (c, text) in record.unwrap().iter().enumerate() {
                let cell = sheet.get_value((r as u32, c as u32)).unwrap_or(&Data::Empty);
                let bare = text.strip_prefix('\'').unwrap_or(text);
                match cell {
                    Data::Float(x) => {
                        numbers += 1;
                        assert_eq!(*x, text.parse::<f64>().unwrap(), "{table} {r} {c}");
                    }
                    Data::String(found) => assert_eq!(found, bare, "{table} {r} {c}"),
                    Data::Empty => assert_eq!(text, "", "{table} {r} {c}"),
                    other => panic!("{table} {r} {c}: {other:?}"),
                }
            }
        }
    }
    assert!(numbers > 1000, "{numbers}");
    let sources = book.worksheet_range("assumptions").unwrap();
    assert!(sources.cells().any(|(.., c)| c.as_string().as_deref() == Some("=1+1")));
}

/// The first sheet has the numbers of the summary and the verdicts of the limits, as cells.
#[test]
fn the_first_sheet_is_the_matrix_and_the_limits() {
    use calamine::{DataType, Reader, Xlsx, open_workbook};
    let s = Starter::new();
    assert_eq!(code(&s.play("results", &["--campaigns", "40"])), 0);
    let mut book: Xlsx<_> = open_workbook(s.path("results/summary.xlsx")).unwrap();
    let first = book.worksheet_range("matrix").unwrap();
    let row_of = |text: &str| {
        let rows = first.rows().enumerate();
        let mut found = rows.filter(|(_, r)| r[0].as_string().is_some_and(|t| t.starts_with(text)));
        found.next().unwrap_or_else(|| panic!("no row {text}")).0
    };
    let summary = rows(&s.path("results/summary.csv"));
    let gas = summary.iter().find(|r| r["measure"] == "gas_lost_kg").unwrap();
    let at = row_of("Gas lost");
    for (below, column) in [(0, "mean"), (1, "mean_low95"), (2, "mean_high95")] {
        let found = first.get((at + below, 2)).and_then(|c| c.as_f64()).unwrap();
        assert_eq!(found, gas[column].parse::<f64>().unwrap(), "{column}");
    }
    let limit = &rows(&s.path("results/requirements.csv"))[0];
    let at = row_of(&format!("{}: ", limit["limit"]));
    assert_eq!(first.get((at, 2)).unwrap().as_string().unwrap(), limit["verdict"]);
}

/// Parquet files hold the cells of their CSV files, come only when asked for, and go with the next run.
#[test]
fn long_tables_come_as_parquet_when_asked_for() {
    use parquet::file::reader::{FileReader, SerializedFileReader};
    let s = Starter::new();
    let asked = ["--campaigns", "70", "--keep-campaigns", "--parquet"];
    assert_eq!(code(&s.play("results", &asked)), 0);
    for table in ["campaigns", "distribution"] {
        let file = fs::File::open(s.path(&format!("results/{table}.parquet"))).unwrap();
        let read = SerializedFileReader::new(file).unwrap();
        let wanted = rows(&s.path(&format!("results/{table}.csv")));
        let mut n = 0;
        for (row, wanted) in read.get_row_iter(None).unwrap().zip(&wanted) {
            n += 1;
            for (name, cell) in row.unwrap().get_column_iter() {
                let (found, wanted) = (cell.to_string(), &wanted[name]);
                let number = wanted.parse::<f64>();
                match (wanted.as_str(), number) {
                    ("", _) => assert_eq!(found, "null", "{table} {name}"),
                    (_, Ok(x)) => assert_eq!(found.parse::<f64>().unwrap(), x, "{table} {name}"),
                    (text, _) => assert_eq!(found, format!("\"{text}\""), "{table} {name}"),
                }
            }
        }
        assert_eq!(n, wanted.len());
        assert!(n >= 70, "{table}: {n}");
    }
    let readme = fs::read_to_string(s.path("results/README.txt")).unwrap();
    assert!(readme.contains("campaigns.parquet"), "{readme}");
    assert_eq!(code(&s.play("results", &["--campaigns", "40"])), 0);
    assert_eq!(names(&s.path("results")), FILES);
}

/// The text of the folder says which file to open, warns of decimals, and names every table.
#[test]
fn the_folder_says_which_file_to_open() {
    let s = Starter::new();
    assert_eq!(code(&s.play("results", &["--campaigns", "40"])), 0);
    let text = fs::read_to_string(s.path("results/README.txt")).unwrap();
    let at = |what: &str| text.find(what).unwrap_or_else(|| panic!("{what} not in\n{text}"));
    assert!(at("report.html") < at("summary.xlsx") && at("summary.xlsx") < at("Decimals"));
    assert!(text.contains("0.001 into 1"));
    assert!(FILES.iter().filter(|f| f.ends_with(".csv")).all(|f| text.contains(f)));
    assert!(text.lines().all(|l| l.chars().count() <= 79), "{text}");
    assert!(
        text.split_whitespace().collect::<Vec<_>>().join(" ").contains(vestibule::report::CAUTION)
    );
}

/// What describes the tables names each, with the columns of its header.
#[test]
fn every_table_is_described() {
    let s = Starter::new();
    assert_eq!(code(&s.play("results", &["--campaigns", "40"])), 0);
    let text = fs::read_to_string(s.path("results/datapackage.json")).unwrap();
    let package: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert!(package["description"].as_str().unwrap().contains(vestibule::report::CAUTION));
    let resources = package["resources"].as_array().unwrap();
    let mut paths: Vec<&str> = resources.iter().map(|r| r["path"].as_str().unwrap()).collect();
    paths.sort_unstable();
    let tables: Vec<&str> = FILES.iter().copied().filter(|f| f.ends_with(".csv")).collect();
    assert_eq!(paths, tables);
    for r in resources {
        let path = s.path("results").join(r["path"].as_str().unwrap());
        let header = fs::read_to_string(path).unwrap().lines().next().unwrap().to_string();
        let fields = r["schema"]["fields"].as_array().unwrap();
        let names: Vec<&str> = fields.iter().map(|f| f["name"].as_str().unwrap()).collect();
        assert_eq!(names.join(","), header);
        assert!(fields.iter().all(|f| !f["description"].as_str().unwrap().is_empty()));
    }
}

/// The book of dust: what was picked up is somewhere at the end (shortest round-trip decimals, so that the
/// sum misses by rounding only).
#[test]
fn dust_that_was_picked_up_is_somewhere_at_the_end() {
    let s = Starter::new();
    assert_eq!(code(&s.play("results", &["--campaigns", "40"])), 0);
    let rows = rows(&s.path("results/breakdown.csv"));
    let mut arms: Vec<&str> = rows.iter().map(|r| r["architecture"].as_str()).collect();
    arms.dedup();
    for arm in arms {
        let of = |quantity: &str| -> Vec<f64> {
            let mine = |r: &&_| {
                let r: &std::collections::BTreeMap<String, String> = r;
                r["architecture"] == arm && r["quantity"] == quantity
            };
            rows.iter().filter(mine).map(|r| r["mean"].parse().unwrap()).collect()
        };
        let (picked, ends) = (of("dust_picked_up_g"), of("dust_at_end_g"));
        assert_eq!((picked.len(), ends.len()), (1, 7), "{arm}");
        let sum: f64 = ends.iter().sum();
        assert!(picked[0] > 0.0 && (sum / picked[0] - 1.0).abs() < 1e-12, "{arm}: {sum}");
    }
}
