//! The thread that writes one document's recovery copy. It sleeps while there is nothing to write.

use std::io;
use std::path::PathBuf;
use std::sync::mpsc::{self, Receiver, RecvTimeoutError, Sender};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use jiff::Timestamp;

use super::super::DataFolder;
use super::copy::{Copy, Slot, print};
use super::pending::{Registered, register};
use super::standing::{Bell, Standing};

/// The delay from a change to its copy, and from a failed attempt to the next; with the time that writing
/// takes, a copy is at most 5 s behind, or exists at most 5 s after there is room for it.
const DELAY: Duration = Duration::from_secs(3);

/// The name of the thread.
pub(super) const THREAD: &str = "recovery copy";

/// Sends the document's requests to the thread.
#[derive(Debug)]
pub(in super::super) struct Keeper {
    data: DataFolder,
    delay: Duration,
    /// A copy of an earlier process that has become this document's.
    adopted: Option<Slot>,
    thread: Option<Thread>,
    has_copy: bool,
    standing: Standing,
}

#[derive(Debug)]
struct Thread {
    outbox: Sender<Message>,
    handle: JoinHandle<()>,
    _registered: Registered,
}

pub(super) enum Message {
    Changed(Copy),
    WriteNow(Copy, Sender<io::Result<PathBuf>>),
    /// Writes what is waiting, and replies.
    WritePending(Sender<()>),
    Delete,
    Stop,
}

impl Keeper {
    pub(in super::super) fn new(data: &DataFolder) -> Self {
        let standing = Standing::default();
        Self { data: data.clone(), delay: DELAY, adopted: None, thread: None, has_copy: false, standing }
    }

    pub(super) fn adopting(data: &DataFolder, slot: Slot) -> Self {
        let mut keeper = Self::new(data);
        keeper.adopted = Some(slot);
        keeper.has_copy = true;
        keeper
    }

    /// Has the project written within a few seconds.
    pub(in super::super) fn changed(&mut self, copy: Copy) {
        if self.data.path().is_none() {
            return;
        }
        self.has_copy = true;
        self.send(Message::Changed(copy));
    }

    /// Has the copy deleted, since the project is the same as in its file.
    pub(in super::super) fn delete(&mut self) {
        if std::mem::take(&mut self.has_copy) {
            self.send(Message::Delete);
        }
    }

    /// Has a copy that waits to be written written now; nobody waits for it.
    pub(in super::super) fn hurry(&self) {
        if let Some(Thread { outbox, .. }) = &self.thread {
            let (done, _) = mpsc::channel();
            let _ = outbox.send(Message::WritePending(done));
        }
    }

    /// Lets the thread end by itself, once it has done what was requested.
    pub(in super::super) fn let_go(&mut self) {
        if let Some(Thread { outbox, .. }) = self.thread.take() {
            let _ = outbox.send(Message::Stop);
        }
    }

    /// A handle that writes a copy at once, from any thread.
    pub(in super::super) fn writer(&mut self) -> CopyWriter {
        CopyWriter(if self.data.path().is_some() { self.outbox().cloned() } else { None })
    }

    /// Records that a copy was written through such a handle.
    pub(in super::super) fn expect_copy(&mut self) {
        self.has_copy = true;
    }

    /// Why the work is not in a recovery copy.
    pub(in super::super) fn fault(&self) -> Option<String> {
        if self.data.path().is_none() {
            return Some("there is no data folder for recovery copies; save often".into());
        }
        self.standing.fault()
    }

    /// Has a bell rung whenever [`fault`](Self::fault) or [`copied_at`](Self::copied_at) changes.
    pub(in super::super) fn ring_with(&mut self, bell: Bell) {
        self.standing.ring_with(bell);
    }

    /// Whether it has a bell.
    pub(in super::super) fn rings(&self) -> bool {
        self.standing.rings()
    }

    /// The time of the copy that this process last wrote; `None` if it has written none or has deleted it.
    pub(in super::super) fn copied_at(&self) -> Option<Timestamp> {
        self.standing.copied_at()
    }

    fn send(&mut self, message: Message) {
        if let Some(outbox) = self.outbox() {
            // Sending cannot fail while the thread runs, and it ends only when told to.
            let _ = outbox.send(message);
        }
    }

    /// The channel to the thread, which is started when it is first needed.
    fn outbox(&mut self) -> Option<&Sender<Message>> {
        if self.thread.is_none() {
            self.thread = self.start().map_err(|error| self.standing.tell_fault(Some(error.to_string()))).ok();
        }
        self.thread.as_ref().map(|thread| &thread.outbox)
    }

    fn start(&mut self) -> io::Result<Thread> {
        let (outbox, inbox) = mpsc::channel();
        let (slot, standing) = (self.adopted.take(), self.standing.clone());
        let work = Work { data: self.data.clone(), delay: self.delay, slot, pending: None, standing };
        let handle = thread::Builder::new().name(THREAD.into()).spawn(move || work.run(&inbox))?;
        let _registered = register(outbox.clone());
        Ok(Thread { outbox, handle, _registered })
    }
}

