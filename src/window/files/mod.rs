//! Files as the window deals with them: chosen through the system, read and written off the frame, watched.
//!
//! Nothing here waits on a frame: threads send [`News`] and ask for a repaint.

mod chooser;
pub mod image;
mod job;
mod watcher;
mod worker;

pub use chooser::{Chooser, Request, system_chooser};
pub use image::{CompareFound, ImageFiles, ImageRead, ImageRefusal, ImageValues, WrittenFiles};
pub(super) use job::file_name;
pub use job::{FileJob, LockedDeg, NewCar, Next};
pub use watcher::Watcher;
pub use worker::{Choice, News, Task, Worker};
