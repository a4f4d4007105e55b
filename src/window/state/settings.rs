//! What the user chose for every project: the look, keys, the decimal mark, cautions already understood.

use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;

use serde::{Deserialize, Serialize};

use crate::drawing::{Layer, Look};
use crate::window::state::commands::{Command, KeyMap, Shortcut};
use crate::window::state::layer_state::{GivenRange, LayerState};
use crate::window::state::screen::Splits;
use crate::window::state::{LookChoice, Sheet};
use crate::wording::Refusal;

/// The user's choices.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Settings {
    /// Light, dark, sunlight, or as the system is set.
    pub look: LookChoice,
    /// Whether numbers are written with a decimal comma in exported tables.
    pub decimal_comma: bool,
    /// Which keys run which command.
    pub keys: KeyMap,
    /// The projects whose caution was understood, by file or by sample name.
    pub understood: BTreeSet<String>,
    /// Whether the suggestions after the first start were dismissed.
    pub is_welcomed: bool,
    /// How the Advance sheet is divided.
    pub splits: Splits,
    /// What tints the table, and over which ranges.
    pub layers: LayerState,
    /// Whether the slices' curvature comb is hidden.
    pub hides_comb: bool,
    /// The sheet that was open when the window was closed.
    pub sheet: Sheet,
    /// Where the window was when it was closed; `None` before the first time.
    pub place: Option<WindowPlace>,
    /// The files that are open, to be opened again at the next start.
    pub open: OpenFiles,
}

/// The files that are open.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct OpenFiles {
    /// In the order of their tabs.
    pub paths: Vec<PathBuf>,
    /// The index of the one that is shown; `None` if what is shown has no file.
    pub shown: Option<usize>,
}

/// Where a window is on the desktop, in whole points.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WindowPlace {
    /// Left and upper edge with the system's frame; `None` where the system does not tell.
    pub corner: Option<(i32, i32)>,
    /// Width and height without the system's frame, as they are when the window is not maximised.
    pub size: (u16, u16),
    /// Whether it is maximised.
    pub is_maximised: bool,
}

/// The form in the file: every field may be missing, and only changed keys are written.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
struct Form {
    look: LookForm,
    decimal_comma: bool,
    keys: BTreeMap<String, Vec<String>>,
    understood: BTreeSet<String>,
    is_welcomed: bool,
    splits: SplitsForm,
    layer: Option<String>,
    ranges: BTreeMap<String, RangeForm>,
    hides_comb: bool,
    sheet: Option<String>,
    place: Option<WindowPlace>,
    open: Vec<String>,
    shown: Option<usize>,
}

/// The range of a layer's colours.
#[derive(Clone, Copy, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct RangeForm {
    from: f64,
    to: f64,
    is_on: bool,
}

/// A layer that another version has, or a range that makes no scale, is no reason to refuse the rest.
fn layers(layer: Option<&str>, ranges: &BTreeMap<String, RangeForm>) -> LayerState {
    let given = |(name, form): (&String, &RangeForm)| {
        let (layer, ends) = (Layer::of_key(name)?, (form.from, form.to));
        layer.check_range(ends).ok()?;
        layer.has_range().then_some((layer, GivenRange { ends, is_on: form.is_on }))
    };
    let layer = layer.and_then(Layer::of_key).unwrap_or_default();
    LayerState { layer, ranges: ranges.iter().filter_map(given).collect(), typing: None }
}

/// In whole points; 0 is what follows from the window.
#[derive(Clone, Copy, Debug, Default, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
struct SplitsForm {
    surface_width: u16,
    below_height: u16,
}

impl From<SplitsForm> for Splits {
    fn from(form: SplitsForm) -> Self {
        let size = |points: u16| (points > 0).then(|| points.into());
        Self { surface_width: size(form.surface_width), below_height: size(form.below_height) }
    }
}

impl From<Splits> for SplitsForm {
    fn from(splits: Splits) -> Self {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a size in points; `as` saturates")]
        let whole = |size: Option<f32>| size.map_or(0, |size| size.round() as u16);
        Self { surface_width: whole(splits.surface_width), below_height: whole(splits.below_height) }
    }
}

#[derive(Clone, Copy, Debug, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum LookForm {
    #[default]
    System,
    Light,
    Dark,
    Sunlight,
}

impl From<LookForm> for LookChoice {
    fn from(form: LookForm) -> Self {
        match form {
            LookForm::System => Self::System,
            LookForm::Light => Self::Fixed(Look::Light),
            LookForm::Dark => Self::Fixed(Look::Dark),
            LookForm::Sunlight => Self::Fixed(Look::Sunlight),
        }
    }
}

impl From<LookChoice> for LookForm {
    fn from(choice: LookChoice) -> Self {
        match choice {
            LookChoice::System => Self::System,
            LookChoice::Fixed(Look::Light) => Self::Light,
            LookChoice::Fixed(Look::Dark) => Self::Dark,
            LookChoice::Fixed(Look::Sunlight) => Self::Sunlight,
        }
    }
}

