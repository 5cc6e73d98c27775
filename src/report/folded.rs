//! What is said of several architectures, said once: findings and answers that differ in nothing but
//! the architecture.

use crate::scenario::Finding;

/// An answer that holds for some architectures, and for the first thing it names or several.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Answer<'a> {
    /// what is said
    pub what: String,
    /// architectures; none: all
    pub arms: Vec<&'a str>,
}

/// Answers by rule, in the order in which rules come first. What differs in nothing but the architecture,
/// or in nothing but the first name in it, is said once.
pub fn fold_answers(answers: &[Finding]) -> Vec<(&str, Vec<Answer<'_>>)> {
    let mut out: Vec<(&str, Vec<Answer>)> = Vec::new();
    for f in answers {
        let at = out.iter().position(|(rule, _)| *rule == f.rule).unwrap_or_else(|| {
            out.push((f.rule, Vec::new()));
            out.len() - 1
        });
        let own = f.architecture.as_deref();
        match out[at].1.iter_mut().find(|a| a.what == f.what) {
            Some(a) => a.arms.extend(own),
            None => {
                out[at].1.push(Answer { what: f.what.clone(), arms: own.into_iter().collect() })
            }
        }
    }
    out.into_iter().map(|(rule, all)| (rule, by_name(all))).collect()
}

/// Joins what differs in the first name alone, which stands between backticks.
fn by_name(all: Vec<Answer<'_>>) -> Vec<Answer<'_>> {
    let mut out: Vec<(Answer, Vec<String>)> = Vec::new();
    for a in all {
        let Some((before, name, after)) = around(&a.what) else {
            out.push((a, Vec::new()));
            continue;
        };
        let same = |(b, _): &&mut (Answer, Vec<String>)| {
            b.arms == a.arms && around(&b.what).is_some_and(|o| (o.0, o.2) == (before, after))
        };
        match out.iter_mut().find(same) {
            Some((_, names)) => names.push(format!("`{name}`")),
            None => {
                let names = vec![format!("`{name}`")];
                out.push((a, names));
            }
        }
    }
    out.into_iter().map(|(a, names)| named(a, &names)).collect()
}

/// An answer with all the names in place of its first.
fn named<'a>(a: Answer<'a>, names: &[String]) -> Answer<'a> {
    let joined =
        around(&a.what).map(|(before, _, after)| format!("{before}{}{after}", names.join(", ")));
    Answer { what: joined.unwrap_or(a.what), arms: a.arms }
}

/// What stands before, in and after the first pair of backticks.
fn around(text: &str) -> Option<(&str, &str, &str)> {
    let (before, rest) = text.split_once('`')?;
    let (name, after) = rest.split_once('`')?;
    Some((before, name, after))
}

/// Findings with those folded into one that differ in nothing but the architecture: the first of them,
/// and the architectures of all. Their order is kept.
pub fn fold_findings(findings: &[Finding]) -> Vec<(&Finding, Vec<&str>)> {
    let mut out: Vec<(&Finding, Vec<&str>)> = Vec::new();
    for f in findings {
        let same = |g: &Finding| {
            let parts = |x: &Finding| (x.rule, x.at, x.architecture.is_some());
            parts(g) == parts(f) && (&g.what, &g.why, &g.remedy) == (&f.what, &f.why, &f.remedy)
        };
        // Findings of one place stand together.
        let mut near = out.iter_mut().rev().take_while(|(g, _)| g.at == f.at);
        match near.find(|(g, _)| same(g)) {
            Some((_, arms)) => arms.extend(f.architecture.as_deref()),
            None => out.push((f, f.architecture.as_deref().into_iter().collect())),
        }
    }
    out
}

/// Some of the architectures in words: "all architectures", "all but suitlock", or their names.
pub fn architectures(own: &[&str], all: &[&str]) -> String {
    let others: Vec<&str> = all.iter().copied().filter(|a| !own.contains(a)).collect();
    match (own.len(), others.as_slice()) {
        (0, _) => "the campaign".into(),
        (1, []) => own[0].into(),
        (_, []) => "all architectures".into(),
        (n, few) if n > 2 && few.len() * 2 < n => format!("all but {}", few.join(", ")),
        _ => own.join(", "),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::{AppliedBy, At, Level, Rule};

    const RULE: Rule =
        Rule { id: "r", severity: Level::Info, by: AppliedBy::Answer, meaning: "m", remedy: "r" };

    #[test]
    fn what_differs_in_the_architecture_alone_is_said_once() {
        let f = |what: &str, arm: &str| Finding::new(&RULE, At(0), what).architecture(arm);
        let all = [f("x", "a"), f("y", "a"), f("x", "b"), f("x", "c"), f("y", "c")];
        let answer =
            |what: &str, arms: &[&'static str]| Answer { what: what.into(), arms: arms.into() };
        let told = vec![answer("x", &["a", "b", "c"]), answer("y", &["a", "c"])];
        assert_eq!(fold_answers(&all), [("r", told)]);
        let names = [f("port `p`: 1 `s`", "a"), f("port `q`: 1 `s`", "a"), f("port `q`: 2", "a")];
        let told = vec![answer("port `p`, `q`: 1 `s`", &["a"]), answer("port `q`: 2", &["a"])];
        assert_eq!(fold_answers(&names), [("r", told)]);
        assert_eq!(fold_findings(&all)[0].1, ["a", "b", "c"]);
        assert_eq!(fold_findings(&[f("x", "a"), Finding::new(&RULE, At(0), "x")]).len(), 2);
    }

    #[test]
    fn architectures_in_words() {
        let all = ["a", "b", "c", "d", "e"];
        assert_eq!(architectures(&all, &all), "all architectures");
        assert_eq!(architectures(&["a", "b", "c", "e"], &all), "all but d");
        assert_eq!(architectures(&["a", "b"], &all), "a, b");
        assert_eq!(architectures(&["a"], &["a"]), "a");
        assert_eq!(architectures(&[], &all), "the campaign");
    }
}
