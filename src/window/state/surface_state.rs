//! How the surface is looked at.

use crate::drawing::{Camera, View as CameraView};

/// How the base is shown on the surface.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum BaseStyle {
    /// Not at all.
    #[default]
    Hidden,
    /// As a second body.
    Solid,
    /// As a wire net.
    Wire,
    /// The edited surface tinted by its difference from the base.
    Difference,
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
    /// Whether the surface is shown instead of the grid where there is room for one only.
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
    /// Show the base so.
    Base(BaseStyle),
    /// Show the surface instead of the grid, or the grid again.
    Tab(bool),
}

impl SurfaceState {
    /// Does what is asked.
    pub fn apply(&mut self, message: SurfaceMessage) {
        match message {
            SurfaceMessage::Look(camera) => self.camera = camera,
            SurfaceMessage::Base(style) => self.base_style = style,
            SurfaceMessage::Tab(is_surface) => self.tab = is_surface,
        }
    }
}
