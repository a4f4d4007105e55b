//! A box with text to be typed over and a unit after it, as in the forms and the inspector.

use eframe::egui::text::{CCursor, CCursorRange};
use eframe::egui::text_edit::TextEditState;
use eframe::egui::{
    self, Align, Align2, Color32, Event, FontId, Id, Margin, Rect, Response, RichText, TextEdit, UiBuilder, pos2, vec2,
};

use crate::window::kit::theme::kit_sizes::{HAIRLINE, RING, ROUNDING, STRONG};
use crate::window::kit::theme::view_sizes::{FORM_SIZES, UNIT_GAP};
use crate::window::kit::theme::{Theme, color, elided};
use crate::wording::Unit;

/// More characters than any box holds.
const LONGEST_TEXT: usize = 100_000;

/// A box for one line of text.
pub struct TextBox<'a> {
    /// Its id.
    pub id: Id,
    /// Where it is.
    pub rect: Rect,
    /// What is shown after the text; may be empty.
    pub unit: Behind<'a>,
    /// Whether its text cannot be accepted.
    pub at_fault: bool,
    /// The alignment of short text.
    pub align: Align2,
    /// The faint text while it is empty.
    pub hint: &'a str,
    /// Distance of the text from the edge.
    pub padding: f32,
    /// How far its ground stands in above and below, where more can be clicked than is seen.
    pub inset: f32,
}

/// Takes text that was pasted in this frame before a box takes it as one line, if it is wanted.
pub fn take_pasted(ctx: &egui::Context, is_wanted: impl Fn(&str) -> bool) -> Option<String> {
    ctx.input_mut(|input| {
        let at = input.events.iter().position(|event| matches!(event, Event::Paste(text) if is_wanted(text)))?;
        match input.events.remove(at) {
            Event::Paste(text) => Some(text),
            _ => None,
        }
    })
}

/// What is shown after the text of a box.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Behind<'a> {
    /// The unit of the number.
    Unit(Unit),
    /// That the number is hexadecimal.
    Hexadecimal,
    /// Other words.
    Words(&'a str),
}

impl<'a> Behind<'a> {
    /// Nothing.
    pub const NOTHING: Self = Self::Unit(Unit::None);

    const fn text(self) -> &'a str {
        match self {
            Self::Unit(unit) => unit.text(),
            Self::Hexadecimal => "hex",
            Self::Words(words) => words,
        }
    }
}

impl TextBox<'_> {
    /// Draws the box. All its text is selected when it gets the keyboard focus. Text that does not fit is cut
    /// with an ellipsis while the focus is elsewhere, and shown in full in a tooltip.
    pub fn show(&self, ui: &mut egui::Ui, theme: &Theme, text: &mut String) -> Response {
        let has_focus = ui.memory(|memory| memory.has_focus(self.id));
        self.paint_ground(ui, theme, has_focus);
        // A hint in place of a value has no unit; the room for the unit stays, so that nothing jumps.
        let unit = if text.is_empty() && !self.hint.is_empty() { Behind::NOTHING } else { self.unit };
        let padding = self.padding_for(ui, theme, text);
        let rect = Rect::from_min_max(
            pos2(self.rect.left() + padding, self.rect.top()),
            pos2(self.rect.right() - padding - unit_width(ui, theme, self.unit), self.rect.bottom()),
        );
        let font = font_for(ui, theme, (text, self.unit), rect.width());
        let line = elided(ui, rect, text.as_str(), font.clone());
        let is_cut = line.is_cut() && !has_focus;
        // A hint that does not fit is cut as well; otherwise it would cover what is beside the box.
        let (hint, second) = (elided(ui, rect, self.hint, theme.body_font()), color(theme.palette.ink_secondary));
        let is_hint_cut = text.is_empty() && hint.is_cut();
        let shown_hint = if is_hint_cut { "" } else { self.hint };
        let edit = TextEdit::singleline(text)
            .id(self.id)
            .frame(egui::Frame::NONE)
            .margin(Margin::ZERO)
            .font(font)
            .align(self.align)
            .hint_text(RichText::new(shown_hint).color(second))
            .min_size(rect.size())
            .desired_width(rect.width());
        let edit = if is_cut { edit.text_color(Color32::TRANSPARENT) } else { edit };
        let mut inside = ui.new_child(UiBuilder::new().max_rect(rect));
        inside.spacing_mut().interact_size.y = 0.0;
        let mut response = inside.add(edit);
        if is_cut {
            line.paint(ui, Align::Min, color(theme.palette.ink));
            response = line.tip_on(response);
        }
        if is_hint_cut {
            hint.paint(ui, Align::Min, second);
            response = hint.tip_on(response);
        }
        self.paint_unit(ui, theme, unit);
        if response.gained_focus() {
            select_all(ui.ctx(), self.id);
            super::show_whole(ui, &response);
        }
        response
    }

    /// The distance of a text from the edges: less where a number would need a smaller type otherwise.
    fn padding_for(&self, ui: &egui::Ui, theme: &Theme, text: &str) -> f32 {
        if !is_number(text, self.unit) {
            return self.padding;
        }
        let font = number_font(theme, self.unit);
        let wide = ui.painter().layout_no_wrap(text.to_owned(), font, Color32::BLACK).size().x + ROUNDING;
        let spare = self.rect.width() - unit_width(ui, theme, self.unit) - wide;
        (spare / 2.0).clamp(FORM_SIZES.least_padding.min(self.padding), self.padding)
    }

    fn paint_ground(&self, ui: &egui::Ui, theme: &Theme, has_focus: bool) {
        let palette = theme.palette;
        let (width, rule) = match (self.at_fault, has_focus) {
            (true, _) => (STRONG, palette.error),
            (false, true) => (RING, palette.ink),
            (false, false) => (HAIRLINE, palette.rule_strong),
        };
        let stroke = egui::Stroke::new(width, color(rule));
        let radius = theme.inner_radius();
        let seen = self.rect.shrink2(vec2(0.0, self.inset));
        ui.painter().rect(seen, radius, color(palette.paper), stroke, egui::StrokeKind::Inside);
    }

    fn paint_unit(&self, ui: &egui::Ui, theme: &Theme, unit: Behind<'_>) {
        let inside = self.rect.shrink2(vec2(self.padding, 0.0));
        elided(ui, inside, unit.text(), unit_font(theme, unit)).paint(
            ui,
            Align::Max,
            color(theme.palette.ink_secondary),
        );
    }
}

