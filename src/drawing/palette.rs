//! Every colour of the program, for each look.

use super::Color;

/// One of the three looks.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Look {
    /// Warm paper and dark ink.
    #[default]
    Light,
    /// The same structure on a dark ground.
    Dark,
    /// Black on white without tints, to be read in the sun.
    Sunlight,
}

impl Look {
    /// All looks.
    pub const ALL: [Self; 3] = [Self::Light, Self::Dark, Self::Sunlight];

    /// Its colours.
    pub const fn palette(self) -> &'static Palette {
        match self {
            Self::Light => &LIGHT,
            Self::Dark => &DARK,
            Self::Sunlight => &SUNLIGHT,
        }
    }
}

/// The named colours of a look. Data colours come from [`super::ColorMap`].
#[derive(Clone, Debug, PartialEq)]
pub struct Palette {
    /// Which look this is.
    pub look: Look,
    /// The ground of the sheets.
    pub paper: Color,
    /// The ground of the navigation rail and of side panels.
    pub panel: Color,
    /// The ground of text fields and drop-down buttons.
    pub field: Color,
    /// A field or button under the pointer.
    pub field_hover: Color,
    /// A field or button while it is pressed.
    pub field_pressed: Color,
    /// Text, digits and main lines.
    pub ink: Color,
    /// Digits of the cells of a grid: thin strokes, most of whose pixels blend with a tint.
    pub digits: Color,
    /// Secondary text: units, axis labels, hints.
    pub ink_secondary: Color,
    /// Digits and lines of what is only proposed.
    pub proposed: Color,
    /// Text of what cannot be used now.
    pub ink_disabled: Color,
    /// Digits of cells that nobody changed, beside those that were: they stand back, and can be read.
    pub ink_pale: Color,
    /// Faint lines between parts, and guide lines in plots.
    pub rule: Color,
    /// Lines that must be seen: borders of fields and buttons.
    pub rule_strong: Color,
    /// Lines between the cells of a grid.
    pub grid_line: Color,
    /// Marks selection and the active sheet, nothing else.
    pub accent: Color,
    /// Text on a ground of the accent colour.
    pub on_accent: Color,
    /// Warnings; always with a triangle and a word.
    pub warning: Color,
    /// Errors; always with a mark and a word.
    pub error: Color,
    /// Contour lines between the major ones, translucent.
    pub contour_minor: Color,
    /// Major contour lines.
    pub contour_major: Color,
    /// Mesh lines of a surface, translucent.
    pub mesh: Color,
    /// Mesh lines of the base drawn as wire.
    pub wire: Color,
    /// Lines of the floor grid below a surface.
    pub floor: Color,
    /// Laid over selected faces and text, translucent.
    pub selection: Color,
    /// Shadow of floating panels, translucent.
    pub shadow: Color,
    /// Line of the base in slices (dashed).
    pub base_line: Color,
    /// The curvature comb behind a slice.
    pub comb: Color,
    /// Inside of points and handles.
    pub handle: Color,
    /// Tints of the parts of an image: tables, breakpoints, curves, single numbers, checksum. Patterns and
    /// names distinguish them too.
    pub image_parts: [Color; 5],
    /// Lines of the hatch over what is not known, translucent.
    pub hatch: Color,
    /// Lines and dots of the patterns that tell swatches apart, translucent.
    pub pattern: Color,
    /// Width of selection outlines in points.
    pub selection_width: f32,
}

const LIGHT: Palette = Palette {
    look: Look::Light,
    paper: Color::hex(0xFA_F7F0),
    panel: Color::hex(0xF1_ECE1),
    field: Color::hex(0xF1_ECE1),
    field_hover: Color::hex(0xE9_E2D3),
    field_pressed: Color::hex(0xDF_D6C4),
    ink: Color::hex(0x0E_1116),
    digits: Color::hex(0x00_0000),
    ink_secondary: Color::hex(0x46_4644),
    proposed: Color::hex(0x0A_1F6E),
    ink_disabled: Color::hex(0x6A_6761),
    ink_pale: Color::hex(0x4A_4844),
    rule: Color::hex(0xE5_DFD2),
    rule_strong: Color::hex(0x8C_8472),
    grid_line: Color::hex(0xFA_F7F0).with_alpha(110),
    accent: Color::hex(0xA8_3406),
    on_accent: Color::hex(0xFF_FFFF),
    warning: Color::hex(0x8A_5A00),
    error: Color::hex(0xA6_1E1E),
    contour_minor: Color::hex(0x1B_1F24).with_alpha(95),
    contour_major: Color::hex(0x1B_1F24).with_alpha(225),
    mesh: Color::hex(0x1B_1F24).with_alpha(34),
    wire: Color::hex(0x1B_1F24).with_alpha(150),
    floor: Color::hex(0xDF_D8C8),
    selection: Color::hex(0xA8_3406).with_alpha(44),
    shadow: Color::hex(0x3A_3020).with_alpha(40),
    base_line: Color::hex(0x6B_6B6B),
    comb: Color::hex(0x5C_7C8A),
    handle: Color::hex(0xFF_FFFF),
    image_parts: [
        Color::hex(0xCF_E0EA),
        Color::hex(0xEC_DDB4),
        Color::hex(0xD3_E4C6),
        Color::hex(0xEB_D2DA),
        Color::hex(0xDA_D3EA),
    ],
    hatch: Color::hex(0x1B_1F24).with_alpha(60),
    pattern: Color::hex(0x1B_1F24).with_alpha(60),
    selection_width: 2.0,
};

