//! One project's fields as people read them.

use super::labels::Namer;
use crate::project::{Project, Tree, TreeError, steps};

/// Labels and values of a project's fields in words, the same as in a list of differences.
#[derive(Clone, Debug)]
pub struct Told<'a> {
    project: &'a Project,
    tree: Tree,
}

impl<'a> Told<'a> {
    /// Prepares a project.
    ///
    /// # Errors
    /// [`TreeError`] never for projects that exist.
    pub fn new(project: &'a Project) -> Result<Self, TreeError> {
        Ok(Self { project, tree: project.field_tree()? })
    }

    /// What people call the field at a dotted path: 'Over-speed cuts at'.
    pub fn label(&self, path: &str) -> String {
        self.namer().label(path, &steps(path).unwrap_or_default())
    }

    /// Its value with its unit: '7200 rpm'; a dash where there is no such field.
    pub fn value(&self, path: &str) -> String {
        let steps = steps(path).unwrap_or_default();
        self.namer().value_words(path, None, self.tree.at(&steps)).1
    }

    /// Its value, and whether nobody has confirmed it: '0.5 Ω (assumed)'.
    pub fn value_and_ground(&self, path: &str) -> String {
        let value = self.value(path);
        if self.project.is_assumed(path) { format!("{value} (assumed)") } else { value }
    }

    fn namer(&self) -> Namer<'_> {
        Namer::new(self.project, &self.tree, self.project, &self.tree)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::SAMPLES;

    #[test]
    fn what_is_assumed_says_so() {
        let project = SAMPLES[0].project().unwrap();
        let assumed = project.edit(|parts| parts.assumed = ["engine.plug_gap_mm".to_owned()].into()).unwrap();
        assert_eq!(Told::new(&assumed).unwrap().value_and_ground("engine.plug_gap_mm"), "0.7 mm (assumed)");
        let known = project.edit(|parts| parts.assumed.clear()).unwrap();
        assert_eq!(Told::new(&known).unwrap().value_and_ground("engine.plug_gap_mm"), "0.7 mm");
    }

    #[test]
    fn labels_and_values_have_their_words_and_units() {
        let project = SAMPLES[0].project().unwrap();
        let told = Told::new(&project).unwrap();
        let both = |path: &str| (told.label(path), told.value(path));
        assert_eq!(
            both("limits.over_speed.cuts_at_rpm"),
            ("Over-speed cuts at".into(), told.value("limits.over_speed.cuts_at_rpm"))
        );
        assert_eq!(both("engine.compression_ratio"), ("Compression ratio".into(), "10.8:1".into()));
        assert_eq!(both("trigger.sensor"), ("Trigger sensor".into(), "hall".into()));
        assert_eq!(told.value("coil.current_limit_a"), "none");
        assert_eq!(told.value("no.such.field"), "—");
        assert_eq!(told.value("engine.firing_order"), "1, 3, 4, 2");
    }
}
