//! Writing a file so that there is always a complete one: the old or the new.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use super::temporary::{Access, Temporary, sync_folder};
use super::{SaveError, SaveWarning};

/// Where replacing a file failed.
enum Failure {
    /// The old file is untouched.
    Before(io::Error),
    /// The new file may already have taken the place of the old one.
    At(io::Error),
}

/// Replaces the old file with a new one, or creates it. When this returns, the bytes and the folder's entry are
/// on the disk.
pub(super) fn replace_file(target: &Path, bytes: &[u8], access: Access) -> io::Result<()> {
    try_replace(target, bytes, access).map_err(|(Failure::Before(error) | Failure::At(error))| error)
}

fn try_replace(target: &Path, bytes: &[u8], access: Access) -> Result<(), Failure> {
    let mut file = Temporary::beside(target, access).map_err(Failure::Before)?;
    file.write_all(bytes).and_then(|()| file.sync()).map_err(Failure::Before)?;
    file.take_place().and_then(|()| sync_folder(target)).map_err(Failure::At)
}

/// Writes a project file. If no new file can take the old one's place, the old one is overwritten, after `copy`
/// has put the project elsewhere and returned where.
pub(super) fn write(
    target: &Path,
    bytes: &[u8],
    copy: impl FnOnce() -> io::Result<PathBuf>,
) -> Result<Option<SaveWarning>, SaveError> {
    check_target(target)?;
    let why = match try_replace(target, bytes, Access::Usual) {
        Ok(()) => return Ok(None),
        Err(Failure::At(why)) if fs::read(target).is_ok_and(|found| found == bytes) => {
            return Ok(Some(SaveWarning::NotConfirmed { why: why.to_string() }));
        }
        Err(Failure::Before(why) | Failure::At(why)) => why,
    };
    if !may_overwrite_after(&why) || !target.exists() {
        return Err(SaveError::of(target, why));
    }
    overwrite(target, bytes, why, copy)
}

/// Whether the old file may be overwritten after a new one could not be made: never if there is no room.
pub(super) fn may_overwrite_after(why: &io::Error) -> bool {
    use io::ErrorKind as Kind;
    let kinds = [
        Kind::PermissionDenied,
        Kind::ReadOnlyFilesystem,
        Kind::InvalidFilename,
        Kind::ResourceBusy,
        Kind::CrossesDevices,
        Kind::Unsupported,
    ];
    kinds.contains(&why.kind())
}

pub(super) fn check_target(target: &Path) -> Result<(), SaveError> {
    let path = target.to_owned();
    match fs::metadata(target) {
        Ok(about) if about.is_dir() => Err(SaveError::Folder { path }),
        Ok(about) if !about.is_file() => Err(SaveError::NotAFile { path }),
        Ok(about) if about.permissions().readonly() => Err(SaveError::WriteProtected { path }),
        // Whoever can write the folder could otherwise replace files of other users that they must not write.
        Ok(_) => match File::options().write(true).open(target) {
            Err(error) if error.kind() == io::ErrorKind::PermissionDenied => Err(SaveError::WriteProtected { path }),
            _ => Ok(()),
        },
        Err(error) if error.kind() == io::ErrorKind::NotFound => check_folder(target),
        Err(error) => Err(SaveError::of(target, error)),
    }
}

fn check_folder(target: &Path) -> Result<(), SaveError> {
    let folder = target.parent().unwrap_or(target);
    if folder.is_dir() {
        return Ok(());
    }
    Err(SaveError::MissingFolder { path: target.to_owned(), folder: folder.to_owned() })
}

fn overwrite(
    target: &Path,
    bytes: &[u8],
    why: io::Error,
    copy: impl FnOnce() -> io::Result<PathBuf>,
) -> Result<Option<SaveWarning>, SaveError> {
    let Ok(mut file) = File::options().write(true).open(target) else {
        return Err(SaveError::of(target, why));
    };
    let path = target.to_owned();
    let copy = copy().map_err(|source| SaveError::NoCopy { path: path.clone(), source })?;
    fill(&mut file, bytes).map_err(|source| SaveError::CutShort { path, copy, source })?;
    Ok(Some(SaveWarning::WrittenInPlace { why: why.to_string() }))
}

