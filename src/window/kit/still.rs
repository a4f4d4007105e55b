//! Lines of a list that keep their places while the pointer is over them, whatever comes and goes meanwhile: a
//! second click must not hit something that has just appeared there.

/// Remembers what a list showed when the pointer entered it.
#[derive(Clone, Debug)]
pub struct StillList<T> {
    shown: Vec<T>,
    /// How many of the lines were there when the pointer entered.
    settled: usize,
}

/// One line of the list.
#[derive(Clone, Debug, PartialEq)]
pub struct Line<T> {
    /// As it was when it was first shown: this decides its place.
    pub shown: T,
    /// As it is now; `None` if it is gone.
    pub now: Option<T>,
    /// Whether it appeared while the pointer was there; such lines are at the end.
    pub is_new: bool,
}

impl<T> Default for StillList<T> {
    fn default() -> Self {
        Self { shown: Vec::new(), settled: 0 }
    }
}

impl<T: Clone> StillList<T> {
    /// The lines to show: as they are; or while the pointer is over them, in the order they had, with new ones
    /// at the end.
    pub fn lines(&mut self, now: &[T], is_over: bool, is_same: impl Fn(&T, &T) -> bool) -> Vec<Line<T>> {
        if !is_over || self.shown.is_empty() {
            self.shown = now.to_vec();
            self.settled = self.shown.len();
        } else {
            let is_new = |other: &&T| !self.shown.iter().any(|shown| is_same(shown, other));
            let new: Vec<T> = now.iter().filter(is_new).cloned().collect();
            self.shown.extend(new);
        }
        let find = |shown: &T| now.iter().find(|other| is_same(shown, other)).cloned();
        let line =
            |(at, shown): (usize, &T)| Line { shown: shown.clone(), now: find(shown), is_new: at >= self.settled };
        self.shown.iter().enumerate().map(line).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(list: &mut StillList<(u8, char)>, now: &[(u8, char)], is_over: bool) -> String {
        let line = |line: Line<(u8, char)>| {
            let new = if line.is_new { "!" } else { "" };
            format!("{}{}{new}", line.shown.0, line.now.map_or('-', |now| now.1))
        };
        list.lines(now, is_over, |a, b| a.0 == b.0).into_iter().map(line).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn lines_stay_while_the_pointer_is_over_them() {
        let mut list = StillList::default();
        assert_eq!(lines(&mut list, &[(1, 'a'), (2, 'b'), (3, 'c')], false), "1a 2b 3c");
        assert_eq!(lines(&mut list, &[(4, 'd'), (1, 'a'), (3, 'x')], true), "1a 2- 3x 4d!");
        assert_eq!(lines(&mut list, &[(4, 'd'), (1, 'a'), (2, 'b'), (3, 'x')], true), "1a 2b 3x 4d!");
        assert_eq!(lines(&mut list, &[(4, 'd'), (1, 'a'), (3, 'x')], false), "4d 1a 3x");
    }

    #[test]
    fn the_first_lines_come_at_once() {
        let mut list = StillList::default();
        assert_eq!(lines(&mut list, &[], true), "");
        assert_eq!(lines(&mut list, &[(1, 'a')], true), "1a");
    }
}
