//! What is said of several architectures, said once: findings and answers that differ in nothing but
//! the architecture.

use crate::scenario::Finding;

/// Answers by rule in the order in which they come first: rule, what, architectures.
pub fn fold_answers(answers: &[Finding]) -> Vec<(&str, &str, Vec<&str>)> {
    let mut rules: Vec<&str> = Vec::new();
    for f in answers {
        if !rules.contains(&f.rule) {
            rules.push(f.rule);
        }
    }
    let mut out: Vec<(&str, &str, Vec<&str>)> = Vec::new();
    for rule in rules {
        let first = out.len();
        for f in answers.iter().filter(|f| f.rule == rule) {
            let arm = f.architecture.as_deref();
            match out[first..].iter_mut().find(|(_, what, _)| *what == f.what) {
                Some((.., arms)) => arms.extend(arm),
                None => out.push((rule, &f.what, arm.into_iter().collect())),
            }
        }
    }
    out
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
        let folded = fold_answers(&all);
        assert_eq!(folded, [("r", "x", vec!["a", "b", "c"]), ("r", "y", vec!["a", "c"])]);
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
