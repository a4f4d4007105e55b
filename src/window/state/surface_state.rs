//! The screen state of the surface and of the slices.

use crate::drawing::{Camera, View as CameraView};

/// What the surface shows beside the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Beside {
    /// Nothing.
    Nothing,
    /// The base as a second solid surface.
    SolidBase,
    /// The base as a wireframe.
    WireBase,
    /// The measured points as pins.
    Points,
    /// How far from the table the truth may lie, with the measured points.
    Sure,
    /// The most that the table may have.
    Ceiling,
}

impl Beside {
    /// Whether it is the base.
    pub const fn is_base(self) -> bool {
        matches!(self, Self::SolidBase | Self::WireBase)
    }

    /// Whether measured points are shown with it.
    pub const fn has_pins(self) -> bool {
        matches!(self, Self::Points | Self::Sure)
    }
}

/// What the views of the surface keep on the screen.
#[derive(Clone, Debug)]
pub struct SurfaceState {
    /// The eye.
    pub camera: Camera,
    /// Whether a drag on any vertex lifts it.
    pub lift_armed: bool,
    /// Whether a drag draws a box that selects the vertices in it.
    pub box_armed: bool,
    /// Whether such a box is being drawn.
    pub boxing: bool,
    /// What was chosen to be shown beside the table; `None` until something was.
    pub chosen_beside: Option<Beside>,
    /// Whether the surface is shown instead of the grid if there is room for only one.
    pub tab: bool,
}

/// How the slices are looked at and drawn on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct SlicesState {
    /// Whether the curvature comb is hidden.
    pub hides_comb: bool,
    /// Whether a drag over a slice draws its line.
    pub draws: bool,
}

impl Default for SurfaceState {
    fn default() -> Self {
        Self {
            camera: Camera::view(CameraView::ThreeQuarter),
            lift_armed: false,
            box_armed: false,
            boxing: false,
            chosen_beside: None,
            tab: false,
        }
    }
}

/// What a view may ask of the surface's state.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SurfaceMessage {
    /// Look from here.
    Look(Camera),
    /// Show this beside the table.
    Beside(Beside),
    /// Show the surface instead of the grid, or the grid again.
    Tab(bool),
    /// A box is being drawn, or no longer: it is done or given up.
    Boxing(bool),
}

impl SurfaceState {
    /// What is shown beside the table: what was chosen, if the project has it, and until then measured points.
    pub fn beside(&self, has_points: bool, has_ceiling: bool) -> Beside {
        match self.chosen_beside {
            None if has_points => Beside::Points,
            None => Beside::Nothing,
            Some(Beside::Points | Beside::Sure) if !has_points => Beside::Nothing,
            Some(Beside::Ceiling) if !has_ceiling => Beside::Nothing,
            Some(chosen) => chosen,
        }
    }

    /// Lets a drag lift, or orbit again; it cannot select as well.
    pub fn toggle_lift(&mut self) {
        self.lift_armed = !self.lift_armed;
        self.box_armed = false;
    }

    /// Lets a drag select by a box, or orbit again; it cannot lift as well.
    pub fn toggle_box(&mut self) {
        self.box_armed = !self.box_armed;
        self.lift_armed = false;
    }

    /// Carries out the message.
    pub fn apply(&mut self, message: SurfaceMessage) {
        match message {
            SurfaceMessage::Look(camera) => self.camera = camera,
            SurfaceMessage::Beside(beside) => self.chosen_beside = Some(beside),
            SurfaceMessage::Tab(is_surface) => self.tab = is_surface,
            SurfaceMessage::Boxing(is_boxing) => self.boxing = is_boxing,
        }
    }
}
