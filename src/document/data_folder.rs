//! Where the program keeps what does not belong to a project file: recovery copies, locks, the list of recent
//! files.

use std::path::{Path, PathBuf};
use std::{env, fs, io};

use directories::ProjectDirs;

/// The environment variable that moves the data folder; if it is empty there is no data folder.
pub const DATA_FOLDER_VARIABLE: &str = "SPARKLOFT_DATA";

/// The folder for recovery copies, locks and recent files; without a folder there are none of these.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DataFolder {
    root: Option<PathBuf>,
}

impl DataFolder {
    /// The user's own: given by [`DATA_FOLDER_VARIABLE`], otherwise the system's place for local program data.
    pub fn standard() -> Self {
        let root = match env::var_os(DATA_FOLDER_VARIABLE) {
            Some(folder) => Some(PathBuf::from(folder)).filter(|folder| !folder.as_os_str().is_empty()),
            None => ProjectDirs::from("", "", "Sparkloft").map(|places| places.data_local_dir().to_owned()),
        };
        Self { root }
    }

    /// A given folder; it is made when it is first needed.
    pub fn at(root: impl Into<PathBuf>) -> Self {
        Self { root: Some(root.into()) }
    }

    /// No folder: nothing is kept outside the project files.
    pub fn none() -> Self {
        Self { root: None }
    }

    /// Where it is.
    pub fn path(&self) -> Option<&Path> {
        self.root.as_deref()
    }

    /// A folder inside it, made if necessary; `""` is the data folder itself.
    pub(super) fn folder(&self, name: &str) -> io::Result<PathBuf> {
        let root = self.root.as_ref().ok_or_else(|| io::Error::new(io::ErrorKind::NotFound, "there is no data folder"));
        let folder = root?.join(name);
        fs::create_dir_all(&folder)?;
        Ok(folder)
    }

    /// The same, but readable only by the user.
    pub(super) fn private_folder(&self, name: &str) -> io::Result<PathBuf> {
        let folder = self.folder(name)?;
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            if fs::metadata(&folder)?.permissions().mode() & 0o077 != 0 {
                fs::set_permissions(&folder, fs::Permissions::from_mode(0o700))?;
            }
        }
        Ok(folder)
    }
}
