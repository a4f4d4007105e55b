//! Where settings are kept.

use std::path::{Path, PathBuf};
use std::{env, fs, io};

use directories::ProjectDirs;
use eframe::egui;

use super::task::Task;
use crate::document::{BoundedError, DATA_FOLDER_VARIABLE, read_bounded, write_file};
use crate::window::state::settings::{self, Settings};
use crate::wording::Refusal;

const FILE: &str = "settings.ron";
/// Far more than keys for every command and a caution for every project could need.
const LONGEST_BYTES: u64 = 4 * 1024 * 1024;

/// The name of writing them in messages.
pub(in crate::window) const WRITING: &str = "Writing the settings";

/// The file with the settings; without one, they last as long as the window.
#[derive(Debug)]
pub struct SettingsFile {
    path: Option<PathBuf>,
    /// What is in the file or being written to it, or the defaults if the file is missing or cannot be read.
    known: Settings,
    /// What should be in it.
    wanted: Settings,
    /// Whether the file could not be understood: it is moved aside before it is written.
    is_damaged: bool,
    /// The number of this write.
    number: u64,
    writing: Task<u64, ()>,
}

impl SettingsFile {
    /// The user's own: in the folder that [`DATA_FOLDER_VARIABLE`] gives, otherwise where the system keeps settings;
    /// no file if the variable is empty.
    pub fn standard() -> Self {
        let path = match env::var_os(DATA_FOLDER_VARIABLE) {
            Some(folder) if folder.is_empty() => None,
            Some(folder) => Some(PathBuf::from(folder).join(FILE)),
            None => ProjectDirs::from("", "", "Sparkloft").map(|places| places.config_local_dir().join(FILE)),
        };
        Self::maybe_at(path)
    }

    /// A given file, created when first written.
    pub fn at(path: impl Into<PathBuf>) -> Self {
        Self::maybe_at(Some(path.into()))
    }

    /// No file.
    pub fn none() -> Self {
        Self::maybe_at(None)
    }

    fn maybe_at(path: Option<PathBuf>) -> Self {
        Self {
            path,
            known: Settings::default(),
            wanted: Settings::default(),
            is_damaged: false,
            number: 0,
            writing: Task::default(),
        }
    }

    /// The settings, and what to tell the user if the file could not be understood.
    pub fn read(&mut self) -> (Settings, Option<String>) {
        let Some(path) = &self.path else {
            return (Settings::default(), None);
        };
        let read = match read_bounded(path, LONGEST_BYTES) {
            Ok(bytes) => String::from_utf8(bytes).map_err(Refusal::from).and_then(|text| settings::read(&text)),
            Err(BoundedError::Io(error)) if error.kind() == io::ErrorKind::NotFound => Ok(Settings::default()),
            Err(error) => Err(error.into()),
        };
        let told = read.as_ref().err().map(|why| {
            let path = path.display();
            format!("{path}: the settings cannot be read ({why}); the defaults are used, and the file is kept as settings.damaged.ron once a setting is changed")
        });
        self.is_damaged = told.is_some();
        self.known = read.unwrap_or_default();
        self.wanted = self.known.clone();
        (self.known.clone(), told)
    }

    /// Writes settings that differ from those in the file, on a thread; returns what went wrong with the
    /// previous write.
    pub fn keep(&mut self, settings: &Settings, ctx: &egui::Context) -> Option<String> {
        self.writing.receive();
        self.wanted = settings.clone();
        let told = self.take_fault();
        if self.wanted == self.known || self.writing.working().is_some() {
            return told;
        }
        self.known = self.wanted.clone();
        let Some(path) = self.path.clone() else {
            return told;
        };
        let (settings, put_aside) = (self.wanted.clone(), std::mem::take(&mut self.is_damaged));
        self.number += 1;
        self.writing.ask(&self.number, ctx, WRITING, move |_| write(&path, &settings, put_aside));
        told
    }

    fn take_fault(&mut self) -> Option<String> {
        let (fault, path) = (self.writing.take_fault()?, self.path.as_ref()?);
        log::warn!("{}: the settings cannot be written: {fault}", path.display());
        Some(format!("{}: the settings cannot be written: {fault}", path.display()))
    }

    /// Waits until what was kept is written.
    pub fn wait(&mut self) {
        self.writing.wait();
        let _ = self.take_fault();
        if self.wanted == self.known {
            return;
        }
        // They were changed while the previous ones were being written.
        self.known = self.wanted.clone();
        if let Some(path) = &self.path
            && let Err(why) = write(path, &self.known, std::mem::take(&mut self.is_damaged))
        {
            log::warn!("{}: the settings cannot be written: {why}", path.display());
        }
    }
}

