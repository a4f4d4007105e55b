//! The three versions of a merge, and the rule by which one of them is taken.

/// One of the three projects of a merge.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Version {
    /// What both started from.
    Base,
    /// The project at hand.
    Mine,
    /// The other one.
    Theirs,
}

impl Version {
    /// In the order in which values of a conflict stand.
    pub const ALL: [Self; 3] = [Self::Base, Self::Mine, Self::Theirs];

    /// The word for it.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Base => "base",
            Self::Mine => "mine",
            Self::Theirs => "theirs",
        }
    }

    /// Its place among three values.
    pub const fn index(self) -> usize {
        match self {
            Self::Base => 0,
            Self::Mine => 1,
            Self::Theirs => 2,
        }
    }
}

/// What becomes of a unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Verdict {
    /// It is taken from this version.
    Take(Version),
    /// Both sides changed it, each differently.
    Conflict,
}

/// Changed on one side: taken from there; alike on both: taken; otherwise a conflict.
pub(super) fn verdict<T: PartialEq + ?Sized>([base, mine, theirs]: [&T; 3]) -> Verdict {
    if theirs == base || mine == theirs {
        return Verdict::Take(Version::Mine);
    }
    if mine == base { Verdict::Take(Version::Theirs) } else { Verdict::Conflict }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_side_both_alike_or_a_conflict() {
        let cases = [
            ([1, 1, 1], Verdict::Take(Version::Mine)),
            ([1, 2, 1], Verdict::Take(Version::Mine)),
            ([1, 1, 2], Verdict::Take(Version::Theirs)),
            ([1, 2, 2], Verdict::Take(Version::Mine)),
            ([1, 2, 3], Verdict::Conflict),
        ];
        for ([base, mine, theirs], expected) in cases {
            assert_eq!(verdict([&base, &mine, &theirs]), expected);
        }
    }
}
