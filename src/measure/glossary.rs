//! Words of the trade: what terminal, page, workbook and stories say, in one place. Measures have
//! their titles and meanings in [`MEASURES`]; [`TERMS`] has every other word. Names of files, keys
//! and values are fixed and no part of this: they stand in code and tables, never in prose.
//!
//! [`OLD`] are words that prose used before; a test sees that none comes back.

use super::{MEASURES, measure};

/// One word of the trade.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Term {
    /// Name in the code, or of a measure.
    pub key: &'static str,
    /// What people read.
    pub title: &'static str,
    /// What it means, in one sentence without the full stop.
    pub meaning: &'static str,
}

const fn t(key: &'static str, title: &'static str, meaning: &'static str) -> Term {
    Term { key, title, meaning }
}

/// Key of the common draws of all architectures.
pub const COMMON: &str = "common-random-numbers";
/// Key of an architecture that none other is better than on everything.
pub const NON_DOMINATED: &str = "non-dominated";
/// Key of a person who reached no safe haven.
pub const NOT_REACHED: &str = "missed";
/// Key of a person who reached one too late.
pub const LATE: &str = "late";
/// Key of the ways back in when planned ingress does not work.
pub const CONTINGENCY: &str = "way-back";
/// Key of one of them.
pub const PATH: &str = "way-back-path";
/// Key of what life support still holds.
pub const REMAINING: &str = "remaining";
/// Key of the least of it when safe.
pub const MARGIN: &str = "margin";
/// Key of what takes part most in an outcome.
pub const CONTRIBUTORS: &str = "contributors";
/// Key of the differences that stand out from chance.
pub const DIFFERENCES: &str = "differences";
/// Key of the best of a row.
pub const BEST: &str = "best";
/// Key of those not told apart from the best.
pub const EVEN: &str = "even";
/// Key of an interval that may be too narrow.
pub const ROUGH: &str = "rough";

/// Every word that is no title of a measure.
pub const TERMS: &[Term] = &[
    t(
        COMMON,
        "common random numbers",
        "campaign k draws the same weather, illness, work and failures for every architecture, so \
         that differences are paired",
    ),
    t(
        NON_DOMINATED,
        "non-dominated",
        "no other architecture is at least as good on every measure and better on one",
    ),
    t(
        NOT_REACHED,
        "safe haven not reached",
        "a person outside reached no place where the suit can come off",
    ),
    t(
        LATE,
        "safe haven reached after life support ended",
        "a person outside reached a safe haven, but primary and secondary life support had ended",
    ),
    t(
        CONTINGENCY,
        "contingency ingress",
        "getting in by other steps than the planned ingress, when that does not work",
    ),
    t(
        PATH,
        "contingency ingress path",
        "one named list of steps for contingency ingress, tried in the order of the architecture",
    ),
    t(
        REMAINING,
        "consumables remaining",
        "what is left of primary and secondary life support, as time at the present metabolic rate",
    ),
    t(
        MARGIN,
        "minimum consumables margin",
        "the least consumables remaining when somebody was safe, over all campaigns played",
    ),
    t(
        "failed",
        "failed",
        "a part no longer does what it is for, whether anybody has noticed or not",
    ),
    t("repaired", "repaired", "a failed part works again"),
    t("out-of-service", "out of service", "a port that is not used until it is repaired"),
    t(
        CONTRIBUTORS,
        "top contributors",
        "the failure modes and hazards without which an outcome would fall most",
    ),
    t(
        DIFFERENCES,
        "differences whose 95 % interval excludes 0",
        "paired differences between architectures that chance alone would seldom make; of many \
         that are looked at, one in twenty may still be chance",
    ),
    t(BEST, "best", "the best mean of all architectures on this measure"),
    t(
        EVEN,
        "not distinguishable from the best",
        "the 95 % interval of the paired difference from the best contains 0",
    ),
    t(
        ROUGH,
        "rough",
        "few events, few campaigns or a long tail: the interval may hold the truth less often than \
         95 %",
    ),
];

