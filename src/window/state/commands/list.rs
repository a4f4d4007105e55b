//! Every command: what it is called, what it does, which keys run it, and what it leads to.

use eframe::egui::{Key, Modifiers};

use crate::drawing::{Layer, Look, View};
use crate::setup_sheet::Paper;
use crate::shaping::{DEEDS, Deed};
use crate::window::state::commands::Shortcut;
use crate::window::state::file_jobs::FileJob;
use crate::window::state::layer_state::command_row;
use crate::window::state::{LookChoice, Sheet};

macro_rules! commands {
    ({ $($name:ident: $text:literal, $tooltip:literal, [$($keys:expr),*];)* }
     deeds
     { $($then:ident: $then_text:literal, $then_tooltip:literal, [$($then_keys:expr),*];)* }
     sheets
     { $($last:ident: $last_text:literal, $last_tooltip:literal, [$($last_keys:expr),*];)* }) => {
        /// A named command.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum Command {
            $(#[doc = $tooltip] $name,)*
            /// Apply a shaping tool.
            Deed(&'static Deed),
            $(#[doc = $then_tooltip] $then,)*
            /// Tint the table by a layer, or by advance again.
            Layer(Layer),
            /// Go to a sheet.
            Sheet(Sheet),
            $(#[doc = $last_tooltip] $last,)*
        }

        impl Command {
            /// The commands before the deeds, between the deeds and the layers, and after the sheets.
            const OTHERS: [&'static [Self]; 3] = [&[$(Self::$name),*], &[$(Self::$then),*], &[$(Self::$last),*]];

            /// What it is called.
            pub const fn text(self) -> &'static str {
                match self {
                    $(Self::$name => $text,)*
                    Self::Deed(deed) => deed.text,
                    $(Self::$then => $then_text,)*
                    Self::Layer(layer) => command_row(layer)[0],
                    Self::Sheet(sheet) => sheet.row().command,
                    $(Self::$last => $last_text,)*
                }
            }

            /// What it does, in a sentence.
            pub const fn tooltip(self) -> &'static str {
                match self {
                    $(Self::$name => $tooltip,)*
                    Self::Deed(deed) => deed.tooltip,
                    $(Self::$then => $then_tooltip,)*
                    Self::Layer(layer) => command_row(layer)[1],
                    Self::Sheet(sheet) => sheet.row().tooltip,
                    $(Self::$last => $last_tooltip,)*
                }
            }

            /// Its name in the settings file.
            pub const fn id(self) -> &'static str {
                match self {
                    $(Self::$name => stringify!($name),)*
                    Self::Deed(deed) => deed.id,
                    $(Self::$then => stringify!($then),)*
                    Self::Layer(layer) => command_row(layer)[2],
                    Self::Sheet(sheet) => sheet.row().id,
                    $(Self::$last => stringify!($last),)*
                }
            }

            /// The keys that run it unless they are changed.
            pub fn default_keys(self) -> Vec<Shortcut> {
                match self {
                    $(Self::$name => vec![$($keys),*],)*
                    Self::Deed(deed) => deed_keys(deed),
                    $(Self::$then => vec![$($then_keys),*],)*
                    Self::Layer(Layer::Origin) => vec![key(PLAIN, Key::O)],
                    Self::Layer(_) => Vec::new(),
                    Self::Sheet(sheet) => vec![key(ALT, sheet.row().key)],
                    $(Self::$last => vec![$($last_keys),*],)*
                }
            }
        }
    };
}

impl Command {
    const COUNT: usize = Self::OTHERS[0].len()
        + DEEDS.len()
        + Self::OTHERS[1].len()
        + Layer::ALL.len()
        + Sheet::ALL.len()
        + Self::OTHERS[2].len();

    /// Every command, in the order of the palette.
    pub const ALL: &'static [Self] = &{
        let mut all = [Self::Quit; Self::COUNT];
        let (mut at, mut group) = (0, 0);
        while group < 6 {
            let mut place = 0;
            let count = match group {
                0 => Self::OTHERS[0].len(),
                1 => DEEDS.len(),
                2 => Self::OTHERS[1].len(),
                3 => Layer::ALL.len(),
                4 => Sheet::ALL.len(),
                _ => Self::OTHERS[2].len(),
            };
            while place < count {
                all[at] = match group {
                    0 => Self::OTHERS[0][place],
                    1 => Self::Deed(&DEEDS[place]),
                    2 => Self::OTHERS[1][place],
                    3 => Self::Layer(Layer::ALL[place]),
                    4 => Self::Sheet(Sheet::ALL[place]),
                    _ => Self::OTHERS[2][place],
                };
                (at, place) = (at + 1, place + 1);
            }
            group += 1;
        }
        all
    };

    /// The command with that name in the settings file.
    pub fn of_id(id: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|command| command.id() == id)
    }
}

