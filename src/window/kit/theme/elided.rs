//! Text in a box: cut with an ellipsis where it does not fit, with the whole text as its tooltip. Names and paths are cut
//! in their middle, sentences at their end.

use std::sync::Arc;

use eframe::egui::text::{LayoutJob, TextWrapping};
use eframe::egui::{
    self, Align, Align2, Color32, FontId, FontSelection, Galley, Label, Rect, Response, RichText, Role, Sense,
    TextWrapMode, Ui, WidgetInfo, WidgetText,
};

/// A line of text laid out for a box.
pub struct Elided {
    galley: Arc<Galley>,
    rect: Rect,
    text: String,
    is_cut: bool,
}

/// Lays out a line of text for a box. Where it is cut within a number, all of the number is left out.
pub fn elided(ui: &Ui, rect: Rect, text: impl Into<String>, font: FontId) -> Elided {
    let text = text.into();
    let galley = cut(ui, &text, rect.width().max(0.0), &font);
    let shown = galley.rows.first().map_or(0, |row| row.glyphs.len().saturating_sub(1));
    let galley = match before_number(&text, shown).filter(|_| galley.elided) {
        Some(before) => cut(ui, &format!("{}\u{2026}", before.trim_end()), f32::INFINITY, &font),
        None => galley,
    };
    let is_cut = galley.elided || galley.text() != text;
    Elided { galley, rect, text, is_cut }
}

fn cut(ui: &Ui, text: &str, width: f32, font: &FontId) -> Arc<Galley> {
    let (wrap, font) = (Some(TextWrapMode::Truncate), FontSelection::FontId(font.clone()));
    WidgetText::from(text).into_galley(ui, wrap, width, font)
}

/// What stands before the number that a cut after so many characters would part; `None` where it parts none.
fn before_number(text: &str, shown: usize) -> Option<String> {
    let characters: Vec<char> = text.chars().collect();
    let is_of_number = |at: usize| {
        let digit = |at: usize| characters.get(at).is_some_and(char::is_ascii_digit);
        digit(at)
            || (characters.get(at).is_some_and(|mark| ".,".contains(*mark)) && at > 0 && digit(at - 1) && digit(at + 1))
    };
    if shown == 0 || !is_of_number(shown) || !is_of_number(shown - 1) {
        return None;
    }
    let mut start = shown - 1;
    while start > 0 && is_of_number(start - 1) {
        start -= 1;
    }
    // A sign or a mark before it means nothing by itself.
    let before = characters.iter().take(start).collect::<String>();
    Some(before.trim_end_matches(['+', '-', '\u{2212}', '\u{b1}']).to_owned())
}

/// Lays out a line of text for a box; what does not fit is left out of its middle.
pub fn elided_middle(ui: &Ui, rect: Rect, text: impl Into<String>, font: FontId) -> Elided {
    let text = text.into();
    let shown = shortened(ui, &text, rect.width(), &font);
    let is_cut = shown != text;
    let font = FontSelection::FontId(font);
    let galley = WidgetText::from(shown).into_galley(ui, Some(TextWrapMode::Extend), f32::INFINITY, font);
    Elided { galley, rect, text, is_cut }
}

/// As much of a line as there is room for, the first of its parts in any case: parts are left out whole, so that no number
/// is cut. What stands between parts is one of `between`.
pub fn whole_parts(ui: &Ui, text: &str, width: f32, font: &FontId, between: &[&str]) -> String {
    let fits =
        |text: &str| ui.painter().layout_no_wrap(text.to_owned(), font.clone(), Color32::BLACK).size().x <= width;
    let mut shown = text;
    while !fits(shown) {
        let ends = between.iter().filter_map(|mark| shown.rfind(mark));
        let Some(end) = ends.max().filter(|&end| end > 0) else { break };
        shown = &shown[..end];
    }
    shown.trim_end().to_owned()
}

/// A text of at most this width, with an ellipsis in its middle where it is longer: as much of it as there is room for.
pub fn shortened(ui: &Ui, text: &str, width: f32, font: &FontId) -> String {
    let fits =
        |text: &str| ui.painter().layout_no_wrap(text.to_owned(), font.clone(), Color32::BLACK).size().x <= width;
    if fits(text) {
        return text.to_owned();
    }
    let characters: Vec<char> = text.chars().collect();
    let cut = |kept: usize| -> String {
        let (head, tail) = (kept / 2, kept.div_ceil(2));
        let end = characters.len().saturating_sub(tail);
        characters.iter().take(head).chain(&['\u{2026}']).chain(characters.iter().skip(end)).collect()
    };
    // The largest number of characters that fit, found by halving; none is the ellipsis alone.
    let (mut least, mut most) = (0, characters.len().saturating_sub(1));
    while least < most {
        let middle = (least + most).div_ceil(2);
        if fits(&cut(middle)) { least = middle } else { most = middle - 1 }
    }
    cut(least)
}

