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

fn main() -> eframe::Result {
    let viewport = egui::ViewportBuilder::default().with_inner_size([1280.0, 800.0]);
    let options = eframe::NativeOptions { viewport, multisampling: 4, ..Default::default() };
    let started = std::time::Instant::now();
    eframe::run_native("label", options, Box::new(move |_| Ok(Box::new(Label { started, told: false }))))
}
