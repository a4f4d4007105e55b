//! Thresholds of the checks and their reasons by path: listing and setting them, and the rules that hold once
//! all are set.

use super::locate::Step;
use super::paths::{FieldValue, PathError, parse_leaf};
use super::read_faults::nearest;
use super::thresholds::{self, THRESHOLDS, retired_threshold, threshold_named};
use super::{Parts, Project, Tree};
use crate::wording::written;

/// Every threshold, with the project's value or the default, followed by those that no check knows.
pub(super) fn collect_thresholds(own: &[(String, Tree)], project: &Project, fields: &mut Vec<FieldValue>) {
    let path = |name: &str| format!("{}.{name}", thresholds::PATH);
    fields.extend(THRESHOLDS.iter().map(|threshold| {
        let value = own.iter().find(|(name, _)| name == threshold.name);
        let range = format!("{}, {} unless set", threshold.kind_in(project).range(), written(threshold.default));
        FieldValue {
            path: path(threshold.name),
            label: threshold.label,
            range,
            value: value.map_or(Tree::Number(threshold.default), |(_, value)| value.clone()),
        }
    }));
    let unknown = own.iter().filter(|(name, _)| threshold_named(name).is_none());
    fields.extend(unknown.map(|(name, value)| FieldValue {
        path: path(name),
        label: retired_threshold(name).map_or("Check threshold", |retired| retired.label),
        range: match retired_threshold(name) {
            Some(_) => "no check uses it any more; none takes it out".into(),
            None => "no check knows it; none takes it out".into(),
        },
        value: value.clone(),
    }));
}

/// A value equal to the default is not kept in the project; `none` means the default.
pub(super) fn set_threshold(
    form: &mut Tree,
    project: &Project,
    path: &str,
    name: &str,
    text: &str,
) -> Result<(), PathError> {
    let map = [Step::Field("checks".into()), Step::Field("thresholds".into())];
    let Some(Tree::Map(own)) = form.at_mut(&map) else {
        return Err(PathError::refused(path, "the thresholds are no map", ""));
    };
    let at = own.iter().position(|(key, _)| key == name);
    let known = threshold_named(name).or_else(|| retired_threshold(name));
    if text.trim().eq_ignore_ascii_case("none") && (at.is_some() || known.is_some()) {
        own.retain(|(key, _)| key != name);
        return Ok(());
    }
    let threshold = known.ok_or_else(|| unknown_threshold(name))?;
    let kind = threshold.kind_in(project);
    let value = parse_leaf(path, kind, text.trim())?;
    if let Some(message) = kind.refusal(&value) {
        return Err(PathError::refused(path, message, ""));
    }
    match at.and_then(|at| own.get_mut(at)) {
        Some((_, own)) if *own == value => {}
        _ if value == Tree::Number(threshold.default) => own.retain(|(key, _)| key != name),
        Some((_, own)) => *own = value,
        None => own.push((name.to_owned(), value)),
    }
    Ok(())
}

/// Sets the reason why a threshold lets more pass; `none` takes it away.
pub(super) fn set_reason(form: &mut Tree, path: &str, name: &str, text: &str) -> Result<(), PathError> {
    let map = [Step::Field("checks".into()), Step::Field("threshold_reasons".into())];
    let Some(Tree::Map(own)) = form.at_mut(&map) else {
        return Err(PathError::refused(path, "the reasons are no map", ""));
    };
    let is_known = own.iter().any(|(key, _)| key == name) || threshold_named(name).is_some();
    if !is_known {
        return Err(unknown_threshold(name));
    }
    own.retain(|(key, _)| key != name);
    if !text.trim().eq_ignore_ascii_case("none") && !text.trim().is_empty() {
        own.push((name.to_owned(), Tree::Text(text.trim().to_owned())));
    }
    Ok(())
}

/// Checks thresholds that came in with a whole record: they must be known and in their range.
pub(super) fn check_thresholds(before: &Project, after: &Parts) -> Result<(), PathError> {
    for (name, value) in &after.checks.thresholds {
        if before.checks.thresholds.get(name) == Some(value) {
            continue;
        }
        let known = threshold_named(name).or_else(|| retired_threshold(name));
        let threshold = known.ok_or_else(|| unknown_threshold(name))?;
        if let Some(message) = threshold.kind_in(after).refusal(&Tree::Number(*value)) {
            return Err(PathError::refused(&format!("{}.{name}", thresholds::PATH), message, ""));
        }
    }
    Ok(())
}

