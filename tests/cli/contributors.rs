//! Terminal and page name the same contributors: over all architectures, and of each the one without
//! which most would go; and both say of the same architectures that there are too few events to rank.

use super::*;

/// What one of the two says of an outcome.
#[derive(Debug, Default, PartialEq)]
struct Ranked {
    /// Over all architectures: name of the item and share, "too few", or nothing.
    all: Option<(String, String)>,
    /// Of every architecture the first, or "too few".
    each: Vec<String>,
}

const FEW: &str = "too few to rank";

/// The lines of the summary under `Top contributors to NAME`.
fn of_terminal(text: &str, name: &str, arms: &[&str]) -> Ranked {
    let flat = text.replace("\n    ", " ");
    let mut lines = flat.lines();
    let head = lines.find(|l| l.starts_with(&format!("Top contributors to {name}")));
    let Some(head) = head else { return Ranked::default() };
    // A long first line goes on below.
    let mut rest: Vec<String> = lines.map(str::to_string).collect();
    let mut head = head.to_string();
    while !rest.is_empty() && !arms.iter().any(|a| rest[0].starts_with(&format!("  {a}: "))) {
        head += &format!(" {}", rest.remove(0).trim());
    }
    let said = head.split_once(": ").unwrap().1.trim_end_matches('.');
    let all = match said.strip_suffix(" less").and_then(|s| s.split_once("; without it ")) {
        Some((item, share)) => (item.to_string(), share.to_string()),
        None => {
            assert!(said.ends_with(FEW), "{said}");
            (FEW.to_string(), String::new())
        }
    };
    let of = |arm: &&str| {
        let begin = format!("  {arm}: ");
        let line = rest.iter().find_map(|l| l.strip_prefix(&begin)).unwrap();
        first(line)
    };
    Ranked { all: Some(all), each: arms.iter().map(of).collect() }
}

/// "too few" or the first name of "name (12 %), name (3 %)".
fn first(line: &str) -> String {
    match line.ends_with(FEW) || line == "0 events" {
        true => FEW.into(),
        false => line.split_once(" (").map_or(line, |(name, _)| name).into(),
    }
}

/// The figure of the page.
fn of_page(html: &str, id: &str, arms: usize) -> Ranked {
    let from = html.find(&format!("<figure id=\"{id}\"")).unwrap();
    let figure = &html[from..from + html[from..].find("</figure>").unwrap()];
    let Some((_, lead)) = figure.split_once("<p>") else { return Ranked::default() };
    let lead = lead.split_once("</p>").unwrap().0;
    let all = match lead.split_once("</i> contributes most: without it there would be ") {
        Some((item, rest)) => {
            let share = rest.split_once(" fewer ").unwrap().0.replace('\u{a0}', " ");
            Some((item.trim_start_matches("<i>").to_string(), share))
        }
        None if lead.contains(FEW) => Some((FEW.to_string(), String::new())),
        None => return Ranked::default(),
    };
    let mut each = vec![String::new(); arms];
    // Without an architecture that has events enough there is no picture.
    let Some((_, body)) = figure.split_once("<tbody role=\"rowgroup\">") else {
        return Ranked { all, each: vec![FEW.into(); arms] };
    };
    for row in body.split_once("</tbody>").unwrap().0.split("<tr role=\"row\">").skip(1) {
        let name = row.split_once("scope=\"row\">").unwrap().1.split('<').next().unwrap();
        for (arm, cell) in row.split("<td role=\"cell\"").skip(1).enumerate() {
            match (cell.contains("&#9650; most"), cell.contains(FEW) || cell.contains(">0 events<"))
            {
                (true, _) => each[arm] = name.into(),
                (_, true) => each[arm] = FEW.into(),
                _ => {}
            }
        }
    }
    Ranked { all, each }
}

/// Compares both outcomes of a run; what was said of the first.
fn agree(text: &str, html: &str, arms: &[&str]) -> Ranked {
    let hours = of_terminal(text, "EVA crew-hours lost", arms);
    assert!(hours.each.iter().all(|e| !e.is_empty() && e != FEW), "{hours:?}");
    assert_eq!(hours, of_page(html, "fig-drivers-hours", arms.len()));
    let missed = of_terminal(text, "P(safe haven not reached in time)", arms);
    assert_eq!(missed, of_page(html, "fig-drivers", arms.len()));
    missed
}

#[test]
fn terminal_and_page_never_disagree_on_what_contributes_most() {
    let arms = ["lock", "low-pressure"];
    let mut ranked = Vec::new();
    for (chance, campaigns) in [("0.05", "100"), ("0.3", "300")] {
        let s = Starter::new();
        s.patch(
            "law = { median = 6.2e-4, error_factor = 5 }\neffect = \"stuck shut\"",
            &format!("law = {{ probability = {chance} }}\neffect = \"stuck shut\""),
        );
        // A second cause beside the hatch.
        s.patch("law = { median = \"6e-5 /h\", error_factor = 5 }", "law = { rate = \"2e-3 /h\" }");
        let o = s.play("results", &["--campaigns", campaigns, "-v"]);
        assert_eq!(code(&o), 0, "{}", err(&o));
        let html = fs::read_to_string(s.path("results/report.html")).unwrap();
        ranked.push(agree(&out(&o), &html, &arms));
    }
    // The first run has some such campaigns and too few of them, the second enough.
    assert_eq!(ranked[0].all.as_ref().unwrap().0, FEW);
    assert_eq!(ranked[1].all.as_ref().unwrap().0, "hatch-stuck-shut", "{ranked:?}");
}

#[test]
fn six_architectures_are_told_alike() {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    let home = tempfile::tempdir().unwrap();
    let folder = home.path().join("results");
    let file = "runs/larkspur/campaign.toml";
    let more = ["--campaigns", "128", "-v", "--out", folder.to_str().unwrap()];
    let o = vestibule(here, &[&["run", file][..], &more].concat());
    assert_eq!(code(&o), 0, "{}", err(&o));
    let html = fs::read_to_string(folder.join("report.html")).unwrap();
    let low = ["suitport-pair", "single-chamber-low", "suitports-on-both"];
    let arms = [&["single-chamber", "dual-chamber", "suitlock"][..], &low].concat();
    agree(&out(&o), &html, &arms);
}
