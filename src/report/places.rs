//! Which rows the matrix has and who is best in a row: one rule for terminal, page and workbook.

/// Measures of the matrix in the order of its rows. The page and the first sheet show those of them
/// that the answer weighs (`SPOKEN`), in the same order; `system_mass_kg` stands there where the file
/// has masses.
pub(super) const ROWS: &[&str] = &[
    "campaign_haven_missed",
    "haven_way_back",
    "eva_lost_h",
    "gas_lost_kg",
    "system_mass_kg",
    "dust_average_max_mg_m3",
    "dust_to_cabin_g",
    "door_to_door_min",
    "upkeep_h",
];

/// How an architecture stands in a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Rank {
    /// the best, and at least one other is behind it
    Best,
    /// not distinguishable from the best
    Even,
    /// behind the best
    Behind,
    /// not estimable
    Unknown,
}

/// The best by its mean (`sense` is -1 where more is better), and how each stands to it. `apart`: does
/// the 95 % interval of the paired difference of two exclude 0? Without any that is behind, nobody
/// is best: all are even.
pub(super) fn ranks(
    means: &[Option<f64>],
    sense: f64,
    apart: impl Fn(usize, usize) -> bool,
) -> (Option<usize>, Vec<Rank>) {
    let known = means.iter().enumerate().filter_map(|(a, x)| Some((a, (*x)? * sense)));
    let lead = known.min_by(|x, y| x.1.total_cmp(&y.1)).map(|(a, _)| a);
    let rank = |a: usize| match (lead, means[a]) {
        (Some(lead), Some(_)) if a == lead => Rank::Best,
        (Some(lead), Some(_)) if apart(lead, a) => Rank::Behind,
        (Some(_), Some(_)) => Rank::Even,
        _ => Rank::Unknown,
    };
    let mut ranks: Vec<Rank> = (0..means.len()).map(rank).collect();
    let best = lead.filter(|_| ranks.contains(&Rank::Behind));
    if let (None, Some(lead)) = (best, lead) {
        ranks[lead] = Rank::Even;
    }
    (best, ranks)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_best_is_best_only_where_another_is_behind() {
        let means = [Some(3.0), Some(1.0), None, Some(2.0)];
        let (best, all) = ranks(&means, 1.0, |best, a| best == 1 && a == 0);
        assert_eq!(best, Some(1));
        assert_eq!(all, [Rank::Behind, Rank::Best, Rank::Unknown, Rank::Even]);
        let (best, all) = ranks(&means, -1.0, |_, _| false);
        assert_eq!(best, None);
        assert_eq!(all, [Rank::Even, Rank::Even, Rank::Unknown, Rank::Even]);
        assert_eq!(ranks(&[None], 1.0, |_, _| true), (None, vec![Rank::Unknown]));
    }
}
