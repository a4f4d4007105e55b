//! Why a project could not be opened or saved, and what to do about it.

use std::io;
use std::path::{Path, PathBuf};

use thiserror::Error;

use crate::project::{LARGEST_FILE_BYTES, ReadError, TreeError};

/// Why a file could not be opened. Nothing partial is ever loaded.
#[derive(Debug, Error)]
pub enum OpenError {
    /// There is none.
    #[error("{}: there is no such file; it may have been moved or renamed", .path.display())]
    Missing {
        /// The file.
        path: PathBuf,
    },
    /// It is a folder.
    #[error("{}: this is a folder; choose a project file in it", .path.display())]
    Folder {
        /// The folder.
        path: PathBuf,
    },
    /// It is a device, a pipe or the like.
    #[error("{}: this is no ordinary file; choose a project file", .path.display())]
    NotAFile {
        /// The thing.
        path: PathBuf,
    },
    /// Reading is not allowed.
    #[error("{}: reading is not allowed; ask the file's owner for permission, or open a copy", .path.display())]
    Denied {
        /// The file.
        path: PathBuf,
    },
    /// It is no project.
    #[error("{}: {source}", .path.display())]
    Invalid {
        /// The file.
        path: PathBuf,
        /// Where and why.
        source: ReadError,
    },
    /// The document has no file.
    #[error("the project was never saved: there is no file to go back to")]
    NoFile,
    /// Anything else the system says.
    #[error("{}: the file cannot be read: {source}", .path.display())]
    Io {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
}

impl OpenError {
    /// The file that it is about, with which its words begin.
    pub fn path(&self) -> Option<&Path> {
        match self {
            Self::Missing { path }
            | Self::Folder { path }
            | Self::NotAFile { path }
            | Self::Denied { path }
            | Self::Invalid { path, .. }
            | Self::Io { path, .. } => Some(path),
            Self::NoFile => None,
        }
    }