const DARK: Palette = Palette {
    look: Look::Dark,
    paper: Color::hex(0x1D_2023),
    panel: Color::hex(0x17_191C),
    field: Color::hex(0x17_191C),
    field_hover: Color::hex(0x27_2B2F),
    field_pressed: Color::hex(0x31_363B),
    ink: Color::hex(0xF3_F0E8),
    digits: Color::hex(0xF3_F0E8),
    ink_secondary: Color::hex(0xA3_A29C),
    proposed: Color::hex(0xD4_E4FF),
    ink_disabled: Color::hex(0x8E_8E89),
    ink_pale: Color::hex(0x92_918B),
    rule: Color::hex(0x2D_3135),
    rule_strong: Color::hex(0x6D_747B),
    grid_line: Color::hex(0x1D_2023).with_alpha(120),
    accent: Color::hex(0xF0_8A4B),
    on_accent: Color::hex(0x17_191C),
    warning: Color::hex(0xE3_B04B),
    error: Color::hex(0xF0_8080),
    contour_minor: Color::hex(0xF3_F0E8).with_alpha(85),
    contour_major: Color::hex(0xF3_F0E8).with_alpha(225),
    mesh: Color::hex(0xF3_F0E8).with_alpha(30),
    wire: Color::hex(0xF3_F0E8).with_alpha(140),
    floor: Color::hex(0x3B_4045),
    selection: Color::hex(0xF0_8A4B).with_alpha(50),
    shadow: Color::hex(0x00_0000).with_alpha(110),
    base_line: Color::hex(0x9A_9994),
    comb: Color::hex(0x6F_95A6),
    handle: Color::hex(0x17_191C),
    image_parts: [
        Color::hex(0x23_4252),
        Color::hex(0x44_3B1E),
        Color::hex(0x29_432B),
        Color::hex(0x51_3342),
        Color::hex(0x3D_3860),
    ],
    hatch: Color::hex(0xF3_F0E8).with_alpha(60),
    pattern: Color::hex(0xF3_F0E8).with_alpha(60),
    selection_width: 2.0,
};

const SUNLIGHT: Palette = Palette {
    look: Look::Sunlight,
    paper: Color::hex(0xFF_FFFF),
    panel: Color::hex(0xFF_FFFF),
    field: Color::hex(0xFF_FFFF),
    field_hover: Color::hex(0xEC_ECEC),
    field_pressed: Color::hex(0xD8_D8D8),
    ink: Color::hex(0x00_0000),
    digits: Color::hex(0x00_0000),
    ink_secondary: Color::hex(0x26_2626),
    proposed: Color::hex(0x1C_1C1C),
    ink_disabled: Color::hex(0x55_5555),
    ink_pale: Color::hex(0x48_4848),
    rule: Color::hex(0x9A_9A9A),
    rule_strong: Color::hex(0x00_0000),
    grid_line: Color::hex(0x9A_9A9A),
    accent: Color::hex(0x96_2D00),
    on_accent: Color::hex(0xFF_FFFF),
    warning: Color::hex(0x5C_3B00),
    error: Color::hex(0x80_0000),
    contour_minor: Color::hex(0x00_0000).with_alpha(120),
    contour_major: Color::hex(0x00_0000),
    mesh: Color::hex(0x00_0000).with_alpha(60),
    wire: Color::hex(0x00_0000).with_alpha(200),
    floor: Color::hex(0x9A_9A9A),
    selection: Color::hex(0x96_2D00).with_alpha(40),
    shadow: Color::hex(0x00_0000).with_alpha(90),
    base_line: Color::hex(0x33_3333),
    comb: Color::hex(0x4D_4D4D),
    handle: Color::hex(0xFF_FFFF),
    image_parts: [Color::hex(0xFF_FFFF); 5],
    hatch: Color::hex(0x00_0000).with_alpha(60),
    pattern: Color::hex(0x00_0000).with_alpha(60),
    selection_width: 3.0,
};

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_reaches_its_contrast_in_every_look() {
        for look in Look::ALL {
            let p = look.palette();
            for ground in [p.paper, p.panel, p.field, p.field_hover, p.field_pressed] {
                assert!(p.ink.contrast(ground) >= 7.0, "{look:?} ink");
                assert!(p.digits.contrast(ground) >= p.ink.contrast(ground), "{look:?} digits");
                assert!(p.ink.contrast(p.selection.over(ground)) >= 7.0, "{look:?} selected text");
            }
            for text in [p.ink_secondary, p.proposed, p.ink_disabled, p.accent, p.warning, p.error, p.base_line] {
                for ground in [p.paper, p.panel, p.field] {
                    assert!(text.contrast(ground) >= 4.5, "{look:?} {text:?} on {ground:?}: {}", text.contrast(ground));
                }
            }
            for ground in [p.paper, p.panel, p.field] {
                let found = p.rule_strong.contrast(ground);
                assert!(found >= 3.0, "{look:?} borders on {ground:?}: {found}");
            }
            let found = p.comb.contrast(p.paper);
            assert!(found >= 3.0 && found < p.ink.contrast(p.paper) / 2.0, "{look:?} comb: {found}");
            for tint in p.image_parts {
                assert!(p.ink.contrast(p.selection.over(tint)) >= 7.0, "{look:?} ink on {tint:?}");
            }
            assert!(p.on_accent.contrast(p.accent) >= 4.5, "{look:?} on accent");
        }
    }

    #[test]
    fn each_look_names_itself() {
        for look in Look::ALL {
            assert_eq!(look.palette().look, look);
        }
    }
}