/// The keys of the tools that are commands.
fn deed_keys(deed: &Deed) -> Vec<Shortcut> {
    match deed.id {
        "FillDown" => vec![key(CTRL, Key::D)],
        "FillRight" => vec![key(CTRL, Key::R)],
        "Interpolate" => vec![key(CTRL, Key::E)],
        "InterpolateRow" => vec![key(PLAIN, Key::E)],
        "InterpolateColumn" => vec![key(SHIFT, Key::E)],
        "Fair" => vec![key(CTRL, Key::F), key(PLAIN, Key::F)],
        "ToggleHold" => vec![key(PLAIN, Key::H)],
        _ => Vec::new(),
    }
}

const fn key(modifiers: Modifiers, key: Key) -> Shortcut {
    Shortcut { modifiers, key }
}

const PLAIN: Modifiers = Modifiers::NONE;
const SHIFT: Modifiers = Modifiers::SHIFT;
const ALT: Modifiers = Modifiers::ALT;
const CTRL: Modifiers = Modifiers::COMMAND;
const CTRL_SHIFT: Modifiers = Modifiers { alt: false, ctrl: false, shift: true, mac_cmd: false, command: true };
const ALT_SHIFT: Modifiers = Modifiers { alt: true, ctrl: false, shift: true, mac_cmd: false, command: false };