/// Whether a text is a number, which is never cut.
fn is_number(text: &str, unit: Behind<'_>) -> bool {
    let is_digits = text.starts_with(|first: char| first.is_ascii_digit() || "-+.,\u{2212}".contains(first))
        && !text.contains(char::is_whitespace);
    is_digits || unit == Behind::Hexadecimal
}

/// The font of the body, or of bytes.
fn number_font(theme: &Theme, unit: Behind<'_>) -> FontId {
    if unit == Behind::Hexadecimal { FontId::monospace(theme.body) } else { theme.body_font() }
}

/// The font of a text in a box of this width. A number is never cut: its font is smaller if there is no room
/// for it.
fn font_for(ui: &egui::Ui, theme: &Theme, (text, unit): (&str, Behind<'_>), width: f32) -> FontId {
    let font = number_font(theme, unit);
    if !is_number(text, unit) || width <= 0.0 {
        return font;
    }
    let wide = ui.painter().layout_no_wrap(text.to_owned(), font.clone(), Color32::BLACK).size().x;
    // One point less than the space, because widths of letters are rounded.
    let share = ((width - ROUNDING) / wide).clamp(FORM_SIZES.least_type / font.size, 1.0);
    FontId::new((font.size * share * 4.0).floor() / 4.0, font.family)
}

/// Units are small; the degree sign already is.
fn unit_font(theme: &Theme, unit: Behind<'_>) -> egui::FontId {
    if unit == Behind::Unit(Unit::Degree) { theme.body_font() } else { theme.small_font() }
}

/// The width of a unit after a number.
pub fn unit_width(ui: &egui::Ui, theme: &Theme, unit: Behind<'_>) -> f32 {
    if unit.text().is_empty() {
        return 0.0;
    }
    let gap = if unit == Behind::Unit(Unit::Degree) { 0.0 } else { UNIT_GAP };
    ui.painter().layout_no_wrap(unit.text().to_owned(), unit_font(theme, unit), Color32::BLACK).size().x.ceil() + gap
}

/// Selects all text of a box, so that typing replaces it; even text that is only put there in the next frame.
pub fn select_all(ctx: &egui::Context, id: Id) {
    let mut state = TextEditState::load(ctx, id).unwrap_or_default();
    // Beyond any text; the box limits the selection to what it contains.
    state.cursor.set_char_range(Some(CCursorRange::two(CCursor::new(0), CCursor::new(LONGEST_TEXT))));
    state.store(ctx, id);
}

#[cfg(test)]
mod tests {
    use eframe::egui::{Context, RawInput, Shape};

    use super::*;
    use crate::drawing::Look;

    /// The texts that a box paints.
    fn painted(text: &str, unit: Behind<'_>, hint: &str) -> Vec<String> {
        let ctx = Context::default();
        let theme = Theme::of(Look::Light);
        theme.apply(&ctx);
        let mut output = ctx.run_ui(RawInput::default(), |ui| {
            let rect = Rect::from_min_size(pos2(10.0, 10.0), vec2(96.0, 24.0));
            let (id, at_fault, align) = (Id::unique("box"), false, Align2::RIGHT_CENTER);
            let text_box = TextBox { id, rect, unit, at_fault, align, hint, padding: 5.0, inset: 0.0 };
            text_box.show(ui, &theme, &mut text.to_owned());
        });
        let shapes = std::mem::take(&mut output.shapes);
        output.drop_without_applying_deltas();
        let mut texts = Vec::new();
        let mut rest: Vec<Shape> = shapes.into_iter().map(|shape| shape.shape).collect();
        while let Some(shape) = rest.pop() {
            match shape {
                Shape::Vec(shapes) => rest.extend(shapes),
                Shape::Text(text) => {
                    let rows = text.galley.rows.iter().map(|row| row.glyphs.iter().map(|glyph| glyph.chr).collect());
                    texts.push(rows.collect::<Vec<String>>().join("|"));
                }
                _ => {}
            }
        }
        texts
    }

    #[test]
    fn a_unit_stands_behind_a_value_and_not_behind_its_absence() {
        let [with, without] = ["7250", ""].map(|text| painted(text, Behind::Unit(Unit::Rpm), "none"));
        assert!(with.contains(&"7250".to_owned()) && with.contains(&"rpm".to_owned()), "{with:?}");
        assert!(without.contains(&"none".to_owned()) && !without.contains(&"rpm".to_owned()), "{without:?}");
    }

    #[test]
    fn a_number_is_whole_in_any_box() {
        for text in ["800000", "0x08000000", "\u{2212}123456.75", "27.25"] {
            assert!(painted(text, Behind::Unit(Unit::Rpm), "").contains(&text.to_owned()), "{text}");
        }
    }

    #[test]
    fn text_without_room_is_cut_with_an_ellipsis() {
        let texts = painted("white with a green tracer, pin 7", Behind::NOTHING, "");
        assert!(texts.iter().any(|text| text.starts_with("white") && text.ends_with('…')), "{texts:?}");
    }
}