impl Drop for SettingsFile {
    fn drop(&mut self) {
        self.wait();
    }
}

fn write(path: &Path, settings: &Settings, put_aside: bool) -> Result<(), Refusal> {
    let text = settings::write(settings)?;
    if let Some(folder) = path.parent() {
        fs::create_dir_all(folder)?;
    }
    if put_aside {
        fs::rename(path, path.with_extension("damaged.ron"))?;
    }
    write_file(path, text.as_bytes()).map(|_| ()).map_err(Refusal::from)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::window::tasks::task::breaking;

    #[test]
    fn is_written_only_when_something_changed() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("new").join(FILE);
        let mut file = SettingsFile::at(&path);
        let (mut settings, told) = file.read();
        file.keep(&settings, &egui::Context::default());
        file.wait();
        assert_eq!((told, path.exists()), (None, false));
        settings.decimal_comma = true;
        file.keep(&settings, &egui::Context::default());
        drop(file);
        assert_eq!(SettingsFile::at(&path).read(), (settings, None));
    }

    #[test]
    fn what_changes_while_the_settings_are_written_is_written_after_them() {
        let folder = tempfile::tempdir().unwrap();
        let (path, ctx) = (folder.path().join(FILE), egui::Context::default());
        let mut file = SettingsFile::at(&path);
        let (mut settings, _) = file.read();
        for is_comma in [true, false, true, false, true] {
            settings.decimal_comma = is_comma;
            file.keep(&settings, &ctx);
        }
        drop(file);
        assert_eq!(SettingsFile::at(&path).read(), (settings, None));
    }

    #[test]
    fn settings_that_cannot_be_written_are_told_once_and_tried_again_with_the_next_change() {
        let folder = tempfile::tempdir().unwrap();
        let (path, ctx) = (folder.path().join("in").join(FILE), egui::Context::default());
        fs::write(folder.path().join("in"), "in the way").unwrap();
        let mut file = SettingsFile::at(&path);
        let changed = |decimal_comma| Settings { decimal_comma, ..Settings::default() };
        assert_eq!(file.keep(&changed(true), &ctx), None);
        file.writing.wait();
        assert!(file.keep(&changed(true), &ctx).unwrap().contains("the settings cannot be written"));
        assert_eq!(file.keep(&changed(true), &ctx), None);
        fs::remove_file(folder.path().join("in")).unwrap();
        breaking::break_next(WRITING);
        assert_eq!(file.keep(&changed(false), &ctx), None);
        file.writing.wait();
        assert!(file.keep(&changed(false), &ctx).unwrap().contains("Writing the settings broke off"));
        file.keep(&changed(true), &ctx);
        drop(file);
        assert_eq!(SettingsFile::at(&path).read(), (changed(true), None));
    }

    #[cfg(unix)]
    #[test]
    fn odd_things_in_its_place_are_put_aside() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join(FILE);
        let pipe = || assert!(std::process::Command::new("mkfifo").arg(&path).status().unwrap().success());
        let endless = || std::os::unix::fs::symlink("/dev/zero", &path).unwrap();
        let huge = || fs::File::create(&path).unwrap().set_len(1 << 40).unwrap();
        for make in [&pipe as &dyn Fn(), &endless, &huge] {
            make();
            let mut file = SettingsFile::at(&path);
            let (settings, told) = file.read();
            assert!(settings == Settings::default() && told.unwrap().contains("cannot be read"));
            file.keep(&Settings { decimal_comma: true, ..settings }, &egui::Context::default());
            file.wait();
            assert!(fs::symlink_metadata(&path).unwrap().is_file());
            assert!(SettingsFile::at(&path).read().0.decimal_comma);
            fs::remove_file(&path).unwrap();
        }
    }

    #[test]
    fn a_damaged_file_gives_the_defaults_and_is_kept() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join(FILE);
        fs::write(&path, b"(look: \xff").unwrap();
        let mut file = SettingsFile::at(&path);
        let (settings, told) = file.read();
        assert_eq!(settings, Settings::default());
        assert!(told.unwrap().contains("settings.ron"));
        let changed = Settings { decimal_comma: true, ..settings };
        file.keep(&changed, &egui::Context::default());
        file.wait();
        assert_eq!(fs::read(folder.path().join("settings.damaged.ron")).unwrap(), b"(look: \xff");
        assert_eq!(SettingsFile::at(&path).read(), (changed, None));
    }
}
