//! Which items contribute most to an outcome: one rule for the terminal and the page, so that they
//! never name different ones. Fewer than [`FEW`] events of an architecture rank nothing there.

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
    /// The item, and least and most of the share that would go without it.
    Item(String, f64, f64),
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
    let of = |arm: usize| {
        let own = shares.iter().find(|s| s.arm == arm && s.item == item);
        own.map_or(0.0, |s| s.goes.max(0.0))
    };
    let goes: Vec<f64> = (0..events.len()).filter(|a| enough(events[*a])).map(of).collect();
    let low = goes.iter().copied().fold(f64::INFINITY, f64::min);
    let high = goes.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    Top::Item(item, low, high)
}

/// "23 to 40 %", or one number where both read alike.
pub(super) fn range(low: f64, high: f64) -> String {
    let (low, high) = (format!("{:.0}", 100.0 * low), format!("{:.0}", 100.0 * high));
    if low == high { format!("{high} %") } else { format!("{low} to {high} %") }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn share(arm: usize, item: &str, goes: f64) -> Share {
        Share { arm, item: item.into(), goes }
    }

    #[test]
    fn few_events_rank_nothing_and_count_nothing() {
        let all = [share(0, "a", 0.9), share(1, "b", 0.4), share(1, "c", 0.4), share(2, "b", 0.2)];
        assert_eq!(top(&all, &[Some(0); 3]), Top::Unseen);
        assert_eq!(top(&all, &[Some(29), Some(2), Some(0)]), Top::Few(31));
        // The architecture with 29 events is not asked; of equals the first by name.
        let events = [Some(29), Some(30), Some(31)];
        assert_eq!(top(&all, &events), Top::Item("b".into(), 0.2, 0.4));
        assert_eq!(
            ranked(&all, 1, events[1]).iter().map(|s| &s.item[..]).collect::<Vec<_>>(),
            ["b", "c"]
        );
        assert!(ranked(&all, 0, events[0]).is_empty());
        // A quantity is no count: all are asked, and who does not have the item has 0.
        assert_eq!(top(&all, &[None; 3]), Top::Item("a".into(), 0.0, 0.9));
        assert_eq!(top(&[], &[None]), Top::Nobody);
        assert_eq!((range(0.229, 0.4), range(0.4, 0.4)), ("23 to 40 %".into(), "40 %".into()));
    }
}