/// The settings of a text.
///
/// # Errors
/// What is wrong, with its place: not RON, an unknown field, command or key, or keys given twice.
pub(in crate::window) fn read(text: &str) -> Result<Settings, Refusal> {
    let form: Form = ron::from_str(text)?;
    let (mut keys, mut chosen) = (KeyMap::default(), BTreeSet::new());
    for (id, shortcuts) in &form.keys {
        let command = Command::of_id(id).ok_or_else(|| wrong_keys(format!("there is no command {id:?}")))?;
        let parsed =
            shortcuts.iter().map(|text| Shortcut::parse(text).ok_or_else(|| wrong_keys(format!("no key {text:?}"))));
        let parsed: Vec<Shortcut> = parsed.collect::<Result<_, Refusal>>()?;
        let whole: Vec<Shortcut> = parsed.iter().copied().filter(|chord| !chord.is_modifier_alone()).collect();
        // A modifier alone would fire with every shortcut that begins with it; a command without any other keys
        // keeps its default.
        if whole.is_empty() && !parsed.is_empty() {
            continue;
        }
        keys.set(command, whole);
        chosen.insert(command);
    }
    // If a later version gives such keys to another command by default, they stay with the command that the
    // user chose.
    keys.yield_to(&chosen);
    if let Some((shortcut, one, other)) = keys.clash() {
        let (text, one, other) = (shortcut.text(), one.text(), other.text());
        return Err(wrong_keys(format!("{text} would run both '{one}' and '{other}'")));
    }
    let layers = layers(form.layer.as_deref(), &form.ranges);
    let Form { look, decimal_comma, understood, is_welcomed, splits, hides_comb, sheet, place, open, shown, .. } = form;
    let (look, splits) = (look.into(), splits.into());
    // A sheet that another version has is no reason to refuse the rest.
    let named = |id: String| Sheet::ALL.iter().copied().find(|sheet| sheet.row().id == id);
    let sheet = sheet.and_then(named).unwrap_or_default();
    let open = OpenFiles { paths: open.into_iter().map(PathBuf::from).collect(), shown };
    Ok(Settings { look, decimal_comma, keys, understood, is_welcomed, splits, layers, hides_comb, sheet, place, open })
}

fn wrong_keys(what: String) -> Refusal {
    Refusal::new(what).at("keys")
}

/// The text of settings.
///
/// # Errors
/// The writer's error, which should not occur.
pub(in crate::window) fn write(settings: &Settings) -> Result<String, Refusal> {
    let changed = Command::ALL.iter().filter(|&&command| settings.keys.is_changed(command));
    let texts = |command: Command| settings.keys.of(command).iter().map(|shortcut| shortcut.text()).collect();
    let range = |(layer, given): (&Layer, &GivenRange)| {
        let (from, to) = given.ends;
        (layer.key().to_owned(), RangeForm { from, to, is_on: given.is_on })
    };
    let (open, shown) = written_open(&settings.open);
    let form = Form {
        look: settings.look.into(),
        decimal_comma: settings.decimal_comma,
        keys: changed.map(|&command| (command.id().to_owned(), texts(command))).collect(),
        understood: settings.understood.clone(),
        is_welcomed: settings.is_welcomed,
        splits: settings.splits.into(),
        layer: (settings.layers.layer != Layer::default()).then(|| settings.layers.layer.key().to_owned()),
        ranges: settings.layers.ranges.iter().map(range).collect(),
        hides_comb: settings.hides_comb,
        sheet: (settings.sheet != Sheet::default()).then(|| settings.sheet.row().id.to_owned()),
        place: settings.place,
        open,
        shown,
    };
    let text = ron::ser::to_string_pretty(&form, ron::ser::PrettyConfig::default())?;
    Ok(text + "\n")
}

/// The open files as text. A path that is no text has no place in the file, and is left out.
fn written_open(open: &OpenFiles) -> (Vec<String>, Option<usize>) {
    let as_text = |path: &PathBuf| path.to_str().map(str::to_owned);
    let shown = open.shown.and_then(|shown| open.paths.get(shown)).filter(|path| as_text(path).is_some());
    let kept: Vec<&PathBuf> = open.paths.iter().filter(|path| as_text(path).is_some()).collect();
    let shown = shown.and_then(|shown| kept.iter().position(|path| *path == shown));
    (kept.into_iter().filter_map(as_text).collect(), shown)
}

#[cfg(test)]
mod tests {
    use eframe::egui::{Key, Modifiers};
    use proptest::prelude::*;

    use super::*;

    fn fair() -> Command {
        Command::of_id("Fair").unwrap()
    }

    #[test]
    fn an_empty_file_is_the_defaults() {
        assert_eq!(read("()"), Ok(Settings::default()));
    }

