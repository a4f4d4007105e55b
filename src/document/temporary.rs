//! A file under a temporary name next to its final place, which it takes when it is complete.
//!
//! Its name is short, whatever the target is called. It is locked while it is being written, so a file with a
//! free lock was left by a process that is gone: whoever makes the next one in the folder removes it.

use std::ffi::OsStr;
use std::fs::{self, File, OpenOptions};
use std::io::{self, ErrorKind, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU32, Ordering};

use super::disk::open_ordinary;
use super::home::try_lock;

const PREFIX: &str = ".sparkloft-";
const ENDING: &str = ".part";
/// How many names are tried.
const MOST_NAMES: u32 = 1000;

/// Who may read a file that did not exist before.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Access {
    /// Whoever the system's defaults allow; a file that is replaced passes its mode and owner on.
    Usual,
    /// Its owner alone.
    Private,
}

/// A file that waits to take its place; if it is dropped before that, it is removed.
#[derive(Debug)]
pub(super) struct Temporary {
    file: File,
    path: PathBuf,
    target: PathBuf,
}

impl Temporary {
    /// An empty file next to a target, which must not be a link.
    pub(super) fn beside(target: &Path, access: Access) -> io::Result<Self> {
        let folder = folder_of(target);
        sweep(folder);
        let before = fs::metadata(target).ok();
        let is_private = access == Access::Private || before.is_some();
        let (file, path) = create(folder, is_private, ENDING)?;
        let made = Self { file, path, target: target.to_owned() };
        if let Some(before) = before.filter(|_| access == Access::Usual) {
            hand_on(&before, &made.file)?;
        }
        Ok(made)
    }

    /// A second name for the file at the target, or a copy of it, so that it can be restored.
    pub(super) fn keeping(target: &Path) -> io::Result<Self> {
        let folder = folder_of(target);
        for path in names(folder, ENDING) {
            match fs::hard_link(target, &path) {
                Ok(()) => {
                    if let Ok(file) = open_ordinary(&path, OpenOptions::new().read(true))
                        && claim(&file, &path)
                    {
                        return Ok(Self { file, path, target: target.to_owned() });
                    }
                    // Another process keeps the same file, or cleans up here: a copy is nobody else's.
                    let _ = fs::remove_file(&path);
                    break;
                }
                Err(error) if error.kind() == ErrorKind::AlreadyExists => {}
                Err(_) => break,
            }
        }
        let mut copy = Self::beside(target, Access::Usual)?;
        io::copy(&mut open_ordinary(target, OpenOptions::new().read(true))?, &mut copy)?;
        copy.sync()?;
        Ok(copy)
    }

    pub(super) fn target(&self) -> &Path {
        &self.target
    }

    /// When this returns, the bytes are on the disk.
    pub(super) fn sync(&self) -> io::Result<()> {
        self.file.sync_all()
    }

    /// Its content.
    pub(super) fn read_back(&mut self) -> io::Result<Vec<u8>> {
        let mut found = Vec::new();
        self.file.rewind()?;
        self.file.read_to_end(&mut found)?;
        Ok(found)
    }

    /// Puts it in its place. The folder's entry is not on the disk before the caller has called [`sync_folder`].
    pub(super) fn take_place(self) -> io::Result<()> {
        fs::rename(&self.path, &self.target)
    }
}

impl Write for Temporary {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.file.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.file.flush()
    }
}

impl Seek for Temporary {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.file.seek(to)
    }
}

impl Read for Temporary {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        self.file.read(into)
    }
}

/// A file for data that do not fit into memory. It never takes a place; it is removed when it is dropped or its
/// process is gone.
#[derive(Debug)]
pub struct Scratch(Temporary);

impl Scratch {
    /// An empty one in the system's folder for temporary files.
    ///
    /// # Errors
    /// [`io::Error`] if none can be made there.
    pub fn create() -> io::Result<Self> {
        Temporary::beside(&std::env::temp_dir().join("scratch"), Access::Private).map(Self)
    }
}

impl Write for Scratch {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.0.flush()
    }
}

impl Read for Scratch {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        self.0.read(into)
    }
}

impl Seek for Scratch {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.0.seek(to)
    }
}

impl Drop for Temporary {
    fn drop(&mut self) {
        // If it has taken its place, there is no file of this name any more.
        let _ = fs::remove_file(&self.path);
    }
}

/// When this returns, the entries of the file's folder are on the disk.
pub(super) fn sync_folder(file: &Path) -> io::Result<()> {
    if cfg!(unix) { File::open(folder_of(file))?.sync_all() } else { Ok(()) }
}

