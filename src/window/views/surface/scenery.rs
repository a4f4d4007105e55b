//! The cached picture: geometry by content, shapes by camera and marks.

use std::sync::Arc;

use eframe::egui;

use crate::drawing::{
    self, Camera, Fill, HeightScale, LayerScale, Look, MarkShape, Marks, ModelBox, Projector, Relief, ReliefSpec, Ring,
    Scene, Sheer,
};
use crate::project::MeasuredPoint;
use crate::shaping::lift_share;
use crate::table::{Cell, Selection, Table};
use crate::window::kit::scene_painter::Sheet;
use crate::window::state::surface_state::Beside;
use crate::window::views::grip::moved_with;
use crate::window::views::layers;
use crate::window::views::measured;
use crate::window::views::view::View;
use crate::wording::{Unit, with_unit, written};

/// The picture of the surface, recomputed only where something changed.
#[derive(Default)]
pub(in crate::window) struct Scenery {
    relief: Option<Relief>,
    content: Option<Content>,
    picture: Option<Picture>,
    scene: Scene,
    sheet: Sheet,
}

/// What the geometry depends on.
#[derive(PartialEq)]
struct Content {
    key: u64,
    base: Table,
    beside: Beside,
    look: Look,
    model: ModelBox,
    heights: HeightScale,
    layer: LayerScale,
    is_base_comparable: bool,
    /// Which answer of how sure the cells are.
    sure: u64,
}

/// What the shapes depend on, besides the geometry.
#[derive(PartialEq)]
struct Picture {
    camera: Camera,
    rect: egui::Rect,
    selection: Selection,
    cursor: Cell,
    hover: Option<Cell>,
    rings: Vec<Ring>,
    found: Vec<(Cell, MarkShape)>,
    points: Vec<Arc<MeasuredPoint>>,
    hovered_point: Option<usize>,
}

impl Scenery {
    /// 'contours 2°'.
    pub(in crate::window) fn contours_text(&self, view: &View<'_>) -> String {
        format!("contours {}", with_unit(&written(view.scales.heights.step()), Unit::Degree))
    }

    /// The present geometry.
    pub(in crate::window) fn relief(&self) -> Option<&Relief> {
        self.relief.as_ref()
    }

    /// Updates the geometry.
    pub(in crate::window) fn prepare(&mut self, view: &View<'_>) -> ModelBox {
        let base = view.base.project.advance.table();
        let model = view.scales.model;
        let (beside, look) = (measured::beside(view), view.theme.palette.look);
        let is_base_comparable = layers::comparable_base(view).is_some();
        let is_same = self.content.as_ref().is_some_and(|content| {
            content.key == view.content_key
                && content.beside == beside
                && content.look == look
                && content.model == model
                && content.heights == view.scales.heights
                && content.layer == view.scales.layer
                && content.is_base_comparable == is_base_comparable
                && content.sure == view.sure.serial
                && content.base == *base
        });
        if !is_same {
            self.make(view, model, base);
            self.content = Some(Content {
                key: view.content_key,
                base: base.clone(),
                beside,
                look,
                model,
                heights: view.scales.heights,
                layer: view.scales.layer,
                is_base_comparable,
                sure: view.sure.serial,
            });
            self.picture = None;
        }
        model
    }

    fn make(&mut self, view: &View<'_>, model: ModelBox, base: &Table) {
        let beside = measured::beside(view);
        let values = layers::values(view);
        let ceiling = (beside == Beside::Ceiling).then(|| drawing::Sheet::ceiling(view.project)).flatten();
        let within_deg =
            if beside == Beside::Sure { view.sure.of(view.table()).values(view.table()) } else { Vec::new() };
        let spec = ReliefSpec {
            table: view.table(),
            base: beside.is_base().then_some(base),
            model,
            look: view.theme.palette.look,
            fill: Fill::Layer(view.scales.layer.tint(&values)),
            base_style: match beside {
                Beside::SolidBase => drawing::BaseStyle::Solid,
                Beside::Nothing | Beside::WireBase | Beside::Points | Beside::Sure | Beside::Ceiling => {
                    drawing::BaseStyle::Wire
                }
            },
            sheer: match beside {
                Beside::Ceiling => ceiling.as_ref().map(Sheer::Ceiling),
                Beside::Sure => Some(Sheer::Band(&within_deg)),
                _ => None,
            },
            levels: Some(view.scales.heights.levels(view.table())),
            load_unit: view.project.sensors.load.unit(),
        };
        match &mut self.relief {
            Some(relief) => relief.update(&spec),
            None => self.relief = Some(Relief::new(&spec)),
        }
    }

    /// Paints the surface; `falloff` is the centre and the radius in cells of a lift to indicate.
    pub(in crate::window) fn paint(
        &mut self,
        ui: &egui::Ui,
        projector: &Projector,
        rect: egui::Rect,
        view: &View<'_>,
        falloff: Option<(Cell, f64)>,
    ) {
        let selection = &view.screen.selection;
        let shows_points = measured::beside(view).has_pins();
        let picture = Picture {
            camera: view.screen.surface.camera,
            rect,
            selection: selection.cells.clone(),
            cursor: selection.cursor,
            hover: view.screen.pointer.cell.filter(|&cell| cell != selection.cursor),
            rings: falloff.map_or_else(Vec::new, |(centre, radius)| rings(view, centre, radius)),
            found: found(view),
            points: if shows_points { view.project.evidence.points.clone() } else { Vec::new() },
            hovered_point: view.screen.pointer.measured.filter(|_| shows_points),
        };
        if self.picture.as_ref() != Some(&picture) {
            self.draw(projector, &picture);
            self.picture = Some(picture);
        }
        self.sheet.paint(ui.painter(), view.theme);
    }

    fn draw(&mut self, projector: &Projector, picture: &Picture) {
        let Some(relief) = &mut self.relief else {
            return;
        };
        let marks = Marks {
            selection: Some(&picture.selection),
            active: Some(picture.cursor),
            hovered: picture.hover,
            rings: &picture.rings,
            found: &picture.found,
            points: &picture.points,
            hovered_point: picture.hovered_point,
        };
        relief.draw(projector, &marks, &mut self.scene);
        self.sheet.fill(&self.scene);
    }
}

/// The vertices that a lift moves along, with their shares.
fn rings(view: &View<'_>, centre: Cell, radius_cells: f64) -> Vec<Ring> {
    let moved = moved_with(view, centre, Some(radius_cells));
    let others = view.table().cells().filter(|&cell| cell != centre && moved.contains(cell));
    let ring = |cell: Cell| {
        #[expect(clippy::cast_possible_truncation, reason = "0..=1")]
        let weight = lift_share(centre, cell, radius_cells) as f32;
        Ring { cell, weight }
    };
    others.map(ring).filter(|ring| ring.weight > 0.0).collect()
}

/// The vertices about which something was found, with the shape of the worst.
fn found(view: &View<'_>) -> Vec<(Cell, MarkShape)> {
    view.checked.marked(view.table()).iter().map(|&(cell, severity)| (cell, severity.shape())).collect()
}
