//! Names that users choose (rules 40).

use super::context::Context;
use super::finding::Finding;
use super::keys::RESERVED;
use super::rules;
use super::spec::At;
use super::vocabulary::{Vocabulary, Who};

/// Reports a name that is not formed like one, or that is reserved.
pub(super) fn check(ctx: &Context, name: &str, at: At) {
    if !is_name(name) {
        let what = format!("{name:?} is not a name");
        ctx.report(Finding::new(&rules::BAD_NAME, at, what));
    } else if is_reserved(name) {
        let who: Vec<_> = Who::WORDS.iter().map(|w| w.1).collect();
        let what = format!("`{name}` is a word of the files");
        let remedy = format!(
            "choose another name; reserved are {}, {}",
            RESERVED.join(", "),
            who.join(", ")
        );
        ctx.report(Finding::new(&rules::RESERVED_NAME, at, what).remedy(remedy));
    }
}

/// Words that stand at the head of columns of a sweep, beside which factors stand.
const COLUMNS: &[&str] = &["architecture", "measure", "unit", "point", "campaigns"];

/// Reports the name of a factor that is the name of another column of the table it heads.
pub(super) fn refuse_column(ctx: &Context, name: &str, at: At) {
    if COLUMNS.contains(&name) {
        let what = format!("`{name}` is a column of the results");
        let remedy = format!("choose another name; taken are {}", COLUMNS.join(", "));
        ctx.report(Finding::new(&rules::RESERVED_NAME, at, what).remedy(remedy));
    }
}

/// Does it match `[A-Za-z][A-Za-z0-9 _-]*`?
pub(super) fn is_name(text: &str) -> bool {
    let inner = |c: char| c.is_ascii_alphanumeric() || matches!(c, ' ' | '_' | '-');
    text.starts_with(|c: char| c.is_ascii_alphabetic()) && text.chars().all(inner)
}

fn is_reserved(name: &str) -> bool {
    RESERVED.contains(&name) || Who::parse(name).is_some()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_letters_digits_blanks_and_two_signs() {
        for good in ["a", "Port 2", "vent_valve", "launch-suited"] {
            assert!(is_name(good), "{good}");
        }
        for bad in ["", "2nd", "-a", " a", "é", "a.b", "a\n"] {
            assert!(!is_name(bad), "{bad:?}");
        }
        for reserved in ["planned", "cabin", "store", "inside", "first"] {
            assert!(is_reserved(reserved), "{reserved}");
        }
    }
}
