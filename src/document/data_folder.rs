//! Where the program keeps what does not belong to a project file: recovery copies, locks, the list of recent
//! files; and how paths are written in these.

use std::fmt::Write as _;
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

/// A path as one line of text that can be read back exactly, whatever bytes a file name has: every byte outside the
/// printable ASCII range is percent-encoded (RFC 3986, section 2.1), and so is the percent sign.
pub(super) fn encoded_path(path: &Path) -> String {
    let mut text = String::new();
    for &byte in path.as_os_str().as_encoded_bytes() {
        if (0x20..0x7f).contains(&byte) && byte != b'%' {
            text.push(char::from(byte));
        } else {
            // Writing to a string cannot fail.
            let _ = write!(text, "%{byte:02X}");
        }
    }
    text
}

/// The path of an encoded text; `None` if it is not one.
pub(super) fn decoded_path(text: &str) -> Option<PathBuf> {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.as_bytes();
    while let Some((&byte, after)) = rest.split_first() {
        rest = after;
        if byte != b'%' {
            bytes.push(byte);
            continue;
        }
        let (digits, after) = rest.split_at_checked(2)?;
        let digits = std::str::from_utf8(digits).ok().filter(|digits| !digits.starts_with('+'))?;
        bytes.push(u8::from_str_radix(digits, 16).ok()?);
        rest = after;
    }
    path_of(bytes).filter(|path| !path.as_os_str().is_empty())
}

#[cfg(unix)]
fn path_of(bytes: Vec<u8>) -> Option<PathBuf> {
    use std::os::unix::ffi::OsStringExt;
    Some(std::ffi::OsString::from_vec(bytes).into())
}

#[cfg(not(unix))]
fn path_of(bytes: Vec<u8>) -> Option<PathBuf> {
    String::from_utf8(bytes).ok().map(PathBuf::from)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_plain_path_stays_readable_and_broken_text_is_no_path() {
        assert_eq!(encoded_path(Path::new("/cars/tarn 100 %.ron")), "/cars/tarn 100 %25.ron");
        for broken in ["", "%", "%4", "%zz", "a%+1"] {
            assert_eq!(decoded_path(broken), None, "{broken}");
        }
    }

    #[cfg(unix)]
    proptest! {
        #[test]
        fn every_path_reads_back(bytes in prop::collection::vec(1_u8.., 1..80)) {
            let path = path_of(bytes).unwrap();
            let text = encoded_path(&path);
            prop_assert!(text.is_ascii() && !text.contains('\n'));
            prop_assert_eq!(decoded_path(&text), Some(path));
        }
    }
}
