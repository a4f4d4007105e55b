//! Where in the advance table the engine idles: what fairing leaves alone, and where the checks look for a restless idle.

use std::ops::RangeInclusive;

use super::{Parts, thresholds};
use crate::table::{Cell, Selection};

impl Parts {
    /// The columns within the range of speeds around idle that the project's checks go by; `None` if there are none.
    pub fn idle_columns(&self) -> Option<RangeInclusive<usize>> {
        let (idle_rpm, within_rpm) = (self.engine.idle_speed_rpm, thresholds::IDLE_SLOPE_WITHIN_RPM.of(self));
        self.advance.table().speed().within(idle_rpm - within_rpm, idle_rpm + within_rpm)
    }

    /// The rows below and above the idle load.
    pub fn idle_rows(&self) -> [usize; 2] {
        let at = self.advance.table().load().locate(self.engine.idle_load);
        [at.index, at.index + 1]
    }

    /// The cells in those rows and columns.
    pub fn idle_cells(&self) -> Selection {
        let table = self.advance.table();
        let mut cells = Selection::none(table.load().len(), table.speed().len());
        for speed in self.idle_columns().into_iter().flatten() {
            cells.extend(self.idle_rows().map(|load| Cell::new(load, speed)));
        }
        cells
    }
}

#[cfg(test)]
mod tests {
    use crate::project::{LoadKind, NewProject, Project};
    use crate::table::Cell;

    fn idling_at(speed_rpm: f64, load: f64) -> Project {
        let new = NewProject { name: "Heron".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 16, loads: 16 };
        let project = new.create().unwrap();
        let idling = project.edit(|parts| {
            parts.engine.idle_speed_rpm = speed_rpm;
            parts.engine.idle_load = load;
        });
        idling.unwrap()
    }

    #[test]
    fn idle_cells_lie_around_idle_speed_and_idle_load() {
        let project = idling_at(1000.0, 3.0);
        let table = project.advance.table();
        let (speeds, loads) = (table.speed().breakpoints(), table.load().breakpoints());
        let cells: Vec<Cell> = project.idle_cells().cells().collect();
        assert!(!cells.is_empty());
        for cell in table.cells() {
            let is_near = (speeds[cell.speed] - 1000.0).abs() <= 300.0;
            let is_beside = project.idle_rows().contains(&cell.load);
            assert_eq!(cells.contains(&cell), is_near && is_beside, "{cell:?}");
        }
        let [below, above] = project.idle_rows().map(|row| loads[row]);
        assert!(below <= 3.0 && 3.0 <= above);
    }
}
