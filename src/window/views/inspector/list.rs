//! How the sentences are set out: in groups with captions, each on a line, those that are a mere verb side by side. The
//! places follow from the size of the inspector and the words of the sentences, never from their numbers or from whether
//! they can act, so that nothing moves under the pointer.

use std::ops::Range;

use eframe::egui::{self, Rect, pos2, vec2};

use super::row;
use super::sentences::SentenceNow;
use crate::drawing::Look;
use crate::shaping::Group;
use crate::window::kit::theme::view_sizes::{GROUP_CAPTION, MOST_SENTENCE, SENTENCE_GAP};
use crate::window::views::view::View;

/// A line of the list.
#[derive(Clone, Debug, PartialEq)]
struct Line {
    /// The group that begins here.
    begins: Option<Group>,
    /// Which sentences are on it.
    sentences: Range<usize>,
    /// The width of each of them, if there are several.
    widths: Vec<f32>,
    /// Whether it has a second line, since not all of it fits on one.
    is_tall: bool,
    /// Height of a second line.
    second: f32,
}

impl Line {
    fn height(&self, line: f32, way: f32) -> f32 {
        self.begins.map_or(0.0, |group| caption_height(group, way))
            + line
            + if self.is_tall { self.second } else { 0.0 }
            + SENTENCE_GAP
    }
}

/// The height of the caption of a group. That of fairing is a way to its demands and no lower than what is clicked: outdoors
/// that is `way`.
const fn caption_height(group: Group, way: f32) -> f32 {
    if matches!(group, Group::Fair) { GROUP_CAPTION.max(way) } else { GROUP_CAPTION }
}

/// The list as it is set out in a width.
pub(in crate::window) struct List {
    lines: Vec<Line>,
    /// Height of a line.
    line: f32,
    /// The least height of a caption that leads somewhere.
    way: f32,
}

/// Where something of the list is, from its upper left corner.
pub(in crate::window) enum Item {
    /// The caption of a group.
    Caption(Group, Rect),
    /// A sentence by its index, and whether it has a second line.
    Sentence(usize, Rect, bool),
}

impl List {
    /// Sets the sentences out; the lines are as high as the room allows.
    pub(in crate::window) fn new(
        ui: &egui::Ui,
        view: &View<'_>,
        sentences: &[SentenceNow],
        width: f32,
        room: f32,
    ) -> Self {
        let mut lines: Vec<Line> = Vec::new();
        let mut group = None;
        for (at, sentence) in sentences.iter().enumerate() {
            let begins = (group != Some(sentence.of.group)).then_some(sentence.of.group);
            group = Some(sentence.of.group);
            let own = row::plain_width(ui, view, sentence);
            if let (Some(line), Some(own), None) = (lines.last_mut(), own, begins)
                && !line.widths.is_empty()
                && line.widths.iter().sum::<f32>() + own + SENTENCE_GAP * line.widths.len() as f32 <= width
            {
                line.sentences.end = at + 1;
                line.widths.push(own);
                continue;
            }
            let is_tall = !row::fits(ui, view, sentence, width);
            lines.push(Line {
                begins,
                sentences: at..at + 1,
                widths: own.into_iter().collect(),
                is_tall,
                second: view.theme.second_line,
            });
        }
        let is_outdoors = view.theme.palette.look == Look::Sunlight;
        let way = if is_outdoors { view.theme.small_target } else { 0.0 };
        let mut list = Self { lines, line: 0.0, way };
        let (least, most) = (view.theme.least_sentence, view.theme.sentence_height.max(MOST_SENTENCE));
        list.line = ((room - list.height()) / list.lines.len().max(1) as f32).clamp(least, most).floor();
        list
    }

    /// The height of all of it.
    pub(in crate::window) fn height(&self) -> f32 {
        self.lines.iter().map(|line| line.height(self.line, self.way)).sum()
    }

    /// The height of as many whole lines as there is room for.
    pub(in crate::window) fn whole_lines(&self, room: f32) -> f32 {
        let mut height = 0.0;
        for line in &self.lines {
            if height + line.height(self.line, self.way) > room + 0.5 {
                break;
            }
            height += line.height(self.line, self.way);
        }
        height
    }

    /// Everything with its place, in a width.
    pub(in crate::window) fn items(&self, width: f32) -> Vec<Item> {
        let mut items = Vec::new();
        let mut top = 0.0;
        for line in &self.lines {
            let below = top + line.height(self.line, self.way);
            if let Some(group) = line.begins {
                let height = caption_height(group, self.way);
                items.push(Item::Caption(group, Rect::from_min_size(pos2(0.0, top), vec2(width, height))));
                top += height;
            }
            let size = vec2(width, below - SENTENCE_GAP - top);
            if line.sentences.len() < 2 {
                let place = Rect::from_min_size(pos2(0.0, top), size);
                items.extend(line.sentences.clone().map(|at| Item::Sentence(at, place, line.is_tall)));
            } else {
                items.extend(side_by_side(line, top, size));
            }
            top = below;
        }
        items
    }
}

/// The sentences of a line that share it; what is left of the width is shared out evenly.
fn side_by_side(line: &Line, top: f32, size: egui::Vec2) -> impl Iterator<Item = Item> + '_ {
    let gaps = SENTENCE_GAP * line.widths.len().saturating_sub(1) as f32;
    let spare = (size.x - line.widths.iter().sum::<f32>() - gaps) / line.widths.len() as f32;
    let mut left = 0.0;
    line.sentences.clone().zip(&line.widths).map(move |(at, width)| {
        let place = Rect::from_min_size(pos2(left, top), vec2(width + spare, size.y));
        left = place.right() + SENTENCE_GAP;
        Item::Sentence(at, place, false)
    })
}