commands! {{
    New: "New project…", "Start a new project for 4, 6 or 8 cylinders.", [key(CTRL, Key::N)];
    Open: "Open…", "Open a project file.", [key(CTRL, Key::O)];
    OpenSample: "Look at the samples…", "Open one of the four built-in samples.", [];
    Save: "Save", "Save the project to its file.", [key(CTRL, Key::S)];
    SaveAs: "Save as…", "Save the project to another file.", [key(CTRL_SHIFT, Key::S)];
    Revert: "Revert to the saved file", "Go back to what the file holds, as one step.", [];
    ImportTable: "Import table…", "Replace the advance table by one from a CSV or TSV file.", [];
    ExportTable: "Export table…", "Write the advance table to a CSV or TSV file.", [];
    ExportImage: "Export the image…", "Write the files for the flashing tool, with the formats chosen on the Export sheet.", [key(CTRL_SHIFT, Key::E), key(PLAIN, Key::F12)];
    SetupSheet: "Setup sheet (PDF)…", "Write the printed sheet for the car's folder, on A4 paper.", [];
    SetupSheetLetter: "Setup sheet on Letter paper (PDF)…", "Write the printed sheet for the car's folder, on US letter paper.", [];
    DegreeStrip: "Degree strip for the pulley (SVG)…", "Write a strip of degrees to print at full size and wrap around the pulley, as the true TDC worksheet has it.", [];
    ReadImage: "Read an image…", "Take over the values of an Intel HEX, S-record or binary file, by the project's layout.", [];
    CompareImage: "Compare with an image file…", "Compare the project with an Intel HEX, S-record or binary file, item by item.", [];
    Quit: "Quit", "Close the window.", [key(CTRL, Key::Q)];
    Undo: "Undo", "Go back one step.", [key(CTRL, Key::Z), key(PLAIN, Key::U)];
    Redo: "Redo", "Go forward one step.", [key(CTRL, Key::Y), key(CTRL_SHIFT, Key::Z), key(SHIFT, Key::U)];
    History: "History", "Show every step and jump to any of them.", [key(CTRL, Key::H)];
    Finder: "Find a command", "Type to find and run any command.", [key(CTRL, Key::K)];
    Keys: "Keys", "Show every key and change it.", [key(PLAIN, Key::F1)];
    Marks: "What the marks mean", "Show every mark of the open sheet with its meaning.", [key(SHIFT, Key::F1)];
    Sentences: "Shape the selection", "Go to the inspector's sentences; Tab goes on, Enter applies, Esc goes back.", [key(PLAIN, Key::S)];
    Breakpoints: "Breakpoints", "Show the breakpoints of the advance table and change them.", [key(CTRL, Key::B)];
    Fairing: "Fair under demands…", "Fair the selected cells, or the whole table, as smooth as what you demand lets them be.", [key(SHIFT, Key::F)];
    Raise: "Raise by a step", "Raise the selected cells by the project's step.", [key(ALT, Key::ArrowUp), key(PLAIN, Key::R)];
    Lower: "Lower by a step", "Lower the selected cells by the project's step.", [key(ALT, Key::ArrowDown), key(PLAIN, Key::L)];
    RaiseTen: "Raise by ten steps", "Raise the selected cells by ten of the project's steps.", [key(ALT_SHIFT, Key::ArrowUp), key(SHIFT, Key::R)];
    LowerTen: "Lower by ten steps", "Lower the selected cells by ten of the project's steps.", [key(ALT_SHIFT, Key::ArrowDown), key(SHIFT, Key::L)];
} deeds {
    SelectAll: "Select all", "Select the whole table.", [key(CTRL, Key::A)];
    Copy: "Copy", "Copy the selected block as tab-separated text.", [key(CTRL, Key::C)];
    CopyWithAxes: "Copy with breakpoints", "Copy the selected block with its speeds and loads.", [key(CTRL_SHIFT, Key::C)];
    Cut: "Cut", "Copy the selected block; a table has no empty cells, so its numbers stay.", [key(CTRL, Key::X)];
    Paste: "Paste", "Paste tab-separated numbers over the selection.", [key(CTRL, Key::V)];
    PasteAdd: "Paste and add", "Add tab-separated degrees to the selection, after telling what would change.", [key(PLAIN, Key::P)];
    PastePercent: "Paste as per cent", "Change the selection by tab-separated per cent of itself, after telling what would change.", [key(SHIFT, Key::P)];
    CopyRow: "Copy the slice at this load", "Copy the whole row at the cursor, whatever is selected.", [key(ALT, Key::C)];
    PasteRow: "Paste onto the slice at this load", "Paste over the whole row at the cursor, or over each row that has selected cells.", [key(ALT, Key::V)];
    CopyColumn: "Copy the slice at this speed", "Copy the whole column at the cursor, whatever is selected.", [key(ALT_SHIFT, Key::C)];
    PasteColumn: "Paste onto the slice at this speed", "Paste over the whole column at the cursor, or over each column that has selected cells.", [key(ALT_SHIFT, Key::V)];
    CopyTable: "Copy the whole table", "Copy every cell of the table with its speeds and loads.", [];
    PasteTable: "Paste a whole table", "Replace cells, speeds and loads by a table that was copied whole, as one step.", [];
    PictureOfSurface: "Copy the surface as a picture", "Put the surface on the clipboard as a picture, as it is seen.", [];
    PictureOfGrid: "Copy the table as a picture", "Put the table with its numbers on the clipboard as a picture.", [];
    PictureOfRow: "Copy the row's slice as a picture", "Put the curve of the cursor's row on the clipboard as a picture.", [];
    PictureOfColumn: "Copy the column's slice as a picture", "Put the curve of the cursor's column on the clipboard as a picture.", [];
    PictureOfRig: "Copy the rig as a picture", "Put the run and the revolution at the cursor on the clipboard as a picture.", [];
    DecimalComma: "Decimal comma on the clipboard", "Copy numbers with a decimal comma, or with a point again.", [];
    LowestLoadFirst: "Lowest load first on the clipboard", "Copy and paste rows from the lowest load on, or again from the highest as the grid shows them.", [];
    CellMenu: "Menu of the cells", "Show what can be done with the selected cells, at the cursor.", [key(SHIFT, Key::F10), key(PLAIN, Key::Menu)];
    GoHighest: "Go to the highest cell", "Select the cell with most advance.", [];
    GoLowest: "Go to the lowest cell", "Select the cell with least advance.", [];
    GoSteepest: "Go to the steepest slope", "Select the two neighbours between which the advance changes most for its share of the axis.", [];
    GoMostBent: "Go to the most bent cell", "Select the cell furthest from the line between its neighbours.", [];
    GoHeld: "Go to the next held cell", "Select the next held cell, row by row from the highest load.", [key(SHIFT, Key::H)];
    GoMeasured: "Go to a measured point", "Select the cell nearest to the next measured point, row by row from the highest load.", [];
    SelectMeasured: "Select the cells round measured points", "Select the cells on all sides of every measured point that is in use.", [];
    InsertSpeed: "Insert a speed here", "Insert a speed between the cursor's and the next; the surface stays as it is.", [];
    InsertLoad: "Insert a load here", "Insert a load between the cursor's and the next; the surface stays as it is.", [];
    EditCell: "Edit the cell", "Edit the cell's value in place.", [key(PLAIN, Key::F2)];
    ToggleContours: "Contour lines in the grid", "Show or hide the contour lines of the layer 'advance' in the grid.", [];
    WholeTable: "Whole table in the grid", "Show all cells of a large table at once, as small as it takes, or full-size again.", [key(PLAIN, Key::Z)];
    AsFlashed: "As flashed in the grid", "Show the table as the unit will have it, rounded to counts, or the project's own again.", [key(PLAIN, Key::F7)];
    FlashedCounts: "Counts in the grid", "Show the table as flashed in counts, or in degrees again.", [];
    FocusTable: "To the table or away", "Give the keyboard to the table, or to the next control after it.", [key(PLAIN, Key::F6)];
    ViewFront: "View from the front", "Look along the load axis.", [key(CTRL, Key::Num1)];
    ViewSide: "View from the side", "Look along the speed axis.", [key(CTRL, Key::Num2)];
    ViewPlan: "Plan view", "Look straight down.", [key(CTRL, Key::Num3)];
    ViewThreeQuarter: "Three-quarter view", "Look from a corner.", [key(CTRL, Key::Num4)];
    ViewOther: "From the other side", "Look at the surface from the opposite side.", [key(PLAIN, Key::V)];
    ShowBase: "Base while held", "Show the base in place of the table as long as the key is held.", [key(PLAIN, Key::B)];
    ArmLift: "Lift on the surface", "Let a drag on any vertex of the surface lift it with its neighbours.", [key(PLAIN, Key::G)];
    BoxSelect: "Select by a box on the surface", "Let a drag on the surface draw a box that selects the vertices seen in it; Shift adds, Ctrl takes away. With Alt held any drag does so.", [key(PLAIN, Key::X)];
    ToggleComb: "Curvature comb on the slices", "Show or hide how much the slices bend at each breakpoint, as fairing sees it.", [key(PLAIN, Key::C)];
    DrawOnSlice: "Draw on a slice", "Let a drag over a slice draw its line: the breakpoints passed take the pointer's degrees; held cells stay.", [key(PLAIN, Key::D)];
    SurfaceTab: "Surface or grid", "Show the surface instead of the grid where there is room for one.", [key(PLAIN, Key::F4)];
    NextLayer: "Next layer", "Tint grid and surface by the next layer: advance, difference, curvature, origin, how sure.", [key(PLAIN, Key::Y)];
    FixRange: "Fixed range of the colours", "Keep the range of the layer's colours as it is, or let it follow the table again.", [];
} sheets {
    NextFinding: "Next finding", "Go to the next thing that the checks noticed.", [key(PLAIN, Key::F8)];
    PreviousFinding: "Previous finding", "Go to the thing that the checks noticed before.", [key(SHIFT, Key::F8)];
    RigPlay: "Play or pause the run", "Play the run on the rig from the cursor on, or pause it.", [];
    RigRows: "Rows of the run", "Show the run's rows to type over or paste, or put them away.", [];
    RigDropEdge: "Drop an edge at the cursor", "The unit does not see the next edge after the cursor.", [];
    RigExtraEdge: "Add an edge at the cursor", "The unit sees an edge at the cursor where there is none.", [];
    RigNoFaults: "No faults on the rig", "Take away every fault, variation and latency.", [];
    RigShowPoint: "Running point on the advance table", "Show or hide on the Advance sheet where the run on the rig is at present.", [];
    RigReadRun: "Read a run…", "Put a run from a CSV file on the rig.", [];
    RigExportRun: "Export the run…", "Write the run's rows to a CSV file.", [];
    RigExportPicture: "Export the rig's picture…", "Write the run and the revolution at the cursor as a picture, SVG or PNG.", [];
    RigExportEvents: "Export the events…", "Drive the run and write every edge, charge, spark and switch to a CSV file.", [];
    ReadSweeps: "Read sweep readings…", "Keep the readings of timing sweeps from a CSV file in the project.", [];
    SampleSweeps: "Sample sweep readings", "Keep the readings of an invented day on the brake in the project, to try the Evidence sheet with.", [];
    TakeSnapshot: "Take a snapshot…", "Keep the present state in the project under a name.", [key(CTRL_SHIFT, Key::N)];
    TakeBack: "Take back selected cells", "Take the base's values for the selected cells.", [key(PLAIN, Key::T)];
    TakeBackRegion: "Take back the region", "Take the base's values for the region of change under the cursor.", [key(SHIFT, Key::T)];
    Merge: "Merge…", "Merge what somebody else made of the same base into this project.", [];
    LockedTiming: "Locked timing copy…", "Make a marked copy with a flat table, for use with the timing light.", [];
    NextProject: "Next project", "Show the next of the open projects.", [key(CTRL, Key::PageDown)];
    PreviousProject: "Previous project", "Show the open project before this one.", [key(CTRL, Key::PageUp)];
    CloseProject: "Close the project", "Close this project, after asking about unsaved changes.", [key(CTRL, Key::W)];
    LookSystem: "Look: as the system", "Follow the system's choice of light or dark.", [];
    LookLight: "Look: light", "Dark ink on warm paper.", [];
    LookDark: "Look: dark", "The same on a dark ground.", [];
    LookSunlight: "Look: sunlight", "Black on white with large digits, to be read in the sun.", [];
}}