    #[test]
    fn what_is_wrong_is_named() {
        let cases = [
            ("(look: purple)", "purple"),
            ("(colour: 1)", "colour"),
            (r#"(keys: {"Fly": ["F3"]})"#, "Fly"),
            (r#"(keys: {"Fair": ["Ctrl+Nothing"]})"#, "Ctrl+Nothing"),
            (r#"(keys: {"Fair": ["F9"], "Save": ["F9"]})"#, "F9 would run both"),
            ("(look: dark", "1:"),
        ];
        for (text, expected) in cases {
            let error = read(text).unwrap_err().to_string();
            assert!(error.contains(expected), "{text}: {error}");
        }
    }

    #[test]
    fn a_modifier_alone_is_no_key_of_a_command() {
        let settings = read(r#"(keys: {"SaveAs": ["Ctrl+ControlLeft"], "Fair": ["Alt+AltLeft", "F9"]})"#).unwrap();
        assert_eq!(settings.keys.of(Command::SaveAs), Command::SaveAs.default_keys());
        assert_eq!(settings.keys.of(fair()), [Shortcut { modifiers: Modifiers::NONE, key: Key::F9 }]);
    }

    #[test]
    fn a_key_that_the_user_chose_stays_when_it_becomes_the_default_of_another_command() {
        let settings = read(r#"(look: dark, keys: {"Fair": ["Ctrl+S"]})"#).unwrap();
        assert_eq!(settings.look, LookChoice::Fixed(Look::Dark), "nothing else is lost");
        let save = Shortcut { modifiers: Modifiers::COMMAND, key: Key::S };
        assert_eq!(settings.keys.of(fair()), [save]);
        assert!(!settings.keys.of(Command::Save).contains(&save) && settings.keys.clash().is_none());
        assert_eq!(settings.keys.of(Command::SaveAs), Command::SaveAs.default_keys());
    }

    #[test]
    fn a_sheet_of_another_version_is_no_reason_to_refuse_the_rest() {
        let settings = read(r#"(look: dark, sheet: Some("SheetNowhere"))"#).unwrap();
        assert_eq!((settings.look, settings.sheet), (LookChoice::Fixed(Look::Dark), Sheet::default()));
        assert_eq!(read(r#"(sheet: Some("SheetRig"))"#).unwrap().sheet, Sheet::Rig);
    }

    #[test]
    fn a_layer_of_another_version_and_a_range_that_is_none_are_no_reason_to_refuse_the_rest() {
        let ranges = r#"{"advance": (from: 5, to: 45, is_on: true), "difference": (from: 2, to: 3, is_on: true), "knock": (from: 0, to: 1, is_on: false)}"#;
        let settings = read(&format!(r#"(look: dark, layer: Some("knock"), ranges: {ranges})"#)).unwrap();
        assert_eq!((settings.look, settings.layers.layer), (LookChoice::Fixed(Look::Dark), Layer::Advance));
        assert_eq!(settings.layers.fixed(Layer::Advance), Some((5.0, 45.0)));
        assert_eq!(settings.layers.ranges.len(), 1);
    }

    proptest! {
        #[test]
        fn reads_back(look in 0..4_usize, flags in any::<[bool; 3]>(), names in prop::collection::btree_set(".{0,12}", 0..4), sizes in any::<[u16; 2]>(), sheet in 0..Sheet::ALL.len(), layer in 0..Layer::ALL.len(), ends in (-50.0..-0.5, 0.5..80.0), is_on in any::<bool>(), place in any::<Option<(Option<(i32, i32)>, (u16, u16), bool)>>(), open in (prop::collection::vec(".{0,12}", 0..4), any::<prop::sample::Index>())) {
            let look = [LookForm::System, LookForm::Light, LookForm::Dark, LookForm::Sunlight][look];
            let mut keys = KeyMap::default();
            keys.set(fair(), vec![Shortcut { modifiers: Modifiers::COMMAND | Modifiers::ALT, key: Key::F9 }]);
            keys.set(Command::Undo, vec![]);
            let [decimal_comma, is_welcomed, hides_comb] = flags;
            let [surface_width, below_height] = sizes.map(|size| (size > 0).then(|| size.into()));
            let splits = Splits { surface_width, below_height };
            let place = place.map(|(corner, size, is_maximised)| WindowPlace { corner, size, is_maximised });
            let (look, sheet) = (look.into(), Sheet::ALL[sheet]);
            let paths: Vec<PathBuf> = open.0.into_iter().map(PathBuf::from).collect();
            let shown = (!paths.is_empty()).then(|| open.1.index(paths.len()));
            let shown = shown.and_then(|shown| paths.iter().position(|path| *path == paths[shown]));
            let open = OpenFiles { paths, shown };
            let ranges = [Layer::Advance, Layer::Curvature].map(|layer| (layer, GivenRange { ends, is_on })).into();
            let layers = LayerState { layer: Layer::ALL[layer], ranges, typing: None };
            let settings = Settings { look, decimal_comma, keys, understood: names, is_welcomed, splits, layers, hides_comb, sheet, place, open };
            prop_assert_eq!(read(&write(&settings).unwrap()), Ok(settings));
        }
    }
}
