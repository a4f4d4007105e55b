//! The peer for first frame and memory: an eframe window with one label.

use eframe::egui;

struct Label {
    started: std::time::Instant,
    told: bool,
}

impl eframe::App for Label {
    fn ui(&mut self, ui: &mut egui::Ui, _: &mut eframe::Frame) {
        ui.label("one label");
        if !self.told {
            self.told = true;
            eprintln!("first frame after {:.6} s", self.started.elapsed().as_secs_f64());
        }
    }
}

/// The least that text needs.
fn font() -> egui::FontDefinitions {
    let mut fonts = egui::FontDefinitions::empty();
    let data = egui::FontData::from_static(epaint_default_fonts::HACK_REGULAR);
    fonts.font_data.insert("text".to_owned(), data.into());
    fonts.families.insert(egui::FontFamily::Proportional, vec!["text".to_owned()]);
    fonts
}

fn main() -> eframe::Result {
    let viewport = egui::ViewportBuilder::default().with_inner_size([1280.0, 800.0]);
    let options = eframe::NativeOptions { viewport, multisampling: 4, ..Default::default() };
    let started = std::time::Instant::now();
    let start = Box::new(move |cc: &eframe::CreationContext<'_>| {
        cc.egui_ctx.set_fonts(font());
        Ok(Box::new(Label { started, told: false }) as Box<dyn eframe::App>)
    });
    eframe::run_native("label", options, start)
}