/// The first command of each group on the page of keys: a group ends where the next one begins.
const GROUPS: [(&str, Command); 10] = [
    ("Files", Command::New),
    ("Steps and help", Command::Undo),
    ("Shaping", Command::Sentences),
    ("Selection and clipboard", Command::SelectAll),
    ("Grid, surface and slices", Command::EditCell),
    ("Sheets", Command::Sheet(Sheet::ALL[0])),
    ("Checks and rig", Command::NextFinding),
    ("Compare and copies", Command::TakeSnapshot),
    ("Open projects", Command::NextProject),
    ("Looks", Command::LookSystem),
];

impl Command {
    /// All commands by group, each with its name, in the order of [`ALL`](Self::ALL).
    pub fn groups() -> impl Iterator<Item = (&'static str, &'static [Self])> {
        let starts = GROUPS.iter().filter_map(|(name, first)| Some((*name, Self::place(*first)?)));
        let ends = GROUPS.iter().skip(1).filter_map(|(_, first)| Self::place(*first)).chain([Self::ALL.len()]);
        starts.zip(ends).filter_map(|((name, start), end)| Some((name, Self::ALL.get(start..end)?)))
    }

    fn place(self) -> Option<usize> {
        Self::ALL.iter().position(|&command| command == self)
    }

    /// The sheet that it goes to.
    pub const fn sheet(self) -> Option<Sheet> {
        if let Self::Sheet(sheet) = self { Some(sheet) } else { None }
    }