    pub(super) fn of(path: &Path, source: io::Error) -> Self {
        let path = path.to_owned();
        match source.kind() {
            io::ErrorKind::NotFound | io::ErrorKind::NotADirectory => Self::Missing { path },
            io::ErrorKind::PermissionDenied => Self::Denied { path },
            _ => Self::Io { path, source },
        }
    }
}

/// Why a project was not saved. The work is kept: in the window, and in the recovery copy.
#[derive(Debug, Error)]
pub enum SaveError {
    /// It has no file yet.
    #[error("the project has no file yet; save it under a name")]
    NoFile,
    /// Another window has it open.
    #[error("{}: another window has this file open; save there, or save this one under another name", .path.display())]
    InUse {
        /// The file.
        path: PathBuf,
    },
    /// The file may not be written.
    #[error("{}: the file is write-protected; lift the protection, or save under another name", .path.display())]
    WriteProtected {
        /// The file.
        path: PathBuf,
    },
    /// Someone else changed the file since it was read or written here.
    #[error(
        "{}: the file was changed by someone else; save yours as a new file, reload theirs, or overwrite theirs",
        .path.display()
    )]
    ChangedOnDisk {
        /// The file.
        path: PathBuf,
    },
    /// The file was written by someone else after a job had read it.
    #[error("{}: the file was changed by someone else since it was read; nothing was written: do it again", .path.display())]
    ChangedSinceRead {
        /// The file.
        path: PathBuf,
    },
    /// What is read from the file's place is not what was put there.
    #[error("{}: what is read back from the disk is not what was written; write to another place", .path.display())]
    NotReadBack {
        /// The file.
        path: PathBuf,
    },
    /// The file cannot be read, so that nobody knows whether someone else changed it.
    #[error(
        "{}: cannot see whether someone else changed the file ({why}); save under another name, or overwrite it",
        .path.display()
    )]
    Unreadable {
        /// The file.
        path: PathBuf,
        /// Why it cannot be read.
        why: String,
    },
    /// The path is a folder.
    #[error("{}: this is a folder; add a file name", .path.display())]
    Folder {
        /// The folder.
        path: PathBuf,
    },
    /// The path is a device, a pipe or the like.
    #[error("{}: this is no ordinary file; choose another name", .path.display())]
    NotAFile {
        /// The thing.
        path: PathBuf,
    },
    /// Nothing but points stands before the ending.
    #[error("{}: nothing stands before the ending; give the file a name", .path.display())]
    Nameless {
        /// The file.
        path: PathBuf,
    },
    /// The folder in which the program was started is gone, so that names without a folder lead nowhere.
    #[error("{}: the folder in which this was started no longer exists; start in another, or give the whole path", .path.display())]
    NoWorkingFolder {
        /// The file.
        path: PathBuf,
    },
    /// The folder does not exist.
    #[error("{}: the folder {} does not exist; make it, or choose another", .path.display(), .folder.display())]
    MissingFolder {
        /// The file.
        path: PathBuf,
        /// Its folder.
        folder: PathBuf,
    },
    /// The name was given without `.ron`, and there is a file with it.
    #[error("{}: the name had no ending, and this file exists; choose it itself, or another name", .path.display())]
    Exists {
        /// The file that exists.
        path: PathBuf,
    },
    /// The system allows no such name.
    #[error("{}: the system allows no such file name ({source}); choose a shorter or plainer one", .path.display())]
    Name {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// No room.
    #[error(
        "{}: there is no room left ({source}); the file is as it was: make room, or save elsewhere",
        .path.display()
    )]
    Full {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// Writing is not allowed.
    #[error("{}: writing there is not allowed ({source}); save in another folder", .path.display())]
    Denied {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// The file could only be overwritten in place, and without a recovery copy that is too dangerous.
    #[error(
        "{}: the folder cannot be written, and no recovery copy could be made for overwriting the file in place ({source}); save in another folder",
        .path.display()
    )]
    NoCopy {
        /// The file.
        path: PathBuf,
        /// Why there is no recovery copy.
        source: io::Error,
    },
    /// Overwriting in place failed on the way.
    #[error(
        "{}: writing stopped on the way ({source}), the file is damaged; the work is safe here and in {}: save it elsewhere",
        .path.display(), .copy.display()
    )]
    CutShort {
        /// The file.
        path: PathBuf,
        /// The recovery copy.
        copy: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// The file could not be read again.
    #[error("the project would take {bytes} bytes; a file has at most {LARGEST_FILE_BYTES}: delete old snapshots")]
    TooLarge {
        /// How large it would be.
        bytes: u64,
    },
    /// The project holds a type its file form does not know: a mistake in this program.
    #[error("the project cannot be written: {0}")]
    Form(#[from] TreeError),
    /// Anything else the system says.
    #[error("{}: the file cannot be written: {source}; save in another folder", .path.display())]
    Io {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
}

impl SaveError {
    /// The file that it is about, with which its words begin.
    pub fn path(&self) -> Option<&Path> {
        match self {
            Self::InUse { path }
            | Self::WriteProtected { path }
            | Self::ChangedOnDisk { path }
            | Self::Unreadable { path, .. }
            | Self::Folder { path }
            | Self::NotAFile { path }
            | Self::Nameless { path }
            | Self::NoWorkingFolder { path }
            | Self::ChangedSinceRead { path, .. }
            | Self::NotReadBack { path, .. }
            | Self::MissingFolder { path, .. }
            | Self::Exists { path }
            | Self::Name { path, .. }
            | Self::Full { path, .. }
            | Self::Denied { path, .. }
            | Self::NoCopy { path, .. }
            | Self::CutShort { path, .. }
            | Self::Io { path, .. } => Some(path),
            Self::NoFile | Self::TooLarge { .. } | Self::Form(_) => None,
        }
    }

    pub(super) fn of(path: &Path, source: io::Error) -> Self {
        use io::ErrorKind as Kind;
        let path = path.to_owned();
        match source.kind() {
            Kind::NotFound | Kind::NotADirectory => {
                let folder = path.parent().map(Path::to_owned).unwrap_or_default();
                // There are folders of the system's own that take no files.
                if folder.is_dir() {
                    return Self::Io { path, source: io::Error::other("its folder takes no new files") };
                }
                Self::MissingFolder { path, folder }
            }
            Kind::IsADirectory => Self::Folder { path },
            Kind::InvalidFilename | Kind::InvalidInput => Self::Name { path, source },
            Kind::StorageFull | Kind::QuotaExceeded | Kind::FileTooLarge => Self::Full { path, source },
            Kind::PermissionDenied | Kind::ReadOnlyFilesystem => Self::Denied { path, source },
            _ => Self::Io { path, source },
        }
    }
}

/// What a save did besides saving.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Saved {
    /// Where the project is now.
    pub path: PathBuf,
    /// What there is to know about it; mostly nothing.
    pub warnings: Vec<SaveWarning>,
    /// The older format version that the file had before; none when it had today's, or is another file.
    pub upgraded_from: Option<u32>,
}

/// Something to know about a save that succeeded.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum SaveWarning {
    /// No new file could take the old one's place; it was overwritten, with a recovery copy made before.
    #[error(
        "saved by overwriting the file, since a new one cannot take its place here ({why}): a power cut while saving could damage it"
    )]
    WrittenInPlace {
        /// What the system said.
        why: String,
    },
    /// The file is written; whether it survives a power cut in the next seconds is not known.
    #[error("saved, but the system did not confirm that it is on the disk ({why})")]
    NotConfirmed {
        /// What the system said.
        why: String,
    },
    /// No lock: another window that opens the file is not noticed.
    #[error(
        "saved, but a second window on this file would not be noticed ({why}); changes on the disk still are, when saving"
    )]
    Unlocked {
        /// What the system said.
        why: String,
    },
    /// The file had gone and was written again.
    #[error("the file had been moved or deleted; it was written again")]
    WrittenAgain,
    /// The name had no ending.
    #[error("the name had no ending: saved as {}", .path.display())]
    EndingAdded {
        /// With the ending.
        path: PathBuf,
    },
}
