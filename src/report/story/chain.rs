//! What led to an end, link by link: what failed, which paths were taken and where each of them stopped.
//! Of what fails at other ports meanwhile nothing is said.

use super::{Told, trade};
use crate::campaign::trace::{End, Line};

/// Links that are told at the beginning and at the end of a long chain.
const FIRST: usize = 3;
const LAST: usize = 5;

/// When it began, s, and what failed and was tried since, numbered, each once.
pub(super) fn chain(told: Told, end: &End) -> (f64, Vec<String>) {
    let names = &told.model.crew.names;
    let lines = &told.story.lines;
    let slot = end.slot.or_else(|| sortie_before(lines, end));
    let mine = |l: &&Line| l.link && l.slot == slot && slot.is_some() && l.time <= end.time;
    let first = lines.iter().find(mine).map_or(end.time, |l| l.time);
    // Links without a sortie are those of the campaign: what strikes, and what people in trouble do
    // after their sortie is over.
    let links: Vec<&Line> = lines
        .iter()
        .filter(|l| l.link && (l.slot == slot || l.slot.is_none()))
        .filter(|l| l.time >= first && l.time <= end.time)
        .collect();
    let own = |l: &&&Line| l.slot.is_some() || trade::path_taken(&l.text).is_some();
    let ports: Vec<&str> = links.iter().filter(own).filter_map(|l| port(&l.text)).collect();
    let here = |l: &&&Line| {
        l.slot.is_some()
            || ports.iter().any(|p| l.text.contains(p))
            || trade::befalls(&l.text, names)
    };
    let texts: Vec<&str> = links.iter().filter(here).map(|l| l.text.as_str()).collect();
    (first, numbered(merged(&texts, names)))
}

/// The last sortie on which something went wrong for a person who is told of without one.
fn sortie_before(lines: &[Line], end: &End) -> Option<u32> {
    let of = |l: &&Line| l.link && l.time <= end.time && l.who.contains(&end.name);
    lines.iter().rev().filter(of).find_map(|l| l.slot)
}

/// Element and port that a link is about: the beginning of the first path in it.
fn port(text: &str) -> Option<&str> {
    let text = trade::path_taken(text).unwrap_or(text);
    let path = text.split([' ', ',', ':']).find(|w| w.matches('/').count() == 2)?;
    path.rfind('/').map(|i| &path[..i + 1])
}

/// Links in words; a path, what failed on it and the row at which it stopped are one.
fn merged(texts: &[&str], names: &[String]) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    // The path that is under way, and what was seen since it was taken or stopped last.
    let mut path: Option<&str> = None;
    let mut since: Vec<String> = Vec::new();
    for text in texts {
        let words = trade::words(text, names);
        if let Some(next) = trade::path_taken(text).and_then(|t| t.split(',').next()) {
            out.append(&mut since);
            path = Some(next);
            out.push(words);
            continue;
        }
        let row = path.and_then(|p| text.strip_prefix(p)?.strip_prefix(": "));
        let known = since.last().or(out.last()) == Some(&words);
        match (row, out.last_mut()) {
            (Some(row), Some(last)) => {
                for what in since.drain(..).chain([row.to_string()]) {
                    // The same row fails again.
                    if !last.ends_with(&format!(", {what}")) {
                        *last += &format!(", {what}");
                    }
                }
            }
            _ if known => {}
            _ if path.is_some() => since.push(words),
            _ => out.push(words),
        }
    }
    out.append(&mut since);
    out
}

/// Numbered; of a long chain the beginning and the end.
fn numbered(links: Vec<String>) -> Vec<String> {
    let all = links.len();
    let shown = |i: &usize| all <= FIRST + LAST + 1 || *i < FIRST || *i >= all - LAST;
    let mut out = Vec::new();
    for (i, link) in links.iter().enumerate().filter(|(i, _)| shown(i)) {
        if i > 0 && !shown(&(i - 1)) {
            out.push(format!("... {} more, told above ...", all - FIRST - LAST));
        }
        out.push(format!("({}) {link}", i + 1));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_and_where_it_stopped_are_one_link() {
        let texts = [
            "sticks strikes hut/main/outer",
            "hut/main/ingress: `open outer` fails: stuck shut",
            "way back tried: hut/main/free-it, 52 min to safety on the mean",
            "jams strikes hut/main/flap",
            "hut/main/free-it: `open outer` fails: stuck shut",
            "hut/main/free-it: `open outer` fails: stuck shut",
            "faints strikes Aster",
        ];
        let told = merged(&texts, &["Aster".to_string()]);
        assert_eq!(
            told,
            [
                "hut/main/outer failed: sticks",
                "hut/main/ingress: `open outer` fails: stuck shut",
                "contingency ingress path taken: hut/main/free-it, 52 min to safety on the mean, \
                 hut/main/flap failed: jams, `open outer` fails: stuck shut",
                "Aster: faints"
            ]
        );
        assert_eq!(port(texts[0]), Some("hut/main/"));
        assert_eq!(port(texts[2]), Some("hut/main/"));
        assert_eq!(port("common cause: seals"), None);
    }

    #[test]
    fn of_a_long_chain_beginning_and_end_are_told() {
        let links = |n: usize| (0..n).map(|i| format!("link {i}")).collect::<Vec<_>>();
        assert_eq!(numbered(links(9)).len(), 9);
        let told = numbered(links(20));
        assert_eq!(told.len(), FIRST + LAST + 1);
        assert_eq!(told[2], "(3) link 2");
        assert_eq!(told[3], "... 12 more, told above ...");
        assert_eq!(told[4], "(16) link 15");
    }
}