    /// The look that it chooses.
    pub const fn look(self) -> Option<LookChoice> {
        Some(match self {
            Self::LookSystem => LookChoice::System,
            Self::LookLight => LookChoice::Fixed(Look::Light),
            Self::LookDark => LookChoice::Fixed(Look::Dark),
            Self::LookSunlight => LookChoice::Fixed(Look::Sunlight),
            _ => return None,
        })
    }

    /// The view of the surface that it switches to.
    pub const fn camera(self) -> Option<View> {
        Some(match self {
            Self::ViewFront => View::Front,
            Self::ViewSide => View::Side,
            Self::ViewPlan => View::Plan,
            Self::ViewThreeQuarter => View::ThreeQuarter,
            _ => return None,
        })
    }

    /// By how many of the project's steps it raises the selection.
    pub const fn nudge_steps(self) -> Option<f64> {
        Some(match self {
            Self::Raise => 1.0,
            Self::Lower => -1.0,
            Self::RaiseTen => 10.0,
            Self::LowerTen => -10.0,
            _ => return None,
        })
    }

    /// The file job that it starts.
    pub const fn file_job(self) -> Option<FileJob> {
        Some(match self {
            Self::Open => FileJob::Open,
            Self::SaveAs => FileJob::SaveAs { then: None },
            Self::ImportTable => FileJob::ImportTable,
            Self::SetupSheet => FileJob::SetupSheet(Paper::A4),
            Self::SetupSheetLetter => FileJob::SetupSheet(Paper::Letter),
            Self::ReadImage => FileJob::ReadImage,
            Self::CompareImage => FileJob::CompareImage,
            Self::ReadSweeps => FileJob::ReadSweeps,
            _ => return None,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_sheet_has_the_command_that_leads_to_it() {
        let sheets: Vec<Sheet> = Command::ALL.iter().filter_map(|command| command.sheet()).collect();
        assert_eq!(sheets, Sheet::ALL);
    }

    #[test]
    fn every_command_is_in_one_group() {
        let grouped: Vec<Command> = Command::groups().flat_map(|(_, commands)| commands).copied().collect();
        assert_eq!(grouped, Command::ALL);
        assert!(Command::groups().all(|(_, commands)| !commands.is_empty()));
    }

    #[test]
    fn a_command_leads_to_one_thing_at_most() {
        for command in Command::ALL {
            let leads = [
                command.sheet().is_some(),
                command.look().is_some(),
                command.camera().is_some(),
                command.nudge_steps().is_some(),
                command.file_job().is_some(),
            ];
            assert!(leads.into_iter().filter(|leads| *leads).count() <= 1, "{command:?}");
        }
    }
}
