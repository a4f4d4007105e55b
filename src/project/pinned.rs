//! Items of the image that keep the unit's old size when the advance table outgrows the layout.

use std::fmt;

use super::{ContentSize, Item, Project};

/// The items that had the size of the table and now keep the one it had.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PinnedItems {
    names: Vec<String>,
    size: ContentSize,
}

impl Project {
    /// What [`Project::with_advance`] fixed the size of; `None` when nothing. A size that was set while the table kept its
    /// own was asked for.
    pub fn pinned_since(&self, before: &Self) -> Option<PinnedItems> {
        let size = |project: &Self| {
            let table = project.advance.table();
            (table.speed().len(), table.load().len())
        };
        if size(self) == size(before) {
            return None;
        }
        let was_free = |item: &Item| {
            let was = before.image.items.iter().find(|was| was.name == item.name);
            was.is_some_and(|was| {
                (was.speeds.is_none() && item.speeds.is_some()) || (was.loads.is_none() && item.loads.is_some())
            })
        };
        let pinned: Vec<&Item> = self.image.items.iter().filter(|item| was_free(item)).collect();
        let most =
            |size: fn(&Item) -> Option<u16>| pinned.iter().filter_map(|item| size(item)).max().map_or(1, usize::from);
        let size = ContentSize { speeds: most(|item| item.speeds), loads: most(|item| item.loads) };
        let names: Vec<String> = pinned.iter().map(|item| item.name.clone()).collect();
        if names.is_empty() { None } else { Some(PinnedItems { names, size }) }
    }
}

impl fmt::Display for PinnedItems {
    /// 'the image has no room for the larger table: cells, speeds keep 8 × 8, and an export resamples the table onto them'.
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let ContentSize { speeds, loads } = self.size;
        write!(
            formatter,
            "the image has no room for the larger table: {} keep {speeds} × {loads}, and an export resamples the table onto them",
            self.names.join(", ")
        )
    }
}
