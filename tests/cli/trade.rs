//! The words of the trade: every one is used where people read, and none of the words they replaced is
//! left there: on the terminal, on pages, in workbooks, in files of results. Names of keys, files,
//! parts and values are fixed and no prose. Texts of the source are looked at in `tests/files`.

use super::prose::{FIXED, fixed, old_words, prose};
use super::*;
use calamine::{Data, Reader, Xlsx};
use vestibule::measure::glossary::TERMS;

const LARKSPUR: &str = "runs/larkspur/campaign.toml";

/// What is printed, by command, and what every page, workbook and other text of results says.
struct Said {
    all: Vec<(String, String)>,
    home: TempDir,
}

impl Said {
    fn say(&mut self, arguments: &[&str]) -> String {
        let o = vestibule(Path::new(env!("CARGO_MANIFEST_DIR")), arguments);
        assert_eq!(code(&o), 0, "{arguments:?}: {}", err(&o));
        self.all.push((arguments.join(" "), out(&o) + &err(&o)));
        out(&o)
    }

    fn path(&self, name: &str) -> String {
        self.home.path().join(name).to_str().unwrap().to_string()
    }

    /// The texts of a results folder.
    fn folder(&mut self, name: &str) {
        let folder = self.home.path().join(name);
        let read = |file: &str| fs::read_to_string(folder.join(file)).unwrap();
        let mut texts = vec![("README.txt", read("README.txt"))];
        texts.push(("report.html", of_page(&read("report.html"))));
        texts.push(("summary.xlsx", of_workbook(&folder.join("summary.xlsx"))));
        texts.push(("datapackage.json", of_package(&read("datapackage.json"))));
        self.all.extend(texts.into_iter().map(|(file, text)| (format!("{name}/{file}"), text)));
    }
}

/// The words of a page: no styles, no code, no cells that are values; a line for every piece.
fn of_page(html: &str) -> String {
    let mut out = String::new();
    let mut rest = html;
    while let Some((text, tag)) = rest.split_once('<') {
        if !fixed(text) {
            out.push_str(text);
        }
        let apart = ["style", "script", "code"].into_iter().find(|t| tag.starts_with(t));
        let end = apart.map_or(">".to_string(), |t| format!("</{t}>"));
        let (inside, after) = tag.split_once(&end).unwrap();
        for label in ["aria-label=\"", "title=\"", "alt=\""] {
            let label = inside.split_once(label).and_then(|(_, l)| l.split('"').next());
            out.push_str(label.filter(|_| apart.is_none()).unwrap_or(""));
        }
        let within = ["b>", "i>", "/b>", "/i>", "code>"].iter().any(|t| tag.starts_with(t));
        out.push_str(if within { " " } else { "\n" });
        rest = after;
    }
    out + rest
}

/// Every cell that is a text and no value.
fn of_workbook(path: &Path) -> String {
    let mut book: Xlsx<_> = calamine::open_workbook(path).unwrap();
    let mut out = String::new();
    for (_, sheet) in book.worksheets() {
        for cell in sheet.rows().flatten() {
            if let Data::String(text) = cell
                && !fixed(text)
            {
                out.push_str(text);
                out.push('\n');
            }
        }
    }
    assert!(out.lines().count() > 500, "{}", out.lines().count());
    out
}

/// What the data package says of tables and columns.
fn of_package(text: &str) -> String {
    fn walk(value: &serde_json::Value, out: &mut String) {
        match value {
            serde_json::Value::Object(all) => {
                for (key, value) in all {
                    if ["title", "description"].contains(&key.as_str()) {
                        out.push_str(value.as_str().unwrap_or(""));
                        out.push('\n');
                    }
                    walk(value, out);
                }
            }
            serde_json::Value::Array(all) => all.iter().for_each(|v| walk(v, out)),
            _ => {}
        }
    }
    let mut out = String::new();
    walk(&serde_json::from_str(text).unwrap(), &mut out);
    assert!(out.lines().count() > 40, "{out}");
    out
}

/// The words below `Commands:` of a help text.
fn commands(help: &str) -> Vec<String> {
    let below = help.split_once("Commands:\n").map_or("", |(_, t)| t);
    let lines = below.lines().take_while(|l| !l.trim().is_empty());
    let own = lines.filter(|l| l.starts_with("  ") && !l.starts_with("    "));
    own.filter_map(|l| l.split_whitespace().next()).map(str::to_string).collect()
}

/// Everything the commands say.
fn said() -> Said {
    let mut s = Said { all: Vec::new(), home: tempfile::tempdir().unwrap() };
    let help = s.say(&["--help"]);
    let all = commands(&help);
    assert!(all.len() > 9, "{help}");
    for command in all.iter().filter(|c| *c != "help") {
        s.say(&[command, "--help"]);
    }
    for what in ["measures", "laws", "actions", "conditions", "effects", "rules", "systems"] {
        s.say(&["list", what]);
    }
    for what in ["keys", "model", "words"] {
        s.say(&["list", what]);
    }
    let (one, two, loops, sweep) = (s.path("one"), s.path("two"), s.path("loops"), s.path("sweep"));
    s.say(&["run", LARKSPUR, "--campaigns", "128", "--out", &one, "-v"]);
    s.say(&["run", LARKSPUR, "--campaigns", "64", "--seed", "7", "--out", &two, "-q"]);
    s.say(&["report", &two, "--before", &one]);
    s.say(&["changes", &one, &two]);
    let ochre = "runs/ochre/campaign.toml";
    s.say(&["run", ochre, "--outer", "8", "--inner", "8", "--out", &loops, "-v"]);
    let sweep_file = "runs/larkspur-pump/sweep.toml";
    s.say(&["sweep", sweep_file, "--campaigns", "8", "--out", &sweep]);
    s.say(&["sweep", sweep_file, "--campaigns", "8", "--plan"]);
    for folder in ["one", "two", "loops", "sweep"] {
        s.folder(folder);
    }
    for file in [LARKSPUR, ochre, "runs/teasel/campaign.toml"] {
        s.say(&["check", file]);
        s.say(&["check", file, "-v"]);
    }
    for campaign in 0..12 {
        let of = ["--architecture", "suitport-pair", "--campaign", &campaign.to_string()];
        s.say(&[&["replay", LARKSPUR], &of[..]].concat());
    }
    s
}

#[test]
fn every_word_of_the_trade_is_used_and_none_of_the_old_ones() {
    let said = said();
    // What lists the words is no use of them.
    let used: String = said
        .all
        .iter()
        .filter(|(what, _)| what != "list words")
        .map(|(_, text)| text.split_whitespace().collect::<Vec<_>>().join(" ") + "\n")
        .collect();
    let used = used.to_lowercase();
    let unused: Vec<&str> =
        TERMS.iter().map(|t| t.title).filter(|t| !used.contains(&t.to_lowercase())).collect();
    assert!(unused.is_empty(), "no text uses {unused:?}");
    let left: Vec<String> =
        said.all.iter().flat_map(|(what, text)| old_words(what, text)).collect();
    assert!(left.is_empty(), "{} old words are left:\n{}", left.len(), left.join("\n"));
}

#[test]
fn prose_has_no_names() {
    assert_eq!(
        prose("the `way back` of haven_way_back is a way-back/x here"),
        "the x of is a here"
    );
    assert!(FIXED.iter().all(|f| fixed(f)));
    let page = "<style>luck</style><p>A <b>way</b> back</p><td>way back</td><code>luck</code> x";
    assert_eq!(old_words("page", &of_page(page)), ["page: [way back] ...a way back x"]);
}
