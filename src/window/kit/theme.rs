//! The only place with sizes, and where the palette becomes the look of the widgets.

mod elided;
pub mod engine_sheet_sizes;
pub mod evidence_sizes;
pub mod frame_sizes;
pub mod kit_sizes;
pub mod table_sheet_sizes;
pub mod view_sizes;

use std::sync::{Arc, LazyLock};

use eframe::egui::style::{Selection, WidgetVisuals};
use eframe::egui::{
    self, Color32, CornerRadius, FontData, FontDefinitions, FontFamily, FontId, FontTweak, Margin, Shadow, Stroke,
    Style, TextStyle, Visuals, vec2,
};

pub use self::elided::{Elided, elided, elided_middle, label_in_middle, shortened, whole_parts};
pub use self::engine_sheet_sizes::ExportSizes;
pub use self::kit_sizes::GridSizes;
pub use self::table_sheet_sizes::CompareSizes;
use crate::checks::Severity;
use crate::drawing::{Color, Look, Palette};
use crate::lettering::{Face, Weight};
use crate::window::state::screen::LookChoice;

/// The least breakpoints of a grid, unless it shows all its cells at once.
const LEAST_BREAKPOINTS: f32 = 11.0;
/// The smallest digits of a grid that shows all its cells at once.
const LEAST_DIGITS: f32 = 2.5;

/// Sizes in points, and the colours of the look.
#[derive(Clone, Debug, PartialEq)]
pub struct Theme {
    /// The colours.
    pub palette: &'static Palette,
    /// Height of the top bar.
    pub top_bar_height: f32,
    /// Height of the finder's box in it.
    pub find_height: f32,
    /// Width of the rail.
    pub rail_width: f32,
    /// Height of a sheet's entry on the rail.
    pub rail_step: f32,
    /// Width of the mark of the active sheet.
    pub rail_mark: f32,
    /// Width of a panel beside the sheet.
    pub side_panel_width: f32,
    /// Height of the status line.
    pub status_height: f32,
    /// Distance of contents from the edges of their area.
    pub margin: f32,
    /// Between neighbouring controls.
    pub gap: f32,
    /// How far a side branch is set in where steps are listed.
    pub set_in: f32,
    /// Least height of a press-and-hold button.
    pub hold_button_height: f32,
    /// Height of a sentence button.
    pub sentence_height: f32,
    /// The least height of a sentence of the inspector.
    pub least_sentence: f32,
    /// Height of the second line of a sentence.
    pub second_line: f32,
    /// Room above and below the fields of a sentence.
    pub parts_inset: f32,
    /// How far the grounds of these fields stand in above and below from what can be clicked.
    pub parts_ground: f32,
    /// Height of a field, and of anything else that stands in a line with one.
    pub field_height: f32,
    /// Height of a control in a crowded row: boxes of a curve, buttons over the surface.
    pub small_target: f32,
    /// Side of the button with a cross that takes something away.
    pub cross: f32,
    /// Corner radius of fields and buttons.
    pub radius: u8,
    /// Size of a cell's digits.
    pub digits: f32,
    /// Size of the breakpoints beside a grid.
    pub breakpoints: f32,
    /// Size of body text.
    pub body: f32,
    /// Size of small text: units, hints, axis labels.
    pub small: f32,
    /// Size of headings.
    pub heading: f32,
    /// Size of the project's name.
    pub title: f32,
    /// Width of the line round the selection.
    pub selection_width: f32,
    /// Width of the dashes round cells that are only proposed.
    pub proposed_width: f32,
    /// Side of a handle's touch area.
    pub handle_size: f32,
    /// Height of the line with a part's heading, whose text is centred in it.
    pub heading_line: f32,
    /// Sizes of grids of numbers.
    pub grid: GridSizes,
    /// Sizes of the Compare sheet.
    pub compare: CompareSizes,
    /// Sizes of the Export sheet.
    pub export: ExportSizes,
    /// Least height of a window with grid, surface and slices together.
    pub tall_enough: f32,
}

