//! The order of a merged list whose entries are known by a key.

/// The order of the entries of three lists, each without repetition, that `is_kept` keeps.
///
/// Entries that all three have stand in the order of the side that reordered them; where both did, each differently,
/// there is no order. The others follow the entry that they follow in their own list. Where both sides put something
/// after the same entry, all of it is sorted, so that it does not matter which side is which.
pub(super) fn arrange<K: Ord>([base, mine, theirs]: [&[K]; 3], is_kept: impl Fn(&K) -> bool) -> Option<Vec<&K>> {
    let in_all = |key: &K| base.contains(key) && mine.contains(key) && theirs.contains(key);
    let orders = [base, mine, theirs].map(|list| list.iter().filter(|key| in_all(key)).collect::<Vec<_>>());
    let [was, by_mine, by_theirs] = orders;
    let frame = match () {
        () if by_mine == by_theirs || by_theirs == was => by_mine,
        () if by_mine == was => by_theirs,
        () => return None,
    };
    let place = |list: &[K], key: &K| {
        let before = list.iter().take_while(|other| *other != key).filter(|other| in_all(other)).last();
        before.map_or(0, |before| frame.iter().position(|other| *other == before).map_or(0, |at| at + 1))
    };
    // What each side puts before the first entry of the frame and after each of its entries.
    let mut slots: Vec<[Vec<&K>; 2]> = (0..=frame.len()).map(|_| [Vec::new(), Vec::new()]).collect();
    for (side, (list, other)) in [(mine, theirs), (theirs, mine)].into_iter().enumerate() {
        for key in list.iter().filter(|key| !in_all(key) && is_kept(key)) {
            let own = place(list, key);
            let at = if other.contains(key) { own.min(place(other, key)) } else { own };
            slots[at][side].push(key);
        }
    }
    let mut order = Vec::new();
    for (at, [mut first, second]) in slots.into_iter().enumerate() {
        if at > 0 {
            order.push(frame[at - 1]);
        }
        if first.is_empty() || second.is_empty() || first == second {
            let one = if first.is_empty() { second } else { first };
            order.extend(one);
            continue;
        }
        first.extend(second);
        first.sort();
        first.dedup();
        order.extend(first);
    }
    Some(order)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn arranged(base: &str, mine: &str, theirs: &str) -> Option<String> {
        let lists = [base, mine, theirs].map(|text| text.chars().collect::<Vec<_>>());
        let [base, mine, theirs] = &lists;
        // Gone when a side lacks it that had it.
        let kept = |key: &char| !base.contains(key) || (mine.contains(key) && theirs.contains(key));
        let order = arrange([base, mine, theirs], kept);
        let swapped = arrange([base, theirs, mine], kept);
        assert_eq!(order, swapped, "it matters which side is which");
        order.map(|order| order.into_iter().collect())
    }

    #[test]
    fn additions_follow_what_they_followed() {
        assert_eq!(arranged("abc", "axbc", "abcy"), Some("axbcy".into()));
        assert_eq!(arranged("abc", "xabc", "abc"), Some("xabc".into()));
        assert_eq!(arranged("ab", "ayb", "axb"), Some("axyb".into()));
        assert_eq!(arranged("", "zy", ""), Some("zy".into()));
        assert_eq!(arranged("", "zy", "x"), Some("xyz".into()));
        assert_eq!(arranged("a", "azy", "azy"), Some("azy".into()));
    }

    #[test]
    fn what_one_side_removes_or_reorders_is_so() {
        assert_eq!(arranged("abc", "ac", "abc"), Some("ac".into()));
        assert_eq!(arranged("abc", "cba", "abcx"), Some("cxba".into()));
        assert_eq!(arranged("abc", "cba", "cba"), Some("cba".into()));
        assert_eq!(arranged("abc", "cba", "bac"), None);
    }
}