fn fill(file: &mut File, bytes: &[u8]) -> io::Result<()> {
    file.write_all(bytes)?;
    if file.metadata()?.is_file() {
        file.set_len(bytes.len() as u64)?;
    }
    file.sync_all()
}

#[cfg(all(test, unix))]
mod tests {
    use super::*;
    use std::os::unix::fs::PermissionsExt;

    fn no_copy() -> io::Result<PathBuf> {
        Err(io::Error::other("no copy is needed"))
    }

    #[test]
    fn the_mode_is_kept_and_nothing_is_left_behind() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.ron");
        assert_eq!(write(&path, b"first", no_copy).unwrap(), None);
        fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).unwrap();
        assert_eq!(write(&path, b"second", no_copy).unwrap(), None);
        assert_eq!(fs::read(&path).unwrap(), b"second");
        assert_eq!(fs::metadata(&path).unwrap().permissions().mode() & 0o7777, 0o640);
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    #[test]
    fn places_that_cannot_be_written_are_named() {
        let folder = tempfile::tempdir().unwrap();
        let error = |path: &Path| write(path, b"x", no_copy).unwrap_err();
        assert!(matches!(error(folder.path()), SaveError::Folder { .. }));
        assert!(matches!(error(Path::new("/dev/full")), SaveError::NotAFile { .. }));
        assert!(matches!(error(&folder.path().join("no/a.ron")), SaveError::MissingFolder { .. }));
        let file = folder.path().join("file");
        fs::write(&file, "x").unwrap();
        assert!(matches!(error(&file.join("a.ron")), SaveError::MissingFolder { .. }));
        let long = folder.path().join("n".repeat(256));
        assert!(matches!(error(&long), SaveError::Name { .. }));
        fs::set_permissions(&file, fs::Permissions::from_mode(0o444)).unwrap();
        let protected = error(&file);
        assert!(matches!(protected, SaveError::WriteProtected { .. }));
        assert!(
            protected.to_string().starts_with(&*file.to_string_lossy())
                && protected.to_string().contains("another name")
        );
    }

    #[test]
    fn the_longest_names_are_replaced_too() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("n".repeat(255));
        for text in ["a longer text", "short"] {
            assert_eq!(write(&path, text.as_bytes(), no_copy).unwrap(), None);
            assert_eq!(fs::read(&path).unwrap(), text.as_bytes());
        }
    }

    #[test]
    fn nothing_is_overwritten_without_a_copy() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.ron");
        fs::write(&path, "a longer text").unwrap();
        let why = || io::Error::from(io::ErrorKind::ResourceBusy);
        let refused = overwrite(&path, b"other", why(), || Err(io::ErrorKind::StorageFull.into())).unwrap_err();
        assert!(matches!(refused, SaveError::NoCopy { .. }));
        assert_eq!(fs::read(&path).unwrap(), b"a longer text");
        let warning = overwrite(&path, b"short", why(), || Ok(PathBuf::from("/copy"))).unwrap();
        assert!(matches!(warning, Some(SaveWarning::WrittenInPlace { .. })));
        assert_eq!(fs::read(&path).unwrap(), b"short");
    }

    #[test]
    fn a_device_that_fills_up_says_where_the_work_is() {
        let why = io::Error::from(io::ErrorKind::PermissionDenied);
        let error = overwrite(Path::new("/dev/full"), b"x", why, || Ok(PathBuf::from("/the/copy"))).unwrap_err();
        assert!(matches!(&error, SaveError::CutShort { source, .. } if source.kind() == io::ErrorKind::StorageFull));
        assert!(error.to_string().contains("/the/copy"));
    }
}