impl Theme {
    /// The theme of a look.
    pub fn of(look: Look) -> Self {
        let palette = look.palette();
        // Outdoors the digits are larger, and whatever is clicked is easier to hit: with gloves, on a screen that glares.
        let is_sunlit = look == Look::Sunlight;
        let sized = |indoors, outdoors| if is_sunlit { outdoors } else { indoors };
        let digits = sized(12.0, 16.0);
        Self {
            palette,
            top_bar_height: 44.0,
            find_height: sized(26.0, 32.0),
            rail_width: 92.0,
            rail_step: sized(44.0, 50.0),
            rail_mark: 3.0,
            side_panel_width: 320.0,
            status_height: sized(26.0, 30.0),
            margin: 14.0,
            gap: 6.0,
            set_in: 16.0,
            hold_button_height: sized(44.0, 52.0),
            sentence_height: sized(24.0, 32.0),
            least_sentence: sized(20.0, 28.0),
            second_line: sized(20.0, 32.0),
            parts_inset: sized(3.0, 1.0),
            parts_ground: sized(0.0, 3.0),
            field_height: sized(24.0, 30.0),
            small_target: sized(22.0, 28.0),
            cross: sized(20.0, 28.0),
            radius: 4,
            digits,
            breakpoints: sized(11.0, 14.0),
            body: 13.0,
            small: 11.0,
            heading: 13.0,
            title: 15.0,
            selection_width: palette.selection_width,
            proposed_width: sized(1.3, 2.0),
            handle_size: sized(24.0, 32.0),
            heading_line: 34.0,
            grid: GridSizes::new(is_sunlit),
            compare: CompareSizes::new(is_sunlit),
            export: ExportSizes::new(is_sunlit),
            tall_enough: 740.0,
        }
    }

    /// The same with everything in grids smaller, down to the least digits that are drawn.
    pub fn with_smaller_grid(&self, share: f32) -> Self {
        let share = share.clamp(LEAST_DIGITS / self.digits, 1.0);
        let mut smaller = self.clone();
        smaller.digits *= share;
        smaller.breakpoints *= share;
        smaller.small *= share;
        let grid = &mut smaller.grid;
        for size in [&mut grid.pad, &mut grid.above_and_below, &mut grid.beside_cells] {
            *size *= share;
        }
        grid.digits = (grid.digits.0 * share, grid.digits.1 * share);
        grid.usual_cell *= share;
        smaller
    }

    /// The font of digits where they do not grow with their cells.
    pub fn digits_font(&self) -> FontId {
        self.digits_font_of(self.digits)
    }

    /// The font of cell digits of a size.
    pub fn digits_font_of(&self, size: f32) -> FontId {
        FontId::new(size, digits_family())
    }

    /// The font of bytes, whose letters are as wide as their digits.
    pub fn bytes_font(&self) -> FontId {
        FontId::monospace(self.digits)
    }

    /// The font of addresses, whose letters are as wide as their digits.
    pub fn address_font(&self) -> FontId {
        FontId::monospace(self.small)
    }

    /// The font of the breakpoints beside a grid whose digits have a size: where those shrink, breakpoints do too, but
    /// not below the least type.
    pub fn breakpoints_font(&self, digits: f32) -> FontId {
        let shrunk = self.breakpoints * (digits / self.digits).min(1.0);
        FontId::proportional(shrunk.max(self.breakpoints.min(LEAST_BREAKPOINTS)))
    }

    /// The corner radius of what stands in a field or a button.
    pub fn inner_radius(&self) -> f32 {
        f32::from(self.radius) - kit_sizes::WITHIN_RADIUS
    }

    /// The font of body text.
    pub fn body_font(&self) -> FontId {
        FontId::proportional(self.body)
    }

    /// The font of small text.
    pub fn small_font(&self) -> FontId {
        FontId::proportional(self.small)
    }

    /// The font of headings.
    pub fn heading_font(&self) -> FontId {
        FontId::new(self.heading, strong_family())
    }