/// Has the thread write a copy at once; can be used from any thread.
#[derive(Debug)]
pub(in super::super) struct CopyWriter(Option<Sender<Message>>);

impl CopyWriter {
    /// Writes the project and returns where.
    pub(in super::super) fn write_now(&self, copy: Copy) -> io::Result<PathBuf> {
        let none = || io::Error::new(io::ErrorKind::NotFound, "there is nowhere to keep recovery copies");
        let outbox = self.0.as_ref().ok_or_else(none)?;
        let (reply, answer) = mpsc::channel();
        let silent = |_| io::Error::other("the thread for recovery copies did not answer");
        outbox.send(Message::WriteNow(copy, reply)).map_err(|_| silent(mpsc::RecvError))?;
        answer.recv().map_err(silent)?
    }
}

impl Drop for Keeper {
    /// Writes what has not been written yet.
    fn drop(&mut self) {
        if let Some(Thread { outbox, handle, _registered }) = self.thread.take() {
            let _ = outbox.send(Message::Stop);
            let _ = handle.join();
        }
    }
}

/// The state of the thread.
struct Work {
    data: DataFolder,
    delay: Duration,
    slot: Option<Slot>,
    pending: Option<(Instant, Copy)>,
    standing: Standing,
}

impl Work {
    fn run(mut self, inbox: &Receiver<Message>) {
        loop {
            match self.next(inbox) {
                Ok(Message::Changed(copy)) => self.note(copy),
                Ok(Message::WriteNow(copy, reply)) => {
                    self.pending = None;
                    let _ = reply.send(self.write(&copy));
                }
                Ok(Message::WritePending(done)) => {
                    self.write_pending();
                    let _ = done.send(());
                }
                Ok(Message::Delete) => self.delete(),
                Err(RecvTimeoutError::Timeout) => self.write_pending(),
                Ok(Message::Stop) | Err(RecvTimeoutError::Disconnected) => return self.finish(),
            }
        }
    }

    fn next(&self, inbox: &Receiver<Message>) -> Result<Message, RecvTimeoutError> {
        match &self.pending {
            Some((due, _)) => inbox.recv_timeout(due.saturating_duration_since(Instant::now())),
            None => inbox.recv().map_err(|_| RecvTimeoutError::Disconnected),
        }
    }

    /// A later change replaces an earlier one, but does not postpone the time of writing.
    fn note(&mut self, copy: Copy) {
        let due = self.pending.take().map_or_else(|| Instant::now() + self.delay, |(due, _)| due);
        self.pending = Some((due, copy));
    }

    fn write_pending(&mut self) {
        let Some((_, copy)) = self.pending.take() else {
            return;
        };
        if self.write(&copy).is_err() {
            self.pending = Some((Instant::now() + self.delay, copy));
        }
    }

    /// Writes what is waiting and leaves the copy; without a copy, its lock file is removed as well.
    fn finish(mut self) {
        self.write_pending();
        if self.slot.as_ref().is_some_and(|slot| !slot.copy().exists()) {
            self.delete();
        }
    }

    fn write(&mut self, copy: &Copy) -> io::Result<PathBuf> {
        let written = self.try_write(copy);
        let fault = written.as_ref().err().map(|error| format!("the recovery copy cannot be written: {error}"));
        self.standing.tell(fault, if written.is_ok() { Some(copy.at) } else { self.standing.copied_at() });
        written
    }

    fn try_write(&mut self, copy: &Copy) -> io::Result<PathBuf> {
        let text = print(copy).map_err(io::Error::other)?;
        let slot = match self.slot.take() {
            Some(slot) => slot,
            None => Slot::claim(&self.data, copy.origin.path.as_deref())?,
        };
        let slot = self.slot.insert(slot);
        slot.write(&text)?;
        Ok(slot.copy().to_owned())
    }

    fn delete(&mut self) {
        self.pending = None;
        let removed = self.slot.take().map_or(Ok(()), Slot::remove);
        self.standing.tell(removed.err().map(|error| format!("the recovery copy cannot be deleted: {error}")), None);
    }
}

#[cfg(test)]
mod tests {
    use super::super::copy::{FOLDER, Origin};
    use super::*;
    use crate::document::trial;
    use crate::project::read;
    use std::fs;
    use std::path::Path;

    fn copy(name: &str) -> Copy {
        let origin = Origin { path: None, base: None, name: name.into() };
        let project = trial::project().edit(|parts| parts.name = name.into()).unwrap();
        Copy { origin, at: jiff::Timestamp::UNIX_EPOCH, project }
    }

    fn copies(data: &Path) -> Vec<PathBuf> {
        let entries = fs::read_dir(data.join(FOLDER)).into_iter().flatten();
        entries.map(|entry| entry.unwrap().path()).filter(|path| path.extension().unwrap() == "ron").collect()
    }

    fn name_in(file: &Path) -> String {
        read(&fs::read(file).unwrap()).unwrap().name.clone()
    }

