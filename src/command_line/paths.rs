//! Which paths are one file, and outputs that would take the place of what is read.

use std::fs;
use std::path::{Path, PathBuf};

use super::Failure;
use super::output::shown;

/// Refuses an output that is one of these files, each with what it is to the job.
pub(super) fn refuse_taken(job: &'static str, output: &Path, files: &[(&str, &Path)]) -> Result<(), Failure> {
    let Some((what, _)) = files.iter().find(|(_, path)| same_place(path, output)) else {
        return Ok(());
    };
    Err(Failure::Usage(format!("{}: this is {what}, and must not be written over; choose another", shown(output)), job))
}

/// Whether two paths lead to one ordinary file, there or to be.
pub(super) fn same_place(one: &Path, other: &Path) -> bool {
    let one = place(one);
    one.is_some() && one == place(other)
}

/// The whole path of a file, through every link; `None` for devices, which take bytes from several.
fn place(path: &Path) -> Option<PathBuf> {
    if let Ok(whole) = fs::canonicalize(path) {
        return fs::metadata(&whole).is_ok_and(|about| about.is_file()).then_some(whole);
    }
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    Some(fs::canonicalize(folder).ok()?.join(path.file_name()?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_are_compared_by_where_they_lead() {
        let folder = tempfile::tempdir().unwrap();
        let [file, missing] = ["a.ron", "b.csv"].map(|name| folder.path().join(name));
        fs::write(&file, "x").unwrap();
        assert!(same_place(&file, &folder.path().join("./a.ron")));
        assert!(same_place(&missing, &folder.path().join("./b.csv")) && !same_place(&file, &missing));
        assert!(!same_place(folder.path(), folder.path()));
        #[cfg(unix)]
        {
            let link = folder.path().join("link");
            std::os::unix::fs::symlink("a.ron", &link).unwrap();
            assert!(same_place(&file, &link));
            assert!(!same_place(Path::new("/dev/null"), Path::new("/dev/null")));
        }
        let told = refuse_taken("rig", &file, &[("the project", &file)]).unwrap_err().to_string();
        assert!(told.contains("this is the project, and must not be written over"), "{told}");
        assert!(refuse_taken("rig", &missing, &[("the project", &file)]).is_ok());
    }
}