    /// Gives the widgets this look, and the program's typeface.
    pub fn apply(&self, ctx: &egui::Context) {
        ctx.set_fonts(fonts());
        let theme = if self.palette.look == Look::Dark { egui::Theme::Dark } else { egui::Theme::Light };
        ctx.set_theme(theme);
        ctx.set_style_of(theme, self.style());
    }

    fn style(&self) -> Style {
        let mut style = Style { visuals: self.visuals(), ..Style::default() };
        let sizes = [
            (TextStyle::Body, self.body),
            (TextStyle::Button, self.body),
            (TextStyle::Small, self.small),
            (TextStyle::Monospace, self.body),
        ];
        style.text_styles = sizes.into_iter().map(|(name, size)| (name, FontId::proportional(size))).collect();
        style.text_styles.insert(TextStyle::Heading, self.heading_font());
        style.spacing.item_spacing = vec2(self.gap, self.gap);
        style.spacing.button_padding = vec2(10.0, 3.0);
        style.spacing.interact_size = vec2(self.field_height, self.field_height);
        style.spacing.window_margin = Margin::same(14);
        style.animation_time = 0.0;
        style
    }

    fn visuals(&self) -> Visuals {
        let p = self.palette;
        let mut visuals = if p.look == Look::Dark { Visuals::dark() } else { Visuals::light() };
        visuals.override_text_color = None;
        visuals.weak_text_color = Some(color(p.ink_secondary));
        visuals.panel_fill = color(p.paper);
        visuals.window_fill = color(p.paper);
        visuals.window_stroke = Stroke::new(1.0, color(p.rule_strong));
        visuals.window_corner_radius = CornerRadius::same(self.radius);
        visuals.menu_corner_radius = CornerRadius::same(self.radius);
        visuals.window_shadow = Shadow { offset: [0, 4], blur: 16, spread: 0, color: color(p.shadow) };
        visuals.popup_shadow = visuals.window_shadow;
        visuals.extreme_bg_color = color(p.field);
        visuals.text_edit_bg_color = Some(color(p.field));
        visuals.faint_bg_color = color(p.panel);
        visuals.code_bg_color = color(p.panel);
        visuals.warn_fg_color = color(p.warning);
        visuals.error_fg_color = color(p.error);
        visuals.hyperlink_color = color(p.ink);
        visuals.selection = Selection { bg_fill: color(p.selection), stroke: Stroke::new(1.0, color(p.ink)) };
        let widget = |fill: Color, rule: Color, text: Color| WidgetVisuals {
            bg_fill: color(fill),
            weak_bg_fill: color(fill),
            bg_stroke: Stroke::new(1.0, color(rule)),
            corner_radius: CornerRadius::same(self.radius),
            fg_stroke: Stroke::new(1.0, color(text)),
            expansion: 0.0,
        };
        visuals.widgets.noninteractive = widget(p.paper, p.rule, p.ink);
        visuals.widgets.inactive = widget(p.paper, p.rule_strong, p.ink);
        visuals.widgets.hovered = widget(p.field_hover, p.rule_strong, p.ink);
        visuals.widgets.active = widget(p.field_pressed, p.ink, p.ink);
        visuals.widgets.open = widget(p.field_hover, p.rule_strong, p.ink);
        visuals
    }
}

/// The look to show, given the choice and what the system says.
pub fn look(choice: LookChoice, system: Option<egui::Theme>) -> Look {
    match (choice, system) {
        (LookChoice::Fixed(look), _) => look,
        (LookChoice::System, Some(egui::Theme::Dark)) => Look::Dark,
        (LookChoice::System, _) => Look::Light,
    }
}

/// Gives what is chosen among words the ground that it has in forms; the accent's is for what is selected.
pub fn choose_as_in_forms(ui: &mut egui::Ui, theme: &Theme) {
    ui.visuals_mut().selection.bg_fill = color(theme.palette.field_pressed);
}

/// A palette colour for egui.
pub fn color(color: Color) -> Color32 {
    Color32::from_rgba_unmultiplied(color.r, color.g, color.b, color.a)
}

