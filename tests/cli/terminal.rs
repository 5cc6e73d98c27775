//! The summary on screens of several widths: what fits, what is marked, what is said in colour.

use super::*;

/// The program in `folder` as if the terminal had so many columns.
fn wide(folder: &Path, columns: usize, arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_vestibule"));
    command.current_dir(folder).args(arguments).env("COLUMNS", columns.to_string());
    command.output().unwrap()
}

/// Larkspur with its six architectures stands on 40 lines of any width; below 100 columns its table is
/// turned, above it is not.
#[test]
fn six_architectures_fit_forty_lines_of_any_width() {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    let home = tempfile::tempdir().unwrap();
    let folder = home.path().join("results");
    let folder = folder.to_str().unwrap();
    for columns in [80, 100, 120] {
        let larkspur = ["run", "runs/larkspur/campaign.toml", "--campaigns", "64", "--out", folder];
        let o = wide(here, columns, &larkspur);
        assert_eq!(code(&o), 0, "{}", err(&o));
        let text = out(&o);
        assert!(text.lines().count() <= 40, "{columns}: {} lines\n{text}", text.lines().count());
        let body = text.lines().filter(|l| !l.contains(folder));
        assert!(body.clone().all(|l| l.chars().count() <= columns), "{columns}\n{text}");
        let begins = |label: &str| text.lines().any(|l| l.starts_with(label));
        assert_eq!(begins("suitports-on-both "), columns < 100, "{columns}\n{text}");
        assert_eq!(begins("gas lost, kg "), columns >= 100, "{columns}\n{text}");
        // The best is marked where something is apart from it, and the marks are explained.
        let best = text.lines().filter(|l| l.contains("* ") || l.ends_with('*')).count();
        assert!(best >= 5, "{columns}\n{text}");
        assert!(text.contains("* is best"), "{text}");
        assert!(text.contains("\nReplay "), "{text}");
    }
}

/// With everything said, there is a sentence for each measure that is weighed and a campaign to replay
/// of each architecture; with as little as possible said, nothing.
#[test]
fn more_and_less_is_said_where_it_is_asked() {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    let home = tempfile::tempdir().unwrap();
    let folder = home.path().join("results");
    let larkspur = ["run", "runs/larkspur/campaign.toml", "--campaigns", "64", "--drivers", "0"];
    let larkspur = [&larkspur[..], &["--out", folder.to_str().unwrap()]].concat();
    let more = out(&vestibule(here, &[&larkspur[..], &["-v"]].concat()));
    assert_eq!(more.matches("vestibule replay ").count(), 6, "{more}");
    assert!(more.contains("  EVA crew-hours lost: "), "{more}");
    assert!(more.contains("Differences whose 95 % interval excludes 0, of 20 looked at"), "{more}");
    let less = vestibule(here, &[&larkspur[..], &["-q"]].concat());
    assert_eq!((code(&less), out(&less), err(&less)), (0, String::new(), String::new()));
    let both = vestibule(here, &[&larkspur[..], &["-q", "-v"]].concat());
    assert_eq!(code(&both), 2, "{}", err(&both));
}

/// Colour changes nothing that is read, and is written where it is asked for.
#[test]
fn colour_is_added_to_the_same_text() {
    let s = Starter::new();
    let of = |color: &str| out(&s.play("results", &["--campaigns", "64", "--color", color]));
    let (always, never) = (of("always"), of("never"));
    assert!(always.contains('\u{1b}'), "{always}");
    assert_eq!(without_colour(&always), never);
    assert_eq!(of("auto"), never, "no colour where there is no terminal");
    let checked = s.run(&["check", "base/campaign.toml", "--color", "always"]);
    assert!(out(&checked).starts_with('\u{1b}'), "{}", out(&checked));
    assert_eq!(code(&s.run(&["list", "words", "--color", "red"])), 2);
}

/// Text without the sequences `ESC [ ... m`.
fn without_colour(text: &str) -> String {
    let mut parts = text.split('\u{1b}');
    let mut plain = parts.next().unwrap_or_default().to_string();
    for part in parts {
        plain += part.split_once('m').expect("a sequence ends in m").1;
    }
    plain
}

/// An interval that is rough carries a mark, and what that means stands there; where none is rough
/// nothing is said of it. In 64 campaigns with a hatch that fails once in some 3000 demands, few have
/// a contingency ingress.
#[test]
fn what_is_rough_is_said_and_what_that_means() {
    let s = Starter::new();
    let text = out(&s.play("results", &["--campaigns", "64"]));
    let rough = text.lines().any(|l| l.contains(" ~"));
    let told = text.contains("~ is rough: few events");
    assert_eq!(rough, told, "{text}");
    assert!(rough, "the case is not met: {text}");
}