/// What prose said before, and the key of what it says now. Compared without case, as whole words.
pub const OLD: &[(&str, &str)] = &[
    ("luck", COMMON),
    ("common draws", COMMON),
    ("beaten", NON_DOMINATED),
    ("not beaten", NON_DOMINATED),
    ("unbeaten", NON_DOMINATED),
    ("never safe", NOT_REACHED),
    ("missed", NOT_REACHED),
    ("late or missed", NOT_REACHED),
    ("a miss", NOT_REACHED),
    ("misses", NOT_REACHED),
    ("was late", LATE),
    ("somebody late", LATE),
    ("way back", CONTINGENCY),
    ("ways back", CONTINGENCY),
    ("life support left", REMAINING),
    ("luft", REMAINING),
    ("least margin", MARGIN),
    ("hours outside lost", "eva_lost_h"),
    ("hours lost outside", "eva_lost_h"),
    ("lost hours", "eva_lost_h"),
    ("person-hours lost", "eva_lost_h"),
    ("door to door", "door_to_door_min"),
    ("upkeep", "upkeep_h"),
    ("strike", "failed"),
    ("strikes", "failed"),
    ("struck", "failed"),
    ("mend", "repaired"),
    ("mends", "repaired"),
    ("mended", "repaired"),
    ("stood down", "out-of-service"),
    ("stands down", "out-of-service"),
    ("stand down", "out-of-service"),
    ("takes part most", CONTRIBUTORS),
    ("take part most", CONTRIBUTORS),
    ("takes part in it", CONTRIBUTORS),
    ("what drives", CONTRIBUTORS),
    ("drives it", CONTRIBUTORS),
    ("the drivers", CONTRIBUTORS),
    ("clear difference", DIFFERENCES),
    ("clearly", DIFFERENCES),
    ("is clear", DIFFERENCES),
    ("not clear", DIFFERENCES),
    ("are not chance", DIFFERENCES),
];

/// The word of a key: a term of [`TERMS`], or a measure with its title and meaning.
pub fn term(key: &str) -> Option<Term> {
    let own = TERMS.iter().find(|t| t.key == key).copied();
    own.or_else(|| measure(key).map(|m| t(m.name, m.title, m.doc)))
}

/// The title of a key; a key that nobody registered is read as it stands.
pub fn title(key: &str) -> &str {
    let own = TERMS.iter().find(|t| t.key == key).map(|t| t.title);
    own.or_else(|| measure(key).map(|m| m.title)).unwrap_or(key)
}

/// Every word: the terms, then the measures in the order of the files.
pub fn all() -> impl Iterator<Item = Term> {
    TERMS.iter().copied().chain(MEASURES.iter().map(|m| t(m.name, m.title, m.doc)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_and_titles_are_unique_and_short() {
        let words: Vec<Term> = all().collect();
        for (i, a) in words.iter().enumerate() {
            assert!(words[..i].iter().all(|b| b.key != a.key), "{}", a.key);
            let same = words[..i].iter().find(|b| b.title == a.title);
            // The measure counts persons of whom the term speaks.
            let twin = |b: &Term| ["missed", "late"].contains(&b.key);
            assert!(same.is_none_or(twin), "{}", a.title);
            assert!(a.title.len() <= 60 && !a.title.ends_with('.'), "{}", a.title);
            assert!(!a.meaning.is_empty() && !a.meaning.ends_with('.'), "{}", a.meaning);
        }
    }

    #[test]
    fn no_word_is_told_in_old_words() {
        for a in all() {
            for (old, _) in OLD {
                let text = format!("{} {}", a.title, a.meaning).to_lowercase();
                assert!(!text.contains(old), "{}: {old}", a.key);
            }
        }
        for (old, key) in OLD {
            assert!(term(key).is_some(), "{old}: no word {key}");
        }
        assert_eq!(title("door_to_door_min"), "EVA overhead (elapsed)");
        assert_eq!(title("something-else"), "something-else");
    }
}
