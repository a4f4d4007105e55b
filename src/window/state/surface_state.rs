//! The screen state of the surface.

use crate::drawing::{Camera, View as CameraView};

/// How the base is shown on the surface.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum BaseStyle {
    /// Not at all.
    #[default]
    Hidden,
    /// As a second solid surface.
    Solid,
    /// As a wireframe.
    Wire,
}

/// What the views of the surface keep on the screen.
#[derive(Clone, Debug)]
pub struct SurfaceState {
    /// The eye.
    pub camera: Camera,
    /// Whether a drag on any vertex lifts it.
    pub lift_armed: bool,
    /// How the base is shown.
    pub base_style: BaseStyle,
    /// Whether the surface is shown instead of the grid if there is room for only one.
    pub tab: bool,
}

impl Default for SurfaceState {
    fn default() -> Self {
        Self {
            camera: Camera::view(CameraView::ThreeQuarter),
            lift_armed: false,
            base_style: BaseStyle::default(),
            tab: false,
        }
    }
}

/// What a view may ask of the surface's state.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SurfaceMessage {
    /// Look from here.
    Look(Camera),
    /// Show the base in this style.
    Base(BaseStyle),
    /// Show the surface instead of the grid, or the grid again.
    Tab(bool),
}

impl SurfaceState {
    /// Carries out the message.
    pub fn apply(&mut self, message: SurfaceMessage) {
        match message {
            SurfaceMessage::Look(camera) => self.camera = camera,
            SurfaceMessage::Base(style) => self.base_style = style,
            SurfaceMessage::Tab(is_surface) => self.tab = is_surface,
        }
    }
}
