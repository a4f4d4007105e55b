//! The table as the unit will have it, in place of the project's: computed on a thread, and announced above the
//! grid.

use eframe::egui::{self, Align, Frame, Label, Layout, Rect, RichText, Sense, vec2};

use crate::checks::Severity;
use crate::image::{AsFlashed, FlashedDifference, as_flashed, flashed_size};
use crate::project::{Advance, ContentSize, Origin, Project};
use crate::window::kit::marks;
use crate::window::kit::theme::kit_sizes::{ENTRY_GAP, MARK};
use crate::window::kit::theme::table_sheet_sizes::{FLASHED_BAR_HEIGHT, FLASHED_MARGIN, FLASHED_MARK_ROOM};
use crate::window::kit::theme::{color, strong_family};
use crate::window::state::grid_state::{FlashedGrid, GridMessage};
use crate::window::state::outbox::Outbox;
use crate::window::state::screen::Screen;
use crate::window::state::selection::CellSelection;
use crate::window::tasks::task::Task;
use crate::window::views::surface::quiet_button;
use crate::window::views::view::{Flashed, View};
use crate::wording::{Refusal, Unit, change, fixed, point, with_unit};

/// Decimals of differences.
const DECIMALS: usize = 2;

/// The unit's table as a project of its own, to be shown, with its largest difference.
struct Shown {
    flashed: AsFlashed,
    project: Project,
    largest: FlashedDifference,
    arithmetic: FlashedDifference,
}

impl Shown {
    fn of(project: &Project) -> Result<Option<Self>, Refusal> {
        let Some(flashed) = as_flashed(project)? else {
            return Ok(None);
        };
        let (own, table) = (&project.advance, flashed.table().clone());
        let is_own_size =
            table.values().len() == own.table().values().len() && table.speed().len() == own.table().speed().len();
        let advance = if is_own_size {
            Advance::new(table, own.held().clone(), own.origins().to_vec())
        } else {
            Advance::uniform(table, Origin::Modelled)
        };
        let shown = project.with_advance(advance?)?;
        let (largest, arithmetic) = (flashed.largest_difference(), flashed.arithmetic_difference());
        Ok(Some(Self { flashed, project: shown, largest, arithmetic }))
    }
}

/// Keeps the unit's table of the project on show.
#[derive(Default)]
pub(super) struct FlashedKeeper {
    newest: Task<Project, Option<Shown>>,
    /// The screen with a selection that fits a table of another size.
    screen: Option<Screen>,
}

/// Whether the unit's table has the size of the project's, so that cells can be edited in place.
pub(super) fn is_own_size(view: &View<'_>) -> bool {
    let table = view.settled().advance.table();
    let own = ContentSize { speeds: table.speed().len(), loads: table.load().len() };
    flashed_size(view.settled()).is_none_or(|size| size == own)
}

impl FlashedKeeper {
    /// Has the unit's table computed for the project without previews: what is only proposed is never flashed.
    pub(super) fn settle(&mut self, view: &View<'_>, ctx: &egui::Context) {
        self.newest.receive();
        let of = view.settled().clone();
        self.newest.ask(view.settled(), ctx, "the table as flashed", move |_| Shown::of(&of));
    }

    /// What the grid is to show; the project's own table as long as there is nothing else.
    pub(super) fn view<'a>(&'a mut self, view: &View<'a>) -> View<'a> {
        let newest = self.newest.newest().filter(|_| self.newest.fault_of(view.settled()).is_none());
        let shown = newest.and_then(|(_, found)| found.as_ref().as_ref());
        let project = shown.map_or_else(|| view.settled(), |shown| &shown.project);
        let table = project.advance.table();
        if !view.screen.selection.cells.fits(table) {
            let mut screen = view.screen.clone();
            screen.selection = CellSelection::fitted(screen.selection, table);
            (screen.pointer.cell, screen.grid.editor) = (None, None);
            self.screen = Some(screen);
        } else {
            self.screen = None;
        }
        let in_counts = view.screen.grid.flashed == FlashedGrid::Counts;
        View {
            project,
            proposed: None,
            screen: self.screen.as_ref().unwrap_or(view.screen),
            flashed: shown.map(|shown| Flashed { table: &shown.flashed, in_counts }),
            ..*view
        }
    }