fn folder_of(target: &Path) -> &Path {
    target.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// Names that nothing else in this process uses.
fn names(folder: &Path, ending: &str) -> impl Iterator<Item = PathBuf> {
    static NEXT: AtomicU32 = AtomicU32::new(0);
    let process = std::process::id();
    (0..MOST_NAMES).map(move |_| {
        let number = NEXT.fetch_add(1, Ordering::Relaxed);
        folder.join(format!("{PREFIX}{process}-{number}{ending}"))
    })
}

/// A new file that is locked; its name has the given ending.
pub(super) fn create(folder: &Path, is_private: bool, ending: &str) -> io::Result<(File, PathBuf)> {
    let mut options = File::options();
    options.read(true).write(true).create_new(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, if is_private { 0o600 } else { 0o666 });
    #[cfg(not(unix))]
    let _ = is_private;
    for path in names(folder, ending) {
        match options.open(&path) {
            Ok(file) => {
                if claim(&file, &path) {
                    return Ok((file, path));
                }
            }
            Err(error) if error.kind() == ErrorKind::AlreadyExists => {}
            Err(error) => return Err(error),
        }
    }
    Err(io::Error::new(ErrorKind::AlreadyExists, "too many unfinished files stand in its folder"))
}

/// Locks a file of this program; `false` if a process that cleans up has it, or has removed it, since it found it before
/// it was locked. Where the system gives no locks, other processes do not remove it either: see `abandoned`.
fn claim(file: &File, path: &Path) -> bool {
    try_lock(file).unwrap_or(true) && path.exists()
}

/// Gives a new file the mode and, if the system allows it, the owner of the file it replaces.
#[cfg(unix)]
fn hand_on(before: &fs::Metadata, file: &File) -> io::Result<()> {
    use std::os::unix::fs::{MetadataExt, fchown};
    let now = file.metadata()?;
    if (now.uid(), now.gid()) != (before.uid(), before.gid()) {
        // Usually this is not allowed; the file then belongs to the user.
        let _ = fchown(file, Some(before.uid()), Some(before.gid()));
    }
    file.set_permissions(before.permissions())
}

#[cfg(not(unix))]
fn hand_on(before: &fs::Metadata, file: &File) -> io::Result<()> {
    file.set_permissions(before.permissions())
}

/// Removes what processes that are gone left in a folder, as far as the system allows.
fn sweep(folder: &Path) {
    for path in named(folder, ENDING) {
        // Removed while it is locked, so that nobody can have made it their own meanwhile: see `claim`.
        if let Some(_locked) = abandoned(&path) {
            let _ = fs::remove_file(path);
        }
    }
}

/// The files of a folder that have this program's names with the given ending and whose lock is free.
pub(super) fn left_behind(folder: &Path, ending: &str) -> Vec<PathBuf> {
    named(folder, ending).filter(|path| abandoned(path).is_some()).collect()
}

/// The files of a folder that have this program's names with the given ending.
fn named(folder: &Path, ending: &str) -> impl Iterator<Item = PathBuf> {
    let is_ours = move |name: &OsStr| {
        let name = name.to_string_lossy();
        name.starts_with(PREFIX) && name.ends_with(ending)
    };
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    let named = entries.filter(move |entry| is_ours(&entry.file_name()));
    named.filter(|entry| entry.file_type().is_ok_and(|kind| kind.is_file())).map(|entry| entry.path())
}

/// The file, locked, if nobody else has it locked. If there are no locks, nobody knows, and it is left alone.
fn abandoned(path: &Path) -> Option<File> {
    let file = open_ordinary(path, OpenOptions::new().write(true)).ok()?;
    try_lock(&file).unwrap_or(false).then_some(file)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names_in(folder: &Path) -> Vec<String> {
        let entries = fs::read_dir(folder).unwrap();
        let mut names: Vec<String> = entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
        names.sort();
        names
    }

    #[test]
    fn it_takes_its_place_or_is_gone() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("n".repeat(255));
        for text in ["first", "second"] {
            let mut made = Temporary::beside(&path, Access::Usual).unwrap();
            made.write_all(text.as_bytes()).unwrap();
            assert_eq!((made.read_back().unwrap(), made.target()), (text.as_bytes().to_vec(), &*path));
            made.take_place().unwrap();
            assert_eq!(fs::read_to_string(&path).unwrap(), text);
        }
        drop(Temporary::beside(&path, Access::Usual).unwrap());
        fs::create_dir(folder.path().join("in the way")).unwrap();
        let refused = Temporary::beside(&folder.path().join("in the way"), Access::Usual).unwrap();
        assert!(refused.take_place().is_err());
        assert_eq!(names_in(folder.path()).len(), 2, "nothing is left of those that could not");
    }

    #[test]
    fn what_is_kept_can_be_put_back() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a");
        fs::write(&path, "old").unwrap();
        let kept = Temporary::keeping(&path).unwrap();
        let mut made = Temporary::beside(&path, Access::Usual).unwrap();
        made.write_all(b"new").unwrap();
        made.take_place().unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"new");
        kept.take_place().unwrap();
        assert_eq!((fs::read(&path).unwrap(), names_in(folder.path())), (b"old".to_vec(), vec!["a".to_owned()]));
    }

    /// Whoever cleans up in the same folder may find a file before it is locked: then it has the lock until the file
    /// is gone.
    #[test]
    fn a_file_that_another_has_locked_or_removed_is_not_claimed() {
        let folder = tempfile::tempdir().unwrap();
        let made = folder.path().join(".sparkloft-1-0.part");
        fs::write(&made, "").unwrap();
        let file = open_ordinary(&made, OpenOptions::new().read(true)).unwrap();
        let cleaner = abandoned(&made).unwrap();
        assert!(!claim(&file, &made), "it is about to be removed");
        drop(cleaner);
        assert!(claim(&file, &made));
        assert!(abandoned(&made).is_none());
        drop(file);
        let file = open_ordinary(&made, OpenOptions::new().read(true)).unwrap();
        fs::remove_file(&made).unwrap();
        assert!(!claim(&file, &made), "it is gone");
    }

    #[test]
    fn a_file_that_somebody_else_keeps_is_kept_as_a_copy() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a");
        fs::write(&path, "old").unwrap();
        let [first, second] = [(); 2].map(|()| Temporary::keeping(&path).unwrap());
        assert_eq!(names_in(folder.path()).len(), 3);
        // The lock of a second name is on the file, and goes with whoever took it.
        drop(first);
        sweep(folder.path());
        fs::write(&path, "new").unwrap();
        second.take_place().unwrap();
        assert_eq!((fs::read(&path).unwrap(), names_in(folder.path())), (b"old".to_vec(), vec!["a".to_owned()]));
    }

    /// Both at once, as far as threads meet by chance.
    #[test]
    fn a_file_that_was_made_or_kept_outlives_those_who_clean_up() {
        use std::sync::atomic::AtomicBool;
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a");
        fs::write(&path, "old").unwrap();
        let is_done = AtomicBool::new(false);
        std::thread::scope(|scope| {
            for _ in 0..2 {
                scope.spawn(|| {
                    while !is_done.load(Ordering::Relaxed) {
                        sweep(folder.path());
                    }
                });
            }
            let lost = (0..400).filter(|round| {
                let made = match round % 2 {
                    0 => Temporary::keeping(&path),
                    _ => Temporary::beside(&path, Access::Usual),
                };
                std::thread::yield_now();
                !made.is_ok_and(|made| made.path.exists())
            });
            let lost: Vec<i32> = lost.collect();
            is_done.store(true, Ordering::Relaxed);
            assert_eq!(lost, [0; 0]);
        });
    }

    #[test]
    fn what_a_process_left_is_removed_and_what_is_at_work_stays() {
        let folder = tempfile::tempdir().unwrap();
        let left = folder.path().join(".sparkloft-1-0.part");
        fs::write(&left, "half").unwrap();
        fs::write(folder.path().join(".sparkloft-notes"), "mine").unwrap();
        let at_work = Temporary::beside(&folder.path().join("a"), Access::Usual).unwrap();
        let second = Temporary::beside(&folder.path().join("b"), Access::Usual).unwrap();
        assert!(!left.exists() && at_work.path.exists() && second.path.exists());
        drop((at_work, second));
        assert_eq!(names_in(folder.path()), [".sparkloft-notes"]);
    }

    #[cfg(unix)]
    #[test]
    fn odd_things_with_such_a_name_are_let_be() {
        let folder = tempfile::tempdir().unwrap();
        let pipe = folder.path().join(".sparkloft-1-0.part");
        assert!(std::process::Command::new("mkfifo").arg(&pipe).status().unwrap().success());
        std::os::unix::fs::symlink("/dev/zero", folder.path().join(".sparkloft-1-1.part")).unwrap();
        drop(Temporary::beside(&folder.path().join("a"), Access::Usual).unwrap());
        assert_eq!(names_in(folder.path()).len(), 2);
    }

    #[cfg(unix)]
    #[test]
    fn the_mode_is_handed_on_and_private_files_are_private() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a");
        let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode() & 0o7777;
        fs::write(&path, "x").unwrap();
        fs::set_permissions(&path, PermissionsExt::from_mode(0o640)).unwrap();
        let made = Temporary::beside(&path, Access::Usual).unwrap();
        assert_eq!(mode(&made.path), 0o640);
        drop(made);
        let made = Temporary::beside(&path, Access::Private).unwrap();
        assert_eq!(mode(&made.path), 0o600);
    }

    #[test]
    fn a_scratch_file_gives_back_what_was_written_and_leaves_nothing() {
        let mut scratch = Scratch::create().unwrap();
        scratch.write_all(b"what is too long").unwrap();
        scratch.rewind().unwrap();
        let mut found = String::new();
        scratch.read_to_string(&mut found).unwrap();
        assert_eq!(found, "what is too long");
        let path = scratch.0.path.clone();
        assert!(path.exists());
        drop(scratch);
        assert!(!path.exists());
    }
}
