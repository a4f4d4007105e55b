//! Why a project could not be opened or saved, and what to do about it.

use std::io;
use std::path::{Path, PathBuf};

use thiserror::Error;

use crate::project::{LARGEST_FILE_BYTES, ReadError, TreeError};

/// Why a file could not be opened. Nothing partial is ever loaded.
#[derive(Debug, Error)]
pub enum OpenError {
    /// There is no such file.
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
        /// The path.
        path: PathBuf,
    },
    /// Reading is not allowed.
    #[error("{}: reading is not allowed; ask the file's owner for permission, or open a copy", .path.display())]
    Denied {
        /// The file.
        path: PathBuf,
    },
    /// It is not a project.
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
    /// The file that the error is about; its message begins with it.
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

/// Why a project was not saved. The work is not lost: it is in the window, and in the recovery copy.
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
    /// What is read back from the file's place is not what was put there.
    #[error("{}: what is read back from the disk is not what was written; write to another place", .path.display())]
    NotReadBack {
        /// The file.
        path: PathBuf,
    },
    /// The file cannot be read, so it is unknown whether someone else changed it.
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
        /// The path.
        path: PathBuf,
    },
    /// The name consists of nothing but dots before its ending.
    #[error("{}: nothing stands before the ending; give the file a name", .path.display())]
    Nameless {
        /// The file.
        path: PathBuf,
    },
    /// The folder in which the program was started is gone, so names without a folder lead nowhere.
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
    /// The name was given without `.ron`, and a file with `.ron` exists.
    #[error("{}: the name had no ending, and this file exists; choose it itself, or another name", .path.display())]
    Exists {
        /// The file that exists.
        path: PathBuf,
    },
    /// The system does not allow such a name.
    #[error("{}: the system allows no such file name ({source}); choose a shorter or plainer one", .path.display())]
    Name {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// There is no room on the disk.
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
    /// The file could only be overwritten in place, which is too dangerous without a recovery copy.
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
    /// Overwriting the file in place failed half-way.
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
    /// The project file would be larger than the program reads.
    #[error("the project would take {bytes} bytes; a file has at most {LARGEST_FILE_BYTES}: delete old snapshots")]
    TooLarge {
        /// How large it would be.
        bytes: u64,
    },
    /// The project contains a type that the file form does not support: a mistake in this program.
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
    /// The file that the error is about; its message begins with it.
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
                // The system's own folders may exist and still accept no files.
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

/// What else a save did.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Saved {
    /// Where the project is now.
    pub path: PathBuf,
    /// What the user should know about it; usually nothing.
    pub warnings: Vec<SaveWarning>,
    /// The older format version that the file had before; none if it had today's, or was another file.
    pub upgraded_from: Option<u32>,
}

/// Something the user should know about a successful save.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum SaveWarning {
    /// No new file could take the place of the old one, so the old one was overwritten, after a recovery copy
    /// had been made.
    #[error(
        "saved by overwriting the file, since a new one cannot take its place here ({why}): a power cut while saving could damage it"
    )]
    WrittenInPlace {
        /// What the system said.
        why: String,
    },
    /// The file is written, but it is not known whether it would survive a power cut in the next seconds.
    #[error("saved, but the system did not confirm that it is on the disk ({why})")]
    NotConfirmed {
        /// What the system said.
        why: String,
    },
    /// There is no lock: another window that opens the file would not be noticed.
    #[error(
        "saved, but a second window on this file would not be noticed ({why}); changes on the disk still are, when saving"
    )]
    Unlocked {
        /// What the system said.
        why: String,
    },
    /// The file was gone and has been written again.
    #[error("the file had been moved or deleted; it was written again")]
    WrittenAgain,
    /// The name had no ending, so one was added.
    #[error("the name had no ending: saved as {}", .path.display())]
    EndingAdded {
        /// The path with the ending.
        path: PathBuf,
    },
}
