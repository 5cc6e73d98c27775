//! Tests of parts: cut anywhere, written, read and joined they give the bits of the whole.

use super::*;
use crate::stats::laws::{fill, plan};
use crate::stats::{BLOCK, Block, CampaignRows, SetSums};

/// What blocks `range` of an experiment leave, by the definition of [`Results::in_order`].
fn part(plan: &Plan, campaigns: u64, range: Range<u64>) -> Part {
    let per = plan.inner().map_or(1, |i| i.div_ceil(BLOCK));
    let mut rows = CampaignRows::new(plan);
    let mut books = Block::new(plan);
    let mut tree = Tree::new(plan);
    let mut sets = SetBooks::from(plan, range.start / per).map(|b| (SetSums::new(plan), b));
    for block in range.clone() {
        let inside = plan.block(block, campaigns);
        for campaign in inside.clone() {
            rows.clear();
            fill(campaign, &mut rows);
            books.add(campaign, &rows);
            sets.iter_mut().for_each(|(sums, _)| sums.add(&rows));
        }
        let mut tally = tree.take_spare();
        books.close_into(&mut tally);
        tree.insert(block, tally);
        if let Some((sums, books)) = &mut sets {
            books.take(sums, inside.end - inside.start);
            sums.clear();
        }
    }
    let Block { histograms, extremes, .. } = books;
    let sets = sets.map(|(_, books)| Box::new(books.into_part()));
    Part { blocks: range, nodes: tree.into_nodes(), histograms, extremes, sets }
}

fn through_bytes(plan: &Plan, part: &Part) -> Part {
    let mut bytes = Vec::new();
    part.put(&mut bytes);
    let mut reader = Reader::new(&bytes);
    let back = Part::get(plan, &mut reader).unwrap();
    reader.end().unwrap();
    let mut again = Vec::new();
    back.put(&mut again);
    assert_eq!(bytes, again);
    back
}

/// Cut into `n` parts by units of `per` blocks, as shards are.
fn cut(plan: &Plan, campaigns: u64, per: u64, n: u64) -> Results {
    let units = plan.blocks(campaigns) / per;
    let mut joined = Joined::new(plan);
    for k in 0..n {
        let range = k * units / n * per..(k + 1) * units / n * per;
        joined.add(through_bytes(plan, &part(plan, campaigns, range))).unwrap();
    }
    assert_eq!(joined.blocks(), units * per);
    joined.finish()
}

#[test]
fn parts_join_to_the_bits_of_the_whole() {
    let plan = plan();
    for campaigns in [1, 64, 65, 1000, 5000] {
        let whole = Results::in_order(&plan, campaigns, fill);
        for n in [1, 2, 3, 7, 8, 64, 100] {
            let found = cut(&plan, campaigns, 1, n);
            assert!(format!("{:?}", found.tally) == format!("{:?}", whole.tally));
            assert!(found == whole, "{campaigns} campaigns in {n} parts");
        }
    }
}

#[test]
fn parts_with_parameter_sets_join_to_the_bits_of_the_whole() {
    for (sets, inner) in [(1, 2), (3, 64), (200, 3), (130, 70), (64, 1), (65, 1)] {
        let plan = plan().with_sets(Some(inner));
        let whole = Results::in_order(&plan, sets * inner, fill);
        for n in [1, 2, 3, 8, 64, 100] {
            let found = cut(&plan, sets * inner, inner.div_ceil(BLOCK), n);
            let bits = |r: &Results| format!("{:?}", r.sets.as_ref().unwrap().tally());
            assert!(bits(&found) == bits(&whole));
            assert!(found == whole, "{sets} sets of {inner} in {n} parts");
        }
    }
}

#[test]
fn parts_that_do_not_follow_are_refused() {
    let plan = plan();
    let of = |range| part(&plan, 1000, range);
    let mut joined = Joined::new(&plan);
    let gap = JoinError::Gap { expected: 0, found: 3 };
    assert_eq!(joined.add(of(3..5)), Err(gap));
    joined.add(of(0..3)).unwrap();
    assert_eq!(joined.add(of(0..3)), Err(JoinError::Gap { expected: 3, found: 0 }));
    let with_sets = plan.clone().with_sets(Some(64));
    assert_eq!(joined.add(part(&with_sets, 1024, 3..5)), Err(JoinError::Sets));
}

/// Whatever is changed in its bytes, a part is read or refused; nothing panics on the way to an answer.
#[test]
fn changed_bytes_never_panic() {
    for inner in [None, Some(3)] {
        let plan = plan().with_sets(inner);
        let mut bytes = Vec::new();
        part(&plan, 300, 0..3).put(&mut bytes);
        let step = (bytes.len() / 3000).max(1);
        for at in (0..bytes.len()).step_by(step) {
            for change in [1, 0x80, 0xff] {
                let mut changed = bytes.clone();
                changed[at] ^= change;
                let _ = Part::get(&plan, &mut Reader::new(&changed));
            }
            assert!(Part::get(&plan, &mut Reader::new(&bytes[..at])).is_err());
        }
    }
}

#[test]
fn a_part_of_another_plan_is_refused() {
    let mut bytes = Vec::new();
    part(&plan(), 300, 0..3).put(&mut bytes);
    let other = Plan::new(1, 0, vec![], vec![vec![]]).unwrap();
    assert!(Part::get(&other, &mut Reader::new(&bytes)).is_err());
    assert!(Part::get(&plan().with_sets(Some(100)), &mut Reader::new(&bytes)).is_err());
}