/// A threshold that lets more pass than its default must not be set without a reason, nor lose the reason that
/// it has. One that an older file has without a reason stays.
pub(super) fn check_reasons(before: &Project, after: &Parts) -> Result<(), PathError> {
    let has_reason =
        |parts: &Parts, name: &str| parts.checks.threshold_reasons.get(name).is_some_and(|why| !why.trim().is_empty());
    for threshold in THRESHOLDS {
        let (name, value) = (threshold.name, threshold.of(after));
        let is_as_before = threshold.of(before) == value && !has_reason(before, name);
        if threshold.is_relaxed_at(value) && !has_reason(after, name) && !is_as_before {
            let message = format!(
                "{} lets more pass than the default of {} and needs a reason",
                written(value),
                written(threshold.default)
            );
            let hint = format!("set checks.threshold_reasons.{name} to the reason with it");
            return Err(PathError::refused(&format!("{}.{name}", thresholds::PATH), message, hint));
        }
    }
    Ok(())
}

fn unknown_threshold(name: &str) -> PathError {
    let path = |name: &str| format!("{}.{name}", thresholds::PATH);
    let nearest = nearest(name, THRESHOLDS.iter().map(|threshold| threshold.name));
    PathError::Unknown { path: path(name), nearest: nearest.map(path) }
}

#[cfg(test)]
mod tests {
    use crate::project::{LoadKind, NewProject, Project, set_fields};

    fn project() -> Project {
        NewProject { name: "trial".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 }
            .create_with_outputs()
    }

    #[test]
    fn only_known_thresholds_in_their_range_are_set() {
        let error = |path: &str, value: &str| set_fields(&project(), &[(path, value)]).unwrap_err().to_string();
        assert!(error("checks.thresholds.foo.bar", "3").starts_with("there is no field 'checks.thresholds.foo.bar'"));
        assert!(error("checks.thresholds.a[0]", "3").starts_with("there is no field 'checks.thresholds.a[0]'"));
        assert_eq!(
            error("checks.thresholds.stand_out_deg", "3"),
            "there is no field 'checks.thresholds.stand_out_deg'; did you mean 'checks.thresholds.stands_out_deg'?"
        );
        assert_eq!(
            error("checks.thresholds.stands_out_deg", "-3"),
            "checks.thresholds.stands_out_deg: −3 is outside 0..60°"
        );
        assert!(error("checks.thresholds", "{\"foo\": 3}").starts_with("there is no field 'checks.thresholds.foo'"));
        assert!(error("checks.thresholds", "{\"stands_out_deg\": 61}").contains("61 is outside 0..60°"));
        let alone = [("checks.thresholds.stands_out_deg", "3")];
        assert_eq!(
            set_fields(&project(), &alone).unwrap_err().to_string(),
            "checks.thresholds.stands_out_deg: 3 lets more pass than the default of 2.5 and needs a reason; set \
             checks.threshold_reasons.stands_out_deg to the reason with it"
        );
        let reason = ("checks.threshold_reasons.stands_out_deg", "rough by design");
        let own = set_fields(&project(), &[alone[0], reason]).unwrap();
        assert_eq!(own.checks.threshold_reasons["stands_out_deg"], "rough by design");
        // The reason stays as long as it is needed; a stricter value needs none.
        assert!(set_fields(&own, &[(reason.0, "none")]).is_err());
        let strict = set_fields(&own, &[("checks.thresholds.stands_out_deg", "2"), (reason.0, "none")]).unwrap();
        assert!(strict.checks.threshold_reasons.is_empty());
        // An older file may have a relaxed threshold without a reason: it stays, but cannot be relaxed further.
        let old = project().edit(|parts| _ = parts.checks.thresholds.insert("stands_out_deg".into(), 3.0)).unwrap();
        assert!(set_fields(&old, &[("name", "other")]).is_ok());
        assert!(set_fields(&old, &[("checks.thresholds.stands_out_deg", "3.5")]).is_err());
        assert!(set_fields(&project(), &[("checks.threshold_reasons.nothing", "so")]).is_err());
        assert_eq!(own.checks.thresholds["stands_out_deg"], 3.0);
        for default in ["2.5", "none"] {
            let fields = [("checks.thresholds.stands_out_deg", default), (reason.0, "none")];
            let back = set_fields(&own, &fields).unwrap();
            assert_eq!(back, project());
        }
    }
}