    #[test]
    fn the_last_change_is_written_when_the_time_has_come() {
        let folder = tempfile::tempdir().unwrap();
        let mut keeper = Keeper::new(&DataFolder::at(folder.path()));
        keeper.delay = Duration::from_millis(50);
        keeper.changed(copy("first"));
        keeper.changed(copy("second"));
        // No request is sent: the thread wakes up by itself.
        while copies(folder.path()).is_empty() {
            thread::sleep(Duration::from_millis(1));
        }
        assert_eq!(name_in(&copies(folder.path())[0]), "second");
        keeper.delete();
        drop(keeper);
        assert_eq!(fs::read_dir(folder.path().join(FOLDER)).unwrap().count(), 0, "copy and lock are gone");
    }

    #[test]
    fn what_is_pending_is_written_at_the_end_and_a_second_keeper_has_its_own_file() {
        let folder = tempfile::tempdir().unwrap();
        let [mut one, mut two] = [(); 2].map(|()| Keeper::new(&DataFolder::at(folder.path())));
        one.changed(copy("one"));
        two.changed(copy("two"));
        drop((one, two));
        let mut names: Vec<_> = copies(folder.path()).iter().map(|file| name_in(file)).collect();
        names.sort();
        assert_eq!(names, ["one", "two"]);
    }

    #[test]
    fn after_a_failure_it_is_tried_again_as_soon_as_after_a_change_and_the_bell_rings() {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join(FOLDER), "in the way").unwrap();
        let mut keeper = Keeper::new(&DataFolder::at(folder.path()));
        assert!(keeper.delay <= Duration::from_secs(4) && !keeper.rings());
        keeper.delay = Duration::from_millis(20);
        let (rung, rings) = mpsc::channel();
        keeper.ring_with(Box::new(move || _ = rung.send(())));
        keeper.changed(copy("x"));
        rings.recv().unwrap();
        assert!(keeper.rings() && keeper.fault().unwrap().contains("cannot be written"));
        fs::remove_file(folder.path().join(FOLDER)).unwrap();
        // No request is sent meanwhile.
        rings.recv().unwrap();
        assert_eq!((keeper.fault(), copies(folder.path()).len()), (None, 1));
    }

    #[test]
    fn what_waits_is_written_when_the_process_is_about_to_end() {
        let folder = tempfile::tempdir().unwrap();
        let mut keepers = [(); 2].map(|()| Keeper::new(&DataFolder::at(folder.path())));
        keepers.iter_mut().for_each(|keeper| keeper.changed(copy("x")));
        assert!(copies(folder.path()).is_empty());
        // Only the threads of this test: other tests wait for their own copies at the same time.
        let outboxes = keepers.each_mut().map(|keeper| keeper.outbox().unwrap().clone());
        super::super::pending::have_written(&outboxes);
        assert_eq!(copies(folder.path()).len(), 2);
    }

    #[test]
    fn a_copy_in_a_hurry_is_not_put_off() {
        let folder = tempfile::tempdir().unwrap();
        let mut keeper = Keeper::new(&DataFolder::at(folder.path()));
        keeper.delay = Duration::from_secs(3600);
        keeper.hurry();
        keeper.changed(copy("x"));
        keeper.hurry();
        while copies(folder.path()).is_empty() {
            thread::sleep(Duration::from_millis(1));
        }
        assert_eq!(name_in(&copies(folder.path())[0]), "x");
    }

    #[cfg(unix)]
    #[test]
    fn a_copy_is_for_its_owner_alone() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().unwrap();
        let recovery = folder.path().join(FOLDER);
        fs::create_dir(&recovery).unwrap();
        fs::set_permissions(&recovery, fs::Permissions::from_mode(0o755)).unwrap();
        let mut keeper = Keeper::new(&DataFolder::at(folder.path()));
        let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode() & 0o777;
        for name in ["first", "second"] {
            let written = keeper.writer().write_now(copy(name)).unwrap();
            assert_eq!((mode(&written), mode(&recovery)), (0o600, 0o700));
        }
    }

    #[test]
    fn a_copy_that_cannot_be_written_is_told() {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join(FOLDER), "in the way").unwrap();
        let mut keeper = Keeper::new(&DataFolder::at(folder.path()));
        assert_eq!(keeper.fault(), None);
        assert!(keeper.writer().write_now(copy("x")).is_err());
        assert!(keeper.fault().unwrap().contains("cannot be written"));
        fs::remove_file(folder.path().join(FOLDER)).unwrap();
        assert_eq!(keeper.copied_at(), None);
        let written = keeper.writer().write_now(copy("x")).unwrap();
        assert_eq!((keeper.fault(), name_in(&written).as_str()), (None, "x"));
        assert_eq!(keeper.copied_at(), Some(Timestamp::UNIX_EPOCH));
        let mut nowhere = Keeper::new(&DataFolder::none());
        assert!(nowhere.writer().write_now(copy("x")).is_err() && nowhere.fault().is_some());
    }
}
