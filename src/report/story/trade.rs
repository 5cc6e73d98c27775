//! What the engine says of a moment, in the words of the trade: who stands apart from what.

/// The people that a text begins with, and the rest of it.
pub(super) fn people(text: &str, names: &[String]) -> (Vec<String>, String) {
    let mut who: Vec<String> = Vec::new();
    let mut rest = text;
    loop {
        // Of two names of which one begins the other, the longer.
        let fits = |n: &&String| {
            let after = rest.strip_prefix(n.as_str());
            after.is_some_and(|a| a.starts_with([' ', ',', ':']))
        };
        let Some(name) = names.iter().filter(fits).max_by_key(|n| n.len()) else { break };
        who.push(name.clone());
        rest = &rest[name.len()..];
        let next = [", ", " and "].iter().find_map(|j| rest.strip_prefix(j));
        match next.filter(|r| names.iter().any(|n| r.starts_with(n.as_str()))) {
            Some(next) => rest = next,
            None => break,
        }
    }
    let rest = rest.trim_start();
    match (who.len(), rest.strip_prefix("start to ")) {
        (0, _) => (who, text.into()),
        (1, Some(what)) => (who, format!("starts to {what}")),
        _ => (who, rest.to_string()),
    }
}

/// How the engine begins to tell of a path that is taken.
const TAKEN: &str = "way back tried: ";

/// The path that a line tells is taken, with what is said of it.
pub(super) fn path_taken(text: &str) -> Option<&str> {
    text.strip_prefix(TAKEN)
}

/// Does a line tell of something that befalls one of these people?
pub(super) fn befalls(text: &str, names: &[String]) -> bool {
    text.split_once(" strikes ").is_some_and(|(_, hit)| names.iter().any(|n| n == hit))
}

/// What the engine calls a thing, and what the trade does.
const WORDS: &[(&str, &str)] = &[
    ("ways back are tried", "contingency ingress begins"),
    ("way back tried: ", "contingency ingress path taken: "),
    ("ways back that start elsewhere are not open", "paths that start elsewhere are not available"),
    ("no way back is open", "no contingency ingress path is available"),
    ("life support left", "consumables remaining"),
    // Who is shut in with no path left has life support: the reason says which it was.
    ("did not reach a haven before life support ended", "did not reach a safe haven"),
    ("is in ", "reached a safe haven "),
    (": mended", ": repaired"),
    ("stands down", "is out of service"),
    ("stood down", "out of service"),
    ("`in time` does not hold: ", "too slow: "),
    (" are left", " remain"),
    (": not at rest", ": not in its state at rest"),
    (" is at rest again", " is in service again"),
    (" is still not at rest", " is still not in its state at rest"),
];

/// A text in the words of the trade.
pub(super) fn words(text: &str, names: &[String]) -> String {
    if let Some((mode, hit)) = text.split_once(" strikes ") {
        return match names.iter().any(|n| n == hit) {
            true => format!("{hit}: {mode}"),
            false => match hit.strip_suffix(" (not noticed yet)") {
                Some(part) => format!("{part} failed: {mode} (not noticed yet)"),
                None => format!("{hit} failed: {mode}"),
            },
        };
    }
    if let Some((path, why)) = text.strip_prefix("not open: ").and_then(|t| t.split_once(": ")) {
        // A condition that a path needs, whether it asks for something or for its absence.
        if let Some(needs) = why.strip_suffix(" does not hold").filter(|w| w.ends_with('`')) {
            return format!("path {path} is not available: it needs {needs}, which is not so");
        }
        return format!("path {path} is not available: {}", words(why, names));
    }
    let mut out = text.to_string();
    for (engine, trade) in WORDS {
        // A name of a port or list is no prose: it holds no blanks.
        out = out.replace(engine, trade);
    }
    out.replace("suit/", "")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names() -> Vec<String> {
        ["Aster", "Briar", "Clover"].map(String::from).to_vec()
    }

    #[test]
    fn people_stand_apart_from_what_they_do() {
        let of = |text: &str| people(text, &names());
        let (who, what) = of("Aster and Briar start to repair habitat/main/outer (sticks)");
        assert_eq!(
            (who.join(" "), what.as_str()),
            (
                "Aster Briar".into(),
                "start to repair \
                    habitat/main/outer (sticks)"
            )
        );
        let (who, what) = of("Aster, Briar and Clover go into habitat/cabin");
        assert_eq!((who.len(), what.as_str()), (3, "go into habitat/cabin"));
        assert_eq!(of("Aster start to repair a/b").1, "starts to repair a/b");
        assert_eq!(of("Asterism begins").0.len(), 0);
        assert_eq!(of("port main stands down").1, "port main stands down");
    }

    #[test]
    fn the_words_are_those_of_the_trade() {
        let of = |text: &str| words(text, &names());
        assert_eq!(of("sticks strikes habitat/main/outer"), "habitat/main/outer failed: sticks");
        assert_eq!(of("faints strikes Briar"), "Briar: faints");
        let hidden = of("seal strikes a/b (not noticed yet)");
        assert_eq!(hidden, "a/b failed: seal (not noticed yet)");
        let need = of("not open: a/mate: `not interface stuck` does not hold");
        let told = "path a/mate is not available: it needs `not interface stuck`, which is not so";
        assert_eq!(need, told);
        let slow = of("not open: a/slow: `in time` does not hold: 95 min, 90 min are left");
        assert_eq!(slow, "path a/slow is not available: too slow: 95 min, 90 min remain");
        assert_eq!(
            of("habitat/main/outer (sticks): mended"),
            "habitat/main/outer (sticks): repaired"
        );
        assert_eq!(
            of("is in 12 min after life support ended (late)"),
            "reached a safe haven 12 min \
                    after life support ended (late)"
        );
    }
}