/// A label in the room there is; what does not fit is left out of its middle, and all of it is its tooltip.
pub fn label_in_middle(ui: &mut Ui, text: RichText) -> Response {
    let job = WidgetText::from(text).into_layout_job(ui.style(), FontSelection::Default, Align::Center);
    let Some(format) = job.sections.first().map(|section| section.format.clone()) else {
        return ui.label("");
    };
    let shown = shortened(ui, &job.text, ui.available_width(), &format.font_id);
    let is_cut = shown != job.text;
    let styled = LayoutJob { wrap: TextWrapping::no_max_width(), ..LayoutJob::single_section(shown, format) };
    let response = ui.add(Label::new(styled).selectable(false).extend());
    if !is_cut {
        return response;
    }
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &job.text));
    response.on_hover_text(&job.text)
}

impl Elided {
    /// Whether some of it is cut.
    pub fn is_cut(&self) -> bool {
        self.is_cut
    }

    /// The width that it takes.
    pub fn width(&self) -> f32 {
        self.galley.size().x
    }

    /// Paints it in the middle of the box's height and gives the area it takes. The whole text is its tooltip.
    pub fn write(&self, ui: &Ui, align: Align, ink: Color32) -> Rect {
        let place = self.paint(ui, align, ink);
        self.tip(ui);
        place
    }

    /// As it is, where a tooltip tells all of it already.
    pub fn paint(&self, ui: &Ui, align: Align, ink: Color32) -> Rect {
        let place = self.place(align);
        ui.painter().galley_with_override_text_color(place.min, self.galley.clone(), ink);
        place
    }

    /// Adds the whole text to a tooltip where it is cut.
    pub fn tip_on(&self, response: Response) -> Response {
        if self.is_cut() { response.on_hover_text(&self.text) } else { response }
    }

    /// Where it is painted.
    pub fn place(&self, align: Align) -> Rect {
        Align2([align, Align::Center]).align_size_within_rect(self.galley.size(), self.rect)
    }

    fn tip(&self, ui: &Ui) {
        if !self.is_cut() {
            return;
        }
        let [x, y] = [self.rect.left(), self.rect.top()].map(f32::to_bits);
        let id = ui.scope_id().with(("elided", x, y));
        egui::Tooltip::for_enabled(&ui.interact(self.rect, id, Sense::hover())).show(|ui| ui.label(&self.text));
    }
}

#[cfg(test)]
mod tests {
    use eframe::egui::{Context, RawInput, pos2, vec2};

    use super::super::Theme;
    use super::*;
    use crate::drawing::Look;

    #[test]
    fn what_does_not_fit_is_cut_and_keeps_within_its_box() {
        let ctx = Context::default();
        Theme::of(Look::Light).apply(&ctx);
        let output = ctx.run_ui(RawInput::default(), |ui| {
            let font = FontId::proportional(12.0);
            let room = Rect::from_min_size(pos2(10.0, 20.0), vec2(60.0, 20.0));
            let (short, long) = ("fan", "iridium plugs with a gap of 0.7 mm");
            for (text, is_cut) in [(short, false), (long, true)] {
                let line = elided(ui, room, text, font.clone());
                assert_eq!(line.is_cut(), is_cut, "{text}");
                for align in [Align::Min, Align::Center, Align::Max] {
                    let place = line.place(align);
                    assert!(room.expand(0.5).contains_rect(place), "{text} {align:?}: {place:?}");
                    assert!((place.center().y - room.center().y).abs() < 0.51);
                }
            }
            assert!(elided(ui, room, short, font.clone()).place(Align::Max).right() > 69.0);
            let path = "/home/tuner/projects/car-17/base table.ron";
            let short = shortened(ui, path, 120.0, &font);
            assert!(short.starts_with("/home") && short.ends_with("table.ron") && short.contains('…'), "{short}");
            let line = elided_middle(ui, room, path, font.clone());
            assert!(line.is_cut() && room.expand(0.5).contains_rect(line.place(Align::Min)));
            assert_eq!(shortened(ui, "fan", 60.0, &font), "fan");
            assert_eq!(shortened(ui, path, 0.0, &font), "…");
            for width in 10..120 {
                let room = Rect::from_min_size(room.min, vec2(f32::from(u8::try_from(width).unwrap()), 20.0));
                let line = elided(ui, room, "on above 98.5 °C, off below \u{2212}92 °C", font.clone());
                let shown = line.galley.text().trim_end_matches('…');
                let ends = line.galley.rows[0].glyphs.iter().map(|glyph| glyph.chr).collect::<String>();
                let ends = ends.trim_end_matches('…').trim_end();
                assert!(
                    !ends.ends_with(|last: char| last.is_ascii_digit())
                        || ends.ends_with("98.5")
                        || ends.ends_with("92"),
                    "{width}: {ends} {shown}"
                );
            }
            let facts = "6.95 s of 13.90 s · 6209 rpm · 27.2° commanded · running";
            let parts = |width| whole_parts(ui, facts, width, &font, &[" · "]);
            assert_eq!(parts(900.0), facts);
            assert_eq!(parts(200.0), "6.95 s of 13.90 s · 6209 rpm");
            assert_eq!(parts(1.0), "6.95 s of 13.90 s");
            // No room at all is no reason to fail.
            assert!(elided(ui, Rect::from_min_size(room.min, vec2(-5.0, 20.0)), long, font).width() < 20.0);
        });
        output.drop_without_applying_deltas();
    }
}
