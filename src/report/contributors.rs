//! Which items contribute most to an outcome: one rule for the terminal and the page, so that they
//! never name different ones. Fewer than [`FEW`] events of an architecture rank nothing there.

use super::digits::Digits;

/// Fewer events than that rank nothing.
pub(super) const FEW: u64 = 30;

/// What one item contributes in one architecture.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Share {
    /// index of the architecture
    pub arm: usize,
    /// name of the item
    pub item: String,
    /// share of the outcome that would go without it, above 0
    pub goes: f64,
    /// half the width of the interval of that
    pub half: Option<f64>,
}

impl Share {
    /// In per cent, to the first digit of the half-width, as the figure of the page has it.
    pub fn percent(&self) -> String {
        let of = |x: f64| 100.0 * x;
        Digits::of(of(self.goes), self.half.map(of)).show(of(self.goes))
    }
}

/// Half the width of an interval whose limits are known.
pub(super) fn half(low: Option<f64>, high: Option<f64>) -> Option<f64> {
    low.zip(high).map(|(l, h)| 0.5 * (h - l))
}

/// Who contributes most over all architectures that have events enough.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Top {
    /// The outcome was not seen.
    Unseen,
    /// So many events in all, in no architecture enough.
    Few(u64),
    /// Nothing was seen to contribute.
    Nobody,
    /// The item, and least and most of the share that would go without it, in words.
    Item(String, String),
}

/// Are events enough to rank? A quantity (`None`) is no count of events.
pub(super) fn enough(events: Option<u64>) -> bool {
    events.is_none_or(|n| n >= FEW)
}

/// The contributors of an architecture, the largest first, of equals by name; none where there are too
/// few events.
pub(super) fn ranked(shares: &[Share], arm: usize, events: Option<u64>) -> Vec<&Share> {
    let mut own: Vec<&Share> =
        shares.iter().filter(|s| s.arm == arm && enough(events) && s.goes > 0.0).collect();
    own.sort_by(|x, y| y.goes.total_cmp(&x.goes).then_with(|| x.item.cmp(&y.item)));
    own
}

/// Items of all architectures with events enough, by the sum of their shares, the largest first.
pub(super) fn overall(shares: &[Share], events: &[Option<u64>]) -> Vec<String> {
    let mut sums: Vec<(&str, f64)> = Vec::new();
    for s in shares.iter().filter(|s| enough(events[s.arm]) && s.goes > 0.0) {
        match sums.iter_mut().find(|(item, _)| *item == s.item) {
            Some((_, sum)) => *sum += s.goes,
            None => sums.push((&s.item, s.goes)),
        }
    }
    sums.sort_by(|x, y| y.1.total_cmp(&x.1).then_with(|| x.0.cmp(y.0)));
    sums.into_iter().map(|(item, _)| item.to_string()).collect()
}

/// Who contributes most; `events` of every architecture. Where an architecture with events enough does
/// not have the item, nothing would go there.
pub(super) fn top(shares: &[Share], events: &[Option<u64>]) -> Top {
    let all: u64 = events.iter().flatten().sum();
    if !events.iter().any(|n| enough(*n)) {
        return if all == 0 { Top::Unseen } else { Top::Few(all) };
    }
    let Some(item) = overall(shares, events).into_iter().next() else { return Top::Nobody };
    let none = Share { arm: 0, item: String::new(), goes: 0.0, half: None };
    let of = |arm: usize| {
        let own = shares.iter().find(|s| s.arm == arm && s.item == item && s.goes > 0.0);
        own.unwrap_or(&none)
    };
    let goes: Vec<&Share> = (0..events.len()).filter(|a| enough(events[*a])).map(of).collect();
    let range = range(&goes);
    Top::Item(item, range)
}

/// "20 to 40 %", or one number where both read alike; digits are those of each share.
fn range(shares: &[&Share]) -> String {
    let by = |x: &&&Share, y: &&&Share| x.goes.total_cmp(&y.goes);
    let of = |s: Option<&&Share>| s.map_or("0".into(), |s| s.percent());
    let (low, high) = (of(shares.iter().min_by(by)), of(shares.iter().max_by(by)));
    if low == high { format!("{high} %") } else { format!("{low} to {high} %") }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn share(arm: usize, item: &str, goes: f64) -> Share {
        Share { arm, item: item.into(), goes, half: None }
    }

    #[test]
    fn few_events_rank_nothing_and_count_nothing() {
        let all = [share(0, "a", 0.9), share(1, "b", 0.4), share(1, "c", 0.4), share(2, "b", 0.2)];
        assert_eq!(top(&all, &[Some(0); 3]), Top::Unseen);
        assert_eq!(top(&all, &[Some(29), Some(2), Some(0)]), Top::Few(31));
        // The architecture with 29 events is not asked; of equals the first by name.
        let events = [Some(29), Some(30), Some(31)];
        assert_eq!(top(&all, &events), Top::Item("b".into(), "20.0 to 40.0 %".into()));
        assert_eq!(
            ranked(&all, 1, events[1]).iter().map(|s| &s.item[..]).collect::<Vec<_>>(),
            ["b", "c"]
        );
        assert!(ranked(&all, 0, events[0]).is_empty());
        // A quantity is no count: all are asked, and who does not have the item has 0.
        assert_eq!(top(&all, &[None; 3]), Top::Item("a".into(), "0 to 90.0 %".into()));
        assert_eq!(top(&[], &[None]), Top::Nobody);
        // Digits are those of the cells beside: 0.227 +- 0.11 is 20 %.
        let of = |goes: f64, half: f64| Share { half: Some(half), ..share(0, "a", goes) };
        let (low, high) = (of(0.227, 0.11), of(0.404, 0.06));
        assert_eq!(range(&[&low, &high]), "20 to 40 %");
        assert_eq!(range(&[&high]), "40 %");
    }
}