    /// The words above the grid.
    pub(super) fn bar(&self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        let theme = view.theme;
        Frame::new().fill(color(theme.palette.panel)).inner_margin(FLASHED_MARGIN).show(ui, |ui| {
            ui.set_min_size(vec2(ui.available_width(), FLASHED_BAR_HEIGHT - FLASHED_MARGIN.sum().y));
            ui.spacing_mut().item_spacing.y = ENTRY_GAP;
            ui.horizontal(|ui| {
                let (rect, _) = ui.allocate_exact_size(FLASHED_MARK_ROOM, Sense::hover());
                let mark = Rect::from_center_size(rect.center(), MARK);
                ui.painter().add(marks::severity(mark, Severity::Warning, color(theme.palette.warning)));
                let words = "Not the project's numbers: the table as the unit will have it.";
                ui.add(Label::new(RichText::new(words).family(strong_family())).truncate());
                ui.with_layout(Layout::right_to_left(Align::Center), |ui| unit(ui, view, outbox));
            });
            let told = self.told(view);
            for words in told {
                let words = RichText::new(words).size(theme.small).color(color(theme.palette.ink_secondary));
                ui.add(Label::new(words).truncate());
            }
        });
    }

    fn told(&self, view: &View<'_>) -> [String; 2] {
        let edits = if is_own_size(view) {
            "Typing, nudging and copying go on acting on the project's own numbers.".to_owned()
        } else {
            let size = flashed_size(view.settled())
                .map_or_else(String::new, |size| format!(" {} × {}", size.speeds, size.loads));
            format!(
                "The unit has its own size{size}, so this grid only shows; edit on surface and slices, or switch it off."
            )
        };
        let newest = self.newest.newest().map(|(_, found)| found.as_ref());
        let found = match (self.newest.fault_of(view.settled()), newest) {
            (Some(why), _) => format!("There is no image: {why}."),
            (None, None) => "Computing…".to_owned(),
            (None, Some(None)) => "The image holds no advance table: add one on the Export sheet.".to_owned(),
            (None, Some(Some(shown))) => difference(view, shown),
        };
        [found, edits]
    }
}

fn difference(view: &View<'_>, shown: &Shown) -> String {
    let place =
        |difference: &FlashedDifference| point(difference.speed_rpm, difference.load, view.project.sensors.load.unit());
    let FlashedDifference { flashed_deg, wanted_deg, .. } = shown.largest;
    let [flashed, wanted] = [flashed_deg, wanted_deg].map(|deg| with_unit(&fixed(deg, DECIMALS), Unit::Degree));
    let by = with_unit(&change(shown.largest.deg(), DECIMALS), Unit::Degree);
    let largest = format!("Largest difference {by} at {} ({flashed} for {wanted})", place(&shown.largest));
    if shown.flashed.integer().is_none() {
        return format!("{largest}; the unit interpolates in floating point.");
    }
    let arithmetic = with_unit(&change(shown.arithmetic.deg(), DECIMALS), Unit::Degree);
    format!("{largest}; integer arithmetic alone {arithmetic} at {}.", place(&shown.arithmetic))
}

/// Degrees or counts.
fn unit(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let now = view.screen.grid.flashed;
    let choices = [
        (FlashedGrid::Counts, "counts", "Show the raw numbers that are stored."),
        (FlashedGrid::Degrees, "degrees", "Show the degrees that the raw numbers stand for."),
    ];
    for (choice, text, told) in choices {
        if quiet_button(ui, view.theme, text, &format!("As flashed: {text}"), now == choice, told).clicked() {
            outbox.send(GridMessage::Flash(choice));
        }
    }
}
