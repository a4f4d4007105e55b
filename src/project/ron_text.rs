//! The layout of a project file: stable, one load row per line, short records on one line.

use std::fmt::Write;

use super::Tree;
use crate::wording::shortest;

/// Columns for each number of a table row: wide enough for −60.25; a longer number only shifts its own line.
const CELL_WIDTH: usize = 6;

/// Prints a tree as RON (Rusty Object Notation, the `ron` crate's language). The same tree gives the same bytes.
pub(super) fn print(tree: &Tree) -> String {
    let mut out = String::new();
    write_tree(&mut out, tree, 0);
    out.push('\n');
    out
}

/// Prints a record of single values on one line.
pub(super) fn print_inline(tree: &Tree) -> String {
    let mut out = String::new();
    write_tree(&mut out, tree, 2);
    out
}

fn write_tree(out: &mut String, tree: &Tree, depth: usize) {
    match tree {
        Tree::Number(value) => out.push_str(&shortest(*value)),
        Tree::Flag(value) => out.push_str(if *value { "true" } else { "false" }),
        Tree::Text(text) => write_text(out, text),
        Tree::Name(name) => out.push_str(name),
        Tree::Ron(text) => out.push_str(text),
        Tree::Absent => out.push_str("None"),
        Tree::Present(inner) => {
            out.push_str("Some(");
            write_tree(out, inner, depth);
            out.push(')');
        }
        Tree::List(items) => write_list(out, items, depth),
        Tree::Tuple(items) => write_row(out, items, 0, ('(', ')')),
        Tree::Record(fields) => write_record(out, fields, depth),
        Tree::Map(entries) => write_map(out, entries, depth),
    }
}

fn write_text(out: &mut String, text: &str) {
    out.push('"');
    for character in text.chars() {
        match character {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\r' => out.push_str("\\r"),
            '\t' => out.push_str("\\t"),
            control if control.is_control() => {
                let _ = write!(out, "\\u{{{:x}}}", u32::from(control));
            }
            plain => out.push(plain),
        }
    }
    out.push('"');
}

fn write_list(out: &mut String, items: &[Tree], depth: usize) {
    if items.iter().all(|item| item.is_leaf() && !matches!(item, Tree::Text(_))) {
        return write_row(out, items, 0, ('[', ']'));
    }
    out.push_str("[\n");
    for item in items {
        indent(out, depth + 1);
        match item {
            Tree::List(row) if item.is_plain_list() => write_row(out, row, CELL_WIDTH, ('[', ']')),
            _ => write_tree(out, item, depth + 1),
        }
        out.push_str(",\n");
    }
    indent(out, depth);
    out.push(']');
}

fn write_row(out: &mut String, items: &[Tree], width: usize, (open, close): (char, char)) {
    out.push(open);
    for (index, item) in items.iter().enumerate() {
        if index > 0 {
            out.push_str(", ");
        }
        let mut text = String::new();
        write_tree(&mut text, item, 0);
        let _ = write!(out, "{text:>width$}");
    }
    out.push(close);
}

fn write_record(out: &mut String, fields: &[(&'static str, Tree)], depth: usize) {
    let short = depth > 1 && fields.iter().all(|(_, value)| value.is_leaf() || matches!(value, Tree::Tuple(_)));
    out.push('(');
    for (index, (name, value)) in fields.iter().enumerate() {
        if short {
            out.push_str(if index > 0 { ", " } else { "" });
        } else {
            out.push('\n');
            indent(out, depth + 1);
        }
        let _ = write!(out, "{name}: ");
        write_tree(out, value, depth + 1);
        if !short {
            out.push(',');
        }
    }
    if !short {
        out.push('\n');
        indent(out, depth);
    }
    out.push(')');
}

fn write_map(out: &mut String, entries: &[(String, Tree)], depth: usize) {
    out.push('{');
    for (key, value) in entries {
        out.push('\n');
        indent(out, depth + 1);
        write_text(out, key);
        out.push_str(": ");
        write_tree(out, value, depth + 1);
        out.push(',');
    }
    if !entries.is_empty() {
        out.push('\n');
        indent(out, depth);
    }
    out.push('}');
}

fn indent(out: &mut String, depth: usize) {
    for _ in 0..depth {
        out.push_str("    ");
    }
}

/// Optional values are written plainly, without `Some`.
pub(super) fn options() -> ron::Options {
    ron::Options::default().with_default_extension(ron::extensions::Extensions::IMPLICIT_SOME)
}