/// The ink of a severity.
pub fn severity_ink(theme: &Theme, severity: Severity) -> Color {
    match severity {
        Severity::Error => theme.palette.error,
        Severity::Warning => theme.palette.warning,
        Severity::Note => theme.palette.ink_secondary,
    }
}

/// The typeface, the same as in pictures and on paper; Hack is the fixed-pitch font, and has the symbols that the others
/// lack.
///
/// Digits of cells begin on whole pixels, where their strokes blend least with the ground; words keep their spacing
/// instead.
fn fonts() -> FontDefinitions {
    let mut fonts = FontDefinitions::empty();
    let mut bind = |family: FontFamily, faces: [Face; 2], in_between: bool| {
        let names = faces.map(|face| format!("{face:?} {in_between}"));
        for (face, name) in faces.iter().zip(&names) {
            let tweak =
                FontTweak { y_offset_factor: RAISED, subpixel_binning: Some(in_between), ..FontTweak::default() };
            fonts.font_data.insert(name.clone(), FontData::from_static(face.bytes()).tweak(tweak).into());
        }
        fonts.families.insert(family, names.to_vec());
    };
    bind(FontFamily::Proportional, Weight::Regular.faces(), true);
    bind(strong_family(), Weight::Semibold.faces(), true);
    bind(digits_family(), Weight::Regular.faces(), false);
    bind(FontFamily::Monospace, [Face::Signs, Face::Regular], true);
    fonts
}

/// Moves capitals and digits of 12 to 16 points into the middle of their line, downwards in ems: rounded to pixels they
/// stood one too low.
const RAISED: f32 = -0.045;

/// The family of the digits of cells.
fn digits_family() -> FontFamily {
    static NAME: LazyLock<Arc<str>> = LazyLock::new(|| "digits".into());
    FontFamily::Name(NAME.clone())
}

/// The family of emphasised text.
pub fn strong_family() -> FontFamily {
    static NAME: LazyLock<Arc<str>> = LazyLock::new(|| "semibold".into());
    FontFamily::Name(NAME.clone())
}

/// The font of the same size for emphasised text.
pub fn strong_font(font: &FontId) -> FontId {
    FontId::new(font.size, strong_family())
}

/// Paints emphasised text: headings, the active sheet, current breakpoints. Gives the area it takes.
pub fn strong_text(
    painter: &egui::Painter,
    at: egui::Pos2,
    align: egui::Align2,
    text: impl Into<String>,
    font: FontId,
    ink: Color32,
) -> egui::Rect {
    painter.text(at, align, text.into(), strong_font(&font), ink)
}

/// An emphasised label in the text colour; cut with an ellipsis where there is no room, with the whole text as tooltip.
pub fn strong_label(ui: &mut egui::Ui, text: impl Into<String>, font: FontId) -> egui::Response {
    use egui::{Sense, TextWrapMode, WidgetInfo, WidgetText};
    let text: String = text.into();
    let ink = ui.visuals().text_color();
    let galley = WidgetText::from(text.clone()).into_galley(
        ui,
        Some(TextWrapMode::Truncate),
        ui.available_width(),
        egui::FontSelection::FontId(strong_font(&font)),
    );
    let (rect, mut response) = ui.allocate_exact_size(galley.size(), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(egui::Role::Label, true, &text));
    if galley.elided {
        response = response.on_hover_text(&text);
    }
    ui.painter().galley(rect.min, galley, ink);
    response
}

/// The thinnest line: rules, outlines of fields.
pub fn hairline(ink: Color32) -> Stroke {
    Stroke::new(kit_sizes::HAIRLINE, ink)
}

/// A line that stands out.
pub fn strong_line(ink: Color32) -> Stroke {
    Stroke::new(kit_sizes::STRONG, ink)
}

/// The line round what has the keyboard or the pointer.
pub fn ring(ink: Color32) -> Stroke {
    Stroke::new(kit_sizes::RING, ink)
}
