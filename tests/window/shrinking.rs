//! The shortest list that still fails.

/// The shortest failing list found: halves are dropped, then quarters and so on down to single entries, as long
/// as the rest still fails and `goes_on` says so. The failure must be reproducible.
pub fn shortest<T: Clone>(
    failing: &[T],
    mut fails: impl FnMut(&[T]) -> bool,
    mut goes_on: impl FnMut() -> bool,
) -> Vec<T> {
    let mut left = failing.to_vec();
    let mut size = left.len().div_ceil(2);
    while size > 0 && goes_on() {
        let before = left.len();
        let mut at = 0;
        while at < left.len() && goes_on() {
            let end = (at + size).min(left.len());
            let without = [&left[..at], &left[end..]].concat();
            if fails(&without) {
                left = without;
            } else {
                at = end;
            }
        }
        // Single entries are tried until none can be spared: one may be needed only for another that has been
        // dropped meanwhile.
        size = match size {
            1 if left.len() < before => 1,
            size => size / 2,
        };
    }
    left
}

#[cfg(test)]
mod tests {
    use super::shortest;
    use crate::window::monkey_inputs::{Input, Random};

    fn inputs(count: usize) -> Vec<Input> {
        let mut random = Random(0xD1CE);
        (0..count).map(|_| Input::any(&mut random)).collect()
    }

    /// An artificial failure: something is pasted, and a drag is given up later on.
    fn fails(inputs: &[Input]) -> bool {
        let pasted = inputs.iter().position(|input| matches!(input, Input::Paste(_)));
        pasted.is_some_and(|at| inputs[at..].iter().any(|input| matches!(input, Input::Drag { is_given_up: true, .. })))
    }

    #[test]
    fn only_what_the_failure_needs_is_left() {
        let all = inputs(1_500);
        let mut tries = 0;
        let left = shortest(
            &all,
            |inputs| {
                tries += 1;
                fails(inputs)
            },
            || true,
        );
        assert!(matches!(left[..], [Input::Paste(_), Input::Drag { is_given_up: true, .. }]), "{left:?}");
        assert!(tries < 100, "{tries} tries");
    }

    #[test]
    fn a_list_of_which_all_is_needed_stays() {
        let numbers = [3, 1, 4, 1, 5];
        assert_eq!(shortest(&numbers, |list| list.len() == 5, || true), numbers);
        assert_eq!(shortest(&numbers, |list| list.iter().sum::<i32>() >= 9, || true), [4, 5]);
        assert!(shortest(&numbers, |_| true, || true).is_empty());
    }

    #[test]
    fn what_was_found_is_given_when_time_is_over() {
        let all = inputs(64);
        let mut left = 3;
        let found = shortest(
            &all,
            |inputs| inputs.len() >= 20,
            || {
                left -= 1;
                left > 0
            },
        );
        assert!(found.len() >= 20 && found.len() < all.len(), "{}", found.len());
    }
}
